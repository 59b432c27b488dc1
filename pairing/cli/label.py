"""``pairing label``: a draft label for the bottle."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import click

from pairing.bar.pantry import Pantry
from pairing.cards.bottle import label_for, report
from pairing.cards.label import SALES
from pairing.cards.report import Report
from pairing.cli.make import batch_options, build
from pairing.cli.options import (
    answer,
    coffee_option,
    coffee_options,
    format_option,
    open_catalog,
    pantry_option,
)
from pairing.cli.saved import saved_options
from pairing.cli.shell import INGREDIENTS

__all__ = ["Day", "label", "label_report"]


class Day(click.ParamType[date]):
    """A day, YYYY-MM-DD."""

    name = "date"

    def convert(self, value: Any, param: Any, ctx: Any) -> date:
        """Check the day."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(str(value))
        except ValueError:
            self.fail(f"{value!r} is not a day; write it as 2026-11-24", param, ctx)


@click.command()
@click.argument("ingredients", nargs=-1, required=True, shell_complete=INGREDIENTS)
@click.option("--name", default=None, help="Name on the label.")
@click.option("--made-on", type=Day(), default=None, help="Day it was made, for the use-by line.")
@click.option(
    "--sale",
    type=click.Choice(SALES),
    default="prepacked",
    show_default=True,
    help="How it is sold: prepacked, packed on the premises before the order, or loose.",
)
@click.option(
    "--drink-name", default=None, help="Name of the drink on the menu, for the caffeine statement."
)
@coffee_options
@coffee_option
@batch_options
@format_option()
@saved_options
@pantry_option
def label(how: str, pantry: Path | None, data_folder: Path | None, **options: Any) -> None:
    """A draft label for a bottle: ingredients by weight, allergens, energy, sugar, use-by.

    \b
    Examples:
      pairing label mandarin green-cardamom black-pepper --origin burundi
      pairing label hazelnut-roasted sweet-orange-peel --made-on 2026-11-24 --format json
    """
    answer(label_report(open_catalog(pantry, data_folder), options), how)


def label_report(opened: Pantry, options: dict[str, Any]) -> Report:
    """The card of the label that the options of :func:`label` ask for."""
    made = build(opened, options["ingredients"], options)
    drafted = label_for(
        opened.catalog,
        made,
        name=options["name"],
        sale=options["sale"],
        drink_name=options["drink_name"],
        milk=options["milk"],
        made_on=options["made_on"],
    )
    return report(opened.catalog, made, drafted, options["made_on"])
