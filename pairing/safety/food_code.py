"""Food Code Tables A and B: whether a syrup needs time and temperature control for safety."""

from __future__ import annotations

import math
from typing import NamedTuple

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.safety.findings import DEFER

__all__ = ["FoodCodeClass", "food_code_class", "needs_control"]


class FoodCodeClass(NamedTuple):
    """Screening after the Food Code interaction tables.

    Attributes
    ----------
    result : str
        ``non-TCS`` or ``product-assessment`` (treat as needing temperature control).
    table : str
        ``A`` (heat-treated to kill vegetative cells, then packaged) or ``B``.
    text : str
        One plain paragraph, conservative.
    source_ids : tuple of str
    """

    result: str
    table: str
    text: str
    source_ids: tuple[str, ...]


def _inside(value: float, low: float, low_in: bool, high: float, high_in: bool) -> bool:
    above = value >= low if low_in else value > low
    below = value <= high if high_in else value < high
    return above and below


def food_code_class(
    catalog: Catalog, aw: float, ph: float, heat_treated_packaged: bool = False
) -> FoodCodeClass:
    """Does a syrup need time and temperature control for safety? A screening, no licence.

    Parameters
    ----------
    catalog : Catalog
    aw : float
        Water activity, above 0 and at most 1.
    ph : float
        pH, 0 to 14.
    heat_treated_packaged : bool
        True for Table A: heated to destroy vegetative cells and packaged against
        recontamination. A bottle filled on a bar counter belongs to Table B.

    Returns
    -------
    FoodCodeClass
        The cell of the table, with what it asks for in words.

    Raises
    ------
    PairingError
        For values outside the tables.

    Notes
    -----
    FDA Food Code 2022, 1-201.10(B), definition of time/temperature control for safety food,
    Tables A and B.
    """
    if not (math.isfinite(aw) and 0 < aw <= 1):
        raise PairingError(f"water activity is {aw:g}; it must be above 0 and at most 1")
    if not (math.isfinite(ph) and 0 <= ph <= 14):
        raise PairingError(f"pH is {ph:g}; it must be from 0 to 14")
    wanted = "A" if heat_treated_packaged else "B"
    cell = next(
        c
        for c in catalog.safety.food_code
        if c.table == wanted
        and _inside(aw, c.aw_from, c.aw_from_closed, c.aw_to, c.aw_to_closed)
        and _inside(ph, c.ph_from, c.ph_from_closed, c.ph_to, c.ph_to_closed)
    )
    text = f"Food Code Table {wanted}, water activity {aw:.2f}, pH {ph:.1f}: "
    if cell.result == "non-TCS":
        text += (
            "no time and temperature control asked for against pathogens. Moulds and yeasts may "
            "still grow: keep it chilled at 5 °C or colder, date it, discard at any haze or gas. "
        )
    else:
        text += (
            "treat it as food that needs time and temperature control until a product assessment "
            "says otherwise: cool from 57 to 21 °C within 2 hours and to 5 °C within 6 hours in "
            "all, hold at 5 °C or colder, use within 7 days, the day of making being day one. "
        )
    return FoodCodeClass(cell.result, wanted, text + DEFER, (cell.source_id,))


def needs_control(catalog: Catalog, aw: float, ph: float) -> bool:
    """Whether a bottle filled on a bar counter needs time and temperature control (Table B).

    Parameters
    ----------
    catalog : Catalog
    aw, ph : float
        As in :func:`food_code_class`; give the high end of an estimated pH.

    Returns
    -------
    bool

    Raises
    ------
    PairingError
        For values outside the tables.
    """
    return food_code_class(catalog, aw, ph).result != "non-TCS"
