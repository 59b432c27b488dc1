"""Options that several commands share."""

from __future__ import annotations

import math
import os
import shlex
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import click
from click.core import ParameterSource

from pairing.aroma.coffee import CoffeeBase, base, brewed
from pairing.aroma.description import FACTORS, levels
from pairing.aroma.serve import style_of
from pairing.aroma.spoken import read_coffee
from pairing.bar.pantry import FILE_NAME, Pantry, open_pantry
from pairing.cards.report import FORMATS, PICTURE, Report, show
from pairing.cli import MUST_NOT_BE_SERVED
from pairing.cli.shell import names_of
from pairing.errors import PairingError, quoted
from pairing.evidence.catalog import Catalog, load
from pairing.files import mode_of

F = TypeVar("F", bound=Callable[..., Any])


UNITS = {"g": "g", "ml": "ml", "c": "C"}  # last word of an option's name, and its unit


class Amount(click.ParamType[float]):
    """A finite number in a range; NaN, infinity and text get one clear line.

    An option whose name ends in its unit (-g, -ml, -c) also takes another: 1.5kg, 24 fl oz, 79F.
    """

    name = "number"

    def __init__(self, low: float = 0.0, high: float = 1e7, *, open_low: bool = True) -> None:
        self.low, self.high, self.open_low = low, high, open_low

    def convert(self, value: Any, param: Any, ctx: Any) -> float:
        """Check the number."""
        text = str(value)
        usual = text.replace("°", "").isascii() and "_" not in text
        try:
            number = float(text) if usual else None
        except ValueError:
            number = None
        unit = UNITS.get(str(getattr(param, "name", "")).rpartition("_")[2], "")
        if number is None and unit and usual and any(c.isdigit() for c in text):
            from pairing.syrup.quantities import in_unit

            try:
                number = in_unit(text, unit)
            except PairingError as error:
                self.fail(str(error), param, ctx)
        if number is None:
            self.fail(f"{quoted(text)} is not a number", param, ctx)
        if not math.isfinite(number):
            self.fail(f"{quoted(text)} is not a finite number", param, ctx)
        too_low = number <= self.low if self.open_low else number < self.low
        if too_low or number > self.high:
            word = "more than" if self.open_low else "at least"
            self.fail(
                f"{number:g} is out of range; give {word} {self.low:,.10g} and at most "
                f"{self.high:,.10g}",
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


MARKETS = ("eu", "uk", "us")


def _keep_market(ctx: click.Context, _param: click.Parameter, value: str | None) -> None:
    if value:
        ctx.meta["pairing.market"] = value.lower()


def kept_options() -> str:
    """The options of this command that the next one needs too: pantry, data and market."""
    ctx = click.get_current_context()
    given = {"--pantry": ctx.params.get("pantry"), "--data": ctx.params.get("data_folder"),
             "--market": ctx.meta.get("pairing.market")}  # fmt: skip
    return "".join(f" {name} {shlex.quote(str(v))}" for name, v in given.items() if v)


def picture_option(function: F) -> F:
    """``--picture``."""
    return click.option(
        "--picture",
        type=click.Path(path_type=Path),
        default=None,
        metavar="FILE",
        expose_value=False,
        callback=lambda ctx, _, value: ctx.meta.__setitem__(PICTURE, value),
        help="Write its pictures to an SVG file too.",
    )(function)


def pantry_option(function: F) -> F:
    """``--pantry``, ``--data`` and ``--market``."""
    function = click.option(
        "--market",
        type=click.Choice(MARKETS, case_sensitive=False),
        default=None,
        envvar="PAIRING_MARKET",
        expose_value=False,
        callback=_keep_market,
        help="Whose law decides; else the pantry's, else the strictest (PAIRING_MARKET sets it).",
    )(function)
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
    """``--origin --process --roast --brew --species --variety --notes``."""
    for name, text, default, known in (
        ("--notes", 'What the bag says it tastes of: "black currant, grapefruit".', None, _notes),
        ("--variety", "Gesha is told apart.", None, "variety"),
        (
            "--species",
            "arabica, robusta or liberica; the origin's usual one.",
            None,
            "species",
        ),
        ("--brew", "How it is brewed; espresso is a double.", "espresso", "brew"),
        ("--roast", "Light, medium-light, medium, medium-dark or dark.", "medium", "roast"),
        ("--process", "Washed, natural, honey ...; the origin's usual one.", None, "process"),
        ("--origin", "Where it grows, such as burundi.", None, "origin"),
    ):
        pick = partial(levels, factor=known) if isinstance(known, str) else known
        function = click.option(
            name,
            default=default,
            show_default=default is not None,
            metavar="WORDS" if name == "--notes" else "NAME",
            help=text,
            shell_complete=names_of(pick),
        )(function)
    return function


def _notes(catalog: Catalog) -> Iterable[str]:
    return catalog.notes


def coffee_option(function: F) -> F:
    """``--coffee``, once: the whole coffee in place of :func:`coffee_options`."""
    return click.option(
        "--coffee",
        "coffee_words",
        metavar="WORDS",
        help='The coffee in one breath, such as "washed burundi light espresso" or '
        '"60% brazil natural, 40% ethiopia, hazelnut"; its notes may be in it.',
    )(function)


def coffee_of(catalog: Catalog, options: dict[str, Any]) -> CoffeeBase:
    """The coffee of :func:`coffee_option` or, when that is not given, :func:`coffee_options`.

    Raises
    ------
    PairingError
        When both are given, or a word is unknown.
    """
    said = options["coffee_words"]
    if said is None:
        return brewed(catalog, **{k: options[k] for k in FACTORS}, notes=options["notes"])
    source = click.get_current_context().get_parameter_source
    twice = [f"--{k}" for k in FACTORS if source(k) is ParameterSource.COMMANDLINE]
    if twice:
        raise PairingError(
            f"--coffee says the whole coffee; put {' and '.join(twice)} into its words, or leave "
            "--coffee out"
        )
    return coffee_from_words(catalog, said, options["notes"])


def milk_goes_in(catalog: Catalog, style: str, milk: str) -> None:
    """Refuse a milk that was asked for in a drink without any: its allergen would be lost.

    Raises
    ------
    PairingError
    """
    context = click.get_current_context(silent=True)
    said = (ParameterSource.COMMANDLINE, ParameterSource.DEFAULT_MAP)  # now, or in a kept file
    asked = context and context.get_parameter_source("milk") in said
    known = style_of(catalog, style)
    if asked and known.filler != "milk":
        other = "iced-milk" if known.iced else "milk"
        raise PairingError(
            f"{known.phrase} holds no milk, so --milk {quoted(milk)} would go nowhere; give "
            f"--style {other}"
        )


def coffee_was_said(options: dict[str, Any]) -> bool:
    """Whether a coffee was named at all, by :func:`coffee_option` or :func:`coffee_options`."""
    source = click.get_current_context().get_parameter_source
    given = any(source(k) is ParameterSource.COMMANDLINE for k in (*FACTORS, "notes"))
    return given or options["coffee_words"] is not None


def coffee_from_words(catalog: Catalog, text: str, notes: str | None = None) -> CoffeeBase:
    """A coffee said in one breath, such as ``washed burundi light espresso``, brewed."""
    return base(catalog, read_coffee(catalog, text, notes))


def open_catalog(pantry: Path | None, data_folder: Path | None) -> Pantry:
    """The catalogue with the pantry that was asked for, or that lies in the working folder."""
    return open_bar(pantry, data_folder, click.get_current_context().meta.get("pairing.market", ""))


def open_bar(pantry: Path | None, data_folder: Path | None, market: str) -> Pantry:
    """As :func:`open_catalog`, with the market said; the pantry's own when it is empty."""
    catalog: Catalog = load(data_folder)
    if pantry is None and os.path.lexists(FILE_NAME):
        pantry = Path(FILE_NAME)
    if pantry is None:
        return Pantry(Catalog(catalog.folder, {}, catalog.model, market) if market else catalog)
    if mode_of(pantry) is None:
        raise PairingError(f"no pantry at {quoted(pantry)}; give a TOML file or a folder")
    opened = open_pantry(pantry, catalog, market)
    if opened.lacks:
        click.echo(f"pairing: {pantry.name}: {opened.lacks}", err=True)
    return opened


def answer(report: Report, how: str) -> None:
    """Print a report; what must not be served ends the command with 3."""
    show(report, how)
    if report.document.get("stops"):
        click.get_current_context().exit(MUST_NOT_BE_SERVED)
