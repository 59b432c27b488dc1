"""As sweet as sugar: how much syrup of another sweetener, by an own count of the sugars."""

from __future__ import annotations

import json
import re
import shlex

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from pairing.aroma.coffee import plain_coffee
from pairing.cli import cli
from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.syrup.formula import Formula, make
from pairing.syrup.lighter import as_sweet_as_sugar

CATALOG = load()
COFFEE = plain_coffee(CATALOG)
# Fructose by temperature, recalled from Shallenberger (1993); glucose 0.70, Belitz et al. (2009);
# maltose 0.40, erythritol 0.65 and allulose 0.70 as the table of sweeteners has them
FRUCTOSE = ((5.0, 1.40), (60.0, 0.82))


def swapped(sweetener: str | dict[str, float], grams: float = 20.0, **more: object) -> Formula:
    return as_sweet_as_sugar(
        lambda sweet, g: make(CATALOG, ["clove"], COFFEE, sweetener=sweet, serving_g=g, **more),  # type: ignore[arg-type]
        sweetener,
        grams,
    )


def sweet_g(made: Formula, at_c: float) -> float:
    """Sucrose as sweet as what is in a drink, counted anew from the composition [g]."""
    c = made.batch.composition
    fructose = float(np.interp(at_c, *zip(*FRUCTOSE, strict=True)))
    sweet = c.sucrose + 0.70 * c.glucose + fructose * c.fructose + c.other_sweet
    return sweet / c.total * made.glass.syrup_g


@pytest.mark.parametrize("style", ["iced", "latte"])
@pytest.mark.parametrize(
    "sweetener",
    ["honey", "agave", "allulose", "fructose", "muscovado", {"sugar": 70.0, "erythritol": 30.0},
     {"sugar": 50.0, "allulose": 50.0}, {"sugar": 60.0, "xylitol": 40.0}],
)  # fmt: skip
def test_the_drink_is_as_sweet(sweetener: str | dict[str, float], style: str) -> None:
    made = swapped(sweetener, style=style)
    sugar = make(CATALOG, ["clove"], COFFEE, style=style)
    at_c = 60.0 if style == "latte" else 5.0
    half_a_step = 0.26 / made.glass.syrup_g
    assert sweet_g(made, at_c) == pytest.approx(sweet_g(sugar, at_c), rel=half_a_step)
    assert made.glass.syrup_g == pytest.approx(2 * made.glass.syrup_g // 1 / 2)
    assert any("as sweet as 20 g" in n for n in made.notices)
    assert not any("less sweet" in n for n in made.notices)


@settings(max_examples=25, deadline=None)
@given(share=st.floats(5.0, 95.0), grams=st.floats(8.0, 40.0))
def test_any_share_is_as_sweet(share: float, grams: float) -> None:
    made = swapped({"sugar": 100.0 - share, "allulose": share}, grams)
    sugar = make(CATALOG, ["clove"], COFFEE, serving_g=grams)
    assert sweet_g(made, 5.0) == pytest.approx(sweet_g(sugar, 5.0), abs=0.26 * 0.7)


def test_white_sugar_is_as_sweet_as_itself() -> None:
    assert swapped("sugar").glass.syrup_g == 20.0


def test_doses_are_for_the_amount_that_is_poured() -> None:
    """More syrup in a drink carries less spice in each gram: the drink holds about the same."""
    more, usual = swapped("agave"), make(CATALOG, ["clove"], COFFEE, sweetener="agave")
    assert more.glass.syrup_g > usual.glass.syrup_g
    assert more.doses[0].g_per_kg < usual.doses[0].g_per_kg


def test_what_can_not_be_as_sweet_is_one_line() -> None:
    with pytest.raises(PairingError, match="make it stronger, or blend in more sugar"):
        swapped("rice-syrup")


@pytest.mark.parametrize("words", ["formula clove", "drink clove", "label clove"])
def test_every_command_that_makes_a_syrup_takes_it(words: str) -> None:
    done = CliRunner().invoke(cli, shlex.split(f"{words} --sweetener honey --as-sweet"))
    assert done.exit_code == 0, done.output


def test_the_calculator_says_how_much_is_as_sweet() -> None:
    """Honey 2:1 by hand: 38 % fructose, 31 % glucose, 7 % maltose of the honey, 68 % in it."""
    done = CliRunner().invoke(
        cli, shlex.split("ratio --strength 2:1 --yield-g 500 --sweetener honey")
    )
    row = CATALOG.sweetener("honey")
    for at_c, word in ((5.0, "cold"), (60.0, "hot")):
        fructose = float(np.interp(at_c, *zip(*FRUCTOSE, strict=True)))
        sweet = (
            row.sucrose_percent + 0.7 * row.glucose_percent + fructose * row.fructose_percent
            + 0.4 * row.other_sugars_percent
        ) / 100.0 * 2.0 / 3.0  # fmt: skip
        takes = 20.0 * (2.0 / 3.0) / sweet
        assert f"{takes:.1f} g {word}" in done.output


def test_allulose_is_no_sugar_on_the_yield_line() -> None:
    """The line that was wrong: 12 g sugar each, beside a note that said 6.1 g."""
    done = CliRunner().invoke(
        cli, shlex.split("formula clove --sweetener sugar=50 --sweetener allulose=50 --market us "
                         "--format json")
    )  # fmt: skip
    document = json.loads(done.output)
    each = document["sweeteners"][0]["grams"] / document["yield_g"] * 20.0
    assert document["sugar_per_serving_g"] == pytest.approx(each, rel=0.05)


def test_a_swap_meets_what_the_calculator_meets() -> None:
    """Allulose stops `ratio`; it stopped no swap."""
    done = CliRunner().invoke(cli, shlex.split("ratio swap-sweetener sugar allulose --grams 100"))
    assert done.exit_code == 3
    assert done.output.startswith("STOP: Allulose")
    us = CliRunner().invoke(
        cli, shlex.split("ratio swap-sweetener sugar allulose --grams 100 --market us --served hot")
    )
    assert us.exit_code == 0
    assert "say --served" not in us.output


def test_the_grams_that_are_told_are_those_the_limit_counts() -> None:
    """One answer once said 3.5 g of erythritol in a drink, and 4,436 mg of it two lines above."""
    asked = "formula mandarin clove --sweetener sugar=70 --sweetener erythritol=30"
    said = " ".join(CliRunner().invoke(cli, shlex.split(asked)).output.split())
    (told,) = re.findall(r"Erythritol, [\d.]+ g in a drink, ([\d.]+) g at most", said)
    (counted,) = re.findall(r"erythritol \(([\d,]+) mg per drink\)", said)
    assert float(told) == pytest.approx(float(counted.replace(",", "")) / 1000, abs=0.06)
