"""Ranking: forms against coffees with intervals, and blends of up to four partners.

Harmony ranks (within a kind); habit stands beside it and is mixed in only when asked, by the
taste for novelty.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from pairing.affinity import (
    Term,
    bench,
    coffee_features,
    model,
    total_loudness,
)
from pairing.aroma import Array, drink_g_per_l, group_loudness, profiles, usual_dose
from pairing.catalog import Catalog
from pairing.coffee import CoffeeBase
from pairing.draws import Single, draw_aroma, draw_thresholds
from pairing.errors import PairingError

__all__ = [
    "Blend",
    "BlendTables",
    "Ranking",
    "blend",
    "blend_tables",
    "rank",
    "rankable",
]

DRAWS = 1000
BANDS = (0.05, 0.95)
MOST_PARTNERS = 4
# Weights of a blend's terms: design choices of ours, not fitted.
AMONG_WEIGHT = 0.5  # a pair of partners counts half as much as a partner with the coffee
COVERAGE_WEIGHT = 0.3
CROWDING_WEIGHT = 0.6
CROWDING_FROM = 0.75  # cosine of aroma groups from which two partners do the same job
MASKING_WEIGHT = 0.5
AUDIBLE = 1.0  # loudness: an OAV of about ten
# Confidence words, by the width of the interval against the spread of the forms' scores.
FIRM, FAIR = 0.5, 1.0


def rankable(catalog: Catalog) -> tuple[str, ...]:
    """Forms that may be suggested: aroma known, not regulated."""
    rows = bench(catalog)
    return tuple(
        f
        for i, f in enumerate(rows.ids)
        if rows.has_aroma[i]
        and catalog.ingredients[catalog.forms[f].ingredient_id].regulated != "yes"
    )


@dataclass(frozen=True)
class Ranking:
    """Forms against coffees; every array is (n_coffees, n_forms).

    Attributes
    ----------
    ids, kinds : tuple of str
        Form ids and kinds, n_forms.
    score, score_low, score_high : arrays
        Plain prediction and its 5th and 95th percentile over the draws.
    harmony, low, high : arrays
        Harmony within the kind and its 5th and 95th percentile.
    habit : array
        How usual cooks find it: kitchens and recipes.
    kind_score : array
        Mean plain prediction of the form's kind with the coffee.
    top_ten : array
        Share of draws in which the form is among the ten of highest harmony.
    """

    ids: tuple[str, ...]
    kinds: tuple[str, ...]
    score: Array
    score_low: Array
    score_high: Array
    harmony: Array
    low: Array
    high: Array
    habit: Array
    kind_score: Array
    top_ten: Array

    @property
    def confidence(self) -> tuple[tuple[str, ...], ...]:
        """``firm``, ``fair`` or ``rough`` for each coffee and form."""
        spread = self.harmony.std(axis=1, keepdims=True)
        ratio = (self.high - self.low) / np.where(spread > 0, 2.0 * spread, 1.0)
        return tuple(
            tuple("firm" if r <= FIRM else "fair" if r <= FAIR else "rough" for r in row)
            for row in ratio
        )

    def value(self, taste: float = 0.0) -> Array:
        """What to rank by.

        Parameters
        ----------
        taste : float
            -1 surprising (habit counts against), 0 harmony alone, 1 familiar (habit counts).

        Returns
        -------
        (n_coffees, n_forms) array
        """
        if not -1.0 <= taste <= 1.0:
            raise PairingError(f"taste for novelty is from -1 to 1, got {taste:g}")
        # habit and harmony on one scale: habit counts as far as harmony spreads
        spread = self.harmony.std(axis=1, keepdims=True)
        habit = self.habit - self.habit.mean(axis=1, keepdims=True)
        wide = habit.std(axis=1, keepdims=True)
        return np.asarray(self.harmony + taste * habit * spread / np.where(wide > 0, wide, 1.0))


def _drawn(aroma: Single, tails: Array, coffee: Single, coffee_end: Array, coef: Array) -> Array:
    """Bilinear form of drawn profiles with a drawn coffee.

    Parameters
    ----------
    aroma : (n_forms, n_groups, draws) array
    tails : (n_forms, n_rest) array
        What is not drawn of the profiles, after the aroma groups.
    coffee : (n_groups, draws) array
    coffee_end : (n_rest,) array
    coef : (1 + n_groups + n_rest,) square array

    Returns
    -------
    (n_forms, draws) array
    """
    cut = 1 + aroma.shape[1]
    m = coef.astype(np.float32)
    slope = m[:, 1:cut] @ coffee
    slope += (m[:, cut:] @ coffee_end.astype(np.float32) + m[:, 0])[:, None]
    out = np.einsum("fgd,gd->fd", aroma, slope[1:cut], optimize=True)
    out += tails.astype(np.float32) @ slope[cut:]
    out += slope[0]
    return np.asarray(out, dtype=float)


def rank(
    catalog: Catalog,
    bases: Sequence[CoffeeBase],
    form_ids: Sequence[str] | None = None,
    draws: int = DRAWS,
    seed: int = 1,
) -> Ranking:
    """Rank forms against one or more coffees.

    Parameters
    ----------
    catalog : Catalog
    bases : sequence of CoffeeBase
        One a coffee.
    form_ids : sequence of str, optional
        Every rankable form when not given.
    draws, seed : int
        Monte-Carlo draws over concentration and threshold ranges; the same seed gives the same
        answer.

    Returns
    -------
    Ranking

    Raises
    ------
    PairingError
        When there is no coffee or no form.
    """
    wanted = tuple(form_ids) if form_ids is not None else rankable(catalog)
    if not bases or not wanted:
        raise PairingError("ranking needs at least one coffee and one form")
    if draws < 1:
        raise PairingError(f"draws must be at least 1, got {draws}")
    rows, fitted, found = bench(catalog), model(catalog), profiles(catalog)
    at = [rows.position[f] for f in wanted]
    kinds = tuple(rows.kinds[i] for i in at)
    features = rows.features[at]
    groups = len(found.axis.groups)
    tails = features[:, 1 + groups :]
    low, high = np.zeros((2, len(wanted), len(found.axis.compounds)))
    for i, form_id in enumerate(wanted):
        if form_id in found.position:
            low[i] = found.low[found.position[form_id]] / 1e3
            high[i] = found.high[found.position[form_id]] / 1e3  # mg/l at 1 g per litre
    rng = np.random.default_rng(seed)
    thresholds = draw_thresholds(found.axis, draws, rng)
    aroma = draw_aroma(low, high, found.axis, thresholds, rng)
    means = np.array([rows.kind_means[k] for k in kinds])
    parts: dict[str, list[Array]] = {k: [] for k in Ranking.__dataclass_fields__}
    for base in bases:
        cup = coffee_features(catalog, base)
        drawn = draw_aroma(base.low[None] / 1e3, base.high[None] / 1e3, found.axis, thresholds, rng)
        usual = ((means @ fitted.harmony_coef) @ cup)[:, None]
        inputs = (aroma, tails, drawn[0], cup[1 + groups :])
        harmony = _drawn(*inputs, fitted.harmony_coef) - usual
        rest = fitted.coef - fitted.harmony_coef
        score = harmony + usual + _drawn(*inputs, rest)
        best = fitted.harmony(features, cup[None], means, cup[None])
        plain = fitted.score(features, cup[None])
        parts["harmony"].append(best)
        parts["score"].append(plain)
        parts["habit"].append(fitted.habit(features, cup[None]))
        parts["kind_score"].append(fitted.score(means, cup[None]))
        for names, values, middle in (
            (("low", "high"), harmony, best),
            (("score_low", "score_high"), score, plain),
        ):
            bottom, top = _percentiles(values)
            # the best estimate is not the middle of the draws; the interval always holds it
            parts[names[0]].append(np.minimum(bottom, middle))
            parts[names[1]].append(np.maximum(top, middle))
        parts["top_ten"].append(_share_in_top(harmony, 10))
    arrays = {k: np.array(v) for k, v in parts.items() if k not in {"ids", "kinds"}}
    return Ranking(ids=wanted, kinds=kinds, **arrays)


def _percentiles(values: Array) -> tuple[Array, Array]:
    """5th and 95th percentile along the draws (nearest draw)."""
    last = values.shape[1] - 1
    low, high = round(BANDS[0] * last), round(BANDS[1] * last)
    ordered = np.partition(values, sorted({low, high}), axis=1)
    return np.asarray(ordered[:, low], dtype=float), np.asarray(ordered[:, high], dtype=float)


def _share_in_top(values: Array, count: int) -> Array:
    """Share of the draws in which each row is among the highest ``count``."""
    if len(values) <= count:
        return np.ones(len(values))
    bar = np.partition(values, len(values) - count, axis=0)[len(values) - count]
    return np.asarray((values >= bar).mean(axis=1))


# --- blends ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class BlendTables:
    """What a blend's score is made of, for searching many blends.

    A blend scores the mean over its partners of ``with_coffee + coverage - masking``, plus the
    mean over its pairs of partners of ``among - crowding``.

    Attributes
    ----------
    ids : tuple of str
        Form ids, n.
    with_coffee, coverage, masking : (n,) arrays
    among, crowding : (n, n) arrays
        Symmetric, zero on the diagonal.
    """

    ids: tuple[str, ...]
    with_coffee: Array
    coverage: Array
    masking: Array
    among: Array
    crowding: Array

    @property
    def single(self) -> Array:
        """(n,) what a partner adds alone."""
        return np.asarray(self.with_coffee + self.coverage - self.masking)

    @property
    def pair(self) -> Array:
        """(n, n) what two partners add together."""
        return np.asarray(self.among - self.crowding)

    def score(self, partners: Sequence[int]) -> float:
        """Score of a blend of partners, given by index."""
        chosen = list(partners)
        total = float(self.single[chosen].mean())
        pairs = list(combinations(chosen, 2))
        if pairs:
            total += float(np.mean([self.pair[i, j] for i, j in pairs]))
        return total


@dataclass(frozen=True)
class Blend:
    """A scored blend: the terms add up to the score.

    ``part`` of a term is with-coffee, among, coverage, crowding or masking.
    """

    form_ids: tuple[str, ...]
    score: float
    terms: tuple[Term, ...]


def _in_drink(
    catalog: Catalog, form_ids: Sequence[str], doses: Sequence[float | None] | None
) -> Array:
    """(n, n_compounds) OAVs of each form at its dose in the reference drink."""
    found = profiles(catalog)
    out = np.zeros((len(form_ids), len(found.axis.compounds)))
    for i, form_id in enumerate(form_ids):
        if form_id not in found.position:
            continue
        given = doses[i] if doses is not None else None
        dose = given if given is not None else usual_dose(catalog.forms[form_id])
        grams = drink_g_per_l(dose) if dose else 1.0
        with np.errstate(invalid="ignore"):
            row = found.best[found.position[form_id]] * grams / found.axis.threshold_best
        out[i] = np.nan_to_num(row)
    return out


def blend_tables(
    catalog: Catalog,
    base: CoffeeBase,
    form_ids: Sequence[str],
    doses: Sequence[float | None] | None = None,
    taste: float = 0.0,
) -> BlendTables:
    """Terms of blends of some forms with a coffee.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase
    form_ids : sequence of str
    doses : sequence of float or None, optional
        g per kg of finished syrup; the middle of the usual dose where not given.
    taste : float
        Taste for novelty as in :meth:`Ranking.value`, applied to ``with_coffee`` as it stands.

    Notes
    -----
    *Coverage*: share of the partner's audible aroma groups that the coffee lacks. *Crowding*:
    how far the cosine of two partners' aroma groups passes 0.75. *Masking*: how far the
    partner at its dose is louder than the whole coffee.
    """
    rows, fitted, found = bench(catalog), model(catalog), profiles(catalog)
    wanted = tuple(form_ids)
    at = [rows.position[f] for f in wanted]
    x = rows.features[at]
    means = np.array([rows.kind_means[rows.kinds[i]] for i in at])
    cup = coffee_features(catalog, base)
    with_coffee = fitted.harmony(x, cup[None], means, cup[None])
    if taste:
        usual = fitted.habit(means, cup[None])
        with_coffee = with_coffee + taste * (fitted.habit(x, cup[None]) - usual)
    h = fitted.harmony_coef
    among = AMONG_WEIGHT * (x @ h @ x.T - means @ h @ means.T)
    np.fill_diagonal(among, 0.0)
    oav = _in_drink(catalog, wanted, doses)
    loud = group_loudness(oav, found.axis)
    of_coffee = group_loudness(base.oav, found.axis)
    audible = loud >= AUDIBLE
    new = audible & (of_coffee < AUDIBLE)[None, :]
    coverage = COVERAGE_WEIGHT * new.sum(axis=1) / np.maximum(audible.sum(axis=1), 1)
    groups = slice(1, 1 + len(found.axis.groups))
    alike = x[:, groups] @ x[:, groups].T
    crowding = CROWDING_WEIGHT * np.maximum(alike - CROWDING_FROM, 0.0) / (1.0 - CROWDING_FROM)
    np.fill_diagonal(crowding, 0.0)
    over = total_loudness(oav) - total_loudness(base.oav)
    masking = MASKING_WEIGHT * np.maximum(over, 0.0)
    return BlendTables(wanted, with_coffee, coverage, masking, among, crowding)


def blend(
    catalog: Catalog,
    base: CoffeeBase,
    form_ids: Sequence[str],
    doses: Sequence[float | None] | None = None,
    taste: float = 0.0,
) -> Blend:
    """Score one blend of one to four partners and say why; see :func:`blend_tables`.

    Raises
    ------
    PairingError
        When there are no partners, more than four, or one twice.
    """
    chosen = tuple(form_ids)
    if not 1 <= len(chosen) <= MOST_PARTNERS:
        raise PairingError(f"a blend has 1 to {MOST_PARTNERS} partners, got {len(chosen)}")
    if len(set(chosen)) < len(chosen):
        raise PairingError("a blend names the same ingredient twice; name each once")
    tables = blend_tables(catalog, base, chosen, doses, taste)
    labels = [catalog.forms[f].label for f in chosen]
    n = len(chosen)
    terms = []
    for i, label in enumerate(labels):
        for part, values, sign, words in (
            ("with-coffee", tables.with_coffee, 1.0, "with the coffee"),
            ("coverage", tables.coverage, 1.0, "brings what the coffee lacks"),
            ("masking", tables.masking, -1.0, "would drown the coffee at this dose"),
        ):
            if values[i]:
                value = sign * float(values[i]) / n
                terms.append(Term(part, f"{label} {words}", chosen[i], "coffee", value))
    pairs = list(combinations(range(n), 2))
    for i, j in pairs:
        for part, table, sign, words in (
            ("among", tables.among, 1.0, "with"),
            ("crowding", tables.crowding, -1.0, "does the same job as"),
        ):
            if table[i, j]:
                value = sign * float(table[i, j]) / len(pairs)
                words_for_pair = f"{labels[i]} {words} {labels[j]}"
                terms.append(Term(part, words_for_pair, chosen[i], chosen[j], value))
    terms.sort(key=lambda t: -abs(t.value))
    return Blend(chosen, tables.score(range(n)), tuple(terms))
