"""Less sugar, and nothing from animals: what changes in a syrup, and what is refused."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

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

__all__ = [
    "AsSweet",
    "as_sweet_as_sugar",
    "ask_if_vegan",
    "lighter_notes",
    "refuse_animal",
    "sugars_g",
]

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
SUGAR = "white-cane-sugar"
DOSED_TO_G = 0.5  # what a jigger or pump can be set to: common practice, no source
MOST_TIMES = 3.0  # as much syrup: beyond it the drink is another one


class AsSweet(NamedTuple):
    """The sugar syrup that a syrup is as sweet as.

    Attributes
    ----------
    grams : float
        Of it in a drink [g].
    sugar_g : float
        Sugars in those [g].
    """

    grams: float
    sugar_g: float


def as_sweet_as_sugar(
    make_at: Callable[[str | Mapping[str, float], float], Formula],
    sweetener: str | Mapping[str, float],
    sugar_syrup_g: float,
) -> Formula:
    """Return a formula of which a drink takes as much as makes it as sweet as with sugar.

    Parameters
    ----------
    make_at : callable
        Makes the formula with a sweetener and so many grams of syrup in a drink.
    sweetener : str or mapping of str to float
        What it is sweetened with.
    sugar_syrup_g : float
        Syrup in a drink, were it of white sugar at the same strength [g].

    Returns
    -------
    Formula
        Its ``glass.syrup_g`` to half a gram; doses are those of that amount in a drink.

    Raises
    ------
    PairingError
        Where more than three times as much syrup would be needed.
    """
    usual = make_at(SUGAR, sugar_syrup_g)
    wanted = _sweet_per_g(usual) * sugar_syrup_g
    grams = sugar_syrup_g
    for _ in range(4):  # what is rounded is settled before the fourth
        made = make_at(sweetener, grams)
        exact = wanted / max(_sweet_per_g(made), 1e-9)
        if exact > MOST_TIMES * sugar_syrup_g:
            raise PairingError(
                f"as sweet as {sugar_syrup_g:g} g of sugar syrup would take {exact:.0f} g of this "
                "one in a drink: make it stronger, or blend in more sugar"
            )
        settled = max(DOSED_TO_G, round(exact / DOSED_TO_G) * DOSED_TO_G)
        if settled == grams:
            break
        grams = settled
    held = usual.batch.composition
    return replace(made, as_sweet=AsSweet(sugar_syrup_g, held.sugars / held.total * sugar_syrup_g))


def _sweet_per_g(made: Formula) -> float:
    """Sucrose that is as sweet as a gram of it where it is drunk [g/g]."""
    return _as_sucrose_g(made) / made.batch.composition.total


def _as_sucrose_g(made: Formula) -> float:
    """Sucrose that is as sweet as the batch where it is drunk, hot or cold [g]."""
    at_c = HOT_C if made.glass.temperature_c > WARM_DRINK_C else COLD_C
    return sucrose_equivalent(made.batch.composition, at_c)


def _no_claim(less: float, least: float) -> list[str]:
    """That so many less sugars may not be called reduced, where they are fewer at all."""
    if not least < less < REDUCED_FROM - 0.005:
        return []
    return ["less than 30 % below the usual: nothing that may be called reduced in sugars"]


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
    told = [
        f"{r.name}, {_in_a_drink(made, grams[r.sweetener_id])}: {r.caution}"
        for r in made.sweeteners
        if r.caution
    ]
    if made.as_sweet is not None:
        return (*_swapped(made, made.as_sweet), *told)
    if not rare:
        return tuple(told)
    c, each = made.batch.composition, made.glass.syrup_g
    sugars = sugars_g(made)
    plain = c.dissolved - c.acid - c.ash - c.soluble  # as much sugar instead
    less, sweet = 1.0 - sugars / plain, 1.0 - _as_sucrose_g(made) / plain
    lines = [
        f"against sugar alone at the same °Bx, a drink holds {sugars / c.total * each:.1f} g sugar "
        f"instead of {plain / c.total * each:.1f} g ({-100 * less:+.0f} %) and is "
        f"{_sweeter(sweet)}; how thick it gets is not known"
    ]
    return (*lines, *_no_claim(less, 0.0), *told)


def _in_a_drink(made: Formula, grams: float) -> str:
    """What of a sweetener weighed is in a drink, and at most, as the limits count it."""
    spread, at_most = (
        f"{grams / whole * made.glass.syrup_g:.1f} g"
        for whole in (made.batch.pot_g, made.batch.yield_g)
    )
    return f"{spread} in a drink" + (f", {at_most} at most" if at_most != spread else "")


def sugars_g(made: Formula) -> float:
    """Return the sugars of a batch, allulose not counted: the body hardly burns it.

    Parameters
    ----------
    made : Formula

    Returns
    -------
    float
        [g].
    """
    sugars, held = made.batch.composition.sugars, dict(made.batch.sweeteners)
    allulose = held.get("allulose", 0.0) * made.batch.yield_g / made.batch.pot_g
    return sugars - min(sugars, allulose)


def _swapped(made: Formula, usual: AsSweet) -> tuple[str, ...]:
    """How much of it is as sweet as the sugar syrup, and what that saves."""
    each = made.glass.syrup_g
    sugar_g = sugars_g(made) / made.batch.composition.total * each
    less = 1.0 - sugar_g / usual.sugar_g
    moved = f", {-100 * less:+.0f} %" if abs(less) >= 0.005 else ""
    lines = [
        f"as sweet as {usual.grams:g} g of the same syrup with sugar: take {each:g} g in a drink "
        f"({sugar_g:.1f} g sugar instead of {usual.sugar_g:.1f} g{moved}); doses are for that "
        "amount"
    ]
    return (*lines, *_no_claim(less, 0.03))


def _sweeter(less: float) -> str:
    if abs(less) < 0.03:
        return "as sweet"
    return f"{100 * abs(less):.0f} % {'less' if less > 0 else 'more'} sweet"
