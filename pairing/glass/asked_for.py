"""Drinks that guests ask for by name and that hold no coffee: what goes in, and how it is built."""

from __future__ import annotations

from dataclasses import dataclass

from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.spelling import normalise

__all__ = ["AskedFor", "asked_for", "stands_alone"]

ALONE = ("tea", "flower")  # kinds that people drink by themselves
ALONE_TOO = ("cacao-nib", "cocoa-powder", "cascara", "dark-chocolate", "milk-chocolate")


@dataclass(frozen=True, slots=True)
class AskedFor:
    """A drink by its name.

    Attributes
    ----------
    ingredients : tuple of str
        Plants of its syrup; none for a plain one.
    style : str
        A row of the styles table.
    adds : tuple of str
        What else goes in.
    """

    ingredients: tuple[str, ...]
    style: str
    adds: tuple[str, ...] = ()


# common practice, no source
NAMED: dict[str, AskedFor] = {
    "hot-chocolate": AskedFor((), "mocha"),
    "hot-cocoa": AskedFor((), "mocha"),
    "drinking-chocolate": AskedFor((), "mocha"),
    "iced-chocolate": AskedFor((), "iced-milk", ("drinking-chocolate",)),
    "chai-latte": AskedFor(("chai",), "latte"),
    "iced-chai-latte": AskedFor(("chai",), "iced-milk"),
    "iced-chai": AskedFor(("chai",), "iced-milk"),
    "cascara-soda": AskedFor(("cascara",), "sparkling"),
    "hibiscus-soda": AskedFor(("hibiscus",), "sparkling"),
    "ginger-soda": AskedFor(("ginger-fresh",), "sparkling"),
    "golden-milk": AskedFor(("turmeric", "ginger-dried", "ceylon-cinnamon"), "latte"),
    "turmeric-latte": AskedFor(("turmeric", "ginger-dried", "ceylon-cinnamon"), "latte"),
    "iced-tea": AskedFor(("black-tea",), "iced"),
    "lemonade": AskedFor(("lemon-juice",), "sparkling"),
    "vanilla-steamer": AskedFor(("vanilla-bean",), "latte"),
}


def asked_for(name: str) -> AskedFor | None:
    """Return the drink of a name; None where it is an ingredient or unknown.

    Parameters
    ----------
    name : str
        Such as ``hot chocolate``.

    Returns
    -------
    AskedFor or None
    """
    return NAMED.get(normalise(name))


def stands_alone(catalog: Catalog, forms: tuple[Form, ...]) -> bool:
    """Whether guests drink such a syrup without coffee too: tea, cocoa, cascara, chai.

    Parameters
    ----------
    catalog : Catalog
    forms : tuple of Form

    Returns
    -------
    bool
    """
    return any(catalog.kind(f) in ALONE or f.ingredient_id in ALONE_TOO for f in forms)
