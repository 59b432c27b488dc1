"""``pairing drink``: the syrup in a glass, with coffee, ice, water, bubbles or milk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from pairing.aroma.serve import style_of
from pairing.bar.pantry import Pantry
from pairing.cards.drink import report
from pairing.cards.report import Report
from pairing.cli.make import batch_options, build, foraged_ids
from pairing.cli.options import (
    Amount,
    F,
    answer,
    coffee_of,
    coffee_option,
    coffee_options,
    format_option,
    milk_goes_in,
    open_catalog,
    pantry_option,
    picture_option,
)
from pairing.cli.saved import saved_options
from pairing.cli.shell import INGREDIENTS
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.glass.asked_for import asked_for, stands_alone
from pairing.glass.pour import PLAIN_BRIX, VERSIONS, Poured, pour
from pairing.syrup.formula import Formula

__all__ = ["drink", "drink_report", "glass_options", "pour_as", "usual_serving"]


def wishes(texts: Sequence[str]) -> dict[str, str] | None:
    """``NAME`` or ``NAME=AMOUNT`` options as a dictionary; None where nothing is added."""
    out: dict[str, str] = {}
    for text in texts:
        name, equals, amount = text.partition("=")
        if not name.strip() or (equals and not amount.strip()):
            raise PairingError(f"--add {text!r:.60} should look like vodka=40ml or cold-foam")
        if name.strip() in out:
            raise PairingError(f"--add names {name.strip()!r} twice")
        out[name.strip()] = amount.strip()
    return out or None


def glass_options(function: F) -> F:
    """What stands in the glass beside the syrup: for the drink and for its card."""
    for decorate in (
        click.option("--filler-g", type=Amount(0, 1000, open_low=False),
                     help="Water, sparkling water or milk, g; fills the glass when not said."),
        click.option("--without-coffee", is_flag=True,
                     help="No coffee goes in: a chocolate, a spiced milk, a soda."),
        click.option("--coffee-g", type=Amount(1, 1000, open_low=False),
                     help="Coffee, g, where not one brew."),
        click.option("--ice-g", type=Amount(0, 1000, open_low=False), help="Ice, g."),
        click.option("--as", "versions", multiple=True, type=click.Choice(VERSIONS),
                     help="A version of the drink; repeat."),
        click.option("--add", "adds", multiple=True, metavar="NAME=AMOUNT",
                     help="What else goes in or on, `pairing list extras` or a plant: vodka=40ml, "
                     '"bitters=2 dashes", cold-foam, nutmeg=0.1g, "orange peel=1 strip", '
                     '"cardamom in milk=0.3g".'),
        click.option("--mixer", metavar="NAME", help="What fizzes, see `pairing list mixers`."),
        click.option("--glass", "glass_name", metavar="NAME",
                     help="A glass of `pairing list glasses`, or its size, such as 12oz or 350ml."),
    ):  # fmt: skip
        function = decorate(function)
    return function


@click.command()
@click.argument("ingredients", nargs=-1, shell_complete=INGREDIENTS)
@coffee_options
@coffee_option
@batch_options
@glass_options
@click.option("--price", type=Amount(0, 1e6), help="What a guest pays: says the margin over goods.")
@click.option(
    "--syrup-brix",
    type=Amount(0, 80),
    default=PLAIN_BRIX,
    show_default=True,
    help="Strength of a plain syrup, when no ingredients are named.",
)
@click.option("--for-brix", type=Amount(0, 40), help="How much syrup for this °Bx in the glass?")
@click.option("--bottle-ml", type=Amount(0, 1e5), help="How many drinks from this bottle?")
@click.option("--why", is_flag=True, help="Print every figure of the drink.")
@click.option("--cautions", "all_cautions", is_flag=True, help="Print every caution.")
@format_option()
@picture_option
@saved_options
@pantry_option
def drink(how: str, pantry: Path | None, data_folder: Path | None, **options: Any) -> None:
    """Build the drink: what fits, how cold, how sweet, how to pour it, what to change.

    \b
    Examples:
      pairing drink mandarin green-cardamom black-pepper --origin burundi --style iced
      pairing drink --style sparkling --glass 12oz --serving-g 20
      pairing drink lemon-peel clove --brew cold-brew --style cold-brew --glass 16oz
      pairing drink --style iced --for-brix 8 --bottle-ml 700
      pairing drink lemon-peel --style tonic
      pairing drink vanilla --style cappuccino --milk oat
      pairing drink --style espresso-cocktail --add vodka=40ml --add coffee-liqueur=20ml
      pairing drink mandarin --add cold-foam --add "bitters=2 dashes" --as half-sweet
      pairing drink "hot chocolate"
      pairing drink chai --style latte --without-coffee

    \b
    A drink that must not be served begins and ends with STOP and exits with 3.
    """
    answer(drink_report(open_catalog(pantry, data_folder), options), how)


def _by_name(options: dict[str, Any]) -> tuple[dict[str, Any], str]:
    """The options of a drink asked for by its name, which holds no coffee, and what was read."""
    names = options["ingredients"]
    found = asked_for(names[0]) if len(names) == 1 else None
    if found is None:
        return options, ""
    given = click.get_current_context().get_parameter_source("style")
    style = found.style if given is ParameterSource.DEFAULT else options["style"]
    adds = (*found.adds, *options["adds"])
    if style != "mocha" and found.style == "mocha":  # the powder of the hot one, in another style
        adds = ("drinking-chocolate", *adds)
    read = {"ingredients": found.ingredients, "style": style, "adds": adds, "without_coffee": True}
    what = " ".join((*found.ingredients, "--style", style, "--without-coffee"))
    return {**options, **read}, f"read as: pairing drink {what}"


def drink_report(opened: Pantry, options: dict[str, Any]) -> Report:
    """The card of the drink that the options of :func:`drink` ask for."""
    catalog = opened.catalog
    options, guessed = _by_name(options)
    options = usual_serving(catalog, options)
    named = options["ingredients"]
    made = build(opened, named, options) if named else None
    poured = pour_as(
        catalog,
        made,
        options,
        syrup_g=made.glass.syrup_g if made else options["serving_g"],
        plain_brix=options["syrup_brix"],
        for_brix=options["for_brix"],
    )
    alone = options["without_coffee"]
    if guessed:
        poured = replace(poured, told=(*poured.told, guessed))
    elif made and not alone and stands_alone(catalog, tuple(d.form for d in made.doses)):
        told = "it is drunk without coffee too: --without-coffee"
        poured = replace(poured, told=(*poured.told, told))
    return report(
        catalog,
        poured,
        bottle_ml=options["bottle_ml"],
        pantry=opened,
        price=options["price"],
        why=options["why"],
        all_cautions=options["all_cautions"],
    )


def usual_serving(catalog: Catalog, options: dict[str, Any]) -> dict[str, Any]:
    """The options with the syrup that the style usually takes, where none is said."""
    given = click.get_current_context().get_parameter_source("serving_g")
    if given is not ParameterSource.DEFAULT:
        return options
    usual = style_of(catalog, options["style"]).syrup_g or options["serving_g"]
    return {**options, "serving_g": usual}


def pour_as(catalog: Catalog, made: Formula | None, options: dict[str, Any], **more: Any) -> Poured:
    """The drink that the options of :func:`glass_options` ask for."""
    if "vegan" in options["versions"] and any("honey" in s for s in options["sweeteners"]):
        raise PairingError("honey is not vegan: sweeten with sugar, agave or maple syrup")
    milk_goes_in(catalog, options["style"], options["milk"])
    alone = options["without_coffee"]
    if alone and options["coffee_g"] is not None:
        raise PairingError("--coffee-g and --without-coffee contradict each other")
    return pour(
        catalog,
        made.base if made else coffee_of(catalog, options),
        made,
        style=options["style"],
        glass=options["glass_name"],
        ice_g=options["ice_g"],
        coffee_g=0.0 if alone else options["coffee_g"],
        filler_g=options["filler_g"],
        milk=options["milk"],
        mixer=options["mixer"],
        add=wishes(options["adds"]),
        versions=options["versions"],
        foraged=foraged_ids(catalog, options),
        alcohol_percent=options["alcohol"] or 0.0,
        **more,
    )
