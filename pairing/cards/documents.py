"""From a result to its document and its markup: what ``to_dict()`` and a notebook show.

A result that a :class:`pairing.lab.Lab` gave knows the bar it came from; one made without a Lab
is read against the shipped catalogue.
"""

from __future__ import annotations

from functools import singledispatch
from typing import Any

from pairing.affinity.search import Blend
from pairing.affinity.verdict import Check
from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.serve import SYRUP_G
from pairing.bar.pantry import Pantry
from pairing.cards import bottle, vocabulary
from pairing.cards import check as check_card
from pairing.cards import drink as drink_card
from pairing.cards import formula as formula_card
from pairing.cards import html as markup
from pairing.cards import ratio as ratio_card
from pairing.cards.label import Label
from pairing.cards.pictures import pictures_of
from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.cards.suggest import cautions, watch
from pairing.cards.svg import STYLE, THEME
from pairing.errors import PairingError
from pairing.evidence.catalog import load
from pairing.glass.pour import Poured
from pairing.syrup.balance import Batch
from pairing.syrup.formula import Formula

__all__ = ["document", "html", "pictures", "report_of"]


@singledispatch
def report_of(value: Any, pantry: Pantry, cup: CoffeeBase | None) -> Report:
    """The card of a result.

    Parameters
    ----------
    value : result
    pantry : Pantry
    cup : CoffeeBase or None

    Returns
    -------
    Report

    Raises
    ------
    PairingError
        For a value that has no document.
    """
    raise PairingError(f"a {type(value).__name__} has no document")


@report_of.register
def _(value: Formula, pantry: Pantry, cup: CoffeeBase | None) -> Report:
    return formula_card.report(pantry, value, value.findings, False)


@report_of.register
def _(value: Poured, pantry: Pantry, cup: CoffeeBase | None) -> Report:
    return drink_card.report(pantry.catalog, value, pantry=pantry)


@report_of.register
def _(value: Label, pantry: Pantry, cup: CoffeeBase | None) -> Report:
    if value.made is None:
        raise PairingError("draft the label of a formula, with a Lab or label_for")
    return bottle.report(pantry.catalog, value.made, value, value.made_on)


@report_of.register
def _(value: Batch, pantry: Pantry, cup: CoffeeBase | None) -> Report:
    catalog = pantry.catalog
    rows = tuple(catalog.sweetener(name) for name, _ in value.sweeteners)
    forms = tuple(catalog.forms[name] for name, _ in value.portions if name in catalog.forms)
    drink_g = getattr(value, "_serving_g", SYRUP_G)
    asked = ratio_card.Calculation(value, rows, forms, drink_g, None, ())
    return ratio_card.report(pantry, asked, False)


@report_of.register
def _(value: Check, pantry: Pantry, cup: CoffeeBase | None) -> Report:
    if cup is None:
        raise PairingError("ask a Lab (pairing.open) to check it, so that its coffee is known")
    return check_card.check_report(pantry.catalog, cup, value)


@report_of.register
def _(value: CoffeeBase, pantry: Pantry, cup: CoffeeBase | None) -> Report:
    said = vocabulary.coffee(value)
    table = Table("", ["what", "value"], [[k, v] for k, v in said.items()])
    return Report(said, [Text(value.coffee.words)], table, "coffee")


@report_of.register
def _(value: Blend, pantry: Pantry, cup: CoffeeBase | None) -> Report:
    catalog = pantry.catalog
    care = watch(catalog, value.form_ids)
    held = [vocabulary.ingredient(catalog, catalog.forms[f]) for f in value.form_ids]
    parts = {k: getattr(value, k) for k in ("score", "practice", "this_coffee", "together")}
    table = Table(
        "", ["part", "points"], [[k.replace("_", " "), number(v)] for k, v in parts.items()]
    )
    names = " + ".join(str(i["name"]).split(",")[0] for i in held)
    open_ = vocabulary.not_assessed(catalog, [catalog.forms[f] for f in value.form_ids])
    care = [c for c in care if not c.startswith("ALLERGEN: NOT KNOWN")]  # said in full before it
    said = {
        "not_known": open_,
        "ingredients": held,
        **parts,
        "model": vocabulary.model_name(catalog),
        "doubt": value.doubt,
        "confidence": value.confidence,
        "place": value.place,
        "last_place": value.last,
        "cautions": cautions(care),
    }
    blocks: list[Text | Bullets | Table] = [Text(c) for c in (*open_, *care)]
    blocks += [Text(f"{names} ({value.confidence})"), table]
    return Report(said, blocks, table, "blend")


def _card(value: Any) -> Report:
    pantry, cup = getattr(value, "_home", (None, None))
    return report_of(value, pantry if pantry is not None else Pantry(load()), cup)


def document(value: Any) -> dict[str, Any]:
    """The document of a result, as its command prints it with ``--format json``.

    Parameters
    ----------
    value : result
        Formula, Poured, Check, Blend, Label, Batch or CoffeeBase; a batch counts drinks of 20 g
        where :meth:`pairing.Lab.ratio` was given no other.

    Returns
    -------
    dict

    Raises
    ------
    PairingError
        For a value that has none, and a check whose coffee is not known.
    """
    return _card(value).whole


def pictures(value: Any) -> dict[str, str]:
    """The pictures of a result.

    Parameters
    ----------
    value : result
        As for :func:`document`.

    Returns
    -------
    dict of str to str
        SVG by name, such as ``glass``; empty where there is nothing to draw.

    Raises
    ------
    PairingError
        As :func:`document`.
    """
    return pictures_of(document(value))


def html(value: Any) -> str:
    """A result for a notebook, stops first, with its pictures.

    Parameters
    ----------
    value : result

    Returns
    -------
    str
        Markup, every text of it escaped.
    """
    return f"<style>{THEME}{STYLE}</style><div>{markup.report_html(_card(value))}</div>"
