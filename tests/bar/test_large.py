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
