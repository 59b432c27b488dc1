"""Which doses to try: designs inside dose windows and law, small enough to taste.

Doses are spaced by ratio, not by difference, since people taste ratios (Weber's law); designs come
from pyDOE and scipy, this module only fits them into the windows. Nothing here knows aroma: a
formula is whatever the given function makes of a set of doses, a document with a list ``stops``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pairing.errors import PairingError, quoted

__all__ = ["DESIGNS", "Factor", "Plan", "Pot", "Trial", "honest_pot_g", "lawful", "plan", "pots"]

Array = NDArray[np.float64]
Maker = Callable[[Mapping[str, float]], Mapping[str, Any]]

DESIGNS = ("ladder", "factorial", "fraction", "composite", "mixture", "spread")
MOST_FACTORS = 7
MOST_TRIALS = 26  # one letter each
BALANCE_G = 0.1
STEPS_OF_BALANCE = 10  # half a step of the balance is then 5 % of the least weighed
SMALLEST_POT_G = 100.0  # common practice, no source: less scorches and cannot be strained
LARGEST_POT_G = 2000.0
STEPS = 5


@dataclass(frozen=True)
class Factor:
    """One thing that is varied.

    Attributes
    ----------
    name : str
    low, high : float
        Window, in ``unit``.
    unit : str
    centre : float, optional
        Where the formula stands now; the middle of the window (by ratio) when not given.

    Raises
    ------
    PairingError
        When the window is empty, not finite, below 0, or does not hold the centre.
    """

    name: str
    low: float
    high: float
    unit: str = "g/kg"
    centre: float | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low) and math.isfinite(self.high) and 0 <= self.low < self.high):
            raise PairingError(
                f"{quoted(self.name)}: a window of {self.low:g} to {self.high:g} {self.unit}; give "
                "low below high, 0 or more"
            )
        if self.centre is not None and not self.low <= self.centre <= self.high:
            raise PairingError(
                f"{quoted(self.name)}: the centre {self.centre:g} is outside {self.low:g} to "
                f"{self.high:g} {self.unit}"
            )

    @property
    def middle(self) -> float:
        """The centre, or the middle of the window by ratio."""
        return self.at(0.0) if self.centre is None else self.centre

    def at(self, coded: float) -> float:
        """Dose at -1 (low) to 1 (high), by ratio where low is above 0.

        Parameters
        ----------
        coded : float
            -1 to 1, 0 in the middle.

        Returns
        -------
        float
            In ``unit``.
        """
        share = (coded + 1) / 2
        if self.low > 0:
            return float(self.low * (self.high / self.low) ** share)
        return float(self.low + (self.high - self.low) * share)

    def coded(self, dose: float) -> float:
        """Inverse of :meth:`at`.

        Parameters
        ----------
        dose : float
            In ``unit``.

        Returns
        -------
        float
        """
        if self.low > 0:
            share = math.log(dose / self.low) / math.log(self.high / self.low)
        else:
            share = (dose - self.low) / (self.high - self.low)
        return 2 * share - 1


@dataclass(frozen=True)
class Trial:
    """One formula to taste.

    Attributes
    ----------
    name : str
        A letter; never shown to tasters.
    doses : mapping
        Of the factors.
    document : mapping
        The formula, with ``stops`` (empty here: a trial with a stop is not kept).
    """

    name: str
    doses: Mapping[str, float]
    document: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Pot:
    """A shared syrup that trials are mixed from.

    Attributes
    ----------
    name : str
    doses : mapping
    grams : float
        How much of it all trials take, with a tenth more.
    """

    name: str
    doses: Mapping[str, float]
    grams: float


@dataclass(frozen=True, repr=False)
class Plan:
    """A set of trials.

    Attributes
    ----------
    kind : str
        One of :data:`DESIGNS`.
    factors : tuple of Factor
        With the windows as law left them.
    trials : tuple of Trial
    left_out : tuple of (mapping, str)
        Doses that law or window forbids, and why.
    notes : tuple of str
    """

    kind: str
    factors: tuple[Factor, ...]
    trials: tuple[Trial, ...]
    left_out: tuple[tuple[Mapping[str, float], str], ...] = ()
    notes: tuple[str, ...] = ()

    def __repr__(self) -> str:
        """One line."""
        names = ", ".join(f.name for f in self.factors)
        return f"<Plan: {self.kind}, {len(self.trials)} trials of {names}>"


def lawful(factors: Sequence[Factor], make: Maker) -> tuple[tuple[Factor, ...], tuple[str, ...]]:
    """Windows cut where a formula would be stopped, the other factors at their centres.

    Parameters
    ----------
    factors : sequence of Factor
    make : callable
        From doses to a formula document with a list ``stops``.

    Returns
    -------
    (tuple of Factor, tuple of str)
        Windows and a line for each that was cut.

    Raises
    ------
    PairingError
        When the low ends of all are stopped already.
    """
    lows = {f.name: f.low for f in factors}
    first = stops_of(make, lows)
    if first:
        raise PairingError(f"the weakest trial is stopped already: {first[0]}")
    out, notes = [], []
    for factor in factors:
        mine = {**lows, factor.name: factor.high}
        why = stops_of(make, mine)
        if not why:
            out.append(factor)
            continue
        good, bad = factor.low, factor.high
        for _ in range(14):
            middle = factor.at((factor.coded(good) + factor.coded(bad)) / 2)
            if stops_of(make, {**lows, factor.name: middle}):
                bad = middle
            else:
                good = middle
        good = _short(good, down=True)
        if good <= factor.low:
            raise PairingError(f"{factor.name}: no dose above {factor.low:g} is allowed: {why[0]}")
        centre = None if factor.centre is None else min(factor.centre, good)
        out.append(Factor(factor.name, factor.low, good, factor.unit, centre))
        notes.append(f"{factor.name} ends at {good:g} {factor.unit}, not {factor.high:g}: {why[0]}")
    return tuple(out), tuple(notes)


def stops_of(make: Maker, doses: Mapping[str, float]) -> list[str]:
    """Why a formula must not be served; a formula that cannot be made counts as stopped."""
    try:
        document = make(doses)
    except PairingError as err:
        return [str(err)]
    if "stops" not in document:
        return ["its safety was not assessed"]
    return [str(s) for s in document["stops"]]


def plan(
    kind: str,
    factors: Sequence[Factor],
    make: Maker,
    *,
    steps: int = STEPS,
    trials: int | None = None,
    total: float | None = None,
    seed: int = 1,
) -> Plan:
    """A set of trial formulas.

    Parameters
    ----------
    kind : str
        ``ladder`` (one factor at a time, the others at their centre), ``factorial`` (all corners),
        ``fraction`` (a half, quarter ... of the corners), ``composite`` (corners, faces, centre),
        ``mixture`` (shares of one total dose), ``spread`` (space-filling).
    factors : sequence of Factor
    make : callable
        From doses to a formula document with a list ``stops``.
    steps : int
        Rungs of a ladder.
    trials : int, optional
        Trials of a ``spread``; six when not said.
    total : float, optional
        Total dose of a ``mixture``; that of the centres when not said.
    seed : int

    Returns
    -------
    Plan

    Raises
    ------
    PairingError
        For an unknown kind, too few or many factors, or when law leaves fewer than two trials.
    """
    if kind not in DESIGNS:
        raise PairingError(f"unknown design {quoted(kind)}; one of {', '.join(DESIGNS)}")
    if not 1 <= len(factors) <= MOST_FACTORS:
        raise PairingError(f"{len(factors)} things to vary; give 1 to {MOST_FACTORS}")
    if len({f.name for f in factors}) != len(factors):
        raise PairingError("something is varied twice; name each once")
    cut, notes = lawful(factors, make)
    points = _points(kind, cut, steps, trials, total, seed)
    seen: list[dict[str, float]] = []
    for point in points:
        doses = {f.name: _short(x) for f, x in zip(cut, point, strict=True)}
        if doses not in seen:
            seen.append(doses)
    if len(seen) > MOST_TRIALS:
        raise PairingError(
            f"{len(seen)} trials are more than {MOST_TRIALS}; vary fewer things, or take a "
            "fraction or a spread"
        )
    kept: list[Trial] = []
    out: list[tuple[Mapping[str, float], str]] = []
    for doses in seen:
        why = _outside(doses, cut) or next(iter(stops_of(make, doses)), "")
        if why:
            out.append((doses, why))
        else:
            kept.append(Trial(chr(ord("A") + len(kept)), doses, make(doses)))
    if len(kept) < 2:
        why = out[0][1] if out else "the windows are too narrow"
        raise PairingError(f"fewer than two trials are left: {why}")
    return Plan(kind, cut, tuple(kept), tuple(out), notes)


def _outside(doses: Mapping[str, float], factors: Sequence[Factor]) -> str:
    for f in factors:
        slack = 0.006 * f.high  # three digits are kept
        if not f.low - slack <= doses[f.name] <= f.high + slack:
            return f"{f.name} {doses[f.name]:g} is outside {f.low:g} to {f.high:g} {f.unit}"
    return ""


def _short(value: float, *, down: bool = False) -> float:
    """Three digits: what a bar can weigh."""
    if value == 0:
        return 0.0
    places = 2 - math.floor(math.log10(abs(value)))
    if down:
        return float(math.floor(value * 10.0**places) / 10.0**places)
    return round(value, places)


def _points(
    kind: str,
    factors: Sequence[Factor],
    steps: int,
    trials: int | None,
    total: float | None,
    seed: int,
) -> list[list[float]]:
    if kind == "ladder":
        if not 2 <= steps <= 9:
            raise PairingError(f"a ladder of {steps} rungs; give 2 to 9")
        rungs = np.linspace(-1, 1, steps)
        return [[g.at(c) if g is f else g.middle for g in factors] for f in factors for c in rungs]
    if kind == "mixture":
        return _mixture(factors, total)
    return [
        [f.at(float(c)) for f, c in zip(factors, row, strict=True)]
        for row in coded(kind, len(factors), trials, seed)
    ]


def coded(kind: str, count: int, trials: int | None = None, seed: int = 1) -> Array:
    """A design in coded units, -1 to 1: trials x factors.

    Parameters
    ----------
    dose : float
        In ``unit``.
    kind : str
        ``factorial``, ``fraction``, ``composite`` or ``spread``.
    count : int
        Factors.
    trials : int, optional
        Of a ``spread``.
    seed : int

    Returns
    -------
    float
    """
    if kind == "spread":
        from scipy.stats import qmc

        wanted = 6 if trials is None else trials
        if not 2 <= wanted <= MOST_TRIALS:
            raise PairingError(f"{wanted} trials; give 2 to {MOST_TRIALS}")
        sampler = qmc.LatinHypercube(
            count, optimization="random-cd", rng=np.random.default_rng(seed)
        )
        return np.asarray(2 * sampler.random(wanted) - 1, dtype=np.float64)
    doe = _pydoe()
    if kind == "factorial":
        if 2**count > MOST_TRIALS:
            raise PairingError(
                f"all corners of {count} factors are {2**count} trials; take a fraction or spread"
            )
        return np.asarray(doe.ff2n(count), dtype=np.float64)
    if count < 2:
        raise PairingError(f"a {kind} design needs two things to vary; take a ladder for one")
    if kind == "fraction":
        if count < 3:
            raise PairingError("a fraction needs three things to vary; take a factorial for two")
        return np.asarray(
            doe.fracfact_by_res(count, 3 if count > 4 else min(count, 4)), dtype=np.float64
        )
    return np.asarray(doe.ccdesign(count, center=(0, 1), face="ccf"), dtype=np.float64)


def _mixture(factors: Sequence[Factor], total: float | None) -> list[list[float]]:
    """Simplex-centroid shares of one total dose, above each factor's low end."""
    if len(factors) < 2:
        raise PairingError("a mixture needs two things to share a dose")
    whole = sum(f.middle for f in factors) if total is None else total
    lows = sum(f.low for f in factors)
    if not lows < whole <= sum(f.high for f in factors):
        raise PairingError(
            f"a total of {whole:g} {factors[0].unit} does not fit the windows; give more than "
            f"{lows:g} and at most {sum(f.high for f in factors):g}"
        )
    free = whole - lows
    rows = np.asarray(_pydoe().simplex_centroid_design(len(factors)), dtype=np.float64)
    return [[f.low + free * float(s) for f, s in zip(factors, row, strict=True)] for row in rows]


def _pydoe() -> Any:
    try:
        import pydoe
    except ImportError:
        raise PairingError(
            "this design needs pyDOE: pip install 'coffee-syrup-pairing[trials]'; a ladder or a "
            "spread works without"
        ) from None
    return pydoe


# --- the bench ----------------------------------------------------------------------------


def honest_pot_g(
    doses_g_per_kg: Sequence[float], needed_g: float, balance_g: float = BALANCE_G
) -> tuple[float, bool]:
    """Smallest pot in which the least dose can still be weighed.

    Parameters
    ----------
    doses_g_per_kg : sequence of float
        Grams per kg of syrup; those of 0 are left out.
    needed_g : float
        Syrup that the panel takes, g.
    balance_g : float
        One step of the balance, g.

    Returns
    -------
    (float, bool)
        Grams of syrup, rounded up to 10, and whether the balance weighs every dose to 5 %.
    """
    least = min((d for d in doses_g_per_kg if d > 0), default=math.inf)
    weigh = STEPS_OF_BALANCE * balance_g / least * 1000.0
    pot = max(SMALLEST_POT_G, needed_g, min(weigh, LARGEST_POT_G))
    return math.ceil(pot / 10 - 1e-9) * 10.0, weigh <= LARGEST_POT_G


def pots(
    made: Plan, make: Maker, grams: float
) -> tuple[tuple[Pot, ...], dict[str, dict[str, float]]] | None:
    """Shared syrups from which every trial is mixed by weight.

    One pot with all factors low, and one for each factor that holds enough of it for the strongest
    trial. A pot is cooked only if it might be served itself: no stock stronger than law allows
    stands on the bench.

    Parameters
    ----------
    made : Plan
    make : callable
    grams : float
        Of each trial.

    Returns
    -------
    (tuple of Pot, dict of trial to {pot: grams}) or None
        None where that is no less work than cooking each trial, or a pot would be stopped.
    """
    factors = [f for f in made.factors if len({t.doses[f.name] for t in made.trials}) > 1]
    if len(factors) + 1 >= len(made.trials):
        return None
    lows = {f.name: min(t.doses[f.name] for t in made.trials) for f in made.factors}
    span = {f.name: max(t.doses[f.name] for t in made.trials) - lows[f.name] for f in factors}
    crowd = max(sum((t.doses[n] - lows[n]) / s for n, s in span.items()) for t in made.trials)
    crowd = max(1.0, crowd)
    stock = {n: {**lows, n: lows[n] + crowd * s} for n, s in span.items()}
    if any(stops_of(make, d) for d in [lows, *stock.values()]):
        return None
    recipe: dict[str, dict[str, float]] = {}
    for t in made.trials:
        parts = {n: (t.doses[n] - lows[n]) / (stock[n][n] - lows[n]) * grams for n in span}
        recipe[t.name] = {"base": max(0.0, grams - sum(parts.values())), **parts}
    need = {p: sum(r[p] for r in recipe.values()) * 1.1 for p in ["base", *span]}
    found = [Pot(p, lows if p == "base" else stock[p], need[p]) for p in need if need[p] > 0]
    return tuple(found), recipe
