"""Errors that a person can act on: one line that says what was wrong and what would be right."""

from __future__ import annotations

import re
from typing import Any

__all__ = [
    "CONTROL",
    "NothingFoundError",
    "PairingError",
    "RefusedError",
    "RefusedNameError",
    "UnknownNameError",
    "quoted",
]

# what a terminal obeys or a reader cannot see: C0 and C1 controls, line and paragraph
# separators, and the marks that turn the direction of writing (Unicode Standard Annex 9)
CONTROL = re.compile(
    "[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]"
)


def quoted(value: object, most: int = 60) -> str:
    """A value as an error message echoes it: in quotes, cut, nothing that a terminal obeys.

    Parameters
    ----------
    value : object
    most : int
        Characters to show at most; 4 or more.

    Returns
    -------
    str
        A short number as it stands, anything else as its ``repr``.
    """
    text = str(value)
    if isinstance(value, (int, float)) and len(text) <= most:
        return text
    return repr(text if len(text) <= most else text[: most - 3] + "...")


class PairingError(ValueError):
    """Bad input: the message is one line, says what was wrong and what would be right."""


class RefusedError(PairingError):
    """A plant or thing that must not be served (the command line exits with 3)."""


class UnknownNameError(PairingError):
    """A name that no table knows.

    Parameters
    ----------
    what : str
        What was looked for, such as ``"ingredient"``.
    name : str
        The name as given.
    nearest : sequence of str
        The nearest known names, best first; may be empty.
    message : str, optional
        The line to say, where more is known of the name than that it is unknown.
    """

    def __init__(
        self,
        what: str,
        name: str,
        nearest: list[str] | tuple[str, ...] = (),
        message: str | None = None,
    ) -> None:
        self.what, self.name = what, name
        self.nearest = tuple(n for n in nearest if n.strip())
        hint = f"; did you mean {', '.join(self.nearest)}?" if self.nearest else ""
        super().__init__(message or f"unknown {what} {quoted(name)}{hint}")

    def __reduce__(self) -> tuple[Any, ...]:
        """How a process pool sends it."""
        return type(self), (self.what, self.name, self.nearest, str(self))


class RefusedNameError(UnknownNameError, RefusedError):
    """The name of a thing that must not be served, such as a poisonous plant."""


class NothingFoundError(PairingError):
    """A well-formed question that has no answer (the command line exits with 1)."""
