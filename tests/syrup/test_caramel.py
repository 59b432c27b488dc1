"""Caramel base, blends of sweeteners, vegan: mass kept, cautions first, sweetness lost."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairing.aroma.coffee import plain_coffee
from pairing.cards.bottle import label_for
from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.syrup.brought import sweetener_of
from pairing.syrup.caramel import CARAMELS, COLOURS, Caramel
from pairing.syrup.formula import Formula, make

CATALOG = load()
COFFEE = plain_coffee(CATALOG)
SUGAR = sweetener_of(CATALOG.sweetener("sugar"))


def made_with(*names: str, **more: object) -> Formula:
    return make(CATALOG, names, COFFEE, **more)  # type: ignore[arg-type]


@settings(max_examples=40, deadline=None)
@given(
    how=st.sampled_from(sorted(CARAMELS)),
    shade=st.sampled_from(sorted(COLOURS)),
    names=st.sampled_from([("clove",), ("vanilla-bean", "orange-juice"), ("mandarin", "clove"),
                           ("black-tea",)]),
    yield_g=st.floats(200.0, 5000.0),
    strength=st.sampled_from(["1:1", "1.5:1", "2:1"]),
)  # fmt: skip
def test_a_caramel_closes_its_ledger(
    how: str, shade: str, names: tuple[str, ...], yield_g: float, strength: str
) -> None:
    made = made_with(
        *names, techniques={"sugar": f"{how} {shade}"}, yield_g=yield_g, strength=strength
    )
    batch = made.batch
    into = batch.sugar_g + batch.water_g + sum(made.grams.values())
    out = batch.yield_g + batch.evaporated_g + batch.drained_g + batch.cling_g
    assert into == pytest.approx(out, rel=1e-9)
    assert batch.yield_g == pytest.approx(yield_g, rel=1e-6)
    plain = made_with(*names, yield_g=yield_g, strength=strength)
    lost = COLOURS[shade].lost * 0.998 * batch.sugar_g
    assert batch.evaporated_g - plain.batch.evaporated_g == pytest.approx(lost, rel=0.02)


def test_the_darker_the_less_sugar_and_sweetness_is_left() -> None:
    left = [Caramel("dry-caramel", s).of(SUGAR).sucrose_percent for s in COLOURS]
    gone = [Caramel("dry-caramel", s).less_sweet(SUGAR) for s in COLOURS]
    assert left == sorted(left, reverse=True)
    assert gone == sorted(gone)
    for shade in COLOURS.values():
        assert shade.lost + shade.sucrose + shade.glucose + shade.fructose <= 1.0
        assert shade.low_c < shade.high_c


def test_the_weight_lost_stays_below_what_gelis_weighed() -> None:
    """Gelis (1858), as handbooks repeat it (from memory): caramelan begins at 9 % lost."""
    assert all(shade.lost <= 0.09 for shade in COLOURS.values())


@pytest.mark.parametrize("how", sorted(CARAMELS))
def test_cautions_come_before_the_sugar_and_the_stop_is_hot(how: str) -> None:
    words = " ".join(made_with("clove", techniques={"sugar": how}).steps)
    assert words.index("long sleeves") < words.index("white cane sugar")
    assert words.index("170-176") < words.index("stop it with")
    assert "80-95 °C hot, a splash at a time" in words
    assert "rises to four times" in words


def test_the_stop_is_what_the_pot_holds() -> None:
    def stop(*names: str, **more: object) -> str:
        made = made_with(*names, techniques={"sugar": "dry-caramel"}, **more)
        return next(str(s) for s in made.plan if s.what == "stop")

    assert "g water" in stop("clove")
    assert "strained infusion" in stop("black-tea")
    juice = next(f for f in CATALOG.forms.values() if f.form == "juice-for-water")
    assert "Press the fruit" in stop(juice.form_id)
    assert "Coconut milk" in stop("coconut-milk", "clove")
    whole = " ".join(made_with("coconut-milk", "clove", techniques={"sugar": "dry-caramel"}).steps)
    assert whole.count("Coconut milk") == 2  # weighed, and poured into the caramel


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"techniques": {"sugar": "dry-caramel"}, "sweetener": "honey"}, "makes no caramel"),
        ({"techniques": {"sugar": "dry-caramel"}, "sweetener": "erythritol"}, "makes no caramel"),
        ({"techniques": {"sugar": "dry-caramel burnt"}}, "nothing sugar can be made into"),
        ({"techniques": {"sugar": "simmer"}}, "nothing sugar can be made into"),
        ({"techniques": {"sugar": "cream-caramel"}}, "low in acid, gone in days"),
        ({"techniques": {"sugar": "dry-caramel butter"}}, "pour cream into the glass"),
        ({"techniques": {"clove": "wet-caramel"}}, "is for the sugar"),
        ({"techniques": {"sugar": "dry-caramel"}, "sweetener": {"sugar": 7, "erythritol": 3}},
         "made of one sugar"),
        ({"sweetener": {"sugar": 7, "white cane sugar": 3}}, "named twice"),
        ({"sweetener": {"sugar": 7, "honey": -3}}, "share above 0"),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_one_line(more: dict[str, object], words: str) -> None:
    with pytest.raises(PairingError, match=words) as refused:
        made_with("clove", **more)
    assert "\n" not in str(refused.value)


def test_sugar_that_peel_was_rubbed_into_is_not_browned() -> None:
    with pytest.raises(PairingError, match="rubbed into the sugar"):
        made_with("lemon-peel", techniques={"lemon-peel": "sugar-rub", "sugar": "dry-caramel"})


# --- less sugar ------------------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.2, 0.3])
def test_less_sugar_is_counted_and_told(share: float) -> None:
    plain = made_with("clove", brix=55)
    less = made_with("clove", brix=55, sweetener={"sugar": 1 - share, "erythritol": share})
    fall = 1.0 - (less.batch.composition.sugars / less.batch.yield_g) / (
        plain.batch.composition.sugars / plain.batch.yield_g
    )
    assert fall == pytest.approx(share, abs=0.01)
    told = " ".join(less.notices)
    assert f"({-100 * share:.0f} %)" in told
    assert "less sweet" in told
    assert "for the gut" in told
    assert ("may be called reduced" in told) is (share < 0.3)


def test_allulose_is_off_the_sugars_of_the_us_and_not_lawful_food_in_the_eu() -> None:
    made = made_with("clove", sweetener={"sugar": 6, "allulose": 4})
    assert any("not an authorised food" in n for n in made.notices)
    nutrition = label_for(CATALOG, made).nutrition
    assert nutrition.declared_sugars("us") == pytest.approx(
        0.6 * nutrition.declared_sugars("eu"), rel=0.03
    )


def test_a_blend_is_weighed_each_by_its_share() -> None:
    made = made_with("clove", sweetener={"sugar": 70, "erythritol": 30})
    grams = dict(made.batch.sweeteners)
    assert grams["erythritol"] == pytest.approx(0.3 * made.batch.sugar_g)
    step = next(str(s) for s in made.plan if s.what == "dissolve")
    assert f"{grams['erythritol']:.0f} g erythritol" in step
    label = ", ".join(label_for(CATALOG, made).ingredients)
    assert label.index("sugar") < label.index("Erythritol")


def test_too_much_erythritol_is_refused_with_what_would_do() -> None:
    with pytest.raises(PairingError, match="add water or blend"):
        made_with("clove", sweetener={"sugar": 3, "erythritol": 7}, strength="1.5:1")


# --- vegan -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("names", "more", "words"),
    [
        (("clove",), {"sweetener": "honey"}, "agave, maple or date"),
        (("honey", "clove"), {}, "agave, maple or date"),
        (("condensed-milk",), {}, "coconut milk"),
        (("clove",), {"style": "milk"}, "oat, soya"),
    ],
)
def test_what_comes_from_animals_is_refused_and_replaced(
    names: tuple[str, ...], more: dict[str, object], words: str
) -> None:
    with pytest.raises(PairingError, match=words):
        made_with(*names, vegan=True, **more)


def test_a_vegan_syrup_says_what_to_ask() -> None:
    made = made_with("mandarin", "clove", vegan=True, style="milk", milk="oat")
    told = " ".join(made.notices)
    for word in ("bone char", "shellac", "cochineal"):
        assert word in told
    assert "bone char" not in " ".join(made_with("mandarin", "clove").notices)


@pytest.mark.parametrize("name", ["coconut-milk", "condensed-milk"])
def test_a_caramel_with_milk_keeps_days_and_says_its_allergen(name: str) -> None:
    """US Food Code 3-501.17: seven days at 5 C at most for what needs cold holding."""
    made = made_with(name, "vanilla-bean", techniques={"sugar": "dry-caramel"})
    assert made.keeping(CATALOG).days <= 7
    told = {f.row_id.partition(":")[0] for f in made.findings if f.code == "allergen"}
    assert told & {"milk", "coconut"}


def test_the_fat_of_a_washed_syrup_is_lifted_off() -> None:
    """Chilled until it sets (common practice, no source); it was bottled hot with its fat."""
    steps = [str(s) for s in made_with("brown-butter").plan]
    chilled = next(i for i, s in enumerate(steps) if "lift the fat" in s)
    bottled = next(i for i, s in enumerate(steps) if "Back to 85" in s)
    assert chilled < bottled
    assert not any("lift the fat" in str(s) for s in made_with("clove").plan)
