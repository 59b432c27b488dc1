"""Reading a CSV table into records, with one clear line for a table that cannot be read."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, cast, get_type_hints

from pairing.errors import PairingError


def _number(text: str) -> float:
    return float(text)


def _optional_number(text: str) -> float | None:
    return float(text) if text else None


def _optional_integer(text: str) -> int | None:
    return int(float(text)) if text else None


def _words(text: str) -> tuple[str, ...]:
    return tuple([w for part in text.split(";") if (w := part.strip())]) if text else ()


def _integers(text: str) -> tuple[int, ...]:
    return tuple(int(w) for w in text.split(";") if w.strip()) if text else ()


def _yes(text: str) -> bool:
    return text == "yes"


_CONVERTERS: dict[Any, Callable[[str], Any]] = {
    str: str,
    float: _number,
    int: int,
    float | None: _optional_number,
    int | None: _optional_integer,
    tuple[str, ...]: _words,
    tuple[int, ...]: _integers,
    bool: _yes,
}

MAX_TABLE_BYTES = 20_000_000

R = TypeVar("R")


@cache
def converters(record: type[Any]) -> tuple[tuple[str, Callable[[str], Any]], ...]:
    """Field names of a record with the function that reads each from text."""
    return tuple((name, _CONVERTERS[kind]) for name, kind in get_type_hints(record).items())


def read_rows(path: Path) -> tuple[list[str], list[list[str]]]:
    """Header and rows of a CSV file.

    Parameters
    ----------
    path : Path
        A UTF-8 CSV file with a header line.

    Returns
    -------
    (header, rows)

    Raises
    ------
    PairingError
        When the file is missing, empty, too large, not UTF-8, not CSV, or a row has the
        wrong number of cells; the message names file and line.
    """
    try:
        size = path.stat().st_size
    except OSError:
        raise PairingError(f"{path.name}: no such file in {path.parent.name}/") from None
    if size == 0:
        raise PairingError(f"{path.name} is empty; it should start with a header line")
    if size > MAX_TABLE_BYTES:
        raise PairingError(
            f"{path.name} has {size / 1e6:.0f} MB; a table may have at most "
            f"{MAX_TABLE_BYTES / 1e6:.0f} MB"
        )
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as err:
        raise PairingError(
            f"{path.name} is not UTF-8 text (byte {err.start}); save it as UTF-8"
        ) from None
    if "\0" in text:
        raise PairingError(f"{path.name} holds NUL bytes; it should be a UTF-8 CSV text")
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        rows = [row for row in reader if row]
    except csv.Error as err:
        raise PairingError(f"{path.name} line {reader.line_num}: not CSV ({err})") from None
    if not rows:
        raise PairingError(f"{path.name} is empty; it should start with a header line")
    header, body = rows[0], rows[1:]
    if not body:
        raise PairingError(f"{path.name} has a header but no rows")
    for number, row in enumerate(body, 2):
        if len(row) != len(header):
            raise PairingError(
                f"{path.name} row {number}: {len(row)} cells, the header has {len(header)}"
            )
    return header, body


def records(record: type[R], path: Path) -> tuple[R, ...]:
    """Read a table into records; columns must be the record's fields, in any order."""
    header, rows = read_rows(path)
    plan = converters(cast(Any, record))
    missing = [name for name, _ in plan if name not in header]
    if missing:
        raise PairingError(f"{path.name} lacks the column {missing[0]!r}")
    columns = list(zip(*rows, strict=True))  # read by columns: a third of the time
    cells = [(columns[header.index(name)], convert) for name, convert in plan]
    try:
        return tuple(map(record, *(c if read is str else map(read, c) for c, read in cells)))
    except ValueError:
        _blame(path, rows, header, plan)
        raise


def _blame(
    path: Path,
    rows: list[list[str]],
    header: list[str],
    plan: Iterable[tuple[str, Callable[[str], Any]]],
) -> None:
    for number, row in enumerate(rows, 2):
        for name, convert in plan:
            value = row[header.index(name)]
            try:
                convert(value)
            except ValueError:
                raise PairingError(
                    f"{path.name} row {number}, column {name}: {value!r} is not a number"
                ) from None


def data_folder() -> Path:
    """Folder of the shipped data package (inside the wheel, or beside a checkout)."""
    inside = Path(__file__).resolve().parents[1] / "data"
    return inside if inside.is_dir() else inside.parent.parent / "data"
