"""What luck does to a panel: the answers of each taster dealt out again at random.

A test by shuffling within tasters needs no bell curve: when nobody can tell the trials apart, the
order of a taster's own answers is luck, whatever scale they use. Its level holds at any panel size
and for any number of shuffles, since the panel itself counts as one of them (Phipson and Smyth
2010, Stat. Appl. Genet. Mol. Biol. 9:39).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from pairing.errors import PairingError

__all__ = ["SHUFFLES", "connected", "luck_of", "table"]

Array = NDArray[np.float64]
SHUFFLES = 4999
CLOSE = 1e-9  # statistics nearer than this are equal


def table(answers: Sequence[Sequence[float | None]] | Array, what: str) -> Array:
    """Answers as tasters x trials, NaN where a taster did not have a trial.

    Parameters
    ----------
    answers : tasters x trials
        None or NaN where not tasted.
    what : str
        Named in an error.

    Returns
    -------
    ndarray
        Tasters with fewer than two answers are left out.

    Raises
    ------
    PairingError
        For an empty table, rows of unlike length, fewer than two trials, or values that are no
        numbers.
    """
    rows = [[np.nan if v is None else v for v in row] for row in answers]
    if not rows or len({len(r) for r in rows}) != 1:
        raise PairingError(f"{what}: give one row a taster, all of the same length")
    try:
        found = np.array(rows, dtype=float)
    except (TypeError, ValueError):
        raise PairingError(f"{what}: an answer is not a number") from None
    if found.ndim != 2 or found.shape[1] < 2:
        raise PairingError(f"{what}: give two trials or more")
    if np.isinf(found).any():
        raise PairingError(f"{what}: an answer is not a finite number")
    kept: Array = found[(~np.isnan(found)).sum(axis=1) >= 2]
    if not len(kept):
        raise PairingError(f"{what}: no taster has answered for two trials")
    return kept


def connected(tasted: NDArray[np.bool_]) -> bool:
    """Whether every trial can be compared with every other through tasters who had both.

    Parameters
    ----------
    tasted : ndarray of bool, tasters x trials

    Returns
    -------
    bool
    """
    reach = np.zeros(tasted.shape[1], dtype=bool)
    reach[0] = True
    while True:
        wider = reach | tasted[tasted[:, reach].any(axis=1)].any(axis=0)
        if (wider == reach).all():
            return bool(reach.all())
        reach = wider


def luck_of(
    centred: Array,
    statistic: Callable[[Array], Array],
    *,
    shuffles: int = SHUFFLES,
    seed: int = 1,
    alpha: float = 0.05,
) -> tuple[float, float]:
    """How often luck alone reaches a statistic of the trials' totals.

    Parameters
    ----------
    centred : ndarray, tasters x trials
        Answers less the taster's own mean; NaN where not tasted.
    statistic : callable
        From totals, shuffles x trials, to one number a shuffle; large is unlike luck.
    shuffles : int
        How many.
    seed : int
        Where their luck starts.
    alpha : float
        Chance of calling luck a difference that is put up with.

    Returns
    -------
    (float, float)
        P-value, and the level really held at ``alpha``.
    """
    rng = np.random.default_rng(seed)
    totals = np.zeros((shuffles, centred.shape[1]))
    for row in centred:
        here = np.flatnonzero(~np.isnan(row))
        order = rng.random((shuffles, len(here)), dtype=np.float32).argsort(axis=1)
        totals[:, here] += row[here][order]
    seen = float(statistic(np.nansum(centred, axis=0)[None, :])[0])
    values = np.append(statistic(totals), seen)
    p = float((values >= seen - CLOSE).mean())
    return p, held(values, alpha)


def held(values: Array, alpha: float) -> float:
    """Largest share of equally likely values in an upper tail that is not above ``alpha``."""
    _, counts = np.unique(np.round(values / CLOSE / 10), return_counts=True)
    tails = np.cumsum(counts[::-1]) / counts.sum()
    within = tails[tails <= alpha]
    return float(within[-1]) if len(within) else 0.0
