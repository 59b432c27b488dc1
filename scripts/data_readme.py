"""Write data/README.md from data/datapackage.json, so that the schema in words can't rot.

Run: python scripts/data_readme.py            (--check: only say whether it is up to date)
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from pairing.evidence import sources
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.tables import read_rows
from pairing.files import write_atomically

HERE = Path(__file__).resolve().parent
DATA = HERE.parent / "data"
ANSWERS = HERE / "data_answers.md"  # what was asked of the tables, and what was done

HEAD = """# {title}

{description}

This file is written by `scripts/data_readme.py` from `datapackage.json` (a Frictionless Tabular
Data Package, an open standard). Change the descriptor, not this file.

- One fact a row. Every row has a source (`source_id`, a row of `sources.csv`) and its evidence:
  `read` = seen in the publication itself, `second-hand` = read where another repeats it,
  `memory` = recalled, the source named is where it is believed to come from, `computed` = worked
  out from rows that were read. A chain is as good as its weakest link.
- Ids are kebab case; lists inside a cell are joined with `;`; an empty cell means not known.
- Where sources disagree every one keeps its row. An amount is a log mean in which narrow ranges
  weigh more; a threshold is a weighted log mean of the rows that count (`counted`), one a
  measurement, with its spread.
- Licence: table by table in `datapackage.json`, in words in `LICENSE`.

Rows: {rows}. Evidence (fitted coefficients and counts of cup notes left out): {evidence}.

Ingredients with thin evidence (fewer than six odorants with an amount and a threshold): {thin}.

{answers}
## Not known

Looked for and not found, or not looked for yet: nothing stands in for it, and what needs it says
so.

{unknown}
"""
GAPS = (  # a cell of forms.csv, and what an empty one means
    ("acid_percent_low", "Acid"),
    ("ph_low", "pH"),
    ("soluble_percent_low", "Solids that dissolve"),
    ("bitterness", "Bitterness"),
    ("dose_low_g_per_kg", "Dose window"),
)


def unknown(shipped: Catalog) -> str:
    """What the tables do not hold, one line a kind, counted from the tables."""
    lines = []
    for cell, name in GAPS:
        empty = [i for i, f in shipped.forms.items() if getattr(f, cell) in ("", None)]
        shown = ", ".join(empty) if len(empty) <= 40 else ", ".join(empty[:12]) + ", ..."
        lines.append(f"- {name}: {len(empty)} of {len(shipped.forms)} forms ({shown or 'none'}).")
    silent = [c for c in shipped.compounds if c not in shipped.thresholds]
    lines.append(f"- Odour threshold: {len(silent)} compounds ({', '.join(silent)}).")
    guessed = [
        c
        for c, rows in shipped.thresholds.items()
        if all(r.kind in ("estimate", "bound") for r in rows)
    ]
    lines.append(f"- Measured threshold, only a bound or an estimate: {len(guessed)} compounds.")
    recalled = [
        i for i, rows in shipped.composition.items() if all(r.evidence == "memory" for r in rows)
    ]
    lines.append(
        f"- Amounts seen in print: {len(recalled)} ingredients rest on recalled amounts alone "
        f"({', '.join(recalled)})."
    )
    undated = sum(not s.doi for s in shipped.sources.values() if s.kind == "paper")
    papers = sum(s.kind == "paper" for s in shipped.sources.values())
    lines.append(f"- DOI: {undated} of {papers} papers.")
    return "\n".join(lines)


def page() -> str:
    """The text of data/README.md."""
    package = json.loads((DATA / "datapackage.json").read_text(encoding="utf-8"))
    shipped = load()
    found = sources.audit(shipped)
    totals = found.total
    every = sum(totals.values())
    evidence = ", ".join(
        f"{w} {100 * totals.get(w, 0) / every:.0f} %"
        for w in ("read", "second-hand", "computed", "memory")
    )
    text = HEAD.format(
        title=package["title"],
        description=package["description"],
        rows=f"{every:,}",
        evidence=evidence,
        thin=", ".join(found.thin) or "none",
        answers=ANSWERS.read_text(encoding="utf-8"),
        unknown=unknown(shipped),
    )
    for resource in package["resources"]:
        _, rows = read_rows(DATA / resource["path"])
        text += f"\n## {resource['path']}\n\n{resource['title']} {len(rows):,} rows.\n\n"
        text += "| column | type | unit | what | rules |\n| --- | --- | --- | --- | --- |\n"
        for field in resource["schema"]["fields"]:
            rules = field.get("constraints", {})
            words = []
            if rules.get("required"):
                words.append("required")
            if rules.get("unique"):
                words.append("unique")
            if "minimum" in rules or "maximum" in rules:
                words.append(f"{rules.get('minimum', '')} to {rules.get('maximum', 'any')}")
            if "enum" in rules:
                words.append("one of " + ", ".join(rules["enum"]))
            text += (
                f"| {field['name']} | {field['type']} | {field.get('unit', '')} | "
                f"{field['description']} | {'; '.join(words)} |\n"
            )
    return text


def main() -> int:
    """Write or check the page."""
    path, made = DATA / "README.md", page()
    if "--check" in sys.argv[1:]:
        same = path.exists() and path.read_text(encoding="utf-8") == made
        print("data/README.md is up to date" if same else "data/README.md is stale: run me")
        return 0 if same else 1
    write_atomically(path, made)
    print(f"wrote data/README.md, {len(made):,} characters")
    return 0


if __name__ == "__main__":
    sys.exit(main())
