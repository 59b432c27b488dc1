"""``pairing formula``: from a blend to what to weigh and do, and what comes out."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Any

import click

from pairing.aroma.serve import SYRUP_G
from pairing.bar.pantry import Pantry
from pairing.cards.formula import report
from pairing.cards.report import Report
from pairing.cli.options import (
    Amount,
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
from pairing.safety import amounts
from pairing.syrup import formula as formulas
from pairing.syrup.asked import SMALLEST_SERVING_G
from pairing.syrup.caramel import CARAMELS
from pairing.syrup.lighter import as_sweet_as_sugar
from pairing.syrup.orders import orders
from pairing.syrup.technique import TECHNIQUES

__all__ = ["formula", "formula_report"]


def batch_options(function: Any) -> Any:
    """Options that say how much to make and how strong."""
    for decorate in (
        click.option("--sweetener", "sweeteners", multiple=True, metavar="NAME[=SHARE]",
                     help="What to sweeten with (white cane sugar when not said); repeat with "
                     "shares for less sugar: sugar=70, erythritol=30."),
        click.option("--as-sweet", is_flag=True,
                     help="As much syrup in a drink as makes it as sweet as white sugar would."),
        click.option("--serving-g", default=SYRUP_G, show_default=True,
                     type=Amount(SMALLEST_SERVING_G, 500, open_low=False),
                     help="Grams of syrup in a drink."),
        click.option("--style", metavar="NAME", default="iced",
                     show_default=True, help="The drink it is for, see `pairing list styles`."),
        click.option("--milk", metavar="NAME", default="dairy", show_default=True,
                     help="Which milk, in a milk drink, see `pairing list milks`."),
        click.option("--ph", type=Amount(0, 14), help="pH of the finished syrup by your meter."),
        click.option("--aw", type=Amount(0, 1), help="Water activity by your meter."),
        click.option("--alcohol", type=Amount(0, 100), metavar="%",
                     help="Alcohol of the drink, % by volume."),
        click.option("--extract", is_flag=True,
                     help="An extract or flavouring goes in too: herbs and spices lose their "
                     "exemption."),
        click.option("--sulphites", type=click.Choice(("yes", "no", "not-known")),
                     default="not-known", show_default=True,
                     help="Whether dried fruit or molasses is sulphured, by its specification."),
        click.option("--foraged", multiple=True, metavar="NAME",
                     help="Gathered, or bought without a named species: look-alikes then stop it."),
        click.option("--dose", "doses", multiple=True, metavar="NAME=22g/kg",
                     help="Set a dose: 22g/kg of finished syrup, 180g in the pot, 2 sticks, "
                     "1 tbsp."),
        click.option("--technique", "techniques", multiple=True, metavar="NAME=HOW",
                     help=f"How it is infused: {', '.join(TECHNIQUES)}; of sugar: "
                     f"{', '.join(CARAMELS)}."),
        click.option("--minutes", "minutes", multiple=True, metavar="NAME=MINUTES",
                     help="How long it is infused."),
        click.option("--altitude-m", type=Amount(-430, 5000, open_low=False), default=0.0,
                     help="Where you cook, metres above the sea: it boils cooler there."),
        click.option("--level", "levels", multiple=True, metavar="NAME=LEVEL",
                     help="How loud: accent, balanced or lead."),
        click.option("--brix", type=Amount(0, 90), help="Finished °Bx, in place of a strength."),
        click.option("--by-volume", is_flag=True, help="The strength is by volume, not weight."),
        click.option("--strength", metavar="2:1", help="Sugar : added water by weight."),
        click.option("--sugar-g", type=Amount(), help="How much sugar there is to use up."),
        click.option("--servings", type=Amount(0, 1e6), help="How many drinks it is for."),
        click.option("--yield-ml", type=Amount(), help="Wanted syrup, ml."),
        click.option("--yield-g", type=Amount(), help="Wanted syrup, g (500 when not said)."),
    ):  # fmt: skip
        function = decorate(function)
    return function


def pairs(texts: Sequence[str], option: str, example: str) -> dict[str, str]:
    """``NAME=VALUE`` options as a dictionary."""
    out: dict[str, str] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not (equals and name.strip() and value.strip()):
            raise PairingError(f"{option} {text!r} should look like {example}")
        if name.strip() in out:
            raise PairingError(f"{option} names {name.strip()!r} twice")
        out[name.strip()] = value.strip()
    return out


def numbers(texts: Sequence[str], option: str, example: str, high: float) -> dict[str, float]:
    """``NAME=NUMBER`` options as a dictionary; numbers above 0 and at most ``high``."""
    out = {}
    for name, value in pairs(texts, option, example).items():
        try:
            amount = float(value)
        except ValueError:
            raise PairingError(f"{option} {name}={value}: {value!r} is not a number") from None
        if not 0 < amount <= high:
            raise PairingError(
                f"{option} {name}={value}: give more than 0 and at most {high:,.10g}"
            )
        out[name] = amount
    return out


def sweetening(texts: Sequence[str]) -> str | dict[str, float]:
    """One sweetener, or several with their shares."""
    if len(texts) <= 1 and "=" not in "".join(texts):
        return texts[0] if texts else "white-cane-sugar"
    return numbers(texts, "--sweetener", "erythritol=30, each with its share of a blend", 1e6)


def build(pantry: Pantry, names: Sequence[str], options: dict[str, Any]) -> formulas.Formula:
    """The formula that the options ask for."""
    wanted = [k for k in ("yield_g", "yield_ml", "servings", "sugar_g") if options[k] is not None]
    if len(wanted) > 1:
        said = " and ".join("--" + k.replace("_", "-") for k in wanted)
        raise PairingError(f"{said} say the amount twice; give one of them")
    catalog = pantry.catalog
    milk_goes_in(catalog, options["style"], options["milk"])
    make_at = partial(
        formulas.make,
        catalog,
        names,
        coffee_of(catalog, options),
        style=options["style"],
        vegan=options.get("vegan", False),
        strength=options["strength"],
        by_volume=options["by_volume"],
        brix=options["brix"],
        yield_g=options["yield_g"],
        yield_ml=options["yield_ml"],
        servings=options["servings"],
        sugar_g=options["sugar_g"],
        levels=pairs(options["levels"], "--level", "green-cardamom=accent"),
        doses=pairs(options["doses"], "--dose", "green-cardamom=5g/kg"),
        techniques=pairs(options["techniques"], "--technique", "jasmine=water-first"),
        minutes=numbers(options["minutes"], "--minutes", "green-cardamom=20", 10_080),
        altitude_m=options["altitude_m"],
        milk=options["milk"],
        foraged=foraged_ids(catalog, options),
        said=amounts.Said(
            options["alcohol"] or 0.0,
            options["extract"],
            {"no": True, "yes": False}.get(options["sulphites"]),
        ),
        measured_ph=options["ph"],
        measured_aw=options["aw"],
        own_pot=_own_pot() if options.get("own_pot") else None,
    )
    sweetener = sweetening(options["sweeteners"])
    if options.get("as_sweet"):
        return as_sweet_as_sugar(
            lambda sweet, grams: make_at(sweetener=sweet, serving_g=grams),
            sweetener,
            options["serving_g"],
        )
    return make_at(sweetener=sweetener, serving_g=options["serving_g"])


def _own_pot() -> Any:
    """What the journal has learned of this bar's pot."""
    from pairing.bar.journal import open_journal
    from pairing.bar.journal_learned import learned, own_pot

    with open_journal(write=False) as book:
        return own_pot(learned(book))


@click.command()
@click.argument("ingredients", nargs=-1, required=True, shell_complete=INGREDIENTS)
@coffee_options
@coffee_option
@batch_options
@click.option("--vegan", is_flag=True, help="Refuse what comes from animals.")
@click.option("--why", is_flag=True, help="Say how the doses were set and why it keeps.")
@click.option("--sources", is_flag=True, help="Print the sources of its limits and cautions.")
@click.option(
    "--cautions", "all_cautions", is_flag=True, help="Print every caution, not the first."
)
@click.option(
    "--own-pot", is_flag=True, help="Count with what your journal learned of your own pot."
)
@click.option(
    "--site", "sites", multiple=True, metavar="NAME=DRINKS", help="What a site orders; repeat."
)
@click.option("--spare", type=Amount(0, 100, open_low=False), help="Extra on top of orders, %.")
@click.option(
    "--household", is_flag=True, help="Cups, spoons, pieces, °F and fl oz beside the grams."
)
@format_option()
@picture_option
@saved_options
@pantry_option
def formula(how: str, pantry: Path | None, data_folder: Path | None, **options: Any) -> None:
    """A trial syrup formula: what to weigh, in what order, for how long, what comes out.

    \b
    Examples:
      pairing formula mandarin green-cardamom black-pepper --origin burundi
      pairing formula "orange peel" star-anise --origin brazil --servings 24
      pairing formula lemon-peel ginger-fresh --brew cold-brew --style cold-brew --sugar-g 250
      pairing formula mandarin clove --level clove=accent --strength 1:1 --format json
      pairing formula mandarin cassia --sugar-g 350 --dose mandarin=180g --dose "cassia=1 stick"
      pairing formula ginger-fresh jasmine --technique jasmine=water-first --minutes jasmine=10
      pairing formula mandarin clove --site harbour=400 --site station=250 --spare 5

    \b
    A formula that must not be served begins and ends with STOP and exits with 3.
    """
    answer(formula_report(open_catalog(pantry, data_folder), options), how)


def formula_report(opened: Pantry, options: dict[str, Any]) -> Report:
    """The card of the formula that the options of :func:`formula` ask for."""
    sites, spare = numbers(options["sites"], "--site", "harbour=120", 1e6), options["spare"] or 0.0
    if sites:
        if any(options[k] is not None for k in ("yield_g", "yield_ml", "servings", "sugar_g")):
            raise PairingError("orders set the batch; leave the other amount out, or use --spare")
        options = {**options, "yield_g": orders(sites, options["serving_g"], spare).yield_g}
    elif spare:
        raise PairingError("--spare goes on top of orders; give them with --site NAME=DRINKS")
    made = build(opened, options["ingredients"], options)
    return report(
        opened,
        made,
        made.findings,
        options["all_cautions"],
        sites,
        spare,
        why=options["why"],
        sources=options["sources"],
        household=options["household"],
    )


def foraged_ids(catalog: Catalog, options: dict[str, Any]) -> list[str]:
    """Ingredients gathered, or bought without a named species."""
    return [catalog.form(n).ingredient_id for n in options["foraged"]]
