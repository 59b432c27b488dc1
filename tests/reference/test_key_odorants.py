"""Odour activity rankings of ingredients against key odorants that sensory studies name.

``shared/key_odorants.csv`` lists, per ingredient, odorants that published dilution, omission or
odour-activity studies call key, each with its citation. Rows that do not claim potency in the
ingredient as sold (a fault, a raw nut, the air over a powder) are kept but not ``scored``; nor
are dilution factors from a paper that ranks by odour activity value as well.

The package ranks by concentration over threshold in water. In fatty foods (nuts, sesame, cacao)
the odorants act from oil, which quiets the lipophilic ones; those rows have matrix ``fat``, and
are only asked to agree at least as often as not.

High odour activity alone is not importance and a key odorant need not be among the ten loudest,
so the target is a share, and every miss stands in ``shared/key_odorants_misses.csv``.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest

from pairing.aroma.odour import form_odours
from pairing.evidence.catalog import load

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


@cache
def ranking(ingredient_id: str) -> dict[str, int]:
    """Rank of each odorant with an amount and a threshold in the default form, loudest = 1.

    Pungent principles are felt, not smelled, and are passed over.
    """
    package = load(ROOT / "data")
    odours = [
        odour
        for odour in form_odours(package, package.forms[ingredient_id])
        if odour.oav > 0 and odour.group_id != "pungent-tingling"
    ]
    return {odour.compound_id: i for i, odour in enumerate(odours, 1)}


def rankable(row: Row) -> bool:
    return row["compound_id"] in ranking(row["ingredient_id"])


def is_hit(row: Row) -> bool:
    return ranking(row["ingredient_id"])[row["compound_id"]] <= LOUDEST


def share(rows: list[Row]) -> float:
    ranked = [row for row in rows if rankable(row)]
    return sum(is_hit(row) for row in ranked) / len(ranked)


def test_table_is_broad_and_cited() -> None:
    assert len({row["ingredient_id"] for row in KEY}) >= 25
    assert sum(rankable(row) for row in KEY) >= 90
    assert all(row["citation"] and row["evidence"] in {"read", "memory"} for row in KEY)


def test_key_odorants_are_among_the_ten_loudest() -> None:
    assert share([row for row in KEY if row["matrix"] == "water"]) >= 0.85


def test_fatty_foods_agree_nearly_as_often_as_not() -> None:
    """10 of 22: those studies divide by thresholds in oil, where acids are far louder."""
    assert share([row for row in KEY if row["matrix"] == "fat"]) >= 0.45


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
