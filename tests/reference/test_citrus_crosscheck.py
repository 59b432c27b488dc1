"""Citrus oil compositions against published analyses that the data package does not hold.

Each row of ``shared/citrus_composition_crosscheck.csv`` names its publication. A package row from
the same publication is left out, so that no value confirms itself.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FACTOR = 2.0
Row = dict[str, str]
Ranges = dict[tuple[str, str, str], list[tuple[float, float, str]]]


def read(path: str) -> list[Row]:
    with (ROOT / path).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


CHECKS = read("shared/citrus_composition_crosscheck.csv")


@pytest.fixture(scope="module")
def ranges() -> Ranges:
    found: Ranges = defaultdict(list)
    for row in read("data/composition.csv"):
        key = (row["ingredient_id"], row["material"], row["compound_id"])
        if row["unit"] == "percent":
            found[key].append((float(row["low"]), float(row["high"]), row["source_id"]))
    return found


def within(check: Row, ranges: Ranges) -> bool:
    """Tell whether the published range comes within a factor of two of the package's union."""
    key = (check["ingredient_id"], check["material"], check["compound_id"])
    others = [r for r in ranges[key] if r[2] != check["source_id"]]
    assert others, f"no package row to compare for {key}"
    low, high = min(r[0] for r in others), max(r[1] for r in others)
    return float(check["low"]) <= high * FACTOR and float(check["high"]) >= low / FACTOR


def test_table_is_sourced_and_broad() -> None:
    assert len(CHECKS) >= 80
    assert len({row["ingredient_id"] for row in CHECKS}) >= 8
    assert all(row["citation"] and row["evidence"] == "read" for row in CHECKS)


def test_at_least_85_percent_of_published_values_agree(ranges: Ranges) -> None:
    agreed = sum(within(row, ranges) for row in CHECKS)
    assert agreed / len(CHECKS) >= 0.85, f"{agreed} of {len(CHECKS)}"


def test_every_disagreement_has_a_reason_and_no_reason_is_stale(ranges: Ranges) -> None:
    for row in CHECKS:
        name = f"{row['ingredient_id']} {row['compound_id']} {row['source_id']}"
        assert within(row, ranges) == (not row["exception"]), name
