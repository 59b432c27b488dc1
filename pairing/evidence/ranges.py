"""Amounts as published: one unit for all of them, and the best estimate of a range."""

from __future__ import annotations

import math

__all__ = ["FLOOR_OF_HIGH", "UNIT_TO_MG_PER_KG", "best_estimate"]

UNIT_TO_MG_PER_KG = {
    "percent": 1e4,
    "mg_per_kg": 1.0,
    "ug_per_kg": 1e-3,
    "ug_per_l": 1e-3 / 1.04,  # juice of about 1.04 kg/l (USDA: 1 cup orange juice weighs 248 g)
}
FLOOR_OF_HIGH = 0.1  # a range that starts at zero is centred at this share of its upper end


def best_estimate(low: float, high: float) -> float:
    """Middle of a range on a log scale.

    Parameters
    ----------
    low, high : float
        Ends of a range, same unit, ``0 <= low <= high``.

    Returns
    -------
    float
        Geometric mean; a range that starts at zero counts from a tenth of its upper end.
    """
    if high <= 0:
        return 0.0
    return math.sqrt(max(low, FLOOR_OF_HIGH * high) * high)
