"""Shelf and money: what is bought for a batch or a drink, what it costs, what runs out first.

Bars buy fruit, not peel: what a form is cut from is bought, and the juice of a fruit whose peel is
used costs nothing more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form

__all__ = ["Purchase", "Shelf", "Spent", "purchases", "shelf_of", "spend"]

# What a fruit gives of its mass [%].  # common practice, no source: strips of peel without pith
# 8-12, grated zest 3-5; juice by the table's yield, else 40
PEEL_PERCENT, ZEST_PERCENT, JUICE_PERCENT = 10.0, 4.0, 40.0
CUT_FROM_FRUIT = ("peel", "zest", "juice", "juice-for-water", "sugared")


class Purchase(NamedTuple):
    """Something to buy.

    Attributes
    ----------
    item : str
        Id of a form, a sweetener, a milk, a mixer, or ``coffee``.
    name : str
        What it is called.
    grams : float
    pieces : float or None
        How many, where it is counted.
    covers : tuple of str
        Ids of what is made from it.
    """

    item: str
    name: str
    grams: float
    pieces: float | None
    covers: tuple[str, ...]


class Spent(NamedTuple):
    """What purchases cost, in the money of the prices.

    Attributes
    ----------
    total : float
        Of what has a price.
    lines : tuple of (str, float)
        Item and cost.
    missing : tuple of str
        Items without a price: then the total is partial.
    """

    total: float
    lines: tuple[tuple[str, float], ...]
    missing: tuple[str, ...]

    @property
    def partial(self) -> bool:
        """Whether something has no price."""
        return bool(self.missing)


class Shelf(NamedTuple):
    """How far the stock goes.

    Attributes
    ----------
    times : int
        How often what is asked for can be made.
    first : str
        Item that runs out first.
    short_g : dict of str to float
        What is missing for one time [g].
    not_counted : tuple of str
        Items that nobody counted.
    """

    times: int
    first: str
    short_g: dict[str, float]
    not_counted: tuple[str, ...]


def _fruit_of(catalog: Catalog, form: Form) -> Form | None:
    """The whole fruit that a peel, zest or juice is cut from; None where it is bought as it is."""
    if form.form not in CUT_FROM_FRUIT or (form.water_percent or 0.0) < 40.0:
        return None
    return next(
        (f for f in catalog.forms_of.get(form.ingredient_id, ()) if f.form == "slice"), None
    )


def _fruit_g(form: Form, fruit: Form, grams: float) -> float:
    if form.form == "sugared":
        share = PEEL_PERCENT if form.brix_low is None else 100.0
    elif "juice" in form.form:
        low, high = fruit.juice_yield_percent_low, fruit.juice_yield_percent_high
        share = (low + high) / 2.0 if low and high else JUICE_PERCENT
    else:
        share = PEEL_PERCENT if form.form == "peel" else ZEST_PERCENT
    return grams * 100.0 / share


def purchases(
    catalog: Catalog,
    grams: Mapping[str, float],
    known: Mapping[str, float] | None = None,
) -> tuple[Purchase, ...]:
    """Return what to buy for grams of forms, sweeteners, milks, mixers, coffee and powders.

    Parameters
    ----------
    catalog : Catalog
    grams : mapping of str to float
        What goes in, by id [g].
    known : mapping of str to float, optional
        Items that have a price or a stock of their own: such a peel is bought as peel.

    Returns
    -------
    tuple of Purchase
        Peel and juice of one fruit are one purchase: as much fruit as the larger of them needs,
        and slices on top.
    """
    whole: dict[str, float] = {}
    cut: dict[str, dict[str, float]] = {}
    covers: dict[str, list[str]] = {}
    for ident, amount in grams.items():
        form = catalog.forms.get(ident)
        fruit = _fruit_of(catalog, form) if form and ident not in (known or {}) else None
        if form is None or fruit is None:
            whole[ident] = whole.get(ident, 0.0) + amount
            covers.setdefault(ident, []).append(ident)
            continue
        parts = cut.setdefault(fruit.form_id, {})
        part = "juice" if "juice" in form.form else "peel"
        parts[part] = parts.get(part, 0.0) + _fruit_g(form, fruit, amount)
        covers.setdefault(fruit.form_id, []).append(ident)
    for fruit_id, parts in cut.items():
        whole[fruit_id] = whole.get(fruit_id, 0.0) + max(parts.values())
    out = []
    for ident, amount in whole.items():
        form = catalog.forms.get(ident)
        pieces = amount / form.unit_mass_g if form and form.unit_mass_g else None
        out.append(Purchase(ident, _name(catalog, ident), amount, pieces, tuple(covers[ident])))
    return tuple(out)


def _name(catalog: Catalog, ident: str) -> str:
    form = catalog.forms.get(ident)
    if form is not None:
        named = catalog.ingredients[form.ingredient_id].name
        return named if form.form == "slice" else form.label
    for table in (catalog.sweeteners, catalog.milks, catalog.mixers, catalog.powders):
        if ident in table:
            return str(table[ident].name)
    return ident


def spend(bought: tuple[Purchase, ...], prices_per_kg: Mapping[str, float]) -> Spent:
    """Return what purchases cost.

    Parameters
    ----------
    bought : tuple of Purchase
    prices_per_kg : mapping of str to float
        By item.

    Returns
    -------
    Spent
    """
    lines = tuple(
        (p.item, prices_per_kg[p.item] * p.grams / 1000.0)
        for p in bought
        if p.item in prices_per_kg
    )
    missing = tuple(p.item for p in bought if p.item not in prices_per_kg)
    return Spent(math.fsum(c for _, c in lines), lines, missing)


def shelf_of(bought: tuple[Purchase, ...], stock_g: Mapping[str, float]) -> Shelf | None:
    """Return how far the stock goes.

    Parameters
    ----------
    bought : tuple of Purchase
        For one time.
    stock_g : mapping of str to float
        By item.

    Returns
    -------
    Shelf or None
        None where nothing of it is counted.
    """
    counted = {p.item: stock_g[p.item] / p.grams for p in bought if p.item in stock_g and p.grams}
    if not counted:
        return None
    need = {p.item: p.grams for p in bought}
    first = min(counted, key=lambda k: counted[k])
    short = {k: need[k] - stock_g[k] for k, times in counted.items() if times < 1}
    absent = tuple(p.item for p in bought if p.item not in stock_g)
    return Shelf(int(counted[first]), first, short, absent)
