"""Acids, glycerol and gums inside a formula: targets met, mass kept, silly amounts refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairing.aroma.coffee import plain_coffee
from pairing.cards.bottle import label_for
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load
from pairing.syrup.composition import Masses
from pairing.syrup.formula import Formula, make
from pairing.syrup.keeping import bisect, estimate_ph

CATALOG = load()
COFFEE = plain_coffee(CATALOG)
ACIDS = ("citric-acid", "malic-acid", "tartaric-acid", "lactic-acid-80")
# Acid groups, g/mol and pK at 25 °C: CRC Handbook of Chemistry and Physics, from memory
CRC = {
    "citric-acid": (3, 192.12, (3.13, 4.76, 6.40)),
    "malic-acid": (2, 134.09, (3.40, 5.11)),
    "tartaric-acid": (2, 150.09, (2.98, 4.34)),
    "lactic-acid-80": (1, 90.08, (3.86,)),
}


def made_with(*names: str, catalog: Catalog = CATALOG, **more: object) -> Formula:
    return make(catalog, names, COFFEE, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("acid", ACIDS)
@pytest.mark.parametrize("plants", [("clove",), ("mandarin", "clove"), ("rose-petal", "cassia")])
def test_a_ph_is_met_in_the_finished_syrup(acid: str, plants: tuple[str, ...]) -> None:
    without = estimate_ph(made_with(*plants).batch.composition)
    wanted = round(min(without - 0.2, 3.4), 2)
    made = made_with(*plants, acid, doses={acid: f"pH {wanted}"})
    assert estimate_ph(made.batch.composition) == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize("acid", ACIDS)
def test_a_share_of_acid_is_met(acid: str) -> None:
    made = made_with("mandarin", "clove", acid, doses={acid: "0.7% acid"})
    assert made.batch.composition.acid_percent == pytest.approx(0.7, abs=0.002)


@settings(max_examples=40, deadline=None)
@given(
    row=st.sampled_from(sorted(set(CATALOG.powders) - {"salt"})),
    part=st.floats(0.0, 1.0),
    per_kg=st.booleans(),
    yield_g=st.floats(300.0, 5000.0),
)
def test_every_gram_of_a_powder_is_somewhere(
    row: str, part: float, per_kg: bool, yield_g: float
) -> None:
    powder = CATALOG.powders[row]
    low, high = powder.dose_low_g_per_kg or 1.0, powder.dose_high_g_per_kg or 1.0
    dose = low + part * (high - low)
    said = f"{dose:.6f}g/kg" if per_kg else f"{dose * yield_g / 1000.0:.6f}g"
    made = made_with("mandarin", "clove", row, doses={row: said}, yield_g=yield_g)
    batch = made.batch
    put_in = batch.sugar_g + batch.water_g + sum(made.grams.values())
    assert put_in == pytest.approx(batch.put_in_g)
    out = batch.yield_g + batch.evaporated_g + batch.drained_g + batch.cling_g
    assert out == pytest.approx(put_in, rel=1e-9)
    assert made.powders[0].g_per_kg == pytest.approx(dose, rel=0.02)
    assert batch.yield_g == pytest.approx(yield_g, rel=1e-6)


@pytest.mark.parametrize("acid", ACIDS)
@pytest.mark.parametrize("percent", [0.2, 0.5, 0.8])
def test_each_acid_by_its_own_constants_is_within_the_margin(acid: str, percent: float) -> None:
    """Charge balance with the pK of the CRC Handbook (from memory): within 0.3 of the estimate."""
    groups, molar, pks = CRC[acid]
    water, citric_g = 400.0, 10.0 * percent
    moles_per_kg = citric_g / 192.12 * 3.0 / groups / water * 1000.0

    def charge(ph: float) -> float:
        steps = [1.0]
        for pk in pks:
            steps.append(steps[-1] * 10.0 ** (ph - pk))
        return sum(i * x for i, x in enumerate(steps)) / sum(steps)

    own = bisect(lambda ph: moles_per_kg * charge(ph) - 10.0**-ph, 1.0, 8.0)
    estimate = estimate_ph(Masses(water=water, sucrose=590.0, acid=citric_g))
    assert math.isclose(own, estimate, abs_tol=0.3)
    assert molar > 0


def test_an_acid_that_was_weighed_in_holds_back_germs_and_says_so() -> None:
    bare, sour = made_with("clove"), made_with("clove", "citric-acid")
    assert sour.keeping(CATALOG).ph_high < 4.2 < bare.keeping(CATALOG).ph_high
    thin = made_with("ginger-fresh", strength="1:1").keeping(CATALOG)
    soured = made_with("ginger-fresh", "citric-acid", strength="1:1").keeping(CATALOG)
    assert thin.low_acid
    assert not soured.low_acid
    nut = made_with("hazelnut-roasted", "citric-acid", strength="1:1").keeping(CATALOG)
    assert nut.low_acid  # fat and protein: the acid is not trusted


def test_plants_are_counted_as_buffers_at_their_most() -> None:
    little = made_with("clove", "citric-acid", doses={"citric-acid": "2g/kg"})
    much = made_with("cocoa-powder", "citric-acid", doses={"citric-acid": "2g/kg"})
    ends = [m.keeping(CATALOG).ph_high for m in (little, much)]
    assert ends[0] < ends[1]


def test_acid_goes_in_after_the_simmer_and_inverts_only_in_the_kill_step() -> None:
    late = made_with("clove", "citric-acid", doses={"citric-acid": "8g/kg"})
    assert 0.002 < late.inverted.best < 0.10
    words = " ".join(late.steps)
    assert words.index("Strain") < words.index("citric acid".capitalize(), words.index("Strain"))
    assert words.index("Stir in") < words.index("Weigh it")


def test_gum_is_mixed_dry_and_its_sugar_is_set_aside() -> None:
    made = made_with("clove", "xanthan-gum", doses={"xanthan-gum": "1g/kg"})
    gum = made.powders[0].grams
    assert f"{10 * gum:.1f} g of the sugar" in made.steps[0]
    assert f"{made.batch.sugar_g - 10 * gum:.0f} g white cane sugar" in " ".join(made.steps)
    assert any("pours and pumps is not known" in n for n in made.notices)


def test_glycerol_warns_of_children() -> None:
    assert any("children under 7" in n for n in made_with("clove", "glycerol").notices)


@pytest.mark.parametrize(
    ("market", "words"),
    [("eu", "Acid: citric acid (E 330)"), ("uk", "Thickener: xanthan gum (E 415)"),
     ("us", "Citric acid"), ("", "Humectant: glycerol (E 422)")],
)  # fmt: skip
def test_the_list_of_ingredients_names_the_additive(market: str, words: str) -> None:
    catalog = Catalog(CATALOG.folder, {}, CATALOG.model, market)
    made = made_with("clove", "citric-acid", "xanthan-gum", "glycerol", catalog=catalog)
    label = label_for(catalog, made)
    assert words in ", ".join(label.ingredients)
    assert "sweetener" not in label.copy[0]  # glycerol is none
    assert label.name == "Clove syrup"


@pytest.mark.parametrize(
    ("names", "doses", "words"),
    [
        (("clove", "citric-acid"), {"citric-acid": "90g/kg"}, "more than 32 is refused"),
        (("clove", "citric-acid"), {"citric-acid": "100g"}, "more than 32 is refused"),
        (("lemon", "malic-acid"), {"malic-acid": "pH 3.9"}, "already"),
        (("clove", "glycerol"), {"glycerol": "pH 3.4"}, "is no acid"),
        (("clove", "citric-acid"), {"citric-acid": "9% acid"}, "at most 5"),
        (("clove", "citric-acid"), {"citric-acid": "5"}, "5 of what"),
        (("clove", "citric-acid"), {"citric-acid": "pH 1.2"}, "pH must be 2 to 6.5"),
        (("clove", "citric-acid", "malic-acid"),
         {"citric-acid": "pH 3", "malic-acid": "0.5% acid"}, "cannot both"),
        (("clove",), {"citric-acid": "1g/kg"}, "not in the formula"),
        (("citric-acid",), {}, "alone is no flavour"),
        (("clove", "citric-acid", "citric acid"), {}, "twice"),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_one_line(
    names: tuple[str, ...], doses: dict[str, str], words: str
) -> None:
    with pytest.raises(PairingError, match=words) as refused:
        made_with(*names, doses=doses)
    assert "\n" not in str(refused.value)
