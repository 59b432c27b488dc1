"""Where every number comes from, and an honest audit of it."""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import Any

from pairing.evidence.catalog import Catalog
from pairing.evidence.ranges import UNIT_TO_MG_PER_KG, middle_of
from pairing.evidence.rows import Compound, Content, Form, Source
from pairing.evidence.tables import read_rows

__all__ = ["Audit", "audit", "bibliography", "bibtex", "evidence_word", "of_compound", "of_form"]

OIL_SUM_OK = (60.0, 115.0)  # best estimates of one oil should add up to about 100 %
OUTLIER = 10.0
# fewer odorants than this, or less than this share of them seen in text, is thin or fair
SEEN_IN_TEXT = ("read", "second-hand")
_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")  # what may be a source's id in a note
NOT_FACTS = ("compatibility", "cup_notes", "cup_pairs")  # tables left out of the audit's total
THIN_COMPOUNDS, FAIR_COMPOUNDS, SOLID_READ_SHARE = 6, 12, 0.25


def of_form(catalog: Catalog, form: Form) -> list[Source]:
    """Sources behind what is said of a form: itself, its ingredient, materials, amounts.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    list of Source
    """
    ids = [form.source_id, form.dose_source_id, form.steep_source_id, form.taste_source_id]
    ids.append(catalog.ingredients[form.ingredient_id].source_id)
    ids += [m.source_id for m in catalog.form_materials.get(form.form_id, ())]
    ids += [c.source_id for c in catalog.composition.get(form.ingredient_id, ())]
    return _resolve(catalog, ids)


def of_compound(catalog: Catalog, compound: Compound) -> list[Source]:
    """Sources behind a compound: its constants, its thresholds, its amounts.

    Parameters
    ----------
    catalog : Catalog
    compound : Compound

    Returns
    -------
    list of Source
    """
    ids = [compound.source_id]
    ids += [t.source_id for t in catalog.thresholds.get(compound.compound_id, ())]
    for rows in catalog.composition.values():
        ids += [r.source_id for r in rows if r.compound_id == compound.compound_id]
    ids += [r.source_id for r in catalog.odorants if r.compound_id == compound.compound_id]
    return _resolve(catalog, ids)


def _resolve(catalog: Catalog, ids: list[str]) -> list[Source]:
    wanted = dict.fromkeys(i for i in ids if i)
    return sorted(
        (catalog.sources[i] for i in wanted if i in catalog.sources), key=lambda s: s.source_id
    )


def bibliography(catalog: Catalog) -> list[Source]:
    """All sources, by id.

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    list of Source
    """
    return sorted(catalog.sources.values(), key=lambda s: s.source_id)


_BIBTEX_KIND = {
    "paper": "article",
    "handbook": "book",
    "standard": "techreport",
    "regulation": "techreport",
}
_ESCAPES = str.maketrans(
    {c: "\\" + c for c in "&%$#_{}"}
    | {"~": r"\textasciitilde{}", "^": r"\textasciicircum{}", "\\": r"\textbackslash{}"}
)


def bibtex(sources: list[Source]) -> str:
    """Sources as BibTeX entries.

    The citation stays whole in ``title``: it is not cut into fields that it may not have.

    Parameters
    ----------
    sources : list of Source

    Returns
    -------
    str
        One entry a source.
    """
    out = []
    for s in sources:
        kind = _BIBTEX_KIND.get(s.kind, "misc")
        lines = [f"@{kind}{{{s.source_id},", f"  title = {{{s.citation.translate(_ESCAPES)}}},"]
        if s.year:
            lines.append(f"  year = {{{s.year}}},")
        if s.doi:
            lines.append(f"  doi = {{{s.doi}}},")
        if s.url:
            lines.append(f"  url = {{{s.url}}},")
        lines.append(f"  keywords = {{{s.kind}}},")
        lines.append("}")
        out.append("\n".join(lines))
    return "\n\n".join(out) + "\n"


def evidence_word(catalog: Catalog, form: Form) -> str:
    """How well the aroma of a form is documented: ``thin``, ``fair`` or ``solid``.

    Thin: fewer than 6 odorants with an amount. Fair: fewer than 12, or less than a quarter of
    the rows seen in text (read or second-hand). Solid: the rest.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    str
        ``thin``, ``fair`` or ``solid``.
    """
    materials = {m.material for m in catalog.form_materials.get(form.form_id, ())}
    rows = [c for c in catalog.composition.get(form.ingredient_id, ()) if c.material in materials]
    compounds = {r.compound_id for r in rows if r.compound_id in catalog.thresholds}
    if len(compounds) < THIN_COMPOUNDS:
        return "thin"
    seen = sum(r.evidence in SEEN_IN_TEXT for r in rows)
    if len(compounds) < FAIR_COMPOUNDS or seen < SOLID_READ_SHARE * len(rows):
        return "fair"
    return "solid"


@dataclass(frozen=True)
class Audit:
    """What an auditor would want to know.

    Attributes
    ----------
    tables : dict
        Table -> counts of evidence words; a table whose parts have their own evidence, as the
        doses of the forms, has a line a part.
    ingredients : dict
        Ingredient id -> counts of evidence words over its composition rows.
    orphans : list of str
        Ids that point nowhere, or rows that nothing uses.
    oil_sums : dict
        ``ingredient/material`` -> sum of best estimates in percent, where outside 60-115.
    outliers : list of str
        A source ten times above or below every other source for the same fact.
    thresholds : list of str
        Compounds whose measured thresholds disagree by more than ten times.
    thin : list of str
        Default forms with thin evidence.
    """

    tables: dict[str, dict[str, int]]
    ingredients: dict[str, dict[str, int]]
    orphans: list[str]
    oil_sums: dict[str, float]
    outliers: list[str]
    thresholds: list[str]
    thin: list[str]

    @property
    def total(self) -> dict[str, int]:
        """Counts of evidence words over all tables of facts.

        Fitted coefficients and counts of cup notes are many rows of a few facts and left out.
        """
        out: Counter[str] = Counter()
        for table, counts in self.tables.items():
            if not table.startswith(NOT_FACTS):
                out.update(counts)
        return dict(out)

    @property
    def least_read(self) -> list[str]:
        """Ingredient ids, the smallest share of read rows first, then the most rows."""

        def place(ingredient_id: str) -> tuple[float, int]:
            counts = self.ingredients[ingredient_id]
            rows = sum(counts.values())
            return counts.get("read", 0) / rows, -rows

        return sorted(self.ingredients, key=place)

    def as_dict(self) -> dict[str, Any]:
        """Plain containers for JSON."""
        return {
            "total": self.total,
            "tables": self.tables,
            "ingredients": self.ingredients,
            "orphans": self.orphans,
            "oil_sums_percent": self.oil_sums,
            "outliers": self.outliers,
            "thresholds_that_disagree_tenfold": self.thresholds,
            "thin_evidence": self.thin,
        }


def audit(catalog: Catalog) -> Audit:
    """Audit a data package.

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    Audit
    """
    tables: dict[str, dict[str, int]] = {}
    orphans: list[str] = []
    used: set[str] = set()
    for path in sorted(catalog.folder.glob("*.csv")):
        header, rows = read_rows(path)
        for at, column in enumerate(header):
            if path.stem != "sources" and column.endswith(("source_id", "primary_source")):
                for number, row in enumerate(rows, 2):
                    for source_id in row[at].split(";"):
                        used.add(source_id)
                        if source_id and source_id not in catalog.sources:
                            orphans.append(f"{path.name} row {number}: source {source_id}")
            if column in ("note", "comment"):
                for row in rows:
                    used.update(catalog.sources.keys() & _ID.findall(row[at]))
            if column.endswith("evidence"):
                part = column.removesuffix("evidence").strip("_")
                words = Counter(row[at] for row in rows if row[at])
                tables[f"{path.stem} ({part})" if part else path.stem] = dict(words)
    orphans += [f"sources.csv: nothing cites {s}" for s in catalog.sources if s not in used]
    orphans += _unused(catalog)
    return Audit(
        tables,
        {
            i: dict(Counter(r.evidence for r in rows))
            for i, rows in sorted(catalog.composition.items())
        },
        orphans,
        _oil_sums(catalog),
        _outliers(catalog),
        _disagreeing(catalog),
        [
            f.form_id
            for f in catalog.forms.values()
            if f.is_default and evidence_word(catalog, f) == "thin"
        ],
    )


def _unused(catalog: Catalog) -> list[str]:
    out = []
    analysed = {(i, r.material) for i, rows in catalog.composition.items() for r in rows}
    held = {
        (catalog.forms[f].ingredient_id, m.material)
        for f, rows in catalog.form_materials.items()
        if f in catalog.forms
        for m in rows
    }
    out += [f"composition.csv: no form holds {i}/{m}" for i, m in sorted(analysed - held)]
    out += [f"form_materials.csv: no amounts for {i}/{m}" for i, m in sorted(held - analysed)]
    out += [
        f"composition.csv: unknown compound {r.compound_id} in {i}"
        for i, rows in catalog.composition.items()
        for r in rows
        if r.compound_id not in catalog.compounds
    ]
    out += [
        f"composition.csv: unknown ingredient {i}"
        for i in catalog.composition
        if i not in catalog.ingredients
    ]
    out += [
        f"form_materials.csv: unknown form {f}"
        for f in catalog.form_materials
        if f not in catalog.forms
    ]
    return out


def _oil_sums(catalog: Catalog) -> dict[str, float]:
    out = {}
    for ingredient_id, rows in catalog.composition.items():
        by_material: dict[str, dict[str, list[Content]]] = defaultdict(lambda: defaultdict(list))
        for r in rows:
            if r.unit == "percent" and r.material.endswith("oil"):
                by_material[r.material][r.compound_id].append(r)
        for material, found in by_material.items():
            total = sum(middle_of(v) for v in found.values()) / UNIT_TO_MG_PER_KG["percent"]
            if not OIL_SUM_OK[0] <= total <= OIL_SUM_OK[1]:
                out[f"{ingredient_id}/{material}"] = round(total, 1)
    return dict(sorted(out.items()))


def _outliers(catalog: Catalog) -> list[str]:
    out = []
    for ingredient_id, rows in sorted(catalog.composition.items()):
        facts: dict[tuple[str, str], list[tuple[float, float, str]]] = defaultdict(list)
        for r in rows:
            factor = UNIT_TO_MG_PER_KG[r.unit]
            facts[(r.material, r.compound_id)].append(
                (r.low * factor, r.high * factor, r.source_id)
            )
        for (material, compound_id), seen in sorted(facts.items()):
            for i, (low, high, source_id) in enumerate(seen):
                others = seen[:i] + seen[i + 1 :]
                if not others:
                    continue
                above = low > OUTLIER * max(h for _, h, _ in others)
                below = high * OUTLIER < min(lo for lo, _, _ in others)
                if above or below:
                    word = "above" if above else "below"
                    out.append(
                        f"{ingredient_id}/{material} {compound_id}: {source_id} is more than ten "
                        f"times {word} every other source"
                    )
    return out


def _disagreeing(catalog: Catalog) -> list[str]:
    out = []
    for compound_id, rows in sorted(catalog.thresholds.items()):
        smelled = [r for r in rows if r.kind == "odour-orthonasal" and r.counted]
        if len(smelled) < 2:
            continue
        low, high = min(r.low_ug_per_l for r in smelled), max(r.high_ug_per_l for r in smelled)
        if low > 0 and high > OUTLIER * low:
            digits = max(0, 2 - math.floor(math.log10(low))) if low < 1 else 1
            out.append(f"{compound_id}: {low:.{min(digits, 6)}f} to {high:g} ug/l")
    return out
