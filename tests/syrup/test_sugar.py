"""Behaviour of `pairing.sugar`: ranges, shapes, inverses, limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairing.errors import PairingError
from pairing.syrup import sugar


@given(st.floats(0, 85))
def test_refractive_index_round_trip(brix: float) -> None:
    assert sugar.brix_from_refractive_index(sugar.refractive_index(brix)) == pytest.approx(
        brix, abs=0.001
    )


@given(st.floats(0, 80), st.floats(10, 30))
def test_correction_undoes_the_temperature(brix: float, t: float) -> None:
    index = sugar.refractive_index(brix, t)
    if index < 1.3325:
        return
    reading = sugar.brix_from_refractive_index(index)
    assert reading + sugar.refractometer_correction(reading, t) == pytest.approx(brix, abs=0.005)


@given(st.floats(0, 84), st.floats(0.1, 1))
def test_monotone_in_strength(brix: float, step: float) -> None:
    assert sugar.density(brix + step) > sugar.density(brix)
    assert sugar.water_activity(brix + step) < sugar.water_activity(brix)
    assert sugar.boiling_point(brix + step) >= sugar.boiling_point(brix)


@given(st.floats(0, 80), st.floats(0, 1))
def test_mixture_in_grams_agrees_with_shares(brix: float, simple: float) -> None:
    grams = {"sucrose": brix * (1 - simple), "glucose": brix * simple}
    found = sugar.water_activity_of_mixture(100 - brix, grams)
    assert found == pytest.approx(sugar.water_activity(brix, 25.0, simple), abs=1e-9)


def test_invert_sugar_binds_more_water() -> None:
    assert sugar.water_activity(65.0, 25.0, 0.5, 0.5) < sugar.water_activity(65.0) - 0.03


def test_arrays_broadcast_and_scalars_stay_scalars() -> None:
    grid = sugar.density(np.array([[10.0], [50.0]]), np.array([4.0, 20.0, 60.0]))
    assert grid.shape == (2, 3)
    assert grid[1, 1] == pytest.approx(sugar.density(50.0, 20.0))
    assert isinstance(sugar.density(50.0, 20.0), float)
    assert sugar.boiling_point(np.array([])).shape == (0,)


@pytest.mark.parametrize(
    "call",
    [
        lambda: sugar.density(101.0),
        lambda: sugar.density(50.0, 120.0),
        lambda: sugar.density(float("nan")),
        lambda: sugar.density("sweet"),  # type: ignore[type-var]
        lambda: sugar.refractive_index(90.0),
        lambda: sugar.refractive_index(50.0, 45.0),
        lambda: sugar.brix_from_refractive_index(1.6),
        lambda: sugar.refractometer_correction(50.0, 60.0),
        lambda: sugar.viscosity(80.0),
        lambda: sugar.viscosity(50.0, 20.0, 1.5),
        lambda: sugar.solubility(140.0),
        lambda: sugar.water_activity(50.0, 25.0, 0.7, 0.6),
        lambda: sugar.water_activity(-1.0),
        lambda: sugar.boiling_point(60.0, 20.0),
        lambda: sugar.freezing_point(70.0),
        lambda: sugar.heat_capacity(95.0),
        lambda: sugar.inversion_fraction(1.0, 90.0, 10.0),
        lambda: sugar.water_activity_of_mixture(0.0, {"sucrose": 10.0}),
        lambda: sugar.water_activity_of_mixture(10.0, {"sand": 10.0}),
        lambda: sugar.water_activity_of_mixture(10.0, {"sucrose": -1.0}),
    ],
)
def test_outside_the_range_is_one_line(call: object) -> None:
    with pytest.raises(PairingError) as caught:
        call()  # type: ignore[operator]
    assert "\n" not in str(caught.value)
