"""``pairing drink``: the syrup in a glass, with coffee, ice, water, bubbles or milk."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from pairing.aroma.coffee import CoffeeBase
from pairing.cards.drink import report
from pairing.cards.report import show
from pairing.cli import MUST_NOT_BE_SERVED
from pairing.cli.make import batch_options, build, findings_of
from pairing.cli.options import (
    Amount,
    coffee_of,
    coffee_option,
    coffee_options,
    format_option,
    open_catalog,
    pantry_option,
)
from pairing.errors import PairingError, quoted
from pairing.evidence.catalog import Catalog
from pairing.glass import drink as drinks
from pairing.safety import amounts
from pairing.safety.assess import assess
from pairing.safety.findings import Finding, has_stop
from pairing.syrup import formula as formulas
from pairing.syrup.composition import Masses

__all__ = ["drink"]

USUAL_GLASS = {  # common practice, no source
    "iced": "highball",
    "sparkling": "highball",
    "cold-brew": "highball",
    "iced-milk": "highball",
    "hot": "mug",
    "milk": "mug",
}
PLAIN_BRIX = 66.7  # a plain 2:1 syrup
ML_PER_OZ = 29.5735  # US fluid ounce, NIST HB 44
SAME_GLASS_ML = 3.0  # a size this near to a listed glass is that glass


@click.command()
@click.argument("ingredients", nargs=-1)
@coffee_options
@coffee_option
@batch_options
@click.option(
    "--glass",
    "glass_name",
    metavar="NAME",
    help="A glass of `pairing list glasses`, or its size, such as 12oz or 350ml.",
)
@click.option("--ice-g", type=Amount(0, 1000, open_low=False), help="Ice, g.")
@click.option(
    "--coffee-g",
    type=Amount(1, 1000, open_low=False),
    help="Coffee, g, where not one brew.",
)
@click.option(
    "--filler-g",
    type=Amount(0, 1000, open_low=False),
    help="Water, sparkling water or milk, g; fills the glass when not said.",
)
@click.option(
    "--syrup-brix",
    type=Amount(0, 80),
    default=PLAIN_BRIX,
    show_default=True,
    help="Strength of a plain syrup, when no ingredients are named.",
)
@click.option("--for-brix", type=Amount(0, 40), help="How much syrup for this °Bx in the glass?")
@click.option("--bottle-ml", type=Amount(0, 1e5), help="How many drinks from this bottle?")
@format_option()
@pantry_option
def drink(
    ingredients: tuple[str, ...],
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
    **options: Any,
) -> None:
    """Build the drink: what fits, how cold, how sweet, how to pour it, what to change.

    \b
    Examples:
      pairing drink mandarin green-cardamom black-pepper --origin burundi --style iced
      pairing drink --style sparkling --glass 12oz --serving-g 20
      pairing drink lemon-peel clove --brew cold-brew --style cold-brew --glass 16oz
      pairing drink --style iced --for-brix 8 --bottle-ml 700

    \b
    A drink that must not be served begins and ends with STOP and exits with 3.
    """
    opened = open_catalog(pantry, data_folder)
    catalog = opened.catalog
    base = coffee_of(catalog, options)
    made = build(opened, ingredients, options) if ingredients else None
    syrup = _syrup(made, options)
    spec = drinks.DrinkSpec(
        style=options["style"],
        syrup=syrup,
        coffee=_coffee(base),
        glass=_glass(catalog, options),
        ice_g=options["ice_g"],
        coffee_g=options["coffee_g"],
        filler_g=options["filler_g"],
        milk=options["milk"],
    )
    built = (
        drinks.syrup_for_brix(spec, options["for_brix"])
        if options["for_brix"] is not None
        else drinks.build(spec)
    )
    share = formulas.spice_share(catalog, made) if made else None
    findings = _findings(catalog, made, built, options)
    card = report(
        catalog,
        base,
        made,
        built,
        share,
        findings,
        milk=options["milk"],
        bottle_ml=options["bottle_ml"],
    )
    show(card, how)
    if has_stop(findings):
        click.get_current_context().exit(MUST_NOT_BE_SERVED)


def _syrup(made: formulas.Formula | None, options: dict[str, Any]) -> drinks.SyrupSpec:
    grams = options["serving_g"]
    if made is not None:
        return drinks.SyrupSpec(grams, made.batch.composition, name="syrup")
    sugar = options["syrup_brix"]
    plain = Masses(water=100.0 - sugar, sucrose=sugar)
    return drinks.SyrupSpec(grams, plain, name="plain syrup")


def _coffee(base: CoffeeBase) -> drinks.Coffee:
    """The brew, with the caffeine of this species and process."""
    return replace(drinks.coffee_of(base.brew), caffeine_mg=base.caffeine_mg)


def _glass(catalog: Catalog, options: dict[str, Any]) -> drinks.Glass:
    name = options["glass_name"]
    hot = options["style"] in ("hot", "milk")
    if name is None:
        return catalog.glasses[USUAL_GLASS[options["style"]]]
    if name in catalog.glasses:
        return catalog.glasses[name]
    text = name.lower().replace(" ", "").removesuffix("ml")
    ounces = text.endswith(("floz", "oz"))
    text = text.removesuffix("floz").removesuffix("oz")
    try:
        said = float(text)
    except ValueError:
        raise PairingError(
            f"unknown glass {quoted(name)}; one of {', '.join(catalog.glasses)}, or a size such as "
            "12oz"
        ) from None
    size = said * (ML_PER_OZ if ounces else 1.0)
    near = [g for g in catalog.glasses.values() if abs(g.volume_ml - size) <= SAME_GLASS_ML]
    near = [g for g in near if g.heat_resistant or not hot]
    if near:
        return min(near, key=lambda g: (g.heat_resistant != hot, abs(g.volume_ml - size)))
    called = f"{said:g} {'oz' if ounces else 'ml'} {'cup' if hot else 'glass'}"
    return drinks.glass_of(size, heat_resistant=hot, name=called)


def _findings(
    catalog: Catalog,
    made: formulas.Formula | None,
    built: drinks.Drink,
    options: dict[str, Any],
) -> tuple[Finding, ...]:
    """Findings of the drink as built: its own syrup, volume and coffee."""
    spec = built.spec
    syrup_g = spec.syrup.grams
    volume = built.served.liquid_g / built.served.density_kg_per_m3 * 1000.0
    if made is not None:
        served = replace(made, glass=replace(made.glass, syrup_g=syrup_g))
        return findings_of(catalog, served, options, drink_ml=volume, caffeine_mg=built.caffeine_mg)
    low, high = built.caffeine_mg
    serving = amounts.Serving(
        yield_g=syrup_g,
        serving_g=syrup_g,
        drink_ml=volume,
        caffeine_low_mg=low,
        caffeine_high_mg=high,
        milk=options["milk"] if spec.has_milk else "",
    )
    return assess(catalog, (), serving, contents=lambda _ingredient, _form: {})
