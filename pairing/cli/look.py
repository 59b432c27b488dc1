"""``pairing list``, ``pairing show``, ``pairing sources``: what the tables know."""

from __future__ import annotations

from pathlib import Path

import click

from pairing.cards import entry, lists
from pairing.cards.report import show as print_report
from pairing.cli.options import Month, format_option, open_catalog, pantry_option, picture_option
from pairing.errors import PairingError, UnknownNameError
from pairing.evidence import sources as bib

__all__ = ["list_", "show", "sources"]


@click.command("list")
@click.argument("what", type=click.Choice(lists.WHATS))
@click.option("--kind", help="Only this kind: citrus, spice, herb, flower, nut, root ...")
@click.option("--month", type=Month(), help="Only what is in season (1-12, N hemisphere).")
@click.option("--group", help="Only what is in this aroma group, or loud in it.")
@format_option()
@pantry_option
def list_(
    what: str,
    kind: str | None,
    month: int | None,
    group: str | None,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """List what the catalogue holds.

    \b
    Examples:
      pairing list ingredients --kind citrus --month 10
      pairing list ingredients --group floral-terpenols
      pairing list coffees --format csv
      pairing list compounds --group roast-pyrazines
    """
    catalog = open_catalog(pantry, data_folder).catalog
    for name, value, fits in (
        ("--kind", kind, ("ingredients",)),
        ("--month", month, ("ingredients",)),
        ("--group", group, ("ingredients", "compounds")),
    ):
        if value is not None and what not in fits:
            raise PairingError(f"{name} does not go with {what}; it filters {' and '.join(fits)}")
    print_report(lists.listing(catalog, what, kind, month, group), how)


# --- show ---------------------------------------------------------------------------------


@click.command()
@click.argument("name")
@click.option(
    "--top", type=click.IntRange(1, 200), default=12, show_default=True, help="How many odorants."
)
@format_option()
@pantry_option
def show(name: str, top: int, how: str, pantry: Path | None, data_folder: Path | None) -> None:
    """What is known of an ingredient, coffee origin, compound or aroma group.

    \b
    Examples:
      pairing show green-cardamom
      pairing show "mandarin peel"
      pairing show burundi
      pairing show linalool
      pairing show roast-pyrazines
    """
    catalog = open_catalog(pantry, data_folder).catalog
    print_report(entry.report(catalog, name, top), how)


# --- sources ------------------------------------------------------------------------------


@click.command()
@click.argument("name", required=False)
@click.option(
    "--audit",
    "audited",
    is_flag=True,
    help="Audit the data instead: how much is read, what is thin, what disagrees.",
)
@click.option("--all", "every", is_flag=True, help="The whole audit, not the worst of it.")
@format_option("bibtex")
@picture_option
@pantry_option
def sources(
    name: str | None,
    audited: bool,
    every: bool,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """Where the numbers come from: all sources, or those of one ingredient or compound.

    \b
    Examples:
      pairing sources green-cardamom
      pairing sources linalool --format bibtex
      pairing sources --audit
    """
    if every and not audited:
        raise PairingError("--all goes with --audit; without it every source is listed")
    catalog = open_catalog(pantry, data_folder).catalog
    if audited:
        if how == "bibtex":
            raise PairingError("an audit has no BibTeX; give table, json, csv or markdown")
        print_report(lists.audit(bib.audit(catalog), every), how)
        return
    if name is None:
        found = bib.bibliography(catalog)
    else:
        try:
            found = bib.of_form(catalog, catalog.form(name))
        except UnknownNameError as err:
            try:
                found = bib.of_compound(catalog, catalog.compound(name))
            except UnknownNameError:
                raise err from None
    print_report(lists.bibliography(found), how)
