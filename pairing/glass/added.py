"""What goes into or onto a drink beside syrup, coffee and filler.

One grammar: a name and an amount, such as ``vodka`` and ``40 ml``, ``bitters`` and ``2 dashes``,
``cold foam`` and ``40g``, ``nutmeg`` and ``1 pinch``, ``orange peel`` and ``1 strip``. Spirits,
foams and powders are rows of the extras table, creams of the milks table, plants of the forms
table; a plant ``in milk`` is steeped in the drink's milk and strained out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from pairing.aroma.serve import SYRUP_G
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Extra, Form, Milk
from pairing.evidence.spelling import normalise
from pairing.safety.amounts import Portion, portion
from pairing.safety.bought import bought_portion
from pairing.safety.plants import refuse_plant
from pairing.syrup.acidity import find_powder, powder_portion
from pairing.syrup.brought import portion_of
from pairing.syrup.composition import Masses
from pairing.syrup.quantities import Quantity, grams_of, parse_quantity

__all__ = ["ETHANOL_G_PER_ML", "Added", "add", "is_vegan"]

ETHANOL_G_PER_ML = 0.78924  # at 20 °C, OIML R 22 (1973), from memory
PINCH_G = 0.15  # of a ground spice, a sixteenth of a teaspoon: common practice, no source
DASH_ML, DROP_ML = 0.8, 0.05  # common practice, no source: a dash is 0.6 to 0.9 ml
MOST_G = 500.0
GARNISH_G = 2.0  # a sprig or strip that nobody weighed: common practice, no source
DUST_AT_MOST_G = 1.0  # more grams of a whole spice than that are a garnish, not dust
IN_MILK = " in milk"
FRIDGE_C, SHELF_C = 4.0, 20.0
HEAT_OF_CREAM = 3.3  # J/(g K), half fat and water: estimate
KCAL_PER_G_SUGAR = 4.0  # EU 1169/2011 Annex XIV
ANIMAL = frozenset(("milk", "egg", "fish", "crustaceans", "molluscs"))


@dataclass(frozen=True, slots=True)
class Added:
    """One thing added to a drink.

    Attributes
    ----------
    ident, name : str
        Id of its row, and what a bar calls it.
    said : str
        The amount as it was said.
    grams : float
        In the drink [g].
    place : str
        ``in`` the liquid, on ``top``, as ``garnish``, or ``milk``: steeped in it and strained.
    kind : str
        Kind of its row; ``milk``, ``plant``, ``dust``, ``juice``, ``powder``.
    masses : Masses
        Water, sugar, acid and other dissolved matter of it [g].
    alcohol_g, bulk_g, ice_g : float
        Ethanol; fat and what does not dissolve; ice [g].
    volume_ml : float
        In the glass, with its air [ml].
    temperature_c, heat_j_per_g_k : float
        As it goes in.
    kcal, caffeine_mg : float
        Of all of it.
    milk : Milk or None
        The milk it is made of.
    milk_g : float
        Of that milk [g].
    vegan : str
        ``yes``, ``no`` or ``by-maker``.
    form : Form or None
        The form of a plant.
    portions : tuple of Portion
        As the safety engine takes it.
    """

    ident: str
    name: str
    said: str
    grams: float
    place: str
    kind: str
    masses: Masses
    alcohol_g: float
    bulk_g: float
    ice_g: float
    volume_ml: float
    temperature_c: float
    heat_j_per_g_k: float
    kcal: float
    caffeine_mg: float
    milk: Milk | None
    milk_g: float
    vegan: str
    form: Form | None
    portions: tuple[Portion, ...]

    @property
    def sugar_g(self) -> float:
        """All its sugar, that of its milk too [g]."""
        lactose = self.milk.sugar_percent / 100.0 * self.milk_g if self.milk else 0.0
        return self.masses.sugars + lactose


def add(catalog: Catalog, wishes: Mapping[str, str], milk: Milk) -> tuple[Added, ...]:
    """Return what is added to a drink.

    Parameters
    ----------
    catalog : Catalog
    wishes : mapping of str to str
        Amount by name; an empty amount is the usual one.
    milk : Milk
        The milk of the drink, for foam that is made of it.

    Returns
    -------
    tuple of Added

    Raises
    ------
    PairingError
        For an unknown name, an amount that nobody knows, and a plant that is refused.
    """
    return tuple(_one(catalog, name.strip(), said.strip(), milk) for name, said in wishes.items())


def _one(catalog: Catalog, name: str, said: str, milk: Milk) -> Added:
    key = normalise(name)
    for row in catalog.extras.values():
        if key in {normalise(n) for n in (row.extra_id, row.name, *row.aliases)}:
            return _extra(catalog, row, said, milk)
    if key == "milk":
        return _milk(catalog, milk, said)
    for cream in catalog.milks.values():
        if key in {normalise(n) for n in (cream.milk_id, cream.name, *cream.aliases)}:
            return _milk(catalog, cream, said)
    powder = find_powder(catalog, name)
    if powder is not None:
        grams = _grams(catalog, name, said or "1 pinch", (powder.powder_id,), None, 1.0)
        made = powder_portion(powder, grams).released * grams
        return _liquid(powder.powder_id, powder.name.lower(), said, grams, "powder", made)
    in_milk = name.casefold().endswith(IN_MILK)
    plant = name[: -len(IN_MILK)] if in_milk else name
    return _plant(catalog, plant, said, in_milk=in_milk)


def _grams(
    catalog: Catalog,
    name: str,
    said: str,
    ids: tuple[str, ...],
    piece: Extra | Form | None,
    g_per_ml: float | None,
) -> float:
    """Return what an amount weighs [g]."""
    if said.replace(".", "", 1).isdigit():
        raise PairingError(f"{name}: {said} of what? say {said}g, {said}ml, or count pieces")
    asked = parse_quantity(said, name)
    if asked.per_kg:
        raise PairingError(f"{name}: say what goes into one drink, not how much per kg")
    word = asked.unit.removesuffix("es") if asked.unit in ("dashes", "pinches") else asked.unit
    word = "drop" if word == "drops" else word
    if word == "pinch":
        grams = asked.number * PINCH_G
    elif word in ("dash", "drop"):
        one = piece.unit_mass_g if isinstance(piece, Extra) and word == "dash" else None
        ml = DASH_ML if word == "dash" else DROP_ML
        grams = asked.number * (one or ml * (g_per_ml or 1.0))
    else:
        counted = Quantity(asked.number, asked.unit)
        grams = grams_of(counted, ids, catalog.household, piece, g_per_ml=g_per_ml)
    if not 0 < grams <= MOST_G:
        raise PairingError(f"{name}: {grams:.0f} g is no amount for one drink; at most {MOST_G:g}")
    return grams


def _extra(catalog: Catalog, row: Extra, said: str, own: Milk) -> Added:
    grams = row.usual_g
    if said:
        grams = _grams(catalog, row.name.lower(), said, (row.extra_id,), row, row.g_per_ml)
    ml = grams / row.g_per_ml
    alcohol = row.alcohol_percent / 100.0 * ml * ETHANOL_G_PER_ML
    sugar, acid = row.sugar_percent / 100.0 * grams, row.acid_percent / 100.0 * grams
    bulk = (row.fat_percent + row.solids_percent) / 100.0 * grams
    ice = row.ice_percent / 100.0 * grams
    milk, milk_g, vegan, portions = None, 0.0, row.vegan, [bought_portion(row, grams)]
    if row.milk_id:
        milk = own if row.milk_id == "own" else catalog.milks[row.milk_id]
        milk_g = grams - sugar
        portions.append(bought_portion(milk, milk_g))
        vegan = ("yes" if milk.vegan else "no") if vegan == "milk" else vegan
    water = max(0.0, grams - sugar - acid - alcohol - bulk - ice - milk_g)
    kcal = (row.kcal_per_100g or 0.0) / 100.0 * grams
    if row.kcal_per_100g is None:
        kcal = KCAL_PER_G_SUGAR * sugar + (milk.kcal_per_100g / 100.0 * milk_g if milk else 0.0)
    name = row.name.split(",")[0].lower()
    if milk is not None and row.milk_id == "own" and milk.milk_id != "dairy":
        name += f" of {milk.name.lower()}"
    return Added(
        row.extra_id, name, said, grams, row.place, row.kind,
        Masses(water=water, sucrose=sugar, acid=acid), alcohol, bulk, ice,
        ml * (1.0 + row.air_percent / 100.0), row.temperature_c,
        4.19 if alcohol else HEAT_OF_CREAM, kcal,
        (row.caffeine_high_mg_per_100g or 0.0) / 100.0 * grams, milk, milk_g, vegan, None,
        tuple(portions),
    )  # fmt: skip


def _milk(catalog: Catalog, row: Milk, said: str) -> Added:
    grams = 30.0
    name = "milk" if row.milk_id == "dairy" else row.name.lower()
    if said:
        grams = _grams(catalog, name, said, (row.milk_id,), None, row.g_per_ml)
    return Added(
        row.milk_id, name, said, grams, "in", "milk", Masses(), 0.0, 0.0, 0.0,
        grams / row.g_per_ml, FRIDGE_C, row.heat_j_per_g_k, row.kcal_per_100g / 100.0 * grams, 0.0,
        row, grams, "yes" if row.vegan else "no", None, (bought_portion(row, grams),),
    )  # fmt: skip


def _liquid(
    ident: str, name: str, said: str, grams: float, kind: str, made: Masses
) -> Added:  # dissolves whole: juice, honey, a powder
    rest = max(0.0, grams - made.liquid)
    ml = 1000.0 * grams / made.density if made.liquid > 0 and made.water > 0 else grams / 1.6
    return Added(
        ident, name, said, grams, "in", kind, replace(made, insoluble=0.0), 0.0, rest, 0.0, ml,
        SHELF_C, 3.9, KCAL_PER_G_SUGAR * made.sugars, 0.0, None, 0.0, "yes", None, (),
    )  # fmt: skip


def _plant(catalog: Catalog, name: str, said: str, *, in_milk: bool) -> Added:
    """A juice or honey stirred in, a dust, a garnish, or what is steeped in the milk."""
    form = catalog.form(name)
    refuse_plant(catalog, form.ingredient_id)
    whole = "g" not in said and "pinch" not in said and bool(said)
    ground = next(
        (f for f in catalog.forms_of[form.ingredient_id] if f.form in ("ground", "powder")), None
    )
    liquid = form.form in ("juice", "syrup") or catalog.kind(form) == "sweetener"
    dusty = form.form in ("ground", "powder")
    if not (in_milk or liquid or dusty or whole) and ground is not None:
        asked = _grams(catalog, name, said, (form.form_id,), form, None) if said else PINCH_G
        if asked <= DUST_AT_MOST_G:
            form, dusty = ground, True
    ids = (form.form_id, form.ingredient_id)
    usual = PINCH_G if dusty else (form.unit_mass_g or GARNISH_G)
    if in_milk and form.dose_low_g_per_kg and form.dose_high_g_per_kg:  # as in its syrup
        usual = math.sqrt(form.dose_low_g_per_kg * form.dose_high_g_per_kg) * SYRUP_G / 1000.0
    if liquid:
        brix = ((form.brix_low or 10.0) + (form.brix_high or 10.0)) / 2.0
        density = 1.4 if catalog.kind(form) == "sweetener" else 1.0 + 0.004 * brix
        usual = 10.0
    grams = usual
    if said:
        grams = _grams(catalog, name, said, ids, form, density if liquid else None)
    held = portion(catalog, form, grams)
    plants = held.plants
    if (counted := catalog.counted_as(name)) is not None:
        plants = (*plants, counted)
    held = replace(held, plants=plants, in_drink=True)
    label = form.label.split(",")[0].lower()
    vegan = "no" if not is_vegan(catalog, form.ingredient_id) else "yes"
    if liquid:
        made = portion_of(catalog, form, grams, "batch", method="stir-in").released * grams
        poured = _liquid(form.form_id, label, said, grams, "juice", made)
        return replace(poured, form=form, portions=(held,), vegan=vegan)
    place = "milk" if in_milk else "top" if dusty else "garnish"
    return Added(
        form.form_id, label, said, grams, place, "dust" if dusty and not in_milk else "plant",
        Masses(), 0.0, grams, 0.0, 0.0, SHELF_C, 0.0, 0.0, 0.0, None, 0.0, vegan, form, (held,),
    )  # fmt: skip


def is_vegan(catalog: Catalog, ingredient_id: str) -> bool:
    """Whether nothing known of an ingredient is of an animal.

    Parameters
    ----------
    catalog : Catalog
    ingredient_id : str
        Of an ingredient or a sweetener.

    Returns
    -------
    bool
    """
    from pairing.safety.allergens import allergens_for

    rows = allergens_for(catalog, ingredient_id)
    return ingredient_id != "honey" and not any(a.allergen in ANIMAL for a in rows)
