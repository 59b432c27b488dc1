"""What sites order of a syrup."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from pairing.errors import PairingError
from pairing.syrup.composition import checked_grams, checked_percent

__all__ = [
    "Orders",
    "orders",
]


class Orders(NamedTuple):
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
