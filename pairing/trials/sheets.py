"""Blind sheets: who drinks which coded cup when, and reading back what they wrote.

Cups carry three-digit random codes, another one for every cup, so that nobody can follow a trial
from taster to taster (ISO 4120, 5.5; ISO 6658). The key stays in the kitchen.
"""

from __future__ import annotations

import csv
import io
import math
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pairing.errors import CONTROL, PairingError, quoted
from pairing.trials.discrimination import power, read_count, tasters_needed
from pairing.trials.liking import read_just_right, read_liking
from pairing.trials.orders import blind_codes, blocks, presentation, williams
from pairing.trials.preference import read_pairs
from pairing.trials.protocols import PORTION_ML, PROTOCOLS, WATER, Protocol, protocol
from pairing.trials.ranking import read_ranking
from pairing.trials.verdict import ALPHA, Reading, people

__all__ = ["Caffeine", "Cup", "Sheet", "from_dict", "make_sheet", "read_answers", "to_csv"]

CUPS = 6  # at a sitting; common practice, no source: aroma tires the nose
MOST_TASTERS = 200
REFERENCE = "R"
YES = {"1", "1.0", "x", "yes", "y", "✓"}
NO = {"", "0", "0.0", "no", "n"}


@dataclass(frozen=True)
class Cup:
    """One cup.

    Attributes
    ----------
    taster : str
    sitting, set, place : int
        From 1; a set is what is compared: a triad, a pair, or a whole flight.
    code : str
        Three digits, or ``R`` for the open reference.
    trial : str
        What is in it: kitchen only.
    """

    taster: str
    sitting: int
    set: int
    place: int
    code: str
    trial: str


@dataclass(frozen=True)
class Caffeine:
    """Caffeine that a sitting brings to one taster.

    Attributes
    ----------
    cups : int
        At the fullest sitting.
    sitting_mg, whole_mg : float
        High end, of the fullest sitting and of all sittings.
    single_mg, day_mg : float
        Guidance for a healthy adult.
    warning : str
        Empty where within guidance.
    """

    cups: int
    sitting_mg: float
    whole_mg: float
    single_mg: float
    day_mg: float
    warning: str


@dataclass(frozen=True, repr=False)
class Sheet:
    """A tasting.

    Attributes
    ----------
    protocol : Protocol
    trials, tasters : tuple of str
    cups : tuple of Cup
        In serving order.
    qualities : tuple of str
        Asked on a just-about-right sheet.
    portion_ml : float
    balanced : bool
        Whether orders (and incomplete blocks) are exactly balanced.
    seed : int
    notes : tuple of str
    order : tuple of str
        Trials in an order settled before tasting (a dose ladder), for a ranking.
    """

    protocol: Protocol
    trials: tuple[str, ...]
    tasters: tuple[str, ...]
    cups: tuple[Cup, ...]
    qualities: tuple[str, ...]
    portion_ml: float
    balanced: bool
    seed: int
    notes: tuple[str, ...]
    order: tuple[str, ...] = ()

    def __repr__(self) -> str:
        """One line."""
        return (
            f"<Sheet: {self.protocol.protocol_id}, {len(self.trials)} trials, "
            f"{len(self.tasters)} tasters, {len(self.cups)} cups>"
        )

    @property
    def sittings(self) -> int:
        """How many times they sit down."""
        return max(c.sitting for c in self.cups)

    def of(self, taster: str) -> tuple[Cup, ...]:
        """Cups of one taster in serving order.

        Parameters
        ----------
        taster : str

        Returns
        -------
        tuple of Cup
        """
        return tuple(c for c in self.cups if c.taster == taster)

    def to_dict(self) -> dict[str, Any]:
        """The sheet with its key, for the kitchen."""
        return {
            "protocol": self.protocol.protocol_id,
            "standard": self.protocol.standard,
            "question": self.protocol.question,
            "trials": list(self.trials),
            "order": list(self.order),
            "tasters": list(self.tasters),
            "qualities": list(self.qualities),
            "portion_ml": self.portion_ml,
            "rest_s": self.protocol.rest_s,
            "water": WATER,
            "sittings": self.sittings,
            "balanced": self.balanced,
            "seed": self.seed,
            "notes": list(self.notes),
            "key": [
                {
                    "taster": c.taster,
                    "sitting": c.sitting,
                    "set": c.set,
                    "place": c.place,
                    "code": c.code,
                    "trial": c.trial,
                }
                for c in self.cups
            ],
        }


def _same(name: str) -> str:
    """A name as it is called across the bar: no capitals, accents or double blanks."""
    plain = unicodedata.normalize("NFKD", " ".join(name.split()).casefold())
    return "".join(c for c in plain if not unicodedata.combining(c))


def _names(tasters: int | Sequence[str]) -> tuple[str, ...]:
    if isinstance(tasters, int):
        tasters = [f"T{i}" for i in range(1, tasters + 1)] if 0 < tasters <= MOST_TASTERS else []
    names = tuple(CONTROL.sub(" ", str(t)).strip() for t in tasters)
    if not 1 <= len(names) <= MOST_TASTERS:
        raise PairingError(f"give 1 to {MOST_TASTERS} tasters, by number or by name")
    if not all(names) or len({_same(n) for n in names}) != len(names):
        raise PairingError(
            "two tasters have the same name, or one has none; name each once (capitals and "
            "accents tell nobody apart)"
        )
    return names


def make_sheet(
    how: str,
    trials: Sequence[str],
    tasters: int | Sequence[str],
    *,
    cups: int = CUPS,
    qualities: Sequence[str] = (),
    portion_ml: float = PORTION_ML,
    order: Sequence[str] = (),
    seed: int | None = None,
) -> Sheet:
    """Orders and codes for a tasting.

    Parameters
    ----------
    how : str
        Protocol.
    trials : sequence of str
        What is tasted.
    tasters : int or sequence of str
        How many, or their names.
    cups : int
        Most cups a taster has at a sitting.
    qualities : sequence of str
        For just-about-right.
    portion_ml : float
        In each cup, 5 to 250 ml.
    order : sequence of str
        Trials in an order settled beforehand (a dose ladder), for a ranking.
    seed : int, optional
        For the codes and orders; a fresh one when not given.

    Returns
    -------
    Sheet

    Raises
    ------
    PairingError
        When trials, cups and protocol do not fit together.
    """
    known = protocol(how)
    names = _names(tasters)
    low, high = known.samples
    if not low <= len(trials) <= high:
        raise PairingError(
            f"{known.protocol_id} compares {low}{f' to {high}' if high > low else ''} trials, not "
            f"{len(trials)}; name them with --only"
        )
    if len(set(trials)) != len(trials):
        raise PairingError("a trial is named twice")
    if not 5 <= portion_ml <= 250:
        raise PairingError(f"a portion of {portion_ml:g} ml; give 5 to 250")
    if cups < 2 or cups > 20:
        raise PairingError(f"{cups} cups at a sitting; give 2 to 20")
    if known.protocol_id == "just-right" and not qualities:
        raise PairingError("just-right asks about qualities; name them, such as sweet or cardamom")
    if seed is None:
        seed = int(np.random.default_rng().integers(1, 2**31))
    rng = np.random.default_rng(seed)
    notes: list[str] = []
    if known.protocol_id in ("triangle", "duo-trio", "paired"):
        served, balanced = _two(known, trials, names, rng, notes)
    elif known.protocol_id == "pairs":
        served, balanced = _every_pair(trials, names, cups, rng)
    else:
        served, balanced = _flights(known, trials, names, cups, seed, rng, notes)
    taken: list[int] = []
    out: list[Cup] = []
    for name in names:
        mine = [s for s in served if s[0] == name]
        if len(taken) > 400:
            taken = []  # a code may come back at another taster, never at the same one
        codes = blind_codes(len(mine), rng, taken)
        taken += codes
        for (_, sitting, number, place, trial, role), code in zip(mine, codes, strict=True):
            out.append(Cup(name, sitting, number, place, role or str(code), trial))
    return Sheet(
        known,
        tuple(trials),
        names,
        tuple(out),
        tuple(qualities) if known.protocol_id == "just-right" else (),
        portion_ml,
        balanced,
        seed,
        tuple(notes),
        tuple(order),
    )


Served = tuple[str, int, int, int, str, str]  # taster, sitting, set, place, trial, role


def _two(
    known: Protocol,
    trials: Sequence[str],
    names: Sequence[str],
    rng: np.random.Generator,
    notes: list[str],
) -> tuple[list[Served], bool]:
    orders = presentation(known.protocol_id)
    turns = [orders[i % len(orders)] for i in range(len(names))]
    rng.shuffle(turns)
    which = {"A": trials[0], "B": trials[1]}
    served: list[Served] = []
    for name, turn in zip(names, turns, strict=True):
        for place, letter in enumerate(turn, 1):
            role = REFERENCE if known.protocol_id == "duo-trio" and place == 1 else ""
            served.append((name, 1, 1, place, which[letter], role))
    uneven = len(names) % len(orders)
    if uneven:
        notes.append(
            f"orders are exactly balanced with {len(names) - uneven + len(orders)} tasters"
            + (f" or {len(names) - uneven}" if len(names) > uneven else "")
        )
    return served, not uneven


def _every_pair(
    trials: Sequence[str], names: Sequence[str], cups: int, rng: np.random.Generator
) -> tuple[list[Served], bool]:
    both = [(a, b) for i, a in enumerate(trials) for b in trials[i + 1 :]]
    a_sitting = max(1, cups // 2)
    served: list[Served] = []
    for turn, name in enumerate(names):
        order = rng.permutation(len(both))
        for number, k in enumerate(order, 1):
            a, b = both[int(k)]
            first = (a, b) if (turn + int(k)) % 2 == 0 else (b, a)
            sitting = 1 + (number - 1) // a_sitting
            served += [(name, sitting, number, p, t, "") for p, t in enumerate(first, 1)]
    return served, len(names) % 2 == 0


def _flights(
    known: Protocol,
    trials: Sequence[str],
    names: Sequence[str],
    cups: int,
    seed: int,
    rng: np.random.Generator,
    notes: list[str],
) -> tuple[list[Served], bool]:
    size = min(cups, len(trials))
    if known.protocol_id == "just-right" and len(trials) == 1:
        return [(n, 1, 1, 1, trials[0], "") for n in names], True
    sittings = 1 if size == len(trials) else math.ceil(len(trials) / size)
    shared = blocks(len(trials), size, len(names), sittings, seed)
    square = williams(size)
    served: list[Served] = []
    for i, name in enumerate(names):
        for sitting in range(sittings):
            mine = [trials[j] for j in shared.of(i, sitting)]
            if size < len(trials):
                rng.shuffle(mine)
            row = square[(i + sitting) % len(square)]
            served += [
                (name, sitting + 1, sitting + 1, place, mine[j], "")
                for place, j in enumerate(row, 1)
            ]
    even = len(names) % len(square) == 0
    if size < len(trials):
        low, high = shared.together
        notes.append(
            f"{len(trials)} trials in {sittings} sittings of {size} cups: "
            + (
                f"every two meet {low} times"
                if shared.balanced
                else f"two trials meet {low} to {high} times"
            )
        )
    elif not even:
        notes.append(f"orders are exactly balanced with a multiple of {len(square)} tasters")
    return served, shared.balanced and (even or size < len(trials))


# --- how many tasters, how much caffeine --------------------------------------------------


def strength_words(sheet: Sheet, share: float = 0.5) -> str:
    """What a panel of this size finds, in a sentence; empty where no exact power is known."""
    known, count = sheet.protocol, len(sheet.tasters)
    if known.guess is None:
        return ""
    chance = power(count, share, known.guess, ALPHA, known.two_sided)
    needed = tasters_needed(share, known.guess, ALPHA, 0.8, known.two_sided)
    who = "half of your guests notice" if share == 0.5 else f"{100 * share:.0f} % notice"
    enough = "enough" if count >= needed else f"{needed} tasters find it 8 times in 10"
    find = "finds" if count == 1 else "find"
    often = "almost never" if chance < 0.05 else f"{10 * chance:.0f} times in 10"
    often = "once in 10" if often.startswith("1 ") else often
    return f"{people(count)} {find} a difference that {who} {often}: {enough}."


def caffeine(
    sheet: Sheet, mg_per_drink: float, drink_ml: float, single_mg: float, day_mg: float
) -> Caffeine:
    """Caffeine per taster, high end, against guidance for healthy adults.

    Parameters
    ----------
    sheet : Sheet
    mg_per_drink : float
        High end in a full drink, mg.
    drink_ml : float
    single_mg, day_mg : float
        Guidance at once and a day.

    Returns
    -------
    Caffeine
    """
    if not (mg_per_drink >= 0 and drink_ml > 0):
        raise PairingError("give caffeine of 0 mg or more and a drink of more than 0 ml")
    each = mg_per_drink * sheet.portion_ml / drink_ml
    first = sheet.of(sheet.tasters[0])
    per = [sum(c.sitting == s for c in first) for s in range(1, sheet.sittings + 1)]
    most, whole = max(per), sum(per)
    warning = ""
    if each * most > single_mg:
        warning = (
            f"up to {each * most:.0f} mg caffeine a taster at one sitting, above the "
            f"{single_mg:.0f} mg at once for a healthy adult: fewer or smaller cups, or taste "
            "over decaf"
        )
    elif each * whole > day_mg:
        warning = (
            f"up to {each * whole:.0f} mg caffeine a taster in all sittings, above the "
            f"{day_mg:.0f} mg a day: sit on different days, or taste over decaf"
        )
    return Caffeine(most, each * most, each * whole, single_mg, day_mg, warning)


# --- the file to fill in ------------------------------------------------------------------


def columns(sheet: Sheet) -> list[str]:
    """Columns of the file to fill in."""
    return ["taster", "sitting", "set", "place", "code", "answer", *sheet.qualities, "note"]


def to_csv(sheet: Sheet) -> str:
    """The file to fill in; nothing in it tells what a cup holds.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    str
        CSV.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns(sheet))
    for c in sheet.cups:
        blank = [""] * (len(sheet.qualities) + 2)
        name = "'" + c.taster if c.taster[:1] in "=+-@" else c.taster
        writer.writerow([name, c.sitting, c.set, c.place, c.code, *blank])
    return out.getvalue()


def from_dict(document: Mapping[str, Any]) -> Sheet:
    """A sheet from its JSON document.

    Parameters
    ----------
    document : mapping

    Returns
    -------
    Sheet

    Raises
    ------
    PairingError
        When it is no sheet.
    """
    try:
        known = PROTOCOLS[document["protocol"]]
        cups = tuple(
            Cup(str(k["taster"]), int(k["sitting"]), int(k["set"]), int(k["place"]),
                str(k["code"]), str(k["trial"]))
            for k in document["key"]
        )  # fmt: skip
        sheet = Sheet(
            known,
            tuple(map(str, document["trials"])),
            tuple(map(str, document["tasters"])),
            cups,
            tuple(map(str, document.get("qualities", ()))),
            float(document["portion_ml"]),
            bool(document["balanced"]),
            int(document["seed"]),
            tuple(document.get("notes", ())),
            tuple(map(str, document.get("order", ()))),
        )
    except (KeyError, TypeError, ValueError, AttributeError):
        raise PairingError(
            "this is no tasting sheet; give the JSON file that `pairing trials sheet` wrote"
        ) from None
    if not cups or {c.trial for c in cups} - set(sheet.trials):
        raise PairingError("this sheet's key names trials that it does not list; make it anew")
    return sheet


@dataclass(frozen=True)
class Answer:
    """One line that a taster filled in: cup, answer, marks by quality, note."""

    cup: Cup
    value: str
    marks: Mapping[str, str]
    note: str


def answers(sheet: Sheet, text: str, where: str = "answers") -> tuple[Answer, ...]:
    """The filled-in file, checked line by line against the sheet.

    Raises
    ------
    PairingError
        For a missing column, a line that is no cup of this sheet, or one given twice.
    """
    if "\0" in text:
        raise PairingError(f"{where} holds NUL bytes; it should be a CSV text")
    first = text.lstrip("\ufeff").partition("\n")[0]
    mark = ";" if first.count(";") > first.count(",") else ","  # spreadsheets of many countries
    try:
        rows = list(csv.DictReader(io.StringIO(text.lstrip("\ufeff")), delimiter=mark))
    except csv.Error as err:
        raise PairingError(f"{where} is no CSV file: {err}") from None
    need = ["taster", "code", "answer", *sheet.qualities]
    missing = [c for c in need if not rows or c not in rows[0]]
    if missing:
        raise PairingError(f"{where} has no column {missing[0]!r}; fill in the file of the sheet")
    key = {(c.taster, c.code): c for c in sheet.cups if c.code != REFERENCE}
    opened = {(c.taster, c.code) for c in sheet.cups if c.code == REFERENCE}
    found: dict[tuple[str, str], Answer] = {}
    for line, row in enumerate(rows, 2):
        cells = {k: (v or "").strip() for k, v in row.items() if isinstance(k, str)
                 and not isinstance(v, list)}  # fmt: skip
        if not any(cells.values()):
            continue
        who = (cells["taster"].removeprefix("'"), cells["code"].removesuffix(".0"))
        if who in opened:
            continue
        cup = key.get(who)
        if cup is None:
            raise PairingError(
                f"{where}, line {line}: taster {quoted(who[0])} has no cup {quoted(who[1])} on "
                "this sheet"
            )
        if who in found:
            raise PairingError(f"{where}, line {line}: {who[0]}'s cup {who[1]} stands there twice")
        marks = {q: cells.get(q, "") for q in sheet.qualities}
        note = CONTROL.sub(" ", cells.get("note", ""))
        found[who] = Answer(cup, cells["answer"], marks, note)
    return tuple(found.values())


def _number(text: str, what: str) -> float | None:
    if not text:
        return None
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise PairingError(f"{what}: {quoted(text)} is not a number")
    return value


def _picks(sheet: Sheet, given: Sequence[Answer]) -> tuple[list[Cup], list[str]]:
    """The cup picked in each set; sets without exactly one pick are left out and said."""
    groups: dict[tuple[str, int], list[Answer]] = {}
    for a in given:
        groups.setdefault((a.cup.taster, a.cup.set), []).append(a)
    picked, left = [], []
    for (taster, number), mine in groups.items():
        chosen = []
        for a in mine:
            word = a.value.lower()
            if word not in YES | NO:
                raise PairingError(
                    f"{taster}, cup {a.cup.code}: {quoted(a.value)}; put 1 at the cup picked and "
                    "nothing at the others"
                )
            if word in YES:
                chosen.append(a.cup)
        if len(chosen) == 1:
            picked.append(chosen[0])
        else:
            said = "no cup" if not chosen else f"{len(chosen)} cups"
            again = f", set {number}" if sheet.protocol.protocol_id == "pairs" else ""
            left.append(f"{taster}{again} picked {said}")
    return picked, left


def read_answers(
    sheet: Sheet, given: Sequence[Answer], *, alpha: float = ALPHA, one_sided: bool = False
) -> tuple[Reading, tuple[str, ...]]:
    """Read a filled-in sheet.

    Parameters
    ----------
    sheet : Sheet
    given : sequence of Answer
    alpha : float
        Chance of calling luck a finding that is put up with.
    one_sided : bool
        In a paired test, when settled before tasting.

    Returns
    -------
    (Reading, tuple of str)
        And who was left out, with the reason.

    Raises
    ------
    PairingError
        For answers that mean nothing, or when nobody answered.
    """
    kind = sheet.protocol.protocol_id
    if kind in ("triangle", "duo-trio", "paired", "pairs"):
        picked, left = _picks(sheet, given)
        if not picked:
            raise PairingError("nobody has picked a cup yet; fill in the answers first")
        if kind == "pairs":
            return _read_pairs(sheet, picked, alpha), tuple(left)
        correct = sum(_right(sheet, cup) for cup in picked)
        reading = read_count(
            sheet.protocol,
            correct,
            len(picked),
            first=sheet.trials[0],
            second=sheet.trials[1],
            alpha=alpha,
            one_sided=one_sided,
        )
        return reading, tuple(left)
    table, flights, left = _table(sheet, given)
    if kind == "ranking":
        return read_ranking(sheet.trials, table, order=sheet.order, alpha=alpha), tuple(left)
    if kind == "liking":
        return read_liking(sheet.trials, table, alpha=alpha), tuple(left)
    like = {t: [row[j] for row in table] for j, t in enumerate(sheet.trials)}
    marks: dict[tuple[str, str], list[float | None]] = {
        (t, q): [None] * len(flights) for t in sheet.trials for q in sheet.qualities
    }
    for a in given:
        if (a.cup.taster, a.cup.set) in flights:
            row = flights.index((a.cup.taster, a.cup.set))
            for q, text in a.marks.items():
                marks[a.cup.trial, q][row] = _number(text, f"{a.cup.taster}, cup {a.cup.code}, {q}")
    return read_just_right(like, marks, alpha=alpha), tuple(left)


def _right(sheet: Sheet, cup: Cup) -> bool:
    """Whether a pick is right (paired: whether it is the second trial)."""
    kind = sheet.protocol.protocol_id
    if kind == "paired":
        return cup.trial == sheet.trials[1]
    mine = [c for c in sheet.of(cup.taster) if c.set == cup.set]
    if kind == "triangle":
        return sum(c.trial == cup.trial for c in mine) == 1
    return any(c.code == REFERENCE and c.trial == cup.trial for c in mine)


def _read_pairs(sheet: Sheet, picked: Sequence[Cup], alpha: float) -> Reading:
    counts: dict[tuple[str, str], list[int]] = {}
    for cup in picked:
        mine = [c.trial for c in sheet.of(cup.taster) if c.set == cup.set]
        a, b = sorted(mine)
        counts.setdefault((a, b), [0, 0])[cup.trial == b] += 1
    tasters = len({c.taster for c in picked})
    return read_pairs({k: (v[0], v[1]) for k, v in counts.items()}, tasters=tasters, alpha=alpha)


def liking_table(sheet: Sheet, given: Sequence[Answer]) -> list[list[float | None]]:
    """Liking as flights x trials.

    Raises
    ------
    PairingError
        When the sheet did not ask for liking, or nobody has answered.
    """
    if sheet.protocol.protocol_id not in ("liking", "just-right"):
        raise PairingError(
            f"a palate is learned from liking, not from {sheet.protocol.protocol_id}; make a sheet "
            "with --protocol liking"
        )
    return _table(sheet, given)[0]


def _table(
    sheet: Sheet, given: Sequence[Answer]
) -> tuple[list[list[float | None]], list[tuple[str, int]], list[str]]:
    """Answers as flights x trials: what a taster had at one sitting is compared within itself."""
    cells: dict[tuple[str, int], dict[str, float]] = {}
    for a in given:
        value = _number(a.value, f"{a.cup.taster}, cup {a.cup.code}")
        if value is not None:
            cells.setdefault((a.cup.taster, a.cup.set), {})[a.cup.trial] = value
    least = 1 if len(sheet.trials) == 1 else 2
    flights = [f for f in cells if len(cells[f]) >= least]
    asked = dict.fromkeys((c.taster, c.set) for c in sheet.cups)
    left = [
        f"{taster}{f', sitting {number}' if sheet.sittings > 1 else ''} gave fewer than {least} "
        "answers"
        for taster, number in asked
        if (taster, number) not in flights
    ]
    if not flights:
        raise PairingError("nobody has answered yet; fill in the answers first")
    table = [[cells[f].get(k) for k in sheet.trials] for f in flights]
    return table, flights, left
