"""The ratio calculator: conservation, forward against backward, wishes that cannot be."""

from dataclasses import replace

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from pairing.errors import PairingError
from pairing.syrup import addition, corrections
from pairing.syrup import balance as balances
from pairing.syrup import composition as masses_of
from pairing.syrup import orders as ordering
from pairing.syrup import pot as pots
from pairing.syrup import strength as strengths
from pairing.syrup.composition import Masses, Sweetening
from pairing.syrup.pot import Cook, Pot

SUGAR = Sweetening("white-cane-sugar", water_percent=0.02, sucrose_percent=99.8, ash_percent=0.01)
HONEY = Sweetening(
    "honey", 17.2, 1.3, 31.3, 38.2, 8.8, sweetness_relative=0.98, kcal_per_100g=304.0
)
SYRUP_42 = Sweetening("glucose-syrup-42de", 20.0, 0.0, 15.0, 0.0, 64.5, sweetness_relative=0.37)
MANDARIN = addition.fruit(
    "mandarin",
    200.0,
    "slice",
    water_percent=85.2,
    brix=12.0,
    acid_percent=0.95,
    juice_yield_percent=42.5,
)
CARDAMOM = addition.spice("green-cardamom", 3.0, "cracked")
SIMMER = Cook(minutes=12.0, pan_diameter_cm=20.0)


def hexose(m: Masses) -> float:
    """Return sugar as invert sugar: what inversion cannot change."""
    return m.sucrose * (1 + masses_of.INVERSION_WATER) + m.glucose + m.fructose


def water(m: Masses) -> float:
    """Return water with the water that inversion would bind taken off."""
    return m.water - m.sucrose * masses_of.INVERSION_WATER


def ledger(pot: Pot) -> Masses:
    return pot.liquid + pot.pieces + pot.steam + pot.drained + pot.cling


grams = st.floats(0, 5000)
step = st.one_of(
    st.tuples(st.just("sugar"), grams),
    st.tuples(st.just("honey"), grams),
    st.tuples(st.just("water"), grams),
    st.tuples(st.just("fruit"), grams),
    st.tuples(st.just("spice"), st.floats(0, 50)),
    st.tuples(st.just("acid"), st.floats(0, 50)),
    st.tuples(st.just("boil"), grams),
    st.tuples(st.just("invert"), st.floats(0, 1)),
    st.tuples(st.just("strain"), st.floats(0, 20)),
    st.tuples(st.just("blend"), grams),
)


def take(pot: Pot, what: str, x: float) -> Pot:
    match what:
        case "sugar":
            return pots.add(pot, SUGAR.masses(x))
        case "honey":
            return pots.add(pot, HONEY.masses(x))
        case "water":
            return pots.dilute(pot, x)
        case "fruit":
            return pots.add_portion(pot, MANDARIN, x)
        case "spice":
            return pots.add_portion(pot, CARDAMOM, x)
        case "acid":
            return pots.add_portion(pot, addition.acid_powder("citric-acid", 1.0), x)
        case "boil":
            return pots.evaporate(pot, x)
        case "invert":
            return pots.invert(pot, x)
        case "strain":
            return pots.strain(pot, x)
        case _:
            return pots.blend(pot, pots.dilute(pots.add(Pot(), SUGAR.masses(x)), x))


@settings(max_examples=300)
@given(st.lists(step, max_size=12))
def test_no_gram_appears_or_vanishes(steps: list[tuple[str, float]]) -> None:
    pot = Pot()
    put_in = Masses()
    for what, x in steps:
        try:
            after = take(pot, what, x)
        except PairingError:
            continue  # an impossible step leaves the pot as it was
        before = ledger(pot)
        grown = ledger(after) - before
        added = {
            "sugar": SUGAR.masses(x),
            "honey": HONEY.masses(x),
            "water": Masses(water=x),
            "fruit": (MANDARIN.released + MANDARIN.kept) * x,
            "spice": (CARDAMOM.released + CARDAMOM.kept) * x,
            "acid": Masses(acid=x),
            "blend": SUGAR.masses(x) + Masses(water=x),
        }.get(what, Masses())
        put_in = put_in + added
        assert grown.total == pytest.approx(added.total, abs=1e-6)
        pot = after
    found = ledger(pot)
    assert found.total == pytest.approx(put_in.total, abs=1e-6)
    assert hexose(found) == pytest.approx(hexose(put_in), abs=1e-6)
    assert water(found) == pytest.approx(water(put_in), abs=1e-6)
    assert found.acid == pytest.approx(put_in.acid, abs=1e-6)
    assert found.insoluble == pytest.approx(put_in.insoluble, abs=1e-6)
    assert found.total == pytest.approx(pot.put_in.total, abs=1e-6)
    assert min(pot.liquid._values()) > -1e-6


def test_portions_account_for_all_their_mass() -> None:
    for portion in (
        MANDARIN,
        CARDAMOM,
        addition.fruit("mandarin-juice", 50, "juice", water_percent=0, brix=12, acid_percent=0.9),
        addition.fruit("lemon-peel", 50, "peel", water_percent=78, brix=12, acid_percent=0.5),
        addition.acid_powder("citric-acid-monohydrate", 5, acid_share=0.914),
    ):
        assert (portion.released + portion.kept).total == pytest.approx(1.0, abs=1e-12)
    for sweetener in (SUGAR, HONEY, SYRUP_42):
        assert sweetener.masses(123.0).total == pytest.approx(123.0, abs=1e-9)


recipe = st.fixed_dictionaries(
    {
        "sugar_g": st.floats(200, 5000),
        "strength": st.floats(0.8, 2.0),
        "fruit": st.floats(0, 0.5),
        "minutes": st.floats(0, 10),
        "inverted": st.floats(0, 0.3),
        "loss": st.floats(0, 6),
        "honey": st.floats(0, 1),
    }
)


@settings(max_examples=200, deadline=None)
@given(recipe)
def test_backward_finds_what_forward_gave(r: dict[str, float]) -> None:
    """The solve is a linear system, the batch a walk through the steps: 0.01 g apart at most."""
    sweet = [(SUGAR, 1.0), (HONEY, r["honey"])]
    portions = (replace(MANDARIN, amount=r["fruit"] * r["sugar_g"]), CARDAMOM)
    cook = Cook(minutes=r["minutes"], inverted=r["inverted"])
    strained = r["loss"]
    s, w = r["sugar_g"], r["sugar_g"] / r["strength"]
    try:
        made = balances.batch(sweet, s, w, portions, cook, strain_loss_percent=strained)
    except PairingError:  # boiled down past what stays clear in the bottle
        reject()
    wishes: list[dict[str, float]] = [
        {"strength": r["strength"], "yield_g": made.yield_g},
        {"strength": r["strength"], "yield_ml": made.yield_ml},
        {"strength": r["strength"], "water_g": w},
        {"brix": made.brix, "yield_g": made.yield_g},
        {"brix": made.brix, "sugar_g": s},
        {"water_g": w, "yield_g": made.yield_g},
        {"strength": r["strength"], "servings": made.yield_g / 20.0, "serving_g": 20.0},
        {"strength": r["strength"], "brix": made.brix, "yield_g": made.yield_g},
        {"sugar_g": s, "water_g": w, "yield_g": made.yield_g},
    ]
    for wish in wishes:
        back = balances.solve(
            sweet, portions=portions, cook=cook, strain_loss_percent=strained, **wish
        )
        assert back.sugar_g == pytest.approx(s, abs=0.01), wish
        assert back.water_g == pytest.approx(w, abs=0.01), wish
        assert back.yield_g == pytest.approx(made.yield_g, abs=0.01), wish
        assert back.evaporated_g == pytest.approx(made.evaporated_g, abs=0.01), wish
        assert back.brix == pytest.approx(made.brix, abs=1e-4), wish


@given(st.floats(0.01, 100))
def test_scaling_is_linear(factor: float) -> None:
    made = balances.batch(SUGAR, 250, 125, (MANDARIN, CARDAMOM), SIMMER)
    big = balances.scale(made, factor)
    assert big.yield_g == pytest.approx(made.yield_g * factor)
    assert big.yield_ml == pytest.approx(made.yield_ml * factor)
    assert big.brix == pytest.approx(made.brix)
    proportional = (replace(MANDARIN, amount=80.0, per="100 g sugar"),)
    one = balances.solve(SUGAR, strength=2.0, yield_g=300, portions=proportional)
    more = balances.solve(SUGAR, strength=2.0, yield_g=300 * factor, portions=proportional)
    assert more.sugar_g == pytest.approx(one.sugar_g * factor)
    assert more.portions[0][1] == pytest.approx(one.portions[0][1] * factor)


def test_doses_per_kilogram_of_finished_syrup() -> None:
    dosed = addition.spice("green-cardamom", 8.0, "cracked", per="kg syrup")
    for made in (
        balances.solve(SUGAR, strength=2.0, yield_g=500, portions=(dosed,)),
        balances.batch(SUGAR, 333.0, 166.5, (dosed,)),
    ):
        assert made.portions[0][1] == pytest.approx(8.0 * made.yield_g / 1000.0)


def test_plain_syrups() -> None:
    """1:1 is 50 °Bx and 2:1 is 66.7 °Bx by weight; a kilogram is about 0.81 and 0.75 l."""
    simple = balances.batch(SUGAR, 500, 500, strain_loss_percent=0)
    rich = balances.batch(SUGAR, 500, 250, strain_loss_percent=0)
    assert simple.brix == pytest.approx(50.0, abs=0.05)
    assert rich.brix == pytest.approx(66.67, abs=0.05)
    assert simple.yield_ml / simple.yield_g == pytest.approx(0.813, abs=0.005)
    assert rich.yield_ml / rich.yield_g == pytest.approx(0.754, abs=0.005)
    assert rich.strength == 2.0


def test_house_batch_is_what_the_bar_knows() -> None:
    """About 200 g of slices simmered 10-15 min in a 2:1 syrup of 250 g sugar (common practice).

    It yields a syrup that pours; an iced drink of about 355 ml takes 20 g, so about 15 drinks.
    """
    from pairing.syrup import sugar

    made = balances.batch(SUGAR, 250, 125, (MANDARIN, CARDAMOM), SIMMER)
    assert 55 < made.brix < 68
    assert 250 < made.yield_g < 370
    assert 12 < made.servings(20) < 19
    assert sugar.viscosity(min(made.brix, 75.0), 20.0) < 400  # honey is 5000-10000
    assert made.put_in_g == pytest.approx(
        made.yield_g + made.evaporated_g + made.drained_g + made.cling_g
    )
    assert made.pot_g == pytest.approx(made.put_in_g - made.evaporated_g)


def test_fruit_thins_the_syrup() -> None:
    """300 g of orange slices in 1 kg of 50 °Bx syrup: 3-7 °Bx lower before evaporation.

    Estimate of the trade, no source; the same text gives 45-100 g water back net.
    """
    orange = addition.fruit(
        "sweet-orange", 300, "slice", water_percent=86, brix=11.5, acid_percent=0.9
    )
    made = balances.batch(SUGAR, 500, 500, (orange,))
    assert 43.0 < made.brix < 47.0


def test_measured_weight_replaces_the_clock() -> None:
    clock = balances.batch(SUGAR, 250, 125, (MANDARIN, CARDAMOM), SIMMER)
    weighed = balances.batch(SUGAR, 250, 125, (MANDARIN, CARDAMOM), Cook(pot_g=clock.pot_g))
    assert weighed.evaporated_g == pytest.approx(clock.evaporated_g)
    solved = balances.solve(
        SUGAR, sugar_g=250, water_g=125, portions=(MANDARIN, CARDAMOM), cook=Cook(pot_g=clock.pot_g)
    )
    assert solved.yield_g == pytest.approx(clock.yield_g)


def test_evaporation_of_the_usual_pan() -> None:
    """1 l in a 20 cm pan loses 3-8 % in 10 min at a simmer, 10-25 % at a boil (common practice)."""
    assert 30 < Cook(minutes=10).loss_g(1000) < 80
    assert 100 < Cook(minutes=10, heat="boil").loss_g(1000) < 250
    assert Cook(minutes=10, lid=True).loss_g(1000) < 0.2 * Cook(minutes=10).loss_g(1000)
    assert Cook(minutes=30, heat="steep").loss_g(1000) == 0


def test_target_brix_says_what_gave_way() -> None:
    cut = balances.solve(SUGAR, brix=60, yield_g=500, portions=(MANDARIN,))
    assert cut.brix == pytest.approx(60)
    assert "added water" in cut.notes[0]
    longer = balances.solve(SUGAR, strength=1.0, brix=60, yield_g=500, portions=(MANDARIN,))
    assert longer.brix == pytest.approx(60)
    assert longer.cook.minutes > 10
    assert "boil off" in longer.notes[0]


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        ({"strength": 6.0, "sugar_g": 600.0}, "saturated at"),
        ({"strength": 3.5, "sugar_g": 600.0}, "saturated at"),
        (
            {"brix": 70.0, "yield_g": 300.0, "portions": (replace(MANDARIN, amount=600.0),)},
            "without added water it reaches",
        ),
        (
            {
                "strength": 2.0,
                "yield_g": 20.0,
                "portions": (replace(MANDARIN, amount=600.0, hold_g_per_g=0.1),),
            },
            "less than fruit",
        ),
        ({"strength": 1.0, "yield_g": 0.0}, "above 0"),
        ({"strength": 1.0, "yield_g": float("nan")}, "at least"),
        ({"strength": float("nan"), "yield_g": 100.0}, "2:1"),
        ({"strength": 1.0, "yield_g": -5.0}, "at least"),
        ({"strength": 1.0, "yield_g": 2.0e7}, "10 t"),
        ({"strength": 1.0}, "how much"),
        ({"yield_g": 100.0}, "strength"),
        ({"brix": 100.0, "yield_g": 100.0}, "°Bx"),
        ({"strength": 2.0, "sugar_g": 100.0, "water_g": 100.0}, "not 2:1"),
        ({"strength": 1.0, "brix": 40.0, "yield_g": 100.0}, "add water"),
        ({"strength": 1.0, "servings": 10.0}, "servings"),
        ({"strength": 1.0, "yield_g": 10.0, "yield_ml": 10.0}, "once"),
        (
            {"strength": 2.0, "sugar_g": 10.0, "portions": (replace(CARDAMOM, amount=50.0),)},
            "nothing would be left",
        ),
        ({"strength": 2.0, "sugar_g": 50.0, "cook": Cook(minutes=60, heat="boil")}, "nothing"),
        ({"strength": 2.0, "sugar_g": 500.0, "brix": 60.0, "yield_g": 300.0}, "two knowns"),
    ],
)
def test_impossible_wishes_name_the_nearest(wish: dict[str, object], words: str) -> None:
    with pytest.raises(PairingError) as caught:
        balances.solve(SUGAR, **wish)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    "call",
    [
        lambda: balances.batch(SUGAR, 0, 0),
        lambda: balances.batch(SUGAR, 100, 50, (), Cook(evaporated_g=60)),
        lambda: balances.batch(SUGAR, 100, 50, (), Cook(pot_g=200)),
        lambda: balances.batch(SUGAR, 100, 0),
        lambda: balances.batch([(SUGAR, 0.0)], 100, 50),
        lambda: addition.fruit("x", 1, "slice", water_percent=90, brix=5, acid_percent=8),
        lambda: addition.fruit("x", 1, "leaf", water_percent=9, brix=5, acid_percent=1),  # type: ignore[arg-type]
        lambda: addition.fruit("x", float("nan"), "peel", water_percent=9, brix=5, acid_percent=1),
        lambda: Sweetening("x", 50, 60),
        lambda: Cook(heat="inferno"),  # type: ignore[arg-type]
        lambda: Cook(minutes=float("nan")),
        lambda: strengths.parse_strength("sweet"),
        lambda: strengths.parse_strength("2:0"),
        lambda: strengths.parse_strength("-2:1"),
        lambda: strengths.parse_strength("nan"),
        lambda: corrections.correct_to_brix(500, 58, 95),
        lambda: corrections.correct_to_brix(0, 58, 60),
        lambda: corrections.correct_to_brix(500, float("nan"), 60),
        lambda: corrections.blend_for(100, 70, 50, 60),
        lambda: corrections.swap_strength(20, 66.7, 10, 5),
        lambda: ordering.orders({}, 20),
        lambda: balances.scale(balances.batch(SUGAR, 100, 50), 0),
    ],
)
def test_bad_input_is_one_line(call: object) -> None:
    with pytest.raises(PairingError) as caught:
        call()  # type: ignore[operator]
    assert "\n" not in str(caught.value)


def test_other_sweeteners_crystallise_too() -> None:
    """Erythritol: about 36 % w/w at 25 °C (Junk and Pancoast 1973, recalled)."""
    erythritol = Sweetening("erythritol", 0.1, polyol_percent=99.5, own_solubility_percent=36.0)
    with pytest.raises(PairingError, match="erythritol stays dissolved"):
        balances.batch(erythritol, 500, 500)
    assert "crystallise" in balances.batch(erythritol, 370, 600).notes[0]
    assert balances.batch(erythritol, 300, 600).notes == ()
    assert balances.batch([(SUGAR, 3.0), (erythritol, 1.0)], 500, 500).notes == ()


def test_every_sweetener_of_the_data_package() -> None:
    """15 or more sweeteners, each with its own water, swapped at equal sweetness or solids."""
    from pairing.evidence.catalog import load
    from pairing.syrup import keeping as stability

    rows = load().sweeteners
    assert len(rows) >= 15
    for row in rows.values():
        each = Sweetening(
            row.sweetener_id,
            row.water_percent,
            row.sucrose_percent,
            row.glucose_percent,
            row.fructose_percent,
            row.other_sugars_percent,
            row.polyol_percent,
            row.acid_percent or 0.0,
            row.ash_percent or 0.0,
            row.sweetness_relative,
            row.kcal_per_100g,
        )
        swap = corrections.swap_sweetener(SUGAR, 100.0, each, "solids")
        assert swap.solids_change_g == pytest.approx(0, abs=1e-6)
        made = balances.solve(each, brix=22.0, yield_g=500.0)
        assert made.brix == pytest.approx(22.0)
        keeps = stability.assess(made.composition, unsoured_ph=row.ph or 6.5)
        assert 0.9 < keeps.water_activity < 1.0
        assert 3.0 < keeps.ph <= 8.0


def test_strengths_as_they_are_said() -> None:
    """A cup of granulated sugar is 200 g and of water 237 g (USDA SR28)."""
    assert strengths.parse_strength("2:1") == 2.0
    assert strengths.parse_strength("1,5:1") == 1.5
    from pairing.evidence.catalog import load

    table = load().household
    sugar_cups = strengths.by_weight("1:1", True, ["white-cane-sugar"], table)
    assert sugar_cups == pytest.approx(200 / 237, rel=0.01)
    honey_cups = strengths.by_weight("1:1", True, ["honey"], table)
    assert honey_cups == pytest.approx(339 / 237, rel=0.02)  # USDA SR28: a cup of honey is 339 g
    assert strengths.by_weight("1:1", False, ["honey"], table) == 1.0
    for ids in (["honey", "white-cane-sugar"], ["no-such-sugar"]):
        with pytest.raises(PairingError, match="give the strength by weight"):
            strengths.by_weight("1:1", True, ids, table)


@given(st.floats(50, 5000), st.floats(30, 66), st.floats(30, 66))
def test_correction_reaches_the_target(mass: float, reading: float, target: float) -> None:
    fix = corrections.correct_to_brix(mass, reading, target)
    solids = mass * reading / 100
    assert (solids + fix.add_sugar_g) / fix.mass_after_sugar_g == pytest.approx(
        max(target, reading) / 100
    )
    assert solids / fix.mass_after_boil_g == pytest.approx(max(target, reading) / 100)
    assert solids / fix.mass_after_water_g == pytest.approx(min(target, reading) / 100)


def test_reads_58_wants_64() -> None:
    """Hand-worked: 1000 g at 58: 580 = 0.64 m -> boil off 93.75 g; add (640-580)/0.36 = 166.7."""
    fix = corrections.correct_to_brix(1000, 58, 64)
    assert fix.boil_off_g == pytest.approx(93.75)
    assert fix.add_sugar_g == pytest.approx(166.667, abs=0.001)
    warm = corrections.correct_to_brix(1000, 58, 64, temperature_c=30, compensated=False)
    assert warm.brix_now == pytest.approx(58.8, abs=0.05)
    assert corrections.correct_to_brix(1000, 58, 64, acid_percent=2).brix_now == pytest.approx(58.4)


def test_blends() -> None:
    assert corrections.blend_syrups(100, 50, 100, 66) == pytest.approx(58)
    first, second = corrections.blend_for(300, 60, 50, 66)
    assert corrections.blend_syrups(first, 50, second, 66) == pytest.approx(60)
    assert first + second == pytest.approx(300)


@given(st.floats(1, 100), st.floats(20, 70), st.floats(20, 70))
def test_swapped_strength_keeps_sugar_and_water(g: float, b1: float, b2: float) -> None:
    swap = corrections.swap_strength(g, b1, b2)
    assert swap.syrup_g * b2 == pytest.approx(g * b1)
    assert swap.syrup_g * (100 - b2) / 100 + swap.drink_water_change_g == pytest.approx(
        g * (100 - b1) / 100, abs=1e-9
    )


def test_swapped_sweetener() -> None:
    sweet = corrections.swap_sweetener(SUGAR, 100, HONEY, "sweetness")
    assert sweet.grams == pytest.approx(100 / 0.98)
    assert sweet.sweetness_change == pytest.approx(0)
    assert sweet.water_change_g == pytest.approx(0.02 - 17.2 / 0.98)
    solid = corrections.swap_sweetener(SUGAR, 100, HONEY, "solids")
    assert solid.solids_change_g == pytest.approx(0, abs=1e-9)
    assert solid.grams == pytest.approx(99.98 / 0.828)


def test_orders() -> None:
    """Two sites planning an autumn menu."""
    need = ordering.orders({"harbour": 60, "station": 90}, 20, spare_percent=5)
    assert need.yield_g == pytest.approx(3150)
    assert dict(need.per_site_g)["station"] == pytest.approx(1890)


def test_refractometer_reads_acid_low_and_starch_syrup_high() -> None:
    sour = Masses(water=45, sucrose=50, acid=5)
    assert sour.reading_brix == pytest.approx(sour.brix - 1.0)
    starch = SYRUP_42.masses(100)
    assert starch.reading_brix > starch.brix


# --- mending --------------------------------------------------------------------------------------


def test_a_right_honey_syrup_is_left_alone() -> None:
    """The finding: honey 2:1 reads 54.4 at a true 55.2, and `correct` added 8.9 g of sugar."""
    low = corrections.reads_low_by(HONEY)
    found = corrections.correct_to_brix(600.0, 55.2 * (1.0 - low), 55.2, reads_low=low)
    assert found.brix_now == pytest.approx(55.2)
    assert found.add_sugar_g < 0.01
    assert 54.0 < 55.2 * (1.0 - low) < 54.9


def test_an_inverted_syrup_reads_low() -> None:
    low = [corrections.reads_low_by(SUGAR, share) for share in (0.0, 0.5, 1.0)]
    assert low[0] == pytest.approx(0.0, abs=1e-4)
    assert low[0] < low[1] < low[2] < 0.03


def test_sugar_thins_the_spice() -> None:
    """The finding: 257 g of sugar for 1 kg from 55 to 65 thins the spice by a fifth, untold."""
    found = corrections.correct_to_brix(1000.0, 56.0, 65.0)
    assert found.add_sugar_g == pytest.approx(257.0, abs=1.0)
    assert corrections.thinned_by(1000.0, found.mass_after_sugar_g) == pytest.approx(
        0.204, abs=0.01
    )
    assert corrections.thinned_by(1000.0, found.mass_after_boil_g) == 0.0


def test_fructose_is_sweeter_cold() -> None:
    """The finding: swapped 1.3 times always, 37 % less sweet in a hot drink."""
    fructose = Sweetening("fructose-crystalline", fructose_percent=99.5, sweetness_relative=1.18)
    cold, hot = (
        corrections.swap_sweetener(SUGAR, 100.0, fructose, "sweetness", t).grams
        for t in (5.0, 60.0)
    )
    assert hot / cold == pytest.approx(1.40 / 0.82, rel=1e-6)


def test_water_that_keeps_erythritol_clear() -> None:
    """The finding: 769 g of erythritol and no word that 36 % is soluble."""
    erythritol = Sweetening("erythritol", 0.1, polyol_percent=99.5, own_solubility_percent=36.0)
    water = corrections.water_to_stay_clear(erythritol, 769.0)
    assert water == pytest.approx(769.0 * 0.999 * 64.0 / 36.0, rel=0.01)
    assert corrections.water_to_stay_clear(SUGAR, 500.0) == 0.0


def test_allulose_is_no_maltose() -> None:
    """The finding: 60 °Bx of allulose "reads about 62.4"; a monosaccharide reads low, about 59."""
    from pairing.evidence.catalog import load
    from pairing.syrup.brought import sweetener_of

    allulose = sweetener_of(load().sweetener("allulose"))
    syrup = allulose.masses(60.0) + Masses(water=40.0)
    assert 58.0 < syrup.reading_brix < 60.0
    assert syrup.other_mol == pytest.approx(59.4 / 180.16, rel=0.02)
    assert syrup.other_sweet == pytest.approx(0.70 * 59.4, rel=0.02)
