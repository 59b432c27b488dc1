r"""Practice: what people put with coffee, and with each other in coffee, counted.

``data/practice.csv`` holds published coffee drinks, one row an aromatic partner. From its counts
comes a log-linear model of the next partner of a drink,

.. math:: \log p(i \mid \text{style}, J) = a_i + b_{i, \text{style}} + \sum_{j \in J} c_{ij} + const

where :math:`a_i` is how often an ingredient is used, :math:`b` how much oftener in this style of
drink, :math:`c` how much oftener beside a partner than chance would have it. Every count is
shrunk: an ingredient that nobody counted toward what its kind and its neighbours in aroma do, a
style toward the kind's, a pair toward what recipes say of it (:mod:`pairing.affinity.model`).
All in natural logarithms; 0 is the middling ingredient that nobody counted, a style that makes no
difference, partners that meet as often as chance. What pages seldom tell apart (the cinnamons,
vanilla bean and extract) counts as one.

How well it completes drinks of pages that it has not seen: the score card.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from pairing.affinity import model as affinity
from pairing.aroma.odour import Array
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.tables import read_rows

__all__ = ["CINNAMONS", "STYLES", "Drinks", "Practice", "fit", "item_of", "practice", "read"]

CINNAMON = "cinnamon"
# What pages seldom tell apart is counted as one; the first is what is suggested of it.
SAME = {
    "vanilla-extract": "vanilla-bean",
    "vanilla-paste": "vanilla-bean",
    "rose-water": "rose-petal",
    "tonic-water": "cinchona",
    "coconut-milk": "coconut-toasted",
    "mild-chilli": "chilli",
    "dark-chocolate": "cocoa-powder",
    "other:cocoa": "cocoa-powder",
    "other:passionfruit": "passion-fruit",
    "other:cherry": "sour-cherry",
    **{
        f"other:{name}": name
        for name in (
            "aromatic-bitters", "apple", "banana", "blueberry", "caramel", "cranberry", "date",
            "peach", "pear", "pineapple", "raspberry", "strawberry",
        )
    },
}  # fmt: skip
CINNAMONS = frozenset({"cassia", "ceylon-cinnamon", "indonesian-cassia", "saigon-cinnamon"})
STYLES = ("hot", "iced", "milk", "sparkling", "cocktail", "dessert")
# Shrinkage; all lay on a plateau of about sixty variants (docs/score-card.md), round numbers kept.
NAMED_WEIGHT = 0.5  # a drink found by asking for its ingredients counts half
UNCOUNTED = 0.4  # drinks that the likeliest uncounted ingredient is worth: less than one real one
STYLE_SHRINK = 2.0  # drinks by which a style is shrunk
PAIR_SHRINK = 1.0  # drinks by which a pair is shrunk
RECIPE_WEIGHT = 0.5  # of what recipes predict for a pair, where drinks are silent
MOST_RECIPE = 1.5  # natural log: recipes never say more than that
AROMA_REACH = 0.15  # of cosine distance, over which a neighbour's use fades
OTHER_KIND = 0.2  # what a neighbour of another kind counts
# Varieties that a page seldom tells from the usual one, and what is bought under another name:
# they get a share of its drinks.
KIN = {
    "cacao-nib": "cocoa-powder",
    "navel-orange": "sweet-orange",
    "cara-cara": "sweet-orange",
    "blood-orange": "sweet-orange",
    "meyer-lemon": "lemon",
    "lime-key": "lime-persian",
    "pink-grapefruit": "grapefruit",
    "satsuma": "mandarin",
    "clementine": "mandarin",
    "tangerine": "mandarin",
    "tahitian-vanilla": "vanilla-bean",
    "peppermint": "spearmint",
    "white-pepper": "black-pepper",
    "mace": "nutmeg",
    "orange-blossom": "orange-flower-water",
}
KIN_SHARE = 0.1


@dataclass(frozen=True)
class Drinks:
    """Published drinks.

    Attributes
    ----------
    numbers, pages, styles : tuple of str, n_drinks
    partners : tuple of frozenset of str
        Items: ingredient ids with the cinnamons as one, or ``other:word``.
    weights : (n_drinks,) array
        1, or less where the search had named ingredients.
    forms : Counter of (item, style, form)
    """

    numbers: tuple[str, ...]
    pages: tuple[str, ...]
    styles: tuple[str, ...]
    partners: tuple[frozenset[str], ...]
    weights: Array
    forms: Counter[tuple[str, str, str]]


def item_of(ingredient_id: str) -> str:
    """The item that an ingredient is counted as: all cinnamons are one, so is all vanilla.

    Parameters
    ----------
    ingredient_id : str

    Returns
    -------
    str
    """
    return CINNAMON if ingredient_id in CINNAMONS else SAME.get(ingredient_id, ingredient_id)


def read(catalog: Catalog) -> Drinks:
    """Read ``practice.csv`` of a catalogue.

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    Drinks

    Raises
    ------
    PairingError
        When a column is missing.
    """
    path = catalog.folder / "practice.csv"
    header, rows = read_rows(path)
    wanted = ("drink_no", "page_no", "asked", "style", "item_id", "form")
    if lacking := set(wanted) - set(header):
        raise PairingError(f"{path.name} lacks the column {min(lacking)!r}")
    at = [header.index(name) for name in wanted]
    return gathered(tuple(row[i] for i in at) for row in rows)


def gathered(rows: Iterable[Sequence[str]]) -> Drinks:
    """Drinks from rows of drink, page, how asked for, style, ingredient, form.

    Parameters
    ----------
    rows : iterable of sequences of str

    Returns
    -------
    Drinks
    """
    about: dict[str, tuple[str, str, str]] = {}
    partners: dict[str, set[str]] = {}
    forms: Counter[tuple[str, str, str]] = Counter()
    for number, page, asked, style, item_id, form in rows:
        item = item_of(item_id)
        about[number] = (page, asked, style)
        partners.setdefault(number, set()).add(item)
        forms[item, style, form] += 1
    return Drinks(
        tuple(about),
        tuple(page for page, _, _ in about.values()),
        tuple(style for _, _, style in about.values()),
        tuple(frozenset(partners[n]) for n in about),
        np.array([NAMED_WEIGHT if asked == "named" else 1.0 for _, asked, _ in about.values()]),
        forms,
    )


@dataclass(frozen=True)
class Practice:
    """Counts of drinks and the model made of them.

    Attributes
    ----------
    items : tuple of str, n_items
    drinks : Drinks
    use : (n_items,) array
        Log of how often each is used against the middling one that nobody counted.
    by_style : dict of style to (n_items,) array
        What a style adds.
    beside : (n_items, n_items) array
        What a partner adds; symmetric, zero on the diagonal.
    doubt : (n_items,) array
        Standard error of ``use``, as of a count: one over the root of half a drink more.
    """

    items: tuple[str, ...]
    drinks: Drinks
    use: Array
    by_style: Mapping[str, Array]
    beside: Array
    doubt: Array

    @cached_property
    def position(self) -> dict[str, int]:
        """Item -> row."""
        return {item: i for i, item in enumerate(self.items)}

    @cached_property
    def counts(self) -> Counter[tuple[str, str]]:
        """(item, style) -> drinks; the empty style counts all."""
        out: Counter[tuple[str, str]] = Counter()
        for style, partners in zip(self.drinks.styles, self.drinks.partners, strict=True):
            for item in partners:
                out[item, ""] += 1
                if style:
                    out[item, style] += 1
        return out

    @cached_property
    def page_counts(self) -> Counter[str]:
        """Item -> pages that put it into coffee."""
        found = zip(self.drinks.pages, self.drinks.partners, strict=True)
        return Counter(
            item for _, item in {(page, i) for page, partners in found for i in partners}
        )

    @cached_property
    def together(self) -> Counter[frozenset[str]]:
        """Pair of items -> drinks that hold both."""
        out: Counter[frozenset[str]] = Counter()
        for partners in self.drinks.partners:
            ordered = sorted(partners)
            for i, one in enumerate(ordered):
                for other in ordered[i + 1 :]:
                    out[frozenset((one, other))] += 1
        return out

    def alone(self, style: str = "") -> Array:
        """How usual each item is in a style of drink.

        Parameters
        ----------
        style : str
            One of :data:`STYLES`; any with an empty one.

        Returns
        -------
        (n_items,) array
            Natural log units.
        """
        return np.asarray(self.use + self.by_style[style] if style in self.by_style else self.use)

    def mood(self, warm: bool) -> Array:
        """How much oftener an item is in warm (hot, milk) than in fresh drinks.

        Parameters
        ----------
        warm : bool
            The other way round when false.

        Returns
        -------
        (n_items,) array
            Natural log units.
        """
        lift = (self.by_style["hot"] + self.by_style["milk"]) / 2.0
        lift = lift - (self.by_style["iced"] + self.by_style["sparkling"]) / 2.0
        return np.asarray(lift if warm else -lift)


def _features(catalog: Catalog, items: Sequence[str]) -> tuple[Array, list[str], Array]:
    """Profiles, kinds and number of kitchens of items; zeros for what is no ingredient."""
    bench = affinity.bench(catalog)
    kitchens = affinity.kitchens(catalog).of
    x = np.zeros((len(items), bench.features.shape[1]))
    kinds, known = [], np.zeros(len(items))
    for i, item in enumerate(items):
        name = "ceylon-cinnamon" if item == CINNAMON else item
        ingredient = catalog.ingredients.get(name)
        kinds.append(ingredient.kind if ingredient else "")
        if ingredient is None:
            continue
        form = name
        if ingredient.kind == "citrus" and f"{name}-peel" in bench.position:
            form = f"{name}-peel"
        if form in bench.position:
            x[i] = bench.features[bench.position[form]]
        known[i] = len(kitchens.get(name, ()))
    return x, kinds, known


def _neighbours(catalog: Catalog, x: Array, kinds: Sequence[str]) -> Array:
    """(n_items, n_items) how much the use of one item says of another's; rows add to 1 or less."""
    groups = slice(1, 1 + len(catalog.groups))
    aroma = x[:, groups]
    heard = aroma.any(axis=1)
    near = np.exp(-(1.0 - aroma @ aroma.T) / AROMA_REACH) * np.outer(heard, heard)
    kind = np.array(kinds)
    near *= np.where(kind[:, None] == kind[None, :], 1.0, OTHER_KIND) * (kind != "")[None, :]
    np.fill_diagonal(near, 0.0)
    # the mean of the kind counts as one more neighbour
    alike = (kind[:, None] == kind[None, :]).astype(float)
    mean = alike / (alike.sum(axis=1, keepdims=True) + 1.0)
    return np.asarray((near + mean) / (near.sum(axis=1, keepdims=True) + 1.0))


def _recipes(catalog: Catalog, x: Array) -> Array:
    """(n_items, n_items) what recipes predict for each pair, natural log units."""
    known = x.any(axis=1)
    said = (x @ affinity.model(catalog).coef @ x.T) * np.log(2.0) * np.outer(known, known)
    return np.asarray(np.clip(RECIPE_WEIGHT * said, -MOST_RECIPE, MOST_RECIPE))


def fit(catalog: Catalog, drinks: Drinks, kept: npt.NDArray[np.bool_] | None = None) -> Practice:
    """Work out the model from drinks.

    Parameters
    ----------
    catalog : Catalog
    drinks : Drinks
    kept : (n_drinks,) bool array, optional
        Which drinks to learn from; all when not given.

    Returns
    -------
    Practice
    """
    ours = {item_of(i) for i in catalog.ingredients}
    items = tuple(sorted(ours.union(*drinks.partners)))
    at = {item: i for i, item in enumerate(items)}
    x, kinds, kitchens = _features(catalog, items)
    weight = drinks.weights if kept is None else drinks.weights * kept
    holds = np.zeros((len(drinks.numbers), len(items)))
    for d, partners in enumerate(drinks.partners):
        holds[d, [at[p] for p in partners]] = 1.0
    total = max(float(weight.sum()), 1.0)
    counted = weight @ holds
    likely = np.sqrt(_neighbours(catalog, x, kinds) @ counted) * (1.0 + kitchens)
    kin = np.zeros(len(items))
    for item, usual in KIN.items():
        if item in at and usual in at:
            kin[at[item]] = KIN_SHARE * counted[at[usual]]
    often = counted + kin + UNCOUNTED * likely / max(float(likely.max()), 1e-9) + 1e-3
    share = often / total
    by_style = {}
    style_of = np.array(drinks.styles)
    same_kind = np.array(kinds)[:, None] == np.array(kinds)[None, :]
    for style in STYLES:
        mine = weight * (style_of == style)
        expected = mine.sum() * share
        here = mine @ holds
        kind_lift = (same_kind @ here + 5.0) / (same_kind @ expected + 5.0)
        by_style[style] = np.log((here + STYLE_SHRINK * kind_lift) / (expected + STYLE_SHRINK))
    both = (holds * weight[:, None]).T @ holds
    by_chance = np.outer(often, often) / total
    beside = np.log((both + PAIR_SHRINK * np.exp(_recipes(catalog, x))) / (by_chance + PAIR_SHRINK))
    np.fill_diagonal(beside, 0.0)
    doubt = 1.0 / np.sqrt(weight @ holds + 0.5)
    uncounted = [at[i] for i in sorted(ours) if not often[at[i]] >= UNCOUNTED + 0.1]
    middling = np.median(np.log(share[uncounted]))
    return Practice(items, drinks, np.log(share) - middling, by_style, beside, doubt)


@once_per_catalog
def practice(catalog: Catalog) -> Practice:
    """The model of the shipped drinks (worked out once).

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    Practice
    """
    return fit(catalog, read(catalog))
