"""Conservation through every technique: water, each sugar, acid and fibre are all somewhere."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairing.aroma import infusion
from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.syrup import pot
from pairing.syrup.acidity import acidify, find_powder, powder_portion
from pairing.syrup.brought import portion_of, stages_of
from pairing.syrup.composition import Masses, Sweetening
from pairing.syrup.cooked import granulates, solve_cooked
from pairing.syrup.pot import Cook, Pot

CATALOG = load()
SUGAR = Sweetening("white-cane-sugar", 0.02, 99.8, ash_percent=0.01)
FORMS = (
    "mandarin", "mandarin-peel", "lemon-zest", "ginger-fresh", "lemongrass", "spearmint", "jasmine",
    "elderflower", "hibiscus", "tamarind", "black-tea", "cassia", "cassia-ground", "clove",
    "vanilla-bean", "cacao-nib", "lemon-peel-sugared", "yuzu-sugared", "dried-tangerine-peel",
)  # fmt: skip
METHODS = [m for m in infusion.METHODS if m != "stir-in"]
NAMES = [
    n for n in Masses.__dataclass_fields__ if not n.startswith("other_") or n == "other_sugars"
]


def assert_booked(p: Pot) -> None:
    out = p.liquid + p.pieces + p.steam + p.drained + p.cling
    for name in NAMES:
        assert getattr(p.put_in, name) == pytest.approx(getattr(out, name), abs=1e-6), name


@settings(max_examples=150, deadline=None)
@given(
    name=st.sampled_from(FORMS),
    method=st.sampled_from(METHODS),
    minutes=st.floats(1.0, 3000.0),
    grams=st.floats(0.1, 300.0),
    sugar=st.floats(50.0, 2000.0),
    share=st.floats(0.0, 1.0),
    steam=st.floats(0.0, 60.0),
)
def test_every_component_is_somewhere(
    name: str, method: str, minutes: float, grams: float, sugar: float, share: float, steam: float
) -> None:
    form = CATALOG.form(name)
    wet = stages_of(CATALOG, form, method, minutes)
    part = portion_of(CATALOG, form, grams, "batch", method=method, stages=wet)
    whole = part.released + part.kept
    assert whole.total == pytest.approx(1.0, abs=1e-9)  # a gram stays a gram
    assert part.kept.insoluble >= -1e-9
    p = pot.add(Pot(), SUGAR.masses(sugar))
    p = pot.dilute(p, sugar)
    try:
        p = pot.add_portion(p, part, grams)
    except PairingError:  # more leaf than the water can wet
        with pytest.raises(PairingError, match="drink up all the water"):
            pot.add_portion(p, part, grams)
        return
    assert_booked(p)
    p = pot.invert(pot.evaporate(p, min(steam, 0.5 * p.liquid.water)), share)
    assert_booked(p)
    if p.hold_g < p.liquid.total:
        p = pot.strain(p, 2.0)
        assert_booked(p)
        assert p.liquid.acid >= 0


@settings(max_examples=40, deadline=None)
@given(
    name=st.sampled_from(("lemon", "mandarin", "hibiscus", "tamarind")),
    strength=st.floats(0.8, 2.0),
    minutes=st.floats(1.0, 60.0),
)
def test_inversion_keeps_sugar_and_water_together(
    name: str, strength: float, minutes: float
) -> None:
    form = CATALOG.form(name)
    part = portion_of(CATALOG, form, 150.0, "kg syrup")
    try:
        made, inverted = solve_cooked(
            SUGAR,
            [(minutes, 95.0)],
            Cook(),
            strength=strength,
            yield_g=1000.0,
            portions=[part],
        )
    except PairingError:
        return
    assert 0.0 <= inverted.low <= inverted.best <= inverted.high < 1.0
    assert made.yield_g == pytest.approx(1000.0, abs=1e-6)
    flat, _ = solve_cooked(SUGAR, [], Cook(), strength=strength, yield_g=1000.0, portions=[part])
    assert made.brix >= flat.brix - 1e-9  # water goes into the sugar
    assert made.composition.sucrose <= flat.composition.sucrose + 1e-9


def test_glucose_granulates_as_honey_does() -> None:
    """White (1962), from memory: above 2.1 g glucose to 1 g water soon, below 1.7 not."""
    honey = Sweetening("honey", 17.2, 1.3, 31.3, 38.2, 8.8).masses(100.0)
    assert "granulate" in granulates(honey)
    assert granulates(honey + Masses(water=10.0)) == ""


def test_acid_powders_are_counted_by_their_own_strength() -> None:
    """Titrated to pH 8.2: citric 3 x 1/192.12, malic 2 x 1/134.09, tartaric 2 x 1/150.09 mol/g."""
    citric = 3.0 / 192.12
    for name, per_gram in (
        ("malic-acid", 2.0 / 134.09),
        ("tartaric-acid", 2.0 / 150.09),
        ("citric acid", citric),
    ):
        row = find_powder(CATALOG, name)
        assert row is not None
        assert row.acid_as_citric_percent / 100.0 == pytest.approx(per_gram / citric, rel=0.005)
        part = powder_portion(row, 1.0)
        assert (part.released + part.kept).total == pytest.approx(1.0)


def test_acidify_reaches_the_ph_and_no_further() -> None:
    row = find_powder(CATALOG, "citric-acid")
    salt = find_powder(CATALOG, "salt")
    assert row is not None
    assert salt is not None
    syrup = Masses(water=380.0, sucrose=600.0, acid=1.0, ash=1.5)
    found = acidify(syrup, 3.0, row)
    assert found.ph_then == pytest.approx(3.0, abs=0.01)
    assert found.grams > 0
    for bad in (
        lambda: acidify(syrup, 6.4, row),
        lambda: acidify(syrup, 1.0, row),
        lambda: acidify(syrup, 3.0, salt),
    ):
        with pytest.raises(PairingError):
            bad()
