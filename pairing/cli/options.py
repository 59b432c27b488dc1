"""Options that several commands share."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from pairing.catalog import Catalog, load
from pairing.cli.output import FORMATS
from pairing.errors import PairingError
from pairing.pantry import FILE_NAME, Pantry, open_pantry

F = TypeVar("F", bound=Callable[..., Any])


class Amount(click.ParamType[float]):
    """A finite number in a range; NaN, infinity and text get one clear line."""

    name = "number"

    def __init__(self, low: float = 0.0, high: float = 1e7, *, open_low: bool = True) -> None:
        self.low, self.high, self.open_low = low, high, open_low

    def convert(self, value: Any, param: Any, ctx: Any) -> float:
        """Check the number."""
        try:
            number = float(value)
        except (TypeError, ValueError):
            self.fail(f"{value!r} is not a number", param, ctx)
        if not math.isfinite(number):
            self.fail(f"{value!r} is not a finite number", param, ctx)
        too_low = number <= self.low if self.open_low else number < self.low
        if too_low or number > self.high:
            word = "more than" if self.open_low else "at least"
            self.fail(
                f"{number:g} is out of range; give {word} {self.low:g} and at most {self.high:g}",
                param,
                ctx,
            )
        return number


class Month(click.ParamType[int]):
    """A month: 1-12 or an English name."""

    name = "month"
    NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")

    def convert(self, value: Any, param: Any, ctx: Any) -> int:
        """Check the month."""
        text = str(value).strip().lower()
        if text.isascii() and text.isdigit() and 1 <= int(text) <= 12:
            return int(text)
        if text[:3] in self.NAMES:
            return self.NAMES.index(text[:3]) + 1
        self.fail(f"{value!r} is not a month; give 1 to 12", param, ctx)


def format_option(*more: str) -> Callable[[F], F]:
    """``--format``."""
    return click.option(
        "--format",
        "how",
        type=click.Choice([*FORMATS, *more]),
        default="table",
        show_default=True,
        help="How to print it; json is for other programs.",
    )


def pantry_option(function: F) -> F:
    """``--pantry`` and ``--data``."""
    function = click.option(
        "--data",
        "data_folder",
        type=click.Path(path_type=Path),
        default=None,
        help="Another data folder in place of the shipped one.",
    )(function)
    return click.option(
        "--pantry",
        type=click.Path(path_type=Path),
        default=None,
        help=f"Your own ingredients, coffees and prices: a TOML file or a folder of CSV tables; "
        f"{FILE_NAME} in the working folder is read by itself.",
    )(function)


def coffee_options(function: F) -> F:
    """``--origin --process --roast --brew --species``."""
    for name, text, default in (
        ("--species", "arabica or robusta; the origin's usual one when not given.", None),
        ("--brew", "How it is brewed; espresso is a double.", "espresso"),
        ("--roast", "light, medium, medium-dark or dark.", "medium"),
        ("--process", "washed, natural, honey ...; the origin's usual one when not given.", None),
        ("--origin", "Where it grows, such as burundi.", None),
    ):
        function = click.option(
            name, default=default, show_default=default is not None, metavar="NAME", help=text
        )(function)
    return function


def open_catalog(pantry: Path | None, data_folder: Path | None) -> Pantry:
    """The catalogue with the pantry that was asked for, or that lies in the working folder."""
    catalog: Catalog = load(data_folder)
    if pantry is None and Path(FILE_NAME).is_file():
        pantry = Path(FILE_NAME)
    if pantry is None:
        return Pantry(catalog)
    if not pantry.exists():
        raise PairingError(f"no pantry at {str(pantry)!r}; give a TOML file or a folder")
    return open_pantry(pantry, catalog)
