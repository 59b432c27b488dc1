"""Sweetness of sugars by temperature: fructose is sweeter cold than hot."""

from __future__ import annotations

from pairing.syrup.composition import Masses

__all__ = ["COLD_C", "HOT_C", "sucrose_equivalent"]

SWEET_GLUCOSE = 0.70  # Belitz et al. (2009)
# Fructose against sucrose by temperature: recalled from Shallenberger (1993), Taste Chemistry.
FRUCTOSE_C, FRUCTOSE_SWEET = (5.0, 20.0, 40.0, 60.0), (1.40, 1.18, 1.00, 0.82)
COLD_C, HOT_C = 5.0, 60.0  # where an iced and a hot drink are drunk: common practice, no source


def _fructose_sweetness(temperature_c: float) -> float:
    t = min(max(temperature_c, FRUCTOSE_C[0]), FRUCTOSE_C[-1])
    for i in range(1, len(FRUCTOSE_C)):
        if t <= FRUCTOSE_C[i]:
            part = (t - FRUCTOSE_C[i - 1]) / (FRUCTOSE_C[i] - FRUCTOSE_C[i - 1])
            return FRUCTOSE_SWEET[i - 1] + part * (FRUCTOSE_SWEET[i] - FRUCTOSE_SWEET[i - 1])
    return FRUCTOSE_SWEET[-1]


def sucrose_equivalent(m: Masses, at_c: float) -> float:
    """Return the sucrose that is as sweet.

    Parameters
    ----------
    m : Masses
        Syrup or mixer [g].
    at_c : float
        Temperature [°C].

    Returns
    -------
    float
        [g].
    """
    return (
        m.sucrose
        + SWEET_GLUCOSE * m.glucose
        + _fructose_sweetness(at_c) * m.fructose
        + m.other_sweet
    )
