"""Less sugar, and nothing from animals: what changes in a syrup, and what is refused."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pairing.aroma.serve import milk_of
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.safety.allergens import allergen_findings
from pairing.safety.amounts import portion, sweetener_portion
from pairing.syrup.sweetness import COLD_C, HOT_C, sucrose_equivalent

if TYPE_CHECKING:
    from pairing.syrup.formula import Formula

__all__ = ["ask_if_vegan", "lighter_notes", "refuse_animal"]

FROM_ANIMALS = ("milk", "eggs", "fish", "crustaceans", "molluscs")  # allergens that say so
IN_ITS_PLACE = {
    "honey": "agave, maple or date syrup",
    "milk": "coconut milk, or a plant drink in the glass",
    "eggs": "gum arabic, which gives foam too",
}
PLANT_MILKS = "oat, soya, almond or coconut"
REDUCED_FROM = 0.30  # less sugars than usual, from which "reduced sugars" may be said in the EU:
# Regulation (EC) No 1924/2006, annex, from memory
WARM_DRINK_C = 30.0


def refuse_animal(
    catalog: Catalog,
    forms: Sequence[Form],
    sweeteners: Sequence[SweetenerRow],
    style: str,
    milk: str,
) -> None:
    """Refuse what comes from an animal, and say what to take in its place.

    Parameters
    ----------
    catalog : Catalog
    forms : sequence of Form
        Plants of the syrup.
    sweeteners : sequence of Sweetener
        Rows of the catalogue.
    style : str
        The drink.
    milk : str
        Its milk, where it has one.

    Raises
    ------
    PairingError
        For honey, milk, egg, or an own ingredient of which nobody said what it is of.
    """
    for form in forms:
        _refuse(form.label, _animal(catalog, form.ingredient_id, form))
    for row in sweeteners:
        _refuse(row.name, _animal(catalog, row.sweetener_id, None))
    used = milk_of(catalog, milk)
    if catalog.styles[style].has_milk and not used.vegan:
        raise PairingError(f"{used.name} is not vegan; take {PLANT_MILKS}")


def _animal(catalog: Catalog, ident: str, form: Form | None) -> str:
    if "honey" in ident:
        return "honey"
    used = portion(catalog, form) if form else sweetener_portion(catalog, ident)
    for found in allergen_findings(catalog, [used]):
        kind = found.row_id.partition(":")[0]
        if kind in FROM_ANIMALS and found.code == "allergen":
            return kind
        if found.code == "allergen-unknown":
            return "unknown"
    return ""


def _refuse(name: str, animal: str) -> None:
    if animal == "unknown":
        raise PairingError(f"nobody said what is in {name}: ask the supplier whether it is vegan")
    if animal:
        instead = IN_ITS_PLACE.get(animal)
        raise PairingError(f"{name} is not vegan" + (f"; take {instead}" if instead else ""))


def ask_if_vegan(forms: Sequence[Form]) -> tuple[str, ...]:
    """Return what a vegan syrup has still to ask of its suppliers.

    Parameters
    ----------
    forms : sequence of Form

    Returns
    -------
    tuple of str
    """
    ask = ["sugar whitened without bone char"]
    if any(f.form in ("slice", "peel", "zest", "sugared") for f in forms):
        ask.append("fruit waxed without shellac (E 904) or beeswax (E 901)")
    ask.append("no gelatine, cochineal (E 120) or shellac in anything bought ready")
    return (f"vegan by its ingredients; ask for {', '.join(ask)}",)


def lighter_notes(made: Formula) -> tuple[str, ...]:
    """Return what changes against sugar alone where another sweetener stands in for part of it.

    Parameters
    ----------
    made : Formula

    Returns
    -------
    tuple of str
        Sugar, sweetness, keeping and what the stand-ins ask for; empty for sugar alone.
    """
    rare = [r for r in made.sweeteners if r.polyol_percent or r.sweetener_id == "allulose"]
    grams = dict(made.batch.sweeteners)
    part = made.glass.syrup_g / made.batch.pot_g
    told = [
        f"{r.name}, {grams[r.sweetener_id] * part:.1f} g in a drink: {r.caution}"
        for r in made.sweeteners
        if r.caution
    ]
    if not rare:
        return tuple(told)
    c, each = made.batch.composition, made.glass.syrup_g
    at_c = HOT_C if made.glass.temperature_c > WARM_DRINK_C else COLD_C
    sugars = c.sugars
    if any(r.sweetener_id == "allulose" for r in rare):
        sugars -= min(sugars, grams["allulose"] * made.batch.yield_g / made.batch.pot_g)
    plain = c.dissolved - c.acid - c.ash - c.soluble  # as much sugar instead
    less, sweet = 1.0 - sugars / plain, 1.0 - sucrose_equivalent(c, at_c) / plain
    lines = [
        f"against sugar alone at the same °Bx, a drink holds {sugars / c.total * each:.1f} g sugar "
        f"instead of {plain / c.total * each:.1f} g ({-100 * less:+.0f} %) and is "
        f"{_sweeter(sweet)}; how it keeps is below, how thick it gets is not known"
    ]
    if 0 < less < REDUCED_FROM - 0.005:
        lines.append("less than 30 % below the usual: nothing that may be called reduced in sugars")
    return (*lines, *told)


def _sweeter(less: float) -> str:
    if abs(less) < 0.03:
        return "as sweet"
    return f"{100 * abs(less):.0f} % {'less' if less > 0 else 'more'} sweet"
