"""Acid by design: powders into the pot, and how much of one brings a syrup to a pH."""

from __future__ import annotations

from typing import NamedTuple

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Powder
from pairing.syrup import addition
from pairing.syrup.composition import Masses, checked_grams
from pairing.syrup.keeping import estimate_ph

__all__ = ["Acidified", "acidify", "find_powder", "powder_portion"]

MOST_ACID = 0.10  # of the syrup: beyond it nobody drinks it
GLYCEROL_G_PER_MOL, GLYCEROL_SWEET = 92.09, 0.6  # CRC Handbook; sweetness from memory
LEAST_PH, MOST_PH = 2.0, 6.5


def find_powder(catalog: Catalog, name: str) -> Powder | None:
    """Return the powder of a name or alias; None if it is none.

    Parameters
    ----------
    catalog : Catalog
    name : str

    Returns
    -------
    Powder or None
    """
    key = name.strip().casefold()
    for row in catalog.powders.values():
        known = (row.powder_id, row.powder_id.replace("-", " "), row.name, *row.aliases)
        if key in {k.casefold() for k in known}:
            return row
    return None


def powder_portion(row: Powder, amount: float, per: addition.Per = "batch") -> addition.Addition:
    """Return what a powder brings to the pot; all of it dissolves.

    Parameters
    ----------
    row : Powder
    amount : float
        Grams per `per`.
    per : str
        See `addition.Addition`.

    Returns
    -------
    addition.Addition

    Raises
    ------
    PairingError
        For an amount that is none.
    """
    polyols = row.polyol_percent / 100.0
    made = Masses(
        water=row.water_percent / 100.0,
        acid=row.acid_as_citric_percent / 100.0,
        soluble=row.soluble_percent / 100.0,
        polyols=polyols,
        other_mol=polyols / GLYCEROL_G_PER_MOL,
        other_sweet=polyols * GLYCEROL_SWEET,
    )
    return addition.Addition(row.powder_id, amount, per, made, Masses(), 0.0)


class Acidified(NamedTuple):
    """How much acid brings a syrup to a pH.

    Attributes
    ----------
    grams : float
        Powder to add [g].
    ph_now, ph_then : float
        Estimates.
    acid_percent : float
        Titratable acid then, as citric [% w/w].
    """

    grams: float
    ph_now: float
    ph_then: float
    acid_percent: float


def acidify(composition: Masses, target_ph: float, row: Powder) -> Acidified:
    """Return the acid that brings a syrup to a pH.

    Parameters
    ----------
    composition : Masses
        The syrup [g].
    target_ph : float
        Wanted pH, 2 to 6.5.
    row : Powder
        An acid of the powders table.

    Returns
    -------
    Acidified
        An estimate, good to 0.3: add three quarters, stir, measure, then the rest.

    Raises
    ------
    PairingError
        A powder without acid, a pH that it has already, or that a tenth of acid does not reach.
    """
    if not row.acid_as_citric_percent > 0:
        raise PairingError(f"{row.name} is no acid; take citric, malic, tartaric or lactic acid")
    if not LEAST_PH <= target_ph <= MOST_PH:
        raise PairingError(f"pH must be {LEAST_PH:g} to {MOST_PH:g}, got {target_ph:g}")
    total = checked_grams("syrup", composition.total, 0.01)
    now = estimate_ph(composition)
    if target_ph >= now:
        raise PairingError(f"it is at about pH {now:.1f} already: acid only lowers that")
    one = powder_portion(row, 1.0).released

    def ph_with(grams: float) -> float:
        return estimate_ph(composition + one * grams)

    low, high = 0.0, MOST_ACID * total
    if ph_with(high) > target_ph:
        raise PairingError(
            f"even {high:.0f} g of {row.name} in {total:.0f} g leaves pH {ph_with(high):.1f}; "
            f"ask for {ph_with(high):.1f} or more"
        )
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if ph_with(middle) > target_ph else (low, middle)
    then = composition + one * high
    return Acidified(high, now, estimate_ph(then), then.acid_percent)
