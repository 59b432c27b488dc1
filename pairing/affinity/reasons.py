"""Reasons: what a total is made of, in words a barista uses.

A reason is something that was counted or found: published drinks, tasters' words, traditions.
What an ingredient lacks is never one, and "seldom" is said only where counts are held.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pairing.affinity import model as affinity
from pairing.affinity.pool import Moved, counted_style, traditions_of, uses
from pairing.affinity.practice import CINNAMON, KIN, item_of, practice
from pairing.affinity.search import GAINS, Blend, Single
from pairing.aroma import odour as aroma
from pairing.aroma.coffee import CoffeeBase, plain_coffee
from pairing.aroma.odour import Array
from pairing.aroma.served import glass_oav
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.rows import Form, Tradition
from pairing.evidence.words import within
from pairing.safety.allergens import (
    allergen_findings,
    legal_words,
    sulphites_open,
    unknown_allergens,
)
from pairing.safety.amounts import portion

__all__ = [
    "Pair",
    "allergen_words",
    "blend_reasons",
    "coffee_words",
    "cup_words",
    "pair_of",
    "practice_words",
    "short",
    "tradition_words",
    "traditions_of",
]

STYLE_WORDS = {
    "hot": "hot",
    "iced": "iced",
    "milk": "with milk",
    "sparkling": "sparkling",
    "cocktail": "in cocktails",
    "dessert": "as a dessert",
}


def short(form: Form) -> str:
    """Name of a form without its preparation: ``Green cardamom``.

    Parameters
    ----------
    form : Form

    Returns
    -------
    str
    """
    return form.label.split(",")[0]


def item_words(catalog: Catalog, item: str) -> str:
    """Name of what a drink holds: an ingredient's, or the word of the page."""
    if item == CINNAMON:
        return "cinnamon"
    ingredient = catalog.ingredients.get(item)
    if ingredient is None:
        return item.removeprefix("other:").replace("-", " ")
    return within(ingredient.name)


# --- practice -----------------------------------------------------------------------------


def practice_words(catalog: Catalog, ingredient_id: str, style: str = "") -> str:
    """How often published drinks hold it: ``in 61 of 482 published drinks, 23 with milk``.

    Parameters
    ----------
    catalog : Catalog
    ingredient_id : str
    style : str

    Returns
    -------
    str
    """
    known = practice(catalog)
    item = item_of(ingredient_id)
    n = known.counts[item, ""]
    kin = KIN.get(item, "")
    if kin and known.counts[kin, ""]:
        own = f"itself in {n} of" if n else "itself not named in"
        total = len(known.drinks.numbers)
        usual = f"{item_words(catalog, kin)} in {known.counts[kin, '']}"
        return f"{usual} of {total} published drinks, {own} them"
    if not n:
        return "in none of the published drinks counted here"
    text = f"in {n} of {len(known.drinks.numbers)} published drinks"
    counted = counted_style(catalog, style)
    if counted:
        here = known.counts[item, counted]
        text += f", {here or 'none'} {STYLE_WORDS[counted]}"
    return text


def tradition_words(tradition: Tradition) -> str:
    """A tradition in a few words: ``qahwa, Saudi Arabia``.

    Parameters
    ----------
    tradition : Tradition

    Returns
    -------
    str
    """
    place = tradition.region.replace("-", " ").title()
    return f"{tradition.name}, {place}" if tradition.name else place


# --- this coffee --------------------------------------------------------------------------


def cup_words(moved: Moved | None, described: bool) -> str:
    """What the cup says of an ingredient, in words.

    Parameters
    ----------
    moved : Moved or None
    described : bool
        Whether cups know this coffee at all.

    Returns
    -------
    str
    """
    if moved is None:
        return "not known from cups" if described else "no cup is described: as with any coffee"
    on = f" ({moved.n_cups} cups)" if moved.n_cups else ""
    beside = "it beside " if moved.beside else ""
    words = f": tasters write {beside}{', '.join(moved.words[:3])}" if moved.words else ""
    if moved.score >= GAINS:
        much = "much more" if moved.score >= 1.0 else "more"
        return f"{much} here than in a plain coffee{words}{on}"
    if moved.score <= -GAINS:
        return f"less here than in a plain coffee{on}"
    if not moved.words and moved.n_cups:
        return f"none of the {moved.n_cups} cups names it: as with any coffee"
    return f"no more and no less here than in a plain coffee{on}"


# --- together -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Pair:
    """Two partners.

    Attributes
    ----------
    score : float
        Natural log of how much oftener than chance they meet: drinks, where they are silent
        recipes, where those are silent aroma.
    drinks : int
        Published coffee drinks that hold both.
    expected : float
        Drinks that would hold both by chance.
    traditions : tuple of Tradition
        With coffee or without, that use both.
    mixes : tuple of str
        Known mixes that hold both, such as ``Earl Grey``.
    recipes : float
        What is predicted from sweet recipes, natural log; a guess where no recipe names them.
    counted : bool
        Whether recipes name both.
    likeness : float
        Cosine of the two aromas.
    verdict : str
    """

    score: float
    drinks: int
    expected: float
    traditions: tuple[Tradition, ...]
    mixes: tuple[str, ...]
    recipes: float
    counted: bool
    likeness: float
    verdict: str


def pair_of(catalog: Catalog, one: str, other: str) -> Pair:
    """What is known of two ingredients together.

    Parameters
    ----------
    catalog : Catalog
    one, other : str
        Ingredient ids.

    Returns
    -------
    Pair
    """
    known = practice(catalog)
    a, b = item_of(one), item_of(other)
    score = float(known.beside[known.position[a], known.position[b]])
    drinks = known.together[frozenset((a, b))]
    total = len(known.drinks.numbers)
    expected = known.counts[a, ""] * known.counts[b, ""] / total
    both = tuple(t for t in catalog.traditions if uses(catalog, t, one) and uses(catalog, t, other))
    mixes = tuple(
        mix.name
        for mix in catalog.mixes.values()
        if {a, b} <= {item_of(catalog.forms[i].ingredient_id) for i in mix.form_ids}
    )
    xa, xb = (affinity.pair_features(catalog, "cinnamon" if i == CINNAMON else i) for i in (a, b))
    recipes = float(affinity.model(catalog).score(xa, xb)[0]) * float(np.log(2.0))
    groups = slice(1, 1 + len(catalog.groups))
    named = affinity.kitchens(catalog).recipe_name
    counted = all(i == CINNAMON or i in named for i in (a, b))
    if drinks or both or mixes:
        known_by = drinks + len(both) + len(mixes)
        verdict = "go together well" if known_by > 2 and score >= 0 else "go together"
    elif expected >= LEAST_EXPECTED:
        verdict = "are seldom put together"
    elif recipes >= 0.2:
        verdict = "may go together"
    else:
        verdict = "have not been counted together"
    likeness = float(xa[groups] @ xb[groups])
    return Pair(score, drinks, expected, both, mixes, recipes, counted, likeness, verdict)


LEAST_EXPECTED = 3.0  # drinks expected by chance from which none is telling


def together_words(catalog: Catalog, one: str, other: str, pair: Pair) -> str:
    """Why two partners stand together, in words; empty where nothing was counted."""
    names = f"{catalog.ingredients[one].name} and {within(catalog.ingredients[other].name)}"
    if pair.drinks:
        s = "" if pair.drinks == 1 else "s"
        return f"{names}: together in {pair.drinks} published coffee drink{s}"
    if pair.traditions:
        return f"{names}: {tradition_words(pair.traditions[0])} puts them together"
    if pair.mixes:
        return f"{names}: {pair.mixes[0]} holds both"
    if pair.recipes >= 0.2 and pair.counted:
        return f"{names}: sweet recipes put them together"
    return ""


# --- blends -------------------------------------------------------------------------------


def blend_reasons(catalog: Catalog, blend: Blend, moved: dict[str, Moved]) -> list[str]:
    """Why a blend stands where it does: practice, this coffee, together, a line each.

    Parameters
    ----------
    catalog : Catalog
    blend : Blend
    moved : dict
        What the cups say for the coffee that decides.

    Returns
    -------
    list of str
    """
    known = practice(catalog)
    counts = [
        f"{item_words(catalog, item_of(i))} {known.counts[item_of(i), '']}"
        for i in blend.ingredient_ids
    ]
    out = [f"practice: drinks that hold it: {', '.join(counts)}"]
    heard = [
        f"{within(catalog.ingredients[i].name)} "
        f"({'beside ' * moved[i].beside}{', '.join(moved[i].words[:2])})"
        for i in blend.ingredient_ids
        if i in moved and moved[i].score >= GAINS and moved[i].words
    ]
    if heard:
        out.append(f"this coffee: tasters find {', '.join(heard)}")
    ids = blend.ingredient_ids
    pairs = [(pair_of(catalog, a, b), a, b) for n, a in enumerate(ids) for b in ids[n + 1 :]]
    said = [(p.drinks, p.score, together_words(catalog, a, b, p)) for p, a, b in pairs]
    said = [s for s in said if s[2]]
    if said:
        out.append(f"together: {max(said)[2]}")
    elif pairs:
        out.append("together: not counted in any drink yet, so taste it first")
    return out


# --- cautions -----------------------------------------------------------------------------


def allergen_words(catalog: Catalog, ingredient_ids: Sequence[str]) -> list[str]:
    """Allergens of a drink's ingredients, each once, and of which it is not known.

    Parameters
    ----------
    catalog : Catalog
    ingredient_ids : sequence of str

    Returns
    -------
    list of str
    """
    used = [portion(catalog, catalog.forms[i]) for i in ingredient_ids]
    found = allergen_findings(catalog, used)
    unknown = [f"NOT KNOWN for {i.replace('-', ' ')}" for i in unknown_allergens(found)]
    perhaps = ["sulphites?"] if sulphites_open(found) else []
    return [*unknown, *legal_words(found), *perhaps]


# --- what sets a coffee apart -------------------------------------------------------------


def sets_apart(catalog: Catalog, base: CoffeeBase) -> Array:
    """What sets a coffee apart, group by group, as its odorants are modelled.

    Loudness of each aroma group less that of a medium washed arabica of the same brew, less the
    mean of all groups that either has (so that mere strength counts nothing).

    Returns
    -------
    (n_groups,) array
        Log10 units.
    """
    plain = plain_coffee(catalog, base.coffee.brew)
    loud = aroma.group_loudness(base.oav, base.axis)
    usual = aroma.group_loudness(plain.oav, base.axis)
    present = (loud > 0) | (usual > 0)
    difference = np.where(present, loud - usual, 0.0)
    return np.asarray(np.where(present, difference - difference[present].mean(), 0.0))


def taste_apart(catalog: Catalog, base: CoffeeBase) -> dict[str, float]:
    """Taste of a coffee against a medium washed arabica of the same brew, as ratios."""
    plain = plain_coffee(catalog, base.coffee.brew).taste
    return {word: ratio / plain[word] for word, ratio in base.taste.items()}


def coffee_words(catalog: Catalog, base: CoffeeBase) -> str:
    """What sets a coffee apart from a plain medium washed arabica, in words.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase

    Returns
    -------
    str
    """
    apart = sets_apart(catalog, base)
    names = list(catalog.groups.values())
    order = np.argsort(-apart)
    more = [names[i].name.lower() for i in order[:3] if apart[i] > 0.05]
    less = [names[i].name.lower() for i in order[::-1][:3] if apart[i] < -0.05]
    taste = [
        f"{'more' if ratio > 1 else 'less'} {word}"
        for word, ratio in taste_apart(catalog, base).items()
        if (ratio > 1.2 or ratio < 0.85) and word in ("acidity", "body", "bitterness")
    ]
    bits = []
    if more:
        bits.append("more " + ", ".join(more))
    if less:
        bits.append("less " + ", ".join(less))
    bits += taste
    return "; ".join(bits) or "close to a plain medium washed arabica"


@once_per_catalog
def leads(catalog: Catalog, form_ids: tuple[str, ...]) -> str:
    """The loudest partner in the glass at usual doses."""
    loud = [float(glass_oav(catalog, catalog.forms[f]).sum()) for f in form_ids]
    return form_ids[int(np.argmax(loud))]


def weakest(bases: Sequence[CoffeeBase], blend: Blend) -> CoffeeBase:
    """The coffee that a blend serves worst."""
    return bases[min(range(len(bases)), key=lambda m: blend.per_coffee[m])]


def single_words(catalog: Catalog, single: Single) -> str:
    """An ingredient on a shelf with what speaks for it."""
    name = short(catalog.forms[single.form_id])
    return f"{name} ({single.why.split(', ')[0]})" if single.why else name
