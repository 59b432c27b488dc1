"""Oil compositions against the limits of their standards and pharmacopoeia monographs.

``shared/oil_standards*.csv`` hold the limits, each with its standard. A limit is a window for oils
that are sold under the name; market spice is often wider (design note: pharmacopoeia windows are
narrower than market spice), so the package is asked to centre on the window, not to lie in it.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from pathlib import Path

import pytest

from pairing.evidence.catalog import load
from pairing.evidence.ranges import UNIT_TO_MG_PER_KG, middle_of

ROOT = Path(__file__).parents[2]
# Area shares of one oil differ by about a tenth between laboratories: common practice, no source.
TOLERANCE = 1.10
SHARE_OF_LIMITS = 0.80
# Oils whose printed analyses really lie outside their standard, with the reason.
OFF_STANDARD = {
    "rose oil": "most analyses read in print are of Iranian oils rich in waxes",
}
Row = dict[str, str]
Range = tuple[float, float, str]
Ranges = dict[tuple[str, str, str], list[Range]]


def read(path: Path) -> list[Row]:
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


LIMITS = [
    row for path in sorted((ROOT / "shared").glob("oil_standards*.csv")) for row in read(path)
]


def name(row: Row) -> str:
    return f"{row['oil']}: {row['compound_id']}"


@pytest.fixture(scope="module")
def ranges() -> Ranges:
    """Every sourced percent range of the package, by ingredient, material and compound."""
    found: Ranges = defaultdict(list)
    for row in read(ROOT / "data" / "composition.csv"):
        if row["unit"] == "percent":
            key = (row["ingredient_id"], row["material"], row["compound_id"])
            found[key].append((float(row["low"]), float(row["high"]), row["source_id"]))
    return found


def package(row: Row, ranges: Ranges) -> list[Range]:
    found = ranges[(row["ingredient_id"], row["material"], row["compound_id"])]
    assert found, f"the package has no row for {name(row)}"
    return found


def best(row: Row) -> float:
    """Best estimate in percent, as the package reckons it."""
    held = load(ROOT / "data").composition[row["ingredient_id"]]
    key = (row["material"], row["compound_id"])
    found = [r for r in held if (r.material, r.compound_id) == key and r.unit == "percent"]
    return middle_of(found) / UNIT_TO_MG_PER_KG["percent"]


def centred(row: Row, ranges: Ranges) -> bool:
    assert package(row, ranges)
    value = best(row)
    return float(row["low"]) / TOLERANCE <= value <= float(row["high"]) * TOLERANCE


def overlaps(row: Row, found: list[Range]) -> bool:
    low, high = min(r[0] for r in found), max(r[1] for r in found)
    return low <= float(row["high"]) * TOLERANCE and high >= float(row["low"]) / TOLERANCE


def test_table_is_broad_and_every_limit_names_its_standard() -> None:
    assert len({row["oil"] for row in LIMITS}) >= 15
    assert len(LIMITS) >= 120
    for row in LIMITS:
        assert row["standard"], name(row)
        assert row["evidence"] in {"read", "memory"}, name(row)
        assert 0 <= float(row["low"]) < float(row["high"]) <= 100, name(row)


def test_at_least_four_fifths_of_each_oils_limits_hold_the_best_estimate(ranges: Ranges) -> None:
    met: dict[str, list[bool]] = defaultdict(list)
    for row in LIMITS:
        met[row["oil"]].append(centred(row, ranges))
    low = {oil: sum(m) / len(m) for oil, m in met.items() if sum(m) / len(m) < SHARE_OF_LIMITS}
    assert set(low) == set(OFF_STANDARD), low


def test_every_range_overlaps_its_limit(ranges: Ranges) -> None:
    apart = [name(row) for row in LIMITS if not overlaps(row, package(row, ranges))]
    assert not apart


def test_every_miss_has_a_reason_and_no_reason_is_stale(ranges: Ranges) -> None:
    wrong = [name(row) for row in LIMITS if centred(row, ranges) == bool(row["exception"])]
    assert not wrong


def test_analyses_other_than_the_standard_agree_with_it(ranges: Ranges) -> None:
    """A limit that is itself a package row confirms nothing: leave its own rows out."""
    agreed, compared = 0, 0
    for row in LIMITS:
        others = [r for r in package(row, ranges) if r[2] != row.get("source_id", "")]
        if row.get("source_id") and others:
            compared += 1
            agreed += overlaps(row, others)
    assert compared >= 60
    assert agreed / compared >= 0.90, f"{agreed} of {compared}"


def test_the_check_can_fail(ranges: Ranges) -> None:
    row = next(r for r in LIMITS if r["oil"] == "clove oil" and r["compound_id"] == "eugenol")
    wrong = {**row, "low": "1", "high": "5"}
    assert centred(row, ranges)
    assert not centred(wrong, ranges)
    assert not overlaps(wrong, package(wrong, ranges))
