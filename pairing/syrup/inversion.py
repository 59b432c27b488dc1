"""Inversion: how much of the sucrose a hot, sour pot splits into glucose and fructose.

Two published rates bracket it: the one fitted to sugar juices at pH 4 to 8 [1]_ runs high when it
is carried down to the pH of lemon, and the one of strong acid in dilute sugar [2]_ is about half
of it. The best figure lies between them, and both ends are returned.

References
----------
.. [1] Vukov (1965), see `sugar.inversion_fraction`; activation energy 108.5 kJ/mol.
.. [2] Tombari E et al. J. Phys. Chem. B 111, 496 (2007): 109.2 kJ/mol (abstract read); rate about
   3.5e-3 l/(mol min) at 25 °C, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from pairing.errors import PairingError
from pairing.syrup import sugar
from pairing.syrup.composition import Masses
from pairing.syrup.keeping import estimate_ph

__all__ = ["Inverted", "inverted_by", "share_of_sucrose"]

LOW, BEST, HIGH = 0.55, 0.75, 1.0  # of the rate of [1]: strong acid, the middle, [1] itself
COLDEST_C = 0.0


class Inverted(NamedTuple):
    """Share of the sucrose that was split.

    Attributes
    ----------
    low, best, high : float
        By the slower, the middle and the faster of two published rates [-].
    ph : float
        pH that they were worked out with, at 25 °C.
    """

    low: float
    best: float
    high: float
    ph: float

    def then(self, later: Inverted) -> Inverted:
        """Return what is split when a later heat splits its share of the rest.

        Parameters
        ----------
        later : Inverted
            Of the later heat alone, at its own pH.

        Returns
        -------
        Inverted
        """
        first, second = (self.low, self.best, self.high), (later.low, later.best, later.high)
        low, best, high = (1.0 - (1.0 - a) * (1.0 - b) for a, b in zip(first, second, strict=True))
        return Inverted(low, best, high, later.ph)


def share_of_sucrose(
    ph: float, brix: float, stages: Sequence[tuple[float, float]]
) -> tuple[float, float, float]:
    """Return the share of the sucrose that stages of heat invert at one pH.

    Parameters
    ----------
    ph : float
        pH of the liquid.
    brix : float
        Dissolved solids [% w/w].
    stages : sequence of (float, float)
        Minutes and temperature [°C] of each stage.

    Returns
    -------
    (float, float, float)
        Low, best and high share [-].

    Raises
    ------
    PairingError
        Negative minutes, or a temperature above 110 °C.
    """
    rate = 0.0
    for minutes, temperature_c in stages:
        if not (math.isfinite(minutes) and minutes >= 0):
            raise PairingError(f"minutes of heat must be 0 or more, got {minutes:g}")
        if minutes > 0:
            kept = 1.0 - float(
                sugar.inversion_fraction(
                    min(max(ph, 2.0), 8.0), max(temperature_c, COLDEST_C), minutes, min(brix, 85.0)
                )
            )
            rate += -math.log(max(kept, 1e-12))
    low, best, high = (1.0 - math.exp(-rate * part) for part in (LOW, BEST, HIGH))
    return low, best, high


def inverted_by(composition: Masses, stages: Sequence[tuple[float, float]]) -> Inverted:
    """Return how much of a syrup's sucrose the stages of a plan invert.

    Parameters
    ----------
    composition : Masses
        The liquid in the pot [g].
    stages : sequence of (float, float)
        Minutes and temperature [°C] of each stage, cooling and the kill step counted.

    Returns
    -------
    Inverted

    Raises
    ------
    PairingError
        No water, negative minutes, a temperature above 110 °C.
    """
    ph = estimate_ph(composition)
    return Inverted(*share_of_sucrose(ph, composition.brix, stages), ph)
