"""What is bought ready and goes into a drink: spirits, bitters, creams, powders, milks, mixers.

Their allergens stand in ``extras.csv`` and are told by `allergens`; no plant rule is about them.
"""

from __future__ import annotations

from collections.abc import Sequence

from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Extra, Milk, Mixer
from pairing.safety.amounts import Portion

__all__ = ["BOUGHT", "bought_portion", "flavourings", "is_bought", "is_flavouring"]

BOUGHT = "bought"
# Regulation (EC) No 1334/2008, art. 3(2)(a) and (d), read: a flavouring is not meant to be eaten
# as such; an extract or a distillate is a flavouring preparation.
FLAVOURINGS = frozenset({"vanilla-extract", "orange-flower-water", "rose-water"})
# Drunk as such, so no flavourings themselves; whether they hold some only their maker knows.
BY_MAKER = frozenset({"aromatic-bitters", "vanilla-paste", "sweet-vermouth", "gin"})
BY_MAKER_KINDS = frozenset({"bitters", "liqueur"})


def is_bought(catalog: Catalog, portion: Portion) -> bool:
    """Whether a portion is a row of the extras, mixers or milks, and no plant.

    Parameters
    ----------
    catalog : Catalog
    portion : Portion

    Returns
    -------
    bool
    """
    ident = portion.ingredient_id
    known = ident in catalog.extras or ident in catalog.mixers or portion.form == "milk"
    return portion.kind == BOUGHT and known


def bought_portion(row: Extra | Milk | Mixer, grams: float) -> Portion:
    """Return an extra, a milk or a mixer of one drink as the safety engine takes it.

    Parameters
    ----------
    row : Extra, Milk or Mixer
        A mixer with quinine counts as tonic water, whatever it is called.
    grams : float
        In the drink [g].

    Returns
    -------
    Portion
    """
    if isinstance(row, Milk):
        return Portion(row.allergen_id, "milk", grams, BOUGHT, in_drink=True)
    if isinstance(row, Mixer):
        tonic = ("tonic-water",) if row.quinine_high_mg_per_l else ()
        return Portion(row.mixer_id, "mixer", grams, BOUGHT, tonic, in_drink=True)
    return Portion(row.extra_id, row.kind, grams, BOUGHT, in_drink=True)


def flavourings(used: Sequence[Portion]) -> tuple[str, ...]:
    """Ids of what is an added flavouring, or holds one unless its maker says no.

    Parameters
    ----------
    used : sequence of Portion

    Returns
    -------
    tuple of str
        Sure flavourings first. Empty: the exemption for herbs and spices stands.

    Notes
    -----
    Regulation (EC) No 1334/2008, Annex III Part B, footnote (a) (read): its figures do not bind a
    food without added flavourings whose only ingredients with flavouring properties are fresh,
    dried or frozen herbs and spices.
    """
    sure = [p.ingredient_id for p in used if is_flavouring(p)]
    asked = [
        p.ingredient_id
        for p in used
        if set(p.ids) & BY_MAKER or (p.kind == BOUGHT and p.form in BY_MAKER_KINDS)
    ]
    return tuple(dict.fromkeys([*sure, *(i for i in asked if i not in sure)]))


def is_flavouring(portion: Portion) -> bool:
    """Whether a portion is itself a flavouring in the law's words: an extract, a distillate.

    Parameters
    ----------
    portion : Portion

    Returns
    -------
    bool
    """
    return bool(set(portion.ids) & FLAVOURINGS) or (
        portion.kind == BOUGHT and portion.form == "extract"
    )
