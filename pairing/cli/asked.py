"""A command's report without its command line: for kept files, comparisons and the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any

import click

from pairing.bar.pantry import Pantry
from pairing.cards.report import Report
from pairing.cli.saved import NOT_KEPT, asked_in, find_command
from pairing.errors import PairingError

__all__ = ["REPORTS", "report_of"]

# the function that makes the report of a command from the pantry and the options it was given
REPORTS = {
    "formula": "pairing.cli.make:formula_report",
    "label": "pairing.cli.label:label_report",
    "drink": "pairing.cli.glass:drink_report",
    "suggest": "pairing.cli.pair:suggest_report",
    "check": "pairing.cli.pair:check_report",
    "instead": "pairing.cli.pair:instead_report",
    "ratio": "pairing.cli.ratio:ratio_report",
    "card": "pairing.cli.card:card_answer",
    "trials plan": "pairing.cli.trials:trials_plan_report",
}


def report_of(
    command: str,
    said: Mapping[str, Any],
    bar: Callable[[str], Pantry],
    where: str = "the form",
) -> Report:
    """The report that a command would print.

    Parameters
    ----------
    command : str
        One of :data:`REPORTS`.
    said : mapping
        Its options by key, as a kept file has them.
    bar : callable
        Gives the pantry that answers under a market, that of its own when the market is empty.
    where : str
        What said so, for the message.

    Returns
    -------
    Report

    Raises
    ------
    PairingError
        For what the command refuses, in its own words.
    """
    module, name = REPORTS[command].split(":")
    known = find_command(command)
    context = click.Context(known, info_name=f"pairing {command}")
    context.default_map = asked_in(known, said, where)
    with context:
        try:
            known.parse_args(context, [])
        except click.UsageError as err:
            raise PairingError(f"{where}: {err.format_message().rstrip('.')}") from None
        opened = bar(context.meta.get("pairing.market", ""))
        beside = NOT_KEPT | {"pantry"}
        options = {k: v for k, v in context.params.items() if k not in beside}
        report: Report = getattr(import_module(module), name)(opened, options)
    return report
