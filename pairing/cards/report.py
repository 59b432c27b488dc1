"""One report, four ways to print it: a table for people, JSON, CSV and Markdown for the rest."""

from __future__ import annotations

import csv
import io
import json
import math
import re
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import click

from pairing.errors import CONTROL
from pairing.files import write_atomically

SCHEMA_VERSION = 2  # of every document; raise it when one of ``schemas/`` changes after a release
FORMATS = ("table", "json", "csv", "markdown")
PICTURE = "pairing.picture"  # where a command keeps the file of --picture

__all__ = [
    "FORMATS",
    "SCHEMA_VERSION",
    "Bullets",
    "Report",
    "Table",
    "Text",
    "closed",
    "emit",
    "error",
    "lines_of",
    "number",
    "render",
    "save_picture",
    "show",
]


class Text(NamedTuple):
    """A paragraph.

    Attributes
    ----------
    text : str
    close : bool
        Printed right under the paragraph before it, with no line between.
    """

    text: str
    close: bool = False


class Bullets(NamedTuple):
    """A titled list; ``numbered`` for steps.

    Attributes
    ----------
    title : str
        Empty for none.
    items : sequence of str
    numbered : bool
    """

    title: str
    items: Sequence[str]
    numbered: bool = False


class Table(NamedTuple):
    """A table; the last text column takes the room that is left and wraps.

    Attributes
    ----------
    title : str
        Empty for none.
    columns : sequence of str
    rows : sequence of sequence
        A cell for each column.
    """

    title: str
    columns: Sequence[str]
    rows: Sequence[Sequence[Any]]


@dataclass(frozen=True)
class Report:
    """What a command has to say.

    Attributes
    ----------
    document : mapping
        For ``--format json``; ``schema_version`` is put in front.
    blocks : sequence of Text, Bullets, Table
        For people.
    data : Table
        For ``--format csv``.
    command : str
        The command it answers.
    extra : mapping
        More formats, text by name.
    schema : str
        Name of the document's JSON Schema, where it is not the command's.
    """

    document: Mapping[str, Any]
    blocks: Sequence[Text | Bullets | Table]
    data: Table
    command: str = ""
    extra: Mapping[str, str] = field(default_factory=dict)
    schema: str = ""

    @property
    def whole(self) -> dict[str, Any]:
        """The document as it is printed: what it is and its schema version in front."""
        head = {
            "document": self.schema or self.command.replace(" ", "-"),
            "schema_version": SCHEMA_VERSION,
            "command": self.command,
        }
        plain: dict[str, Any] = _plain({**head, **self.document})
        return plain


def number(value: float | None, digits: int = 3) -> str:
    """A number with so many significant digits, without an exponent.

    Parameters
    ----------
    value : float or None
        None and NaN are not known.
    digits : int

    Returns
    -------
    str
        Thousands with commas; empty for None and NaN.
    """
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return ""
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:,.{min(places, 9)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _plain(value: Any) -> Any:
    """Numbers JSON can carry: no NaN, no numpy scalars, a float kept to 6 digits."""
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    if hasattr(value, "item") and not isinstance(value, (str, bytes)):
        value = value.item()
    if isinstance(value, float):
        return None if not math.isfinite(value) else float(f"{value:.6g}")
    return value


def _width() -> int:
    return max(60, min(100, shutil.get_terminal_size((80, 24)).columns))


def cell(value: Any) -> str:
    if isinstance(value, float):
        return number(value)
    return "" if value is None else str(value).replace("\n", " ")


def _fit(natural: list[int], least: list[int], room: int) -> list[int]:
    """Column widths that fit: the widest columns give way first, none below its least."""
    widths = list(natural)
    while sum(widths) > room:
        wide = [i for i in range(len(widths)) if widths[i] > least[i]]
        if not wide:
            break
        widths[max(wide, key=lambda i: widths[i])] -= 1
    return widths


def _text_table(table: Table, width: int) -> str:
    from tabulate import tabulate

    rows = [[cell(v) for v in row] for row in table.rows]
    columns = [cell(c) for c in table.columns]
    # tabulate puts two blanks between columns and pads every header by two
    natural = [max([len(c) + 2, *(len(r[i]) for r in rows)]) for i, c in enumerate(columns)]
    # a column never cuts a word; ids and numbers have no blanks, so that they can be copied
    least = [
        max([8, *(len(w) for r in rows for w in r[i].split()), *(len(w) + 2 for w in c.split())])
        for i, c in enumerate(columns)
    ]
    widths = _fit(natural, least, width - 2 * (len(natural) - 1))
    if sum(widths) > width - 2 * (len(natural) - 1):
        widths = _fit(natural, [8] * len(natural), width - 2 * (len(natural) - 1))

    def wrapped(text: str, room: int) -> str:
        if len(text) <= room:
            return text
        return "\n".join(textwrap.wrap(text, room, break_on_hyphens=False)) or text

    numeric = [
        bool(rows) and all(_is_number(r[i]) for r in rows if r[i]) for i in range(len(natural))
    ]
    return tabulate(
        [[wrapped(v, widths[i]) for i, v in enumerate(r)] for r in rows],
        headers=[wrapped(c, widths[i] - 2) for i, c in enumerate(columns)],
        tablefmt="simple",
        disable_numparse=True,
        colalign=["right" if n else "left" for n in numeric] if rows else None,
    )


def _is_number(text: str) -> bool:
    try:
        float(text.replace(",", ""))
    except ValueError:
        return False
    return True


def _as_text(report: Report, width: int) -> str:
    parts: list[str] = []
    for block in report.blocks:
        if isinstance(block, Text):
            typed = block.text.startswith("Next: ")  # a command: a name is not torn apart
            filled = textwrap.fill(block.text, width, break_on_hyphens=not typed)
            if block.close and parts:
                parts[-1] += f"\n{filled}"
            else:
                parts.append(filled)
        elif isinstance(block, Bullets):
            lines = [textwrap.fill(block.title, width)] if block.title else []
            for i, item in enumerate(block.items, 1):
                mark = f"{i:>2}. " if block.numbered else "  - "
                lines.append(
                    textwrap.fill(
                        item, width, initial_indent=mark, subsequent_indent=" " * len(mark)
                    )
                )
            parts.append("\n".join(lines))
        elif block.rows:
            head = f"{textwrap.fill(block.title, width)}\n" if block.title else ""
            parts.append(head + _text_table(block, width))
    return "\n\n".join(parts) + "\n"


def closed(texts: Sequence[Text]) -> list[Text]:
    """Paragraphs of one kind, printed with no line between them.

    Parameters
    ----------
    texts : sequence of Text

    Returns
    -------
    list of Text
    """
    return [Text(t.text, close=i > 0) for i, t in enumerate(texts)]


def lines_of(blocks: Sequence[Text | Bullets | Table], width: int) -> int:
    """Lines that blocks take in print.

    Parameters
    ----------
    blocks : sequence of Text, Bullets or Table
    width : int
        Columns.

    Returns
    -------
    int
    """
    return len(_as_text(Report({}, list(blocks), Table("", [], []), ""), width).splitlines())


def _markdown_cell(value: Any) -> str:
    text = cell(value).replace("\\", "\\\\").replace("|", "\\|").replace("\n", " ")
    return re.sub(r"([\[\]`#])", r"\\\1", text.replace("<", "&lt;"))


def _as_markdown(report: Report) -> str:
    parts = []
    for block in report.blocks:
        if isinstance(block, Text):
            parts.append(_markdown_cell(block.text))
        elif isinstance(block, Bullets):
            head = [f"**{_markdown_cell(block.title)}**", ""] if block.title else []
            marks = [f"{i}." if block.numbered else "-" for i in range(1, len(block.items) + 1)]
            lines = [f"{m} {_markdown_cell(t)}" for m, t in zip(marks, block.items, strict=True)]
            parts.append("\n".join([*head, *lines]))
        elif block.rows:
            head = [f"**{_markdown_cell(block.title)}**", ""] if block.title else []
            lines = [
                "| " + " | ".join(_markdown_cell(c) for c in block.columns) + " |",
                "|" + " --- |" * len(block.columns),
                *("| " + " | ".join(_markdown_cell(v) for v in row) + " |" for row in block.rows),
            ]
            parts.append("\n".join([*head, *lines]))
    return "\n\n".join(parts) + "\n"


def _csv_cell(value: Any) -> Any:
    """A cell as CSV holds it; the two usual kinds first, for files of many rows."""
    if type(value) is str:
        return _csv_text(value)
    if type(value) is float:
        return float(f"{value:.6g}") if math.isfinite(value) else None
    value = _plain(value)
    if isinstance(value, list):
        value = ";".join(str(v) for v in value)
    return _csv_text(value) if isinstance(value, str) else value


@lru_cache(maxsize=65536)
def _csv_text(value: str) -> str:
    """Text that a spreadsheet would run as a formula gets an apostrophe in front."""
    value = CONTROL.sub(lambda m: m[0] if m[0] in "\n\t" else "", value)
    if value.lstrip()[:1] in ("=", "+", "-", "@") or value[:1] in ("\t", "\r", "\n"):
        return "'" + value
    return value


def _as_csv(table: Table) -> str:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.columns)
    writer.writerows([_csv_cell(v) for v in row] for row in table.rows)
    return out.getvalue()


def render(report: Report, how: str) -> str:
    """The report as text in one of :data:`FORMATS` (or a format of ``report.extra``).

    Nothing that a terminal would obey is left in it but tabs and line ends.

    Parameters
    ----------
    report : Report
    how : str

    Returns
    -------
    str
    """
    return CONTROL.sub(lambda m: m[0] if m[0] in "\n\t" else "", _rendered(report, how))


def _rendered(report: Report, how: str) -> str:
    if how in report.extra:
        return report.extra[how]
    if how == "json":
        return json.dumps(report.whole, ensure_ascii=False, indent=2) + "\n"
    if how == "csv":
        return _as_csv(report.data)
    if how == "markdown":
        return _as_markdown(report)
    return _as_text(report, _width())


# what a poor terminal cannot show, in plain words; it is tried only where the encoding fails
PLAIN_WORDS = {
    "°Bx": "Brix",
    " °C": " deg C",
    "°C": "deg C",
    "°": " deg",
    "µ": "u",
    "±": "+/-",
    "×": "x",
    "·": "-",
    "→": "->",
    "≤": "at most ",
    "≥": "at least ",
    "–": "-",
    "—": "-",
    "’": "'",
    "“": '"',
    "”": '"',
    "…": "...",
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
}


def degrade(text: str, encoding: str) -> str:
    """Text that ``encoding`` can carry: plain words for signs, letters without their accents."""
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        for sign, word in PLAIN_WORDS.items():
            if not _carries(sign, encoding):
                text = text.replace(sign, word)
        out = [c if _carries(c, encoding) else unicodedata.normalize("NFKD", c) for c in text]
        text = "".join(out).encode(encoding, "ignore").decode(encoding)
    return text


def _carries(text: str, encoding: str) -> bool:
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


def error(line: str, code: int, err: Exception | None = None) -> str:
    """An error as JSON: its kind, the line a person reads, the nearest known names.

    Parameters
    ----------
    line : str
        What a person reads.
    code : int
        Exit code; 64 and above are faults of the program.
    err : Exception, optional

    Returns
    -------
    str
        JSON.
    """
    kinds = {
        "UnknownNameError": "unknown-name",
        "NothingFoundError": "nothing-found",
        "RefusedError": "must-not-be-served",
        "RefusedNameError": "must-not-be-served",
    }
    document = {
        "error": {
            "kind": kinds.get(type(err).__name__, "fault" if code >= 64 else "bad-input"),
            "message": line,
            "nearest": list(getattr(err, "nearest", ())),
            "exit_code": code,
        }
    }
    return render(Report(document, [], Table("", [], []), "", schema="error"), "json")


def show(report: Report, how: str) -> None:
    """Print a report to standard output, and write its pictures to the file of ``--picture``.

    Parameters
    ----------
    report : Report
    how : str
        As for :func:`render`.

    Raises
    ------
    PairingError
        When there is nothing to draw.
    """
    save_picture(report)
    emit(render(report, how), how)


def save_picture(report: Report) -> None:
    """Write the pictures of a report to the file of ``--picture``, where one was named.

    Parameters
    ----------
    report : Report

    Raises
    ------
    PairingError
        When there is nothing to draw.
    """
    context = click.get_current_context(silent=True)
    picture: Path | None = context.meta.get(PICTURE) if context is not None else None
    if picture is not None:
        from pairing.cards.pictures import sheet

        drawn = sheet(report.whole)
        write_atomically(picture, drawn)
        click.echo(f"wrote {picture}", err=True)


def emit(text: str, how: str) -> None:
    """Write text to standard output; what a machine reads is UTF-8 on every terminal.

    Parameters
    ----------
    text : str
    how : str
        One of :data:`FORMATS`; a table is cut down to the signs the terminal can show.
    """
    raw = getattr(sys.stdout, "buffer", None)
    if how == "table" or raw is None:
        encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
        click.echo(degrade(text, encoding), nl=False)
    else:
        sys.stdout.flush()
        raw.write(text.encode("utf-8"))
        raw.flush()
