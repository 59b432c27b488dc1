"""One exchange law for everything wet that is steeped: sap out, syrup in.

A piece gives its sap (water, sugars, acid, minerals) to the syrup and takes syrup up in its
place, by diffusion through a slab [1]_. Cold, living cells hold back [2]_; hot, they are dead and
the sugar moves as freely as the tissue lets it. Less goes in than comes out: the piece shrinks,
which is all that osmotic drying is. Dry plants have no sap; they drink syrup by the same law.

References
----------
.. [1] Crank J. The Mathematics of Diffusion, 2nd ed. (1975), eq. 4.18: plane sheet.
.. [2] Palou E et al. Rev. esp. cienc. tecnol. aliment. 33, 621-630 (1993), papaya slabs in 60 %
   sucrose: 0.926e-10 m2/s for water, 0.748e-10 for solids (abstract read).
.. [3] Ramallo LA, Schvezov C, Mascheroni RH. Pineapple slices in 60 % sucrose, Braz. Arch. Biol.
   Technol. 48, 761 (2005): 30 to 50 C makes water 3.8, sucrose 2.8 times as fast (abstract read).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from pairing.errors import PairingError

__all__ = ["diffusivity", "exchanged_share", "syrup_taken_up"]

LIVING_25C_M2_PER_S = 0.84e-10  # mean of water and solids in [2]
LIVING_Q10 = 1.8  # mean of water (1.95) and sucrose (1.67) in [3]
SUCROSE_25C_M2_PER_S = 5.2e-10  # in water; CRC Handbook, from memory
TISSUE_KEEPS = 0.5  # of the free diffusion, in dead plant tissue: estimate, 0.3 to 0.7
# Syrup that goes in for a gram of sap that comes out. From orange pieces in 60 °Bx: 10.6 g of
# water lost and 3.5 g of solids gained by 100 g (Rev. bras. eng. agric. ambient. 17, 2013,
# conditions of osmotic dehydration of oranges, abstract read).
SYRUP_FOR_SAP = 0.55
FILM_MM = 0.3  # syrup that stays on a drained face: estimate, no source
THICKEST_MM = 100.0


def diffusivity(temperature_c: float, living: bool = True) -> float:
    """Return how fast sap and syrup change places in plant tissue.

    Parameters
    ----------
    temperature_c : float
        Temperature [°C], -5 to 130.
    living : bool
        Fresh cells hold back while it is cold; those of a dried plant do not.

    Returns
    -------
    float
        Apparent diffusivity [m2/s].

    Raises
    ------
    PairingError
        Outside the range.
    """
    if not -5 <= temperature_c <= 130:
        raise PairingError(f"steeping is known from -5 to 130 °C, got {temperature_c:g}")
    held_back = LIVING_25C_M2_PER_S * LIVING_Q10 ** ((temperature_c - 25.0) / 10.0)
    # Stokes-Einstein with the viscosity of water, Vogel form of Likhachev (2003), from memory
    kelvin = temperature_c + 273.15
    viscosity = math.exp(580.0 / (kelvin - 138.0) - 580.0 / (298.15 - 138.0))
    free = SUCROSE_25C_M2_PER_S * kelvin / 298.15 / viscosity
    return float(min(held_back, TISSUE_KEEPS * free) if living else TISSUE_KEEPS * free)


def exchanged_share(
    thickness_mm: float, stages: Sequence[tuple[float, float]], living: bool = True
) -> float:
    """Return the share of a piece's sap that has changed places with syrup.

    Parameters
    ----------
    thickness_mm : float
        Thickness of the slice, strip or leaf, wetted from both sides [mm], up to 100.
    stages : sequence of (float, float)
        Minutes and temperature [°C] of each stage.
    living : bool
        Fresh, not dried.

    Returns
    -------
    float
        0 to 1: 0 in no time, 1 at equilibrium.

    Raises
    ------
    PairingError
        A piece without thickness, negative minutes, a temperature out of range.

    References
    ----------
    Crank (1975), eq. 4.18.
    """
    if not 0 < thickness_mm <= THICKEST_MM:
        raise PairingError(
            f"a piece of {thickness_mm:g} mm: give more than 0 and at most {THICKEST_MM:g}"
        )
    if any(not (math.isfinite(m) and m >= 0) for m, _ in stages):
        raise PairingError("steeping minutes must be 0 or more")
    square = (thickness_mm / 1000.0) ** 2
    fourier = sum(60.0 * minutes * diffusivity(c, living) for minutes, c in stages) / square
    if fourier < 0.03:  # the series is slow here, and the half-space is exact
        return min(1.0, 4.0 * math.sqrt(fourier / math.pi))
    odd = (2 * i + 1 for i in range(8))
    kept = sum(8.0 / (n * math.pi) ** 2 * math.exp(-((n * math.pi) ** 2) * fourier) for n in odd)
    return 1.0 - kept


def syrup_taken_up(thickness_mm: float, sap_g_per_g: float, share: float) -> float:
    """Return the syrup that a drained piece carries off, in place of its sap and as a film.

    Parameters
    ----------
    thickness_mm : float
        Thickness [mm].
    sap_g_per_g : float
        Sap of a gram of the piece [g/g].
    share : float
        Share of the sap exchanged, see `exchanged_share`.

    Returns
    -------
    float
        Syrup [g per g of the piece as put in].
    """
    film = min(1.0, 2.0 * FILM_MM / max(thickness_mm, 0.1))
    return SYRUP_FOR_SAP * sap_g_per_g * share + film
