"""``pairing kitchen-rules`` and ``pairing papers``: what an operator prints, signs and keeps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click

from pairing.cards import batch as sheets
from pairing.cards import html
from pairing.cards import papers as cards
from pairing.cards.report import show
from pairing.cli import MUST_NOT_BE_SERVED
from pairing.cli.card import formula_document
from pairing.cli.label import Day
from pairing.cli.make import batch_options, build
from pairing.cli.options import (
    coffee_option,
    coffee_options,
    format_option,
    open_catalog,
    pantry_option,
)
from pairing.cli.saved import read_saved, saved_options
from pairing.cli.tasting import read_json
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.files import write_atomically

__all__ = ["kitchen_rules", "papers"]


@click.command("kitchen-rules")
@format_option()
@pantry_option
def kitchen_rules(how: str, pantry: Path | None, data_folder: Path | None) -> None:
    """House rules that are the same for every batch: print them once, for the wall.

    \b
    Example:
      pairing kitchen-rules --market uk
    """
    show(cards.kitchen_rules(open_catalog(pantry, data_folder).catalog), how)


@click.group()
def papers() -> None:
    """Allergen matrix, batch sheets, guest card, supplier questions, lot trace.

    \b
    Examples:
      pairing papers matrix "mandarin,green-cardamom" "hazelnut-roasted" --market eu
      pairing papers batch mandarin clove --made-on 2026-11-24
      pairing papers bench autumn.json -o bench.html
      pairing papers guest grapefruit-juice hazelnut-roasted
      pairing papers supplier cassia mandarin-peel
      pairing papers lots lots.csv --find A17
    """


@papers.command("matrix")
@click.argument("syrups", nargs=-1, required=True)
@click.option("--sweetener", default="white-cane-sugar", show_default=True, metavar="NAME",
              help="What they are sweetened with.")  # fmt: skip
@format_option()
@saved_options
@pantry_option
def matrix(
    syrups: Sequence[str], sweetener: str, how: str, pantry: Path | None, data_folder: Path | None
) -> None:
    """Which syrup of the menu holds which listed allergen; ingredients joined by commas.

    A syrup that is kept is named by its file, with its own sweeteners.

    \b
    Examples:
      pairing papers matrix "mandarin,clove" "hazelnut-roasted,cassia" --market us
      pairing papers matrix autumn.toml winter.toml
    """
    catalog = open_catalog(pantry, data_folder).catalog
    show(cards.matrix(catalog, [_syrup(catalog, text, sweetener) for text in syrups]), how)


def _syrup(catalog: Catalog, text: str, sweetener: str) -> tuple[str, list[Form], list[str]]:
    """A syrup of a menu: its name, what goes in, what sweetens it."""
    names, sweet = text.split(","), [sweetener]
    if text.endswith(".toml"):
        said = read_saved(Path(text))
        names, sweet = _texts(said, "ingredients"), _texts(said, "sweetener") or sweet
        if not names:
            raise PairingError(f"{text} keeps no syrup: it names no ingredients")
        text = str(said.get("name") or Path(text).stem)
    forms = [catalog.form(n.strip()) for n in names if n.strip()]
    return text, forms, [catalog.sweetener(s.partition("=")[0]).sweetener_id for s in sweet]


def _texts(said: Mapping[str, Any], key: str) -> list[str]:
    found = said.get(key, [])
    return [str(f) for f in found] if isinstance(found, list) else [str(found)]


@papers.command("batch")
@click.argument("ingredients", nargs=-1, required=True)
@click.option("--made-on", type=Day(), default=None, help="Day it is made, for the use-by line.")
@click.option("--trial", default="", metavar="LETTER", help="Letter of the trial, where it is one.")
@coffee_options
@coffee_option
@batch_options
@format_option()
@saved_options
@pantry_option
def batch(
    ingredients: tuple[str, ...],
    made_on: date | None,
    trial: str,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
    **options: Any,
) -> None:
    """A sheet to sign: what is weighed, cooked, safe and served, with blanks to fill in.

    \b
    Example:
      pairing papers batch mandarin green-cardamom --made-on 2026-11-24
    """
    opened = open_catalog(pantry, data_folder)
    document, made = formula_document(opened, ingredients, options)
    sheet = sheets.batch_sheet(document, trial=f"trial {trial}" if trial else "", made_on=made_on)
    show(sheets.report(sheet), how)
    if made.stops:
        click.get_current_context().exit(MUST_NOT_BE_SERVED)


@papers.command("bench")
@click.argument("plan", metavar="PLAN.json", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), metavar="FILE.html",
              help="A page a sheet, to print; the screen when not given.")  # fmt: skip
@click.option("--paper", type=click.Choice(list(html.PAPERS)), default="a5", show_default=True,
              help="The paper it is printed on.")  # fmt: skip
@format_option()
def bench(plan: Path, output: Path | None, paper: str, how: str) -> None:
    """The batch sheets of a plan of trials, one for each pot, with the letter of its trial.

    \b
    Example:
      pairing papers bench autumn.json -o bench.html
    """
    held = sheets.bench(read_json(plan, "trials plan"))
    if output is None:
        show(sheets.bench_report(held), how)
    else:
        write_atomically(output, html.sheets(held, f"Bench sheets, {plan.stem}", paper))
        click.echo(f"wrote {output}", err=True)
    if any(s["stops"] for s in held):
        click.get_current_context().exit(MUST_NOT_BE_SERVED)


@papers.command("guest")
@click.argument("ingredients", nargs=-1, required=True)
@coffee_options
@coffee_option
@batch_options
@format_option()
@saved_options
@pantry_option
def guest(
    ingredients: tuple[str, ...],
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
    **options: Any,
) -> None:
    """One line for the menu: allergens, who asks first, caffeine.

    \b
    Example:
      pairing papers guest hazelnut-roasted grapefruit-juice
    """
    opened = open_catalog(pantry, data_folder)
    made = build(opened, ingredients, options)
    show(cards.guest_card(opened.catalog, made), how)
    if made.stops:
        click.get_current_context().exit(MUST_NOT_BE_SERVED)


@papers.command("supplier")
@click.argument("ingredients", nargs=-1, required=True)
@format_option()
@pantry_option
def supplier(
    ingredients: tuple[str, ...], how: str, pantry: Path | None, data_folder: Path | None
) -> None:
    """What to ask the supplier of each ingredient, in writing.

    \b
    Example:
      pairing papers supplier cassia dried-tangerine-peel
    """
    catalog = open_catalog(pantry, data_folder).catalog
    show(cards.supplier_questions(catalog, [catalog.form(n) for n in ingredients]), how)


@papers.command("lots")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--find", "wanted", required=True, metavar="NUMBER", help="A lot, batch or bottle.")
@format_option()
def lots(file: Path, wanted: str, how: str) -> None:
    """From a lot to the bottles that hold it, and back.

    The file is CSV with the columns batch, ingredient, lot, supplier, bottles (joined by ;).

    \b
    Example:
      pairing papers lots lots.csv --find A17
    """
    show(cards.trace(cards.read_lots(file), wanted), how)
