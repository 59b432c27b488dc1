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
        Cooked with all the plants, and plain syrup of the same strength to thin it with.
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

    @property
    def lines(self) -> tuple[str, ...]:
        """The plan in words."""
        listed = []
        for bought in self.shopping:
            counted = bought.pieces and bought.grams / bought.pieces >= COUNTED_FROM_G
            count = f" (about {math.ceil(bought.pieces or 0)})" if counted else ""
            listed.append(f"{grams_word(bought.grams)} {bought.name}{count}")
        pots = f"{self.pans} pots" if self.pans > 1 else "one pot"
        out = [
            f"buy {', '.join(listed)}",
            f"{pots} of {self.pan_cm:.0f} cm, half full: about {span_word(self.heat_minutes)} to "
            f"the boil on a {RING_W / 1000:.0f} kW ring each, {span_word(self.cool_minutes)} from "
            "57 to 21 °C stirred in ice",
            f"{self.bottles} bottles of {BOTTLE_ML:.0f} ml, scalded; it keeps {self.days} days: "
            f"sell {math.ceil(self.drinks_a_day):,} drinks a day, or make less and more often",
            f"or cook all the plants in {grams_word(self.concentrate_g)} of it, strain, and thin "
            f"with {grams_word(self.plain_g)} plain syrup of the same °Bx: fewer hot pots",
        ]
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
    concentrate = batch.yield_g / CONCENTRATE
    return LargePlan(
        shopping=purchases(catalog, needs),
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
    )
