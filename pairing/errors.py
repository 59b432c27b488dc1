"""Errors that a person can act on: one line that says what was wrong and what would be right."""

from __future__ import annotations

__all__ = ["NothingFoundError", "PairingError", "UnknownNameError"]


class PairingError(ValueError):
    """Bad input: the message is one line, says what was wrong and what would be right."""


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
        self.what, self.name, self.nearest = what, name, tuple(nearest)
        shown = name if len(name) <= 60 else name[:57] + "..."
        hint = f"; did you mean {', '.join(self.nearest)}?" if self.nearest else ""
        super().__init__(message or f"unknown {what} {shown!r}{hint}")


class NothingFoundError(PairingError):
    """A well-formed question that has no answer (the command line exits with 1)."""
