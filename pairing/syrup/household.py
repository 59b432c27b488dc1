"""Household measures on request: cups, spoons, pieces and fluid ounces beside the grams."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from fractions import Fraction
from typing import Protocol

from pairing.errors import PairingError

__all__ = ["household", "measure_of", "pieces", "with_us_units"]

ML_PER_FLUID_OUNCE = 29.5735  # US customary, NIST Handbook 44
TABLESPOONS_PER_CUP, TEASPOONS_PER_TABLESPOON = 16, 3  # US customary, NIST Handbook 44


class Piece(Protocol):
    """A form that may be counted."""

    @property
    def unit_name(self) -> str:
        """Singular, such as ``one stick``."""

    @property
    def unit_mass_g(self) -> float | None:
        """Grams of one piece."""


class Measure(Protocol):
    """A row of the household table."""

    @property
    def item_id(self) -> str:
        """Pantry id."""

    @property
    def measure(self) -> str:
        """``cup``, ``tablespoon``, ``teaspoon`` or ``piece``."""

    @property
    def grams(self) -> float:
        """Grams of one measure."""


def _amount(what: str, value: float) -> float:
    if not (math.isfinite(value) and value >= 0):
        raise PairingError(f"{what} must be 0 or more, got {value:g}")
    return float(value)


def measure_of(
    table: Iterable[Measure], item_id: str, grams: float, piece: Piece | None = None
) -> str:
    """Return a household measure of something, or nothing where nobody weighed one.

    Parameters
    ----------
    table : iterable of Measure
        The household table.
    item_id : str
        Pantry id.
    grams : float
        What to weigh [g].
    piece : Piece, optional
        A form with the weight of one piece.

    Returns
    -------
    str
        ``1 1/4 cups``, ``about 15 pods`` or nothing.
    """
    about = household(item_id, grams, table)
    if about is None and piece is not None and piece.unit_mass_g:
        about = pieces(grams, piece.unit_mass_g, piece.unit_name.removeprefix("one "))
    return about or ""


def with_us_units(text: str) -> str:
    """Return a sentence with °F beside °C and fl oz beside ml.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
        ``70-80 °C, 158-176 °F``.
    """

    def fahrenheit(found: re.Match[str]) -> str:
        ends = [f"{float(x) * 1.8 + 32.0:.0f}" for x in found.groups() if x]
        return f"{found[0]}, {'-'.join(ends)} °F"

    def ounces(found: re.Match[str]) -> str:
        return f"{found[0]} ({float(found[1].replace(',', '')) / ML_PER_FLUID_OUNCE:.1f} fl oz)"

    warm = re.sub(r"(\d+)(?:(?:-| to )(\d+))? °C", fahrenheit, text)
    return re.sub(r"(\d[\d,]*(?:\.\d+)?) ml\b", ounces, warm)


def pieces(grams: float, unit_mass_g: float, unit_name: str) -> str:
    """Return a count of pods, fruit or sticks, to the nearest half below five, else whole.

    Parameters
    ----------
    grams : float
        What to weigh [g].
    unit_mass_g : float
        Grams of one piece, above 0.
    unit_name : str
        Singular, such as ``pod``.

    Returns
    -------
    str
        ``about 15 pods``.

    Raises
    ------
    PairingError
        Negative grams or a piece without mass.
    """
    if not unit_mass_g > 0:
        raise PairingError(f"a {unit_name} must weigh more than 0 g")
    count = Fraction(_amount("grams", grams) / unit_mass_g)
    step = Fraction(1, 2) if count < 5 else Fraction(1)
    rounded = round(count / step) * step
    if rounded == 0:
        return f"less than half a {unit_name}" if grams else f"no {unit_name}"
    return f"about {_mixed(rounded)} {_plural(unit_name, rounded)}"


def household(item_id: str, grams: float, table: Iterable[Measure]) -> str | None:
    """Return grams of an item in cups and spoons, to a quarter teaspoon.

    Parameters
    ----------
    item_id : str
        Pantry id.
    grams : float
        What to weigh [g].
    table : iterable of Measure
        Household measures; missing spoons are worked out from the cup and the other way round.

    Returns
    -------
    str or None
        ``1 1/4 cups + 2 tablespoons``; None if the table does not know the item.

    Raises
    ------
    PairingError
        Negative grams.
    """
    weight = _amount("grams", grams)
    known = {m.measure: m.grams for m in table if m.item_id == item_id and m.grams > 0}
    spoon = known.get("teaspoon") or known.get("tablespoon", 0.0) / TEASPOONS_PER_TABLESPOON
    cup = known.get("cup") or spoon * TEASPOONS_PER_TABLESPOON * TABLESPOONS_PER_CUP
    spoon = spoon or cup / (TABLESPOONS_PER_CUP * TEASPOONS_PER_TABLESPOON)
    if not cup:
        return pieces(weight, known["piece"], "piece") if "piece" in known else None
    quarters, rest = divmod(weight, cup / 4.0)
    quarter_spoons = round(4.0 * rest / spoon)
    tablespoons, quarter_spoons = divmod(quarter_spoons, 4 * TEASPOONS_PER_TABLESPOON)
    if tablespoons >= 4 and rest + spoon > cup / 4.0:  # rounding filled the next quarter cup
        quarters, tablespoons, quarter_spoons = quarters + 1, 0, 0
    parts = [
        (Fraction(int(quarters), 4), "cup"),
        (Fraction(tablespoons), "tablespoon"),
        (Fraction(quarter_spoons, 4), "teaspoon"),
    ]
    shown = [f"{_mixed(n)} {_plural(name, n)}" for n, name in parts if n]
    return " + ".join(shown) if shown else ("a pinch" if weight > 0 else "none")


def _plural(name: str, count: Fraction) -> str:
    return name if count <= 1 else f"{name}s"


def _mixed(count: Fraction) -> str:
    whole, part = divmod(count, 1)
    if not part:
        return str(int(whole))
    return f"{int(whole)} {part}" if whole else str(part)
