"""What this bar's guests like, and what to taste next.

A Gaussian process over doses (by ratio) and anything else that describes a trial, such as aroma in
the glass, learns from liking; its prior mean is what practice and the cup say, so that it starts
where a good barista would and moves only as far as tastings push it. The next trials are those with
the largest expected improvement (Jones, Schonlau and Welch 1998, J. Global Optim. 13:455), chosen
as a batch by believing each forecast in turn (Ginsbourger, Le Riche and Carraro 2010), never
outside the windows, and never a formula that would be stopped.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pairing.errors import PairingError
from pairing.trials.design import Factor, Maker, stops_of
from pairing.trials.liking import TASTER_SD, adjusted_means

__all__ = ["Forecast", "Palate", "Tasted", "from_panels", "learn", "next_trials"]

Array = NDArray[np.float64]
Prior = Callable[[Mapping[str, float]], float]
Features = Callable[[Mapping[str, float]], Sequence[float]]

LIKING_SPREAD = 1.0  # of liking over a window before anything is tasted, points; our guess
SHORTEST, LONGEST = 0.3, 4.0  # length scales, in windows of two
CANDIDATES = 512
MOST_BATCH = 8
# A twentieth of a window (coded -1 to 1), over all doses: nearer trials are one cup to a taster;
# our choice: at a tenth the search of scripts/simulate_trials.py finds the best later.
APART = 0.1


@dataclass(frozen=True)
class Tasted:
    """A trial with what a panel gave it.

    Attributes
    ----------
    doses : mapping
    liking : float
        Points, 1 to 9, adjusted for who tasted.
    error : float
        Its standard error, points.
    """

    doses: Mapping[str, float]
    liking: float
    error: float


@dataclass(frozen=True)
class Forecast:
    """A trial to taste next.

    Attributes
    ----------
    doses : mapping
    liking, spread : float
        What is expected and how sure, one standard deviation, points.
    gain : float
        Expected improvement on the best so far, points.
    better : float
        Chance that it is liked better than the best so far, 0 to 1.
    """

    doses: Mapping[str, float]
    liking: float
    spread: float
    gain: float
    better: float


def from_panels(
    panels: Sequence[tuple[Sequence[Mapping[str, float]], Sequence[Sequence[float | None]]]],
) -> list[Tasted]:
    """Adjusted liking of every trial of every panel.

    Panels differ in who sat and how they felt: each is levelled by the trials it shares with the
    first, or to the same mean where it shares none (which says so little that its trials carry the
    error of a mean).

    Parameters
    ----------
    panels : sequence of (doses by trial, scores tasters x trials)
        Scores 1 to 9; None or NaN where not tasted.

    Returns
    -------
    list of Tasted

    Raises
    ------
    PairingError
        For scores that make no table, or trials that share no taster.
    """
    out: list[Tasted] = []
    level: float | None = None
    for doses, scores in panels:
        fitted = adjusted_means(scores)
        variance = fitted.variance if fitted.freedom > 0 else TASTER_SD**2
        variance = max(variance, 0.25)  # nine-point answers are never surer than half a point
        errors = np.sqrt(variance * np.clip(np.diag(fitted.covariance), 1e-6, None))
        shared = [
            t.liking - m
            for d, m in zip(doses, fitted.means, strict=True)
            for t in out
            if dict(t.doses) == dict(d)
        ]
        if level is None:
            level = float(fitted.means.mean())
        shift = float(np.mean(shared)) if shared else level - float(fitted.means.mean())
        out += [
            Tasted(dict(d), float(m) + shift, float(e))
            for d, m, e in zip(doses, fitted.means, errors, strict=True)
        ]
    return out


@dataclass(frozen=True, repr=False)
class Palate:
    """A learned palate; :func:`learn` makes it.

    Attributes
    ----------
    factors : tuple of Factor
    tasted : tuple of Tasted
    """

    factors: tuple[Factor, ...]
    tasted: tuple[Tasted, ...]
    _model: object
    _prior: Prior
    _features: Features | None
    _offset: float

    def __repr__(self) -> str:
        """One line."""
        names = ", ".join(f.name for f in self.factors)
        return f"<Palate: {names}, learned from {len(self.tasted)} trials>"

    def _row(self, doses: Mapping[str, float]) -> list[float]:
        return _row(self.factors, doses, self._features)

    def expect(self, doses: Sequence[Mapping[str, float]]) -> tuple[Array, Array]:
        """Expected liking and its standard deviation, points.

        Parameters
        ----------
        doses : sequence of mapping

        Returns
        -------
        (ndarray, ndarray)
        """
        rows = np.array([self._row(d) for d in doses])
        prior = np.array([self._prior(d) for d in doses]) + self._offset
        mean, spread = self._model.predict(rows, return_std=True)  # type: ignore[attr-defined]
        return prior + mean, np.asarray(spread, dtype=np.float64)

    def best(self) -> tuple[Mapping[str, float], float, float]:
        """The tasted trial that is expected to be liked best: doses, liking and spread."""
        known = list({tuple(sorted(t.doses.items())): t.doses for t in self.tasted}.values())
        mean, spread = self.expect(known)
        top = int(np.argmax(mean))
        return known[top], float(mean[top]), float(spread[top])


def _row(
    factors: Sequence[Factor], doses: Mapping[str, float], features: Features | None
) -> list[float]:
    coded = [f.coded(doses[f.name]) for f in factors]
    return coded if features is None else [*coded, *map(float, features(doses))]


def learn(
    factors: Sequence[Factor],
    tasted: Sequence[Tasted],
    *,
    prior: Prior | None = None,
    features: Features | None = None,
    seed: int = 1,
) -> Palate:
    """Fit the palate.

    Parameters
    ----------
    factors : sequence of Factor
    tasted : sequence of Tasted
    prior : callable, optional
        Liking that practice and cup expect of a set of doses, points; only its shape counts, its
        level is fitted. Flat when not given.
    features : callable, optional
        More numbers that describe a trial, each about -1 to 1.
    seed : int

    Returns
    -------
    Palate

    Raises
    ------
    PairingError
        With fewer than two different trials, or doses that miss a factor.
    """
    from sklearn.exceptions import ConvergenceWarning
    from sklearn.gaussian_process import GaussianProcessRegressor
    from sklearn.gaussian_process.kernels import ConstantKernel, Matern

    if len({tuple(sorted(t.doses.items())) for t in tasted}) < 2:
        raise PairingError("a palate is learned from two different trials or more; taste first")
    for t in tasted:
        missing = [f.name for f in factors if f.name not in t.doses]
        if missing:
            raise PairingError(f"a tasted trial does not say its dose of {missing[0]}")
    expect: Prior = prior or (lambda _: 0.0)
    rows = np.array([_row(factors, t.doses, features) for t in tasted])
    surplus = np.array([t.liking - expect(t.doses) for t in tasted])
    noise = np.array([t.error**2 for t in tasted])
    offset = float(np.average(surplus, weights=1 / (noise + LIKING_SPREAD**2 / 4)))
    width = rows.shape[1]
    kernel = ConstantKernel(LIKING_SPREAD**2, (0.1, 9.0)) * Matern(
        np.full(width, 1.0), [(SHORTEST, LONGEST)] * width, nu=2.5
    )
    few = len(tasted) < 2 * width + 2  # too few to learn how quickly liking turns: keep the guess
    model = GaussianProcessRegressor(
        kernel,
        alpha=noise,
        optimizer=None if few else "fmin_l_bfgs_b",
        n_restarts_optimizer=0 if few else 1,
        random_state=seed,
    )
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ConvergenceWarning)  # a scale at its bound is no fault
        model.fit(rows, surplus - offset)
    return Palate(tuple(factors), tuple(tasted), model, expect, features, offset)


def next_trials(
    palate: Palate,
    make: Maker,
    *,
    count: int = 5,
    seed: int = 1,
    short: Callable[[float], float] = lambda x: float(f"{x:.3g}"),
) -> list[Forecast]:
    """The next trials: largest expected improvement first, each another cup to a taster.

    Parameters
    ----------
    palate : Palate
    make : callable
        From doses to a formula document with a list ``stop``; what is stopped is not proposed.
    count : int
        At most 8: with the best so far as a link they should fit a sitting.
    seed : int
    short : callable
        Rounds a dose to what a bar weighs.

    Returns
    -------
    list of Forecast

    Raises
    ------
    PairingError
        For a count out of range, or when every candidate is stopped.
    """
    from scipy.special import ndtr
    from scipy.stats import qmc

    if not 1 <= count <= MOST_BATCH:
        raise PairingError(f"{count} next trials; give 1 to {MOST_BATCH}")
    rng = np.random.default_rng(seed)
    factors = palate.factors
    cube = 2 * qmc.Sobol(len(factors), rng=rng).random(CANDIDATES) - 1
    best_doses, _, _ = palate.best()
    centre = np.array([f.coded(best_doses[f.name]) for f in factors])
    near = np.clip(centre + rng.normal(0, 0.25, (CANDIDATES // 4, len(factors))), -1, 1)
    points = [
        {f.name: min(max(short(f.at(float(c))), f.low), f.high)
         for f, c in zip(factors, row, strict=True)}
        for row in np.vstack([cube, near])
    ]  # fmt: skip
    points.append(dict(best_doses))  # it comes along in any case
    coded = np.array([[f.coded(p[f.name]) for f in factors] for p in points])
    taken = [len(points) - 1]
    found: list[Forecast] = []
    believed = palate
    while len(found) < count:
        mean, spread = believed.expect(points)
        _, top, _ = believed.best()
        z = (mean - top) / np.maximum(spread, 1e-9)
        gain = (mean - top) * ndtr(z) + spread * np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi)
        pick = None
        for i in np.argsort(-gain):
            if (np.abs(coded[taken] - coded[i]).sum(axis=1) < APART).any():
                continue
            if not stops_of(make, points[i]):
                pick = int(i)
                break
            gain[i] = -1.0
        if pick is None:
            break
        taken.append(pick)
        doses = points[pick]
        liking, sure = palate.expect([doses])
        _, now, _ = palate.best()
        better = float(ndtr((liking[0] - now) / max(float(sure[0]), 1e-9)))
        found.append(Forecast(doses, float(liking[0]), float(sure[0]), float(gain[pick]), better))
        believed = _believing(believed, Tasted(doses, float(mean[pick]), 0.1))
    if not found:
        raise PairingError(
            "every next trial would be stopped; narrow the windows or change the plan"
        )
    return found


def _believing(palate: Palate, one: Tasted) -> Palate:
    """The palate as if a forecast had come true, its scales unchanged."""
    from sklearn.gaussian_process import GaussianProcessRegressor

    tasted = (*palate.tasted, one)
    rows = np.array([_row(palate.factors, t.doses, palate._features) for t in tasted])
    surplus = np.array([t.liking - palate._prior(t.doses) for t in tasted]) - palate._offset
    noise = np.array([t.error**2 for t in tasted])
    kernel = palate._model.kernel_  # type: ignore[attr-defined]
    model = GaussianProcessRegressor(kernel, alpha=noise, optimizer=None).fit(rows, surplus)
    return Palate(palate.factors, tasted, model, palate._prior, palate._features, palate._offset)
