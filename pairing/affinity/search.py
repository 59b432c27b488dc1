"""Search: the best blends out of millions, exactly, and whether one ingredient suits a coffee.

The score of a blend is a sum of parts in points around 50: how each partner suits coffee
(harmony, within its kind), what it shares with what sets this coffee apart (echo), how the
partners suit each other, what each brings that the coffee lacks (coverage), two that do the same
job (crowding), what would drown the coffee at its usual dose (masking), acid that sharpens its
bitterness (acid), and how well known it is with coffee (precedent: always a part of its own,
counted for, against or not at all as asked).
Every part is a mean over partners or over pairs of partners, so the best blends are found by
branch and bound without trying them all.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
import numpy.typing as npt

from pairing.affinity import model as affinity
from pairing.affinity.model import Model
from pairing.aroma import infusion
from pairing.aroma import odour as aroma
from pairing.aroma.coffee import CoffeeBase, plain_coffee
from pairing.aroma.odour import Array
from pairing.aroma.serve import Serve, serve_for
from pairing.errors import NothingFoundError, PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.rows import Form, Tradition
from pairing.evidence.sources import evidence_word
from pairing.syrup.dose import BALANCED_BELOW_COFFEE

__all__ = [
    "Blend",
    "Candidates",
    "Check",
    "Contribution",
    "Part",
    "candidates",
    "check",
    "contributions",
    "precedents",
    "suggest",
]

Index = npt.NDArray[np.intp]

MIDDLE = 50.0  # points of a blend whose parts are all zero: neither suits nor fights
# Points a unit of each part counts. The pair model predicts log2 of how much oftener than chance;
# the rest are our own weights, set so that coffee leads: no published source.
POINTS = {
    "harmony": 18.0,
    "echo": 36.0,
    "partners": 9.0,
    "coverage": 6.0,
    "crowding": -12.0,
    "masking": -6.0,
    "acid": -8.0,
    "precedent": 6.0,
}
PART_WORDS = {
    "harmony": "harmony with coffee",
    "echo": "echoes this coffee",
    "partners": "partners agree",
    "coverage": "adds something new",
    "crowding": "same job twice",
    "masking": "drowns the coffee",
    "acid": "acid against coffee",
    "precedent": "precedent",
}
# Precedent: traditions that put it into coffee (log2 of 1 + their number) and how usual cooks
# find it with coffee compared with its kind (log2 units, from recipes); our weights.
TRADITION_WEIGHT, RECIPE_WEIGHT = 0.2, 0.5
PAIR_WEIGHT = 0.2  # traditions that put two partners together, with coffee or without
# Share of an aroma that a plain double espresso lacks, median over the forms that may be suggested:
# more than that counts for, less against, so that 50 stays neutral.
USUAL_COVERAGE = 0.9
LIKE_ENOUGH = 0.6  # likeness of two aromas from which they crowd each other
LOUD_ENOUGH = 0.5  # decades above a balanced dose from which an ingredient drowns the coffee
CITRUS_FORMS = ("slice", "peel", "juice", "dried")
# kinds that flavour a syrup; sweeteners are chosen for the sugar
PARTNER_KINDS = (
    "spice", "root", "herb", "flower", "nut", "seed", "roast", "tea", "wood", "fruit", "dairy",
)  # fmt: skip
DRAWS, SEED = 1000, 1
SHORTLIST = 1500  # best blends among which those to show are chosen
RIVALS = 200  # best blends that compete for the top ten in the draws
NOVELTY = {"both": 1.0, "familiar": 2.5, "surprising": -1.0, "aroma-only": 0.0}


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a score, in points."""

    key: str
    words: str
    points: float


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one trait of an ingredient adds to its harmony with a coffee.

    Attributes
    ----------
    part : str
        ``aroma`` (likeness included) or ``taste``.
    feature, partner : str
        Feature of the ingredient, and the feature of the other side that weighs most.
    value : float
        Log2 units; all contributions add up to the harmony.
    more : bool
        Whether the ingredient has more of the feature than its kind.
    """

    part: str
    feature: str
    partner: str
    value: float
    more: bool


@dataclass(frozen=True)
class Blend:
    """A ranked blend.

    Attributes
    ----------
    form_ids : tuple of str
    score : float
        Points; the parts and 50 add up to it exactly.
    parts : tuple of Part
        For the coffee that decides (the worst served, or the mean of all).
    low, high : float
        5th and 95th percentile of the score over the draws.
    top_ten : float
        Share of the draws in which it is among the ten best.
    confidence : str
        ``firm``, ``fair`` or ``rough``.
    precedent : float
        How well known with coffee, before the weight that was asked for.
    per_coffee : tuple of float
        Score with each coffee.
    """

    form_ids: tuple[str, ...]
    score: float
    parts: tuple[Part, ...]
    low: float
    high: float
    top_ten: float
    confidence: str
    precedent: float
    per_coffee: tuple[float, ...]


@dataclass(frozen=True)
class Candidates:
    """Everything the search needs of the forms that may go into a blend.

    Attributes
    ----------
    ids : tuple of str, n
    kinds : tuple of str, n
    owner : (n,) int array
        Forms of one ingredient share a number: only one of them goes into a blend.
    features : (n, n_features) array
    harmony : (n_coffees, n) array
        With each coffee, centred on the kind; log2 units.
    echo : (n_coffees, n) array
        What it shares with what sets the coffee apart; log2 units.
    precedent : (n,) array
        How well known with coffee.
    known_pairs : (n, n) array
        How well known with each other: log2 of 1 + traditions that use both.
    among : (n, n) array
        Harmony of partners with each other, centred on the two kinds.
    coverage, masking : (n_coffees, n) arrays
        Share of the aroma that the coffee lacks, less the usual share; decades too loud.
    acid : (n_coffees, n) array
        Acid a usual dose brings, g/l as citric, times the coffee's own acidity.
    crowding : (n, n) array
        0 to 1.
    """

    ids: tuple[str, ...]
    kinds: tuple[str, ...]
    owner: Index
    features: Array
    harmony: Array
    echo: Array
    precedent: Array
    known_pairs: Array
    among: Array
    coverage: Array
    masking: Array
    acid: Array
    crowding: Array
    position: dict[str, int] = field(default_factory=dict)


def suggestable(catalog: Catalog, month: int | None = None) -> list[str]:
    """Forms a suggestion may name: lawful, with a usual dose, in season.

    Parameters
    ----------
    catalog : Catalog
    month : int, optional
        1 to 12, northern hemisphere.
    """
    out = []
    for form in catalog.forms.values():
        ingredient = catalog.ingredients[form.ingredient_id]
        if ingredient.regulated == "yes" or form.dose_low_g_per_kg is None:
            continue
        if ingredient.kind == "citrus":
            if form.form not in CITRUS_FORMS or _unanalysed_juice(catalog, form):
                continue
        elif ingredient.kind not in PARTNER_KINDS or not form.is_default:
            continue
        if month and ingredient.season_months and month not in ingredient.season_months:
            continue
        out.append(form.form_id)
    return out


def _unanalysed_juice(catalog: Catalog, form: Form) -> bool:
    """A juice known only by the peel oil that gets into it: too thin to suggest."""
    held = {m.material for m in catalog.form_materials.get(form.form_id, ())}
    return form.form == "juice" and "juice" not in held


@once_per_catalog
def _in_the_glass(catalog: Catalog, form: Form, glass: Serve) -> Array:
    """Odorants of a usual dose in the drink, ug/l, (n_compounds,)."""
    usual = aroma.usual_dose(form)
    if usual is None:
        return np.zeros(len(aroma.axis(catalog).compounds))
    per_l = glass.syrup_g / glass.drink_ml * 1000.0
    return infusion.infuse(catalog, form, usual).best * per_l


def _coverage_and_masking(
    catalog: Catalog, base: CoffeeBase, form_ids: Sequence[str]
) -> tuple[Array, Array]:
    """Share of each aroma that the coffee lacks, and by how much it drowns it."""
    ax = base.axis
    glass = serve_for(catalog, "iced", base.brew)
    amounts = np.array([_in_the_glass(catalog, catalog.forms[f], glass) for f in form_ids])
    with np.errstate(invalid="ignore"):
        oav = np.nan_to_num(amounts / ax.threshold_best)
    loud = aroma.group_loudness(oav, ax)
    coffee_oav = base.oav * min(1.0, base.brew.volume_ml / glass.drink_ml)
    coffee_loud = aroma.group_loudness(coffee_oav, ax)
    new = np.maximum(loud - coffee_loud, 0.0).sum(axis=1)
    total = loud.sum(axis=1)
    coverage = np.divide(new, total, out=np.zeros_like(new), where=total > 0) - USUAL_COVERAGE
    decades = np.log10(oav.sum(axis=1) + 1e-9) - math.log10(coffee_oav.sum())
    return coverage, np.maximum(decades + BALANCED_BELOW_COFFEE - LOUD_ENOUGH, 0.0)


def sets_apart(catalog: Catalog, base: CoffeeBase) -> Array:
    """What sets a coffee apart, group by group.

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


def species(catalog: Catalog, form_id: str) -> str:
    """Botanical species of a form (its ingredient where none is named)."""
    ingredient = catalog.ingredients[catalog.forms[form_id].ingredient_id]
    words = ingredient.botanical_name.replace(" x ", " ").split("(")[0].split()
    return " ".join(words[:2]).lower() if len(words) > 1 else ingredient.ingredient_id


def _acid(catalog: Catalog, form_ids: Sequence[str]) -> Array:
    """Citric acid that a usual dose brings into the reference drink, g/l, (n,)."""
    out = []
    for form_id in form_ids:
        form = catalog.forms[form_id]
        dose = aroma.usual_dose(form)
        if dose is None or form.acid_percent_low is None or form.acid_percent_high is None:
            out.append(0.0)
            continue
        given = {"juice": 1.0, "slice": 0.42}.get(form.form, 0.1)  # share that is juice
        acid = (form.acid_percent_low + form.acid_percent_high) / 200.0
        out.append(aroma.drink_g_per_l(dose) * given * acid)
    return np.array(out)


TRUST_READ_SHARE = 0.25  # share of rows seen in text from which an aroma counts in full
TRUST_FLOOR = 0.6  # what an aroma counts whose rows are all recalled: our choice


@once_per_catalog
def trusted(catalog: Catalog, form: Form) -> float:
    """How much the aroma of a form counts, 0.6 (all recalled) to 1 (a good part read).

    A thin one (fewer than six odorants with an amount and a threshold) counts half of that.
    """
    held = {m.material for m in catalog.form_materials.get(form.form_id, ())}
    rows = [c for c in catalog.composition.get(form.ingredient_id, ()) if c.material in held]
    read = sum(r.evidence == "read" for r in rows) / len(rows) if rows else 0.0
    weight = TRUST_FLOOR + (1.0 - TRUST_FLOOR) * min(1.0, read / TRUST_READ_SHARE)
    return weight * (0.5 if evidence_word(catalog, form) == "thin" else 1.0)


MOST_ECHO = 0.17  # about six points: what sets a coffee apart moves a ranking, it does not make it


def _echo(shared: Array, cup: Array, fitted: Model) -> Array:
    """Echo of each form, a small difference between coffees speaking louder than its size.

    The difference of a coffee from the plain one is taken to the power of a half (people notice
    small differences between similar cups: Stevens' power law, exponent our choice), and the echo
    is held within +-0.17.
    """
    shift = np.array([n.startswith("shift:") for n in fitted.names])
    size = float(np.linalg.norm(cup[shift]))
    if size < 1e-9:
        return np.zeros_like(shared)
    lifted = shared / math.sqrt(size) * math.sqrt(ECHO_REFERENCE)
    return np.asarray(MOST_ECHO * np.tanh(lifted / MOST_ECHO))


def features_apart(catalog: Catalog, base: CoffeeBase) -> Array:
    """Profile of a coffee whose shift is taken against a plain one of the same brew."""
    cup = affinity.coffee_features(catalog, base)
    plain = affinity.coffee_features(catalog, plain_coffee(catalog, base.coffee.brew))
    shift = np.array([n.startswith("shift:") for n in affinity.model(catalog).names])
    return np.asarray(np.where(shift, cup - plain, cup))


def favours(
    catalog: Catalog, base: CoffeeBase, month: int | None = None, top: int = 6
) -> tuple[list[str], list[str]]:
    """What gains most and what loses most with this coffee against a plain one, by echo.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase
    month : int, optional
        Only what is in season.
    top : int
        How many of each, one form a species; none where the coffee is plain.

    Returns
    -------
    (gains, losses) : lists of form ids
    """
    fitted, rows = affinity.model(catalog), affinity.bench(catalog)
    cup = features_apart(catalog, base)
    ids = suggestable(catalog, month)
    x = rows.features[[rows.position[f] for f in ids]]
    trust = np.array([trusted(catalog, catalog.forms[f]) for f in ids])
    echo = trust * _echo(x @ bridge_of(fitted) @ cup, cup, fitted)
    order = np.argsort(-echo, kind="stable").tolist()

    def first(places: Iterable[int], sign: float) -> list[str]:
        seen: dict[str, str] = {}
        for i in places:
            if sign * POINTS["echo"] * echo[i] < 0.5:
                break
            seen.setdefault(species(catalog, ids[i]), ids[i])
        return list(seen.values())[:top]

    return first(order, 1.0), first(reversed(order), -1.0)


ECHO_REFERENCE = 0.2  # size of the difference that counts as itself: a light roast's, about


def bridge_of(fitted: Model) -> Array:
    """Coefficients of what an ingredient shares with what sets a coffee apart."""
    return np.asarray(fitted.learned * (fitted.part_of == "bridge"))


def harmony_without_bridge(fitted: Model) -> Array:
    """Coefficients of harmony with coffee as such."""
    return np.asarray(fitted.harmony_coef - bridge_of(fitted))


def _precedent(catalog: Catalog, form_ids: Sequence[str], x: Array, means: Array) -> Array:
    """How well known each form is with coffee, (n,)."""
    known = np.array([tradition_count(catalog, f) for f in form_ids])
    fitted = affinity.model(catalog)
    cup = affinity.coffee_features(catalog)
    usual = (x - means) @ (fitted.coef - fitted.harmony_coef) @ cup
    return np.asarray(TRADITION_WEIGHT * np.log2(1.0 + known) + RECIPE_WEIGHT * usual)


SAME_CHARACTER = 0.5  # how much two of one character crowd each other, beyond their likeness


def _same_character(catalog: Catalog, form_ids: Sequence[str]) -> Array:
    """1 where two forms have their character from one aroma group, (n, n)."""
    groups = np.array([character_of(catalog, catalog.forms[f]) for f in form_ids])
    return np.asarray((groups[:, None] == groups[None, :]) & (groups != "")[:, None], dtype=float)


def character(catalog: Catalog, oav: Array) -> str:
    """The aroma group that gives an aroma its character: loud in it, and not in most others.

    Loudness times the root of the inverse document frequency of the group over all forms (Sparck
    Jones, J. Documentation 28, 11-21, 1972; from memory). Empty where nothing is audible.

    Parameters
    ----------
    catalog : Catalog
    oav : (n_compounds,) array
    """
    held = aroma.profiles(catalog)
    loud = aroma.group_loudness(oav[None, :], held.axis)[0]
    if not (loud > 0.1).any():
        return ""
    return held.axis.groups[int(np.argmax(loud * _telling_groups(catalog)))]


@once_per_catalog
def _telling_groups(catalog: Catalog) -> Array:
    """How much each group tells of an ingredient: more, the fewer have it, (n_groups,)."""
    held = aroma.profiles(catalog)
    audible = (aroma.group_loudness(held.oav(1.0), held.axis) > 0.5).sum(axis=0)
    return np.asarray(np.sqrt(np.log((1.0 + len(held.ids)) / (1.0 + audible))))


@once_per_catalog
def character_of(catalog: Catalog, form: Form) -> str:
    """Character of a form at its usual dose."""
    held = aroma.profiles(catalog)
    row = held.position.get(form.form_id)
    dose = aroma.drink_g_per_l(aroma.usual_dose(form) or 10.0)
    amounts = held.best[row] * dose if row is not None else np.zeros(len(held.axis.compounds))
    with np.errstate(invalid="ignore"):
        oav = np.minimum(amounts, 1e3 * held.axis.solubility) / held.axis.threshold_best
    return character(catalog, np.nan_to_num(oav))


def uses(catalog: Catalog, tradition: Tradition, form: Form) -> bool:
    """Whether a tradition uses this form: citrus form by form, the rest by ingredient.

    Peel, slice and juice of a fruit are three different ingredients; whole, ground or dried
    spice is one.
    """
    for name in tradition.ingredient_ids:
        used = catalog.forms.get(name)
        owner = used.ingredient_id if used else name
        if owner != form.ingredient_id:
            continue
        if used is None or catalog.kind(form) != "citrus":
            return True
        if form_class(used) == form_class(form):
            return True
    return False


def form_class(form: Form) -> str:
    """Peel and zest count as one; slices, juice and dried fruit stand alone."""
    return "peel" if form.form in ("peel", "zest") else form.form


@once_per_catalog
def traditions_of(catalog: Catalog, form: Form) -> tuple[Tradition, ...]:
    """Coffee traditions that use a form."""
    return tuple(t for t in catalog.traditions if t.with_coffee and uses(catalog, t, form))


def tradition_count(catalog: Catalog, form_id: str) -> int:
    """Number of coffee traditions that use a form."""
    return len(traditions_of(catalog, catalog.forms[form_id]))


def _known_pairs(catalog: Catalog, form_ids: Sequence[str]) -> Array:
    """Log2 of 1 + traditions (with coffee or without) that use both, (n, n)."""
    count = np.zeros((len(form_ids), len(form_ids)))
    forms = [catalog.forms[f] for f in form_ids]
    named = {
        catalog.forms[i].ingredient_id if i in catalog.forms else i
        for t in catalog.traditions
        for i in t.ingredient_ids
    }
    known = [k for k, f in enumerate(forms) if f.ingredient_id in named]
    for tradition in catalog.traditions:
        rows = [k for k in known if uses(catalog, tradition, forms[k])]
        count[np.ix_(rows, rows)] += 1
    return np.asarray(np.log2(1.0 + count))


def candidates(
    catalog: Catalog, bases: Sequence[CoffeeBase], form_ids: Sequence[str]
) -> Candidates:
    """Gather what the search needs.

    Parameters
    ----------
    catalog : Catalog
    bases : sequence of CoffeeBase
        One to twelve coffees to be served at once.
    form_ids : sequence of str
    """
    if not 1 <= len(bases) <= 12:
        raise PairingError(f"{len(bases)} coffees; give one to twelve")
    fitted, rows = affinity.model(catalog), affinity.bench(catalog)
    x = rows.features[[rows.position[f] for f in form_ids]]
    kinds = tuple(catalog.kind(catalog.forms[f]) for f in form_ids)
    means = np.array([rows.kind_means[k] for k in kinds])
    owners: dict[str, int] = {}
    owner = [owners.setdefault(species(catalog, f), len(owners)) for f in form_ids]
    cups = [affinity.coffee_features(catalog, b) for b in bases]
    h, bridge = harmony_without_bridge(fitted), bridge_of(fitted)
    trust = np.array([trusted(catalog, catalog.forms[f]) for f in form_ids])
    harmony = np.array([trust * ((x - means) @ h @ c) for c in cups])
    # centred on both kinds: x'Hy - mean(x)'H mean(y)
    among = x @ h @ x.T - means @ h @ means.T
    pairs = [_coverage_and_masking(catalog, b, form_ids) for b in bases]
    groups = slice(1, 1 + len(catalog.groups))
    apart = [features_apart(catalog, b) for b in bases]
    echo = np.array([trust * _echo(x @ bridge @ c, c, fitted) for c in apart])
    alike = x[:, groups] @ x[:, groups].T  # unit vectors: cosine
    crowding = np.clip((alike - LIKE_ENOUGH) / (1.0 - LIKE_ENOUGH), 0.0, 1.0)
    crowding = np.maximum(crowding, SAME_CHARACTER * _same_character(catalog, form_ids))
    return Candidates(
        tuple(form_ids),
        kinds,
        np.array(owner, dtype=np.intp),
        x,
        harmony,
        echo,
        _precedent(catalog, form_ids, x, means),
        _known_pairs(catalog, form_ids),
        among,
        np.array([c for c, _ in pairs]),
        np.array([m for _, m in pairs]),
        np.outer([taste_apart(catalog, b)["acidity"] for b in bases], _acid(catalog, form_ids)),
        crowding,
        {f: i for i, f in enumerate(form_ids)},
    )


# --- exact search -------------------------------------------------------------------------


def _single(pool: Candidates, novelty: float) -> Array:
    """Points of the parts that are means over partners, (n_coffees, n)."""
    return np.asarray(
        POINTS["harmony"] * pool.harmony
        + POINTS["echo"] * pool.echo
        + POINTS["coverage"] * pool.coverage
        + POINTS["masking"] * pool.masking
        + POINTS["acid"] * pool.acid
        + novelty * POINTS["precedent"] * pool.precedent
    )


def _paired(pool: Candidates, novelty: float) -> Array:
    """Points of the parts that are means over pairs of partners, (n, n)."""
    return np.asarray(
        POINTS["partners"] * pool.among
        + POINTS["crowding"] * pool.crowding
        + novelty * POINTS["precedent"] * PAIR_WEIGHT * pool.known_pairs
    )


def _totals(single: Array, paired: Array, combos: Index) -> Array:
    """Score of each combination with each coffee, (n_coffees, n_combos)."""
    size = combos.shape[1]
    total = MIDDLE + single[:, combos].mean(axis=2)
    if size > 1:
        i, j = np.triu_indices(size, 1)
        total = total + paired[combos[:, i], combos[:, j]].mean(axis=1)
    return np.asarray(total)


def _merge(per_coffee: Array, worst: bool) -> Array:
    return np.asarray(per_coffee.min(axis=0) if worst else per_coffee.mean(axis=0))


def best_combinations(
    single: Array,
    paired: Array,
    owner: Index,
    slots: Sequence[Index],
    fixed: Index,
    keep: int,
    worst: bool = True,
) -> Index:
    """The best combinations, exactly, by branch and bound.

    Parameters
    ----------
    single : (n_coffees, n) array
        Points of each candidate with each coffee.
    paired : (n, n) array
        Points of each pair.
    owner : (n,) int array
        Candidates with one owner exclude each other.
    slots : sequence of int arrays
        Candidates allowed in each free slot; equal consecutive slots are filled in rising order.
    fixed : int array
        Candidates that are in every combination.
    keep : int
        How many to find.
    worst : bool
        Rank by the worst served coffee, else by the mean.

    Returns
    -------
    (at most keep, size) int array
        Best first; ties by position.
    """
    size = len(fixed) + len(slots)
    share, pair_share = 1.0 / size, 1.0 / max(1, size * (size - 1) // 2)
    top_pair = float(paired.max()) if paired.size else 0.0

    def grow(parents: Index, slot: int) -> Index:
        allowed = slots[slot]
        children = np.repeat(parents, len(allowed), axis=0)
        added = np.tile(allowed, len(parents))
        good = np.ones(len(added), dtype=bool)
        for column in children.T:
            good &= owner[column] != owner[added]
        if slot and np.array_equal(slots[slot - 1], allowed):
            good &= added > children[:, -1]
        return np.hstack([children[good], added[good, None]])

    def value(combos: Index) -> Array:
        """Score so far on the scale of the full size; exact when complete."""
        out = MIDDLE + single[:, combos].sum(axis=2) * share
        i, j = np.triu_indices(combos.shape[1], 1)
        if len(i):
            out = out + paired[combos[:, i], combos[:, j]].sum(axis=1) * pair_share
        return np.asarray(out)

    def bound(combos: Index, slot: int) -> Array:
        """No completion of these can score more."""
        left = len(slots) - slot
        depth = combos.shape[1]
        best = value(combos)
        for allowed in slots[slot:]:
            if depth:
                # u/k + q sum_y p(y, x) is the mean over y of u/k + q d p(y, x): bound each y
                reach = (
                    single[:, None, allowed] * share + pair_share * depth * paired[:, allowed][None]
                ).max(axis=2)
                best = best + reach[:, combos].mean(axis=2)
            else:
                best = best + single[:, allowed].max(axis=1, keepdims=True) * share
        best = best + pair_share * top_pair * (left * (left - 1) / 2)
        return _merge(best, worst)

    start = fixed[None, :].astype(np.intp)
    floor = -math.inf
    # a narrow first pass gives a floor that prunes the exact one
    beam = start
    for slot in range(len(slots)):
        beam = grow(beam, slot)
        if not len(beam):
            break
        order = np.argsort(-bound(beam, slot + 1), kind="stable")[: 4 * keep]
        beam = beam[order]
    if len(beam) >= keep and beam.shape[1] == size:
        floor = float(np.sort(_merge(value(beam), worst))[-keep])
    parts = [start]
    for slot in range(len(slots)):
        grown = []
        for block in parts:
            for at in range(0, len(block), 2000):
                children = grow(block[at : at + 2000], slot)
                if len(children):
                    grown.append(children[bound(children, slot + 1) >= floor - 1e-9])
        parts = [g for g in grown if len(g)]
    if not parts:
        return np.zeros((0, size), dtype=np.intp)
    found = np.concatenate(parts)
    score = _merge(value(found), worst)
    return found[np.argsort(-score, kind="stable")[:keep]]


# --- suggestions --------------------------------------------------------------------------


def suggest(
    catalog: Catalog,
    bases: Sequence[CoffeeBase],
    *,
    citrus: str | None = None,
    with_: Sequence[str] = (),
    kinds: Sequence[str] = (),
    size: int = 3,
    month: int | None = None,
    top: int = 10,
    taste: str = "both",
    average: bool = False,
    plain: bool = False,
    draws: int = DRAWS,
    seed: int = SEED,
) -> list[Blend]:
    """The best blends for one or several coffees.

    Parameters
    ----------
    catalog : Catalog
    bases : sequence of CoffeeBase
        Coffees the syrup is to serve.
    citrus : str, optional
        The citrus (in a form, or all its forms) to build on; ``"none"`` for blends without.
        When not given, one citrus of the search's choice.
    with_ : sequence of str
        Ingredients that must be in.
    kinds : sequence of str
        Kinds the other partners may be; all when empty.
    size : int
        Partners in a blend, 1 to 4.
    month : int, optional
        Only what is in season.
    top : int
        How many to return.
    taste : {"both", "familiar", "surprising", "aroma-only"}
        How precedent counts: as one part among others, more, against, or not at all.
    average : bool
        Rank by the mean over the coffees instead of the worst served.
    plain : bool
        The bare ranking; otherwise forms of one citrus count once, no two ingredients stand
        together twice and none is in more than a third of the list (unless it was asked for).
    draws, seed : int
        Monte-Carlo draws; same seed, same answer.

    Raises
    ------
    PairingError
        For a size outside 1-4, an unknown kind, or more fixed ingredients than the size.
    NothingFoundError
        When no blend fits.
    """
    if not 1 <= size <= 4:
        raise PairingError(f"a blend of {size}; give 1 to 4 partners")
    if not 1 <= top <= 100:
        raise PairingError(f"the best {top}; give 1 to 100")
    if taste not in NOVELTY:
        raise PairingError(f"unknown taste {taste!r}; one of {', '.join(NOVELTY)}")
    allowed = suggestable(catalog, month)
    fixed_ids = [_lawful(catalog, n) for n in with_]
    slot_ids = _slots(catalog, allowed, fixed_ids, citrus, kinds, size)
    every = list(dict.fromkeys([*fixed_ids, *(f for slot in slot_ids for f in slot)]))
    pool = candidates(catalog, bases, every)
    novelty = NOVELTY[taste]
    single, paired = _single(pool, novelty), _paired(pool, novelty)
    slots = [np.array([pool.position[f] for f in slot], dtype=np.intp) for slot in slot_ids]
    fixed = np.array([pool.position[f] for f in fixed_ids], dtype=np.intp)
    combos = best_combinations(
        single, paired, pool.owner, slots, fixed, max(SHORTLIST, top), not average
    )
    if not len(combos):
        raise NothingFoundError("no blend fits; widen the kinds or the month")
    shown = list(range(len(combos))) if plain else _varied(pool, combos, fixed, slots, top)
    # the draws are made for the best blends and for those that are shown
    rivals = sorted({*range(min(RIVALS, len(combos))), *shown[:top]})
    drawn = _drawn_scores(catalog, bases, pool, combos[rivals], novelty, average, draws, seed)
    return [
        _blend(catalog, pool, single, paired, combos[b], drawn, rivals.index(b), novelty, average)
        for b in shown[:top]
    ]


def _varied(
    pool: Candidates, combos: Index, fixed: Index, slots: Sequence[Index], top: int
) -> list[int]:
    """Places of the blends to show, best first, that differ enough to be worth reading.

    No ingredient is in more than a third, no two stand together twice, two forms of one citrus
    count once; what was asked for by name is not counted.
    """
    asked = set(pool.owner[fixed].tolist())
    for slot in slots:
        named = np.unique(pool.owner[slot]).tolist()
        asked |= set(named) if len(named) == 1 else set()
    if combos.shape[1] == 1:
        asked |= set(pool.owner.tolist())
    most = max(2, math.ceil(top / 3))
    seen: dict[int, int] = {}
    taken: set[frozenset[int]] = set()
    out = []
    for place, combo in enumerate(combos):
        owners = frozenset(pool.owner[combo].tolist())
        free = owners - asked
        # two ingredients that were not asked for stand together once
        pairs = {frozenset(p) for p in combinations(sorted(free), 2)} or {owners}
        if pairs & taken or any(seen.get(o, 0) >= most for o in free):
            continue
        taken |= pairs
        for o in free:
            seen[o] = seen.get(o, 0) + 1
        out.append(place)
    return out


def _lawful(catalog: Catalog, name: str) -> str:
    form = catalog.form(name)
    if catalog.ingredients[form.ingredient_id].regulated == "yes":
        from pairing.safety.assess import refusal

        raise PairingError(f"{form.form_id} is never suggested: {refusal(form.ingredient_id)}")
    return form.form_id


def _slots(
    catalog: Catalog,
    allowed: Sequence[str],
    fixed: list[str],
    citrus: str | None,
    kinds: Sequence[str],
    size: int,
) -> list[list[str]]:
    """Which forms may fill each free place; ``fixed`` may gain the named citrus."""
    known = (*PARTNER_KINDS, "citrus")
    for kind in kinds:
        if kind not in known:
            raise PairingError(f"unknown kind {kind!r}; one of {', '.join(known)}")
    citrus_pool = [f for f in allowed if catalog.kind(catalog.forms[f]) == "citrus"]
    if citrus is not None and citrus != "none":
        named = catalog.form(citrus)
        if catalog.kind(named) != "citrus":
            raise PairingError(f"{named.form_id} is no citrus; name it with --with")
        forms = catalog.forms_of[named.ingredient_id]
        asked = {f.form_id for f in forms} if named.is_default else {named.form_id}
        # a citrus asked for by name counts in or out of season
        citrus_pool = [f for f in suggestable(catalog) if f in asked]
        if not citrus_pool:
            raise NothingFoundError(f"{named.form_id} has no form with a usual dose")
    partners = [f for f in allowed if catalog.kind(catalog.forms[f]) in (kinds or PARTNER_KINDS)]
    if size == 1 and not kinds and citrus is None:
        partners = list(allowed)
    has_citrus = any(catalog.kind(catalog.forms[f]) == "citrus" for f in fixed)
    if has_citrus and citrus == "none":
        raise PairingError("a blend without citrus cannot hold a citrus: leave one of the two out")
    free = size - len(fixed)
    if free < 0:
        raise PairingError(f"{len(fixed)} ingredients are fixed, the blend takes {size}")
    takes_citrus = (
        free > 0
        and not has_citrus
        and citrus != "none"
        and (size > 1 or citrus is not None or list(kinds) == ["citrus"])
    )
    slots = [citrus_pool] if takes_citrus else []
    slots += [partners] * (free - len(slots))
    for slot in slots:
        if not slot:
            raise NothingFoundError("nothing of that kind is in season; widen the month or kind")
    return slots


def _drawn_scores(
    catalog: Catalog,
    bases: Sequence[CoffeeBase],
    pool: Candidates,
    combos: Index,
    novelty: float,
    average: bool,
    draws: int,
    seed: int,
) -> Array:
    """Scores of the combinations over draws of concentration and threshold, (draws, n)."""
    from pairing.aroma.draws import draw_aroma, draw_thresholds

    fitted, rows = affinity.model(catalog), affinity.bench(catalog)
    ax = aroma.axis(catalog)
    used = np.unique(combos)
    held = aroma.profiles(catalog)
    low = np.zeros((len(used) + len(bases), len(ax.compounds)))
    high = low.copy()
    for k, i in enumerate(used.tolist()):
        row = held.position.get(pool.ids[i])
        if row is not None:
            low[k], high[k] = held.low[row] / 1e3, held.high[row] / 1e3  # 1 g per litre
    for k, base in enumerate(bases):
        low[len(used) + k], high[len(used) + k] = base.low / 1e3, base.high / 1e3
    rng = np.random.default_rng(seed)
    drawn = draw_aroma(low, high, ax, draw_thresholds(ax, draws, rng), rng)  # items, groups, draws
    groups = slice(1, 1 + len(ax.groups))
    h = harmony_without_bridge(fitted)
    hg = h[groups, groups]
    swing = drawn.astype(float)
    centre = np.vstack([pool.features[used][:, groups],
                        [affinity.coffee_features(catalog, b)[groups] for b in bases]])  # fmt: skip
    swing -= swing.mean(axis=2, keepdims=True)  # keep the best estimate in the middle
    # first-order change of x'Hy from each side; cross terms are second order
    at = np.full(len(pool.ids), -1)
    at[used] = np.arange(len(used))
    local = at[combos]
    full = np.zeros((len(centre), h.shape[0]))
    full[: len(used)] = pool.features[used]
    for k, base in enumerate(bases):
        full[len(used) + k] = affinity.coffee_features(catalog, base)
    slope = (full @ h)[:, groups]  # d(x'Hy)/dx for each partner y
    means = np.array([rows.kind_means[pool.kinds[i]] for i in used])
    out = []
    single, paired = _single(pool, novelty), _paired(pool, novelty)
    base_score = _totals(single, paired, combos)
    size = combos.shape[1]
    pair_i, pair_j = np.triu_indices(size, 1)
    for m in range(len(bases)):
        cup = len(used) + m
        moved = np.einsum("igd,g->id", swing[: len(used)], slope[cup])
        moved += np.einsum(
            "ig,gd->id", (full[: len(used)] - means)[:, groups] @ hg, swing[cup], optimize=True
        )
        total = POINTS["harmony"] * moved[local].mean(axis=1)
        if size > 1:
            change = np.zeros_like(total)
            for a, b in zip(pair_i.tolist(), pair_j.tolist(), strict=True):
                ia, ib = local[:, a], local[:, b]
                change += np.einsum("ngd,ng->nd", swing[ia], slope[ib], optimize=True)
                change += np.einsum("ngd,ng->nd", swing[ib], slope[ia], optimize=True)
            total += POINTS["partners"] * change / len(pair_i)
        out.append(base_score[m][:, None] + total)
    return _merge(np.array(out), not average).T


def _blend(
    catalog: Catalog,
    pool: Candidates,
    single: Array,
    paired: Array,
    combo: Index,
    drawn: Array,
    place: int,
    novelty: float,
    average: bool,
) -> Blend:
    per_coffee = _totals(single, paired, combo[None, :])[:, 0]
    which = [int(np.argmin(per_coffee))] if not average else list(range(len(per_coffee)))
    i, j = np.triu_indices(len(combo), 1)
    known = float(pool.precedent[combo].mean())
    if len(i):
        known += PAIR_WEIGHT * float(pool.known_pairs[combo[i], combo[j]].mean())
    values = {
        "harmony": float(pool.harmony[which][:, combo].mean()),
        "echo": float(pool.echo[which][:, combo].mean()),
        "partners": float(pool.among[combo[i], combo[j]].mean()) if len(i) else 0.0,
        "coverage": float(pool.coverage[which][:, combo].mean()),
        "crowding": float(pool.crowding[combo[i], combo[j]].mean()) if len(i) else 0.0,
        "masking": float(pool.masking[which][:, combo].mean()),
        "acid": float(pool.acid[which][:, combo].mean()),
        "precedent": novelty * known,
    }
    parts = tuple(Part(key, PART_WORDS[key], POINTS[key] * value) for key, value in values.items())
    scores = drawn[:, place]
    low, high = np.quantile(scores, [0.05, 0.95]).tolist()
    tenth = np.sort(drawn, axis=1)[:, -min(10, drawn.shape[1])]
    return Blend(
        tuple(pool.ids[k] for k in combo),
        MIDDLE + sum(p.points for p in parts),
        parts,
        low,
        high,
        float((scores >= tenth).mean()),
        _confidence(catalog, [pool.ids[k] for k in combo], high - low),
        known,
        tuple(float(v) for v in per_coffee),
    )


def _confidence(catalog: Catalog, form_ids: Sequence[str], width: float) -> str:
    """A plain word: how wide the interval is, and how well the aromas are documented."""
    evidence = {evidence_word(catalog, catalog.forms[f]) for f in form_ids}
    if "thin" in evidence or width >= 12:
        return "rough"
    return "firm" if evidence == {"solid"} and width < 6 else "fair"


# --- reasons ------------------------------------------------------------------------------


def contributions(
    fitted: Model, x: Array, mean: Array, other: Array, trust: float = 1.0
) -> tuple[Contribution, ...]:
    """What each feature of one side adds to the harmony with the other, weightiest first.

    Parameters
    ----------
    fitted : Model
    x, mean : (n_features,) arrays
        Profile, and the mean profile of its kind.
    other : (n_features,) array
        Profile of the other side.
    trust : float
        How much the aroma counts, see :func:`trusted`.

    Returns
    -------
    tuple of Contribution
        Their values add up to ``(x - mean)' H other`` with H the harmony without the bridge.
    """
    table = trust * (x - mean)[:, None] * harmony_without_bridge(fitted) * other[None, :]
    out = []
    for i, name in enumerate(fitted.names):
        value = float(table[i].sum())
        if value == 0.0:
            continue
        against = int(np.argmax(table[i] if value > 0 else -table[i]))
        part = "taste" if name.startswith("taste:") else "aroma"
        out.append(Contribution(part, name, fitted.names[against], value, bool(x[i] > mean[i])))
    return tuple(sorted(out, key=lambda c: (-abs(c.value), c.feature)))


def precedents(catalog: Catalog, form_ids: Iterable[str]) -> list[Tradition]:
    """Coffee traditions that use any of these forms, those with most of them first."""
    forms = [catalog.forms[f] for f in form_ids]
    shared = {
        t.tradition_id: sum(t in traditions_of(catalog, f) for f in forms)
        for t in catalog.traditions
    }
    found = [t for t in catalog.traditions if shared[t.tradition_id]]
    return sorted(
        found, key=lambda t: (-shared[t.tradition_id], len(t.ingredient_ids), t.tradition_id)
    )


@dataclass(frozen=True)
class Check:
    """Whether an ingredient suits a coffee.

    Attributes
    ----------
    form : Form
    verdict : str
        ``suits it well``, ``suits it``, ``so-so`` or ``does not suit it``.
    by : str
        What carries the verdict: ``aroma and precedent``, ``aroma``, ``precedent`` or ````.
    blend : Blend
        The form alone as a blend: score, parts, interval, confidence.
    rank, of : int
        Place by score among the forms of its kind that may be suggested.
    harmony : float
        Within its kind, log2 units.
    harmony_rank : int
        Place by harmony alone.
    tradition_count : int
        Coffee traditions that use it.
    kind_mean : float
        Plain prediction for the mean of its kind with this coffee, log2 units.
    contributions : tuple of Contribution
        They add up to the harmony.
    alternatives : tuple of (form id, score)
        Better placed ingredients of the same kind.
    traditions : tuple of Tradition
    """

    form: Form
    verdict: str
    by: str
    blend: Blend
    rank: int
    of: int
    harmony: float
    harmony_rank: int
    tradition_count: int
    kind_mean: float
    contributions: tuple[Contribution, ...]
    alternatives: tuple[tuple[str, float], ...]
    traditions: tuple[Tradition, ...]


def check(
    catalog: Catalog, name: str, base: CoffeeBase, *, draws: int = DRAWS, seed: int = SEED
) -> Check:
    """Say whether an ingredient suits a coffee, and why.

    Parameters
    ----------
    catalog : Catalog
    name : str
        By id, name or alias.
    base : CoffeeBase
    draws, seed : int

    Raises
    ------
    UnknownNameError
    PairingError
        For a regulated plant: the rule.
    """
    form = catalog.forms[_lawful(catalog, name)]
    kind = catalog.kind(form)
    peers = [f for f in suggestable(catalog) if catalog.kind(catalog.forms[f]) == kind]
    if form.form_id not in peers:
        peers.append(form.form_id)
    pool = candidates(catalog, [base], peers)
    here = pool.position[form.form_id]
    novelty = NOVELTY["both"]
    single, paired = _single(pool, novelty), _paired(pool, novelty)
    order = np.argsort(-single[0], kind="stable").tolist()
    rank = order.index(here) + 1
    by_harmony = np.argsort(-pool.harmony[0], kind="stable").tolist().index(here) + 1
    fitted, rows = affinity.model(catalog), affinity.bench(catalog)
    mean, cup = rows.kind_means[kind], affinity.coffee_features(catalog, base)
    combos = np.arange(len(peers), dtype=np.intp)[:, None]
    drawn = _drawn_scores(catalog, [base], pool, combos, novelty, False, draws, seed)
    better = [
        (pool.ids[i], MIDDLE + float(single[0, i]))
        for i in order[: rank - 1]
        if pool.owner[i] != pool.owner[here]
    ]
    count = tradition_count(catalog, form.form_id)
    return Check(
        form,
        _verdict(MIDDLE + float(single[0, here])),
        _carried_by(single_parts(pool, here)),
        _blend(catalog, pool, single, paired, np.array([here]), drawn, here, novelty, False),
        rank,
        len(peers),
        float(pool.harmony[0][here]),
        by_harmony,
        count,
        float(fitted.score(mean, cup)[0]),
        contributions(fitted, pool.features[here], mean, cup, trusted(catalog, form)),
        tuple(_one_each(pool, better)[:3]),
        tuple(precedents(catalog, [form.form_id])[:4]),
    )


def _one_each(pool: Candidates, found: list[tuple[str, float]]) -> list[tuple[str, float]]:
    """The best form of each species."""
    seen: set[int] = set()
    out = []
    for form_id, value in found:
        owner = int(pool.owner[pool.position[form_id]])
        if owner not in seen:
            seen.add(owner)
            out.append((form_id, value))
    return out


VERDICTS = ((54, "suits it well"), (51, "suits it"), (46, "is so-so"))


def _verdict(score: float) -> str:
    """Words for a score as it is printed, in whole points; 50 is neutral."""
    return next((word for least, word in VERDICTS if round(score) >= least), "does not suit it")


def single_parts(pool: Candidates, here: int) -> tuple[float, float]:
    """Points that aroma (harmony and echo) and precedent bring to one candidate."""
    aroma_points = POINTS["harmony"] * float(pool.harmony[0][here]) + POINTS["echo"] * float(
        pool.echo[0][here]
    )
    return aroma_points, POINTS["precedent"] * float(pool.precedent[here])


def _carried_by(points: tuple[float, float]) -> str:
    """What speaks for an ingredient: at least a point and a half of aroma or of precedent."""
    aroma_agrees, known = (p >= 1.5 for p in points)
    if aroma_agrees and known:
        return "aroma and precedent"
    return "aroma" if aroma_agrees else "precedent" if known else ""
