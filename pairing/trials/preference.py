"""Which of several trials wins pair by pair? The Bradley-Terry model of paired comparisons.

Bradley and Terry 1952, Biometrika 39:324: trial i is picked over trial j with odds
``exp(a_i - a_j)``. Fitted by maximum likelihood (Hunter 2004, Annals of Statistics 32:384); where
one trial wins or loses every pair there is no finite fit, and half a pick either way is added to
each pair that was tasted and said so.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pairing.errors import PairingError
from pairing.trials.shuffles import held
from pairing.trials.verdict import ALPHA, Reading, holm, joined, luck

__all__ = ["Abilities", "bradley_terry", "read_pairs"]

Array = NDArray[np.float64]
DEALS = 1999


@dataclass(frozen=True)
class Abilities:
    """Fitted abilities.

    Attributes
    ----------
    ability : ndarray, trials
        Log odds, mean 0.
    covariance : ndarray, trials x trials
    log_likelihood : float
    shrunk : bool
        Whether half picks were added because no finite fit exists.
    """

    ability: Array
    covariance: Array
    log_likelihood: float
    shrunk: bool


def _strong(wins: Array) -> bool:
    """Whether each trial can be reached from each other by wins (Ford 1957)."""
    reach = (wins > 0) | np.eye(len(wins), dtype=bool)
    for k in range(len(wins)):
        reach |= reach[:, [k]] & reach[[k], :]
    return bool(reach.all())


def _fit(wins: Array) -> tuple[Array, Array]:
    """Newton's method; wins must be strongly connected."""
    count = len(wins)
    games = wins + wins.T
    ability = np.zeros(count)
    one = np.full((count, count), 1 / count)
    information = np.zeros((count, count))
    for _ in range(100):
        picked = 1 / (1 + np.exp(ability[None, :] - ability[:, None]))
        gradient = (wins - games * picked).sum(axis=1)
        weight = games * picked * (1 - picked)
        information = np.diag(weight.sum(axis=1)) - weight
        step = np.linalg.solve(information + one, gradient)
        size = float(np.abs(step).max())
        ability = ability + step * min(1.0, 2.0 / size if size > 0 else 1.0)
        ability -= ability.mean()
        if size < 1e-12:
            break
    return ability, np.linalg.inv(information + one) - one


def _log_likelihood(wins: Array, ability: Array) -> float:
    gaps = ability[:, None] - ability[None, :]
    return float(-(wins * np.logaddexp(0.0, -gaps)).sum())


def bradley_terry(wins: Sequence[Sequence[float]] | Array) -> Abilities:
    """Fit the model.

    Parameters
    ----------
    wins : trials x trials
        How often the row was picked over the column.

    Returns
    -------
    Abilities

    Raises
    ------
    PairingError
        For a table that is not square, has negative or no counts, or trials never compared with
        the others.
    """
    table = np.array(wins, dtype=float)
    if table.ndim != 2 or table.shape[0] != table.shape[1] or len(table) < 2:
        raise PairingError("picks: give a square table, trials by trials, two or more")
    if not np.isfinite(table).all() or (table < 0).any() or np.diag(table).any():
        raise PairingError("picks: give counts of 0 or more, none of a trial against itself")
    if not _strong(table + table.T):
        raise PairingError(
            "some trials were never compared with the others; add pairs that link them"
        )
    shrunk = not _strong(table)
    used = table + 0.5 * ((table + table.T) > 0) if shrunk else table
    ability, covariance = _fit(used)
    return Abilities(ability, covariance, _log_likelihood(table, ability), shrunk)


def read_pairs(
    picks: Mapping[tuple[str, str], tuple[int, int]],
    *,
    tasters: int,
    alpha: float = ALPHA,
    deals: int = DEALS,
    seed: int = 1,
) -> Reading:
    """Read paired comparisons among several trials.

    Parameters
    ----------
    picks : mapping of (first, second) to (picks of first, picks of second)
        One key for each pair that was tasted.
    tasters : int
        People who answered.
    alpha : float
        Chance of calling luck a difference that is put up with.
    deals : int
        How many panels of fair coins the test compares with.
    seed : int
        Where the luck of the coins starts.

    Returns
    -------
    Reading

    Raises
    ------
    PairingError
        For counts that are none, or trials never compared with the others.
    """
    names = sorted({n for pair in picks for n in pair})
    place = {n: i for i, n in enumerate(names)}
    wins = np.zeros((len(names), len(names)))
    for (a, b), (x, y) in picks.items():
        wins[place[a], place[b]] += x
        wins[place[b], place[a]] += y
    fitted = bradley_terry(wins)
    games = np.rint(wins + wins.T).astype(int)
    # by luck every pick is a fair coin: score statistic, sums of squared surplus wins per game
    totals = games.sum(axis=1)
    upper = np.triu_indices(len(names), 1)
    rng = np.random.default_rng(seed)
    coins = rng.binomial(games[upper], 0.5, size=(deals, len(upper[0])))
    surplus = np.zeros((deals + 1, len(names)))
    surplus[:-1] = _surplus(coins, games[upper], upper, len(names))
    surplus[-1] = wins.sum(axis=1) - totals / 2
    score = (surplus**2 / np.maximum(totals, 1)).sum(axis=1)
    p = float((score >= score[-1] - 1e-9).mean())
    attained = held(score, alpha)
    differ = p <= alpha
    order = np.argsort(-fitted.ability)
    records = _records(names, fitted, differ, alpha)
    best = names[order[0]]
    beaten = [str(r["behind"]) for r in records if r["clear"] and r["ahead"] == best]
    runner = order[1]
    chance = 1 / (1 + math.exp(-(fitted.ability[order[0]] - fitted.ability[runner])))
    lead = f"{best} over {names[runner]} about {10 * chance:.0f} times in 10"
    more = None
    if differ and beaten:
        sentence = f"They pick {best} over {joined(beaten)}; luck does that {luck(p)} ({lead})."
    elif differ:
        sentence = f"They differ (luck does that {luck(p)}), but no two clearly; {lead}."
    else:
        more = max(6, 2 * tasters)
        sentence = (
            f"You can't tell yet which they prefer: {lead}; luck does that {luck(p)}. Taste {more} "
            "more, counted on their own."
        )
    lines = [
        "Of 10 guests who compare it with an average trial, so many pick it: "
        + ", ".join(f"{names[j]} {10 / (1 + math.exp(-fitted.ability[j])):.0f}" for j in order)
        + "."
    ]
    if fitted.shrunk:
        lines.append(
            "One of them won or lost every time: half a pick either way was added to each pair so "
            "that the model has an answer."
        )
    return Reading(
        method="paired comparisons, Bradley-Terry, test against fair coins",
        told_apart=differ,
        sentence=sentence,
        p_value=p,
        alpha=alpha,
        attained=attained,
        tasters=tasters,
        more_tasters=more,
        numbers={
            "protocol": "pairs",
            "trials": [
                {
                    "trial": n,
                    "ability": float(fitted.ability[j]),
                    "standard_error": math.sqrt(max(0.0, float(fitted.covariance[j, j]))),
                    "picks": int(wins[j].sum()),
                    "comparisons": int(totals[j]),
                }
                for j, n in enumerate(names)
            ],
            "shrunk": fitted.shrunk,
            "pairs": records,
        },
        lines=lines,
    )


def _surplus(
    coins: NDArray[np.int64],
    games: NDArray[np.int64],
    upper: tuple[NDArray[np.intp], NDArray[np.intp]],
    count: int,
) -> Array:
    out = np.zeros((len(coins), count))
    gap = coins - games / 2
    for column, (i, j) in enumerate(zip(*upper, strict=True)):
        out[:, i] += gap[:, column]
        out[:, j] -= gap[:, column]
    return out


def _records(
    names: Sequence[str], fitted: Abilities, gate: bool, alpha: float
) -> list[dict[str, object]]:
    from scipy.special import ndtr

    both = list(itertools.combinations(range(len(names)), 2))
    raw, found = [], []
    for i, j in both:
        a, b = (i, j) if fitted.ability[i] >= fitted.ability[j] else (j, i)
        c = fitted.covariance
        gap = float(fitted.ability[a] - fitted.ability[b])
        error = math.sqrt(max(1e-12, float(c[a, a] + c[b, b] - 2 * c[a, b])))
        raw.append(2 * float(ndtr(-gap / error)))
        low, high = (1 / (1 + math.exp(-(gap + s * 1.96 * error))) for s in (-1, 1))
        found.append((a, b, 1 / (1 + math.exp(-gap)), low, high))
    return [
        {
            "ahead": names[a],
            "behind": names[b],
            "picked_over": share,
            "interval": [low, high],
            "p_adjusted": q,
            "clear": gate and q <= alpha,
        }
        for (a, b, share, low, high), q in zip(found, holm(raw), strict=True)
    ]
