"""A step of a plan as a record, from which its sentence is made."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

__all__ = ["Step", "grams_word", "joined", "span_word"]


def grams_word(grams: float) -> str:
    """Grams as a kitchen scale shows them, finer where little is weighed, kilograms from 10 kg.

    Parameters
    ----------
    grams : float
        Its mass [g].

    Returns
    -------
    str
    """
    if grams < 1.0:
        return f"{grams:.2f} g"
    if grams >= 9_995:
        return f"{grams / 1000.0:.1f} kg"
    return f"{grams:.1f} g" if grams < 20 else f"{grams:,.0f} g"


def span_word(minutes: float) -> str:
    """Minutes as they are said: minutes to 90, then half hours.

    Parameters
    ----------
    minutes : float
        Minutes.

    Returns
    -------
    str
    """
    if minutes >= 90:
        hours = round(minutes / 30) / 2
        half = " 1/2" if hours % 1 else ""
        return f"{int(hours)}{half} hour{'s' if hours > 1 else ''}"
    return f"{minutes:.0f} minute{'s' if minutes >= 2 else ''}"


def joined(words: Sequence[str]) -> str:
    """``a, b and c``.

    Parameters
    ----------
    words : sequence of str
        What to join.

    Returns
    -------
    str
    """
    return ", ".join(words[:-1]) + (" and " if len(words) > 1 else "") + words[-1]


class Step(NamedTuple):
    """One step of a plan.

    Attributes
    ----------
    what : str
        What is done: ``prepare``, ``infuse water``, ``dissolve``, ``caramel``, ``stop``,
        ``boil off``, ``simmer``, ``steep``, ``sealed bag``, ``cold``,
        ``stir in``, ``strain``, ``whisk in``, ``weigh`` or ``bottle``.
    wording : str
        The sentence, with ``{items}``, ``{names}``, ``{temperature}``, ``{minutes}``, ``{until}``
        and ``{why}`` where the record goes.
    items : tuple of (str, float)
        Names and grams of what the step handles.
    temperature_c : (float, float), optional
        From and to [°C].
    minutes : float, optional
        How long.
    until : str
        What tells that it is done.
    why : str
        What for.
    """

    what: str
    wording: str
    items: tuple[tuple[str, float], ...] = ()
    temperature_c: tuple[float, float] | None = None
    minutes: float | None = None
    until: str = ""
    why: str = ""

    def __str__(self) -> str:
        """The sentence."""
        low, high = self.temperature_c or (0.0, 0.0)
        span = f"{low:.0f}" if round(low) == round(high) else f"{low:.0f}-{high:.0f}"
        return self.wording.format(
            items=joined([f"{grams_word(g)} {n}" for n, g in self.items]) if self.items else "",
            names=joined([n for n, _ in self.items]) if self.items else "",
            temperature=f"{span} °C",
            minutes="" if self.minutes is None else span_word(self.minutes),
            until=self.until,
            why=self.why,
        )
