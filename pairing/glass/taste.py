"""Taste in the glass: sweetness by sugar and temperature, acidity, and their words."""

from __future__ import annotations

__all__ = ["SOUR_RATIO", "SWEET_WORDS", "VERY_SWEET", "cold_factor"]

# Sweetness of a cold drink against the same at 20 °C: recalled from Bartoshuk et al. (1982),
# Physiol. Behav. 28, 905-910, sucrose at drink strength, 4 against 36 °C; coarse.
COLD_SWEETNESS, COLD_C, FULL_C = 0.80, 2.0, 20.0
# Perceived sucrose equivalents [%]: common practice, no source (iced drinks: light 3-6 °Bx,
# balanced 6-9, sweet 9-12, which a cold mouth takes as a fifth less).
SWEET_WORDS = ((2.4, "barely sweet"), (4.8, "lightly sweet"), (7.2, "balanced"), (9.6, "sweet"))
VERY_SWEET = "very sweet"
SOUR_RATIO = 20.0  # °Bx per % acid, coffee and citrus 20-60: common practice, no source


def cold_factor(temperature_c: float) -> float:
    """Return how sweet a mouth takes a drink, against the same at 20 °C.

    Parameters
    ----------
    temperature_c : float
        Of the drink [°C].

    Returns
    -------
    float
        0.8 from 2 °C down to 1 from 20 °C up.
    """
    part = (temperature_c - COLD_C) / (FULL_C - COLD_C)
    return COLD_SWEETNESS + (1.0 - COLD_SWEETNESS) * min(max(part, 0.0), 1.0)
