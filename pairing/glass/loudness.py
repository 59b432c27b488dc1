"""How loud spice and citrus are beside the coffee in the glass, all that goes in counted."""

from __future__ import annotations

import numpy as np

from pairing.aroma import infusion, odour
from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.odour import Array
from pairing.evidence.catalog import Catalog
from pairing.glass.added import Added
from pairing.glass.drink import Drink
from pairing.syrup.formula import Formula

__all__ = ["spice_share"]

OVERNIGHT_MIN = 720.0  # as the step for infused milk says
# Of the aroma of a garnish that gets into the drink: a strip that is expressed and dropped in, a
# sprig that is only smelled; estimate, no source
GARNISH_GIVES = 0.2


def spice_share(
    catalog: Catalog, base: CoffeeBase, made: Formula | None, built: Drink
) -> float | None:
    """Share of a drink's aroma loudness that is of spice and citrus, 0 to 1.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase
    made : Formula or None
        Of its syrup.
    built : Drink
        As poured: dust, garnish and what was steeped in its milk count too.

    Returns
    -------
    float or None
        None for a drink without coffee, and for one with neither spice nor citrus.
    """
    plants = [a for a in built.spec.added if a.form is not None]
    if not built.spec.has_coffee or not (made or plants):
        return None
    litres = built.served.volume_ml / 1000.0
    brought: Array = np.zeros(len(base.axis.compounds))
    if made is not None:
        per_l = built.spec.syrup.grams / litres
        for d in made.doses:
            left = infusion.infuse(catalog, d.form, d.g_per_kg, d.method, d.minutes or None)
            brought = brought + left.best * per_l
    for a in plants:
        brought = brought + _added(catalog, a, litres)
    coffee = base.best * min(1.0, base.brew.volume_ml / built.served.volume_ml)
    with np.errstate(invalid="ignore"):
        spice, cup = (
            float(odour.loudness(np.nan_to_num(a / base.axis.glass_best).sum()))
            for a in (brought, coffee)
        )
    return spice / (spice + cup) if spice else 0.0


def _added(catalog: Catalog, added: Added, litres: float) -> Array:
    """Aroma that dust, juice, a garnish or infused milk brings [ug/l of the drink]."""
    assert added.form is not None
    per_l = added.grams / litres  # g/l, next to g/kg
    if added.place == "milk":
        left = infusion.infuse(catalog, added.form, per_l, "cold-steep", OVERNIGHT_MIN)
        return left.best * 1000.0
    share = GARNISH_GIVES if added.place == "garnish" else 1.0
    return infusion.infuse(catalog, added.form, per_l, "stir-in", 0.0).best * 1000.0 * share
