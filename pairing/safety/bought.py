"""What is bought ready and goes into a drink: spirits, bitters, creams, powders, milks.

Their allergens stand in ``extras.csv`` and are told by `allergens`; no plant rule is about them.
"""

from __future__ import annotations

from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Extra, Milk
from pairing.safety.amounts import Portion

__all__ = ["BOUGHT", "bought_portion", "is_bought"]

BOUGHT = "bought"


def is_bought(catalog: Catalog, portion: Portion) -> bool:
    """Whether a portion is a row of the extras or milks, and no plant.

    Parameters
    ----------
    catalog : Catalog
    portion : Portion

    Returns
    -------
    bool
    """
    known = portion.ingredient_id in catalog.extras or portion.form == "milk"
    return portion.kind == BOUGHT and known


def bought_portion(row: Extra | Milk, grams: float) -> Portion:
    """Return an extra or a milk of one drink as the safety engine takes it.

    Parameters
    ----------
    row : Extra or Milk
    grams : float
        In the drink [g].

    Returns
    -------
    Portion
    """
    if isinstance(row, Milk):
        return Portion(row.allergen_id, "milk", grams, BOUGHT, in_drink=True)
    return Portion(row.extra_id, row.kind, grams, BOUGHT, in_drink=True)
