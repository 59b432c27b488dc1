"""Cautions of making, keeping and serving, and the rules that are the same for every batch."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.safety_rows import ProcessCaution
from pairing.safety.amounts import Portion
from pairing.safety.answers import hazards_for

__all__ = ["SITUATIONS", "commands_for", "process_cautions", "situations_of"]

# An example command for each situation, for `commands_for` and the documentation.
SITUATIONS = {
    "formula": "pairing formula green-cardamom",
    "hot-steep": "pairing formula green-cardamom",
    "simmer": "pairing formula mandarin",
    "cold-steep": "pairing formula hops",
    "maceration": "pairing formula mandarin-peel",
    "stir-in": "pairing formula lemon-juice",
    "citrus": "pairing formula mandarin",
    "fruit-syrup": "pairing formula mandarin",
    "ground": "pairing formula green-cardamom",
    "potent": "pairing formula nutmeg",
    "bottle": "pairing formula green-cardamom",
    "store": "pairing formula green-cardamom",
    "drink": "pairing drink green-cardamom",
    "hot-drink": "pairing drink green-cardamom --style hot",
    "sparkling": "pairing drink green-cardamom --style sparkling",
    "milk": "pairing drink green-cardamom --style milk",
    "steamed": "pairing drink green-cardamom --style milk",
    "cold-brew": "pairing drink green-cardamom --style cold-brew",
}


def situations_of(
    catalog: Catalog,
    portions: Sequence[Portion],
    methods: Collection[str] = (),
    drink_style: str = "",
    milk: str = "",
) -> frozenset[str]:
    """Situations of a formula or a drink, for :func:`process_cautions`.

    Parameters
    ----------
    catalog : Catalog
    portions : sequence of Portion
        Empty for a drink of a known syrup.
    methods : collection of str
        ``hot-steep``, ``simmer``, ``cold-steep``, ``maceration``, ``stir-in``.
    drink_style : str
        ``""`` for a formula; else a style of :class:`pairing.glass.drink.DrinkSpec`.
    milk : str
        Any milk in the drink; cautions of steaming go with the style ``milk``.

    Returns
    -------
    frozenset of str
        Keys of ``SITUATIONS``.
    """
    out = {m for m in methods if m in SITUATIONS}
    if portions:
        out |= {"formula", "bottle", "store"}
    if any(p.kind == "citrus" for p in portions):
        out.add("citrus")
    if any(p.kind == "citrus" and p.form in ("slice", "juice", "whole") for p in portions):
        out.add("fruit-syrup")
    if any(p.form in ("ground", "cracked") for p in portions):
        out.add("ground")
    dosed = ("limit", "caution", "stop")
    if any(
        h.topic == "dose" and h.severity in dosed
        for p in portions
        for h in hazards_for(catalog, p.ingredient_id, p.form, p.kind)
    ):
        out.add("potent")
    if drink_style:
        out |= {"drink", drink_style if drink_style in SITUATIONS else f"{drink_style}-drink"}
    if milk:
        out |= {"milk", "steamed"} if drink_style == "milk" else {"milk"}
    return frozenset(out & set(SITUATIONS))


def process_cautions(catalog: Catalog, situations: Collection[str]) -> tuple[ProcessCaution, ...]:
    """Cautions of making, keeping and serving.

    Parameters
    ----------
    catalog : Catalog
    situations : collection of str
        Keys of ``SITUATIONS``, usually from :func:`situations_of`.

    Returns
    -------
    tuple of ProcessCaution
        In the order of the table.

    Raises
    ------
    PairingError
        For an unknown situation.
    """
    unknown = set(situations) - set(SITUATIONS)
    if unknown:
        raise PairingError(
            f"unknown situation {sorted(unknown)[0]!r}; one of {', '.join(SITUATIONS)}"
        )
    return tuple(r for r in catalog.safety.process if set(r.situations) & set(situations))


def commands_for(catalog: Catalog, row_id: str) -> tuple[str, ...]:
    """Command lines that print a hazard or a process caution.

    Parameters
    ----------
    catalog : Catalog
    row_id : str
        Id of the hazard or caution.

    Returns
    -------
    tuple of str
        One at least.

    Raises
    ------
    PairingError
        When no such row exists.
    """
    t = catalog.safety
    for h in t.hazards:
        if h.hazard_id == row_id:
            return (f"pairing show {h.ask}",)
    for c in t.process:
        if c.caution_id == row_id:
            return tuple(dict.fromkeys(SITUATIONS[s] for s in c.situations))
    raise PairingError(f"no hazard or process caution {row_id!r}; see hazards.csv")
