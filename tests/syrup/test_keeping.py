"""How a syrup keeps: pH against published juices, crystals, thickness, guidance."""

from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load
from pairing.safety.food_code import needs_control
from pairing.syrup import addition, sugar
from pairing.syrup import balance as balances
from pairing.syrup import composition as masses_of
from pairing.syrup import keeping as stability
from pairing.syrup import pot as pots
from pairing.syrup.brought import sweetener_of
from pairing.syrup.composition import Masses

CATALOG = load()
CONTROL = partial(needs_control, CATALOG)
SUGAR = masses_of.Sweetening("white-cane-sugar", 0.02, 99.8, ash_percent=0.01)


def syrup(strength: float, *portions: addition.Addition) -> Masses:
    return balances.batch(SUGAR, 500, 500 / strength, portions, strain_loss_percent=0).composition


def juice(brix: float, acid: float) -> Masses:
    return addition.fruit("x", 1, "juice", water_percent=0, brix=brix, acid_percent=acid).released


@pytest.mark.parametrize(
    ("brix", "acid", "low", "high"),
    [
        # brix, titratable acidity and pH of juices: Kimball (1999), Citrus Processing (recalled)
        (12.0, 0.95, 3.3, 4.2),  # mandarin
        (11.8, 0.9, 3.3, 4.2),  # sweet orange
        (10.0, 1.5, 2.9, 3.6),  # grapefruit
        (8.5, 5.5, 2.1, 2.6),  # lemon
        (8.5, 6.0, 2.0, 2.6),  # lime
    ],
)
def test_ph_of_juices(brix: float, acid: float, low: float, high: float) -> None:
    assert low - 0.1 <= stability.estimate_ph(juice(brix, acid)) <= high + 0.1


@pytest.mark.parametrize(("molar", "ph"), [(0.1, 2.08), (0.01, 2.62), (0.001, 3.24)])
def test_ph_of_citric_acid(molar: float, ph: float) -> None:
    """Citric acid 0.1, 0.01 and 0.001 mol/l: pH 2.08, 2.62, 3.24.

    Hand-worked from pK1 3.127 (Benezeth 1997): h^2 = K1 (c - h), K2 negligible down to 0.01 and
    0.02 pH at 0.001 mol/l.
    """
    water = Masses(water=1000, acid=molar * 192.12)
    assert stability.estimate_ph(water) == pytest.approx(ph, abs=0.03)


def test_two_to_one_sits_at_saturation() -> None:
    """2:1 by weight: S 1.00 at 20 °C, 1.086 at 4 °C from Vavrinecz; 64.8 °Bx is safe at 4 °C."""
    rich = stability.assess(syrup(2.0))
    assert rich.crystallisation_temperature_c == pytest.approx(20.0, abs=1.0)
    assert rich.fridge.supersaturation == pytest.approx(1.086, abs=0.005)
    assert rich.room.supersaturation == pytest.approx(1.0, abs=0.005)
    assert any("In the fridge it holds 8 %" in w or "holds 9 %" in w for w in rich.words)
    simple = stability.assess(syrup(1.0))
    assert simple.crystallisation_temperature_c is None
    assert simple.fridge.crystals == "stays clear"


def test_advice_against_crystals_works() -> None:
    """Adding the water it names, or swapping the share it names, brings the fridge to 1."""
    rich = syrup(2.0)
    over = stability.assess(rich).fridge.supersaturation
    fixed = rich + Masses(water=rich.water * (over - 1.0))
    assert stability.assess(fixed).fridge.supersaturation == pytest.approx(1.0, abs=1e-4)
    assert sugar.solubility(4.0) == pytest.approx(64.8, abs=0.05)


def test_inversion_keeps_it_clear() -> None:
    """Inverting 10 % of a 2:1 syrup brings S at 4 °C to 1.01, 20 % to 0.92 (ICUMSA coefficient)."""
    for share, expected in ((0.1, 1.01), (0.2, 0.92)):
        pot = pots.invert(pots.add(pots.Pot(), syrup(2.0)), share)
        found = stability.assess(pot.liquid).fridge.supersaturation
        assert found == pytest.approx(expected, abs=0.025)


def test_neither_usual_syrup_is_dry_enough() -> None:
    """1:1 and 2:1 both stay above a water activity of 0.85 (Food Code limit): fridge."""
    for strength in (1.0, 2.0):
        keeps = stability.assess(syrup(strength))
        assert keeps.water_activity > stability.MOULD_LIMIT
        assert keeps.storage.startswith("refrigerate")
        assert any("Keep refrigerated" in w for w in keeps.words)
        assert keeps.words[-1] == stability.DISCLAIMER


def test_it_pours_and_pumps() -> None:
    simple, rich = stability.assess(syrup(1.0)), stability.assess(syrup(2.0))
    assert simple.fridge.pours == "pours freely"
    assert simple.fridge.pumps == "runs through a standard pump"
    assert rich.room.pumps == "runs through a standard pump"
    assert rich.fridge.pumps.startswith("needs a sauce pump")


def test_kinds_keep_in_order() -> None:
    def days(strength: float, kind: stability.Kind) -> int:
        keeps = stability.assess(syrup(strength), kind, needs_control=CONTROL)
        return keeps.days

    assert days(1.0, "fruit") < days(1.0, "spice") <= days(1.0, "plain") < days(2.0, "plain")
    assert days(2.0, "fruit") == days(1.0, "fruit")


@pytest.mark.parametrize(
    ("strength", "kind", "ph", "most"),
    [
        # FDA Food Code 2022, 1-201.10(B) Table B, and 3-501.17(B): seven days
        (1.0, "plain", 6.5, 7),  # water activity 0.95, pH above 5.0: product assessment
        (1.5, "spice", 6.5, 7),  # 0.90, above 5.0: product assessment
        (1.5, "spice", 4.0, 10),  # acid: none needed
        (2.0, "plain", 6.5, 30),  # below 0.88: none needed
        (1.0, "fruit", 6.5, 5),
    ],
)
def test_food_code_caps_the_days(
    strength: float, kind: stability.Kind, ph: float, most: int
) -> None:
    keeps = stability.assess(syrup(strength), kind, ph, needs_control=CONTROL)
    assert keeps.days == most
    keep = next(w for w in keeps.words if w.startswith("Keep refrigerated"))
    assert f"within {most} days" in keep
    assert "5 °C or colder" in keep
    control = any("needs time and temperature control" in w for w in keeps.words)
    assert control == keeps.controlled == CONTROL(keeps.water_activity_high, ph)


def test_water_activity_has_a_margin_and_the_cautious_end_is_printed_and_decides() -> None:
    # Table B: above 5.0 the line is below 0.88; an estimate of 0.866 is within its margin of it
    seen = {}
    for strength in (1.6, 1.65, 1.7, 1.75, 1.8, 1.85, 1.9):
        keeps = stability.assess(syrup(strength), "spice", 6.0, needs_control=CONTROL)
        assert keeps.water_activity_high == pytest.approx(keeps.water_activity + 0.015)
        printed = f"{keeps.water_activity_high:.3f}"
        assert any(f"Water activity up to {printed}" in w for w in keeps.words)
        seen.setdefault(printed, set()).add(keeps.controlled)
        assert keeps.controlled == (keeps.water_activity_high >= 0.88)
    assert {c for s in seen.values() for c in s} == {True, False}
    assert all(len(s) == 1 for s in seen.values())  # the same figures give the same verdict


def test_a_meter_has_no_margin() -> None:
    keeps = stability.assess(syrup(1.0), "spice", 6.0, needs_control=CONTROL, measured_aw=0.879)
    assert keeps.water_activity == keeps.water_activity_high == 0.879
    assert not keeps.controlled
    assert stability.assess(
        syrup(2.0), "spice", 6.0, needs_control=CONTROL, measured_aw=0.88
    ).controlled


@pytest.mark.parametrize(
    ("ph", "aw", "low"),
    # 21 CFR 114.3: pH above 4.6; botulinum grows above a water activity of about 0.935 (FDA fish
    # guide, appendix 4, from memory), taken as 0.92
    [(4.6, 0.95, False), (4.61, 0.95, True), (6.0, 0.92, False), (6.0, 0.921, True)],
)
def test_low_acid_is_never_sealed_hot(ph: float, aw: float, low: bool) -> None:
    keeps = stability.assess(syrup(1.0), "spice", ph, measured_aw=aw)
    assert keeps.low_acid is low
    assert ("botulinum" in keeps.words[0]) is low
    assert ("acidify below pH 4.2 by meter" in keeps.words[0]) is low


def test_fresh_ginger_one_to_one_is_low_acid_and_lemon_is_not(catalog: Catalog) -> None:
    # ginger of pH 5.6 to 5.9 holds 0.1 to 0.4 % of acid: no sour syrup all the same
    thin = syrup(0.7)
    ginger = stability.of_syrup(catalog, replace(thin, acid=0.3), [catalog.form("ginger-fresh")])
    assert ginger.low_acid
    assert ginger.ph_high >= 5.9
    lemon = stability.of_syrup(catalog, replace(thin, acid=30.0), [catalog.form("lemon-juice")])
    assert not lemon.low_acid
    assert lemon.ph_high < 4.2


def test_honey_is_taken_at_its_highest_ph(catalog: Catalog) -> None:
    # honey 3.4 to 6.1 (White 1962, recalled)
    honey = Masses(water=62, glucose=17, fructose=20, acid=0.2, ash=0.08)
    assert stability.of_syrup(catalog, honey, [], ["honey"]).ph_high == pytest.approx(6.1)
    assert stability.of_syrup(catalog, honey, [], ["honey"], measured_ph=3.9).ph_high == 3.9


def test_nut_syrups_are_capped(catalog: Catalog) -> None:
    rich = syrup(2.0)
    nut = stability.of_syrup(catalog, rich, [catalog.form("hazelnut-roasted")])
    assert nut.days == 7
    assert "nut" in nut.whose_days
    assert stability.of_syrup(catalog, rich, [catalog.form("clove")]).days == 10


def test_days_say_whose_they_are() -> None:
    for args, word in (
        ((syrup(1.0), "fruit", 3.0), "the Food Code asks none here"),
        ((syrup(1.0), "spice", 6.5), "Food Code 3-501.17"),
        ((syrup(1.0), "fruit", 6.5), "the Food Code allows 7"),
        ((syrup(2.0), "plain", 6.5), "our habit; the Food Code asks none here"),
    ):
        keeps = stability.assess(*args, needs_control=CONTROL)  # type: ignore[arg-type]
        assert word in keeps.whose_days
        assert any(keeps.whose_days in w for w in keeps.words)
        assert 1 <= keeps.opened_days <= min(7, keeps.days)


@pytest.mark.parametrize(
    ("market", "words"),
    [
        ("us", ("57 °C", "3-501.19")),
        ("uk", ("63 °C", "above 8 °C")),
        ("eu", ("63 °C", "our habit")),
    ],
)
def test_counter_and_hot_holding_per_market(market: str, words: tuple[str, str]) -> None:
    # Food Code 2022 3-501.16 and 3-501.19; Food Safety and Hygiene (England) Regulations 2013,
    # schedule 4
    line = next(
        w for w in stability.assess(syrup(1.0), market=market).words if w.startswith("On the c")
    )
    assert all(w in line for w in words)
    assert "spores" in line


def test_handling_never_relaxes_storage() -> None:
    for strength in (0.5, 1.0, 1.5, 2.0):
        text = " ".join(stability.assess(syrup(strength)).words)
        assert "out of the fridge" not in text


def test_acid_of_honey_is_not_trusted() -> None:
    """Honey 3.4 to 6.1, mean 3.9 (White 1962, recalled): its acid is gluconic, weaker than citric.

    An estimate below 4.2 in a thin honey syrup must not buy more than the seven days of Food
    Code 2022 Table B above a water activity of 0.92; a reading on a meter may.
    """
    honey = Masses(water=62, glucose=17, fructose=20, acid=0.2, ash=0.08)
    assert stability.estimate_ph(honey) < 4.2
    keeps = stability.assess(honey, "spice", needs_control=CONTROL)
    assert keeps.days == 7
    measured = stability.assess(honey, "spice", 3.9, needs_control=CONTROL)
    assert measured.days == 10


def test_without_a_screening_every_syrup_is_held_to_seven_days() -> None:
    assert stability.assess(syrup(2.0)).days == 7


def test_measured_ph_wins() -> None:
    keeps = stability.assess(syrup(1.0), "fruit", measured_ph=3.6, needs_control=CONTROL)
    assert (keeps.ph, keeps.ph_uncertainty) == (3.6, 0.0)
    assert any("holds back bacteria" in w for w in keeps.words)


def test_cooking_inverts_sour_syrup() -> None:
    """15 min near the boil: 10-25 % at pH 3.2, none that matters at pH 5 and up (Vukov 1965)."""
    sour = syrup(1.0, addition.acid_powder("citric-acid", 2.0))
    assert 2.4 < stability.estimate_ph(sour) < 3.2
    assert 0.1 < stability.inverted_share(sour, 15.0) < 0.9
    assert stability.inverted_share(syrup(1.0), 15.0) < 0.01


@given(st.floats(0.5, 2.4), st.floats(0, 20))
def test_more_acid_is_more_sour(strength: float, acid: float) -> None:
    less = syrup(strength, addition.acid_powder("citric-acid", acid))
    more = syrup(strength, addition.acid_powder("citric-acid", acid + 1))
    assert stability.estimate_ph(more) <= stability.estimate_ph(less)
    assert 0 < stability.water_activity(more) < 1


@pytest.mark.parametrize(
    "call",
    [
        lambda: stability.assess(Masses()),
        lambda: stability.assess(Masses(sucrose=10)),
        lambda: stability.assess(Masses(water=10, sucrose=float("nan"))),
        lambda: stability.assess(Masses(water=10), "jam"),  # type: ignore[arg-type]
        lambda: stability.assess(Masses(water=10), measured_ph=15),
    ],
)
def test_bad_input_is_one_line(call: object) -> None:
    with pytest.raises(PairingError) as caught:
        call()  # type: ignore[operator]
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("honey", 3.42, 6.10),
        ("maple-syrup", 5.5, 7.9),
        ("agave-syrup", 4.0, 6.0),
        ("molasses", 4.9, 5.9),
    ],
)
def test_a_sweetener_is_taken_at_its_highest_ph(
    catalog: Catalog, name: str, low: float, high: float
) -> None:
    """kitchen.md 2: the table's own high end decides, never estimate plus constant."""
    row = catalog.sweetener(name)
    assert (row.ph_low, row.ph_high) == (low, high)
    made = sweetener_of(row).masses(600.0) + Masses(water=300.0)
    kept = stability.of_syrup(catalog, made, [], [row.sweetener_id])
    assert kept.ph_high == pytest.approx(high)
    assert kept.ph <= row.ph_high


def test_the_ph_of_a_sweetener_is_its_own(catalog: Catalog) -> None:
    """kitchen.md 2: agave printed 6.5 although the table has 4.8, and honey came out too sour."""
    for name, ph in (("agave-syrup", 4.8), ("hfcs-55", 3.8), ("molasses", 5.4), ("honey", 3.91)):
        made = sweetener_of(catalog.sweetener(name)).masses(600.0) + Masses(water=300.0)
        assert stability.of_syrup(catalog, made, [], [name]).ph == pytest.approx(ph, abs=0.01)


@pytest.mark.parametrize("ph", [2.2, 3.0, 3.8, 4.6, 5.5])
@pytest.mark.parametrize("ash", [0.0, 1.5, 6.0])
def test_the_acid_of_a_ph_gives_that_ph(ph: float, ash: float) -> None:
    syrup = Masses(water=400.0, sucrose=590.0, ash=ash)
    acid = stability.acid_for_ph(syrup, ph)
    assert stability.estimate_ph(replace(syrup, acid=acid)) == pytest.approx(ph, abs=1e-3)


def test_what_nobody_has_stated_keeps_no_longer_than_a_nut(tmp_path: Path) -> None:
    """An own thing without stated allergens may be nut, milk or egg: seven days at most."""
    from pairing.bar.pantry import open_pantry

    row = (
        '[[ingredients]]\ningredient_id = "own"\nname = "House powder"\nkind = "spice"\n{}\n'
        '[[forms]]\nform_id = "own"\ningredient_id = "own"\nform = "ground"\nlabel = "Own"\n'
        "water_percent = 5\n"
    )
    rich = Masses(water=300.0, sucrose=700.0)
    path = tmp_path / "p.toml"
    for stated, most in (("", 7), ('allergens = []\nspecification = "sheet 1"', 10)):
        path.write_text(row.format(stated), "utf-8")
        laid = open_pantry(path, load()).catalog
        kept = stability.of_syrup(laid, rich, [laid.forms["own"]], ["white-cane-sugar"])
        assert kept.days == most
        assert ("nobody has stated" in kept.whose_days) is (not stated)
    path.write_text(row.format('allergens = ["egg"]'), "utf-8")
    laid = open_pantry(path, load()).catalog
    assert stability.of_syrup(laid, rich, [laid.forms["own"]], ()).days == 7


def test_a_plant_whose_acid_nobody_published_is_counted_as_having_none(catalog: Catalog) -> None:
    """About 280 forms have no published pH: none of them may seem to sour a syrup."""
    plain = Masses(sucrose=500.0, water=500.0)
    unknown = [f for f in catalog.forms.values() if f.acid_percent_low is None]
    assert len(unknown) >= 250
    for form in unknown:
        kept = stability.of_syrup(catalog, plain, [form])
        at_most = form.ph_high if form.ph_high is not None else stability.PH_OF_PLANTS
        assert kept.ph_high >= min(at_most, stability.PH_OF_PLANTS), form.form_id
        assert kept.low_acid or kept.ph_high <= stability.BOTULINUM_PH, form.form_id
        assert kept.controlled or kept.ph_high <= stability.BOTULINUM_PH, form.form_id


def test_a_plain_syrup_is_rich_from_64_brix_on() -> None:
    """Common practice, no source: 14 days below, 30 from there on."""
    days = [
        stability.assess(Masses(water=100 - brix, sucrose=brix), "plain", 4.0,
                         needs_control=CONTROL).days
        for brix in (61.0, 63.9, 64.0)
    ]  # fmt: skip
    assert days == [14, 14, 30]


def test_the_margin_of_water_activity_decides_on_the_closed_bottle() -> None:
    """0.915 as reckoned, 0.93 with its margin: above 0.92, so never sealed hot (Food Code)."""
    found = None
    for brix in range(40, 70):
        keeps = stability.assess(Masses(water=100 - brix, sucrose=float(brix)), "spice", 6.0)
        if keeps.water_activity < 0.92 < keeps.water_activity_high:
            found = keeps
    assert found is not None
    assert found.low_acid


def test_only_below_0_85_is_water_activity_said_to_slow_bacteria() -> None:
    """Food Code 2022, 1-201.10(B): water activity of 0.85."""
    for aw, slows in ((0.84, True), (0.86, False), (0.9, False)):
        keeps = stability.assess(
            syrup(1.0), "spice", 5.0, measured_aw=aw, needs_control=lambda *_: False
        )
        assert any("slows bacteria" in w for w in keeps.words) == slows, aw
