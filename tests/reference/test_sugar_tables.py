"""Checks of `pairing.sugar` against published tables kept in shared/ (citation in each row)."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from pairing.syrup import sugar

SHARED = Path(__file__).parents[2] / "shared"


def rows(name: str) -> list[dict[str, str]]:
    with (SHARED / name).open(encoding="utf-8") as handle:
        found = list(csv.DictReader(handle))
    assert found
    assert all(row["citation"] and row["evidence"] in {"read", "memory"} for row in found)
    return found


def test_density_against_tables() -> None:
    """0.1 kg/m3 to 45 °Bx; above it Plato-scale tables lie 0.1-0.35 kg/m3 below ICUMSA SPS-4."""
    for row in rows("sucrose_density.csv"):
        brix, t = float(row["brix"]), float(row["temperature_c"])
        allowed = 0.1 + float(row["resolution_kg_per_m3"]) / 2
        if brix > 44:
            allowed = 0.35  # NBS C440 and CRC are on the Plato scale, SPS-4 on PTB measurements
        if brix <= 70:
            expected = float(row["density_kg_per_m3"])
            assert sugar.density(brix, t) == pytest.approx(expected, abs=allowed), row


def test_density_of_water_against_iapws95() -> None:
    """Kell (1975) against IAPWS-95 as computed by the chemicals library, 10-80 °C."""
    chemicals = pytest.importorskip("chemicals")
    for t in (10, 20, 30, 40, 50, 60, 70, 80):
        expected = chemicals.iapws95_rho(t + 273.15, 101325.0)
        assert sugar.density(0.0, t) == pytest.approx(expected, abs=0.03)


@pytest.mark.parametrize(
    ("brix", "t", "expected"),
    # regression values of the ICUMSA SPS-4 equation, worked in an independent program
    [(10, 80, 1010.25), (30, 40, 1118.79), (50, 60, 1208.71), (65, 80, 1281.51), (70, 4, 1355.46)],
)
def test_density_regression(brix: float, t: float, expected: float) -> None:
    assert sugar.density(brix, t) == pytest.approx(expected, abs=0.01)


def test_refractive_index_against_tables() -> None:
    for row in rows("sucrose_refractive_index.csv"):
        brix = float(row["brix"])
        allowed = 0.0001 + (0.00005 if row["resolution"] == "0.0001" else 0.0)
        assert sugar.refractive_index(brix) == pytest.approx(
            float(row["refractive_index"]), abs=allowed
        ), row


def test_refractive_index_against_chemicals_library() -> None:
    """ICUMSA (1974) values at every 0.1 °Bx, 0-80, as tabulated in the chemicals library."""
    chemicals = pytest.importorskip("chemicals")
    brix = np.round(np.arange(0.0, 80.05, 0.1), 1)
    index = np.array([chemicals.brix_to_RI(b) for b in brix])
    assert np.abs(sugar.refractive_index(brix) - index).max() < 0.0001
    back = np.array([chemicals.RI_to_brix(n) for n in index])
    assert np.abs(sugar.brix_from_refractive_index(index) - back).max() < 0.03


def test_refractometer_correction_against_tables() -> None:
    for row in rows("refractometer_correction.csv"):
        found = sugar.refractometer_correction(
            float(row["reading_brix"]), float(row["temperature_c"])
        )
        allowed = 0.03 if float(row["reading_brix"]) < 70 else 0.05
        assert found == pytest.approx(float(row["correction_brix"]), abs=allowed), row


def test_refractive_index_of_warm_water() -> None:
    """n_D of water at 30 °C 1.33194, at 10 °C 1.33369: CRC Handbook (recalled)."""
    assert sugar.refractive_index(0.0, 30.0) == pytest.approx(1.33194, abs=0.00005)
    assert sugar.refractive_index(0.0, 10.0) == pytest.approx(1.33369, abs=0.0001)


def test_viscosity_against_tables() -> None:
    for row in rows("sucrose_viscosity.csv"):
        brix, t = float(row["brix"]), float(row["temperature_c"])
        if brix > 70 or t > 60:
            continue
        allowed = 0.04 if t >= 20 else 0.12
        found = sugar.viscosity(brix, t)
        assert found == pytest.approx(float(row["viscosity_mpa_s"]), rel=allowed), row


def test_solubility_against_table() -> None:
    """Within 0.2 % w/w of the Vavrinecz series it follows; the Herzfeld series is 0-0.5 higher."""
    for row in rows("sucrose_solubility.csv"):
        t, expected = float(row["temperature_c"]), float(row["percent_w_w"])
        if t > 90:
            continue
        if row["family"] == "vavrinecz":
            assert sugar.solubility(t) == pytest.approx(expected, abs=0.2), row
        else:
            assert -0.5 < sugar.solubility(t) - expected < 0.5, row


@pytest.mark.parametrize(
    ("other", "solids"), [(0.0, 66.72), (0.2, 68.45), (0.5, 70.73), (1.0, 73.88)]
)
def test_saturated_with_other_solids(other: float, solids: float) -> None:
    """Total solids at saturation, 20 °C, from the linear ICUMSA coefficient 0.088, hand-worked.

    Vavrinecz 66.72 % is 2.005 g/g; with other : water 0.5, 2.005 x (1 - 0.044) = 1.917 g/g and
    (1.917 + 0.5)/(1.917 + 1.5) = 70.73 %.
    """
    sucrose = solids / (100 - solids) - other
    assert sugar.supersaturation(sucrose, 1.0, 20.0, other) == pytest.approx(1.0, abs=0.001)


def test_water_activity_against_table() -> None:
    for row in rows("sugar_water_activity.csv"):
        brix = float(row["percent_w_w"])
        expected = float(row["water_activity"])
        if row["solute"] == "sucrose" and brix <= 67.3:
            assert sugar.water_activity(brix) == pytest.approx(expected, abs=0.005), row
        if row["solute"] in {"glucose", "invert-sugar"} and brix <= 51:
            shares = (1.0, 0.0) if row["solute"] == "glucose" else (0.5, 0.5)
            found = sugar.water_activity(brix, 25.0, *shares)
            assert found == pytest.approx(expected, abs=0.02), row


def test_water_activity_of_glucose_against_freezing_points() -> None:
    """CRC freezing points turned into water activity by Ferro Fontan and Chirife (1981)."""
    for row in rows("glucose_freezing_point.csv"):
        d = float(row["depression_c"])
        expected = math.exp(-9.6934e-3 * d - 4.761e-6 * d * d)
        found = sugar.water_activity(float(row["percent_w_w"]), 0.0, 1.0)
        assert found == pytest.approx(expected, abs=0.002), row


def test_boiling_point_against_its_family() -> None:
    seen = 0
    for row in rows("sucrose_boiling_point.csv"):
        brix = float(row["brix"])
        gap = sugar.boiling_point(min(brix, 85.0)) - float(row["boiling_point_c"])
        if row["family"] == "thermodynamic" and brix <= 70:
            assert abs(gap) <= 0.5, row
            seen += 1
        if row["family"] == "confectioners" and 70 <= brix <= 80:
            assert -2.7 < gap < -1.2, row  # the other family, plainly told apart
    assert seen >= 7


def test_boiling_point_of_water_at_altitude() -> None:
    """IAPWS-IF97 verification table: 0.1 MPa 372.755919 K; water boils at 99.97 °C at 1 atm."""
    assert sugar.boiling_point(0.0, 100.0) + 273.15 == pytest.approx(372.755919, abs=1e-5)
    assert sugar.boiling_point(0.0) == pytest.approx(99.974, abs=0.005)
    assert sugar.boiling_point(0.0, 84.6) == pytest.approx(95.0, abs=0.1)  # 1500 m, steam tables


def test_freezing_point_against_table() -> None:
    for row in rows("sucrose_freezing_point.csv"):
        brix, expected = float(row["brix"]), float(row["depression_c"])
        assert -sugar.freezing_point(brix) == pytest.approx(expected, abs=0.015 + 0.05 * expected)


def test_inversion_half_lives() -> None:
    """Vukov (1965), 50 °Bx: half-lives worked in an independent program."""
    day = 24 * 60
    for ph, t, minutes in [(3.0, 25, 100 * day), (3.0, 90, 60), (4.0, 90, 600)]:
        assert 0.4 < sugar.inversion_fraction(ph, t, minutes) < 0.6
    rate = -math.log(1 - sugar.inversion_fraction(3.0, 85.0, 1.0))
    assert rate == pytest.approx(0.00715, rel=0.01)


def test_heat_capacity_against_water_and_bubnik() -> None:
    """Water 4.184 (CRC); 60 °Bx at 20 °C 2.77, 50 °Bx 3.00 kJ/(kg K), Bubnik et al. (1995)."""
    assert sugar.heat_capacity(0.0, 20.0) == pytest.approx(4184, rel=0.002)
    assert sugar.heat_capacity(50.0, 20.0) == pytest.approx(3003, abs=2)
    assert sugar.heat_capacity(60.0, 20.0) == pytest.approx(2767, abs=2)
