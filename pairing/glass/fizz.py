"""Carbonation: what water holds, and what pouring, heat and crema drive out."""

from __future__ import annotations

import math

from pairing.errors import PairingError
from pairing.syrup import sugar

__all__ = ["CO2_G_PER_VOLUME", "co2_solubility", "lost_on_pouring"]

CO2_G_PER_VOLUME = 1.97  # g per litre: one volume at 0 °C and 1 atm
CO2_MOLAR_MASS, CARBONIC_PK = 44.01, 6.35  # CRC Handbook

# Share of the carbonation lost on pouring over ice and stirring once, and what crema (a million
# nuclei) and hot coffee add to it.  # common practice, no source: 25-50 % in all, most where a
# fresh espresso goes in
POURED, CREMA_ADDS, HEAT_ADDS, HOT_C, COLD_C = 0.22, 0.08, 0.08, 65.0, 5.0


def co2_solubility(temperature_c: float, pressure_kpa: float = 100.0) -> float:
    """Return the CO2 that water holds.

    Parameters
    ----------
    temperature_c : float
        Temperature [°C], 0 to 100.
    pressure_kpa : float
        Partial pressure of CO2 [kPa], 0 to 1000.

    Returns
    -------
    float
        CO2 [g per kg of water].

    Raises
    ------
    PairingError
        Outside the ranges above.

    Notes
    -----
    ln(H/MPa) = -6.8346 + 1.2817e4/T - 3.7668e6/T^2 + 2.997e8/T^3, x = p/H.

    References
    ----------
    Carroll, Slupsky and Mather (1991), J. Phys. Chem. Ref. Data 20, 1201-1209.
    """
    if not 0 <= temperature_c <= 100:
        raise PairingError(f"CO2 solubility is known from 0 to 100 °C, got {temperature_c:g}")
    if not 0 <= pressure_kpa <= 1000:
        raise PairingError(f"CO2 pressure must be 0 to 1000 kPa, got {pressure_kpa:g}")
    t = temperature_c + sugar.ZERO_C
    henry = math.exp(-6.8346 + 1.2817e4 / t - 3.7668e6 / t**2 + 2.997e8 / t**3)
    x = pressure_kpa / 1000.0 / henry
    return x / (1.0 - x) * CO2_MOLAR_MASS / sugar.MOLAR_MASS_WATER * 1000.0


def lost_on_pouring(coffee_c: float, has_crema: bool) -> float:
    """Return the share of its gas that a mixer loses as coffee meets it.

    Parameters
    ----------
    coffee_c : float
        Temperature of the coffee [°C].
    has_crema : bool
        Fresh espresso with its foam.

    Returns
    -------
    float
        0.22 for cold brew to 0.38 for a fresh espresso.
    """
    warm = min(max((coffee_c - COLD_C) / (HOT_C - COLD_C), 0.0), 1.0)
    return POURED + (CREMA_ADDS if has_crema else 0.0) + HEAT_ADDS * warm
