"""``pairing report``: one page for the brainstorm of a menu."""

from __future__ import annotations

from pathlib import Path

import click

from pairing.cards.report import save_picture, show
from pairing.cli import MUST_NOT_BE_SERVED
from pairing.cli.options import (
    coffee_from_words,
    format_option,
    open_catalog,
    pantry_option,
    picture_option,
)
from pairing.cli.pair import bases_of_menu
from pairing.cli.progress import waiting
from pairing.cli.saved import saved_options
from pairing.errors import PairingError
from pairing.files import write_atomically

__all__ = ["report"]


@click.command()
@click.option("--menu", metavar="NAME", help="A menu of the pantry.")
@click.option("--coffee", "coffees", multiple=True, metavar="WORDS", help="A coffee; repeat.")
@click.option("--style", default="iced", show_default=True, metavar="NAME", help="The drinks.")
@click.option(
    "--servings",
    type=click.IntRange(1, 10_000),
    default=24,
    show_default=True,
    help="Drinks a trial formula is for.",
)
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    metavar="FILE.html",
    help="The page to write; without it the short report is printed.",
)
@picture_option
@format_option()
@saved_options
@pantry_option
def report(
    menu: str | None,
    coffees: tuple[str, ...],
    style: str,
    servings: int,
    output: Path | None,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """A page for the brainstorm of a menu: shelves, heat map, seasons, costs, trial formulas.

    \b
    Examples:
      pairing report --menu autumn -o autumn.html
      pairing report --coffee "washed burundi light" --coffee "natural brazil dark" -o two.html
      pairing report --menu autumn --servings 48 --save autumn-brainstorm
    """  # fmt: skip
    from pairing.cards import brainstorm

    opened = open_catalog(pantry, data_folder)
    if bool(menu) == bool(coffees):
        raise PairingError("give --menu NAME, or --coffee once or more")
    cups = (
        bases_of_menu(opened, menu)
        if menu
        else [coffee_from_words(opened.catalog, c) for c in coffees]
    )
    with waiting(f"the report of {len(cups)} coffees"):
        made = brainstorm.brainstorm(
            opened, cups, name=menu or "Brainstorm", style=style, servings=servings
        )
    if output is None:
        show(made, how)
    else:
        save_picture(made)
        write_atomically(output, brainstorm.page(made.whole))
        click.echo(f"wrote {output}", err=True)
    if made.document["stops"]:
        click.get_current_context().exit(MUST_NOT_BE_SERVED)
