"""What sites order of a syrup, and what its ingredients cost."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pairing.errors import PairingError
from pairing.syrup.balance import Batch
from pairing.syrup.composition import checked_grams, checked_percent

__all__ = [
    "Cost",
    "Orders",
    "cost",
    "orders",
]


@dataclass(frozen=True, slots=True)
class Orders:
    """What several sites need of one syrup.

    Attributes
    ----------
    servings : float
        In all, without the spare.
    yield_g : float
        Syrup to make, spare counted in [g].
    per_site_g : tuple of (str, float)
        Site and grams to send.
    """

    servings: float
    yield_g: float
    per_site_g: tuple[tuple[str, float], ...]


def orders(sites: Mapping[str, float], serving_g: float, spare_percent: float = 0.0) -> Orders:
    """Return the syrup that orders of several sites need.

    Parameters
    ----------
    sites : mapping of str to float
        Site and servings.
    serving_g : float
        Syrup in a serving [g].
    spare_percent : float
        Extra for spills and tastings [%].

    Returns
    -------
    Orders
        Pass `yield_g` to `solve`.

    Raises
    ------
    PairingError
        No site, or no serving in all.
    """
    each = checked_grams("serving", serving_g, 1e-3) * (
        1.0 + checked_percent("spare", spare_percent) / 100.0
    )
    counts = {name: checked_grams(f"servings of {name}", n) for name, n in sites.items()}
    total = sum(counts.values())
    if not total > 0:
        raise PairingError("no site orders a serving")
    per_site = tuple((name, n * each) for name, n in counts.items())
    return Orders(total, checked_grams("orders", total * each), per_site)


@dataclass(frozen=True, slots=True)
class Cost:
    """Cost of the ingredients, in the money of the prices.

    Attributes
    ----------
    total, per_kg : float
        Of the batch, of a kilogram of syrup.
    per_serving : float or None
        Of a serving, if its grams were given.
    lines : tuple of (str, float)
        Ingredient and cost.
    missing : tuple of str
        Ingredients without a price, left out of the sums.
    """

    total: float
    per_kg: float
    per_serving: float | None
    lines: tuple[tuple[str, float], ...]
    missing: tuple[str, ...]


def cost(made: Batch, prices_per_kg: Mapping[str, float], serving_g: float | None = None) -> Cost:
    """Return what the ingredients of a batch cost.

    Parameters
    ----------
    made : Batch
        The batch.
    prices_per_kg : mapping of str to float
        Price of a kilogram by pantry id; water is free unless priced.
    serving_g : float, optional
        Syrup in a serving [g].

    Returns
    -------
    Cost

    Raises
    ------
    PairingError
        A negative price.
    """
    used = [*made.sweeteners, *made.portions]
    if "water" in prices_per_kg:
        used.append(("water", made.water_g))
    lines = []
    for name, grams in used:
        if name in prices_per_kg:
            price = prices_per_kg[name]
            if not (math.isfinite(price) and price >= 0):
                raise PairingError(f"price of {name} must be 0 or more a kilogram, got {price:g}")
            lines.append((name, price * grams / 1000.0))
    missing = tuple(name for name, _ in used if name not in prices_per_kg)
    total = math.fsum(c for _, c in lines)
    per_kg = 1000.0 * total / made.yield_g
    serving = (
        None if serving_g is None else per_kg * checked_grams("serving", serving_g, 1e-3) / 1000.0
    )
    return Cost(total, per_kg, serving, tuple(lines), missing)
