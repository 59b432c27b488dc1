"""The colour of a drink in words: what reddens, greys or turns muddy."""

from __future__ import annotations

import re
from collections.abc import Sequence

from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.glass.drink import Drink

__all__ = ["colour_words"]

# Anthocyanins are red in acid, mauve near neutral, grey-blue above.  # common practice, no source
BROWNS = ("brown", "amber", "orange")
REDDENS_BELOW_PH, GREYS_ABOVE_PH = 4.0, 5.5


def _is_red(colour: str) -> bool:
    """Whether a colour is that of anthocyanins; tea, cinnamon and tangerine are no such red."""
    first = re.split("[,;]", colour)[0]
    return any(w in first for w in ("red", "purple")) and not any(w in first for w in BROWNS)


def colour_words(catalog: Catalog, forms: Sequence[Form], drink: Drink) -> str:
    """Say what colour the plants give the drink.

    Parameters
    ----------
    catalog : Catalog
    forms : sequence of Form
    drink : Drink

    Returns
    -------
    str
        Empty if there is nothing that a guest would notice.
    """
    spec, ph = drink.spec, drink.served.ph
    rows = {f.form_id: catalog.ingredients[f.ingredient_id] for f in forms}
    red = [f for f in forms if _is_red(rows[f.form_id].colour)]
    if red:
        name = rows[red[0].form_id].name
        if spec.has_milk:
            return f"colour: {name} turns milk grey-mauve, not red; leave the milk out for red"
        if ph <= REDDENS_BELOW_PH:
            return f"colour: {name} is clear red at pH {ph:.1f}"
        if ph >= GREYS_ABOVE_PH:
            return f"colour: {name} turns dull mauve at pH {ph:.1f}; a little acid reddens it"
        return f"colour: {name} reddens the drink; a little acid brightens it"
    cloudy = any("juice" in f.form or f.form == "slice" for f in forms)
    if cloudy and not spec.has_milk and spec.style.build != "layered":
        return "colour: juice with coffee turns muddy brown when stirred; layered it stays clear"
    return ""
