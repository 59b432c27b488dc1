from __future__ import annotations

import pytest

from pairing import coffee, formula
from pairing.catalog import Catalog
from pairing.errors import PairingError

BLEND = ("mandarin", "green-cardamom", "black-pepper")


@pytest.fixture(scope="module")
def burundi(catalog: Catalog) -> coffee.CoffeeBase:
    return coffee.brewed(catalog, "burundi", "washed", "light", "espresso")


def test_the_demo_formula_adds_up(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    made = formula.make(catalog, BLEND, burundi)
    batch = made.batch
    assert batch.yield_g == pytest.approx(500, abs=0.01)
    put_in = batch.sugar_g + batch.water_g + sum(made.grams.values())
    out = batch.yield_g + batch.evaporated_g + batch.drained_g + batch.cling_g
    assert put_in == pytest.approx(out, abs=0.01)
    assert made.servings == 25
    assert 55 < batch.brix < 65
    for dose in made.doses:
        assert dose.practice_low is not None
        assert dose.practice_high is not None
        assert dose.practice_low <= dose.g_per_kg <= dose.practice_high
        assert dose.computed_low <= dose.computed_g_per_kg <= dose.computed_high


def test_common_practice_of_an_infused_syrup(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    # common practice, no source: 200 g of sliced fruit in a 2:1 syrup of 250 g sugar, 10-15
    # minutes, a few grams of whole spice; 20 g of it in a 12 fl oz iced drink is plenty sweet
    made = formula.make(
        catalog,
        ("mandarin", "green-cardamom"),
        burundi,
        sugar_g=250,
        strength="2:1",
        doses={"mandarin": 480},
    )
    assert made.grams["mandarin"] == pytest.approx(200, rel=0.15)
    assert made.batch.water_g == pytest.approx(125, abs=0.01)
    cardamom = made.doses[1]
    assert cardamom.practice_low is not None
    assert cardamom.practice_high is not None
    kilos = made.batch.yield_g / 1000
    assert cardamom.practice_low * kilos < 4 < cardamom.practice_high * kilos
    assert 10 <= made.doses[0].minutes <= 20
    assert made.keeping(catalog).room.viscosity_mpa_s < 300  # it pours
    sugar_per_drink = made.batch.composition.sugars / made.batch.yield_g * 20
    assert 9 < sugar_per_drink < 14  # 3-5 % of a 12 fl oz drink


def test_levels_order_the_dose(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    glass = formula.glass_for("iced", burundi.brew)
    form = catalog.form("star-anise")
    asked = [
        formula.dose_for(catalog, form, burundi, glass, level).computed_g_per_kg
        for level in ("accent", "balanced", "lead")
    ]
    assert asked == sorted(asked)
    assert asked[2] / asked[0] == pytest.approx(10**0.6, rel=1e-6)


def test_an_iced_drink_takes_more_than_a_hot_one(
    catalog: Catalog, burundi: coffee.CoffeeBase
) -> None:
    # common practice, no source: an iced drink takes 1.5 to 2 times the dose of a hot one
    form = catalog.form("green-cardamom")
    same = {"syrup_g": 20.0, "drink_ml": 240.0}
    iced = formula.Glass("iced", temperature_c=3.0, **same)
    hot = formula.Glass("hot", temperature_c=60.0, **same)
    ratio = (
        formula.dose_for(catalog, form, burundi, iced).computed_g_per_kg
        / formula.dose_for(catalog, form, burundi, hot).computed_g_per_kg
    )
    assert 1.5 < ratio < 2.2


def test_a_colder_weaker_coffee_needs_less_spice(catalog: Catalog) -> None:
    form = catalog.form("green-cardamom")
    strong = coffee.brewed(catalog, brew="double-espresso")
    cold = coffee.brewed(catalog, brew="cold-brew")
    glass = formula.Glass("iced", 20.0, 270.0, 4.0)
    assert (
        formula.dose_for(catalog, form, cold, glass).computed_g_per_kg
        < formula.dose_for(catalog, form, strong, glass).computed_g_per_kg
    )


def test_scaling_is_linear(catalog: Catalog, burundi: coffee.CoffeeBase) -> None:
    one = formula.make(catalog, ("lemon-peel", "clove"), burundi, yield_g=300)
    two = formula.make(catalog, ("lemon-peel", "clove"), burundi, yield_g=600)
    for name, grams in one.grams.items():
        assert two.grams[name] == pytest.approx(2 * grams, rel=1e-6)


def test_a_bare_spice_syrup_keeps_clear_in_the_fridge(
    catalog: Catalog, burundi: coffee.CoffeeBase
) -> None:
    # Vavrinecz (1962), ICUMSA SPS-2: sucrose saturates at 64.8 % at 4 C
    made = formula.make(catalog, ("green-cardamom",), burundi)
    assert made.batch.brix < 64.8
    assert made.keeping(catalog).fridge.supersaturation < 1.0


@pytest.mark.parametrize("method_form", ["lemon-juice", "mandarin-peel", "jasmine", "cassia"])
def test_every_method_has_its_step(
    catalog: Catalog, burundi: coffee.CoffeeBase, method_form: str
) -> None:
    made = formula.make(catalog, (method_form,), burundi)
    told = " ".join(made.steps)
    word = {"stir-in": "Stir in", "maceration": "Rub", "hot-steep": "steep", "simmer": "simmer",
            "cold-steep": "steep"}[made.doses[0].method]  # fmt: skip
    assert word in told
    assert "Bottle" in told
    assert "Weigh" in told


@pytest.mark.parametrize(
    ("names", "options", "says"),
    [
        (("mandarin", "Mandarine"), {}, "same thing"),
        ((), {}, "one to six"),
        (("mandarin",), {"levels": {"clove": "accent"}}, "not in the formula"),
        (("mandarin",), {"levels": {"mandarin": "deafening"}}, "unknown level"),
        (("mandarin",), {"style": "flambe"}, "unknown drink"),
        (("mandarin",), {"sweetener": "saccharose deluxe"}, "unknown sweetener"),
        (("mandarin",), {"strength": "two"}, "strength"),
        (("mandarin",), {"brix": 90.0}, "Bx"),
        (("mandarin",), {"yield_g": 0.0}, "yield"),
        (("mandarin",), {"yield_g": float("nan")}, "yield"),
    ],
)
def test_impossible_wishes(
    catalog: Catalog,
    burundi: coffee.CoffeeBase,
    names: tuple[str, ...],
    options: dict[str, object],
    says: str,
) -> None:
    with pytest.raises(PairingError, match=says) as caught:
        formula.make(catalog, names, burundi, **options)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)


def test_every_suggestable_form_makes_a_formula(
    catalog: Catalog, burundi: coffee.CoffeeBase
) -> None:
    for form in catalog.forms.values():
        ingredient = catalog.ingredients[form.ingredient_id]
        if ingredient.regulated == "yes" or form.dose_low_g_per_kg is None:
            continue
        made = formula.make(catalog, (form.form_id,), burundi)
        assert made.batch.yield_g == pytest.approx(500, abs=0.01), form.form_id
        assert not any(f.level == "stop" for f in made.findings(catalog)), form.form_id
