"""The score card: how well drinks are completed (A) and what cooks combine is predicted (C).

Reads the validation folder (published coffee drinks; counts from the recipe collection published
with Ahn, Ahnert, Bagrow & Barabasi 2011, Scientific Reports 1:196, doi 10.1038/srep00196; never
shipped). Every figure is for what the model did not see when it was fitted.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from pairing.affinity.model import blocks, pair_features, resolve
from pairing.aroma.odour import Array
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load

__all__ = ["Card", "Measure", "Pairs", "drinks_card", "read_pairs", "run", "training_target"]

Index = npt.NDArray[np.intp]
CLIP = 2.0  # log2: a pair met four times rarer or oftener than chance teaches no more than that
LEAST_EXPECTED = 1.0  # pairs that are measured
LEAST_EXPECTED_TO_LEARN = 0.5
PAIR_COLUMNS = ("ingredient_a", "ingredient_b", "n_a", "n_b", "n_both", "n_recipes")


@dataclass(frozen=True)
class Pairs:
    """Counts of pairs in recipes.

    Attributes
    ----------
    names : tuple of str
        Ingredients.
    a, b : (n_pairs,) int arrays
        Indices into ``names``.
    n_both, expected : (n_pairs,) arrays
        Recipes with both; recipes expected to have both by chance.
    popularity : (n_names,) array
        Recipes with the ingredient.
    """

    names: tuple[str, ...]
    a: Index
    b: Index
    n_both: Array
    expected: Array
    popularity: Array

    @cached_property
    def lor(self) -> Array:
        """log2((both + 0.5) / (expected + 0.5)), the target."""
        return np.asarray(np.log2((self.n_both + 0.5) / (self.expected + 0.5)))

    @cached_property
    def tested(self) -> Index:
        """Pairs with at least one expected recipe."""
        return np.flatnonzero(self.expected >= LEAST_EXPECTED)

    def of(self, name: str) -> npt.NDArray[np.bool_]:
        """Pairs that hold an ingredient.

        Parameters
        ----------
        name : str

        Returns
        -------
        (n_pairs,) bool array
        """
        i = self.names.index(name)
        return np.asarray((self.a == i) | (self.b == i))


def _rows(path: Path) -> list[dict[str, str]]:
    try:
        with path.open(encoding="utf-8", newline="") as handle:
            return list(csv.DictReader(handle))
    except OSError:
        raise PairingError(
            f"no file {path}; give the validation folder with recipe_pairs.csv, "
            "recipe_sets.txt and name_map.csv"
        ) from None


def read_pairs(folder: Path) -> Pairs:
    """Read ``recipe_pairs.csv`` of a validation folder.

    Parameters
    ----------
    folder : Path

    Returns
    -------
    Pairs

    Raises
    ------
    PairingError
        When the file is missing or a column is.
    """
    rows = _rows(folder / "recipe_pairs.csv")
    if not rows or any(c not in rows[0] for c in PAIR_COLUMNS):
        raise PairingError(f"recipe_pairs.csv needs the columns {', '.join(PAIR_COLUMNS)}")
    names = tuple(sorted({r[k] for r in rows for k in ("ingredient_a", "ingredient_b")}))
    at = {n: i for i, n in enumerate(names)}
    a = np.array([at[r["ingredient_a"]] for r in rows], dtype=np.intp)
    b = np.array([at[r["ingredient_b"]] for r in rows], dtype=np.intp)
    n_a, n_b, n_both, n = (np.array([float(r[c]) for r in rows]) for c in PAIR_COLUMNS[2:])
    popularity = np.zeros(len(names))
    popularity[a], popularity[b] = n_a, n_b
    return Pairs(names, a, b, n_both, n_a * n_b / n, popularity)


def training_target(pairs: Pairs) -> tuple[Array, Array]:
    """What the model learns from: clipped target, and weight (0 for pairs too rare to tell).

    Parameters
    ----------
    pairs : Pairs

    Returns
    -------
    target, weight : (n_pairs,) arrays
    """
    weight = np.sqrt(pairs.expected) * (pairs.expected >= LEAST_EXPECTED_TO_LEARN)
    return np.clip(pairs.lor, -CLIP, CLIP), np.asarray(weight)


def profiles_of(catalog: Catalog, pairs: Pairs) -> Array:
    """(n_names, n_learned) the learned blocks of the ingredients' profiles."""
    width = sum(size for _, size in blocks(catalog))
    return np.array([pair_features(catalog, n)[1 : 1 + width] for n in pairs.names])


# --- cross-validation -----------------------------------------------------------------------

Predictor = Callable[[Index, Index], Array]  # (pairs to learn from, pairs to predict)


def predictor(catalog: Catalog, pairs: Pairs, alpha: float | None = None) -> Predictor:
    """The shipped model, fitted on some pairs and asked about others."""
    from pairing.affinity.estimator import ALPHA, for_blocks

    x = profiles_of(catalog, pairs)
    both = np.hstack([x[pairs.a], x[pairs.b]])
    target, weight = training_target(pairs)

    def predict(learn: Index, ask: Index) -> Array:
        estimator = for_blocks(blocks(catalog), ALPHA if alpha is None else alpha)
        estimator.fit(both[learn], target[learn], weight[learn])
        return estimator.predict(both[ask])

    return predict


def folds(count: int, seed: int, parts: int = 5) -> Index:
    """Fold number of each of ``count`` pairs."""
    return np.asarray(np.random.default_rng(seed).permutation(count) % parts, dtype=np.intp)


def five_fold(pairs: Pairs, predict: Predictor, asked: Index, seed: int) -> Array:
    """Predictions for ``asked``, each from a model that saw no pair of its fifth."""
    fold = folds(len(asked), seed)
    out = np.empty(len(asked))
    for k in range(5):
        held = asked[fold == k]
        learn = np.setdiff1d(np.arange(len(pairs.a)), held)
        out[fold == k] = predict(learn, held)
    return out


def left_out(pairs: Pairs, predict: Predictor) -> tuple[Array, Array]:
    """Predictions for the tested pairs with one of their ingredients left out entirely.

    Returns
    -------
    (n_tested,), (n_tested,) arrays
        With ``a`` left out and with ``b`` left out.
    """
    asked = pairs.tested
    without_a, without_b = np.empty(len(asked)), np.empty(len(asked))
    for i, name in enumerate(pairs.names):
        mine = pairs.of(name)
        held = asked[mine[asked]]
        if not len(held):
            continue
        answer = predict(np.flatnonzero(~mine), held)
        where = np.searchsorted(asked, held)
        is_a = pairs.a[held] == i
        without_a[where[is_a]] = answer[is_a]
        without_b[where[~is_a]] = answer[~is_a]
    return without_a, without_b


def nested_five_fold(
    catalog: Catalog, pairs: Pairs, alphas: Sequence[float], seed: int
) -> tuple[Array, list[float]]:
    """Five-fold with the shrinkage chosen inside each training part.

    Returns
    -------
    (n_tested,) array, list of float
        Predictions, and the alpha chosen in each fold.
    """
    choices = {a: predictor(catalog, pairs, a) for a in alphas}
    asked = pairs.tested
    fold = folds(len(asked), seed)
    out, chosen = np.empty(len(asked)), []
    for k in range(5):
        held = asked[fold == k]
        learn = np.setdiff1d(np.arange(len(pairs.a)), held)
        inner = asked[fold != k]
        inner_fold = folds(len(inner), seed + 1)

        def inner_score(
            predict: Predictor,
            inner: Index = inner,
            inner_fold: Index = inner_fold,
            learn: Index = learn,
        ) -> float:
            guess = np.empty(len(inner))
            for m in range(5):
                ask = inner[inner_fold == m]
                guess[inner_fold == m] = predict(np.setdiff1d(learn, ask), ask)
            return rank_correlation(guess, pairs.lor[inner])

        best = max(choices, key=lambda a: inner_score(choices[a]))
        chosen.append(best)
        out[fold == k] = choices[best](learn, held)
    return out, chosen


# --- baselines and yardsticks ---------------------------------------------------------------


def shared_compounds(folder: Path, network: Path, names: Sequence[str]) -> tuple[Array, Array]:
    """Shared-compound count and Jaccard index of the 2011 network.

    Parameters
    ----------
    folder : Path
        Validation folder, for ``name_map.csv``.
    network : Path
        Folder with ``ingr_info.tsv`` and ``ingr_comp.tsv``.
    names : sequence of str

    Returns
    -------
    (n_names, n_names), (n_names, n_names) arrays
    """
    mapped = {r["network_2011_name"]: r["ingredient_id"] for r in _rows(folder / "name_map.csv")}
    numbers: dict[str, str] = {}
    compounds: dict[str, set[str]] = {n: set() for n in names}
    try:
        for line in (network / "ingr_info.tsv").read_text(encoding="utf-8").splitlines():
            if not line.startswith("#"):
                number, name, *_ = line.split("\t")
                numbers[number] = mapped.get(name, "")
        for line in (network / "ingr_comp.tsv").read_text(encoding="utf-8").splitlines():
            if not line.startswith("#"):
                number, compound, *_ = line.split("\t")
                owner = numbers.get(number, "")
                if owner in compounds:
                    compounds[owner].add(compound)
    except OSError:
        raise PairingError(
            f"no shared-compound network in {network}; give the folder with ingr_info.tsv and "
            "ingr_comp.tsv"
        ) from None
    count = np.array([[float(len(compounds[a] & compounds[b])) for b in names] for a in names])
    union = np.array([[float(len(compounds[a] | compounds[b])) for b in names] for a in names])
    return count, np.divide(count, union, out=np.zeros_like(count), where=union > 0)


def yardstick(catalog: Catalog, pairs: Pairs, seed: int = 0) -> Predictor:
    """A black box on symmetric features (sum, product, difference), to see what it could do."""
    from sklearn.ensemble import ExtraTreesRegressor

    known = dict(blocks(catalog))["known"]
    x = profiles_of(catalog, pairs)[:, :-known]
    a, b = x[pairs.a], x[pairs.b]
    rows = np.hstack([a + b, a * b, np.abs(a - b)])
    target, weight = training_target(pairs)

    def predict(learn: Index, ask: Index) -> Array:
        forest = ExtraTreesRegressor(120, min_samples_leaf=3, max_features=0.5, random_state=seed)
        used = learn[weight[learn] > 0]
        forest.fit(rows[used], target[used], weight[used])
        return np.asarray(forest.predict(rows[ask]))

    return predict


# --- measures -------------------------------------------------------------------------------


def ranks(values: Array) -> Array:
    """Ranks with ties shared."""
    from scipy.stats import rankdata

    return np.asarray(rankdata(values))


def rank_correlation(guess: Array, truth: Array) -> float:
    """Spearman's rank correlation; NaN where it is not defined."""
    if len(guess) < 3 or np.ptp(guess) == 0 or np.ptp(truth) == 0:
        return float("nan")
    return float(np.corrcoef(ranks(guess), ranks(truth))[0, 1])


def auc(guess: Array, truth: Array) -> float:
    """Chance that a pair met oftener than expected is ranked above one met less often."""
    positive = truth > 0
    n = int(positive.sum())
    if n in (0, len(truth)):
        return float("nan")
    total = float(ranks(guess)[positive].sum())
    return (total - n * (n + 1) / 2) / (n * (len(truth) - n))


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure of the score card with its 95 % bootstrap interval.

    Attributes
    ----------
    protocol, method, measure : str
        How it was kept apart, what was asked, and what was counted.
    value, low, high : float
        The figure and the ends of its interval; NaN where it is not defined.
    count : int
        Cases it rests on.
    """

    protocol: str
    method: str
    measure: str
    value: float
    low: float
    high: float
    count: int


@dataclass(frozen=True)
class Card:
    """The whole score card.

    Attributes
    ----------
    rows : tuple of Measure
    notes : tuple of str
        What a reader must know of the figures.
    """

    rows: tuple[Measure, ...]
    notes: tuple[str, ...]

    def find(self, protocol: str, method: str, measure: str) -> Measure:
        """One figure.

        Parameters
        ----------
        protocol, method, measure : str

        Returns
        -------
        Measure

        Raises
        ------
        PairingError
            When the card has no such figure.
        """
        for row in self.rows:
            if (row.protocol, row.method, row.measure) == (protocol, method, measure):
                return row
        raise PairingError(f"the score card has no {measure} of {method} by {protocol}")

    def as_json(self) -> str:
        """JSON, format version 1; figures that are not defined are null."""

        def clean(row: Measure) -> dict[str, Any]:
            return {
                k: None if isinstance(v, float) and np.isnan(v) else v
                for k, v in asdict(row).items()
            }

        body = {
            "format": "pairing.score-card",
            "version": 1,
            "measures": [clean(r) for r in self.rows],
            "notes": list(self.notes),
        }
        return json.dumps(body, indent=1) + "\n"

    def table(self) -> str:
        """Markdown table."""
        lines = [
            "| protocol | method | measure | value | 95 % interval | n |",
            "|---|---|---|---|---|---|",
        ]
        for r in self.rows:
            interval = "" if np.isnan(r.low) else f"{r.low:.2f} to {r.high:.2f}"
            shown = "not defined" if np.isnan(r.value) else f"{r.value:.3f}"
            lines.append(
                f"| {r.protocol} | {r.method} | {r.measure} | {shown} | {interval} | {r.count} |"
            )
        return "\n".join(lines) + "\n"


def _measured(
    protocol: str, method: str, guess: Array, truth: Array, resamples: int, seed: int = 0
) -> list[Measure]:
    """Rank correlation and AUC with bootstrap intervals over pairs."""
    rng = np.random.default_rng(seed)
    n = len(truth)
    picks = rng.integers(0, n, (resamples, n))
    out = []
    for name, function in (("rank correlation", rank_correlation), ("AUC", auc)):
        again = np.array([function(guess[p], truth[p]) for p in picks])
        again = again[~np.isnan(again)]
        low, high = np.quantile(again, [0.025, 0.975]) if len(again) else (np.nan, np.nan)
        value = function(guess, truth)
        out.append(Measure(protocol, method, name, value, float(low), float(high), n))
    return out


def _completion(
    recipes: Sequence[Sequence[int]], scores: Mapping[str, tuple[Array, Array]], resamples: int
) -> list[Measure]:
    """Hide each ingredient of each recipe in turn and rank all others by the rest of the recipe.

    ``scores`` maps a method to a pair matrix (summed over the rest of the recipe) and an
    addition for each candidate.
    """
    n = len(next(iter(scores.values()))[1])
    sets = np.zeros((len(recipes), n))
    for i, recipe in enumerate(recipes):
        sets[i, list(recipe)] = 1.0
    hidden_row = np.repeat(np.arange(len(recipes)), sets.sum(axis=1).astype(int))
    hidden = np.array([i for r in recipes for i in sorted(r)], dtype=np.intp)
    rest = sets[hidden_row].copy()
    rest[np.arange(len(hidden)), hidden] = 0.0
    rng = np.random.default_rng(0)
    recipe_picks = rng.integers(0, len(recipes), (resamples, len(recipes)))
    out = []
    for method, (matrix, addition) in scores.items():
        value = rest @ matrix + addition
        value[rest > 0] = -np.inf
        own = value[np.arange(len(hidden)), hidden][:, None]
        rank = 1.0 + (value > own).sum(axis=1) + ((value == own).sum(axis=1) - 1) / 2.0
        for name, good in (("reciprocal rank", 1.0 / rank), ("hit in 5", (rank <= 5) * 1.0)):
            per_recipe = np.bincount(hidden_row, good, len(recipes))
            size = np.bincount(hidden_row, minlength=len(recipes))
            again = [per_recipe[p].sum() / size[p].sum() for p in recipe_picks]
            low, high = np.quantile(again, [0.025, 0.975])
            mean = float(good.mean())
            out.append(
                Measure("complete a recipe", method, name, mean, float(low), float(high), len(rank))
            )
    return out


def _read_sets(folder: Path, names: Sequence[str]) -> list[list[int]]:
    path = folder / "recipe_sets.txt"
    at = {n: i for i, n in enumerate(names)}
    try:
        text = path.read_text(encoding="utf-8")
    except OSError:
        raise PairingError(f"no file {path}; the completion test needs it") from None
    found = [[at[w] for w in line.split() if w in at] for line in text.splitlines()]
    return [sorted(set(r)) for r in found if len(set(r)) > 1]


def _kinds(catalog: Catalog, names: Sequence[str]) -> list[str]:
    out = []
    for name in names:
        first = resolve(catalog, name)[0]
        out.append("coffee" if first == "coffee" else catalog.kind(catalog.forms[first]))
    return ["spice" if k == "root" else k for k in out]


WITHIN = (("coffee", "citrus"), ("coffee", "spice"), ("citrus", "spice"), ("spice", "spice"))


def _symmetric(pairs: Pairs, values: Array) -> Array:
    out = np.zeros((len(pairs.names), len(pairs.names)))
    out[pairs.a, pairs.b] = out[pairs.b, pairs.a] = values
    return out


def run(
    folder: Path,
    network: Path | None = None,
    catalog: Catalog | None = None,
    seeds: int = 5,
    resamples: int = 500,
    quick: bool = False,
) -> Card:
    """Measure the model and its baselines.

    Parameters
    ----------
    folder : Path
        Validation folder.
    network : Path, optional
        Folder of the 2011 network for the shared-compound baselines; left out when absent.
    catalog : Catalog, optional
    seeds : int
        Five-fold is repeated with this many shuffles; the figure is for the mean prediction's
        shuffle-by-shuffle average.
    resamples : int
        Bootstrap resamples.
    quick : bool
        Leave out the black box, the nested choice and the completion test.

    Returns
    -------
    Card

    Raises
    ------
    PairingError
        When the folder lacks a file.
    """
    where = catalog if catalog is not None else load()
    pairs = read_pairs(folder)
    predict = predictor(where, pairs)
    t = pairs.tested
    truth = pairs.lor[t]
    x = profiles_of(where, pairs)
    aroma = x[:, : dict(blocks(where))["aroma"]]
    base: dict[str, Array] = {"popularity": np.add.outer(*(2 * [np.log2(pairs.popularity)]))}
    base["cosine of aroma groups"] = aroma @ aroma.T
    if network is not None:
        count, jaccard = shared_compounds(folder, network, pairs.names)
        base["shared compounds"], base["Jaccard"] = count, jaccard
    rows: list[Measure] = []
    for method, matrix in base.items():
        guess = matrix[pairs.a[t], pairs.b[t]]
        rows += _measured("no fitting", method, guess, truth, resamples)

    shuffles = [five_fold(pairs, predict, t, s) for s in range(seeds)]
    rows += _averaged("five-fold", "affinity", shuffles, truth, resamples)
    if not quick:
        nested, chosen = nested_five_fold(where, pairs, (1.0, 2.0, 4.0), 0)
        rows += _measured("five-fold, nested choice", "affinity", nested, truth, resamples)
        box = [five_fold(pairs, yardstick(where, pairs), t, s) for s in range(2)]
        rows += _averaged("five-fold", "black box", box, truth, resamples)
    without_a, without_b = left_out(pairs, predict)
    each = np.concatenate([without_a, without_b])
    rows += _measured(
        "ingredient left out, each", "affinity", each, np.concatenate([truth, truth]), resamples
    )
    mean_left_out = (without_a + without_b) / 2.0
    rows += _measured("ingredient left out", "affinity", mean_left_out, truth, resamples)
    if not quick:
        box_a, box_b = left_out(pairs, yardstick(where, pairs))
        rows += _measured("ingredient left out", "black box", (box_a + box_b) / 2, truth, resamples)

    if "coffee" in pairs.names:
        coffee = pairs.names.index("coffee")
        mine = pairs.of("coffee")[t]
        guess = np.where(pairs.a[t] == coffee, without_a, without_b)[mine]
        rows += _measured("coffee left out", "affinity", guess, truth[mine], resamples)
        for method, matrix in base.items():
            flat = matrix[pairs.a[t], pairs.b[t]][mine]
            rows += _measured("coffee left out", method, flat, truth[mine], resamples)

    kinds = np.array(_kinds(where, pairs.names))
    mean_five = np.mean(shuffles, axis=0)
    for first, second in WITHIN:
        ka, kb = kinds[pairs.a[t]], kinds[pairs.b[t]]
        chosen_pairs = ((ka == first) & (kb == second)) | ((ka == second) & (kb == first))
        for method, guess in (
            ("affinity", mean_five),
            ("affinity, ingredient left out", mean_left_out),
            ("cosine of aroma groups", base["cosine of aroma groups"][pairs.a[t], pairs.b[t]]),
        ):
            protocol = f"within kinds: {first} with {second}"
            found = _measured(protocol, method, guess[chosen_pairs], truth[chosen_pairs], resamples)
            rows += found[:1]

    notes = [
        f"{len(t)} pairs with at least one expected recipe, of {len(pairs.a)}",
        "target: log2((both + 0.5) / (expected + 0.5)); AUC: target above zero",
        "ingredient left out: no pair of the ingredient was learned from; a pair has two such "
        "predictions (one ingredient or the other left out): 'each' pools them, the other row "
        "takes their mean",
    ]
    if not quick:
        notes.append(f"nested choice of alpha among 1, 2, 4: {', '.join(f'{c:g}' for c in chosen)}")
        everything = np.arange(len(pairs.a))
        unseen = np.mean([five_fold(pairs, predict, everything, s) for s in range(2)], axis=0)
        log_popularity = np.log2(pairs.popularity)
        scores = {
            "affinity": (_symmetric(pairs, unseen), np.zeros(len(pairs.names))),
            "affinity and popularity": (_symmetric(pairs, unseen), log_popularity),
            "popularity": (np.zeros((len(pairs.names),) * 2), log_popularity),
        }
        for method in ("shared compounds", "Jaccard", "cosine of aroma groups"):
            if method in base:
                matrix = base[method] - np.diag(np.diag(base[method]))
                scores[method] = (matrix, np.zeros(len(pairs.names)))
        rows += _completion(_read_sets(folder, pairs.names), scores, min(resamples, 200))
        notes.append("complete a recipe: pair scores are five-fold predictions, summed")
    return Card(tuple(rows), tuple(notes))


def drinks_card(
    folder: Path, catalog: Catalog | None = None, resamples: int = 400
) -> tuple[Measure, ...]:
    """Measure A: completing published coffee drinks, each page left out of learning in its turn.

    Parameters
    ----------
    folder : Path
        Validation folder with ``coffee_drinks.csv`` and ``candidates.txt``.
    catalog : Catalog, optional
    resamples : int
        Bootstrap resamples, over pages (over ingredients for the areas).

    Returns
    -------
    tuple of Measure

    Raises
    ------
    PairingError
        When the folder lacks a file.
    """
    from pairing.affinity.completion import (
        asked,
        completed,
        cup_of_stated,
        rivals,
        used_against_never,
    )

    where = catalog if catalog is not None else load()
    questions = asked(where, folder)
    rng = np.random.default_rng(0)
    out = []
    for method, scorer in rivals(where, questions).items():
        places, pages = completed(questions, scorer)
        groups = _by_page(pages)
        draws = [
            np.concatenate([groups[k] for k in rng.integers(0, len(groups), len(groups))])
            for _ in range(resamples)
        ]
        hits, ranks_ = np.where(places <= 10, 1.0, 0.0), 1.0 / places
        for name, good in (("hit in ten", hits), ("reciprocal rank", ranks_)):
            again = [float(good[d].mean()) for d in draws]
            out.append(_interval("A: complete a drink", method, name, good, again))
        for name, areas in used_against_never(questions, scorer).items():
            values = np.array(areas)
            picks = rng.integers(0, len(values), (resamples, len(values)))
            again = [float(values[p].mean()) for p in picks]
            out.append(_interval(f"A: {name}, against never", method, "area", values, again))
    values, pages = cup_of_stated(where, folder)
    groups = _by_page(pages)
    again = [
        float(values[np.concatenate([groups[k] for k in picks])].mean())
        for picks in rng.integers(0, len(groups), (resamples, len(groups)))
    ]
    out.append(_interval("A: partners of a stated coffee", "the cup alone", "area", values, again))
    return tuple(out)


def _by_page(pages: Sequence[str]) -> list[Index]:
    """Places of the cases of each page."""
    at: dict[str, list[int]] = {}
    for i, page in enumerate(pages):
        at.setdefault(page, []).append(i)
    return [np.array(v, dtype=np.intp) for v in at.values()]


def _interval(
    protocol: str, method: str, measure: str, values: Array, again: Sequence[float]
) -> Measure:
    low, high = np.quantile(again, [0.025, 0.975]).tolist()
    return Measure(protocol, method, measure, float(values.mean()), low, high, len(values))


def _averaged(
    protocol: str, method: str, shuffles: Sequence[Array], truth: Array, resamples: int
) -> list[Measure]:
    """Mean figure of several shuffles; interval of the first about it."""
    found = [
        _measured(protocol, method, s, truth, resamples if i == 0 else 1)
        for i, s in enumerate(shuffles)
    ]
    out = []
    for k, first in enumerate(found[0]):
        mean = float(np.mean([f[k].value for f in found]))
        shift = mean - first.value
        out.append(
            Measure(
                protocol,
                method,
                first.measure,
                mean,
                first.low + shift,
                first.high + shift,
                first.count,
            )
        )
    return out
