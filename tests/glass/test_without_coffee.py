"""Drinks without coffee: chocolate, chai, cascara soda. What is in them, and no word of coffee."""

from __future__ import annotations

import json
import shlex

import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from pairing.aroma.coffee import plain_coffee
from pairing.cli import cli
from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.glass.asked_for import NAMED
from pairing.glass.pour import pour
from pairing.syrup.formula import make

CATALOG = load()
COFFEE = plain_coffee(CATALOG)
CAN = ("iced", "sparkling", "hot", "milk", "iced-milk", "latte", "cappuccino", "tonic", "shaken",
       "nitro", "blended", "mocha")  # fmt: skip


def run(words: str) -> Result:
    return CliRunner(env={"COLUMNS": "80"}).invoke(cli, shlex.split(words))


@pytest.mark.parametrize("style", CAN)
def test_no_coffee_is_weighed_counted_or_named(style: str) -> None:
    made = make(CATALOG, ["vanilla-bean"], COFFEE, style=style)
    poured = pour(CATALOG, COFFEE, made, style=style, coffee_g=0.0)
    drink = poured.drink
    assert drink.coffee_g == 0.0
    assert drink.caffeine_mg[0] == 0.0
    assert drink.served.tds_percent == 0.0
    assert drink.crema_ml == 0.0
    assert "coffee" not in poured.needs_g
    words = " ".join((*drink.steps, *drink.cautions, *(a.words for a in poured.advice))).casefold()
    assert "espresso" not in words
    assert "coffee" not in words.replace("without coffee", "")
    assert drink.volume_ml + drink.headspace_ml == pytest.approx(drink.spec.glass.volume_ml)
    assert drink.headspace_ml >= drink.headspace_needed_ml - 0.5


@pytest.mark.parametrize("style", ["cold-brew", "cortado", "macchiato",
                                   "affogato", "espresso-cocktail", "served-up"])  # fmt: skip
def test_a_drink_made_of_its_coffee_is_refused_without(style: str) -> None:
    with pytest.raises(PairingError) as refused:
        pour(CATALOG, COFFEE, style=style, coffee_g=0.0)
    assert "\n" not in str(refused.value)


@settings(max_examples=40, deadline=None)
@given(style=st.sampled_from(CAN), syrup=st.floats(5.0, 45.0), ice=st.floats(0.5, 1.0))
def test_the_glass_closes_its_ledger(style: str, syrup: float, ice: float) -> None:
    """What is drunk is what went in: syrup, filler, steam, melted ice. Sugar is conserved."""
    row = CATALOG.styles[style]
    ice_g = ice * row.ice_g_per_ml * 355.0 if row.iced else None
    poured = pour(CATALOG, COFFEE, style=style, coffee_g=0.0, syrup_g=syrup, ice_g=ice_g)
    d = poured.drink
    stirred = sum(a.grams for a in d.spec.stirred_in)
    into = syrup + d.filler_g + d.steam_g + d.served.melted_g + stirred
    assert d.served.liquid_g == pytest.approx(into, rel=1e-9)
    syrup_sugar = syrup * 0.667
    bought = sum(a.masses.sugars for a in d.spec.stirred_in)
    mixer = d.spec.mixer.sugar_percent / 100.0 * d.filler_g if d.spec.mixer else 0.0
    assert d.added_sugar_g == pytest.approx(syrup_sugar + bought + mixer, rel=1e-6)


@pytest.mark.parametrize("name", sorted(NAMED))
def test_a_drink_asked_for_by_name_holds_no_coffee(name: str) -> None:
    done = run(f'drink "{name.replace("-", " ")}" --format json')
    assert done.exit_code in (0, 3), done.output
    document = json.loads(done.output)
    assert document["coffee_g"] == 0.0
    assert any("read as: pairing drink" in t for t in document["told"])


def test_chai_in_a_latte_says_that_coffee_may_be_left_out() -> None:
    with_coffee = run("drink chai --style latte --format json")
    assert json.loads(with_coffee.output)["coffee_g"] > 0
    assert any("--without-coffee" in t for t in json.loads(with_coffee.output)["told"])
    alone = run("drink chai --style latte --without-coffee")
    assert "without coffee" in alone.output
    assert "espresso" not in alone.output.casefold()


def test_a_soda_keeps_more_gas_than_with_espresso() -> None:
    """Coffee's heat and crema cost gas (`fizz.lost_on_pouring`): without it more is left."""
    soda = pour(CATALOG, COFFEE, style="sparkling", coffee_g=0.0).drink
    coffee = pour(CATALOG, COFFEE, style="sparkling").drink
    assert soda.co2_volumes > 1.5 * coffee.co2_volumes


def test_hot_chocolate_by_hand() -> None:
    """8 g of 66.7 °Bx syrup and 20 g powder of 70 % sugar: 19.3 g added sugar, milk apart."""
    document = json.loads(run('drink "hot chocolate" --format json').output)
    assert document["added_sugar_g"] == pytest.approx(8 * 0.667 + 20 * 0.70, abs=0.05)
    milk = document["filler_g"]
    # steam by enthalpy, 4 to 65 °C: Short (1955) milk 3.93 J/(g K), water 4.19, 2257 J/g at 100 °C
    steam = milk * 3.93 * 61.0 / (2257.0 + 4.19 * 35.0)
    assert document["steam_g"] == pytest.approx(steam, rel=0.06)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("drink --without-coffee --coffee-g 30", "contradict"),
        ("drink --style cold-brew --without-coffee", "made of its coffee"),
    ],
)
def test_what_makes_no_sense_is_one_line(words: str, told: str) -> None:
    done = run(words)
    assert isinstance(done.exception, PairingError)
    assert told in str(done.exception)
    assert "\n" not in str(done.exception)


# --- what a bar pours that the tables read wrong before ---------------------------------------


def test_condensed_milk_fills_no_glass() -> None:
    """25 to 30 g of it to a phin: common practice, no source. It was 166 g."""
    poured = pour(CATALOG, COFFEE, style="iced-milk", milk="condensed", syrup_g=0.0)
    assert 25.0 <= poured.drink.filler_g <= 30.0
    assert poured.drink.sugar_g < 20.0


def test_a_blended_drink_is_slush() -> None:
    """Crushed ice in it: at its freezing point, not three degrees above."""
    poured = pour(CATALOG, COFFEE, style="blended")
    now = poured.drink.served
    assert now.ice_left_g > 10.0
    assert -2.5 < now.temperature_c < 0.2


def test_a_phin_is_a_phin() -> None:
    """25 g to 100-110 ml gives about 60 ml (two brewing guides, read); it was shown as a moka."""
    brew = CATALOG.brews["phin"]
    assert brew.dose_g == 25.0
    assert brew.volume_ml == pytest.approx(60.0, rel=0.08)
    moka, espresso = CATALOG.brews["moka"], CATALOG.brews["double-espresso"]
    assert moka.tds_percent < brew.tds_percent < espresso.tds_percent
    # what dissolves of 25 g: coffee gives 14 to 22 % (common practice)
    assert 0.14 < brew.tds_percent / 100.0 * brew.beverage_g / brew.dose_g < 0.22
