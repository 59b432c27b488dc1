"""Backwards: how much syrup brings a drink to a strength, and how many drinks a bottle gives."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from pairing.errors import PairingError
from pairing.glass.drink import Drink, Moment, build
from pairing.glass.spec import DrinkSpec, within
from pairing.syrup.keeping import bisect

__all__ = ["drinks_per_bottle", "syrup_for_brix", "syrup_for_sweetness"]


def _solve_syrup(spec: DrinkSpec, value: Callable[[Moment], float], target: float) -> Drink:
    """Return the drink whose syrup brings `value` to `target`, filler giving way."""
    within("target", target, 0, 60, "%")

    def made(grams: float) -> Drink:
        return build(replace(spec, syrup=replace(spec.syrup, grams=grams)))

    lowest = value(made(0.0).served)
    if target < lowest:
        raise PairingError(f"without syrup it is {lowest:.1f} % already: {target:g} cannot be met")
    high = 1.0
    top = lowest
    while top < target:
        try:
            top = value(made(high * 2.0).served)
        except PairingError:
            raise PairingError(
                f"{target:g} % does not fit: {high:.0f} g of syrup gives {top:.1f} % and more "
                "leaves no room; use a stronger syrup, less filler or a larger glass"
            ) from None
        high *= 2.0
    return made(bisect(lambda g: value(made(g).served) - target, 0.0, high))


def syrup_for_brix(spec: DrinkSpec, target_brix: float) -> Drink:
    """Return the drink with the syrup that brings it to a °Bx when served.

    Parameters
    ----------
    spec : DrinkSpec
        Its syrup grams are replaced.
    target_brix : float
        All dissolved solids of the served drink [% w/w].

    Returns
    -------
    Drink

    Raises
    ------
    PairingError
        If coffee and milk alone are above it, or the syrup does not fit.
    """
    return _solve_syrup(spec, lambda m: m.brix, target_brix)


def syrup_for_sweetness(spec: DrinkSpec, percent: float) -> Drink:
    """Return the drink with the syrup that brings it to a sweetness when served.

    Parameters
    ----------
    spec : DrinkSpec
        Its syrup grams are replaced.
    percent : float
        Sucrose equivalents [% w/w].

    Returns
    -------
    Drink

    Raises
    ------
    PairingError
        If milk alone is above it, or the syrup does not fit.
    """
    return _solve_syrup(spec, lambda m: m.sweetness_percent, percent)


def drinks_per_bottle(bottle_ml: float, syrup_g: float, density_kg_per_m3: float) -> int:
    """Return how many whole drinks a bottle of syrup gives.

    Parameters
    ----------
    bottle_ml : float
        Syrup in the bottle [ml].
    syrup_g : float
        Syrup in a drink [g].
    density_kg_per_m3 : float
        Density of the syrup.

    Returns
    -------
    int

    Raises
    ------
    PairingError
        Numbers that are not above zero.
    """
    within("bottle", bottle_ml, 1, 1e6, "ml")
    within("syrup in a drink", syrup_g, 0.1, 1000, "g")
    within("density", density_kg_per_m3, 900, 1600, "kg/m3")
    return math.floor(bottle_ml * density_kg_per_m3 / 1000.0 / syrup_g + 1e-9)
