"""Completing published drinks: score card A, on pages that the model has not seen.

Hide one partner of a drink, rank every ingredient that may be suggested by the rest of the drink
and its style; the drink's page is left out of learning. Drinks that stand in traditions are
learned from, never asked about. The measure is the one of the validation folder's protocol.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from pairing.affinity import model as affinity
from pairing.affinity.pool import this_coffee, traditions_of
from pairing.affinity.practice import CINNAMON, Drinks, Practice, fit, gathered, item_of
from pairing.aroma.coffee import brewed
from pairing.aroma.odour import Array
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog

__all__ = ["Asked", "asked", "completed", "cup_of_stated", "rivals", "used_against_never"]

Index = npt.NDArray[np.intp]
Bools = npt.NDArray[np.bool_]
# A roast as pages write it -> the catalogue's; any other is taken as medium.
STATED_ROASTS = {
    "light": "light",
    "light-medium": "medium-light",
    "medium-dark": "medium-dark",
    "dark": "dark",
}
MOST_OTHERS = 3  # partners that are shown beside the hidden one
# (partners shown, style, page left out) -> worth of every item
Scorer = Callable[[Sequence[int], str, str], Array]


@dataclass(frozen=True)
class Asked:
    """What is asked of the drinks.

    Attributes
    ----------
    drinks : Drinks
    traditional : (n_drinks,) bool array
    items : tuple of str
        Everything that may be ranked or learned from.
    candidates : (n,) int array
        Rows of ``items`` that are ranked.
    """

    drinks: Drinks
    traditional: Bools
    items: tuple[str, ...]
    candidates: Index

    def row(self, item: str) -> int:
        """Row of an item.

        Parameters
        ----------
        item : str

        Returns
        -------
        int
        """
        return self.items.index(item)


def read_drinks(folder: Path) -> tuple[list[dict[str, str]], list[str]]:
    """Rows of ``coffee_drinks.csv`` and the names of ``candidates.txt``.

    Parameters
    ----------
    folder : Path
        The validation folder.

    Returns
    -------
    rows, candidates : list of dict, list of str

    Raises
    ------
    PairingError
        When a file is missing.
    """
    try:
        with (folder / "coffee_drinks.csv").open(encoding="utf-8", newline="") as handle:
            rows = list(csv.DictReader(handle))
        names = (folder / "candidates.txt").read_text(encoding="utf-8").split()
    except OSError as err:
        raise PairingError(f"no file {err.filename}; the card of drinks needs it") from None
    return rows, names


def asked(catalog: Catalog, folder: Path) -> Asked:
    """Read the drinks of a validation folder as questions.

    Parameters
    ----------
    catalog : Catalog
    folder : Path
        Kept apart from what the model learned from.

    Returns
    -------
    Asked

    Raises
    ------
    PairingError
        For a folder without its tables.
    """
    rows, names = read_drinks(folder)
    drinks = gathered(
        (r["drink_no"], r["site_no"], r["query"], r["style"], r["ingredient_id"], r["form"])
        for r in rows
    )
    old = {r["drink_no"]: r["in_traditions"] == "yes" for r in rows}
    ours = {item_of(i) for i in catalog.ingredients}
    items = tuple(sorted(ours.union(*drinks.partners)))
    at = {item: i for i, item in enumerate(items)}
    wanted = sorted({at[item_of(n)] for n in names if item_of(n) in at})
    return Asked(
        drinks,
        np.array([old[n] for n in drinks.numbers]),
        items,
        np.array(wanted, dtype=np.intp),
    )


class _Learned:
    """The practice model without each page, fitted when first asked for."""

    def __init__(self, catalog: Catalog, questions: Asked) -> None:
        self.catalog, self.questions = catalog, questions
        self.pages = np.array(questions.drinks.pages)
        self.of: dict[str, Practice] = {}

    def without(self, page: str) -> Practice:
        if page not in self.of:
            self.of[page] = fit(self.catalog, self.questions.drinks, self.pages != page)
        return self.of[page]


def rivals(catalog: Catalog, questions: Asked) -> dict[str, Scorer]:
    """The model and what simpler rules would say: method -> scorer.

    Parameters
    ----------
    catalog : Catalog
    questions : Asked

    Returns
    -------
    dict of str to callable
    """
    learned = _Learned(catalog, questions)
    pages = np.array(questions.drinks.pages)
    holds = np.zeros((len(pages), len(questions.items)))
    for d, partners in enumerate(questions.drinks.partners):
        holds[d, [questions.row(p) for p in partners]] = 1.0
    names = ["ceylon-cinnamon" if i == CINNAMON else i for i in questions.items]
    known = [n if n in catalog.ingredients else "" for n in names]
    traditions = np.array([len(traditions_of(catalog, n)) if n else 0 for n in known], dtype=float)
    rows = affinity.bench(catalog)
    x = np.zeros((len(known), rows.features.shape[1]))
    for i, name in enumerate(known):
        peel = f"{name}-peel"
        form = peel if peel in rows.position else name
        if form in rows.position:
            x[i] = rows.features[rows.position[form]]
    cup = affinity.coffee_features(catalog)
    groups = slice(1, 1 + len(catalog.groups))
    alike, with_cup = x[:, groups] @ x[:, groups].T, x[:, groups] @ cup[groups]
    recipes = affinity.model(catalog).coef
    habit, with_coffee = x @ recipes @ x.T, x @ recipes @ cup

    def practice(others: Sequence[int], style: str, page: str) -> Array:
        model = learned.without(page)
        return np.asarray(model.alone(style) + model.beside[list(others)].sum(axis=0))

    def popularity(others: Sequence[int], style: str, page: str) -> Array:
        return np.asarray(holds[pages != page].sum(axis=0))

    return {
        "practice": practice,
        "popularity on other pages": popularity,
        "coffee traditions": lambda others, style, page: traditions,
        "sweet recipes": lambda o, s, p: np.asarray(with_coffee + habit[list(o)].sum(axis=0)),
        "cosine of aroma groups": lambda o, s, p: np.asarray(
            with_cup + (alike[list(o)].mean(axis=0) if len(o) else 0.0)
        ),
    }


def completed(questions: Asked, scorer: Scorer) -> tuple[Array, list[str]]:
    """Place of each hidden partner among the candidates.

    Parameters
    ----------
    questions : Asked
    scorer : callable

    Returns
    -------
    places, pages : (n_cases,) array, list of str
        1 is first; ties count for the hidden partner, as in the protocol.
    """
    ranked = set(questions.candidates.tolist())
    places, pages = [], []
    drinks = questions.drinks
    for partners, style, page, old in zip(
        drinks.partners, drinks.styles, drinks.pages, questions.traditional, strict=True
    ):
        known = [k for p in sorted(partners) if (k := questions.row(p)) in ranked]
        if old or len(known) < 2:
            continue
        for hidden in known:
            others = [k for k in known if k != hidden][:MOST_OTHERS]
            value = scorer(others, style, page)
            rest = [c for c in questions.candidates.tolist() if c not in others and c != hidden]
            places.append(1 + int((value[rest] > value[hidden]).sum()))
            pages.append(page)
    return np.array(places, dtype=float), pages


def cup_of_stated(catalog: Catalog, folder: Path) -> tuple[Array, list[str]]:
    """Whether the cup tells what a page puts into a coffee that it names.

    Drinks whose origin or roast is stated (a blend by the mean of its coffees): where a partner
    stands among the candidates by what tasters find more of in such a coffee, and by that alone.

    Parameters
    ----------
    catalog : Catalog
    folder : Path
        The validation folder.

    Returns
    -------
    areas, pages : (n_partners,) array, list of str
        Share of the candidates that stand below the partner, ties by half: 0.5 is chance.

    Raises
    ------
    PairingError
        For a folder without its tables.
    """
    rows, names = read_drinks(folder)
    candidates = sorted({item_of(n) for n in names if n in catalog.ingredients})
    known: dict[tuple[str, str], Array] = {}

    def lifted(origin: str, roast: str) -> Array:
        if (origin, roast) not in known:
            base = brewed(catalog, origin or None, roast=STATED_ROASTS.get(roast, "medium"))
            moved = {item_of(i): m.score for i, m in this_coffee(catalog, base).items()}
            known[origin, roast] = np.array([moved.get(c, 0.0) for c in candidates])
        return known[origin, roast]

    areas, pages = [], []
    seen = set()
    for r in rows:
        item = item_of(r["ingredient_id"])
        stated = [o.strip() for o in r["coffee_origin"].split(";") if catalog.is_origin(o.strip())]
        if not (stated or r["roast"]) or item not in candidates or (r["drink_no"], item) in seen:
            continue
        seen.add((r["drink_no"], item))
        value = np.mean([lifted(o, r["roast"]) for o in stated or [""]], axis=0)
        own = value[candidates.index(item)]
        rest = np.delete(value, candidates.index(item))
        areas.append(float((rest < own).mean() + 0.5 * (rest == own).mean()))
        pages.append(r["site_no"])
    return np.array(areas), pages


def used_against_never(questions: Asked, scorer: Scorer) -> dict[str, list[float]]:
    """Whether what a page uses stands above what no page uses, asked without that page.

    Parameters
    ----------
    questions : Asked
    scorer : callable

    Returns
    -------
    dict of str to list of float
        Area of each ingredient against the never used: ``used``, ``used three times or more``,
        ``used by no other page``.
    """
    pages_of: dict[int, list[str]] = {}
    count: Mapping[int, int] = {}
    for partners, page in zip(questions.drinks.partners, questions.drinks.pages, strict=True):
        for p in partners:
            pages_of.setdefault(questions.row(p), []).append(page)
    count = {k: len(v) for k, v in pages_of.items()}
    never = [c for c in questions.candidates.tolist() if c not in pages_of]
    out: dict[str, list[float]] = {
        "used": [],
        "used three times or more": [],
        "used by no other page": [],
    }
    for k in questions.candidates.tolist():
        pages = sorted(set(pages_of.get(k, ())))
        if not pages:
            continue
        areas = []
        for page in pages:
            value = scorer([], "", page)
            ahead = (value[k] > value[never]).mean() + 0.5 * (value[k] == value[never]).mean()
            areas.append(float(ahead))
        area = float(np.mean(areas))
        out["used"].append(area)
        if count[k] >= 3:
            out["used three times or more"].append(area)
        if len(pages) == 1:
            out["used by no other page"].append(area)
    return out
