"""Taste in the glass: sweetness by sugar and temperature, acidity, and their words."""

from __future__ import annotations

from pairing.syrup.composition import Masses

__all__ = ["SOUR_RATIO", "SWEET_WORDS", "VERY_SWEET", "cold_factor", "sucrose_equivalent"]

SWEET_GLUCOSE = 0.70  # Belitz et al. (2009)

# Fructose against sucrose by temperature: recalled from Shallenberger (1993), Taste Chemistry.
FRUCTOSE_C, FRUCTOSE_SWEET = (5.0, 20.0, 40.0, 60.0), (1.40, 1.18, 1.00, 0.82)
# Sweetness of a cold drink against the same at 20 °C: recalled from Bartoshuk et al. (1982),
# Physiol. Behav. 28, 905-910, sucrose at drink strength, 4 against 36 °C; coarse.
COLD_SWEETNESS, COLD_C, FULL_C = 0.80, 2.0, 20.0
# Perceived sucrose equivalents [%]: common practice, no source (iced drinks: light 3-6 °Bx,
# balanced 6-9, sweet 9-12, which a cold mouth takes as a fifth less).
SWEET_WORDS = ((2.4, "barely sweet"), (4.8, "lightly sweet"), (7.2, "balanced"), (9.6, "sweet"))
VERY_SWEET = "very sweet"
SOUR_RATIO = 20.0  # °Bx per % acid, coffee and citrus 20-60: common practice, no source


def _fructose_sweetness(temperature_c: float) -> float:
    t = min(max(temperature_c, FRUCTOSE_C[0]), FRUCTOSE_C[-1])
    for i in range(1, len(FRUCTOSE_C)):
        if t <= FRUCTOSE_C[i]:
            part = (t - FRUCTOSE_C[i - 1]) / (FRUCTOSE_C[i] - FRUCTOSE_C[i - 1])
            return FRUCTOSE_SWEET[i - 1] + part * (FRUCTOSE_SWEET[i] - FRUCTOSE_SWEET[i - 1])
    return FRUCTOSE_SWEET[-1]


def sucrose_equivalent(m: Masses, milk_sugar_g: float, milk_sweet: float, at_c: float) -> float:
    """Return the sucrose that is as sweet.

    Parameters
    ----------
    m : Masses
        Syrup and mixer [g].
    milk_sugar_g, milk_sweet : float
        Sugars of the milk [g] and their sweetness against sucrose.
    at_c : float
        Temperature [°C]: fructose is sweeter cold.

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
        + milk_sweet * milk_sugar_g
    )


def cold_factor(temperature_c: float) -> float:
    """Return how sweet a mouth takes a drink, against the same at 20 °C.

    Parameters
    ----------
    temperature_c : float

    Returns
    -------
    float
        0.8 from 2 °C down to 1 from 20 °C up.
    """
    part = (temperature_c - COLD_C) / (FULL_C - COLD_C)
    return COLD_SWEETNESS + (1.0 - COLD_SWEETNESS) * min(max(part, 0.0), 1.0)
