"""The drink that a dose is meant for."""

from __future__ import annotations

from typing import NamedTuple

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Brew, Milk, Mixer, Style

__all__ = ["COFFEE", "SYRUP_G", "Serve", "milk_of", "mixer_of", "serve_for", "style_of"]

COFFEE = "coffee"  # ground coffee, as prices, stock and needs call it
READ_AS = {"cocktail": "espresso-cocktail", "dessert": "affogato"}  # words of the practice table
SYRUP_G = 20.0  # in a 12 fl oz iced drink: common practice, no source


class Serve(NamedTuple):
    """The drink a dose is meant for.

    Attributes
    ----------
    style : str
        A row of the styles table.
    syrup_g, drink_ml, temperature_c : float
        Syrup in it, its volume as served without ice, and its temperature.
    fat_percent : float
        Milk fat in it [% w/w]: it holds aroma back.
    """

    style: str
    syrup_g: float
    drink_ml: float
    temperature_c: float
    fat_percent: float = 0.0


def style_of(catalog: Catalog, name: str) -> Style:
    """Return a row of the styles table.

    Parameters
    ----------
    catalog : Catalog
    name : str
        Such as ``"iced"``, in small or capital letters.

    Returns
    -------
    Style

    Raises
    ------
    PairingError
        For an unknown style, with those known.
    """
    key = name.strip().casefold().replace(" ", "-")
    found = catalog.styles.get(READ_AS.get(key, key))
    if found is None:
        raise PairingError(f"unknown drink {name!r:.40}; one of {', '.join(catalog.styles)}")
    return found


def serve_for(
    catalog: Catalog, style: str, brew: Brew, syrup_g: float = SYRUP_G, milk: str = "dairy"
) -> Serve:
    """Return the usual drink of a style.

    Parameters
    ----------
    catalog : Catalog
    style : str
        A row of the styles table.
    brew : Brew
        The coffee in it; a brew larger than the drink makes it larger.
    syrup_g : float
        Syrup in it [g].
    milk : str
        A row of the milks table; counts in milk drinks.

    Returns
    -------
    Serve

    Raises
    ------
    PairingError
        For an unknown style or milk.
    """
    row = style_of(catalog, style)
    volume = max(row.volume_ml, brew.volume_ml + syrup_g)
    fat = 0.0
    if row.has_milk:
        share = max(0.0, volume - brew.volume_ml - syrup_g) / volume
        fat = milk_of(catalog, milk).fat_percent * share
    return Serve(row.style_id, syrup_g, volume, row.temperature_c, fat)


def milk_of(catalog: Catalog, name: str) -> Milk:
    """Return a row of the milks table.

    Parameters
    ----------
    catalog : Catalog
    name : str
        Id, name or alias.

    Returns
    -------
    Milk

    Raises
    ------
    PairingError
        For an unknown milk, with those known.
    """
    key = name.strip().casefold()
    for row in catalog.milks.values():
        if key in (row.milk_id, row.name.casefold(), *(a.casefold() for a in row.aliases)):
            return row
    raise PairingError(f"unknown milk {name!r:.40}; one of {', '.join(catalog.milks)}")


def mixer_of(catalog: Catalog, name: str) -> Mixer:
    """Return a row of the mixers table.

    Parameters
    ----------
    catalog : Catalog
    name : str
        Id, name or alias.

    Returns
    -------
    Mixer

    Raises
    ------
    PairingError
        For an unknown mixer, with those known.
    """
    key = name.strip().casefold()
    for row in catalog.mixers.values():
        if key in (row.mixer_id, row.name.casefold(), *(a.casefold() for a in row.aliases)):
            return row
    raise PairingError(f"unknown mixer {name!r:.40}; one of {', '.join(catalog.mixers)}")
