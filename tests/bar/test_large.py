"""A large batch is a plan: fruit by number, pots, bottles, days, sites."""

import pytest

from pairing.aroma.coffee import brewed
from pairing.bar.large import large_plan
from pairing.evidence.catalog import load
from pairing.syrup import formula

CATALOG = load()
BASE = brewed(CATALOG, "burundi", "washed", "light")


def test_forty_litres_are_answered_with_a_plan() -> None:
    """The finding: 1,111 g of peel and no number of oranges; 5 days for 2,575 drinks."""
    names = ("navel-orange-peel", "clove")
    made = formula.make(CATALOG, names, BASE, yield_ml=40_000.0)
    plan = large_plan(CATALOG, made)
    assert plan is not None
    fruit = next(p for p in plan.shopping if p.item == "navel-orange")
    assert fruit.pieces is not None
    assert fruit.pieces > 5
    assert plan.bottles == 58  # 40,000 ml over 700
    assert plan.pans == made.batch.cook.pans
    assert plan.concentrate_g + plan.plain_g == pytest.approx(made.batch.yield_g)
    assert plan.drinks_a_day * plan.days == pytest.approx(made.servings)
    told = " ".join(plan.lines)
    assert "about" in told
    assert "drinks a day" in told


def test_a_small_batch_needs_none_but_sites_do() -> None:
    made = formula.make(CATALOG, ("clove",), BASE)
    assert large_plan(CATALOG, made) is None
    plan = large_plan(CATALOG, made, {"harbour": 10, "station": 5})
    assert plan is not None
    assert dict(plan.sites) == {"harbour": pytest.approx(200.0), "station": pytest.approx(100.0)}


def test_a_concentrate_is_no_bulkier_than_syrup_covers() -> None:
    """Three times 333 g of slices in a kilogram cannot be cooked; spice alone can."""
    fruit = large_plan(CATALOG, formula.make(CATALOG, ("mandarin",), BASE, yield_ml=40_000.0))
    spice = large_plan(CATALOG, formula.make(CATALOG, ("clove",), BASE, yield_ml=40_000.0))
    assert fruit is not None
    assert spice is not None
    bulk = sum(p.grams for p in fruit.shopping if p.item == "mandarin")
    assert bulk / (fruit.concentrate_g / 1000.0) <= 610.0
    assert spice.plain_g == pytest.approx(2.0 * spice.concentrate_g)


def test_ice_takes_up_the_heat_of_the_pot() -> None:
    """By enthalpy: syrup of 57 °Bx holds about 2.9 J/g K (ICUMSA, from memory), ice 334 J/g."""
    made = formula.make(CATALOG, ("mandarin",), BASE, yield_ml=40_000.0)
    plan = large_plan(CATALOG, made)
    assert plan is not None
    each = made.batch.pot_g / plan.pans / 1000.0
    assert plan.ice_kg == pytest.approx(each * 2.9 * 36.0 / 334.0, rel=0.1)
    assert plan.prepare_minutes == pytest.approx(
        60.0 * sum(p.grams for p in plan.shopping if p.item == "mandarin") / 8000.0
    )
    assert "kg of ice" in " ".join(plan.lines)
