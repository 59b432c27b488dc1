"""One threshold a compound, put together from its published rows and their life stories."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from pairing.evidence.rows import Threshold

__all__ = ["LAB_SPREAD", "Sensed", "by_mouth_of", "threshold_of"]

# Standard deviation of a threshold between laboratories, in decades (powers of ten): pooled over
# the compounds of thresholds.csv that two laboratories or more measured in water (computed;
# tests/aroma/test_odour.py works it out again).
LAB_SPREAD = 0.64
# What a row weighs by how it is known, and what one weighs that names no laboratory (a handbook,
# a compilation): our choice, no source.
TRUST = {"read": 1.0, "second-hand": 0.5, "memory": 0.5, "computed": 0.5}
UNSIGNED = 0.5
# A range drawn evenly on a log scale has this many standard deviations on each side.
HALF_WIDTH = math.sqrt(3.0)
SMELLED, TASTED, FELT = "odour-orthonasal", "odour-retronasal", "pungency"
# Media other than water whose values stand in where water has none, nearest first, and what they
# are divided by. Ethanol, sugar and pulp raise thresholds: linalool 6.4 and 7.9 fold from water to
# beer, rotundone 2 fold to red wine (matrix.csv; geometric mean 4.6), model wine less (half a
# decade: estimate, no source). Oil is no such medium.
STAND_IN = ((("model-wine", "juice"), 10.0**0.5), (("unknown",), 1.0), (("beer", "wine"), 4.6))


class Sensed(NamedTuple):
    """A compound's threshold, put together from its rows.

    Attributes
    ----------
    low, best, high : float
        ug/l; ``best`` is a weighted mean on a log scale, the ends lie sqrt(3) standard
        deviations off, so that drawing evenly between them keeps the spread.
    standing : {"measured", "other medium", "bounded", "estimate"}
        What it rests on: water, another medium, a published ranking, the chemical family.
    """

    low: float
    best: float
    high: float
    standing: str


def _together(rows: Sequence[Threshold], standing: str) -> Sensed:
    """Weighted log mean of thresholds, each weighted by trust over variance."""
    logs = [math.log10(r.low_ug_per_l * r.high_ug_per_l) / 2.0 for r in rows]
    own = [LAB_SPREAD**2 + (math.log10(r.high_ug_per_l / r.low_ug_per_l) ** 2) / 12.0 for r in rows]
    weights = [
        TRUST[r.evidence] * (1.0 if r.primary_source else UNSIGNED) / v
        for r, v in zip(rows, own, strict=True)
    ]
    total = sum(weights)
    mean = sum(w * x for w, x in zip(weights, logs, strict=True)) / total
    between = sum(w * (x - mean) ** 2 for w, x in zip(weights, logs, strict=True)) / total
    within = sum(w * v for w, v in zip(weights, own, strict=True)) / total
    wide = 10.0 ** (HALF_WIDTH * math.sqrt(max(between, within)))
    best = 10.0**mean
    return Sensed(best / wide, best, best * wide, standing)


def threshold_of(rows: Sequence[Threshold]) -> Sensed | None:
    """Threshold of one compound from its published rows.

    Rows that count are measured in water, one a measurement: copies, isomers that do not occur,
    doubtful and contradicted rows are left out (column ``counted``). Where water has none,
    another medium stands in, less what it raises; then a bound from a published ranking; then the
    family's estimate, whose range is its real error.

    Parameters
    ----------
    rows : sequence of Threshold

    Returns
    -------
    Sensed or None
        None where nothing is known: the compound is silent.
    """
    water = [r for r in rows if r.counted and r.medium == "water"]
    for kinds in ((SMELLED,), (FELT,), (TASTED,)):
        kept = [r for r in water if r.kind in kinds]
        if kept:
            return _together(kept, "measured")
    for media, rise in STAND_IN:
        kept = [
            r
            for r in rows
            if r.medium in media and r.why_not == "medium" and r.kind in (SMELLED, TASTED)
        ]
        if kept:
            found = _together(kept, "other medium")
            return Sensed(found.low / rise, found.best / rise, found.high / rise, found.standing)
    bounds = [r for r in rows if r.kind == "bound"]
    if bounds:
        return _together(bounds, "bounded")
    guessed = [r for r in rows if r.kind == "estimate"]
    if not guessed:
        return None
    low = min(r.low_ug_per_l for r in guessed)
    high = max(r.high_ug_per_l for r in guessed)
    return Sensed(low, math.sqrt(low * high), high, "estimate")


def by_mouth_of(
    rows: Sequence[Threshold],
    factor: tuple[float, float, float] = (1.0, 1.0, 1.0),
    by_nose: Sensed | None = None,
) -> Sensed | None:
    """Threshold by mouth in a sweet citrus drink.

    Measured in juice by mouth; else in water by mouth, or by nose where no mouth tried it, times
    the matrix factor. What is felt at less than it is smelled (menthol's cooling) counts as felt.

    Parameters
    ----------
    rows : sequence of Threshold
    factor : (low, best, high)
        How far the threshold rises from water to juice by mouth; 1 where nobody measured it.
    by_nose : Sensed, optional
        What :func:`threshold_of` found in the same rows, where that is known already.

    Returns
    -------
    Sensed or None
        None where nothing is known.
    """
    tasted = [r for r in rows if r.kind == TASTED]
    juice = [r for r in tasted if r.medium == "juice" and r.task == "detection"]
    if juice:
        return _together(juice, "measured")
    water = [r for r in tasted if r.counted and r.medium == "water"]
    found = _together(water, "measured") if water else by_nose or threshold_of(rows)
    if found is None:
        return None
    low, best, high = factor
    smelled = Sensed(found.low * low, found.best * best, found.high * high, found.standing)
    felt = [r for r in rows if r.kind == FELT and r.counted and r.medium == "water"]
    sting = _together(felt, "measured") if felt else None
    return sting if sting is not None and sting.best < smelled.best else smelled
