"""Amounts as published: one unit for all of them, and the best estimate of a range."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from pairing.evidence.rows import Content

__all__ = ["FLOOR_OF_HIGH", "UNIT_TO_MG_PER_KG", "best_estimate", "median", "middle_of"]

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
    return math.sqrt((low if low > 0 else FLOOR_OF_HIGH * high) * high)


def median(values: Iterable[float]) -> float:
    """Middle of some numbers, as ``statistics.median``, which loads fractions and decimals.

    Parameters
    ----------
    values : iterable of float
        At least one.

    Returns
    -------
    float
        The mean of the two middle ones where they are even in number.
    """
    held = sorted(values)
    return (held[(len(held) - 1) // 2] + held[len(held) // 2]) / 2.0


FOUND_IN_HALF = 50.0  # % of samples


def middle_content(row: Content) -> float:
    """Middle of one published amount, in its own unit.

    A compound found in fewer than half of the samples is absent from the middle one; a range from
    zero without such a share is centred as in :func:`best_estimate`.

    Parameters
    ----------
    row : Content

    Returns
    -------
    float
        In the unit of the row.
    """
    if row.found_percent is not None and row.found_percent < FOUND_IN_HALF:
        return 0.0
    return best_estimate(row.low, row.high)


# Standard deviation between published analyses of one compound in one material, in decades:
# pooled over the facts of composition.csv with two or more sources (computed).
SOURCE_SPREAD = 0.32


def middle_of(rows: Sequence[Content]) -> float:
    """Middle of the published amounts of one compound in one material, mg/kg.

    A mean on a log scale in which a narrow range weighs more than a wide one (one over the
    variance of a value drawn evenly on a log scale from the range, plus that between analyses).
    The sources vote on whether there is any at all.

    Parameters
    ----------
    rows : sequence of Content

    Returns
    -------
    float
        mg/kg; zero where most sources found none.
    """
    total = weights = 0.0
    some = 0
    for row in rows:
        middle = middle_content(row) * UNIT_TO_MG_PER_KG[row.unit]
        if middle <= 0:
            continue
        some += 1
        low = row.low if row.low > 0 else FLOOR_OF_HIGH * row.high
        weight = 1.0 / (SOURCE_SPREAD**2 + math.log10(row.high / low) ** 2 / 12.0)
        total += weight * math.log(middle)
        weights += weight
    return math.exp(total / weights) if some and 2 * some >= len(rows) else 0.0
