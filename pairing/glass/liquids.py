"""What is poured: densities at the poured temperature, layers, and the steam in steamed milk."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pairing.errors import PairingError
from pairing.syrup import sugar

__all__ = ["coffee_density", "layers", "milk_density", "steam_water"]

COFFEE_KG_PER_M3_PER_TDS = 3.7  # at 20 °C, as in brews.csv
STEAM_J_PER_G = 2256.4  # heat of vaporization at 100 °C, IAPWS-95
WATER_J_PER_G_K = 4.19  # CRC Handbook
MILK_J_PER_G_K = 3.93  # recalled from Walstra et al. (2006), Dairy Science and Technology
SAME_DENSITY = 3.0  # kg/m3; closer than that two liquids mix as they are poured: estimate


def coffee_density(tds_percent: float, temperature_c: float) -> float:
    """Return the density of coffee without crema.

    Parameters
    ----------
    tds_percent : float
        Dissolved coffee [% w/w], 0 to 30.
    temperature_c : float
        Temperature [°C], 0 to 100.

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    PairingError
        Outside the ranges.
    """
    if not 0 <= tds_percent <= 30:
        raise PairingError(f"coffee has 0 to 30 % dissolved solids, got {tds_percent:g}")
    cold = 998.2 + COFFEE_KG_PER_M3_PER_TDS * tds_percent
    return cold * float(sugar.water_density(temperature_c) / sugar.water_density(20.0))


def milk_density(temperature_c: float) -> float:
    """Return the density of whole milk.

    Parameters
    ----------
    temperature_c : float
        Temperature [°C], 0 to 80.

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    PairingError
        Outside the range.

    Notes
    -----
    1035.0 - 0.358 t + 0.0049 t^2 - 0.00010 t^3.

    References
    ----------
    Short (1955), J. Dairy Res. 22, 69-75, whole milk; from memory.
    """
    t = temperature_c
    if not 0 <= t <= 80:
        raise PairingError(f"milk is known from 0 to 80 °C, got {t:g}")
    return 1035.0 - 0.358 * t + 0.0049 * t**2 - 0.00010 * t**3


def steam_water(
    milk_g: float, from_c: float, to_c: float, j_per_g_k: float = MILK_J_PER_G_K
) -> float:
    """Return the water that steam leaves in milk.

    Parameters
    ----------
    milk_g : float
        Milk in the jug [g].
    from_c, to_c : float
        Before and after [°C].
    j_per_g_k : float
        Heat capacity of the milk [J/(g K)].

    Returns
    -------
    float
        Condensed steam [g], for dry steam; wet steam leaves up to a third more.

    Raises
    ------
    PairingError
        Negative grams, or temperatures that steam cannot give.

    Notes
    -----
    Enthalpy: m c (t2 - t1) = m_steam (2256.4 + 4.19 (100 - t2)).
    """
    if not (math.isfinite(milk_g) and milk_g >= 0) or not -1 <= from_c <= to_c < 100:
        raise PairingError("steamed milk needs grams of 0 or more, and warms to below 100 °C")
    taken = milk_g * j_per_g_k * (to_c - from_c)
    return taken / (STEAM_J_PER_G + WATER_J_PER_G_K * (100.0 - to_c))


def layers(liquids: Sequence[tuple[str, float]]) -> tuple[tuple[str, ...], ...]:
    """Return how liquids lie, from the top, those too alike to part together.

    Parameters
    ----------
    liquids : sequence of (str, float)
        Name and density [kg/m3].

    Returns
    -------
    tuple of tuple of str
        Layers from the top down.
    """
    lying: list[tuple[list[str], float]] = []
    for name, density in sorted(liquids, key=lambda x: x[1]):
        if lying and density - lying[-1][1] < SAME_DENSITY:
            lying[-1] = ([*lying[-1][0], name], density)
        else:
            lying.append(([name], density))
    return tuple(tuple(names) for names, _ in lying)
