"""A large batch as a plan: what to buy, pots and hours, bottles and days, what each site gets."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pairing.bar.shelf import Purchase, purchases
from pairing.evidence.catalog import Catalog
from pairing.syrup.formula import Formula
from pairing.syrup.orders import orders
from pairing.syrup.step import grams_word, span_word
from pairing.syrup.stove import RING_W, Pan, cool_down_minutes, heat_up_minutes

__all__ = ["LARGE_G", "LargePlan", "large_plan"]

LARGE_G = 5000.0  # from here a batch is planned, not just cooked: estimate
BOTTLE_ML = 700.0  # a bar bottle with its pump: common practice, no source
COUNTED_FROM_G = 3.0  # nobody counts lighter pieces by the hundred
CONCENTRATE = 3.0  # times as strong in plants: the rest is plain syrup of the same strength
BULKIEST_G_PER_KG = 600.0  # plants that a kilogram of syrup can cover: common practice, no source
WORTH_THINNING = 1.5  # below that a concentrate saves no pot
FRUIT_KG_PER_HOUR = 8.0  # washed and sliced, pared or pressed by one person: common practice
MELTING_J_PER_G = 334.0  # ice; CRC Handbook
COLD_KITCHEN_C, BOTTLED_C = 20.0, 85.0


@dataclass(frozen=True, slots=True)
class LargePlan:
    """How to make a large batch.

    Attributes
    ----------
    shopping : tuple of Purchase
        Fruit by number.
    pans, pan_cm : int, float
        Pots, at most half full.
    heat_minutes, cool_minutes : float
        To the boil on one strong ring a pot; from 57 to 21 °C stirred in an ice bath.
    bottles : int
        Of 700 ml.
    days : int
        That it keeps.
    drinks_a_day : float
        To sell, for none of it to be thrown away.
    concentrate_g, plain_g : float
        Cooked with all the plants, and plain syrup of the same strength to thin it with; 0 of it
        where the plants are too bulky for that.
    ice_kg : float
        That cools one pot from 57 to 21 °C.
    prepare_minutes : float
        To wash and cut the fruit, one person.
    sites : tuple of (str, float)
        Site and grams to send.
    """

    shopping: tuple[Purchase, ...]
    pans: int
    pan_cm: float
    heat_minutes: float
    cool_minutes: float
    bottles: int
    days: int
    drinks_a_day: float
    concentrate_g: float
    plain_g: float
    sites: tuple[tuple[str, float], ...]
    ice_kg: float = 0.0
    prepare_minutes: float = 0.0

    @property
    def lines(self) -> tuple[str, ...]:
        """The plan in words."""
        listed = []
        for bought in self.shopping:
            counted = bought.pieces and bought.grams / bought.pieces >= COUNTED_FROM_G
            count = f" (about {math.ceil(bought.pieces or 0)})" if counted else ""
            listed.append(f"{grams_word(bought.grams)} {bought.name}{count}")
        each = " each" if self.pans > 1 else ""
        pots = f"{self.pans} pots" if self.pans > 1 else "one pot"
        out = [
            f"buy {', '.join(listed)}",
            f"{pots} of {self.pan_cm:.0f} cm, half full: about {span_word(self.heat_minutes)} to "
            f"the boil on a {RING_W / 1000:.0f} kW ring{each}, {span_word(self.cool_minutes)} from "
            f"57 to 21 °C stirred in {self.ice_kg:.0f} kg of ice" + each,
            f"{self.bottles} bottles of {BOTTLE_ML:.0f} ml, scalded; it keeps {self.days} days: "
            f"sell {math.ceil(self.drinks_a_day):,} drinks a day, or make less and more often",
        ]
        if self.prepare_minutes >= 10.0:
            out.insert(
                1, f"one person washes and cuts the fruit in {span_word(self.prepare_minutes)}"
            )
        if self.plain_g > 0:
            out.append(
                f"or cook all the plants in {grams_word(self.concentrate_g)} of it, strain, and "
                f"thin with {grams_word(self.plain_g)} plain syrup of the same °Bx: fewer hot pots"
            )
        if self.sites:
            sent = ", ".join(f"{name} {grams_word(grams)}" for name, grams in self.sites)
            out.append(f"send {sent}")
        return tuple(out)


def large_plan(
    catalog: Catalog, made: Formula, sites: Mapping[str, float] | None = None, spare: float = 0.0
) -> LargePlan | None:
    """Return the plan of a large batch.

    Parameters
    ----------
    catalog : Catalog
    made : Formula
    sites : mapping of str to float, optional
        What each site orders, drinks.
    spare : float
        Extra on top of orders [%].

    Returns
    -------
    LargePlan or None
        None for a small batch that goes to one place.

    Raises
    ------
    PairingError
        For orders that are none, or a spare outside 0 to 100 %.
    """
    batch = made.batch
    sent = orders(sites, made.glass.syrup_g, spare).per_site_g if sites else ()
    if batch.yield_g < LARGE_G and not sent:
        return None
    needs = {**made.grams, **dict(batch.sweeteners)}
    cook = batch.cook
    pan = Pan(cook.pan_diameter_cm, batch.pot_g / cook.pans, min(batch.brix, 85.0))
    days = made.keeping(catalog).days
    bulk = sum(d.g_per_kg for d in made.doses if "juice" not in d.form.form)
    times = min(CONCENTRATE, BULKIEST_G_PER_KG / bulk) if bulk > 0 else CONCENTRATE
    concentrate = batch.yield_g / times if times >= WORTH_THINNING else batch.yield_g
    bought = purchases(catalog, needs)
    fruit_g = sum(p.grams for p in bought if _is_fruit(catalog, p.item))
    return LargePlan(
        shopping=bought,
        pans=cook.pans,
        pan_cm=cook.pan_diameter_cm,
        heat_minutes=heat_up_minutes(pan, COLD_KITCHEN_C, BOTTLED_C + 15.0),
        cool_minutes=max(1.0, cool_down_minutes(pan, 57.0, 21.0, "ice bath")),
        bottles=math.ceil(batch.yield_ml / BOTTLE_ML),
        days=days,
        drinks_a_day=made.servings / max(days, 1),
        concentrate_g=concentrate,
        plain_g=batch.yield_g - concentrate,
        sites=sent,
        ice_kg=pan.joules_per_kelvin * (57.0 - 21.0) / MELTING_J_PER_G / 1000.0,
        prepare_minutes=60.0 * fruit_g / 1000.0 / FRUIT_KG_PER_HOUR,
    )


def _is_fruit(catalog: Catalog, item: str) -> bool:
    form = catalog.forms.get(item)
    return form is not None and catalog.kind(form) in ("citrus", "fruit")
