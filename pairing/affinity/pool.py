"""The pool: everything a ranking needs to know of the ingredients that may go into a drink.

Three things, kept apart and added only at the end, all in natural logarithms:

* *practice*: how usual an ingredient is in coffee, in this style of drink, against a middling one;
* *this coffee*: how much likelier tasters are to find it in this coffee than in a plain one;
* *together*: how much oftener two partners meet than chance would have it.

The score of a blend is practice and this coffee summed over its partners, and together summed
over its pairs, divided by the number of partners.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from pairing.affinity import model as affinity
from pairing.affinity.practice import KIN, SAME, Practice, item_of, practice
from pairing.aroma import odour as aroma
from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.odour import Array
from pairing.aroma.serve import style_of
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.rows import Form, Ingredient, Tradition
from pairing.safety.plants import is_refused

__all__ = [
    "KINDS",
    "Moved",
    "Pool",
    "best_form",
    "counted_style",
    "gather",
    "suggestable",
    "this_coffee",
]

Index = npt.NDArray[np.intp]

# kinds that may be suggested; sweeteners are chosen for the sugar
KINDS = (
    "citrus", "spice", "root", "herb", "flower", "fruit", "nut", "seed", "roast", "tea", "wood",
)  # fmt: skip
# How a page writes a form of citrus -> the form of the catalogue it stands for.
WRITTEN = {
    "peel": "peel",
    "zest": "peel",
    "bitters": "peel",
    "liqueur": "peel",
    "juice": "juice",
    "slice": "slice",
    "wedge": "slice",
}
PEEL_FIRST = 2.0  # drinks that peel is given beforehand: its oil survives milk and heat
ALIKE = 0.85  # cosine of two aromas from which they do the same job


@dataclass(frozen=True, slots=True)
class Moved:
    """What the cup says of one ingredient: log-odds against a plain coffee, and on what ground.

    Attributes
    ----------
    score : float
        In log-odds.
    n_cups : int
        Tasted cups that it rests on.
    words : tuple of str
        Tasters' words that carry it; empty where nothing should be said of it.
    beside : bool
        Whether the words do not name it: tasters wrote it beside them more often than chance.
    """

    score: float
    n_cups: int
    words: tuple[str, ...]
    beside: bool = False


def this_coffee(catalog: Catalog, base: CoffeeBase) -> dict[str, Moved]:
    """What the cup says of each ingredient.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase

    Returns
    -------
    dict of str to Moved
        By ingredient id; one that is left out is not known from cups.
    """
    from pairing.aroma import cup

    found = {
        # a lift that no taster's word carries comes of the halves added to counts: none is counted
        i: Moved(m.score if m.words else min(m.score, 0.0), m.n_cups, m.words, m.beside)
        for i, m in cup.movement(catalog, base.coffee).items()
    }
    for own, usual in SAME.items():  # tasters do not tell vanilla from its extract
        if own in catalog.ingredients and own not in found and usual in found:
            found[own] = found[usual]
    return found


def counted_style(catalog: Catalog, style: str) -> str:
    """The style that published drinks are counted by: a latte is a milk drink, a tonic sparkles.

    Parameters
    ----------
    catalog : Catalog
    style : str
        A style of the styles table, ``cocktail`` or ``dessert``; empty for any.

    Returns
    -------
    str

    Raises
    ------
    PairingError
        For an unknown style, with those known.
    """
    if not style or style in ("cocktail", "dessert"):
        return style
    row = style_of(catalog, style)
    if row.filler == "milk":
        return "milk"
    if row.filler == "mixer":
        return "sparkling"
    return "iced" if row.iced else "hot"


def has_milk(catalog: Catalog, style: str) -> bool:
    """Whether a style of drink holds milk or cream."""
    return counted_style(catalog, style) in ("milk", "dessert")


def best_form(catalog: Catalog, ingredient_id: str, style: str) -> Form:
    """The form that suits a style of drink: citrus as pages use it, never juice in milk.

    Parameters
    ----------
    catalog : Catalog
    ingredient_id : str
    style : str
        As in :func:`counted_style`.

    Returns
    -------
    Form
    """
    forms = catalog.forms_of[ingredient_id]
    default = next((f for f in forms if f.is_default), forms[0])
    if catalog.ingredients[ingredient_id].kind != "citrus":
        return default
    milk = has_milk(catalog, style)
    usable = {
        f.form: f
        for f in forms
        if f.form in ("peel", "juice", "slice", "dried")
        and f.dose_low_g_per_kg is not None
        and not (f.form == "juice" and (milk or not _analysed(catalog, f)))
    }
    if "peel" not in usable:
        return default
    used = form_counts(practice(catalog), ingredient_id, counted_style(catalog, style))
    used["peel"] = used.get("peel", 0.0) + PEEL_FIRST
    return max(usable.values(), key=lambda f: (used.get(f.form, 0.0), f.form == "peel"))


def form_counts(known: Practice, ingredient_id: str, style: str) -> dict[str, float]:
    """Form of a citrus -> drinks of a style (all of them with an empty one) that use it."""
    out: dict[str, float] = {}
    item = item_of(ingredient_id)
    for (name, where, written), n in known.drinks.forms.items():
        if name == item and (not style or where == style) and written in WRITTEN:
            out[WRITTEN[written]] = out.get(WRITTEN[written], 0.0) + n
    return out


def _analysed(catalog: Catalog, form: Form) -> bool:
    """Whether the juice itself is analysed: one known by its peel oil alone is too thin."""
    return "juice" in {m.material for m in catalog.form_materials.get(form.form_id, ())}


def suggestable(catalog: Catalog, month: int | None = None) -> list[str]:
    """Ingredients that a suggestion may name: lawful, with a usual dose, in season.

    Parameters
    ----------
    catalog : Catalog
    month : int, optional
        1 to 12, northern hemisphere.

    Returns
    -------
    list of str
        Ingredient ids.
    """
    out = []
    for ingredient in catalog.ingredients.values():
        forms = catalog.forms_of.get(ingredient.ingredient_id, ())
        if (
            _may(catalog, ingredient)
            and ingredient.kind in KINDS
            and any(f.dose_low_g_per_kg is not None for f in forms)
            and not (month and ingredient.season_months and month not in ingredient.season_months)
        ):
            out.append(ingredient.ingredient_id)
    return out


def _may(catalog: Catalog, ingredient: Ingredient) -> bool:
    """Whether the law of the market lets it in; one that meets medicines is named by nobody."""
    if ingredient.regulated != "yes":
        return True
    ident = ingredient.ingredient_id
    meets = any(
        h.topic == "interaction" and h.severity in ("stop", "limit")
        for h in catalog.safety.hazards
        if ident in h.ingredient_ids
    )
    return not is_refused(catalog, ident) and not meets


def species(catalog: Catalog, ingredient_id: str) -> str:
    """Botanical species of an ingredient (its id where none is named)."""
    ingredient = catalog.ingredients[ingredient_id]
    words = ingredient.botanical_name.replace(" x ", " ").split("(")[0].split()
    return " ".join(words[:2]).lower() if len(words) > 1 else ingredient_id


def _plant(catalog: Catalog, ingredient_id: str) -> str:
    """What only one of goes into a blend: a species, or any of the cinnamons."""
    item = item_of(ingredient_id)
    item = KIN.get(item, item)
    return species(catalog, item) if item in catalog.ingredients else item


@dataclass(frozen=True)
class Pool:
    """Ingredients, each in one form, with the three things that a ranking adds.

    Attributes
    ----------
    ids, kinds, form_ids : tuple of str, n
        Ingredient ids, kinds and the form each is judged in.
    owner : (n,) int array
        Ingredients of one species share a number: only one of them goes into a blend.
    practice, doubt : (n,) arrays
        In the style of the drink, and its standard error.
    drinks, pages : (n,) arrays
        Published drinks that hold it, in any style; the pages they stand on or, where those are
        more, traditions.
    moved : tuple of dict, n_coffees
        What the cups say, by ingredient id.
    together : (n, n) array
    same_job : (n, n) bool array
        One genus, or aromas too much alike to want both.
    """

    ids: tuple[str, ...]
    kinds: tuple[str, ...]
    form_ids: tuple[str, ...]
    owner: Index
    practice: Array
    doubt: Array
    drinks: Array
    pages: Array
    moved: tuple[dict[str, Moved], ...]
    together: Array
    same_job: npt.NDArray[np.bool_]

    @cached_property
    def position(self) -> dict[str, int]:
        """Ingredient id -> row."""
        return {name: i for i, name in enumerate(self.ids)}

    @cached_property
    def this_coffee(self) -> Array:
        """(n_coffees, n) log-odds of the cups; 0 where they say nothing."""
        return np.array([[m[i].score if i in m else 0.0 for i in self.ids] for m in self.moved])

    @property
    def single(self) -> Array:
        """(n_coffees, n) practice and this coffee added: what an ingredient is worth alone."""
        return np.asarray(self.practice + self.this_coffee)


@once_per_catalog
def _same_job(catalog: Catalog, ids: tuple[str, ...]) -> npt.NDArray[np.bool_]:
    rows = affinity.bench(catalog)
    default = [next(f for f in catalog.forms_of[i] if f.is_default).form_id for i in ids]
    x = rows.features[[rows.position[f] for f in default]][:, 1 : 1 + len(catalog.groups)]
    kinds = np.array([catalog.ingredients[i].kind for i in ids])
    genus = np.array([species(catalog, i).split()[0] for i in ids])
    alike = (x @ x.T >= ALIKE) & (kinds[:, None] == kinds[None, :])
    return np.asarray(alike | (genus[:, None] == genus[None, :]))


def gather(
    catalog: Catalog,
    bases: Sequence[CoffeeBase],
    ids: Sequence[str],
    style: str = "",
    *,
    forms: dict[str, str] | None = None,
    warm: bool | None = None,
    own: Mapping[str, float] | None = None,
) -> Pool:
    """Gather what a ranking needs of some ingredients.

    Parameters
    ----------
    catalog : Catalog
    bases : sequence of CoffeeBase
        The coffees to be served.
    ids : sequence of str
        Ingredient ids.
    style : str
        As in :func:`counted_style`.
    forms : dict, optional
        Ingredient id -> form that was asked for; the best for the style otherwise.
    warm : bool, optional
        Lean to what warm (or, when false, fresh) drinks use.
    own : mapping of str to float, optional
        What a bar's own tastings add to practice, by ingredient id, log-odds.

    Returns
    -------
    Pool
    """
    known = practice(catalog)
    at = [known.position[item_of(i)] for i in ids]
    usual = known.alone(counted_style(catalog, style))
    if warm is not None:
        usual = usual + known.mood(warm)
    asked = forms or {}
    chosen = [asked.get(i) or best_form(catalog, i, style).form_id for i in ids]
    less = np.array([_other_form(catalog, i, f, style) for i, f in zip(ids, chosen, strict=True)])
    tasted = np.array([(own or {}).get(i, 0.0) for i in ids])
    owners: dict[str, int] = {}
    owner = [owners.setdefault(_plant(catalog, i), len(owners)) for i in ids]
    return Pool(
        tuple(ids),
        tuple(catalog.ingredients[i].kind for i in ids),
        tuple(chosen),
        np.array(owner, dtype=np.intp),
        usual[at] - less + tasted,
        known.doubt[at],
        np.array([known.counts[item_of(i), ""] for i in ids], dtype=float),
        np.array([_evidence(catalog, i) for i in ids], dtype=float),
        tuple(this_coffee(catalog, b) for b in bases),
        known.beside[np.ix_(at, at)],
        _same_job(catalog, tuple(ids)),
    )


@once_per_catalog
def _evidence(catalog: Catalog, ingredient_id: str) -> int:
    """Independent places that put it into coffee: pages, its usual kin's too, or traditions."""
    known = practice(catalog)
    item = item_of(ingredient_id)
    pages = known.page_counts[item] + known.page_counts[KIN.get(item, "")]
    return max(pages, len(traditions_of(catalog, ingredient_id)))


def uses(catalog: Catalog, tradition: Tradition, ingredient_id: str) -> bool:
    """Whether a tradition uses an ingredient in any form; the cinnamons count as one."""
    return item_of(ingredient_id) in {
        item_of(catalog.forms[i].ingredient_id if i in catalog.forms else i)
        for i in tradition.ingredient_ids
    }


@once_per_catalog
def traditions_of(catalog: Catalog, ingredient_id: str) -> tuple[Tradition, ...]:
    """Coffee traditions that use an ingredient."""
    return tuple(t for t in catalog.traditions if t.with_coffee and uses(catalog, t, ingredient_id))


def _other_form(catalog: Catalog, ingredient_id: str, form_id: str, style: str) -> float:
    """What a citrus loses in a form that pages use less than its best one, log units."""
    best = best_form(catalog, ingredient_id, style)
    form = catalog.forms[form_id]
    if catalog.ingredients[ingredient_id].kind != "citrus" or form.form == best.form:
        return 0.0
    used = form_counts(practice(catalog), ingredient_id, "")
    written = "peel" if form.form == "zest" else form.form
    own, usual = used.get(written, 0.0), used.get(best.form, 0.0) + PEEL_FIRST
    return float(max(0.0, np.log((usual + 1.0) / (own + 1.0))))


def aroma_of(catalog: Catalog, ids: Sequence[str]) -> Array:
    """(n, n_groups) unit profiles of ingredients in their usual form."""
    rows = affinity.bench(catalog)
    default = [next(f for f in catalog.forms_of[i] if f.is_default).form_id for i in ids]
    return rows.features[[rows.position[f] for f in default]][:, 1 : 1 + len(catalog.groups)]


def dose_window(form: Form) -> float | None:
    """Middle of the usual dose window, g per kg of syrup."""
    return aroma.usual_dose(form)
