"""What is added to a drink: kept in every balance, safe, and told."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from pairing.aroma.coffee import plain_coffee
from pairing.cli import cli
from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.glass import added, advice, drink
from pairing.glass import spec as specs
from pairing.glass.pour import pour
from pairing.glass.spec import DrinkSpec, SyrupSpec
from pairing.syrup import sugar
from pairing.syrup.composition import Masses

CATALOG = load()
OWN = CATALOG.milks["dairy"]
RICH = Masses(water=33.33, sucrose=66.67)
BREWS = ("double-espresso", "filter", "cold-brew", "cold-brew-concentrate")
PLANTS = {"lemon-juice": "10ml", "honey": "8g", "nutmeg": "0.1g", "orange peel": "1 strip",
          "green cardamom in milk": "0.3g", "salt": "1 pinch", "citric acid": "0.2g",
          "condensed": "20g", "milk": "30g"}  # fmt: skip
ADDABLE = (*CATALOG.extras, *PLANTS)


def spec(style: str, names: list[str], brew: str, syrup_g: float, ml: float) -> DrinkSpec:
    row = CATALOG.styles[style]
    wishes = {n: PLANTS.get(n, "") for n in names}
    return DrinkSpec(
        row,
        SyrupSpec(syrup_g, RICH),
        specs.coffee_of(CATALOG.brews[brew]),
        specs.glass_of(ml, heat_resistant=True),
        milk=OWN if row.has_milk else None,
        mixer=CATALOG.mixers[row.mixer_id] if row.filler == "mixer" else None,
        added=added.add(CATALOG, wishes, OWN),
    )


def built(wish: DrinkSpec) -> drink.Drink | None:
    """The drink, or None where it is refused for a reason that a bar understands."""
    try:
        return drink.build(wish)
    except PairingError as problem:
        refused = str(problem)
    assert re.search(r"at least \d+ ml|no room|melts in|no milk to steep", refused)
    return None


@settings(max_examples=150, deadline=None)
@given(
    style=st.sampled_from(tuple(CATALOG.styles)),
    names=st.lists(st.sampled_from(ADDABLE), max_size=3, unique=True),
    brew=st.sampled_from(BREWS),
    syrup_g=st.floats(0.0, 40.0),
    ml=st.floats(200.0, 600.0),
)
def test_everything_is_kept(
    style: str, names: list[str], brew: str, syrup_g: float, ml: float
) -> None:
    """Mass, sugar, acid, alcohol and coffee through every style and addition; nothing runs over."""
    wish = spec(style, names, brew, syrup_g, ml)
    made = built(wish)
    if made is None:
        return
    stirred = wish.stirred_in
    into = syrup_g + made.coffee_g + made.filler_g + made.steam_g
    into += sum(a.grams - a.ice_g for a in stirred)
    frozen = made.ice_g + sum(a.ice_g for a in stirred)
    for moment in (made.served, made.after_ten_minutes):
        assert moment.liquid_g == pytest.approx(into + moment.melted_g, abs=1e-6)
        left = moment.melted_g + moment.ice_left_g + made.thrown_g
        assert left == pytest.approx(frozen, abs=0.02)  # the shaker is solved to 0.01 g
        assert moment.alcohol_g == pytest.approx(sum(a.alcohol_g for a in stirred))
        sugar_g = syrup_g * 0.6667 + sum(a.masses.sugars for a in stirred)
        sugar_g += wish.mixer.sugar_percent / 100.0 * made.filler_g if wish.mixer else 0.0
        assert moment.sugar_percent * moment.liquid_g / 100.0 == pytest.approx(sugar_g, abs=1e-6)
        solids = wish.coffee.tds_percent * made.coffee_g
        assert moment.tds_percent * moment.liquid_g == pytest.approx(solids)
        solids_g = moment.brix * moment.liquid_g / 100.0
        freezes = drink.freezing_point(moment.liquid_g, solids_g, moment.alcohol_g)
        assert moment.temperature_c >= freezes - 0.05
    assert made.volume_ml + made.headspace_needed_ml <= ml + 0.5
    assert made.headspace_ml == pytest.approx(ml - made.volume_ml)


@given(st.sampled_from(ADDABLE), st.floats(0.5, 60.0))
@settings(max_examples=80, deadline=None)
def test_an_addition_is_the_sum_of_its_parts(name: str, grams: float) -> None:
    (one,) = added.add(CATALOG, {name: f"{grams:.2f}g"}, OWN)
    parts = one.masses.total + one.alcohol_g + one.bulk_g + one.ice_g + one.milk_g
    assert parts == pytest.approx(one.grams, rel=2e-3)


def test_alcohol_by_hand() -> None:
    """40 ml of 40 % vol is 16 ml of ethanol, 12.6 g; over the served volume it is the strength."""
    made = drink.build(spec("espresso-cocktail", ["vodka"], "double-espresso", 10.0, 240.0))
    assert made.served.alcohol_g == pytest.approx(16.0 * 0.789, abs=0.05)
    percent = 100.0 * 16.0 / made.served.volume_ml
    assert made.served.alcohol_percent == pytest.approx(percent, rel=0.01)


@pytest.mark.parametrize(("percent", "kg_per_m3"), [(10, 984.7), (20, 973.6), (30, 962.2),
                                                    (40, 948.0)])  # fmt: skip
def test_density_of_spirits(percent: float, kg_per_m3: float) -> None:
    """OIML R 22 (1973), alcoholometric tables, % vol at 20 °C; from memory."""
    ethanol = percent * 10.0 * added.ETHANOL_G_PER_ML
    water = (1000.0 - drink.ETHANOL_ML_PER_G * ethanol) * 0.9982
    assert water + ethanol == pytest.approx(kg_per_m3, rel=0.004)


@pytest.mark.parametrize(("percent", "freezes"), [(5.0, -2.1), (10.0, -4.5), (15.0, -7.1)])
def test_freezing_point_of_alcohol(percent: float, freezes: float) -> None:
    """CRC Handbook, aqueous ethanol by weight; from memory."""
    assert drink.freezing_point(100.0, 0.0, percent) == pytest.approx(freezes, abs=0.4)


def test_the_extras_weigh_what_they_hold() -> None:
    """The density of each spirit and liqueur of the table is that of its sugar and its alcohol."""
    for row in CATALOG.extras.values():
        if not row.alcohol_percent or row.fat_percent or row.kind == "extract":
            continue
        ethanol = row.alcohol_percent * 10.0 * added.ETHANOL_G_PER_ML
        dissolved = (row.sugar_percent + row.acid_percent) * 10.0 * row.g_per_ml
        rest = 1000.0 * row.g_per_ml - ethanol
        ml = 1000.0 * rest / float(sugar.density(100.0 * dissolved / rest))
        assert ml + drink.ETHANOL_ML_PER_G * ethanol == pytest.approx(1000.0, rel=0.005), row


def test_strained_ice_stays_in_the_shaker() -> None:
    made = drink.build(spec("served-up", [], "double-espresso", 12.0, 240.0))
    assert made.served.ice_left_g == 0.0
    assert made.thrown_g > 50.0
    assert made.after_ten_minutes.temperature_c > made.served.temperature_c
    on_ice = drink.build(spec("shaken", [], "double-espresso", 12.0, 355.0))
    assert on_ice.served.ice_left_g > 0.0


def test_foam_takes_room_and_floats() -> None:
    plain = drink.build(spec("iced", [], "double-espresso", 20.0, 355.0))
    foamed = drink.build(spec("iced", ["cold-foam"], "double-espresso", 20.0, 355.0))
    assert foamed.filler_g < plain.filler_g - 60.0
    assert foamed.sugar_g > plain.sugar_g + 3.0  # its sugar and lactose are counted
    assert foamed.served.sugar_percent > plain.served.sugar_percent  # less water, foam not mixed in


@pytest.mark.parametrize("style", [*CATALOG.styles])
@pytest.mark.parametrize("names", [["cold-foam"], ["whipped-cream", "white-rum"], ["milk"]])
@pytest.mark.parametrize("ml", [180.0, 250.0, 355.0, 500.0])
def test_no_glass_foams_over(style: str, names: list[str], ml: float) -> None:
    for brew in BREWS:
        made = built(spec(style, names, brew, 15.0, ml))
        if made is None:
            continue
        assert made.volume_ml + made.headspace_needed_ml <= ml + 0.5
        if made.spec.style.foam_percent and not made.spec.is_steamed:
            assert made.foam_ml > 0.0


@pytest.mark.parametrize("style", [*CATALOG.styles])
@pytest.mark.parametrize(
    ("ml", "brew", "syrup_g"),
    [(180.0, "double-espresso", 4.0), (355.0, "filter", 60.0), (250.0, "cold-brew", 20.0)],
)
def test_advice_done_as_told_ends_clean(style: str, ml: float, brew: str, syrup_g: float) -> None:
    """The finding: advice that contradicts itself. What is told is built again: nothing is left."""
    try:
        made = drink.build(spec(style, [], brew, syrup_g, ml))
    except PairingError:
        return
    for one in advice.advise(made):
        if one.after is not None:
            assert advice.problems_of(drink.build(one.after)) == (), one
        assert one.change
        assert "Add 0 g" not in one.change


# --- the safety engine --------------------------------------------------------------------------


def findings(style: str, **wishes: str):  # type: ignore[no-untyped-def]
    add = {k.replace("_", " "): v for k, v in wishes.items()}
    return pour(CATALOG, plain_coffee(CATALOG), style=style, add=add)


def test_dust_is_counted_in_one_sum_with_the_syrup() -> None:
    base = plain_coffee(CATALOG)
    from pairing.syrup.formula import make

    made = make(CATALOG, ["cassia"], base, doses={"cassia": "5g/kg"})

    def coumarin(add: dict[str, str] | None) -> float:
        poured = pour(CATALOG, base, made, add=add)
        return max(f.amount or 0.0 for f in poured.findings if f.subject == "coumarin"
                   and f.unit == "mg")  # fmt: skip

    alone, dusted = coumarin(None), coumarin({"cassia": "0.2g"})
    only = pour(CATALOG, base, add={"cassia": "0.2g"})
    dust = max(f.amount or 0.0 for f in only.findings if f.subject == "coumarin"
               and f.unit == "mg")  # fmt: skip
    assert dusted == pytest.approx(alone + dust, rel=0.01)


def test_too_much_dust_stops() -> None:
    assert findings("iced", nutmeg="8g").stops
    assert not findings("iced", nutmeg="0.1g").stops
    with pytest.raises(PairingError):
        findings("iced", oleander="1g")


def test_allergens_of_what_is_added() -> None:
    def words(*names: str) -> set[str]:
        poured = pour(CATALOG, plain_coffee(CATALOG), style="iced", add=dict.fromkeys(names, ""))
        return {w for f in poured.findings for w in f.words} | {
            f.code for f in poured.findings if f.code == "allergen-unknown"
        }

    assert "milk" in words("whipped-cream")
    assert "milk" in words("cold-foam")
    assert "almond" in words("almond-liqueur")
    assert "sulphites" in words("sweet-vermouth")
    assert "allergen-unknown" in words("coffee-liqueur")
    assert "allergen-unknown" not in words("vodka")


def test_every_row_says_its_allergens_or_that_nobody_knows() -> None:
    for row in CATALOG.extras.values():
        poured = pour(CATALOG, plain_coffee(CATALOG), style="blended", glass="20oz",
                      add={row.extra_id: ""})  # fmt: skip
        said = {w for f in poured.findings for w in f.words}
        for key in row.allergens:
            assert CATALOG.safety.allergen_kinds[key].word in said, row
        unknown = any(f.code == "allergen-unknown" for f in poured.findings)
        assert unknown == (not row.allergens_known), row


def test_alcohol_goes_through_the_engine() -> None:
    poured = findings("espresso-cocktail", vodka="40ml")
    (alcohol,) = [f for f in poured.findings if f.code == "alcohol"]
    assert alcohol.amount == pytest.approx(poured.drink.served.alcohol_percent, abs=0.06)
    assert "age" in alcohol.text
    with pytest.raises(PairingError, match="twice"):
        pour(CATALOG, plain_coffee(CATALOG), add={"vodka": "40ml"}, alcohol_percent=5.0)


# --- versions and milk ----------------------------------------------------------------------------


def test_versions() -> None:
    base = plain_coffee(CATALOG)
    usual, half = (pour(CATALOG, base, style="latte", versions=v) for v in ((), ("half-sweet",)))
    assert half.drink.spec.syrup.grams == usual.drink.spec.syrup.grams / 2.0
    assert half.drink.added_sugar_g == pytest.approx(usual.drink.added_sugar_g / 2.0)
    vegan = pour(CATALOG, base, style="latte", versions=("vegan",), add={"cold-foam": ""})
    assert all(m.vegan for m in vegan.drink.spec.milks)
    assert not any("milk" in f.words for f in vegan.findings)
    with pytest.raises(PairingError, match="not vegan"):
        pour(CATALOG, base, style="latte", versions=("vegan",), add={"whipped-cream": ""})
    with pytest.raises(PairingError, match="unknown version"):
        pour(CATALOG, base, versions=("keto",))


def test_infused_milk_is_kept_a_day_and_fat_holds_it_back() -> None:
    base = plain_coffee(CATALOG)
    poured = pour(CATALOG, base, style="latte", add={"green cardamom in milk": "0.4g"})
    said = " ".join((*poured.drink.steps, *poured.told))
    assert "24 hours" in said
    assert "fat" in said
    skimmed = pour(
        CATALOG, base, style="latte", milk="skimmed", add={"green cardamom in milk": "0.4g"}
    )
    assert len(skimmed.told) < len(poured.told)
    with pytest.raises(PairingError, match="no milk"):
        pour(CATALOG, base, style="iced", add={"green cardamom in milk": "0.4g"})


# --- at the terminal ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (["--add", "vodka=5"], "of what"),
        (["--add", "vodka=2l"], "no amount for one drink"),
        (["--add", "vodka=40ml", "--add", "vodka=20ml"], "twice"),
        (["--add", "vodka="], "should look like"),
        (["--add", "unobtainium=1g"], "unknown"),
        (["--add", "vodka=3g/kg"], "per kg"),
        (["--style", "hot", "--add", "vanilla-ice-cream"], "melts in"),
    ],
)
def test_bad_additions_are_one_line(words: list[str], problem: str) -> None:
    done = CliRunner().invoke(cli, ["drink", *words])
    assert isinstance(done.exception, PairingError)
    assert problem in str(done.exception)
    assert "\n" not in str(done.exception)
    assert done.stdout == ""


def test_the_document_holds_every_addition() -> None:
    words = ["drink", "--add", "bitters=2 dashes", "--add", "cold-foam", "--format", "json"]
    document = json.loads(CliRunner().invoke(cli, words).stdout)
    assert [a["id"] for a in document["added"]] == ["aromatic-bitters", "cold-foam"]
    assert document["alcohol_percent"] > 0.1
    assert document["layers"][0] == "cold foam"


@pytest.mark.parametrize("mixer", ["tonic-water", "light-tonic-water", "bitter-lemon"])
def test_the_quinine_of_a_tonic_is_told_before_anything_of_the_kitchen(mixer: str) -> None:
    """21 CFR 172.575: at most 83 mg/kg in the drink, and the mixer alone may hold that much."""
    poured = pour(CATALOG, plain_coffee(CATALOG), style="tonic", mixer=mixer)
    rows = [f.row_id for f in poured.findings]
    assert rows[0] == "tonic-quinine"  # BfR 2008: not in pregnancy
    row = next(f for f in poured.findings if f.row_id == "us-quinine-drink")
    assert row.amount is not None
    litres = poured.drink.served.volume_ml / 1000
    assert row.amount * litres == pytest.approx(0.083 * poured.drink.filler_g, rel=1e-6)
    assert row.level == "limit"
    plain = pour(CATALOG, plain_coffee(CATALOG), style="sparkling")
    assert not [f for f in plain.findings if "quinine" in f.row_id]


def test_a_style_brings_its_own_and_takes_yours_instead() -> None:
    base = plain_coffee(CATALOG)
    usual = pour(CATALOG, base, style="espresso-cocktail")
    assert [a.ident for a in usual.drink.spec.added] == ["vodka", "coffee-liqueur"]
    own = pour(CATALOG, base, style="espresso-cocktail", add={"dark-rum": "30ml"})
    assert [a.ident for a in own.drink.spec.added] == ["dark-rum"]
    assert replace(own.drink.spec, added=()).added == ()
