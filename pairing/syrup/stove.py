"""The stove: where a pot boils at an altitude, and how long it takes to heat and to cool.

A pot is a cylinder of syrup as deep as it is filled; heat goes in through its base and out
through its wet wall, its surface and, in an ice bath, faster. The times are for planning; what a
thermometer says counts.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from pairing.errors import PairingError
from pairing.syrup import sugar

__all__ = ["COOLING", "Pan", "boils_at", "cool_down_minutes", "heat_up_minutes", "pressure_kpa"]

HIGHEST_M, LOWEST_M = 5000.0, -430.0

# Heat lost by a stirred pot of syrup to what is around it [W/(m2 K)] and the temperature of that
# [°C].  # common practice, no source: still air with a lid 8-15, open and steaming 20-40, ice
# bath stirred 200-400 through steel, limited by the syrup inside
COOLING: dict[str, tuple[float, float]] = {
    "lid on": (12.0, 22.0),
    "open, stirred": (30.0, 22.0),
    "cold water bath": (150.0, 15.0),
    "ice bath": (250.0, 1.0),
}
RING_W, RING_KEEPS = 2000.0, 0.6  # a strong domestic or bar ring, and what reaches the syrup


def pressure_kpa(altitude_m: float) -> float:
    """Return the air pressure at an altitude.

    Parameters
    ----------
    altitude_m : float
        Above sea level [m], -430 to 5000.

    Returns
    -------
    float
        Pressure of the standard atmosphere [kPa]; weather moves it by 2 %.

    Raises
    ------
    PairingError
        Outside the range.

    References
    ----------
    ISO 2533:1975, standard atmosphere: p = 101.325 (1 - 2.25577e-5 h)^5.25588.
    """
    if not LOWEST_M <= altitude_m <= HIGHEST_M:
        raise PairingError(
            f"altitude must be {LOWEST_M:g} to {HIGHEST_M:g} m above the sea, got {altitude_m:g}"
        )
    return float(101.325 * (1.0 - 2.25577e-5 * altitude_m) ** 5.25588)


def boils_at(brix: float, altitude_m: float = 0.0) -> float:
    """Return where a syrup boils at an altitude [°C].

    Parameters
    ----------
    brix : float
        Dissolved solids [% w/w], 0 to 90.
    altitude_m : float
        Above sea level [m].

    Returns
    -------
    float

    Raises
    ------
    PairingError
        Outside the ranges.
    """
    return float(sugar.boiling_point(brix, pressure_kpa(altitude_m)))


class Pan(NamedTuple):
    """A pan and what is in it.

    Attributes
    ----------
    diameter_cm : float
        Inner diameter.
    grams : float
        Syrup in it.
    brix : float
        Dissolved solids [% w/w].
    """

    diameter_cm: float
    grams: float
    brix: float

    @property
    def depth_cm(self) -> float:
        """How deep the syrup stands [cm]."""
        density = float(sugar.density(min(self.brix, 90.0))) / 1000.0
        return self.grams / density / (math.pi / 4.0 * self.diameter_cm**2)

    @property
    def joules_per_kelvin(self) -> float:
        """Heat capacity of the syrup [J/K]."""
        return float(sugar.heat_capacity(min(self.brix, 90.0), 50.0)) * self.grams / 1000.0

    @property
    def wall_m2(self) -> float:
        """Base and wetted wall [m2]."""
        radius = self.diameter_cm / 200.0
        return math.pi * radius**2 + 2.0 * math.pi * radius * self.depth_cm / 100.0

    @property
    def surface_m2(self) -> float:
        """Free surface [m2]."""
        return math.pi * (self.diameter_cm / 200.0) ** 2


def _checked(pan: Pan) -> None:
    if not (0 < pan.grams <= 1e6 and 5 <= pan.diameter_cm <= 150):
        raise PairingError("a pan needs up to 1 t of syrup and a diameter of 5 to 150 cm")


def heat_up_minutes(
    pan: Pan, from_c: float, to_c: float, ring_w: float = RING_W, keeps: float = RING_KEEPS
) -> float:
    """Return how long a ring takes to heat a pan.

    Parameters
    ----------
    pan : Pan
    from_c, to_c : float
        Temperatures [°C].
    ring_w : float
        Power of the ring [W].
    keeps : float
        Share of it that reaches the syrup, above 0 to 1.

    Returns
    -------
    float
        Minutes; 0 if it is as warm already.

    Raises
    ------
    PairingError
        An empty pan, no power.
    """
    _checked(pan)
    if not (ring_w > 0 and 0 < keeps <= 1):
        raise PairingError("a ring needs power, and a share of it above 0 and at most 1")
    return max(0.0, pan.joules_per_kelvin * (to_c - from_c) / (ring_w * keeps) / 60.0)


def cool_down_minutes(pan: Pan, from_c: float, to_c: float, how: str = "lid on") -> float:
    """Return how long a pan takes to cool, by Newton's law.

    Parameters
    ----------
    pan : Pan
    from_c, to_c : float
        Temperatures [°C].
    how : str
        A key of `COOLING`.

    Returns
    -------
    float
        Minutes; infinite if it never gets there that way.

    Raises
    ------
    PairingError
        An empty pan or an unknown way.
    """
    _checked(pan)
    if how not in COOLING:
        raise PairingError(f"cooling must be one of {', '.join(COOLING)}, got {how!r}")
    transfer, around = COOLING[how]
    if to_c >= from_c:
        return 0.0
    if to_c <= around:
        return math.inf
    area = pan.wall_m2 + (pan.surface_m2 if "bath" not in how else 0.0)
    constant = pan.joules_per_kelvin / (transfer * area)  # s
    return constant * math.log((from_c - around) / (to_c - around)) / 60.0
