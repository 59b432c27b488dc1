"""Loudest odorants of fresh citrus juice against published rankings.

Hinterholzer and Schieberle 1998 and Buettner and Schieberle 1999, 2001: the lists in
``shared/juice_odorants.csv`` are recalled from memory, not reopened.
"""

from __future__ import annotations

import csv
import math
from collections import defaultdict
from pathlib import Path
from statistics import fmean

import pytest

from pairing.aroma.threshold import threshold_of
from pairing.evidence.catalog import load

ROOT = Path(__file__).parents[2]
LOUDEST = 12
Row = dict[str, str]


def read(path: str) -> list[Row]:
    with (ROOT / path).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


RANKINGS: dict[tuple[str, str], list[str]] = defaultdict(list)
for ranked in read("shared/juice_odorants.csv"):
    RANKINGS[ranked["ingredient_id"], ranked["citation"]].append(ranked["compound_id"])


@pytest.fixture(scope="module")
def log_thresholds() -> dict[str, float]:
    """Log threshold in water by nose [ln ug/l]; what is only felt is left out."""
    out = {}
    for compound_id, rows in load(ROOT / "data").thresholds.items():
        found = threshold_of([r for r in rows if r.kind != "pungency"])
        if found is not None:
            out[compound_id] = math.log(found.best)
    return out


def juice(ingredient: str) -> dict[str, float]:
    """Mean log concentration of each compound in the juice [ln ug/l]."""
    found: dict[str, list[float]] = defaultdict(list)
    for row in read("data/composition.csv"):
        if row["ingredient_id"] == ingredient and row["material"] == "juice":
            assert row["unit"] == "ug_per_l"
            found[row["compound_id"]].append(math.log(float(row["low"]) * float(row["high"])) / 2)
    return {name: fmean(values) for name, values in found.items()}


def test_both_fruits_have_two_rankings() -> None:
    fruits = [ingredient for ingredient, _ in RANKINGS]
    assert sorted(fruits) == ["grapefruit", "grapefruit", "sweet-orange", "sweet-orange"]
    assert all(len(names) >= 6 for names in RANKINGS.values())


@pytest.mark.parametrize(("ingredient", "citation"), RANKINGS)
def test_published_key_odorants_are_among_our_loudest(
    ingredient: str, citation: str, log_thresholds: dict[str, float]
) -> None:
    content = juice(ingredient)
    log_oav = {n: c - log_thresholds[n] for n, c in content.items() if n in log_thresholds}
    loudest = sorted(log_oav, key=log_oav.__getitem__, reverse=True)[:LOUDEST]
    assert len(content) > LOUDEST  # otherwise the test could not fail
    with_amount = [n for n in RANKINGS[ingredient, citation] if n in content]
    assert len(with_amount) >= 6
    missed = [n for n in with_amount if n not in loudest]
    assert len(missed) / len(with_amount) <= 0.2, f"not among the loudest: {missed}"
