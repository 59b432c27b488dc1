"""Who gets which cup, in which order, under which code.

Williams designs (Williams 1949, Aust. J. Sci. Res. A 2:149): every trial stands equally often in
every place and follows every other equally often, so that neither the first sip nor the cup before
favours anybody. Where there are more trials than cups at a sitting, tasters get incomplete blocks,
as balanced as the numbers allow (Cochran and Cox 1957, Experimental Designs, ch. 11).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pairing.errors import PairingError

__all__ = ["Blocks", "blind_codes", "blocks", "presentation", "williams"]

CODES = [c for c in range(100, 1000) if len(set(str(c))) == 3]  # three different digits
MOST_TRIALS = 64


def williams(trials: int) -> tuple[tuple[int, ...], ...]:
    """Orders balanced for place and for the cup before.

    Parameters
    ----------
    trials : int
        Cups at a sitting, 2 or more.

    Returns
    -------
    tuple of tuple of int
        As many orders as trials, or twice as many when the number is odd.

    Raises
    ------
    PairingError
        For fewer than 2 cups.
    """
    if trials < 2:
        raise PairingError(f"{trials} cups have no order to balance; give 2 or more")
    first = [0]
    for step in range(1, trials):
        first.append((step + 1) // 2 if step % 2 else trials - step // 2)
    square = [tuple((c + shift) % trials for c in first) for shift in range(trials)]
    if trials % 2:
        square += [tuple(reversed(row)) for row in square]
    return tuple(square)


def presentation(protocol: str) -> tuple[str, ...]:
    """The serving orders of a two-trial test, each used equally often.

    Triangle, ISO 4120: ABB, BAA, AAB, BBA, ABA, BAB. Duo-trio, ISO 10399, balanced reference: the
    first letter is the reference. Paired, ISO 5495: AB, BA.

    Parameters
    ----------
    protocol : str
        ``triangle``, ``duo-trio`` or ``paired``.

    Returns
    -------
    tuple of str
        A and B in serving order.
    """
    return {
        "triangle": ("ABB", "BAA", "AAB", "BBA", "ABA", "BAB"),
        "duo-trio": ("AAB", "ABA", "BAB", "BBA"),
        "paired": ("AB", "BA"),
    }[protocol]


def blind_codes(count: int, rng: np.random.Generator, taken: Sequence[int] = ()) -> list[int]:
    """Three-digit codes, no two alike, with no digit twice.

    Parameters
    ----------
    count : int
    rng : numpy.random.Generator
    taken : sequence of int
        Codes not to use.

    Returns
    -------
    list of int

    Raises
    ------
    PairingError
        When more are wanted than there are.
    """
    free = [c for c in CODES if c not in set(taken)]
    if count > len(free):
        raise PairingError(f"{count} cups need more codes than there are ({len(free)}); split them")
    return [int(c) for c in rng.choice(free, size=count, replace=False)]


@dataclass(frozen=True)
class Blocks:
    """Which trials each taster gets at each sitting.

    Attributes
    ----------
    blocks : tuple of tuple of int
        Trials of one taster at one sitting, taster by taster, sitting by sitting.
    tasters, sittings : int
    per_trial : tuple of int
        How often each trial is tasted.
    together : tuple of (int, int)
        Fewest and most times two trials meet in a block.
    balanced : bool
        Each trial equally often and each pair equally often.
    """

    blocks: tuple[tuple[int, ...], ...]
    tasters: int
    sittings: int
    per_trial: tuple[int, ...]
    together: tuple[int, int]
    balanced: bool

    def of(self, taster: int, sitting: int) -> tuple[int, ...]:
        """Trials of a taster (0 first) at a sitting (0 first).

        Parameters
        ----------
        taster, sitting : int
            From 0.

        Returns
        -------
        tuple of int
        """
        return self.blocks[taster * self.sittings + sitting]


def blocks(trials: int, cups: int, tasters: int, sittings: int = 1, seed: int = 1) -> Blocks:
    """Share trials out over tasters and sittings.

    Parameters
    ----------
    trials : int
    cups : int
        Most cups a taster has at a sitting.
    tasters, sittings : int
    seed : int

    Returns
    -------
    Blocks
        Complete where all trials fit a sitting; else incomplete and as balanced as a search finds:
        ``balanced`` says whether exactly.

    Raises
    ------
    PairingError
        For fewer than two trials or cups, or so few tasters that some trial is never tasted.
    """
    if not 2 <= trials <= MOST_TRIALS:
        raise PairingError(f"{trials} trials; give 2 to {MOST_TRIALS}")
    if cups < 2 or tasters < 1 or sittings < 1:
        raise PairingError("give 2 cups or more a sitting, 1 taster or more and 1 sitting or more")
    size = min(cups, trials)
    count = tasters * sittings
    if count * size < trials:
        raise PairingError(
            f"{tasters} tasters with {size} cups at {sittings} sitting(s) cannot taste {trials} "
            "trials once; take more tasters or sittings"
        )
    if size == trials:
        chosen = [tuple(range(trials))] * count
    else:
        chosen = _incomplete(trials, size, count, sittings, np.random.default_rng(seed))
    table = _incidence(chosen, trials)
    meet = (table.T @ table)[np.triu_indices(trials, 1)]
    per = table.sum(axis=0)
    return Blocks(
        tuple(chosen),
        tasters,
        sittings,
        tuple(int(x) for x in per),
        (int(meet.min()), int(meet.max())),
        bool(meet.min() == meet.max() and per.min() == per.max()),
    )


def _incidence(chosen: Sequence[Sequence[int]], trials: int) -> NDArray[np.int64]:
    table = np.zeros((len(chosen), trials), dtype=np.int64)
    for i, block in enumerate(chosen):
        table[i, list(block)] = 1
    return table


def _cyclic(trials: int, size: int, count: int) -> list[tuple[int, ...]] | None:
    """A balanced design from difference sets: blocks of one or two starters, shifted around."""
    starters = count // trials
    if count % trials or starters > 2 or trials > 31:
        return None
    want = starters * size * (size - 1)
    if want % (trials - 1):
        return None

    def gaps(block: tuple[int, ...]) -> NDArray[np.int64]:
        seen = np.zeros(trials, dtype=np.int64)
        for a, b in itertools.permutations(block, 2):
            seen[(a - b) % trials] += 1
        return seen[1:]

    each = want // (trials - 1)
    found: dict[tuple[int, ...], tuple[int, ...]] = {}
    for looked, tail in enumerate(itertools.combinations(range(1, trials), size - 1)):
        if looked > 20000:
            return None
        block = (0, *tail)
        seen = gaps(block)
        if starters == 1 and (seen == each).all():
            return _shifted([block], trials)
        if starters == 2:
            other = found.get(tuple(int(each - s) for s in seen))
            if other is not None:
                return _shifted([other, block], trials)
            found[tuple(int(s) for s in seen)] = block
    return None


def _shifted(starters: Sequence[tuple[int, ...]], trials: int) -> list[tuple[int, ...]]:
    return [tuple(sorted((x + s) % trials for x in b)) for b in starters for s in range(trials)]


def _incomplete(
    trials: int, size: int, count: int, sittings: int, rng: np.random.Generator
) -> list[tuple[int, ...]]:
    """Near-balanced blocks: difference sets where they exist, else exchange from random starts."""
    cyclic = _cyclic(trials, size, count)
    if cyclic is not None and sittings == 1:
        return cyclic
    every = list(itertools.combinations(range(trials), size)) if trials <= 16 else []
    if every and sittings == 1 and len(every) <= count and count % len(every) == 0:
        return every * (count // len(every))
    best, least = None, np.inf
    for _ in range(8):
        table = _start(trials, size, count, sittings, rng)
        cost = _exchange(table, sittings, rng)
        if cost < least:
            best, least = table, cost
    assert best is not None
    return [tuple(int(x) for x in np.flatnonzero(row)) for row in best]


def _start(
    trials: int, size: int, count: int, sittings: int, rng: np.random.Generator
) -> NDArray[np.int64]:
    """Deal trials out so that all are tasted equally often, and anew to the same taster last."""
    table = np.zeros((count, trials), dtype=np.int64)
    used = np.zeros(trials)
    for i in range(count):
        mine = table[i - i % sittings : i].sum(axis=0) if i % sittings else np.zeros(trials)
        keys = np.lexsort((rng.random(trials), mine, used))
        table[i, keys[:size]] = 1
        used += table[i]
    return table


def _exchange(table: NDArray[np.int64], sittings: int, rng: np.random.Generator) -> float:
    """Swap trials between blocks while pairs meet more evenly.

    Counts per trial stay, and no taster meets fewer different trials than before.
    """

    def met(block: int) -> int:
        mine = table[block - block % sittings : block - block % sittings + sittings]
        return int((mine.sum(axis=0) > 0).sum())

    meet = (table.T @ table).astype(float)
    np.fill_diagonal(meet, 0.0)
    count = len(table)
    still = 0
    while still < 400 and count > 1:
        a, b = rng.choice(count, 2, replace=False)
        only_a = np.flatnonzero(table[a] & ~table[b] & 1)
        only_b = np.flatnonzero(table[b] & ~table[a] & 1)
        improved = False
        if len(only_a) and len(only_b):
            x, y = rng.choice(only_a), rng.choice(only_b)
            change = np.zeros_like(meet)
            for block, out, into in ((a, x, y), (b, y, x)):
                rest = np.flatnonzero(table[block])
                rest = rest[rest != out]
                change[out, rest] -= 1
                change[rest, out] -= 1
                change[into, rest] += 1
                change[rest, into] += 1
            gain = float(((meet + change) ** 2).sum() - (meet**2).sum())
            if gain < 0 or (gain == 0 and rng.random() < 0.5):
                before = met(a) + met(b)
                table[a, [x, y]] = table[b, [y, x]] = (0, 1)
                if met(a) + met(b) < before:
                    table[a, [x, y]] = table[b, [y, x]] = (1, 0)
                else:
                    meet += change
                    improved = gain < 0
        still = 0 if improved else still + 1
    off = meet[np.triu_indices(len(meet), 1)]
    return float(((off - off.mean()) ** 2).sum())
