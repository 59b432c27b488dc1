"""Thresholds that nobody measured: the family's mean, or a bound by a published ranking.

A dilution, olfactometry or odour-activity study that puts one odorant above another in the same
ingredient says that concentration over threshold is at least as high. With the amounts of the
package and the threshold of the lower one that bounds the threshold of the upper one:

    T(upper) <= T(lower) x amount(upper) / amount(lower) x factor(lower) / factor(upper)

(the last ratio where both dilution factors are printed). The row stores the bound itself, the
least that the ranking asks for, or the family estimate where that already lies below it. The
rankings used are marked ``bound`` in ``rankings.csv`` and are no check of the package any more.

A family estimate is the geometric mean of the family's known thresholds; its ends lie sqrt(3)
errors off, the error being that of the rule when each member is left out (at least 0.89 decades,
that of the whole table). The members stand in the row's note. An estimate is dropped once the
compound is measured.

Run from a checkout: ``python scripts/bound_thresholds.py`` rewrites those rows of
``data/thresholds.csv``.
"""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

from pairing.aroma.odour import amounts
from pairing.aroma.threshold import threshold_of
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Ranking
from pairing.files import write_atomically

DATA = Path(__file__).resolve().parents[1] / "data"
FAMILY = re.compile(r"^(?P<name>.*): geometric mean [0-9.e+-]+ ug/l of (?P<of>[a-z0-9;-]+), error ")
RULE_ERROR = 0.89  # decades, of the rule over all families with each compound left out


def estimate(catalog: Catalog, note: str) -> dict[str, str]:
    """Ends and note of a family estimate from the members named in its note."""
    named = FAMILY.match(note)
    if named is None:
        raise ValueError(f"no family in {note!r}")
    logs = []
    for member in named["of"].split(";"):
        found = threshold_of(catalog.thresholds[member])
        if found is not None and found.standing != "estimate":
            logs.append(math.log10(found.best))
    mean = sum(logs) / len(logs)
    off = [x - (sum(logs) - x) / (len(logs) - 1) for x in logs]
    error = max(RULE_ERROR, math.sqrt(sum(x * x for x in off) / len(off)))
    half = math.sqrt(3.0) * error
    return {
        "low_ug_per_l": f"{float(f'{10 ** (mean - half):.2g}'):g}",
        "high_ug_per_l": f"{float(f'{10 ** (mean + half):.2g}'):g}",
        "note": f"{named['name']}: geometric mean {10**mean:.3g} ug/l of {named['of']}, "
        f"error of the rule with one left out {error:.2f} decades",
    }


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
    """Rewrite the estimated and bounded rows of thresholds.csv."""
    _write(_estimated(Catalog(DATA)))
    catalog = Catalog(DATA)
    rows = [r for r in _stored() if r["kind"] != "bound"]
    columns = list(rows[0])
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
    _write(rows)


def _estimated(catalog: Catalog) -> list[dict[str, str]]:
    measured = {
        c
        for c, rows in catalog.thresholds.items()
        if any(r.counted and r.kind != "estimate" for r in rows)
    }
    kept = [r for r in _stored() if r["kind"] != "estimate" or r["compound_id"] not in measured]
    for row in kept:
        if row["kind"] == "estimate":
            row |= estimate(catalog, row["note"])
    return kept


def _stored() -> list[dict[str, str]]:
    with (DATA / "thresholds.csv").open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def _write(rows: list[dict[str, str]]) -> None:
    rows.sort(key=lambda r: (r["compound_id"], r["kind"], r["source_id"], r["threshold_id"]))
    columns = list(rows[0])
    write_atomically(DATA / "thresholds.csv", _csv([columns, *([*r.values()] for r in rows)]))


def _csv(lines: list[list[str]]) -> str:
    import io

    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(lines)
    return out.getvalue()


if __name__ == "__main__":
    main()
