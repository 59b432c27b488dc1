"""Odour activity rankings of ingredients against key odorants that sensory studies name.

``shared/key_odorants.csv`` lists, per ingredient, odorants that published dilution, omission or
odour-activity studies call key, each with its citation. Rows that do not claim potency in the
ingredient as sold (a fault, a raw nut, the air over a powder) are kept but not ``scored``; nor
are dilution factors from a paper that ranks by odour activity value as well.

The package ranks by concentration over threshold in water. In fatty foods (nuts, sesame, cacao;
matrix ``fat``) the odorants act from oil and those studies divide by thresholds in oil: there what
counts is what the oil leaves to the water beside it, by the octanol constant and the fixed oil of
``fats.csv``, the partition of the infusion. In water alone 10 of those 22 come among the ten
loudest, from oil 14.

High odour activity alone is not importance and a key odorant need not be among the ten loudest,
so the target is a share, and every miss stands in ``shared/key_odorants_misses.csv``.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest

from pairing.aroma.infusion import Fat
from pairing.aroma.odour import form_odours
from pairing.evidence.catalog import load
from pairing.evidence.ranges import best_estimate
from pairing.evidence.tables import records

ROOT = Path(__file__).parents[2]
LOUDEST = 10
Row = dict[str, str]


def read(name: str) -> list[Row]:
    with (ROOT / "shared" / name).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


KEY = [row for row in read("key_odorants.csv") if row["scored"] == "yes"]
MISSES = {
    (row["ingredient_id"], row["compound_id"]): row for row in read("key_odorants_misses.csv")
}


FATTY = {row["ingredient_id"] for row in KEY if row["matrix"] == "fat"}


@cache
def ranking(ingredient_id: str, from_oil: bool = True) -> dict[str, int]:
    """Rank of each odorant with an amount and a threshold in the default form, loudest = 1.

    Pungent principles are felt, not smelled, and are passed over. Odorants of a fatty food act
    from its oil unless ``from_oil`` is False.
    """
    package = load(ROOT / "data")
    fats = {r.ingredient_id: r for r in records(Fat, ROOT / "data" / "fats.csv")}
    oil = 0.0
    if from_oil and ingredient_id in FATTY:
        row = fats[ingredient_id]
        oil = best_estimate(row.fat_percent_low, row.fat_percent_high) / 100.0
    loud = {}
    for odour in form_odours(package, package.forms[ingredient_id]):
        if odour.oav > 0 and odour.group_id != "pungent-tingling":
            log_p = package.compounds[odour.compound_id].log_p
            held = 10.0 ** (2.5 if log_p is None else log_p)
            loud[odour.compound_id] = odour.oav / (1.0 - oil + oil * held)
    return {c: i for i, c in enumerate(sorted(loud, key=lambda c: -loud[c]), 1)}


def rankable(row: Row) -> bool:
    return row["compound_id"] in ranking(row["ingredient_id"])


def is_hit(row: Row, from_oil: bool = True) -> bool:
    return ranking(row["ingredient_id"], from_oil)[row["compound_id"]] <= LOUDEST


def share(rows: list[Row]) -> float:
    ranked = [row for row in rows if rankable(row)]
    return sum(is_hit(row) for row in ranked) / len(ranked)


def test_table_is_broad_and_cited() -> None:
    assert len({row["ingredient_id"] for row in KEY}) >= 25
    assert sum(rankable(row) for row in KEY) >= 90
    assert all(row["citation"] and row["evidence"] in {"read", "memory"} for row in KEY)


def test_key_odorants_are_among_the_ten_loudest() -> None:
    assert share([row for row in KEY if row["matrix"] == "water"]) >= 0.85


def test_key_odorants_of_fatty_foods_are_loud_from_their_oil() -> None:
    fatty = [row for row in KEY if row["matrix"] == "fat" and rankable(row)]
    in_water = sum(is_hit(row, from_oil=False) for row in fatty)
    print(f"\nfatty foods: {sum(map(is_hit, fatty))} of {len(fatty)}; in water alone {in_water}")
    assert share(fatty) >= 0.60
    assert sum(map(is_hit, fatty)) > in_water


def test_every_miss_is_listed_with_a_reason_and_no_listing_is_stale() -> None:
    missed = {
        (row["ingredient_id"], row["compound_id"])
        for row in KEY
        if rankable(row) and not is_hit(row)
    }
    assert missed == set(MISSES), missed ^ set(MISSES)
    assert all(row["reason"] for row in MISSES.values())


@pytest.mark.parametrize(
    ("ingredient_id", "compound_id"),
    [
        ("black-pepper", "rotundone"),  # Wood et al. 2008
        ("vanilla-bean", "vanillin"),
        ("clove", "eugenol"),
        ("fennel-seed", "trans-anethole"),  # Zeller and Rychlik 2006
        ("caraway", "carvone-s"),
    ],
)
def test_character_impact_odorants_lead(ingredient_id: str, compound_id: str) -> None:
    assert ranking(ingredient_id)[compound_id] <= 2


def test_the_check_can_fail() -> None:
    """Minor constituents of cinnamon bark, had a study named them, would be misses."""
    assert not is_hit({"ingredient_id": "ceylon-cinnamon", "compound_id": "camphor"})
    assert not is_hit({"ingredient_id": "ceylon-cinnamon", "compound_id": "benzaldehyde"})
