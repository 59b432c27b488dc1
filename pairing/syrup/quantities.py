"""Quantities as they are said: ``180g`` in the pot, ``22g/kg`` of syrup, ``2 sticks``, ``1 tbsp``.

One grammar for every command. A bare number is asked back: it has meant grams in the pot in one
place and grams per kilogram of syrup in another.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple, Protocol

from pairing.errors import PairingError

__all__ = ["EXAMPLES", "Quantity", "celsius", "grams_of", "in_unit",
           "parse_quantity"]  # fmt: skip

EXAMPLES = "180g, 22g/kg (of finished syrup), 2 sticks or 1 tbsp"
GRAMS_PER_OUNCE = 28.3495  # avoirdupois, NIST Handbook 44
ML_PER_FLUID_OUNCE = 29.5735  # US customary, NIST Handbook 44
TEASPOONS = {"teaspoon": 1.0, "tablespoon": 3.0, "cup": 48.0}  # NIST Handbook 44
MOST = 1.0e7

WEIGHT = {"g": 1.0, "gram": 1.0, "gramme": 1.0, "gr": 1.0, "kg": 1000.0, "mg": 0.001,
          "oz": GRAMS_PER_OUNCE, "ounce": GRAMS_PER_OUNCE, "lb": 453.592,
          "pound": 453.592}  # fmt: skip
VOLUME = {"ml": 1.0, "millilitre": 1.0, "milliliter": 1.0, "cl": 10.0, "l": 1000.0,
          "litre": 1000.0, "liter": 1000.0, "fl oz": ML_PER_FLUID_OUNCE,
          "floz": ML_PER_FLUID_OUNCE, "fluid ounce": ML_PER_FLUID_OUNCE}  # fmt: skip
SPOON = {"tsp": "teaspoon", "teaspoon": "teaspoon", "tbsp": "tablespoon",
         "tablespoon": "tablespoon", "tbs": "tablespoon", "cup": "cup"}  # fmt: skip
_NUMBER = r"\d+\s+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+"
_SHAPE = re.compile(rf"\s*({_NUMBER})\s*([^\d/]*?)\s*(?:/\s*(kg)(?:\s+of)?(?:\s+syrup)?)?\s*")


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


class Quantity(NamedTuple):
    """A number and what it counts.

    Attributes
    ----------
    number : float
        Above 0.
    unit : str
        ``g``, ``ml``, ``teaspoon``, ``tablespoon``, ``cup``, or the name of a piece.
    per_kg : bool
        Per kilogram of finished syrup, instead of in the pot.
    """

    number: float
    unit: str
    per_kg: bool = False

    def __str__(self) -> str:
        """As it is said."""
        return f"{self.number:g} {self.unit}{'/kg' if self.per_kg else ''}"


def _number(text: str) -> float:
    whole = 0.0
    for part in text.replace(",", ".").split():
        top, _, bottom = part.partition("/")
        if bottom and float(bottom) == 0:
            return math.nan
        whole += float(top) / float(bottom or 1)
    return whole


def parse_quantity(text: str, what: str = "a quantity") -> Quantity:
    """Return a quantity from words.

    Parameters
    ----------
    text : str
        Such as ``180g``, ``22 g/kg``, ``2 sticks``, ``1 1/2 tbsp``, ``0.5 oz``, ``100 ml``.
    what : str
        What it is for, in the error.

    Returns
    -------
    Quantity

    Raises
    ------
    PairingError
        Anything else; a bare number is asked back.
    """
    found = _SHAPE.fullmatch(text)
    if found is None:
        raise PairingError(f"{what}: {text!r:.40} should look like {EXAMPLES}")
    number, word, per = _number(found[1]), found[2].casefold().rstrip("."), found[3]
    if not (math.isfinite(number) and 0 < number <= MOST):
        raise PairingError(f"{what}: {text!r:.40} should be more than 0 and at most {MOST:g}")
    if not word:
        said = found[1].strip()
        raise PairingError(
            f"{what}: {said} of what? say {said}g (in the pot), {said}g/kg (of finished syrup), "
            "or count pieces or spoons"
        )
    single = word.removesuffix("s") if word not in WEIGHT and word != "s" else word
    if word in WEIGHT or single in WEIGHT:
        grams = number * WEIGHT.get(word, WEIGHT.get(single, 1.0))
        return Quantity(grams, "g", bool(per))
    for spelled in (word, single):
        if spelled in VOLUME:
            return Quantity(number * VOLUME[spelled], "ml", bool(per))
        if spelled in SPOON:
            return Quantity(number, SPOON[spelled], bool(per))
    if not re.fullmatch(r"[^\W\d_][\w .'-]{0,30}", word):
        raise PairingError(f"{what}: {text!r:.40} should look like {EXAMPLES}")
    return Quantity(number, word, bool(per))


def _spoon_g(item_ids: Sequence[str], table: Iterable[Measure]) -> float | None:
    """Grams of a teaspoon, from the largest measure that was weighed."""
    rows = list(table)
    for item in item_ids:
        weighed = {m.measure: m.grams for m in rows if m.item_id == item and m.grams > 0}
        for measure in ("cup", "tablespoon", "teaspoon"):
            if measure in weighed:
                return weighed[measure] / TEASPOONS[measure]
    return None


_PLURAL = {"leaves": "leaf", "halves": "half", "calyces": "calyx", "slices": "slice",
           "pieces": "piece", "berries": "berry", "inches": "inch", "bunches": "bunch"}  # fmt: skip


def _singular(word: str) -> str:
    last = word.split()[-1]
    if last in _PLURAL:
        return word[: -len(last)] + _PLURAL[last]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def grams_of(
    quantity: Quantity,
    item_ids: Sequence[str],
    table: Iterable[Measure],
    piece: Piece | None = None,
    *,
    g_per_ml: float | None = None,
) -> float:
    """Return what a quantity weighs.

    Parameters
    ----------
    quantity : Quantity
    item_ids : sequence of str
        Ids that the household table may know it by, the nearest first.
    table : iterable of Measure
        Household measures.
    piece : Piece, optional
        A form with the weight of one piece.
    g_per_ml : float, optional
        Density, for a liquid.

    Returns
    -------
    float
        Grams (per kilogram of syrup, where it says so).

    Raises
    ------
    PairingError
        If nobody weighed that measure of it, with what is known.
    """
    name, unit = item_ids[0], quantity.unit
    if unit == "g":
        return quantity.number
    rows = list(table)
    spoon = _spoon_g(item_ids, rows)
    if unit in TEASPOONS:
        if spoon is None:
            raise PairingError(f"nobody weighed a {unit} of {name}; say it in grams")
        return quantity.number * TEASPOONS[unit] * spoon
    if unit == "ml":
        if g_per_ml is None and spoon is not None:
            g_per_ml = spoon * TEASPOONS["cup"] / 236.588
        if g_per_ml is None:
            raise PairingError(f"nobody knows what a millilitre of {name} weighs; say it in grams")
        return quantity.number * g_per_ml
    counted = next((m.grams for m in rows if m.item_id in item_ids and m.measure == "piece"), None)
    called = ""
    if piece is not None and piece.unit_mass_g:
        called = piece.unit_name.removeprefix("one ")
        counted = piece.unit_mass_g
    said = _singular(unit)
    fits = said in ("piece", "whole") or said in called.split() or said == called
    if counted is None or not (fits or not called):
        known = f"; it is counted by the {called}" if called else ""
        raise PairingError(f"{quantity} of {name} is not known{known}; say it in grams")
    return quantity.number * counted


def in_unit(text: str, unit: str) -> float:
    """Return a number of one unit, said with it or with another of its kind.

    Parameters
    ----------
    text : str
        ``1.5kg`` or ``12 oz`` for grams, ``1l`` or ``24 fl oz`` for millilitres, ``79F`` for °C; a
        bare number is of that unit.
    unit : {"g", "ml", "C"}

    Returns
    -------
    float
        [g], [ml] or [°C].

    Raises
    ------
    PairingError
        Anything else.
    """
    if unit == "C":
        return celsius(text)
    try:
        return float(text)
    except ValueError:
        said = parse_quantity(text)
    if said.unit != unit or said.per_kg:
        whole = {"g": "500g, 1.5kg or 12 oz", "ml": "700ml, 1l or 24 fl oz"}[unit]
        raise PairingError(f"{text!r:.40} is no amount here; say {whole}")
    return said.number


def celsius(text: str) -> float:
    """Return a temperature said in °C or °F.

    Parameters
    ----------
    text : str
        ``85C``, ``185F``, or a number of °C.

    Returns
    -------
    float
        [°C].

    Raises
    ------
    PairingError
        Anything else.
    """
    found = re.fullmatch(r"\s*(-?\d+(?:[.,]\d+)?)\s*°?\s*([cCfF]?)\s*", text)
    if found is None:
        raise PairingError(f"{text!r:.40} is no temperature; say 85C or 185F")
    value = float(found[1].replace(",", "."))
    return (value - 32.0) / 1.8 if found[2].casefold() == "f" else value
