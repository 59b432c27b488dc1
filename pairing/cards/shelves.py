"""The bar's own pantry: what stands on the shelf, what it lacks, whose law it is under."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pairing.affinity.reasons import allergen_words, short
from pairing.affinity.search import Limits, shelves
from pairing.aroma.coffee import CoffeeBase, brewed, plain_coffee
from pairing.bar.pantry import Pantry
from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.safety.plants import called, identities, identity

__all__ = ["pantry_report", "told"]

EACH_SHELF = 6  # of the shelves of a coffee, that are looked for in the stock
OWN = ("ingredients", "forms", "coffee_origins", "sweeteners", "milks", "mixers", "styles",
       "glassware")  # fmt: skip
MARKETS = {"eu": "European Union", "uk": "United Kingdom", "us": "United States"}


def pantry_report(pantry: Pantry) -> Report:
    """A pantry in words: stock and prices, own rows, and what its coffees ask for and it lacks.

    Parameters
    ----------
    pantry : Pantry

    Returns
    -------
    Report
    """
    catalog = pantry.catalog
    items = dict.fromkeys([*pantry.stock_g, *pantry.price_per_kg])
    stock = [
        {
            "item": item,
            "name": _name(pantry, item),
            "grams": pantry.stock_g.get(item),
            "price_per_kg": pantry.price_per_kg.get(item),
        }
        for item in items
    ]
    coffees = [
        (menu.name, said, brewed(catalog, **said)) for menu in pantry.menus.values()
        for said in menu.coffees
    ] or [("", {}, plain_coffee(catalog))]  # fmt: skip
    wanted = [_wanted(pantry, *coffee) for coffee in coffees]
    own = {name: len(rows) for name in OWN if (rows := catalog.overlay.get(name))}
    brought = [i for i, known in identities(catalog).items() if known.own]
    unstated = sorted(called(catalog, i) for i in brought if i not in catalog.safety.stated)
    unassessed = sorted(called(catalog, i) for i in brought if not identity(catalog, i).assessed)
    care = []
    if unassessed:
        care.append(f"NOT ASSESSED here, which is not safe: {', '.join(unassessed)}.")
    if unstated:
        care.append(
            f"Allergens not stated, so that nothing with them is cleared: {', '.join(unstated)}."
        )
    market = catalog.market or ""
    document = {
        "not_assessed": unassessed,
        "allergens_not_stated": unstated,
        "name": pantry.name or None,
        "market": market or None,
        "currency": pantry.currency or None,
        "stock": stock,
        "own_rows": [{"table": k, "rows": v} for k, v in own.items()],
        "coffees": wanted,
    }
    law = MARKETS.get(market, "not said, the strictest of EU, UK and US decides")
    things = f"{len(stock)} thing{'' if len(stock) == 1 else 's'}"
    head = f"{pantry.name or 'Pantry'}: {things} counted or priced; law: {law}."
    if not stock and not own:
        head = f"No pantry is loaded: nothing is counted as in stock; law: {law}."
    blocks: list[Text | Bullets | Table] = [*map(Text, care), Text(head)]
    money = f"price a kg, {pantry.currency}" if pantry.currency else "price a kg"
    table = Table(
        "On the shelf",
        ["item", "g", money],
        [
            [s["name"], _amount(s["grams"], "not counted"), _amount(s["price_per_kg"], "-")]
            for s in stock
        ],
    )
    blocks.append(table)
    for w in wanted:
        menu = f"{w['menu']}: " if w["menu"] else ""
        blocks.append(
            Bullets(
                f"{menu}{w['coffee']}",
                [
                    f"goes with it and is here: {_listed(w['here'])}",
                    f"goes with it, not counted here: {_listed(w['gaps'])}",
                ],
            )
        )
    if own:
        blocks.append(Bullets("Own rows", [f"{k.replace('_', ' ')}: {v}" for k, v in own.items()]))
    data = Table(
        "",
        ["item", "grams", "price_per_kg"],
        [
            *([line, "", ""] for line in care),
            *([s["item"], s["grams"], s["price_per_kg"]] for s in stock),
        ],
    )
    return Report(document, blocks, data, "pantry")


def _amount(value: Any, without: str) -> str:
    return without if value is None else number(float(value), 4)


def _listed(found: Sequence[Mapping[str, Any]]) -> str:
    return ", ".join(map(told, found)) or "nothing"


def told(record: Mapping[str, Any]) -> str:
    """An ingredient of a shelf with its allergens.

    Parameters
    ----------
    record : mapping
        Of ``here`` or ``gaps``.

    Returns
    -------
    str
    """
    if not record["allergens"]:
        return str(record["name"])
    words = ", ".join(record["allergens"])
    return f"{record['name']} ({'' if words.startswith('NOT KNOWN') else 'ALLERGEN: '}{words})"


def _wanted(pantry: Pantry, menu: str, said: Mapping[str, str], cup: CoffeeBase) -> dict[str, Any]:
    """What goes with a coffee, parted into what is counted here and what is not."""
    catalog = pantry.catalog
    counted = {
        catalog.forms[item].ingredient_id
        for item, grams in pantry.stock_g.items()
        if grams > 0 and item in catalog.forms
    }
    here = _best(pantry, cup, Limits(counted)) if counted else []
    gaps = [
        f
        for f in _best(pantry, cup, Limits())
        if catalog.forms[f["id"]].ingredient_id not in counted
    ]
    return {
        "menu": menu or None,
        "coffee": cup.coffee.words,
        "said": dict(said),
        "here": here,
        "gaps": gaps,
    }


def _best(pantry: Pantry, cup: CoffeeBase, limits: Limits) -> list[dict[str, Any]]:
    """The first of the shelves of a coffee, within limits."""
    found = shelves(pantry.catalog, [cup], "", limits)
    forms = dict.fromkeys(
        s.form_id for shelf in (found.this, found.most) for s in shelf[:EACH_SHELF]
    )
    catalog = pantry.catalog
    return [
        {"id": f, "name": short(catalog.forms[f]), "allergens": allergen_words(catalog, [f])}
        for f in forms
    ]


def _name(pantry: Pantry, item: str) -> str:
    catalog = pantry.catalog
    if item in catalog.forms:
        return catalog.forms[item].label
    for table in (catalog.sweeteners, catalog.milks, catalog.mixers, catalog.powders):
        if item in table:
            return str(table[item].name)
    return item
