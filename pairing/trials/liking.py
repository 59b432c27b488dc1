"""How much do they like it? Blocked analysis of nine-point liking, and what is too much or little.

Tasters are blocks: a generous taster counts no more than a stern one. Adjusted means are least
squares for the additive model taster + trial, so that incomplete blocks are fair (Cochran and Cox
1957, Experimental Designs, ch. 9); the test is by shuffling within tasters, since nine-point
answers are no bell curve.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pairing.errors import PairingError
from pairing.trials.discrimination import p_value as sign_test
from pairing.trials.shuffles import SHUFFLES, connected, luck_of, table
from pairing.trials.verdict import ALPHA, POWER, Reading, holm, joined, leaders, luck, people

__all__ = ["Fitted", "Penalty", "adjusted_means", "penalties", "read_just_right", "read_liking"]

Array = NDArray[np.float64]
LOWEST, HIGHEST = 1.0, 9.0
TASTER_SD = 1.5  # of one nine-point answer about its taster's and trial's mean; common practice
USUAL_FREEDOM = 10  # answers that this is worth beside the panel's own scatter; our choice
A_POINT = 1.0  # the smallest difference of liking that a bar acts on; common practice, no source
ENOUGH_SHARE = 0.20  # of tasters off the mark before it counts; common practice (ASTM MNL63)
JUST_RIGHT = 3


@dataclass(frozen=True)
class Fitted:
    """Adjusted means of a blocked panel.

    Attributes
    ----------
    means : ndarray, trials
        Liking, adjusted for who tasted what.
    covariance : ndarray, trials x trials
        Of the adjusted effects, per unit of residual variance.
    variance : float
        Residual, points squared.
    freedom : int
        Residual degrees of freedom.
    f : float
        Ratio of trial to residual mean square.
    """

    means: Array
    covariance: Array
    variance: float
    freedom: int
    f: float


def _centred(scores: Array) -> tuple[Array, Array]:
    """Scores less each taster's mean, and the information matrix of the trials."""
    tasted = ~np.isnan(scores)
    centred = scores - np.nanmean(scores, axis=1, keepdims=True)
    counts = tasted.astype(float)
    per = counts.sum(axis=1)
    information = np.diag(counts.sum(axis=0)) - (counts / per[:, None]).T @ counts
    return centred, information


def adjusted_means(scores: Sequence[Sequence[float | None]] | Array) -> Fitted:
    """Least-squares means of the trials with tasters as blocks.

    Parameters
    ----------
    scores : tasters x trials
        Points; None or NaN where not tasted.

    Returns
    -------
    Fitted

    Raises
    ------
    PairingError
        When some trials share no taster with the others.
    """
    found = table(scores, "liking")
    tasted = ~np.isnan(found)
    if not connected(tasted):
        raise PairingError(
            "some trials were never tasted beside the others; add cups that link them"
        )
    centred, information = _centred(found)
    totals = np.nansum(centred, axis=0)
    inverse = np.linalg.pinv(information, hermitian=True)
    effects = inverse @ totals
    trials = found.shape[1]
    freedom = int(tasted.sum()) - found.shape[0] - trials + 1
    explained = float(totals @ effects)
    left = max(0.0, float(np.nansum(centred**2)) - explained)
    variance = left / freedom if freedom > 0 else math.nan
    f = explained / (trials - 1) / variance if variance and variance > 0 else math.inf
    if explained < 1e-12:
        f = 0.0
    means: Array = np.asarray(float(np.nanmean(found)) + effects, dtype=np.float64)
    spread: Array = np.asarray(inverse, dtype=np.float64)
    return Fitted(means, spread, variance, freedom, f)


def _within_scale(found: Array, what: str) -> None:
    bad = found[(found < LOWEST) | (found > HIGHEST)]
    if bad.size:
        raise PairingError(f"{what}: {bad[0]:g} is off the scale; give {LOWEST:g} to {HIGHEST:g}")


def read_liking(
    names: Sequence[str],
    scores: Sequence[Sequence[float | None]] | Array,
    *,
    alpha: float = ALPHA,
    shuffles: int = SHUFFLES,
    seed: int = 1,
) -> Reading:
    """Read nine-point liking.

    Parameters
    ----------
    names : sequence of str
        Trials, in the order of the columns.
    scores : tasters x trials
        1 to 9; None or NaN where not tasted.
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
        When the table does not fit the names, an answer is off the scale, or trials share no
        taster.
    """
    from scipy.special import ndtri, stdtr, stdtrit

    found = table(scores, "liking")
    _within_scale(found, "liking")
    if found.shape[1] != len(names):
        raise PairingError(f"{len(names)} trials but {found.shape[1]} columns of liking")
    fitted = adjusted_means(found)
    centred, information = _centred(found)
    inverse = np.linalg.pinv(information, hermitian=True)
    p, held = luck_of(
        centred,
        lambda s: np.einsum("bi,ij,bj->b", s, inverse, s),
        shuffles=shuffles,
        seed=seed,
        alpha=alpha,
    )
    differ = p <= alpha
    order = np.argsort(-fitted.means)
    best = int(order[0])
    known = fitted.freedom > 0
    pairs = []
    raw = []
    both = list(itertools.combinations(range(len(names)), 2))
    for i, j in both:
        gap = float(fitted.means[i] - fitted.means[j])
        c = fitted.covariance
        error = (
            math.sqrt(max(0.0, fitted.variance * (c[i, i] + c[j, j] - 2 * c[i, j]))) if known else 0
        )
        raw.append(
            2 * float(stdtr(fitted.freedom, -abs(gap) / error)) if error > 0 else float(gap == 0)
        )
        half = float(stdtrit(fitted.freedom, 0.975)) * error if known else math.nan
        pairs.append((i, j, gap, half))
    adjusted = holm(raw)
    records = []
    for (i, j, gap, half), q in zip(pairs, adjusted, strict=True):
        a, b = (i, j) if gap >= 0 else (j, i)
        records.append(
            {
                "ahead": names[a],
                "behind": names[b],
                "points": abs(gap),
                "interval": [abs(gap) - half, abs(gap) + half] if known else None,
                "p_adjusted": q,
                "clear": differ and known and q <= alpha,
            }
        )
    beaten = [str(r["behind"]) for r in records if r["clear"] and r["ahead"] == names[best]]
    top, last = float(fitted.means[best]), float(fitted.means[order[-1]])
    words = f"{leaders(names, fitted.means.tolist())} with {top:.1f} of 9"
    more = None
    if differ and beaten:
        sentence = (
            f"They like {names[best]} best ({top:.1f} of 9), more than {joined(beaten)}; luck does "
            f"that {luck(p)}."
        )
    elif differ:
        sentence = f"Liking differs (luck does that {luck(p)}), but no two clearly: {words}."
    else:
        # a few answers say little of how tasters scatter, and make the gap look wide
        seen = fitted.freedom * fitted.variance if known else 0.0
        believed = USUAL_FREEDOM + (fitted.freedom if known else 0)
        variance = (seen + USUAL_FREEDOM * TASTER_SD**2) / believed
        step = min(max(A_POINT, top - last), 2 * A_POINT)
        count = len(names)
        z = ndtri(1 - alpha / (count * (count - 1))) + ndtri(POWER)
        share = found.shape[1] / max(1.0, float((~np.isnan(found)).sum(axis=1).mean()))
        more = max(4, math.ceil(2 * variance * z**2 / step**2 * share))
        how = f"; luck does that {luck(p)}" if top - last > 1e-9 else ""
        sentence = (
            f"You can't tell yet which they like best: {words}{how}. "
            f"Taste {more} more, counted on their own."
        )
    rows = ", ".join(f"{names[j]} {fitted.means[j]:.1f}" for j in order)
    return Reading(
        method="liking, nine-point scale, tasters as blocks, test by shuffling within tasters",
        told_apart=differ,
        sentence=sentence,
        p_value=p,
        alpha=alpha,
        attained=held,
        tasters=found.shape[0],
        more_tasters=more,
        numbers={
            "protocol": "liking",
            "trials": [
                {
                    "trial": n,
                    "mean": float(fitted.means[j]),
                    "standard_error": math.sqrt(fitted.variance * fitted.covariance[j, j])
                    if known
                    else None,
                    "tasters": int((~np.isnan(found[:, j])).sum()),
                }
                for j, n in enumerate(names)
            ],
            "f": fitted.f,
            "residual_sd": math.sqrt(fitted.variance) if known else None,
            "residual_degrees_of_freedom": fitted.freedom,
            "pairs": records,
        },
        lines=[f"Liking: {rows} (of 9; {people(found.shape[0])})."],
    )


# --- just about right ---------------------------------------------------------------------


@dataclass(frozen=True)
class Penalty:
    """What being off the mark costs.

    Attributes
    ----------
    trial, quality, side : str
        ``side`` is ``too little`` or ``too much``.
    share : float
        Of tasters on this side, 0 to 1.
    drop : float or None
        Points of liking below those for whom it is just right; None where nobody is.
    p_value, p_adjusted : float or None
        That liking is no lower on this side, by shuffling; adjusted for all sides looked at.
    counts : bool
        Enough tasters, and luck ruled out.
    """

    trial: str
    quality: str
    side: str
    share: float
    drop: float | None
    p_value: float | None
    p_adjusted: float | None
    counts: bool


def _lower(off: Array, right: Array, shuffles: int, seed: int) -> float:
    """How often luck puts the mean of ``off`` so far below that of ``right``."""
    rng = np.random.default_rng(seed)
    pool = np.concatenate([off, right])
    deals = rng.permuted(np.tile(pool, (shuffles, 1)), axis=1)
    gaps = deals[:, len(off) :].mean(axis=1) - deals[:, : len(off)].mean(axis=1)
    seen = float(right.mean() - off.mean())
    return float((1 + (gaps >= seen - 1e-9).sum()) / (shuffles + 1))


def penalties(
    liking: Mapping[str, Sequence[float | None]],
    scales: Mapping[tuple[str, str], Sequence[float | None]],
    *,
    alpha: float = ALPHA,
    shuffles: int = SHUFFLES,
    seed: int = 1,
) -> tuple[Penalty, ...]:
    """Penalty analysis of just-about-right scales.

    Parameters
    ----------
    liking : mapping of trial to answers
        1 to 9 by taster.
    scales : mapping of (trial, quality) to answers
        1 much too little, 3 just right, 5 much too much, by the same tasters.
    alpha : float
        Chance of calling luck a loss that is put up with.
    shuffles, seed : int
        How many shuffles, and where their luck starts.

    Returns
    -------
    tuple of Penalty
        Largest loss (share times drop) first.

    Raises
    ------
    PairingError
        For answers off the scale, or lists of unlike length.
    """
    found: list[Penalty] = []
    for (trial, quality), answers in scales.items():
        if trial not in liking or len(liking[trial]) != len(answers):
            raise PairingError(f"{trial}, {quality}: give liking for the same tasters")
        kept = [
            (float(v), float(s))
            for v, s in zip(liking[trial], answers, strict=True)
            if v is not None and s is not None and not math.isnan(v) and not math.isnan(s)
        ]
        if not kept:
            continue
        scores, marks = np.array(kept).T
        _within_scale(scores, f"{trial}, liking")
        if not (((marks >= 1) & (marks <= 5)) & (marks == np.round(marks))).all():
            raise PairingError(f"{trial}, {quality}: give whole numbers 1 to 5, 3 is just right")
        right = scores[marks == JUST_RIGHT]
        for side, mask in (("too little", marks < JUST_RIGHT), ("too much", marks > JUST_RIGHT)):
            off = scores[mask]
            share = len(off) / len(scores)
            drop = float(right.mean() - off.mean()) if len(off) and len(right) else None
            p = _lower(off, right, shuffles, seed) if drop is not None else None
            found.append(Penalty(trial, quality, side, share, drop, p, None, False))
    tested = [f for f in found if f.p_value is not None and f.share >= ENOUGH_SHARE]
    adjusted = dict(zip(map(id, tested), holm([f.p_value or 0.0 for f in tested]), strict=True))
    out = [
        Penalty(
            f.trial, f.quality, f.side, f.share, f.drop, f.p_value, adjusted.get(id(f)),
            adjusted.get(id(f), 1.0) <= alpha,
        )
        for f in found
    ]  # fmt: skip
    return tuple(sorted(out, key=lambda f: -(f.share * (f.drop or 0.0))))


def read_just_right(
    liking: Mapping[str, Sequence[float | None]],
    scales: Mapping[tuple[str, str], Sequence[float | None]],
    *,
    alpha: float = ALPHA,
    shuffles: int = SHUFFLES,
    seed: int = 1,
) -> Reading:
    """Read just-about-right scales: which quality costs liking, and which way to move.

    Two questions, each held at half the level: whether too much is said oftener than too little
    (exact sign test), and whether those who say so like it less (penalty analysis).

    Parameters
    ----------
    liking : mapping of trial to answers
        1 to 9 by taster.
    scales : mapping of (trial, quality) to answers
        1 much too little, 3 just right, 5 much too much.
    alpha : float
        Chance of calling luck a finding that is put up with, over both questions.
    shuffles, seed : int
        How many shuffles, and where their luck starts.

    Returns
    -------
    Reading

    Raises
    ------
    PairingError
        For answers off the scale, or lists of unlike length.
    """
    half = alpha / 2
    costs = penalties(liking, scales, alpha=half, shuffles=shuffles, seed=seed)
    leans: list[tuple[str, str, int, int, float]] = []
    for (trial, quality), answers in scales.items():
        marks = [s for s in answers if s is not None and not math.isnan(s)]
        low, high = sum(s < JUST_RIGHT for s in marks), sum(s > JUST_RIGHT for s in marks)
        p = sign_test(low, low + high, 0.5, two_sided=True) if low + high else 1.0
        leans.append((trial, quality, low, high, p))
    adjusted = holm([x[4] for x in leans])
    clear = [(x, q) for x, q in zip(leans, adjusted, strict=True) if q <= half]
    paid = [c for c in costs if c.counts]
    tasters = max((len(a) for a in scales.values()), default=0)
    lines = []
    for (trial, quality, low, high, _), q in clear:
        word, way = ("too little", "more") if low > high else ("too much", "less")
        lines.append(
            f"{trial}: {max(low, high)} of {tasters} say {word} {quality}; {way} of it (luck does "
            f"that {luck(q)})."
        )
    for c in paid:
        lines.append(
            f"{c.trial}: {c.side} {c.quality} costs {c.drop:.1f} points of liking with "
            f"{100 * c.share:.0f} % of tasters (luck does that {luck(c.p_adjusted or 0)})."
        )
    told = bool(clear or paid)
    more = None
    if told:
        sentence = lines.pop(0)
    else:
        more = max(tasters, 20)
        sentence = (
            "You can't tell yet that anything is off: no quality is called too much or too little "
            f"beyond luck. Taste {more} more, counted on their own."
        )
    best = min([*adjusted, *(c.p_adjusted for c in costs if c.p_adjusted is not None)], default=1.0)
    return Reading(
        method="just about right, exact sign test and penalty analysis, Holm over all",
        told_apart=told,
        sentence=sentence,
        p_value=min(1.0, 2 * best),
        alpha=alpha,
        attained=None,
        tasters=tasters,
        more_tasters=more,
        numbers={
            "protocol": "just-right",
            "leans": [
                {"trial": t, "quality": q, "too_little": lo, "too_much": hi, "p_adjusted": a}
                for (t, q, lo, hi, _), a in zip(leans, adjusted, strict=True)
            ],
            "penalties": [
                {
                    "trial": c.trial,
                    "quality": c.quality,
                    "side": c.side,
                    "share": c.share,
                    "drop_points": c.drop,
                    "p_adjusted": c.p_adjusted,
                    "counts": c.counts,
                }
                for c in costs
            ],
        },
        lines=lines,
    )
