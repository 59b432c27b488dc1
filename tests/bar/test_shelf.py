"""Shelf and money: a fruit covers its peel and juice, partial says partial, what runs out first."""

import pytest

from pairing.bar.shelf import purchases, shelf_of, spend
from pairing.evidence.catalog import load

CATALOG = load()


def test_a_fruit_covers_its_peel_and_its_juice() -> None:
    """The finding: a price for oranges did not price their peel, stock was silently not counted."""
    (bought,) = purchases(CATALOG, {"navel-orange-peel": 20.0, "navel-orange-juice": 60.0})
    assert bought.item == "navel-orange"
    assert set(bought.covers) == {"navel-orange-peel", "navel-orange-juice"}
    (peel,) = purchases(CATALOG, {"navel-orange-peel": 20.0})
    assert bought.grams == pytest.approx(peel.grams)  # the juice comes with the peel
    assert peel.grams == pytest.approx(200.0)  # a tenth of a fruit is peel without pith
    assert peel.pieces is not None
    assert spend((peel,), {"navel-orange": 2.0}).total == pytest.approx(0.4)


def test_slices_are_bought_on_top() -> None:
    both = purchases(CATALOG, {"mandarin": 150.0, "mandarin-peel": 10.0})
    assert [p.grams for p in both] == [pytest.approx(250.0)]


def test_what_has_a_price_of_its_own_is_bought_as_it_is() -> None:
    (own,) = purchases(CATALOG, {"mandarin-peel": 10.0}, {"mandarin-peel": 30.0})
    assert own.item == "mandarin-peel"
    (dried,) = purchases(CATALOG, {"dried-tangerine-peel": 10.0})
    assert dried.item == "dried-tangerine-peel"


def test_partial_says_partial() -> None:
    bought = purchases(CATALOG, {"clove": 2.0, "white-cane-sugar": 300.0})
    spent = spend(bought, {"white-cane-sugar": 1.5})
    assert spent.total == pytest.approx(0.45)
    assert spent.partial
    assert spent.missing == ("clove",)
    assert not spend(bought, {"white-cane-sugar": 1.5, "clove": 40.0}).partial


def test_what_runs_out_first() -> None:
    bought = purchases(CATALOG, {"clove": 2.0, "mandarin-peel": 10.0, "white-cane-sugar": 300.0})
    shelf = shelf_of(bought, {"mandarin": 350.0, "clove": 100.0})
    assert shelf is not None
    assert (shelf.first, shelf.times) == ("mandarin", 3)
    assert shelf.not_counted == ("white-cane-sugar",)
    short = shelf_of(bought, {"mandarin": 40.0})
    assert short is not None
    assert short.short_g == {"mandarin": pytest.approx(60.0)}
    assert shelf_of(bought, {"saffron": 1.0}) is None
