"""What a record of the journal may hold, and how it is checked."""

from __future__ import annotations

import itertools
import json
import math
from collections.abc import Mapping
from datetime import date
from typing import Any

from pairing.errors import CONTROL, PairingError, quoted

__all__ = ["FIELDS", "KINDS", "as_json", "checked", "day", "number_of", "ordered", "parsed", "text"]

LONGEST_TEXT = 4000
LARGEST_DOCUMENT = 2_000_000
KINDS = ("batch", "tasting", "lot")

# what may be given of each kind: column -> (low, high) for numbers, None for text
FIELDS: dict[str, dict[str, tuple[float, float] | None]] = {
    "batch": {
        "name": None, "made_on": None, "site": None, "who": None, "note": None, "bottles": None,
        "put_in_g": (0.1, 1e7), "pot_g": (0.1, 1e7), "yield_g": (0.1, 1e7),
        "brix": (0.0, 95.0), "ph": (0.0, 14.0),
    },
    "tasting": {
        "trial": None, "tasted_on": None, "taster": None, "protocol": None, "panel": None,
        "answer": None, "note": None, "liking": (1.0, 9.0), "sitting": (1, 1000),
    },
    "lot": {
        "ingredient": None, "code": None, "supplier": None, "received_on": None, "use_by": None,
        "note": None,
    },
}  # fmt: skip
NEEDED = {"batch": "name", "tasting": "trial", "lot": "ingredient"}
DAYS = ("made_on", "tasted_on", "received_on", "use_by")


def text(what: str, value: Any) -> str:
    """A text without control characters, not too long.

    Parameters
    ----------
    what : str
        Named in an error.
    value : object

    Returns
    -------
    str

    Raises
    ------
    PairingError
        For more than ``LONGEST_TEXT`` characters.
    """
    text = CONTROL.sub(" ", str(value).replace("\r\n", "\n")).strip()
    if len(text) > LONGEST_TEXT:
        raise PairingError(f"{what} has {len(text)} characters; at most {LONGEST_TEXT}")
    return text


def day(what: str, value: str | None) -> str | None:
    """A day, YYYY-MM-DD; None where none is given.

    Parameters
    ----------
    what : str
        Named in an error.
    value : str or None

    Returns
    -------
    str or None

    Raises
    ------
    PairingError
        For what is not a day.
    """
    if value is None or value == "":
        return None
    try:
        return date.fromisoformat(str(value)).isoformat()
    except ValueError:
        raise PairingError(f"{what}: {quoted(value)} is not a day; write 2026-11-24") from None


def checked(kind: str, given: Mapping[str, Any], where: str = "") -> dict[str, Any]:
    """A record with known fields, numbers in range, days as days, and no control characters.

    Parameters
    ----------
    kind : str
        ``batch``, ``tasting`` or ``lot``.
    given : mapping
    where : str
        Stands before an error.

    Returns
    -------
    dict
        Only what is given.

    Raises
    ------
    PairingError
        For an unknown field, a number out of range, a day that is none, a needed field missing.
    """
    place = f"{where}: " if where else ""
    out: dict[str, Any] = {}
    for key, value in given.items():
        if key not in FIELDS[kind]:
            raise PairingError(
                f"{place}unknown {kind} field {quoted(key)}; one of {', '.join(FIELDS[kind])}"
            )
        if value is None or value == "":
            continue
        window = FIELDS[kind][key]
        if key in DAYS:
            out[key] = day(f"{place}{key}", value)
        elif window is None:
            out[key] = text(f"{place}{key}", value)
        else:
            try:
                number = float(value)
            except (TypeError, ValueError):
                number = math.nan
            if not window[0] <= number <= window[1]:
                raise PairingError(
                    f"{place}{key} {quoted(value)}: give {window[0]:g} to {window[1]:g}"
                )
            out[key] = int(number) if key == "sitting" else number
    if not out.get(NEEDED[kind]):
        raise PairingError(f"{place}a {kind} needs its {NEEDED[kind]}")
    return out


def ordered(record: Mapping[str, Any]) -> None:
    """What comes out of a pot is not more than went in.

    Parameters
    ----------
    record : mapping
        With any of ``put_in_g, pot_g, yield_g``, g.

    Raises
    ------
    PairingError
        When more came out than went in.
    """
    steps = [(k, record[k]) for k in ("put_in_g", "pot_g", "yield_g") if record.get(k)]
    for (a, more), (b, less) in itertools.pairwise(steps):
        if less > more:
            raise PairingError(f"{b} {less:g} is more than {a} {more:g}; check the weights")


def as_json(value: Any) -> str | None:
    """A document as it is kept.

    Parameters
    ----------
    value : mapping or None

    Returns
    -------
    str or None
        None for nothing.

    Raises
    ------
    PairingError
        For what JSON cannot hold, what is no mapping, and more than ``LARGEST_DOCUMENT`` letters.
    """
    if value is None or value == {}:
        return None
    if not isinstance(value, Mapping):
        raise PairingError("a formula, doses and marks are JSON objects")
    try:
        text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    except (TypeError, ValueError):
        raise PairingError("a formula, doses or marks hold what JSON cannot") from None
    if len(text) > LARGEST_DOCUMENT:
        raise PairingError("a formula document of more than 2 MB; save the formula alone")
    return text


def parsed(text: str, where: str) -> Any:
    """JSON of a cell.

    Parameters
    ----------
    text : str
    where : str
        Named in an error.

    Returns
    -------
    object

    Raises
    ------
    PairingError
        For what is not JSON.
    """
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise PairingError(f"{where}: {quoted(text)} is not JSON") from None


def number_of(value: Any) -> int:
    """A batch number, as ``12`` or ``b12``.

    Parameters
    ----------
    value : object

    Returns
    -------
    int

    Raises
    ------
    PairingError
        For what is no whole number.
    """
    text = str(value).strip().lower().removeprefix("b").removesuffix(".0")
    if not text.isascii() or not text.isdigit() or len(text) > 9:
        raise PairingError(f"{quoted(value)} is no batch number; give one such as 12")
    return int(text)
