from __future__ import annotations

import time

import numpy as np
import pytest

from pairing.affinity.score import score_blends
from pairing.aroma import coffee
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog


@pytest.fixture(scope="module")
def plain(catalog: Catalog) -> coffee.CoffeeBase:
    return coffee.brewed(catalog)


def test_the_score_is_the_sum_of_the_three(catalog: Catalog, plain: coffee.CoffeeBase) -> None:
    found = score_blends(
        catalog,
        [("sweet-orange", "clove", "", ""), ("honey", "lavender"), ("mandarin peel",)],
        plain,
        "milk",
    )
    assert np.allclose(found.score, found.practice + found.this_coffee + found.together)
    assert not found.this_coffee.any()
    assert found.together[2] == 0.0
    assert found.stop == ("", "", "")


def test_partners_that_meet_score_more(catalog: Catalog, plain: coffee.CoffeeBase) -> None:
    meet, apart = score_blends(
        catalog, [("green-cardamom", "saffron"), ("green-cardamom", "maple")], plain
    ).together
    assert meet > 0 > apart


def test_order_of_columns_does_not_matter(catalog: Catalog, plain: coffee.CoffeeBase) -> None:
    a, b = score_blends(
        catalog, [("clove", "", "sweet-orange", "nutmeg"), ("nutmeg", "clove", "sweet-orange")],
        plain, "hot",
    ).score  # fmt: skip
    assert a == pytest.approx(b)


def test_unknown_and_empty_are_left_empty(catalog: Catalog, plain: coffee.CoffeeBase) -> None:
    found = score_blends(catalog, [("clove", "unobtainium"), ("", ""), ("clove",)], plain)
    assert np.isnan(found.score[:2]).all()
    assert np.isfinite(found.score[2])
    assert found.unknown == ("unobtainium",)


def test_a_regulated_plant_is_a_stop(catalog: Catalog, plain: coffee.CoffeeBase) -> None:
    found = score_blends(catalog, [("clove", "sassafras"), ("clove", "nutmeg")], plain)
    assert found.stop[0]
    assert not found.stop[1]


def test_five_and_odd_styles_are_refused(catalog: Catalog, plain: coffee.CoffeeBase) -> None:
    with pytest.raises(PairingError, match="1 to 4"):
        score_blends(catalog, [("clove",) * 5], plain)
    with pytest.raises(PairingError, match="unknown drink"):
        score_blends(catalog, [("clove",)], plain, "flat")


def test_a_hundred_thousand_blends_in_two_seconds(
    catalog: Catalog, plain: coffee.CoffeeBase
) -> None:
    rng = np.random.default_rng(0)
    ids = np.array(list(catalog.ingredients))
    blends = ids[rng.integers(0, len(ids), (100_000, 4))].tolist()
    start = time.process_time()
    score_blends(catalog, blends, plain, "iced")
    assert time.process_time() - start < 2.0
