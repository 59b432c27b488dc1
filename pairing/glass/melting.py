"""Ice: how cold it gets a drink, and how much of it melts."""

from __future__ import annotations

from collections.abc import Sequence

from pairing.errors import PairingError
from pairing.syrup.keeping import bisect

__all__ = ["Part", "melt"]

# --- physics ----------------------------------------------------------------------------------
FUSION_J_PER_G = 333.55  # CRC Handbook, ice at 0 °C
ICE_J_PER_G_K = 2.08  # CRC Handbook, ice near -5 °C
WATER_J_PER_G_K = 4.19  # CRC Handbook
Part = tuple[float, float, float]  # grams, J/(g K), °C


def melt(
    parts: Sequence[Part], ice_g: float, ice_temperature_c: float, wanted_c: float
) -> tuple[float, float]:
    """Return how cold liquids get on ice, and the ice it takes.

    Parameters
    ----------
    parts : sequence of (grams, J/(g K), °C)
        Liquids, and the part of the glass that follows them.
    ice_g : float
        Ice [g].
    ice_temperature_c : float
        Its temperature [°C], 0 or below.
    wanted_c : float
        Temperature at which melting stops (stirred, carried) [°C]; the liquids stay warmer if
        all the ice melts first.

    Returns
    -------
    (float, float)
        Temperature [°C] and ice melted [g].

    Raises
    ------
    PairingError
        Ice above 0 °C, negative grams.

    Notes
    -----
    Heat balance: sum m c (t - t_f) = m_ice (333.55 + 4.19 t_f - 2.08 t_ice).
    """
    if ice_temperature_c > 0 or not ice_g >= 0 or any(not m >= 0 for m, _, _ in parts):
        raise PairingError("ice must be at 0 °C or below, and grams 0 or more")
    capacity = sum(m * c for m, c, _ in parts)
    if capacity <= 0:
        raise PairingError("nothing to cool: give liquids above 0 g")
    mean = sum(m * c * t for m, c, t in parts) / capacity
    if mean <= wanted_c:
        return mean, 0.0

    def needed(final: float) -> float:
        per_gram = FUSION_J_PER_G + WATER_J_PER_G_K * final - ICE_J_PER_G_K * ice_temperature_c
        return capacity * (mean - final) / per_gram

    if needed(wanted_c) <= ice_g:
        return wanted_c, needed(wanted_c)
    return bisect(lambda t: ice_g - needed(t), wanted_c, mean), ice_g
