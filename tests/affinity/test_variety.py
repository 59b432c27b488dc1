"""The ranking is the coffee's: over unlike coffees, unlike answers."""

from __future__ import annotations

from collections import Counter

import pytest

from pairing.affinity import search
from pairing.aroma import coffee, cup
from pairing.evidence.catalog import Catalog

LEAST_CUPS = 10


@pytest.fixture(scope="module")
def answers(catalog: Catalog) -> dict[tuple[str, str], list[search.Blend]]:
    held = cup.cups(catalog)
    origins = [o for o in catalog.origins if held.size.get(("origin", o), (0, 0))[0] >= LEAST_CUPS]
    assert len(origins) >= 15
    return {
        (o, roast): search.suggest(catalog, [coffee.brewed(catalog, o, roast=roast)])
        for o in origins
        for roast in ("light", "medium", "dark")
    }


def test_number_one_is_not_the_same_for_more_than_a_third(
    answers: dict[tuple[str, str], list[search.Blend]],
) -> None:
    # bar.md P1-1: 43 of 43 origins had one number 1
    first = Counter(found[0].form_ids for found in answers.values())
    assert first.most_common(1)[0][1] <= len(answers) / 3


def test_the_top_tens_use_fifty_ingredients(
    answers: dict[tuple[str, str], list[search.Blend]],
) -> None:
    # bar.md P1-1: 22 of 166
    used = {i for found in answers.values() for b in found[:10] for i in b.ingredient_ids}
    assert len(used) >= 50


def test_gesha_and_dark_sumatra_are_two_coffees(
    answers: dict[tuple[str, str], list[search.Blend]],
) -> None:
    gesha = {i for b in answers["panama-gesha", "light"] for i in b.ingredient_ids}
    sumatra = {i for b in answers["sumatra", "dark"] for i in b.ingredient_ids}
    assert answers["panama-gesha", "light"][0] != answers["sumatra", "dark"][0]
    assert len(gesha & sumatra) <= min(len(gesha), len(sumatra)) / 2


@pytest.mark.parametrize("citrus", ["yuzu", "mandarin"])
def test_a_citrus_that_is_asked_for_keeps_unlike_company(catalog: Catalog, citrus: str) -> None:
    # bar.md P1-1: yuzu gave one blend for 12 of 12 unlike coffees
    coffees = [
        coffee.brewed(catalog, o, roast=r)
        for o, r in (
            ("kenya", "light"), ("panama-gesha", "light"), ("brazil", "medium"),
            ("sumatra", "dark"), ("ethiopia", "light"), ("guatemala", "medium"),
        )
    ]  # fmt: skip
    first = Counter(
        search.suggest(catalog, [base], citrus=citrus, top=1)[0].form_ids for base in coffees
    )
    assert first.most_common(1)[0][1] <= len(coffees) / 3


def test_what_is_right_is_in_the_blends(catalog: Catalog) -> None:
    # bar.md P1-1: the line above the table recommended what no blend held
    base = coffee.brewed(catalog, "kenya", "washed", "light", "filter")
    right = {s.ingredient_id for s in search.shelves(catalog, [base]).this}
    for blend in search.suggest(catalog, [base], top=5):
        assert set(blend.ingredient_ids) & right


def test_a_plain_coffee_moves_nothing(catalog: Catalog) -> None:
    plain = coffee.brewed(catalog)
    assert search.shelves(catalog, [plain]).this == ()
    assert all(b.this_coffee == 0.0 for b in search.suggest(catalog, [plain]))


def test_the_bag_speaks_before_the_origin(catalog: Catalog) -> None:
    one = coffee.brewed(catalog, "kenya", notes="black currant, grapefruit")
    other = coffee.brewed(catalog, "sumatra", notes="black currant, grapefruit")
    right = [[s.ingredient_id for s in search.shelves(catalog, [b]).this] for b in (one, other)]
    assert right[0] == right[1]
    assert "grapefruit" in right[0]


def test_a_menu_is_of_unlike_drinks(catalog: Catalog) -> None:
    bases = [coffee.brewed(catalog, o) for o in ("kenya", "brazil", "sumatra")]
    drinks = search.menu(catalog, bases)
    assert len(drinks) == 3
    every = [i for d in drinks for i in d.ingredient_ids]
    assert len(set(every)) == len(every)
