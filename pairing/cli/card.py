"""``pairing card``: a syrup for the wall of the kitchen, or to share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from pairing.bar.pantry import Pantry
from pairing.cards import card as cards
from pairing.cards import html
from pairing.cards.drink import report as drink_report
from pairing.cards.formula import report as formula_report
from pairing.cards.report import Report, emit, render
from pairing.cli import MUST_NOT_BE_SERVED
from pairing.cli.glass import glass_options, pour_as, usual_serving
from pairing.cli.make import batch_options, build, numbers
from pairing.cli.options import (
    coffee_option,
    coffee_options,
    open_catalog,
    pantry_option,
)
from pairing.cli.saved import saved_options
from pairing.cli.shell import INGREDIENTS
from pairing.errors import PairingError, quoted
from pairing.files import write_atomically

__all__ = ["card", "card_answer", "formula_document"]

BY_NAME = {
    "": "table",
    ".txt": "table",
    ".html": "html",
    ".htm": "html",
    ".pdf": "pdf",
    ".md": "markdown",
    ".json": "json",
}
AMOUNTS = ("yield_g", "yield_ml", "servings", "sugar_g")


def formula_document(pantry: Pantry, names: Sequence[str], options: dict[str, Any]) -> Any:
    """The document of a formula, and the formula."""
    made = build(pantry, names, options)
    return formula_report(pantry, made, made.findings, False).whole, made


@click.command()
@click.argument("ingredients", nargs=-1, required=True, shell_complete=INGREDIENTS)
@click.option(
    "--kind",
    type=click.Choice(cards.KINDS),
    default="prep",
    show_default=True,
    help="prep for the wall of the kitchen, recipe to share.",
)
@click.option(
    "--paper",
    type=click.Choice(list(html.PAPERS)),
    default="a5",
    show_default=True,
    help="The paper it is printed on.",
)
@click.option("--name", default="", metavar="TEXT", help="What the bar calls it.")
@click.option(
    "--times",
    multiple=True,
    type=click.IntRange(2, 50),
    metavar="N",
    help="A size of N times the batch, worked out for its pan; repeat. 2 and 4 when not said.",
)
@click.option(
    "--site",
    "sites",
    multiple=True,
    metavar="NAME=SERVINGS",
    help="A size for what a site orders; repeat.",
)
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="File to write: .html, .pdf (needs the extra pdf), .md; the screen when not given.",
)
@click.option(
    "--format",
    "how",
    type=click.Choice(["html", "pdf", "markdown", "table", "json"]),
    default=None,
    help="As the file is called, and table for the screen, when not said.",
)
@coffee_options
@coffee_option
@batch_options
@glass_options
@saved_options
@pantry_option
def card(
    output: Path | None,
    how: str | None,
    pantry: Path | None,
    data_folder: Path | None,
    **options: Any,
) -> None:
    """A card of a syrup for the wall or to share: print it, or open it on the phone.

    \b
    Examples:
      pairing card mandarin green-cardamom black-pepper --servings 48 -o autumn.html
      pairing card --from autumn.toml --times 3 --paper a4 -o wall.pdf
      pairing card mandarin clove --site harbour=48 --site station=24 --format markdown
      pairing card vanilla --style iced-milk --add cold-foam --as vegan --kind recipe -o share.html
    """  # fmt: skip
    opened = open_catalog(pantry, data_folder)
    ending = output.suffix.lower() if output else ""
    if how is None and ending not in BY_NAME:
        raise PairingError(
            f"cannot tell a format from {quoted(output.name if output else ending)}; end it .html, "
            ".pdf, .md, .json or .txt, or say --format"
        )
    how = how or BY_NAME[ending]
    if how == "pdf":
        if output is None:
            raise PairingError("a PDF is no text for the screen: name a file with -o card.pdf")
        from pairing.cards.pdf import card_pdf

        batches, drink = parts(opened, options)
        made = cards.card(batches, drink, kind=options["kind"], name=options["name"])
        write_atomically(output, card_pdf(made, options["paper"]))
        stops = made.stops
    else:
        report = card_answer(opened, options)
        stops = report.document["stops"]
        if output is None:
            emit(render(report, how), how)
        else:
            write_atomically(output, render(report, how))
    if output is not None:
        click.echo(f"wrote {output}", err=True)
    for stop in stops:
        click.echo(f"STOP: {stop}", err=True)
    if stops:
        click.get_current_context().exit(MUST_NOT_BE_SERVED)


def parts(opened: Pantry, options: dict[str, Any]) -> tuple[list[tuple[str, Any]], Any]:
    """Documents of the sizes of a batch, by name, and of the drink."""
    ingredients = options["ingredients"]
    options = usual_serving(opened.catalog, options)
    orders = numbers(options["sites"], "--site", "harbour=48", 1e6)
    if orders and not any(options[k] for k in AMOUNTS):
        options = {**options, "servings": sum(orders.values())}  # as a formula counts its sites
    document, made = formula_document(opened, ingredients, options)
    batches = [("this batch", document)]
    fresh = {**options, **dict.fromkeys(AMOUNTS)}
    for factor in options["times"] or (() if orders else (2, 4)):
        asked = {**fresh, "yield_g": factor * document["yield_g"]}
        batches.append((f"{factor} times", formula_document(opened, ingredients, asked)[0]))
    for site, servings in orders.items():
        asked = {**fresh, "servings": servings}
        batches.append((site, formula_document(opened, ingredients, asked)[0]))
    drink = drink_report(opened.catalog, pour_as(opened.catalog, made, options)).whole
    return batches, drink


def card_answer(opened: Pantry, options: dict[str, Any]) -> Report:
    """The card that the options of :func:`card` ask for; its HTML is among its formats."""
    batches, drink = parts(opened, options)
    kind, name = options["kind"], options["name"]
    page = html.card(batches, drink, kind=kind, paper=options["paper"], name=name)
    return replace(cards.report(batches, drink, kind=kind, name=name), extra={"html": page})
