"""``pairing journal``: the bar's notebook of batches, tastings and ingredient lots."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from pairing.cards.report import Bullets, Report, Table, Text, number, show
from pairing.cli.options import Amount, format_option
from pairing.errors import NothingFoundError, PairingError, quoted
from pairing.files import read_text, write_atomically

__all__ = ["journal"]

F = TypeVar("F", bound=Callable[..., Any])
LARGEST_FILE = 200_000_000


def file_option(function: F) -> F:
    """``--file``."""
    return click.option(
        "--file",
        "place",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="Which journal; PAIRING_JOURNAL, else one in your data folder, when not said.",
    )(function)


@click.group()
def journal() -> None:
    """The bar's notebook: batches, tastings and lots, kept on this machine alone.

    \b
    Examples:
      pairing journal add lot green-cardamom GC-24-11 --supplier "Harbour Spice"
      pairing journal add batch "autumn mandarin" --formula formula.json --lot GC-24-11 --brix 61
      pairing journal add tasting A --taster Ana --liking 7 --note "dries out"
      pairing journal search mandarin
      pairing journal lots GC-24-11
      pairing journal learned
    """


@journal.group("add")
def add() -> None:
    """Write down a batch, a tasting or a lot.

    \b
    Example:
      pairing journal add batch "autumn syrup"
    """


@add.command("batch")
@click.argument("name")
@click.option("--formula", "formula_file", type=click.Path(path_type=Path), metavar="FILE",
              help="The formula it was made by: pairing formula ... --format json.")  # fmt: skip
@click.option("--made-on", metavar="DAY", help="YYYY-MM-DD; today when not said.")
@click.option("--site", help="Where.")
@click.option("--who", help="By whom; may stay empty.")
@click.option("--put-in-g", type=Amount(), help="Everything that went into the pot, g.")
@click.option("--pot-g", type=Amount(), help="The pot's content before straining, g.")
@click.option("--yield-g", type=Amount(), help="Syrup in the bottle, g.")
@click.option("--brix", type=Amount(0, 95, open_low=False), help="Measured °Bx.")
@click.option("--ph", type=Amount(0, 14, open_low=False), help="Measured pH.")
@click.option("--bottles", help="Which bottles, such as H1 to H6.")
@click.option("--lot", "lots", multiple=True, metavar="CODE", help="A lot that went in.")
@click.option("--photo", "photos", multiple=True, metavar="PATH", help="Kept as a path.")
@click.option("--note", help="In your words.")
@file_option
def add_batch(
    name: str,
    formula_file: Path | None,
    lots: tuple[str, ...],
    photos: tuple[str, ...],
    place: Path | None,
    **given: Any,
) -> None:
    """A batch: what was weighed, measured and filled.

    \b
    Example:
      pairing journal add batch "autumn mandarin" --formula f.json --pot-g 655 --yield-g 500
    """
    from pairing.bar.journal import open_journal

    formula = _document(formula_file) if formula_file else None
    with open_journal(place) as book:
        made = book.add_batch(name, formula=formula, lots=lots, photos=photos, **given)
    click.echo(f"Batch {made} is in the journal.")


def _document(path: Path) -> dict[str, Any]:
    try:
        found = json.loads(read_text(path, LARGEST_FILE))
    except (ValueError, RecursionError) as err:
        if isinstance(err, PairingError):
            raise
        raise PairingError(
            f"{path.name} is not JSON; give the output of: pairing formula ... --format json"
        ) from None
    if not isinstance(found, dict):
        raise PairingError(
            f"{path.name} is no formula; give that of: pairing formula --format json"
        )
    return found


@add.command("tasting")
@click.argument("trial")
@click.option("--taster", help="Who; may stay empty.")
@click.option("--batch", help="Number of the batch.")
@click.option("--liking", type=Amount(1, 9, open_low=False), help="1 to 9.")
@click.option("--answer", help="What was picked or said.")
@click.option("--protocol", help="How it was tasted.")
@click.option("--panel", help="Name of the tasting.")
@click.option("--tasted-on", metavar="DAY", help="YYYY-MM-DD; today when not said.")
@click.option("--photo", "photos", multiple=True, metavar="PATH", help="Kept as a path.")
@click.option("--note", help="In your words.")
@file_option
def add_tasting(trial: str, photos: tuple[str, ...], place: Path | None, **given: Any) -> None:
    """A tasting: who liked which trial how much.

    \b
    Example:
      pairing journal add tasting A --taster Ana --batch 12 --liking 7 --note "dries out"
    """
    from pairing.bar.journal import open_journal

    record = {k: v for k, v in given.items() if v is not None}
    with open_journal(place) as book:
        made = book.add_tastings([{"trial": trial, "photos": photos, **record}])[0]
    click.echo(f"Tasting {made} is in the journal.")


@add.command("lot")
@click.argument("ingredient")
@click.argument("code")
@click.option("--supplier", help="From whom.")
@click.option("--received-on", metavar="DAY", help="YYYY-MM-DD.")
@click.option("--use-by", metavar="DAY", help="YYYY-MM-DD.")
@click.option("--note", help="In your words.")
@file_option
def add_lot(ingredient: str, code: str, place: Path | None, **given: Any) -> None:
    """A lot of an ingredient, with the code on its bag.

    \b
    Example:
      pairing journal add lot green-cardamom GC-24-11 --supplier "Harbour Spice" --use-by 2027-06-30
    """
    from pairing.bar.journal import open_journal

    with open_journal(place) as book:
        made = book.add_lot(ingredient, code, **given)
    click.echo(f"Lot {made} is in the journal.")


@journal.command("measure")
@click.argument("batch", type=click.IntRange(1))
@click.option("--put-in-g", type=Amount(), help="Everything that went into the pot, g.")
@click.option("--pot-g", type=Amount(), help="The pot's content before straining, g.")
@click.option("--yield-g", type=Amount(), help="Syrup in the bottle, g.")
@click.option("--brix", type=Amount(0, 95, open_low=False), help="Measured °Bx.")
@click.option("--ph", type=Amount(0, 14, open_low=False), help="Measured pH.")
@click.option("--bottles", help="Which bottles.")
@click.option("--note", help="In place of the note there.")
@file_option
def measure(batch: int, place: Path | None, **given: Any) -> None:
    """Add to a batch what was measured later.

    \b
    Example:
      pairing journal measure 12 --ph 4.0 --brix 61.5
    """
    from pairing.bar.journal import open_journal

    with open_journal(place) as book:
        book.measure(batch, **given)
    click.echo(f"Batch {batch} now has it.")


@journal.command("search")
@click.argument("words", nargs=-1)
@click.option("--kind", type=click.Choice(("batch", "tasting", "lot")), help="Only these.")
@click.option("--since", metavar="DAY", help="YYYY-MM-DD, included.")
@click.option("--until", metavar="DAY", help="YYYY-MM-DD, included.")
@click.option("--most", type=click.IntRange(1, 100_000), default=20, show_default=True,
              help="How many, newest first.")  # fmt: skip
@file_option
@format_option()
def search(
    words: tuple[str, ...],
    kind: str | None,
    since: str | None,
    until: str | None,
    most: int,
    place: Path | None,
    how: str,
) -> None:
    """Find what was written down; every word must be there.

    \b
    Examples:
      pairing journal search mandarin harbour
      pairing journal search --kind tasting --since 2026-11-01
    """
    from pairing.bar.journal import open_journal

    with open_journal(place, write=False) as book:
        found = book.search(" ".join(words), kind=kind, since=since, until=until, limit=most)
    if not found:
        raise NothingFoundError("nothing in the journal fits; use fewer words or another day")
    rows = [[r["kind"], r["number"], r["day"], _what(r), r["note"]] for r in found]
    table = Table("", ["kind", "number", "day", "what", "note"], rows)
    more = [] if len(found) < most else [Text(f"The newest {most}; --most shows more.")]
    show(Report({"found": found}, [table, *more], table, "journal search"), how)


def _what(r: dict[str, Any]) -> str:
    where = r.get("site") or r.get("taster")
    tail = f" ({where})" if where else ""
    if r["kind"] == "batch":
        size = f", {number(r['yield_g'])} g" if r["yield_g"] else ""
        return f"{r['name']}{size}{tail}"
    if r["kind"] == "lot":
        return f"{r['ingredient']} {r['code']}"
    said = f"{number(r['liking'])} of 9" if r["liking"] is not None else r["answer"] or ""
    return f"{r['panel'] or ''} {r['trial']}: {said}{tail}".strip()


@journal.command("show")
@click.argument("kind", type=click.Choice(("batch", "tasting", "lot")))
@click.argument("number_of", metavar="NUMBER", type=click.IntRange(1))
@file_option
@format_option()
def show_(kind: str, number_of: int, place: Path | None, how: str) -> None:
    """Everything about one batch, tasting or lot.

    \b
    Example:
      pairing journal show batch 12
    """
    from pairing.bar.journal import open_journal

    with open_journal(place, write=False) as book:
        found = book.show(kind, number_of)
    rows = [
        [k.replace("_", " "), _cell(v)]
        for k, v in found.items()
        if v not in (None, "", [], {}) and k not in ("uid", "formula", "kind", "number", "day")
    ]
    blocks: list[Text | Bullets | Table] = [
        Text(f"{kind.capitalize()} {number_of}"), Table("", ["what", "value"], rows)
    ]  # fmt: skip
    stops = (found.get("formula") or {}).get("stops") or []
    blocks[:0] = [Text(f"STOP: {s}") for s in stops]
    steps = (found.get("formula") or {}).get("steps") or []
    if steps:
        blocks.append(Bullets("Made so", [str(s) for s in steps], numbered=True))
    show(Report(found, blocks, Table("", ["what", "value"], rows), "journal show"), how)


def _cell(value: Any) -> Any:
    if isinstance(value, float):
        return number(value)
    if isinstance(value, list):
        return "; ".join(str(_cell(v)) for v in value)
    if isinstance(value, dict):
        return ", ".join(f"{k} {_cell(v)}" for k, v in value.items() if v is not None)
    return value


@journal.command("lots")
@click.argument("code")
@file_option
@format_option()
def lots(code: str, place: Path | None, how: str) -> None:
    """Where a lot went: every batch, day, site and bottle that holds it.

    \b
    Example:
      pairing journal lots GC-24-11
    """
    from pairing.bar.journal import open_journal

    with open_journal(place, write=False) as book:
        found = book.trace(code)
    blocks: list[Text | Bullets | Table] = []
    rows = []
    for lot in found["lots"]:
        count = len(lot["batches"])
        use_by = f", use by {lot['use_by']}" if lot["use_by"] else ""
        blocks.append(
            Text(
                f"Lot {lot['code']} of {lot['ingredient']}"
                + (f" from {lot['supplier']}" if lot["supplier"] else "")
                + f"{use_by}: in {count} batch{'es' if count != 1 else ''}"
                + ("." if not count else "; hold or recall these:")
            )
        )
        mine = [
            [b["number"], b["name"], b["made_on"], b["site"], b["bottles"]] for b in lot["batches"]
        ]
        blocks.append(Table("", ["batch", "name", "made on", "site", "bottles"], mine))
        rows += [[lot["ingredient"], lot["code"], *r] for r in mine]
    table = Table("", ["ingredient", "lot", "batch", "name", "made_on", "site", "bottles"], rows)
    show(Report(found, blocks, table, "journal lots"), how)


@journal.command("learned")
@file_option
@format_option()
def learned(place: Path | None, how: str) -> None:
    """Predicted against measured: how your own pot boils and strains.

    \b
    Example:
      pairing journal learned
    """
    from pairing.bar import journal_learned
    from pairing.bar.journal import open_journal

    with open_journal(place, write=False) as book:
        found = journal_learned.learned(book)
    lines = []
    for word, factor, span, count, need in (
        ("boils off", found.evaporation, found.evaporation_interval, found.evaporation_batches,
         "weigh the pot before straining (--pot-g)"),
        ("loses in straining", found.straining, found.straining_interval, found.straining_batches,
         "weigh the pot before straining and the syrup (--pot-g, --yield-g)"),
    ):  # fmt: skip
        if count:
            lines.append(
                f"your pot {word} {factor:.2f} times what a formula predicts ({span[0]:.2f} to "
                f"{span[1]:.2f}, {count} batch{'es' if count > 1 else ''})"
            )
        else:
            lines.append(f"what it {word} is not known yet: {need}")
    if found.brix_batches:
        lines.append(
            f"measured °Bx is {found.brix_gap:+.1f} of predicted ({found.brix_batches} "
            f"batch{'es' if found.brix_batches > 1 else ''})"
        )
    head = (
        "Your own pot, from the batches you weighed:"
        if found.evaporation_batches or found.straining_batches
        else "Nothing is learned of your pot yet."
    )
    rows = [[k, v] for k, v in found.to_dict().items()]
    table = Table("", ["what", "value"], rows)
    show(Report(found.to_dict(), [Text(head), Bullets("", lines)], table, "journal learned"), how)


@journal.command("export")
@click.option("--to", type=click.Path(path_type=Path), metavar="FILE",
              help="JSON of everything, or CSV of tastings when it ends in .csv.")  # fmt: skip
@file_option
@click.option("--format", "how", type=click.Choice(("json", "csv")), help="When printed.")
def export(to: Path | None, place: Path | None, how: str | None) -> None:
    """Everything out of the journal, to keep elsewhere or take in again.

    \b
    Examples:
      pairing journal export --to journal-2026.json
      pairing journal export --to tastings.csv
    """
    from pairing.bar import journal_exchange
    from pairing.bar.journal import open_journal

    kind = how or ("csv" if to is not None and to.suffix.lower() == ".csv" else "json")
    with open_journal(place, write=False) as book:
        text = (
            journal_exchange.tastings_csv(book)
            if kind == "csv"
            else json.dumps(journal_exchange.export(book), ensure_ascii=False, indent=2) + "\n"
        )
        counts = book.counts()
    if to is None:
        click.echo(text, nl=False)
        return
    write_atomically(to, text)
    said = f"{counts['tasting']} tastings"
    if kind == "json":
        said += f", {counts['batch']} batches, {counts['lot']} lots"
    click.echo(f"{said} are in {to}.")


@journal.command("import")
@click.argument("path", metavar="FILE", type=click.Path(path_type=Path))
@file_option
def import_(path: Path, place: Path | None) -> None:
    """Take in an export: JSON of everything, or CSV of tastings; all of it or nothing.

    \b
    Example:
      pairing journal import journal-2026.json

    What is there already is passed over, so that the same file may be taken in twice.
    """
    from pairing.bar import journal_exchange
    from pairing.bar.journal import open_journal

    text = read_text(path, LARGEST_FILE)
    if path.suffix.lower() == ".csv":
        with open_journal(place) as book:
            new = journal_exchange.take_in_csv(book, text, path.name)
        click.echo(f"{new} tastings taken in.")
        return
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        raise PairingError(f"{path.name} is not JSON; give a file of: journal export") from None
    with open_journal(place) as book:
        new, old = journal_exchange.take_in(book, document)
    click.echo(f"{new} records taken in, {old} were there already.")


@journal.command("forget")
@click.argument("taster")
@click.option("--answers", is_flag=True, help="Remove what they answered too.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@file_option
def forget(taster: str, answers: bool, yes: bool, place: Path | None) -> None:
    """Forget a person for good; what they answered stays without a name, or goes too.

    \b
    Example:
      pairing journal forget Ana

    Files you exported, sheets and photos are not touched: look after those yourself.
    """
    from pairing.bar.journal import open_journal

    if not yes:
        click.confirm(f"Forget {quoted(taster)} for good?", abort=True)
    with open_journal(place) as book:
        theirs, left = book.forget(taster, answers=answers)
    went = "are gone" if answers else "stay without a name"
    count = "1 tasting" if theirs == 1 else f"{theirs} tastings"
    went = went if theirs != 1 else went.replace("are", "is").replace("stay ", "stays ")
    click.echo(f"{quoted(taster)} is forgotten; {count} {went}.")
    if left:
        click.echo(
            f"{left} note{'s' if left > 1 else ''} still say{'' if left > 1 else 's'} the name: "
            f"pairing journal search {taster}"
        )
