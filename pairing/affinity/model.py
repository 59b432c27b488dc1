r"""Affinity: how well two ingredients, or an ingredient and a coffee, go together, and why.

A profile is ``x = [1 | aroma | taste | kitchen | known]``: loudness of the aroma groups, taste
and form traits, the kitchens that use the item in sweet things and drinks (each of these three
of length one), and a flag for an item that recipes name. The score of a pair is

.. math:: s(a, b) = x_a^T M x_b

with one symmetric table of coefficients (``data/compatibility.csv``), so it splits exactly
into one term for each pair of features. It predicts log2 of how much oftener than chance cooks
combine the two (clipped at four times). How it is fitted: :mod:`pairing.estimator`; how well
it does: the score card (:mod:`pairing.scorecard`).

Terms are read two ways. *Harmony*: aroma, likeness and taste, centred on the mean of the two
kinds, so that citrus is not punished for being citrus. *Habit*: kitchens and how usual cooks
find it.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any, overload

import numpy as np
import numpy.typing as npt

from pairing.aroma.coffee import COFFEE, CoffeeBase, plain_coffee
from pairing.aroma.odour import Array, group_loudness, profiles
from pairing.errors import PairingError, UnknownNameError
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.once import once_per_catalog
from pairing.evidence.rows import Form
from pairing.evidence.spelling import normalise
from pairing.evidence.tables import read_rows
from pairing.evidence.words import OTHER_USES
from pairing.files import write_atomically

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "TRAITS",
    "Bench",
    "Model",
    "Term",
    "bench",
    "coffee_features",
    "pair_features",
    "read_model",
    "score_pairs",
    "score_rows",
]

# What a form is on the tongue and in the hand; words a barista would use.
TRAITS = (
    "roasted",
    "sour",
    "sweet",
    "rich",
    "bitter",
    "tea",
    "spice",
    "leaf",
    "flower",
    "nut",
    "citrus",
    "peel",
    "juice",
)
SOUREST_PERCENT = 5.0  # % citric acid that counts as fully sour (lemon juice: Belitz & Grosch)
SOUR_SHARE = {"juice": 1.0, "slice": 0.7}
# How much further than fitted likeness (about 1.4) a coffee that differs from the ordinary cup
# moves toward what shares its aroma: our choice, not fitted, for recipes know one coffee.
TABLE = "compatibility.csv"
COLUMNS = ("feature_a", "feature_b", "part", "coefficient", "source_id", "evidence")
DIGITS = 3
SMALLEST = 5e-3  # smaller coefficients are left out: predictions move by at most 0.02

BRIDGE = 3.0
COFFEE_SOUR = 0.2  # an ordinary coffee beside lemon juice: pH 5 beside pH 2.4, common practice
HARMONY_PARTS = ("aroma", "likeness", "taste", "bridge")
HABIT_PARTS = ("kitchen", "habit")
FORM_HABITS = frozenset({"taste:peel", "taste:juice"})


# --- profiles of ingredients and coffees ----------------------------------------------------


@dataclass(frozen=True)
class Kitchens:
    """Table of kitchens: which use an item, and the name recipes know it by."""

    of: Mapping[str, tuple[str, ...]]
    recipe_name: Mapping[str, str]

    @cached_property
    def known(self) -> tuple[str, ...]:
        """Names that recipes know, sorted."""
        return tuple(sorted(set(self.recipe_name.values())))


@once_per_catalog
def kitchens(catalog: Catalog) -> Kitchens:
    """Read ``kitchens.csv`` of a catalogue (once)."""
    path = catalog.folder / "kitchens.csv"
    header, rows = read_rows(path)
    if header[:3] != ["item_id", "kitchens", "recipe_name"]:
        raise PairingError(f"{path.name}: needs columns item_id, kitchens, recipe_name first")
    of: dict[str, tuple[str, ...]] = {}
    recipe_name: dict[str, str] = {}
    for row in rows:
        named = tuple(k for k in row[1].split(";") if k)
        for kitchen in named:
            if kitchen not in catalog.kitchen_words:
                known = ", ".join(catalog.kitchen_words)
                raise PairingError(f"{path.name}: unknown kitchen {kitchen!r}; use {known}")
        of[row[0]] = named
        if row[2]:
            recipe_name[row[0]] = row[2]
    return Kitchens(of, recipe_name)


def feature_names(catalog: Catalog) -> tuple[str, ...]:
    """Names of the features of a profile, the constant first, such as ``aroma:roast-thiols``.

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    tuple of str
    """
    return (
        "one",
        *(f"aroma:{g}" for g in catalog.groups),
        *(f"taste:{t}" for t in TRAITS),
        *(f"kitchen:{k}" for k in catalog.kitchen_words),
        *(f"known:{n}" for n in kitchens(catalog).known),
        *(f"shift:{g}" for g in catalog.groups),
    )


def blocks(catalog: Catalog) -> tuple[tuple[str, int], ...]:
    """Names and widths of the blocks that are learned from recipes, in order."""
    return (
        ("aroma", len(catalog.groups)),
        ("taste", len(TRAITS)),
        ("kitchen", len(catalog.kitchen_words)),
        ("known", len(kitchens(catalog).known)),
    )


def unit(rows: Array) -> Array:
    """Rows scaled to length one; a row of zeros stays as it is."""
    length = np.linalg.norm(rows, axis=-1, keepdims=True)
    return np.asarray(rows / np.where(length > 0, length, 1.0))


def form_taste(kind: str, form: Form, taste: Iterable[str]) -> list[float]:
    """Traits of a form, in the order of :data:`TRAITS`, each 0 to 1."""
    words = set(taste)
    acid = ((form.acid_percent_low or 0.0) * (form.acid_percent_high or 0.0)) ** 0.5
    if kind == "citrus":
        sour = min(1.0, acid / SOUREST_PERCENT) * SOUR_SHARE.get(form.form, 0.0)
    else:
        sour = 0.5 if words & {"sour", "acid"} and kind != "sweetener" else 0.0
    half_slice = 0.5 if form.form == "slice" else 0.0
    outside = form.form in {"peel", "zest"}
    # the bitterness of roasted beans, like coffee's; a seed that is astringent too is no nut
    bean = "bitter" in words and (kind == "roast" or (kind == "seed" and "astringent" in words))
    traits = {
        "roasted": form.form == "roasted" or kind == "roast",
        "sour": sour,
        "sweet": kind == "sweetener",
        "rich": kind in {"nut", "seed"},
        "bitter": bean or (0.5 if kind == "citrus" and "bitter" in words and not outside else 0.0),
        "tea": kind == "tea",
        "spice": kind in {"spice", "root", "wood"},
        "leaf": kind == "herb",
        "flower": kind == "flower",
        "nut": kind == "nut" or (kind == "seed" and not bean),
        "citrus": kind == "citrus",
        "peel": 1.0 if outside else half_slice,
        "juice": 1.0 if form.form == "juice" else half_slice,
    }
    return [float(traits[t]) for t in TRAITS]


def _tail(catalog: Catalog, item_id: str, ingredient_id: str, taste: Sequence[float]) -> Array:
    """Everything of a profile that comes after the aroma groups."""
    table = kitchens(catalog)
    named = table.of.get(item_id, table.of.get(ingredient_id, ()))
    at_home = np.array([float(k in named) for k in catalog.kitchen_words])
    flags = np.array([float(table.recipe_name.get(item_id) == n) for n in table.known])
    return np.concatenate([unit(np.asarray(taste, dtype=float)), unit(at_home), flags])


def coffee_tail(catalog: Catalog, taste: Mapping[str, float]) -> Array:
    """Profile of a coffee between its aroma and its shift; ``taste`` as in ``CoffeeBase.taste``."""
    traits = dict.fromkeys(TRAITS, 0.0)
    traits["roasted"] = 1.0
    traits["bitter"] = float(taste.get("bitterness", 1.0))
    traits["sour"] = COFFEE_SOUR * float(taste.get("acidity", 1.0))
    return _tail(catalog, COFFEE, COFFEE, [traits[t] for t in TRAITS])


def coffee_features(catalog: Catalog, base: CoffeeBase | None = None) -> Array:
    """Profile of a coffee.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase, optional
        As from :func:`pairing.aroma.coffee.base`; a medium washed arabica filter when not given.

    Returns
    -------
    (n_features,) array
    """
    ordinary = plain_coffee(catalog, "filter")
    cup = base if base is not None else ordinary
    aroma = unit(group_loudness(cup.oav, cup.axis))
    shift = aroma - unit(group_loudness(ordinary.oav, ordinary.axis))
    return np.concatenate([[1.0], aroma, coffee_tail(catalog, cup.taste), shift])


@dataclass(frozen=True)
class Bench:
    """Profiles of every form of the catalogue.

    Attributes
    ----------
    ids, kinds : tuple of str
        Form ids and ingredient kinds, n_forms.
    is_typical : (n_forms,) bool array
        The form an ingredient is usually bought in.
    features : (n_forms, n_features) array
    has_aroma : (n_forms,) bool array
        False where no composition is known: such a form is scored by taste and kitchen alone.
    """

    ids: tuple[str, ...]
    kinds: tuple[str, ...]
    is_typical: npt.NDArray[np.bool_]
    features: Array
    has_aroma: npt.NDArray[np.bool_]

    @cached_property
    def position(self) -> dict[str, int]:
        """Form id -> row."""
        return {f: i for i, f in enumerate(self.ids)}

    @cached_property
    def kind_means(self) -> dict[str, Array]:
        """Kind -> mean profile of its default forms (the peel and juice of citrus count too)."""
        out: dict[str, Array] = {}
        for kind in dict.fromkeys(self.kinds):
            rows = [
                i
                for i, k in enumerate(self.kinds)
                if k == kind and self.has_aroma[i] and self.is_typical[i]
            ]
            rows = rows or [i for i, k in enumerate(self.kinds) if k == kind]
            out[kind] = self.features[rows].mean(axis=0)
        return out


@once_per_catalog
def bench(catalog: Catalog) -> Bench:
    """Profiles of all forms of a catalogue (computed once).

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    Bench
    """
    found = profiles(catalog)
    loud = unit(group_loudness(found.oav(1.0), found.axis))
    ids = tuple(catalog.forms)
    aroma = np.zeros((len(ids), len(found.axis.groups)))
    has_aroma = np.zeros(len(ids), dtype=bool)
    tails = []
    for i, form in enumerate(catalog.forms.values()):
        row = found.position.get(form.form_id)
        if row is not None:
            aroma[i], has_aroma[i] = loud[row], bool(loud[row].any())
        ingredient = catalog.ingredients[form.ingredient_id]
        traits = form_taste(ingredient.kind, form, ingredient.taste)
        tails.append(_tail(catalog, form.form_id, form.ingredient_id, traits))
    made = Bench(
        ids,
        tuple(catalog.kind(f) for f in catalog.forms.values()),
        np.array(
            [
                f.is_default or (catalog.kind(f) == "citrus" and f.form not in OTHER_USES)
                for f in catalog.forms.values()
            ],
            dtype=bool,
        ),
        np.hstack([np.ones((len(ids), 1)), aroma, np.array(tails), np.zeros_like(aroma)]),
        has_aroma,
    )
    return made


# --- the model ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Term:
    """One reason: what a pair of features adds to the score.

    Attributes
    ----------
    part : str
        One of aroma, likeness, taste, bridge (harmony) and kitchen, habit (habit).
    label : str
        In words.
    a, b : str
        Feature names, such as ``aroma:floral-terpenols``.
    value : float
        Points of the score.
    """

    part: str
    label: str
    a: str
    b: str
    value: float


def _part(a: str, b: str) -> str:
    kinds = {a.partition(":")[0], b.partition(":")[0]}
    if "shift" in kinds:
        return "bridge"
    if "kitchen" in kinds:
        return "kitchen"
    # what cooks do with one named thing, or with peel and juice, is habit and not chemistry
    if "known" in kinds or {a, b} & FORM_HABITS:
        return "habit"
    if "taste" in kinds:
        return "taste"
    return "aroma" if "aroma" in kinds and "one" not in kinds else "habit"


@dataclass(frozen=True)
class Model:
    """Fitted coefficients.

    Attributes
    ----------
    names : tuple of str
        Feature names, n_features.
    learned : (n_features, n_features) array
        Symmetric coefficients learned for pairs of features.
    likeness : (n_features,) array
        What sharing a feature adds.
    words : mapping of str to str
        Feature name -> words for a reader.
    name : str
        Empty for the shipped model; else what its file is called.
    """

    names: tuple[str, ...]
    learned: Array
    likeness: Array
    words: Mapping[str, str] = field(default_factory=dict)
    name: str = ""

    @classmethod
    def from_fit(cls, catalog: Catalog, coef: Array, likeness: Array, name: str = "own") -> Model:
        """The model of a fitted :class:`pairing.affinity.estimator.PairAffinity`.

        Parameters
        ----------
        catalog : Catalog
        coef, likeness : arrays
            ``coef_`` (1 + n_profile, 1 + n_profile) and ``likeness_`` (n_profile,) of the fit.
        name : str

        Raises
        ------
        PairingError
            When the fit is not on profiles of this catalogue.
        """
        names = feature_names(catalog)
        size = len(coef)
        if size != 1 + sum(width for _, width in blocks(catalog)) or len(likeness) != size - 1:
            raise PairingError(
                f"the fit has profiles of {size - 1} features; fit it on PairFeatures of the same "
                "catalogue"
            )
        full, shared = np.zeros((len(names), len(names))), np.zeros(len(names))
        shared[1:size] = likeness
        full[:size, :size] = coef - np.diag(shared[:size])
        at = {n: i for i, n in enumerate(names)}
        for group in catalog.groups:
            i, j = at[f"shift:{group}"], at[f"aroma:{group}"]
            full[i, j] = full[j, i] = BRIDGE
        return cls(names, full, shared, _words(catalog), name)

    def save(self, path: str | PathLike[str], source_id: str = "own-fit") -> None:
        """Write the coefficients as a table that :func:`read_model` reads.

        Parameters
        ----------
        path : str or path-like
        source_id : str
            Where the coefficients come from.

        Raises
        ------
        PairingError
            When it cannot be written.
        """
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(COLUMNS)
        for first, second, kind, value in self._rows():
            writer.writerow([first, second, kind, f"{value:.{DIGITS}f}", source_id, "computed"])
        write_atomically(Path(path), out.getvalue())

    def _rows(self) -> Iterator[tuple[str, str, str, float]]:
        """Coefficients worth writing: likeness first, then learned, each pair once."""
        for name, value in zip(self.names, self.likeness.tolist(), strict=True):
            if abs(value) >= SMALLEST:
                yield name, name, "likeness", value
        for i, first in enumerate(self.names):
            for j in range(i, len(self.names)):
                if not self.names[j].startswith("shift:") and abs(self.learned[i, j]) >= SMALLEST:
                    yield first, self.names[j], "learned", float(self.learned[i, j])

    @cached_property
    def coef(self) -> Array:
        """M, the learned coefficients and likeness together."""
        return np.asarray(self.learned + np.diag(self.likeness))

    @cached_property
    def part_of(self) -> npt.NDArray[np.str_]:
        """(n_features, n_features) part of each learned coefficient."""
        return np.array([[_part(a, b) for b in self.names] for a in self.names])

    @cached_property
    def harmony_coef(self) -> Array:
        """M with only the terms that count as harmony."""
        mask = np.isin(self.part_of, HARMONY_PARTS)
        like = np.array([n.startswith("aroma:") for n in self.names])
        return np.asarray(self.learned * mask + np.diag(self.likeness * like))

    def score(self, a: Array, b: Array) -> Array:
        """Plain prediction for pairs of profiles, comparable across kinds.

        Parameters
        ----------
        a, b : (n_features,) or (n, n_features) arrays
            Broadcast against each other.

        Returns
        -------
        (n,) array or scalar array
            About log2 of met over expected by chance; 0 is chance.
        """
        return np.asarray(((np.atleast_2d(a) @ self.coef) * np.atleast_2d(b)).sum(axis=-1))

    def harmony(self, a: Array, b: Array, mean_a: Array, mean_b: Array) -> Array:
        """Harmony terms less those of the mean profiles of the two kinds; as :meth:`score`.

        Parameters
        ----------
        a, b : (n_features,) or (n, n_features) arrays
        mean_a, mean_b : arrays
            Mean profiles of the two kinds.

        Returns
        -------
        (n,) array or scalar array
        """
        h = self.harmony_coef
        own = ((np.atleast_2d(a) @ h) * np.atleast_2d(b)).sum(axis=-1)
        usual = ((np.atleast_2d(mean_a) @ h) * np.atleast_2d(mean_b)).sum(axis=-1)
        return np.asarray(own - usual)

    def habit(self, a: Array, b: Array) -> Array:
        """Habit terms: kitchens and how usual cooks find it; as :meth:`score`.

        Parameters
        ----------
        a, b : (n_features,) or (n, n_features) arrays

        Returns
        -------
        (n,) array or scalar array
        """
        rest = self.coef - self.harmony_coef
        return np.asarray(((np.atleast_2d(a) @ rest) * np.atleast_2d(b)).sum(axis=-1))

    def explain(self, a: Array, b: Array) -> tuple[Term, ...]:
        """Every term of a score, the weightiest first; their values add up to it.

        Parameters
        ----------
        a, b : (n_features,) arrays

        Returns
        -------
        tuple of Term
        """
        products = np.outer(a, b) * self.learned
        shared = a * b * self.likeness
        terms = []
        for i, name in enumerate(self.names):
            if shared[i]:
                part = "kitchen" if name.startswith("kitchen:") else "likeness"
                terms.append(Term(part, f"both {self._word(name)}", name, name, float(shared[i])))
        for i, j in np.argwhere(products != 0.0).tolist():
            first, second = self.names[i], self.names[j]
            part = str(self.part_of[i, j])
            label = self._label(part, first, second)
            if part == "bridge":
                label = self._bridge(first, second, a[i], b[j])
            terms.append(Term(part, label, first, second, float(products[i, j])))
        return tuple(sorted(terms, key=lambda t: (-abs(t.value), t.a, t.b)))

    def _word(self, name: str) -> str:
        return self.words.get(name, name.partition(":")[2].replace("-", " "))

    def _bridge(self, first: str, second: str, in_a: float, in_b: float) -> str:
        moved, by = (first, in_a) if first.startswith("shift:") else (second, in_b)
        more = "more" if by > 0 else "less"
        return f"this coffee has {more} {self._word('aroma:' + moved.partition(':')[2])}"

    def _label(self, part: str, first: str, second: str) -> str:
        if first == second == "one":
            return "what cooks combine on average"
        if "one" in (first, second):
            other = second if first == "one" else first
            return f"how readily {self._word(other)} joins others"
        if first.startswith("known:") and second.startswith("known:"):
            return f"how usual {self._word(first)} with {self._word(second)} is"
        joined = "beside" if part == "kitchen" else "with"
        return f"{self._word(first)} {joined} {self._word(second)}"


def _words(catalog: Catalog) -> dict[str, str]:
    out = {f"aroma:{g.group_id}": g.name.lower() for g in catalog.groups.values()}
    out |= {f"kitchen:{k}": w for k, w in catalog.kitchen_words.items()}
    return out


@once_per_catalog
def model(catalog: Catalog) -> Model:
    """The model of a catalogue (read once): its own where it was opened with one, else the shipped.

    Raises
    ------
    PairingError
        When the table names a feature that this catalogue does not have.
    """
    if catalog.model is not None:
        return read_model(catalog, catalog.model)
    path = catalog.folder / TABLE
    if not path.is_file():
        raise PairingError(f"no {path.name} in {path.parent}; fit it with scripts/fit_affinity.py")
    return read_model(catalog, path)


def read_model(catalog: Catalog, path: str | PathLike[str]) -> Model:
    """Read a fitted model that :meth:`Model.save` has written.

    Parameters
    ----------
    catalog : Catalog
        Whose aroma groups, tastes and kitchens the coefficients are for.
    path : str or path-like
        A CSV table as ``data/compatibility.csv``.

    Returns
    -------
    Model

    Raises
    ------
    PairingError
        For a file that cannot be read or names a feature that the catalogue does not have.
    """
    path = Path(path)
    names = feature_names(catalog)
    position = {n: i for i, n in enumerate(names)}
    learned = np.zeros((len(names), len(names)))
    likeness = np.zeros(len(names))
    header, rows = read_rows(path)
    missing = [c for c in COLUMNS[:4] if c not in header]
    if missing:
        raise PairingError(f"{path.name} lacks the column {missing[0]!r}; it is no fitted model")
    first, second, kind, number = (header.index(c) for c in COLUMNS[:4])
    for count, row in enumerate(rows, 2):
        try:
            i, j, value = position[row[first]], position[row[second]], float(row[number])
        except (KeyError, ValueError) as err:
            raise PairingError(
                f"{path.name}: cannot use row {count} ({err}); fit it again with "
                "scripts/fit_affinity.py"
            ) from None
        if not np.isfinite(value):
            raise PairingError(f"{path.name}: cannot use row {count} (not a finite number)")
        if row[kind] == "likeness":
            likeness[i] = value
        else:
            learned[i, j] = learned[j, i] = value
    for group in catalog.groups:
        i, j = position[f"shift:{group}"], position[f"aroma:{group}"]
        learned[i, j] = learned[j, i] = BRIDGE
    shipped = path.parent == catalog.folder
    return Model(names, learned, likeness, _words(catalog), "" if shipped else path.stem)


# --- names to profiles ----------------------------------------------------------------------


def resolve(catalog: Catalog, name: str) -> tuple[str, ...]:
    """Form ids that a name stands for; ``("coffee",)`` for coffee.

    ``cinnamon`` and ``ginger`` stand for two forms, of which the mean is meant.

    Raises
    ------
    UnknownNameError
        With the nearest known ids.
    """
    key = normalise(name)
    if key == COFFEE:
        return (COFFEE,)
    if key in catalog.shared_names:
        return catalog.shared_names[key].forms
    return (catalog.form(name).form_id,)


def pair_features(catalog: Catalog, name: str, base: CoffeeBase | None = None) -> Array:
    """Profile of a name as in :func:`resolve`.

    Parameters
    ----------
    catalog : Catalog
    name : str
    base : CoffeeBase, optional
        The coffee that the word coffee means.

    Returns
    -------
    (n_features,) array
    """
    rows = bench(catalog)
    found = [
        coffee_features(catalog, base) if i == COFFEE else rows.features[rows.position[i]]
        for i in resolve(catalog, name)
    ]
    return np.asarray(np.mean(found, axis=0))


def kind_mean(catalog: Catalog, name: str, base: CoffeeBase | None = None) -> Array:
    """Mean profile of the kind that a name belongs to; coffee is its own kind."""
    first = resolve(catalog, name)[0]
    if first == COFFEE:
        return coffee_features(catalog, base)
    return bench(catalog).kind_means[catalog.kind(catalog.forms[first])]


# --- scoring many pairs ---------------------------------------------------------------------

LOW_HIGH = 1.6449  # 5th and 95th percentile of a normal distribution


def score_rows(
    catalog: Catalog, pairs: Sequence[tuple[str, str]], draws: int = 1000, seed: int = 1
) -> tuple[dict[str, Array], tuple[str, ...]]:
    """Score many pairs of names.

    Parameters
    ----------
    catalog : Catalog
    pairs : sequence of (str, str)
        Ids, names or aliases; ``coffee``, ``cinnamon`` and ``ginger`` are understood.
    draws, seed : int
        Monte-Carlo draws behind ``low`` and ``high``.

    Returns
    -------
    columns : dict of (n_pairs,) arrays
        ``score``, ``harmony``, ``low``, ``high`` (5th and 95th percentile of the score over
        concentration and threshold ranges); NaN where a name is unknown.
    unknown : tuple of str
        Names that were not understood, each once.
    """
    from pairing.aroma.draws import aroma_covariance

    index: dict[str, int] = {}
    unknown: dict[str, None] = {}
    for name in dict.fromkeys(n for pair in pairs for n in pair):
        try:
            resolve(catalog, name)
        except UnknownNameError:
            unknown[name] = None
        else:
            index[name] = len(index)
    columns = {k: np.full(len(pairs), np.nan) for k in ("score", "harmony", "low", "high")}
    if not index:
        return columns, tuple(unknown)
    fitted = model(catalog)
    x = np.array([pair_features(catalog, n) for n in index])
    means = np.array([kind_mean(catalog, n) for n in index])
    score = x @ fitted.coef @ x.T
    h = fitted.harmony_coef
    harmony = x @ h @ x.T - means @ h @ means.T
    groups = slice(1, 1 + len(catalog.groups))
    spread = aroma_covariance(catalog, [resolve(catalog, n) for n in index], draws, seed)
    slope = (x @ fitted.coef)[:, groups]
    one_sided = np.einsum("agh,bg,bh->ab", spread, slope, slope, optimize=True)
    deviation = np.sqrt(np.maximum(one_sided + one_sided.T, 0.0))
    at = np.array([(index.get(a, -1), index.get(b, -1)) for a, b in pairs], dtype=np.intp)
    good = (at >= 0).all(axis=1)
    i, j = at[good, 0], at[good, 1]
    columns["score"][good] = score[i, j]
    columns["harmony"][good] = harmony[i, j]
    columns["low"][good] = score[i, j] - LOW_HIGH * deviation[i, j]
    columns["high"][good] = score[i, j] + LOW_HIGH * deviation[i, j]
    return columns, tuple(unknown)


@overload
def score_pairs(frame: pd.DataFrame, catalog: Catalog | None = None) -> pd.DataFrame: ...
@overload
def score_pairs(
    frame: Sequence[Mapping[str, Any]], catalog: Catalog | None = None
) -> list[dict[str, Any]]: ...
def score_pairs(frame: Any, catalog: Catalog | None = None) -> Any:
    """Score a table of pairs.

    Parameters
    ----------
    frame : pandas.DataFrame or list of mappings
        Columns ``ingredient_a`` and ``ingredient_b``: ids, names or aliases; ``coffee`` is
        allowed, ``cinnamon`` and ``ginger`` are the mean of their kinds.
    catalog : Catalog, optional
        The shipped one when not given.

    Returns
    -------
    pandas.DataFrame or list of dict
        The same rows plus ``score`` (plain prediction, comparable across kinds), ``harmony``
        (within the kind), ``low`` and ``high`` (5th and 95th percentile of the score). Unknown
        names leave these empty (NaN in a frame, None in a list); a frame lists them in
        ``attrs["unknown"]``.

    Raises
    ------
    PairingError
        When a column is missing.
    """
    where = catalog if catalog is not None else load()
    is_frame = hasattr(frame, "columns")
    have = set(frame.columns) if is_frame else set().union(*(r.keys() for r in frame))
    lacking = {"ingredient_a", "ingredient_b"} - have
    if lacking and len(frame):
        raise PairingError(f"needs columns ingredient_a and ingredient_b; has no {min(lacking)}")
    if is_frame:
        named = zip(frame["ingredient_a"], frame["ingredient_b"], strict=True)
        columns, unknown = score_rows(where, [(_text(a), _text(b)) for a, b in named])
        out = frame.assign(**columns)
        out.attrs["unknown"] = list(unknown)
        return out
    pairs = [(_text(r.get("ingredient_a")), _text(r.get("ingredient_b"))) for r in frame]
    columns, _ = score_rows(where, pairs)
    rows = []
    for i, row in enumerate(frame):
        values = {k: float(v[i]) for k, v in columns.items()}
        rows.append({**row, **{k: None if np.isnan(v) else v for k, v in values.items()}})
    return rows


def _text(cell: object) -> str:
    """Name in a cell; a missing one (None, NaN) is empty."""
    return "" if cell is None or cell != cell else str(cell)
