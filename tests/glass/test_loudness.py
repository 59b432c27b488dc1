"""Dust, garnish and infused milk count: in the share of loudness, and in the sums of safety."""

from __future__ import annotations

import pytest

from pairing.aroma.coffee import plain_coffee
from pairing.evidence.catalog import load
from pairing.glass.pour import Poured, pour
from pairing.syrup.formula import make

CATALOG = load()
COFFEE = plain_coffee(CATALOG)


def latte(*names: str, **add: str) -> Poured:
    made = make(CATALOG, names, COFFEE, style="latte") if names else None
    wishes = {k.replace("_", " "): v for k, v in add.items()}
    return pour(CATALOG, COFFEE, made, style="latte", add=wishes or None)


def coumarin_mg(poured: Poured) -> float:
    return max((f.amount or 0.0 for f in poured.findings if f.subject == "coumarin"), default=0.0)


@pytest.mark.parametrize(
    ("name", "said"),
    [("cassia", "0.3g"), ("ceylon cinnamon", "0.3g"), ("orange peel", "1 strip"),
     ("green cardamom in milk", "0.3g"), ("mint", "1 sprig"), ("cocoa powder", "1g")],
)  # fmt: skip
def test_what_is_added_makes_the_spice_louder(name: str, said: str) -> None:
    if name == "mint":
        said = "2g"
    before, after = latte("vanilla-bean"), latte("vanilla-bean", **{name: said})
    assert after.spice_share is not None
    assert before.spice_share is not None
    assert after.spice_share > before.spice_share
    plain = latte(**{name: said})
    assert plain.spice_share is not None
    assert 0.0 < plain.spice_share < after.spice_share


def test_more_dust_is_louder_and_no_dust_is_none() -> None:
    shares = [latte("clove", cassia=f"{g}g").spice_share or 0.0 for g in (0.05, 0.2, 0.8)]
    assert shares == sorted(shares)
    assert latte().spice_share is None


def test_dust_adds_to_the_coumarin_of_the_syrup() -> None:
    """Cassia dust on a cassia latte: the sum of both, not the larger of the two."""
    syrup, dust = coumarin_mg(latte("cassia")), coumarin_mg(latte(cassia="0.4g"))
    both = coumarin_mg(latte("cassia", cassia="0.4g"))
    assert min(syrup, dust) > 0.05
    assert both == pytest.approx(syrup + dust, rel=0.02)


def test_infused_milk_adds_to_it_too() -> None:
    syrup = coumarin_mg(latte("cassia"))
    both = coumarin_mg(latte("cassia", **{"cassia in milk": "0.4g"}))
    assert both > syrup * 1.2


def test_cinnamon_without_a_name_counts_as_cassia() -> None:
    """The jar of a kitchen is mostly cassia: what the dust is not named counts as the worst."""
    named, jar = coumarin_mg(latte(cassia="0.4g")), coumarin_mg(latte(cinnamon="0.4g"))
    assert jar == pytest.approx(named, rel=0.05)
