"""Strength as it is said on the bar: sugar : water, by weight or by volume."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

from pairing.errors import PairingError
from pairing.evidence.rows import HouseholdMeasure

__all__ = ["by_weight", "parse_strength"]

WATER_G_PER_ML = 0.9982  # Kell 1975, 20 °C
CUP_ML = 236.588  # US cup; NIST Handbook 44, Appendix C
TEASPOONS = {"cup": 48, "tablespoon": 3, "teaspoon": 1}  # NIST Handbook 44, Appendix C
_PART = r"\d+(?:[.,]\d+)?"
_STRENGTH = re.compile(rf"\s*({_PART})\s*:\s*({_PART})\s*", re.ASCII)


def parse_strength(text: str) -> float:
    """Return the parts of sugar to one part of water.

    Parameters
    ----------
    text : str
        ``2:1`` or ``1.5:1``; sugar first.

    Returns
    -------
    float
        Sugar : water, in the unit in which they are measured.

    Raises
    ------
    PairingError
        Anything else, zero, negative.
    """
    found = _STRENGTH.fullmatch(text)
    sugar, water = (float(x.replace(",", ".")) for x in found.groups()) if found else (0, 0)
    if not (found and sugar > 0 and water > 0 and math.isfinite(sugar / water)):
        raise PairingError(
            f"strength must be sugar : water, both above 0, such as 2:1 "
            f"(degrees Brix are said apart), got {text!r:.40}"
        )
    return sugar / water


def cup_g(item_id: str, table: Iterable[HouseholdMeasure]) -> float | None:
    """Return what a US cup of something weighs, from the largest measure that was weighed.

    Parameters
    ----------
    item_id : str
        Pantry id.
    table : iterable of HouseholdMeasure

    Returns
    -------
    float or None
        Grams; None if nobody weighed it.
    """
    weighed = {m.measure: m.grams for m in table if m.item_id == item_id}
    for measure, teaspoons in TEASPOONS.items():
        if measure in weighed:
            return weighed[measure] * TEASPOONS["cup"] / teaspoons
    return None


def by_weight(
    text: str, by_volume: bool, sweetener_ids: Sequence[str], table: Iterable[HouseholdMeasure]
) -> float:
    """Return a strength by weight, from one said by weight or in cups.

    Parameters
    ----------
    text : str
        See `parse_strength`.
    by_volume : bool
        The parts are cups, of this sweetener and of water.
    sweetener_ids : sequence of str
        What it is sweetened with; by volume it can be one only.
    table : iterable of HouseholdMeasure
        What a cup weighs.

    Returns
    -------
    float
        Grams of sweetener to a gram of added water.

    Raises
    ------
    PairingError
        No strength, or by volume a blend or a sweetener whose cup nobody weighed.
    """
    parts = parse_strength(text)
    if not by_volume:
        return parts
    if len(sweetener_ids) != 1:
        raise PairingError("a blend has no weight of a cup; give the strength by weight")
    cup = cup_g(sweetener_ids[0], table)
    if cup is None:
        raise PairingError(
            f"nobody has weighed a cup of {sweetener_ids[0]}; give the strength by weight"
        )
    return parts * cup / (WATER_G_PER_ML * CUP_ML)
