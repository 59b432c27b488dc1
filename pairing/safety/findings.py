"""What the safety engine answers: findings, in the order of danger, and what a person reads first.

Levels
------
``stop``
    Do not make or serve it: law, an acute poison dose, or a plant toxin's daily intake passed by
    one drink.
``limit``
    Half of such a figure or more, something not known that can hurt, or something a named group
    of guests must not have.
``caution``, ``note``
    To know, to say on the menu, to keep in mind.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pairing.evidence.safety_tables import GRAVITY

__all__ = [
    "DEFER",
    "GRAVITY",
    "MOST_LINES",
    "POISON_CENTRE",
    "Finding",
    "FirstLines",
    "first_lines",
    "has_stop",
    "in_order",
    "is_acute",
    "plain_number",
]

DEFER = (
    "General information: your environmental health officer (labels, keeping), process authority "
    "(shelf life) or pharmacist (medicines) decides."
)
POISON_CENTRE = (
    "If somebody has drunk it and feels ill: call a poison centre or the emergency number now "
    "(EU 112; UK 111 or 999; US 1-800-222-1222 or 911), and do not make them vomit."
)
MOST_LINES = 6  # of one syrup, above what --cautions prints
NEAR = 0.5  # share of a figure from which it is worth its level (our choice, no source)


@dataclass(frozen=True, slots=True)
class Finding:
    """One answer of the safety engine.

    Attributes
    ----------
    level : str
        ``stop``, ``limit``, ``caution`` or ``note``.
    code : str
        ``regulated``, ``poison``, ``beyond``, ``unknown`` (nobody assessed the plant),
        ``allergen``, ``allergen-unknown``, ``allergen-maybe``, ``allergen-stated``,
        ``supplier``, ``limit``, ``caffeine``, ``alcohol``, ``hazard``, ``market``,
        ``override``, ``loosened`` or ``basis``.
    subject : str
        Substance, ingredient or hazard.
    amount, limit : float or None
        In ``unit``.
    unit : str
    jurisdiction, basis, who, text : str
        Text is one plain sentence with the number and the limit.
    source_ids : tuple of str
    row_id : str
        The table row behind it.
    words : tuple of str
        Of an allergen: the words that declare it.
    lists : tuple of str
        Of an allergen: ``EU14``, ``US9``, ``cross-reaction``, ``other``.
    name : str
        What the bar calls an own subject; empty for a shipped one.
    """

    level: str
    code: str
    subject: str
    amount: float | None = None
    unit: str = ""
    limit: float | None = None
    jurisdiction: str = ""
    basis: str = ""
    who: str = "everyone"
    text: str = ""
    source_ids: tuple[str, ...] = ()
    row_id: str = ""
    words: tuple[str, ...] = ()
    lists: tuple[str, ...] = ()
    name: str = ""

    @property
    def spoken(self) -> str:
        """The subject as a sentence says it."""
        return self.name or self.subject.replace("-", " ")

    @property
    def ratio(self) -> float:
        """Amount over limit; 0 where there is no number."""
        return self.amount / self.limit if self.amount and self.limit else 0.0


def has_stop(findings: Iterable[Finding]) -> bool:
    """Whether any finding says stop.

    Parameters
    ----------
    findings : iterable of Finding

    Returns
    -------
    bool
    """
    return any(f.level == "stop" for f in findings)


def is_acute(finding: Finding) -> bool:
    """Whether a stop is about what can make somebody ill now, so that a poison centre helps.

    Parameters
    ----------
    finding : Finding

    Returns
    -------
    bool
        False for all that is no stop.
    """
    if finding.level != "stop":
        return False
    toxic = finding.code == "hazard" and finding.basis in ("toxic", "look-alike", "dose")
    figure = finding.code == "limit" and finding.basis in ("per serving", "per day")
    return toxic or figure or finding.code in ("poison", "beyond", "unknown")


def plain_number(value: float) -> str:
    """Two significant digits, without exponents.

    Parameters
    ----------
    value : float
        In any unit.

    Returns
    -------
    str
    """
    if value == 0:
        return "0"
    digits = max(0, 1 - math.floor(math.log10(abs(value))))
    text = f"{round(value, digits):.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


# The order of danger: what harms a guest first is read first.
_BANDS = {
    "unknown": 1,
    "loosened": 1,
    "allergen-unknown": 2,
    "allergen": 3,
    "allergen-maybe": 3,
    "poison": 4,
    "override": 4,
    "caffeine": 6,
    "limit": 6,
    "alcohol": 5,
    "market": 9,
    "supplier": 7,
    "allergen-stated": 7,
    "basis": 10,
}
_TOPICS = {
    "allergy": 3,
    "group": 5,
    "interaction": 5,
    "toxic": 4,
    "dose": 6,
    "look-alike": 7,
    "contaminant": 7,
    "novel": 7,
    "labelling": 7,
    "handling": 8,
}


def band(finding: Finding) -> int:
    """Place in the order of danger: 0 stops ... 8 kitchen, 9 other markets, 10 the basis."""
    if finding.level == "stop":
        return 0
    if finding.code == "regulated":
        return 9
    if finding.code == "hazard":
        return _TOPICS.get(finding.basis, 8)
    return _BANDS.get(finding.code, 8)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in the order of danger; within a place by level, nearness of the figure, name.

    Parameters
    ----------
    findings : iterable of Finding

    Returns
    -------
    tuple of Finding
        The worst first.
    """
    return tuple(
        sorted(
            findings,
            key=lambda f: (
                band(f),
                f.code != "regulated",
                GRAVITY.index(f.level),
                -f.ratio,
                f.code,
                f.row_id,
                f.subject,
            ),
        )
    )


class FirstLines(NamedTuple):
    """What stands above ``--cautions``.

    Attributes
    ----------
    stops : tuple of str
        Never folded, never cut.
    lines : tuple of str
        At most six, in the order of danger.
    left_out : int
        Findings that no line above speaks of.
    """

    stops: tuple[str, ...]
    lines: tuple[str, ...]
    left_out: int


def first_lines(findings: Sequence[Finding], told: Iterable[str] = ()) -> FirstLines:
    """The stops, and at most six lines on this drink, each place of the order in one.

    Parameters
    ----------
    findings : sequence of Finding
        From :func:`pairing.safety.assess.assess`.
    told : iterable of str
        Rows that the steps of a plan already answer.

    Returns
    -------
    FirstLines
    """
    done = set(told)
    ordered = [f for f in in_order(findings) if f.row_id not in done or f.level == "stop"]
    spoken: list[Finding] = [f for f in ordered if f.level == "stop"]
    lines: list[str] = []

    def say(chosen: Sequence[Finding], text: str) -> None:
        if chosen:
            lines.append(text)
            spoken.extend(chosen)

    def of(*bands: int) -> list[Finding]:
        return [f for f in ordered if band(f) in bands and f.level != "stop"]

    unknown = of(1)
    say(unknown, " ".join(f.text for f in unknown))
    open_, listed = of(2), [f for f in of(3) if f.level != "note"]
    say([*open_, *listed], _allergen_line(open_, listed))
    poison = of(4)
    guests = [f for f in of(5) if f.level != "note"]
    figures = [f for f in of(6) if f.code != "hazard" and f.level in ("limit", "caution")]
    say(poison[:2], " ".join(f.text for f in poison[:2]))
    say(guests, _guest_line(guests))
    say(figures, _figure_line(figures))
    lots = [f for f in of(7) if f.level in ("limit", "caution")]
    kitchen = [f for f in of(8) if f.level in ("limit", "caution")]
    say(lots[:3], "Buying: " + " ".join(f.text for f in lots[:3]))
    if len(lines) < MOST_LINES:
        say(kitchen[:2], "Kitchen: " + " ".join(f.text for f in kitchen[:2]))
    said = {id(f) for f in spoken}
    rest = sum(id(f) not in said for f in findings if f.row_id not in done or f.level == "stop")
    return FirstLines(
        tuple(f.text for f in ordered if f.level == "stop"), tuple(lines[:MOST_LINES]), rest
    )


def _allergen_line(open_: Sequence[Finding], listed: Sequence[Finding]) -> str:
    parts = [f.text for f in open_]
    words: dict[str, list[str]] = {}
    for f in listed:
        if f.code == "allergen" and set(f.lists) & {"EU14", "US9"}:
            where = " and ".join(
                {"EU14": "EU, UK", "US9": "US"}[x] for x in f.lists if x != "other"
            )
            for w in f.words:
                words.setdefault(where, []).append(w.upper())
    if words:
        parts.append(
            "Contains "
            + "; ".join(
                f"{', '.join(dict.fromkeys(w))} ({where} list)" for where, w in words.items()
            )
            + "."
        )
    parts += [f.text for f in listed if f.code == "allergen-maybe"]
    relatives: dict[str, list[str]] = {}
    for f in listed:
        if f.code == "allergen" and not set(f.lists) & {"EU14", "US9"}:
            for w in f.words:
                relatives.setdefault(w, []).append(f.spoken)
    others = [f for f in listed if f.code == "hazard"]
    asked = dict.fromkeys([f"{' and '.join(dict.fromkeys(n))} ({w})" for w, n in relatives.items()])
    asked |= dict.fromkeys(
        f"{f.spoken} ({f.who})"
        for f in others
        if not any(f.spoken in n for n in relatives.values())
        and not any(g.code == "allergen" and g.subject == f.subject for g in listed)
    )
    if asked:
        parts.append("On no list, tell guests with that allergy: " + "; ".join(asked) + ".")
    return " ".join(parts)


def _guest_line(guests: Sequence[Finding]) -> str:
    """One line on guests who must not, or who ask their pharmacist first."""
    who: dict[str, list[str]] = {}
    for f in guests:
        name = f.spoken
        if name not in who.setdefault(f.who, []):
            who[f.who].append(name)
    named = "; ".join(f"{w} ({', '.join(n)})" for w, n in who.items())
    asks = any(f.basis == "interaction" for f in guests)
    tail = " Guests who take medicines ask their pharmacist." if asks else ""
    return f"Tell these guests first: {named}.{tail}"


def _figure_line(figures: Sequence[Finding]) -> str:
    """The figure of each substance that is nearest its limit, worst first."""
    nearest: dict[str, Finding] = {}
    for f in figures:
        if f.code == "caffeine":
            nearest.setdefault("caffeine", f)
        elif f.subject not in nearest or f.ratio > nearest[f.subject].ratio:
            nearest[f.subject] = f
    worth = sorted(nearest.values(), key=lambda f: (GRAVITY.index(f.level), -f.ratio))
    told = worth[:2] + [
        f for f in worth[2:] if f.code == "caffeine"
    ]  # every drink has its caffeine
    return _joined([f.text for f in told])


def _joined(figures: Sequence[str]) -> str:
    """Figures of which one law says the same share that law: its words stand once."""
    shares: dict[str, list[str]] = {}
    for text in figures:
        figure, of, law = text.partition(" % of ")
        shares.setdefault(of + law or text, []).append(figure)
    return " ".join(
        " %, ".join([parts[0], *(f"{x[0].lower()}{x[1:]}" for x in parts[1:])]) + law
        if law.startswith(" % of ")
        else law
        for law, parts in shares.items()
    )
