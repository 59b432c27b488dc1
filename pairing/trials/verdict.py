"""What a reading says: a plain sentence first, the numbers after."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

__all__ = ["ALPHA", "POWER", "Reading", "holm", "joined", "leaders", "luck", "people"]

ALPHA = 0.05  # common practice in sensory analysis: one false alarm in twenty panels
POWER = 0.80  # common practice: a panel that finds a real difference eight times in ten


@dataclass(frozen=True, repr=False)
class Reading:
    """A panel, read.

    Attributes
    ----------
    method : str
        Test and standard.
    told_apart : bool
        Whether luck is ruled out at ``alpha``.
    sentence : str
        What to tell the bar.
    p_value : float or None
        How often luck alone does as much or more.
    alpha : float
        The level asked for.
    attained : float or None
        The level really held: exact tests are discrete and hold a smaller one.
    tasters : int
    more_tasters : int or None
        A fresh panel of so many would settle it; None where it is settled.
    numbers : mapping
        Everything else, for machines.
    lines : sequence of str
        More sentences for people.
    """

    method: str
    told_apart: bool
    sentence: str
    p_value: float | None
    alpha: float
    attained: float | None
    tasters: int
    more_tasters: int | None = None
    numbers: Mapping[str, Any] = field(default_factory=dict)
    lines: Sequence[str] = ()

    def __repr__(self) -> str:
        """One line."""
        return f"<Reading: {self.sentence}>"

    def to_dict(self) -> dict[str, Any]:
        """The reading for JSON."""
        return {
            "method": self.method,
            "told_apart": self.told_apart,
            "sentence": self.sentence,
            "lines": list(self.lines),
            "p_value": self.p_value,
            "alpha": self.alpha,
            "attained_level": self.attained,
            "tasters": self.tasters,
            "more_tasters": self.more_tasters,
            **self.numbers,
        }


def luck(p_value: float) -> str:
    """A probability as a bar says it: ``once in 260``.

    Parameters
    ----------
    p_value : float
        0 to 1.

    Returns
    -------
    str
        ``50 times in 100`` above 0.4.
    """
    if p_value > 0.4:
        return f"{100 * min(p_value, 1.0):.0f} times in 100"
    times = 1.0 / max(p_value, 1e-12)
    if times > 1e6:
        return "less than once in a million"
    step = 10 ** max(0, math.floor(math.log10(times)) - 1)
    return f"once in {round(times / step) * step:,.0f}"


def leaders(names: Sequence[str], values: Sequence[float]) -> str:
    """Who stands first, with those that stand there too: ``A leads``, ``A and B lead alike``.

    Parameters
    ----------
    names : sequence of str
    values : sequence of float
        The higher the better.

    Returns
    -------
    str
        ``no trial leads`` where all stand alike.
    """
    top = max(values)
    first = [n for n, v in zip(names, values, strict=True) if v >= top - 1e-9]
    if len(first) == len(names) > 1:
        return "no trial leads"
    return f"{first[0]} leads" if len(first) == 1 else f"{joined(first)} lead alike"


def people(count: int) -> str:
    """So many tasters, in words.

    Parameters
    ----------
    count : int

    Returns
    -------
    str
        ``1 taster``, ``12 tasters``.
    """
    return f"{count} taster{'' if count == 1 else 's'}"


def holm(p_values: Sequence[float]) -> list[float]:
    """P-values adjusted for reading several at once (Holm 1979, Scand. J. Statist. 6:65).

    Parameters
    ----------
    p_values : sequence of float
        0 to 1, of questions asked together.

    Returns
    -------
    list of float
        In the order given, each at most 1.
    """
    order = sorted(range(len(p_values)), key=lambda i: p_values[i])
    adjusted = [1.0] * len(p_values)
    worst = 0.0
    for step, i in enumerate(order):
        worst = max(worst, min(1.0, (len(p_values) - step) * p_values[i]))
        adjusted[i] = worst
    return adjusted


def joined(words: Sequence[str]) -> str:
    """Words as a sentence lists them: ``A, B and C``.

    Parameters
    ----------
    words : sequence of str

    Returns
    -------
    str
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
