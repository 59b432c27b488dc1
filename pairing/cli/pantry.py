"""``pairing pantry``: what stands on the bar's own shelf, and what its coffees ask for."""

from __future__ import annotations

from pathlib import Path

import click

from pairing.cards.shelves import pantry_report
from pairing.cli.options import answer, format_option, open_catalog, pantry_option

__all__ = ["pantry_"]


@click.command("pantry")
@format_option()
@pantry_option
def pantry_(how: str, pantry: Path | None, data_folder: Path | None) -> None:
    """What is on your shelf: stock, prices, own rows, and what your coffees lack.

    \b
    Examples:
      pairing pantry --pantry bar.toml
      pairing pantry --market uk
    """
    answer(pantry_report(open_catalog(pantry, data_folder)), how)
