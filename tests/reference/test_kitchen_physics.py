"""Exchange, inversion, stove, steam and densities against published values."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairing.errors import PairingError
from pairing.glass import liquids
from pairing.syrup import exchange, inversion, stove, sugar
from pairing.syrup.composition import Masses

# --- exchange ---------------------------------------------------------------------------------


def cube_share(side_mm: float, minutes: float, temperature_c: float) -> float:
    """A cube is three slabs at right angles (Newman's product of the unreached shares)."""
    slab = exchange.exchanged_share(side_mm, [(minutes, temperature_c)])
    return 1.0 - (1.0 - slab) ** 3


def test_slab_series_against_crank() -> None:
    """Crank (1975), Mathematics of Diffusion, Table 4.1 / eq. 4.18 and 4.20.

    The half-way time of a sheet is D t / L^2 = 0.04919.
    """
    d = exchange.diffusivity(60.0)
    minutes = 0.04919 * (0.004**2) / d / 60.0
    assert exchange.exchanged_share(4.0, [(minutes, 60.0)]) == pytest.approx(0.5, abs=1e-3)


def test_warmth_against_pineapple() -> None:
    """Ramallo et al. (2005): 30 to 50 °C makes water 3.8 and sucrose 2.8 times as fast."""
    assert 2.8 <= exchange.diffusivity(50.0) / exchange.diffusivity(30.0) <= 3.8


def test_papaya_slabs() -> None:
    """Palou et al. (1993), 60 % sucrose: 0.926e-10 m2/s (water), 0.748e-10 (solids)."""
    assert 0.6e-10 < exchange.diffusivity(25.0) < 1.1e-10


def test_sweet_potato_slices() -> None:
    """Antonio et al. (2008), 40 °C: 0.38e-10 to 0.75e-10 (water), 0.34e-10 to 1.18e-10 (solids).

    A denser tissue than fruit: the law, made for fruit, may be up to six times as fast, not more.
    """
    assert 1.0 < exchange.diffusivity(40.0) / 0.62e-10 < 6.0


def orange_pieces(share: float, brix: float) -> tuple[float, float]:
    """Water lost and solids gained by 100 g of orange (87 g water, 11 g soluble)."""
    sap = 0.98
    syrup = exchange.SYRUP_FOR_SAP * sap * share
    lost = 100.0 * (0.87 * share - syrup * (1.0 - brix / 100.0))
    gained = 100.0 * (syrup * brix / 100.0 - 0.11 * share)
    return lost, gained


def test_orange_pieces() -> None:
    """Rev. bras. eng. agric. ambient. 17 (2013): 60 °Bx, 90 min, 10.6 g water, 3.5 g solids.

    The paper's abstract gives no size; pieces of 8 to 12 mm at room temperature are tried.
    """
    lost, gained = orange_pieces(exchange.exchanged_share(10.0, [(90.0, 25.0)]), 60.0)
    assert lost == pytest.approx(10.6, rel=0.2)
    assert gained == pytest.approx(3.5, rel=0.2)


def test_apple_cubes_kept_apart() -> None:
    """Cichowska et al. (2018, 2019), Molecules 23, 446 and Foods 8, 20: not fitted on.

    Apple of 5.69 g water per g dry matter in 50 % sucrose, 40 °C, 180 min, about 2.5 left (read).
    The 10 mm cubes are from memory of their methods.
    """
    share = cube_share(10.0, 180.0, 40.0)
    water, solids, soluble = 0.85, 0.15, 0.13
    syrup = exchange.SYRUP_FOR_SAP * (water + soluble) * share
    left = water * (1.0 - share) + 0.5 * syrup
    dry = solids - soluble * share + 0.5 * syrup
    assert left / dry == pytest.approx(2.5, rel=0.35)


def pineapple_slices() -> tuple[float, float]:
    """Water lost and solids gained by 100 g of 15 mm slices, 60 % sucrose, 70 °C, 5 h."""
    share, water, soluble = exchange.exchanged_share(15.0, [(300.0, 70.0)]), 0.86, 0.13
    syrup = exchange.SYRUP_FOR_SAP * (water + soluble) * share
    return 100.0 * (water * share - 0.4 * syrup), 100.0 * (0.6 * syrup - soluble * share)


def test_pineapple_slices_kept_apart() -> None:
    """Osmotic dehydration of pineapple, techno-preneur.net, read: not fitted on.

    37.44 % water lost. Its 30.30 % solids gained is three times what the law gives (10 %), and
    no other fruit here gains so much: it is reported, not met.
    """
    lost, gained = pineapple_slices()
    assert lost == pytest.approx(37.44, rel=0.15)
    assert gained < 30.30


def test_deviation_over_all_published_water() -> None:
    """Orange (fitted on), apple, pineapple, kiwiberry: root mean square of relative deviations.

    All are figures that the abstracts or pages print; no whole table could be read.
    """
    cube = cube_share(10.0, 180.0, 40.0)
    syrup = exchange.SYRUP_FOR_SAP * 0.98 * cube
    apple = (0.85 * (1.0 - cube) + 0.5 * syrup) / (0.15 - 0.13 * cube + 0.5 * syrup)
    hour, three = (exchange.exchanged_share(20.0, [(m, 50.0)]) for m in (60.0, 180.0))
    orange = orange_pieces(exchange.exchanged_share(10.0, [(90.0, 25.0)]), 60.0)
    pairs = [(orange[0], 10.6), (orange[1], 3.5), (apple, 2.5), (pineapple_slices()[0], 37.44),
             (three / hour, 20.0 / 12.8)]  # fmt: skip
    rms = math.sqrt(sum((a / b - 1.0) ** 2 for a, b in pairs) / len(pairs))
    apart = math.sqrt(sum((a / b - 1.0) ** 2 for a, b in pairs[2:]) / 3.0)
    print(
        f"osmotic exchange: {100 * rms:.0f} % over five, {100 * apart:.0f} % over three kept apart"
    )
    assert apart < 0.25


def test_kiwiberry_slows_down() -> None:
    """Cichowska et al. (2018), Molecules 23, 1236: 12.8 % lighter in 60 min (50 °C), 20 in 180.

    Whole berries of about 20 mm: only the law of time is checked.
    """
    hour, three = (exchange.exchanged_share(20.0, [(m, 50.0)]) for m in (60.0, 180.0))
    assert three / hour == pytest.approx(20.0 / 12.8, rel=0.15)


@given(
    st.floats(0.1, 50.0),
    st.floats(0.0, 3000.0),
    st.floats(0.0, 100.0),
    st.floats(0.0, 3000.0),
)
def test_more_time_never_gives_less(thick: float, first: float, t: float, more: float) -> None:
    early = exchange.exchanged_share(thick, [(first, t)])
    late = exchange.exchanged_share(thick, [(first, t), (more, t)])
    assert -1e-12 <= early <= late + 2e-3  # two formulas meet at Fourier 0.03
    assert late <= 1.0


# --- inversion --------------------------------------------------------------------------------


def test_activation_energy() -> None:
    """Tombari et al. (2007): 109.2 kJ/mol; Exp. Sci. Technol. (2015): 108 kJ/mol."""
    slow, fast = (
        -math.log(1.0 - inversion.share_of_sucrose(3.0, 60.0, [(10.0, t)])[1]) for t in (60.0, 80.0)
    )
    energy = 8.314 * math.log(fast / slow) / (1 / 333.15 - 1 / 353.15) / 1000.0
    assert energy == pytest.approx(108.6, abs=3.0)


def test_orange_jelly() -> None:
    """Tolman, Munson and Bigelow (1901), told in Lowe, Experimental Cookery: 4.9 % in orange.

    Jelly of pH 3.2 to 3.6 boiled 10 to 20 minutes near 103 °C (usual jelly, from memory).
    """
    low = inversion.share_of_sucrose(3.6, 60.0, [(10.0, 103.0)])[0]
    high = inversion.share_of_sucrose(3.2, 60.0, [(20.0, 103.0)])[2]
    assert low < 0.049 < high


def test_simmered_lemon_syrup() -> None:
    """Independent recomputation in the findings: 42 to 64 % for 16 min at 95 °C, pH 2.37."""
    low, best, high = inversion.share_of_sucrose(2.37, 62.7, [(16.0, 95.0)])
    assert low == pytest.approx(0.42, abs=0.04)
    assert high == pytest.approx(0.64, abs=0.04)
    assert 0.40 <= best <= 0.65


def test_sweet_syrup_does_not_invert() -> None:
    found = inversion.inverted_by(Masses(water=40.0, sucrose=60.0), [(16.0, 95.0)])
    assert found.high < 1e-3


# --- stove ------------------------------------------------------------------------------------

# USDA, Complete Guide to Home Canning, altitude table: feet and boiling point of water [°C]
CANNING = ((0, 100.0), (1000, 99.01), (2000, 98.03), (3000, 97.05), (5000, 95.12), (8000, 92.26),
           (10000, 90.39))  # fmt: skip


@pytest.mark.parametrize(("feet", "boils"), CANNING)
def test_boiling_by_altitude(feet: float, boils: float) -> None:
    """Its pressures are isothermal, ours are the standard atmosphere's: 0.6 °C apart at most."""
    assert stove.boils_at(0.0, feet * 0.3048) == pytest.approx(boils, abs=0.65)


def test_standard_atmosphere() -> None:
    """ISO 2533: 89.87 kPa at 1000 m, 70.11 at 3000 m."""
    assert stove.pressure_kpa(1000.0) == pytest.approx(89.87, abs=0.02)
    assert stove.pressure_kpa(3000.0) == pytest.approx(70.11, abs=0.03)


def test_heat_up_is_an_enthalpy_balance() -> None:
    """1 kg of water from 20 to 100 °C takes 335 kJ (CRC Handbook): 2.8 min at 2 kW."""
    pan = stove.Pan(20.0, 1000.0, 0.0)
    assert stove.heat_up_minutes(pan, 20.0, 100.0, 2000.0, 1.0) == pytest.approx(2.79, rel=0.02)


def test_a_large_pot_cools_slowly_and_an_ice_bath_helps() -> None:
    small, large = stove.Pan(16.0, 800.0, 62.0), stove.Pan(45.0, 27_000.0, 62.0)
    assert stove.cool_down_minutes(large, 100.0, 80.0) > 40.0  # the finding: an hour and no word
    assert stove.cool_down_minutes(large, 100.0, 80.0) > 2 * stove.cool_down_minutes(
        small, 100.0, 80.0
    )
    assert stove.cool_down_minutes(large, 57.0, 21.0, "ice bath") < 120.0
    assert stove.cool_down_minutes(small, 57.0, 10.0) == math.inf


# --- steam and densities ----------------------------------------------------------------------


def test_steam_by_enthalpy() -> None:
    """222.6 g from 5 to 65 °C: 52.5 kJ over 2403 J/g (IAPWS-95) = 21.8 g; weighed 10-13 %."""
    found = liquids.steam_water(222.6, 5.0, 65.0)
    assert found == pytest.approx(222.6 * 3.93 * 60.0 / (2256.4 + 4.19 * 35.0), rel=1e-9)
    assert 0.09 < found / 222.6 < 0.13


def test_milk_density() -> None:
    """USDA SR28: a cup (236.588 ml) of whole milk is 244 g, 1.031 g/ml."""
    assert liquids.milk_density(10.0) == pytest.approx(1031.0, abs=2.5)


def test_tonic_density_is_that_of_its_sugar() -> None:
    """ICUMSA SPS-4: 9 °Bx is 1034.3 kg/m3 at 20 °C (shared/sugar tables)."""
    assert float(sugar.density(9.0)) == pytest.approx(1034.1, abs=0.5)


def test_espresso_sinks_in_plain_water_and_floats_on_tonic() -> None:
    espresso = liquids.coffee_density(9.5, 65.0)
    plain, tonic = float(sugar.density(0.0, 4.0)), float(sugar.density(9.0, 4.0))
    assert plain < espresso < tonic
    assert liquids.layers([("espresso", espresso), ("water", plain)]) == (("water",), ("espresso",))
    assert liquids.layers([("tonic", tonic), ("espresso", espresso)])[0] == ("espresso",)


@pytest.mark.parametrize(
    "call",
    [
        lambda: exchange.exchanged_share(0.0, [(1.0, 20.0)]),
        lambda: exchange.exchanged_share(1.0, [(-1.0, 20.0)]),
        lambda: exchange.diffusivity(200.0),
        lambda: stove.pressure_kpa(9000.0),
        lambda: stove.cool_down_minutes(stove.Pan(20.0, 100.0, 60.0), 90.0, 50.0, "blast"),
        lambda: liquids.steam_water(100.0, 5.0, 100.0),
        lambda: liquids.milk_density(90.0),
        lambda: liquids.coffee_density(50.0, 20.0),
    ],
)
def test_bad_numbers_are_refused(call) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(PairingError):
        call()
