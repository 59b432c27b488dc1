"""Which trial comes first? Friedman's test of rankings, as ISO 8587 reads them.

Friedman 1937, J. Am. Stat. Assoc. 32:675; ties and incomplete rankings as Skillings and Mack 1981,
Technometrics 23:171 (Durbin's test where the blocks are balanced); an order settled beforehand, as
of a dose ladder, as Page 1963, J. Am. Stat. Assoc. 58:216.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from pairing.errors import PairingError
from pairing.trials.shuffles import SHUFFLES, connected, luck_of, table
from pairing.trials.verdict import ALPHA, Reading, holm, joined, leaders, luck, people

__all__ = ["exact_tail", "friedman", "read_ranking"]

Array = NDArray[np.float64]
EXACT_UP_TO = {2: 200, 3: 40, 4: 15, 5: 6}  # tasters, by trials, within a tenth of a second or two
SMALL_STEP = 0.25  # of the way from first to last place: what a bar would still call a difference


def _ranks(values: Array) -> Array:
    """Midranks within each taster, 1 for the smallest; NaN stays."""
    out = np.full_like(values, np.nan)
    for i, row in enumerate(values):
        here = ~np.isnan(row)
        mine = row[here]
        below = (mine[:, None] > mine).sum(axis=1)
        level = (mine[:, None] == mine).sum(axis=1)
        out[i, here] = below + (level + 1) / 2
    return out


def _parts(ranks: Array) -> tuple[Array, Array]:
    """Weighted centred ranks, and the covariance of their totals when luck alone ranks."""
    trials = ranks.shape[1]
    centred = np.full_like(ranks, np.nan)
    covariance = np.zeros((trials, trials))
    for i, row in enumerate(ranks):
        here = np.flatnonzero(~np.isnan(row))
        k = len(here)
        c = (row[here] - (k + 1) / 2) * math.sqrt(12 / (k + 1))
        centred[i, here] = c
        spread = float((c**2).sum()) / (k - 1)
        covariance[np.ix_(here, here)] += spread * (np.eye(k) - 1 / k)
    return centred, covariance


def friedman(ranks: Sequence[Sequence[float | None]] | Array) -> tuple[float, int, float]:
    """Friedman's statistic with its chi-square approximation.

    Parameters
    ----------
    ranks : tasters x trials
        Places or any scores (they are ranked within tasters); None or NaN where not tasted.

    Returns
    -------
    (float, int, float)
        Statistic, degrees of freedom, p-value of the chi-square approximation.

    Raises
    ------
    PairingError
        For places that make no table.
    """
    from scipy.special import chdtrc

    found = _ranks(table(ranks, "ranking"))
    centred, covariance = _parts(found)
    totals = np.nansum(centred, axis=0)
    value = float(totals @ np.linalg.pinv(covariance, hermitian=True) @ totals)
    freedom = int(np.linalg.matrix_rank(covariance, hermitian=True))
    return value, freedom, float(chdtrc(freedom, value)) if freedom else 1.0


@cache
def _distribution(tasters: int, trials: int) -> tuple[Mapping[float, int], int]:
    """In how many ways luck gives each value of the statistic, and all ways."""
    orders = list(itertools.permutations(range(1, trials + 1)))
    ways: Counter[tuple[int, ...]] = Counter({(0,) * trials: 1})
    for _ in range(tasters):
        longer: Counter[tuple[int, ...]] = Counter()
        for sums, count in ways.items():
            for order in orders:
                longer[tuple(sorted(map(sum, zip(sums, order, strict=True))))] += count
        ways = longer
    factor = 12 / (tasters * trials * (trials + 1))
    tails: Counter[float] = Counter()
    for sums, count in ways.items():
        value = factor * sum(s * s for s in sums) - 3 * tasters * (trials + 1)
        tails[round(value, 6)] += count
    return tails, len(orders) ** tasters


def exact_tail(tasters: int, trials: int, statistic: float, alpha: float) -> tuple[float, float]:
    """Exact p-value of Friedman's statistic for full rankings without ties.

    Every ranking of every taster is equally likely by luck; rank totals are counted up taster by
    taster, kept sorted because no trial is special.

    Parameters
    ----------
    tasters, trials : int
        Rows and columns of the rankings.
    statistic : float
        Friedman's.
    alpha : float
        Chance of calling luck a difference that is put up with.

    Returns
    -------
    (float, float)
        P-value, and the level really held at ``alpha``.
    """
    tails, total = _distribution(tasters, trials)
    p, level, running = 0.0, 0.0, 0
    for value in sorted(tails, reverse=True):
        running += tails[value]
        if value >= statistic - 1e-5:
            p = running / total
        if running / total <= alpha:
            level = running / total
    return p, level


def least_difference(tasters: int, trials: int, alpha: float = ALPHA) -> float:
    """Least significant difference of two rank totals, as ISO 8587 gives it for full rankings.

    Parameters
    ----------
    tasters, trials : int
        Rows and columns of the rankings.
    alpha : float
        Chance of calling luck a difference that is put up with, in one comparison.

    Returns
    -------
    float
        Of rank totals.
    """
    from scipy.special import ndtri

    return float(ndtri(1 - alpha / 2)) * math.sqrt(tasters * trials * (trials + 1) / 6)


def read_ranking(
    names: Sequence[str],
    places: Sequence[Sequence[float | None]] | Array,
    *,
    order: Sequence[str] = (),
    alpha: float = ALPHA,
    shuffles: int = SHUFFLES,
    seed: int = 1,
) -> Reading:
    """Read a ranking.

    Parameters
    ----------
    names : sequence of str
        Trials, in the order of the columns.
    places : tasters x trials
        1 is first; None or NaN where not tasted.
    order : sequence of str
        An order settled before tasting (a dose ladder): Page's test in place of Friedman's.
    alpha : float
        Chance of calling luck a difference that is put up with.
    shuffles, seed : int
        How many shuffles, and where their luck starts.

    Returns
    -------
    Reading

    Raises
    ------
    PairingError
        When the table does not fit the names, or some trials share no taster with the others.
    """
    found = _ranks(table(places, "ranking"))
    tasters, trials = found.shape
    if trials != len(names):
        raise PairingError(f"{len(names)} trials but {trials} columns of places")
    tasted = ~np.isnan(found)
    if not connected(tasted):
        raise PairingError(
            "some trials were never tasted beside the others; add cups that link them"
        )
    centred, covariance = _parts(found)
    totals = np.nansum(centred, axis=0)
    inverse = np.linalg.pinv(covariance, hermitian=True)
    value = float(totals @ inverse @ totals)
    full = bool(tasted.all())
    untied = full and all(len(set(row)) == trials for row in found)
    if order:
        if sorted(order) != sorted(names):
            raise PairingError(f"the order should name each of {', '.join(names)} once")
        step = np.array([list(order).index(n) for n in names], dtype=float)
        step -= step.mean()
        p, held = luck_of(centred, lambda t: t @ step, shuffles=shuffles, seed=seed, alpha=alpha)
        method = "ranking in a given order, ISO 8587, Page's test by shuffling"
    elif untied and tasters <= EXACT_UP_TO.get(trials, 0):
        p, held = exact_tail(tasters, trials, value, alpha)
        method = "ranking, ISO 8587, Friedman's test, exact"
    else:
        p, held = luck_of(
            centred,
            lambda t: np.einsum("bi,ij,bj->b", t, inverse, t),
            shuffles=shuffles,
            seed=seed,
            alpha=alpha,
        )
        method = "ranking, ISO 8587, Friedman's test by shuffling"
    differ = p <= alpha
    mean_place = np.nansum(found, axis=0) / tasted.sum(axis=0)
    pairs = _pairs(names, totals, covariance, differ and not order, alpha)
    best = names[int(np.argmin(totals))]
    beaten = [b for a, b, _, clear in pairs if clear and a == best]
    lead = leaders(names, (-totals).tolist())
    more = None
    if order and differ:
        sentence = f"The places follow {' < '.join(order)}; luck does that {luck(p)}."
    elif differ and beaten:
        sentence = f"{best} comes first, ahead of {joined(beaten)}; luck ranks so {luck(p)}."
    elif differ:
        sentence = f"They differ (luck ranks so {luck(p)}), but no two of them clearly: {lead}."
    else:
        more = _more(totals, tasters, trials, alpha)
        sentence = (
            f"You can't tell yet which is best: {lead}, and luck ranks so {luck(p)}. "
            f"Taste {more} more, counted on their own."
        )
    chi, freedom, p_chi = friedman(found)
    return Reading(
        method=method,
        told_apart=differ,
        sentence=sentence,
        p_value=p,
        alpha=alpha,
        attained=held,
        tasters=tasters,
        more_tasters=more,
        numbers={
            "protocol": "ranking",
            "trials": [
                {
                    "trial": n,
                    "rank_sum": float(np.nansum(found[:, j])),
                    "mean_place": float(mean_place[j]),
                    "tasters": int(tasted[:, j].sum()),
                }
                for j, n in enumerate(names)
            ],
            "statistic": chi,
            "degrees_of_freedom": freedom,
            "p_chi_square": p_chi,
            "least_difference_of_rank_sums": least_difference(tasters, trials, alpha)
            if full
            else None,
            "pairs": [
                {"ahead": a, "behind": b, "p_adjusted": q, "clear": clear}
                for a, b, q, clear in pairs
            ],
        },
        lines=[
            "Mean place: "
            + ", ".join(f"{names[j]} {mean_place[j]:.1f}" for j in np.argsort(mean_place))
            + f" of {trials} ({people(tasters)}).",
            f"This panel calls luck a difference in {100 * held:.1f} of 100 tests "
            f"({100 * alpha:g} allowed).",
        ],
    )


def _pairs(
    names: Sequence[str], totals: Array, covariance: Array, gate: bool, alpha: float
) -> list[tuple[str, str, float, bool]]:
    """Pairs (ahead, behind, Holm's p-value, clear), only clear where all of them differ."""
    from scipy.special import ndtr

    both = list(itertools.combinations(range(len(names)), 2))
    raw = []
    for i, j in both:
        variance = covariance[i, i] + covariance[j, j] - 2 * covariance[i, j]
        z = abs(totals[i] - totals[j]) / math.sqrt(variance) if variance > 0 else 0.0
        raw.append(2 * float(ndtr(-z)))
    out = []
    for (i, j), q in zip(both, holm(raw), strict=True):
        a, b = (i, j) if totals[i] <= totals[j] else (j, i)
        out.append((names[a], names[b], q, gate and q <= alpha))
    return out


def _more(totals: Array, tasters: int, trials: int, alpha: float) -> int:
    """A panel that would part first and last, if they stand as far apart as they seem."""
    from scipy.special import ndtri

    per_taster = math.sqrt(12 / (trials + 1))
    seen = float(totals.max() - totals.min()) / tasters / per_taster
    # in few orders the first and the last look far apart: half of the way is the most believed
    step = min(max(seen, SMALL_STEP * (trials - 1)), 0.5 * (trials - 1))
    z = ndtri(1 - alpha / (trials * (trials - 1))) + ndtri(0.8)
    return max(3, math.ceil(z**2 * trials * (trials + 1) / 6 / step**2))
