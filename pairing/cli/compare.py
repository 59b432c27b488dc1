"""``pairing compare``: two kept things side by side, only what differs."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import click

from pairing.bar.pantry import Pantry
from pairing.cards.compare import KINDS, comparison
from pairing.cli.asked import report_of
from pairing.cli.options import answer, format_option, open_bar, pantry_option
from pairing.cli.saved import command_of, read_saved
from pairing.errors import PairingError, quoted
from pairing.files import read_text

__all__ = ["ASKED", "compare", "document_in"]

LARGEST_DOCUMENT = 5_000_000
# a card, a label, a batch sheet or a plan keeps a formula
ASKED = {"card": "formula", "label": "formula", "papers batch": "formula",
         "papers guest": "formula", "trials plan": "formula"}  # fmt: skip


@click.command()
@click.argument("one", type=click.Path(path_type=Path))
@click.argument("other", type=click.Path(path_type=Path))
@format_option()
@pantry_option
def compare(
    one: Path, other: Path, how: str, pantry: Path | None, data_folder: Path | None
) -> None:
    """What differs between two kept formulas, drinks, suggestions or ratios.

    A file is one that --save kept, asked again today, or what --format json printed. What is the
    same is left out; which is stronger, sweeter and keeps longer is said.

    \b
    Examples:
      pairing compare autumn.toml winter.toml
      pairing compare monday.json autumn.toml
    """
    here = click.get_current_context().meta.get("pairing.market", "")

    def bar(market: str, kept: str | None = None) -> Pantry:
        return open_bar(pantry or (Path(kept) if kept else None), data_folder, here or market)

    documents = [document_in(bar, path) for path in (one, other)]
    names = [one.stem, other.stem] if one.stem != other.stem else [str(one), str(other)]
    answer(comparison(names[0], names[1], *documents), how)


def document_in(bar: Callable[..., Pantry], path: Path) -> dict[str, Any]:
    """The document that a file holds, or that what it keeps makes today."""
    if path.suffix == ".json":
        return _printed(path)
    said = read_saved(path)
    command = command_of(said)
    command = ASKED.get(command, command)
    if command == "formula" and not said.get("ingredients"):
        raise PairingError(f"{path.name} keeps no formula: it names no ingredients")
    if command not in KINDS:
        raise PairingError(f"{path.name} keeps a {command}; {', '.join(KINDS)} are compared")
    return report_of(command, said, partial(bar, kept=said.get("pantry")), path.name).whole


def _printed(path: Path) -> dict[str, Any]:
    try:
        found = json.loads(read_text(path, LARGEST_DOCUMENT))
    except (ValueError, RecursionError) as err:
        if isinstance(err, PairingError):
            raise
        raise PairingError(f"{path.name} is not JSON; print one with --format json") from None
    kind = found.get("document") if isinstance(found, dict) else None
    if kind not in KINDS:
        raise PairingError(
            f"{path.name} holds {'no document' if kind is None else quoted(kind)}; "
            f"{', '.join(KINDS)} are compared"
        )
    return dict(found)
