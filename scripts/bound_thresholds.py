"""Bound thresholds that nobody measured by published rankings, and write them down.

A dilution, olfactometry or odour-activity study that puts one odorant above another in the same
ingredient says that concentration over threshold is at least as high. With the amounts of the
package and the threshold of the lower one that bounds the threshold of the upper one:

    T(upper) <= T(lower) x amount(upper) / amount(lower) x factor(lower) / factor(upper)

(the last ratio where both dilution factors are printed). The row stores the bound itself, the
least that the ranking asks for, or the family estimate where that already lies below it. The
rankings used are marked ``bound`` in ``rankings.csv`` and are no check of the package any more.

Run from a checkout: ``python scripts/bound_thresholds.py`` rewrites those rows of
``data/thresholds.csv``.
"""

from __future__ import annotations

import csv
from pathlib import Path

from pairing.aroma.odour import amounts
from pairing.aroma.threshold import threshold_of
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Ranking
from pairing.files import write_atomically

DATA = Path(__file__).resolve().parents[1] / "data"


def bound(catalog: Catalog, row: Ranking) -> float:
    """Threshold at which a ranking comes out, ug/l."""
    rows = [r for r in catalog.thresholds.get(row.compound_id, ()) if r.kind == "estimate"]
    family = threshold_of(rows)
    if not row.over:
        if family is None:
            raise ValueError(f"{row.ranking_id}: nothing ranked below it and no family")
        return family.best
    held = amounts(catalog, catalog.forms[row.ingredient_id])
    lower = threshold_of(catalog.thresholds[row.over])
    if lower is None:
        raise ValueError(f"{row.ranking_id}: {row.over} has no threshold")
    factors = {r.compound_id: r.value for r in catalog.rankings[row.ingredient_id]}
    above, below = factors.get(row.compound_id), factors.get(row.over)
    ratio = below / above if above and below else 1.0
    most = lower.best * held[row.compound_id][1] / held[row.over][1] * ratio
    return min(most, family.best) if family else most


def main() -> None:
    """Rewrite the bounded rows of thresholds.csv."""
    catalog = Catalog(DATA)
    path = DATA / "thresholds.csv"
    with path.open(encoding="utf-8", newline="") as handle:
        reader = csv.DictReader(handle)
        columns = list(reader.fieldnames or ())
        rows = [r for r in reader if r["kind"] != "bound"]
    for ranked in (r for rows_ in catalog.rankings.values() for r in rows_ if r.use == "bound"):
        value = f"{bound(catalog, ranked):.2g}"
        over = f"above {ranked.over}" if ranked.over else "first"
        rows.append(
            dict.fromkeys(columns, "")
            | {
                "threshold_id": f"{ranked.compound_id}.ranking-bound",
                "compound_id": ranked.compound_id,
                "low_ug_per_l": value,
                "high_ug_per_l": value,
                "kind": "bound",
                "medium": "water",
                "task": "unknown",
                "counted": "no",
                "why_not": "bound",
                "source_id": "ranking-bound",
                "evidence": "memory",  # the weakest link: amounts are recalled
                "note": f"at most: {ranked.ranking_id} ranks it {over} ({ranked.evidence})",
            }
        )
    rows.sort(key=lambda r: (r["compound_id"], r["kind"], r["source_id"], r["threshold_id"]))
    lines = [columns, *([r[c] for c in columns] for r in rows)]
    with_commas = _csv(lines)
    write_atomically(path, with_commas)


def _csv(lines: list[list[str]]) -> str:
    import io

    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(lines)
    return out.getvalue()


if __name__ == "__main__":
    main()
