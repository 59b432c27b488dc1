"""Search: what goes into a drink with a coffee: three shelves, and the best blends, exactly.

*Most*: what people put into most coffees, the same list for all. *This*: what this coffee takes
more of than a plain one. *Untried*: what nobody is known to serve, but the cup or a likeness of
aroma speaks for. Blends are ranked within one of the shelves by the score of
:mod:`pairing.affinity.pool`; branch and bound finds the best without trying them all.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from pairing.affinity import pool as pools
from pairing.affinity.exact import best_combinations, merged, totals
from pairing.affinity.pool import KINDS, Pool, gather, has_milk, suggestable
from pairing.affinity.practice import item_of
from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.odour import Array
from pairing.errors import NothingFoundError, PairingError, RefusedError
from pairing.evidence.catalog import Catalog
from pairing.safety.plants import is_refused, refusal
from pairing.values import Value

__all__ = [
    "Blend",
    "Limits",
    "Shelves",
    "Single",
    "lawful",
    "menu",
    "shelves",
    "suggest",
]

Index = npt.NDArray[np.intp]

PARTNERS = tuple(k for k in KINDS if k != "citrus")
SHELVES = ("this", "most", "untried")
SHORTLIST = 1500  # best blends among which those to show are chosen
GAINS = 0.15  # log-odds by which the cup must lift an ingredient to stand on the second shelf
MOST_PAGES = 5  # pages from which an ingredient is good with most coffees
SERVED_PAGES = 2  # pages from which people serve it: one page is one person's idea
LIKE_NAMED = 0.85  # cosine of aroma from which an untried ingredient borrows from one that is found
LONG_LIST, SHORT_LIST, MOST_CITRUS = 12, 8, 4
MENU_CHOICE = 20  # blends of each coffee among which a menu chooses
NEVER_TOGETHER = -50.0  # two that do the same job: never suggested beside each other


@dataclass(frozen=True, slots=True)
class Limits:
    """What may be suggested.

    Attributes
    ----------
    only : collection of str or None
        Ingredient ids, such as what is on the shelf; all when None.
    avoid : collection of str
        Ingredient ids.
    kinds : sequence of str
        Kinds the partners of a citrus may be; all when empty.
    month : int or None
        Only what is in season.
    dearest : int or None
        Highest price band, 1 (cheap) to 5.
    """

    only: Collection[str] | None = None
    avoid: Collection[str] = ()
    kinds: Sequence[str] = ()
    month: int | None = None
    dearest: int | None = None

    def allow(self, catalog: Catalog) -> list[str]:
        """Ingredients that pass, in the order of the catalogue.

        Parameters
        ----------
        catalog : Catalog

        Returns
        -------
        list of str
        """
        out = []
        for i in suggestable(catalog, self.month if self.only is None else None):
            band = catalog.ingredients[i].price_band
            if (
                (self.only is None or i in self.only)
                and i not in self.avoid
                and (self.dearest is None or (band is not None and int(band) <= self.dearest))
            ):
                out.append(i)
        first = {item_of(i): i for i in reversed(out)}  # what pages do not tell apart stands once
        return [i for i in out if first[item_of(i)] == i]


@dataclass(frozen=True, slots=True)
class Single:
    """One ingredient on a shelf.

    Attributes
    ----------
    ingredient_id, form_id : str
    score, practice, this_coffee : float
        ``score`` is the sum of the other two.
    drinks, pages : int
        Published drinks that hold it.
    why : str
        What speaks for it: tasters' words, or the ingredient it is like.
    """

    ingredient_id: str
    form_id: str
    score: float
    practice: float
    this_coffee: float
    drinks: int
    pages: int
    why: str = ""


@dataclass(frozen=True, slots=True)
class Shelves:
    """Good with most coffees, right for this one, and what nobody serves yet.

    Attributes
    ----------
    most, this, untried : tuple of Single
        The best first; empty where nothing is known.
    """

    most: tuple[Single, ...]
    this: tuple[Single, ...]
    untried: tuple[Single, ...]


@dataclass(frozen=True, eq=False, repr=False)
class Blend(Value):
    """A ranked blend.

    Attributes
    ----------
    form_ids, ingredient_ids : tuple of str
    score, practice, this_coffee, together : float
        For the coffee that decides (the worst served, or the mean of all); the three add up to
        the score, each divided by the number of partners.
    doubt : float
        Standard error of the score by how little was counted.
    place, last : int
        First and last place it shares with others that cannot be told from it.
    confidence : str
        ``firm``, ``fair`` or ``rough``.
    per_coffee : tuple of float
        Score with each coffee.
    """

    form_ids: tuple[str, ...]
    ingredient_ids: tuple[str, ...]
    score: float
    practice: float
    this_coffee: float
    together: float
    doubt: float
    place: int
    last: int
    confidence: str
    per_coffee: tuple[float, ...]

    def __str__(self) -> str:
        """The blend and what its score is made of, in one line."""
        return (
            f"{' + '.join(self.form_ids)}: {self.score:+.2f} (practice {self.practice:+.2f}, this "
            f"coffee {self.this_coffee:+.2f}, together {self.together:+.2f}), {self.confidence}"
        )


# --- shelves ------------------------------------------------------------------------------


def single_of(pool: Pool, i: int, moved: float, why: str = "") -> Single:
    return Single(
        pool.ids[i],
        pool.form_ids[i],
        float(pool.practice[i]) + moved,
        float(pool.practice[i]),
        moved,
        int(pool.drinks[i]),
        int(pool.pages[i]),
        why,
    )


def shelves(
    catalog: Catalog,
    bases: Sequence[CoffeeBase],
    style: str = "",
    limits: Limits | None = None,
    *,
    warm: bool | None = None,
) -> Shelves:
    """What is good with most coffees, right for this one, and untried but spoken for.

    Parameters
    ----------
    catalog : Catalog
    bases : sequence of CoffeeBase
        With several, an ingredient is right where no coffee is against it.
    style : str
        Style of the drink, see :func:`pairing.affinity.pool.counted_style`; any with an empty one.
    limits : Limits, optional
        What may go in; everything that is lawful when not given.
    warm : bool, optional
        Lean to what warm (false: fresh) drinks use.

    Returns
    -------
    Shelves

    Raises
    ------
    PairingError
        For an unknown style.
    """
    if not 1 <= len(bases) <= 12:
        raise PairingError(f"{len(bases)} coffees; give one to twelve")
    allowed = (limits or Limits()).allow(catalog)
    return _shelved(catalog, gather(catalog, bases, allowed, style, warm=warm))


def _shelved(catalog: Catalog, pool: Pool) -> Shelves:
    lowest = pool.this_coffee.min(axis=0)
    most = [i for i in np.argsort(-pool.practice, kind="stable") if pool.pages[i] >= MOST_PAGES]
    right = [
        single_of(pool, i, float(lowest[i]), words_of(pool, i)) for i in _right(pool)[:LONG_LIST]
    ]
    return Shelves(
        tuple(single_of(pool, i, 0.0) for i in different(pool, most)[:SHORT_LIST]),
        tuple(sorted(right, key=lambda s: -s.score)),
        tuple(_untried(catalog, pool, lowest)[:SHORT_LIST]),
    )


def _right(pool: Pool) -> list[int]:
    """What tasters find more of in this coffee and people serve, the most lifted first."""
    lowest = pool.this_coffee.min(axis=0)
    return different(
        pool,
        [
            int(i)
            for i in np.argsort(-lowest, kind="stable")
            if lowest[i] >= GAINS and pool.pages[i] and words_of(pool, int(i))
        ],
    )


def different(pool: Pool, places: Sequence[int]) -> list[int]:
    """Places without those that do the same job as an earlier one; one each of a species."""
    out: list[int] = []
    for i in places:
        citrus = pool.kinds[i] == "citrus"  # one genus, many jobs
        if not any(
            pool.owner[i] == pool.owner[j] or (pool.same_job[i, j] and not citrus) for j in out
        ):
            out.append(int(i))
    return out


def words_of(pool: Pool, i: int) -> str:
    """Tasters' words that speak for an ingredient with the first coffee that has any."""
    for moved in pool.moved:
        found = moved.get(pool.ids[i])
        if found is not None and found.words:
            return f"{'beside ' * found.beside}{', '.join(found.words[:3])}"
    return ""


def _untried(catalog: Catalog, pool: Pool, lowest: Array) -> list[Single]:
    """Ingredients of no published drink that the cup, or an aroma like one it names, speaks for."""
    alike = pools.aroma_of(catalog, pool.ids)
    alike = alike @ alike.T
    found = {}
    for i in range(len(pool.ids)):
        if pool.pages[i]:
            continue
        if lowest[i] >= GAINS and words_of(pool, i):
            found[i] = float(lowest[i]), words_of(pool, i)
            continue
        if any(pool.ids[i] in moved for moved in pool.moved):
            continue  # tasters know it, and do not find more of it here
        near = [
            j
            for j in np.flatnonzero(alike[i] >= LIKE_NAMED)
            if lowest[j] >= 2 * GAINS and pool.kinds[i] == pool.kinds[j] and words_of(pool, int(j))
        ]
        if near:
            j = max(near, key=lambda k: float(lowest[k]) * float(alike[i, k]))
            name = catalog.ingredients[pool.ids[j]].name.lower()
            found[i] = float(lowest[j] * alike[i, j]) / 2.0, f"smells much like {name}"
    order = different(pool, sorted(found, key=lambda i: -found[i][0]))
    return [single_of(pool, i, *found[i]) for i in order]


# --- blends -------------------------------------------------------------------------------


def suggest(
    catalog: Catalog,
    bases: Sequence[CoffeeBase],
    *,
    style: str = "",
    shelf: str = "this",
    limits: Limits | None = None,
    citrus: str | None = None,
    with_: Sequence[str] = (),
    size: int = 3,
    top: int = 10,
    average: bool = False,
    plain: bool = False,
    warm: bool | None = None,
    own: Mapping[str, float] | None = None,
) -> list[Blend]:
    """The best blends for one or several coffees.

    Parameters
    ----------
    catalog : Catalog
    bases : sequence of CoffeeBase
        Coffees the syrup is to serve, one to twelve.
    style : str
        Style of the drink; any with an empty one.
    shelf : {"this", "most", "untried"}
        Where partners that were not asked for come from: what this coffee takes more of (with a
        coffee that cups know nothing of: what people serve), what is good with most coffees, or
        one that nobody serves yet among those.
    limits : Limits, optional
        What may be suggested.
    citrus : str, optional
        The citrus to build on; ``"none"`` for blends without. When not given, one citrus of the
        search's choice.
    with_ : sequence of str
        Ingredients that must be in.
    size : int
        Partners in a blend, 1 to 4.
    top : int
        How many to return.
    average : bool
        Rank by the mean over the coffees instead of the worst served.
    plain : bool
        The bare ranking; otherwise no two ingredients stand together twice and none is in more
        than a third of the list (unless it was asked for).
    warm : bool, optional
        Lean to what warm (false: fresh) drinks use.
    own : mapping of str to float, optional
        What this bar's own tastings add to practice, by ingredient id, log-odds.

    Returns
    -------
    list of Blend
        Best first.

    Raises
    ------
    PairingError
        For a size outside 1-4, an unknown kind, shelf or style, or too many fixed ingredients.
    NothingFoundError
        When no blend fits.
    """
    if not 1 <= size <= 4:
        raise PairingError(f"a blend of {size}; give 1 to 4 partners")
    if not 1 <= top <= 100:
        raise PairingError(f"the best {top}; give 1 to 100")
    if shelf not in SHELVES:
        raise PairingError(f"unknown shelf {shelf!r}; one of {', '.join(SHELVES)}")
    pools.counted_style(catalog, style)  # refuses an unknown one
    if not 1 <= len(bases) <= 12:
        raise PairingError(f"{len(bases)} coffees; give one to twelve")
    chosen = limits or Limits()
    _known_kinds(chosen.kinds)
    fixed_forms = [lawful(catalog, n) for n in with_]
    forms = {}
    for name, form_id in zip(with_, fixed_forms, strict=True):
        form = catalog.forms[form_id]
        if not (form.is_default and names_no_form(catalog, name)):
            forms[form.ingredient_id] = form_id
    fixed_ids = list(dict.fromkeys(catalog.forms[f].ingredient_id for f in fixed_forms))
    citrus_ids: list[str] | None = None
    if citrus is not None and citrus != "none":
        named = catalog.forms[lawful(catalog, citrus)]
        if catalog.kind(named) != "citrus":
            raise PairingError(f"{named.form_id} is no citrus; name it with --with")
        citrus_ids = [named.ingredient_id]
        if not named.is_default:
            forms[named.ingredient_id] = named.form_id
    allowed = chosen.allow(catalog)
    every = list(dict.fromkeys([*allowed, *fixed_ids, *(citrus_ids or [])]))
    if not allowed and size > len(fixed_ids):
        raise NothingFoundError("nothing passes those limits; widen --only, --avoid or the month")
    pool = gather(catalog, bases, every, style, forms=forms, warm=warm, own=own)
    slots = _slots(
        catalog, pool, allowed, fixed_ids, citrus, citrus_ids, chosen.kinds, size, shelf, style
    )
    fixed = np.array([pool.position[i] for i in fixed_ids], dtype=np.intp)
    asked = set(fixed_ids) | set(citrus_ids or [])
    free = np.array([i not in asked for i in pool.ids])
    paired = np.where(
        pool.same_job & (free[:, None] | free[None, :]), NEVER_TOGETHER, pool.together
    )
    combos = best_combinations(
        pool.single, paired, pool.owner, slots, fixed, max(SHORTLIST, top), not average
    )
    _, once = np.unique(np.sort(combos, axis=1), axis=0, return_index=True)
    combos = combos[np.sort(once)]  # two slots may hold the same ingredients
    score = merged(totals(pool.single, paired, combos), not average)
    combos = combos[score > NEVER_TOGETHER / size / 2.0]
    if not len(combos):
        raise NothingFoundError("no blend fits; widen the kinds or the month")
    shown = list(range(len(combos))) if plain else _varied(pool, combos, fixed, slots, top)
    return _blends(pool, combos[shown[:top]], average)


def menu(
    catalog: Catalog,
    bases: Sequence[CoffeeBase],
    *,
    style: str = "",
    limits: Limits | None = None,
    size: int = 3,
) -> list[Blend]:
    """A drink for each coffee, unlike each other: no ingredient comes twice where that can be.

    Parameters
    ----------
    catalog : Catalog
    bases : sequence of CoffeeBase
    style : str
        Style of the drinks; any with an empty one.
    limits : Limits, optional
        What may go in; everything that is lawful when not given.
    size : int
        Partners in a drink.

    Returns
    -------
    list of Blend
        One a coffee, in the order of the coffees.

    Raises
    ------
    PairingError
        As :func:`suggest`.
    """
    out: list[Blend] = []
    used: set[str] = set()
    for base in bases:
        found = suggest(catalog, [base], style=style, limits=limits, size=size, top=MENU_CHOICE)
        best = min(found, key=lambda b: (len(used & set(b.ingredient_ids)), found.index(b)))
        used |= set(best.ingredient_ids)
        out.append(best)
    return out


def _known_kinds(kinds: Iterable[str]) -> None:
    for kind in kinds:
        if kind not in KINDS:
            raise PairingError(f"unknown kind {kind!r}; one of {', '.join(KINDS)}")


def names_no_form(catalog: Catalog, name: str) -> bool:
    """Whether a name is an ingredient's own, so that the form is ours to choose."""
    from pairing.evidence.spelling import normalise

    form = catalog.form(name)
    ingredient = catalog.ingredients[form.ingredient_id]
    return normalise(name) in {
        normalise(n) for n in (ingredient.ingredient_id, ingredient.name, *ingredient.aliases)
    }


def lawful(catalog: Catalog, name: str) -> str:
    """Form id of a name, refused where the plant is regulated.

    Parameters
    ----------
    catalog : Catalog
    name : str

    Returns
    -------
    str

    Raises
    ------
    PairingError
        With the rule that forbids it.
    """
    form = catalog.form(name)
    if is_refused(catalog, form.ingredient_id):
        raise RefusedError(
            f"{form.form_id} is never suggested: {refusal(catalog, form.ingredient_id)}"
        )
    return form.form_id


def _slots(
    catalog: Catalog,
    pool: Pool,
    allowed: Sequence[str],
    fixed: Sequence[str],
    citrus: str | None,
    citrus_ids: Sequence[str] | None,
    kinds: Sequence[str],
    size: int,
    shelf: str,
    style: str,
) -> list[Index]:
    """Which ingredients may fill each free place."""
    found = _shelved(catalog, pool)
    served = [i for i in allowed if pool.pages[pool.position[i]] >= SERVED_PAGES]
    right = [pool.ids[i] for i in _right(pool)]
    most = [i for i in served if pool.pages[pool.position[i]] >= MOST_PAGES]
    shelf_ids = {"this": right, "most": most, "untried": right}[shelf] or served or list(allowed)

    def of_kind(ids: Sequence[str], wanted: Collection[str]) -> list[str]:
        return [i for i in ids if catalog.ingredients[i].kind in wanted]

    has_citrus = any(catalog.ingredients[i].kind == "citrus" for i in fixed)
    if has_citrus and citrus == "none":
        raise PairingError("a blend without citrus cannot hold a citrus: leave one of the two out")
    free = size - len(fixed)
    if free < 0:
        raise PairingError(f"{len(fixed)} ingredients are fixed, the blend takes {size}")
    wanted = tuple(kinds) or PARTNERS
    with_milk = has_milk(catalog, style)  # acid and milk: a citrus is welcome there, not a must
    if citrus is None and not kinds and (size == 1 or with_milk):
        wanted = KINDS
    slots: list[list[str]] = []
    held = any(i in right for i in (*fixed, *(citrus_ids or ())))
    if citrus_ids is not None and free and not has_citrus:
        slots.append(list(citrus_ids))
    elif (
        free
        and not has_citrus
        and citrus is None
        and (list(kinds) == ["citrus"] or (size > 1 and not with_milk))
    ):
        every = of_kind(allowed, ("citrus",))
        shelved = of_kind(shelf_ids, ("citrus",))[: MOST_CITRUS if shelf_ids is right else None]
        slots.append(shelved or of_kind(served, ("citrus",)) or every)
        held = held or bool(shelved and right)
    left = free - len(slots)
    if shelf == "untried" and left:
        fresh = of_kind([s.ingredient_id for s in found.untried], wanted)
        if not fresh:
            raise NothingFoundError("nothing untried is spoken for by this coffee; leave it out")
        slots.append(fresh)
        left -= 1
    # the more a coffee lifts them the more they are its own: the best few of the shelf
    partners = of_kind(shelf_ids, wanted)[: LONG_LIST if shelf_ids is right else None]
    if len(partners) < left + 4:  # too few to choose from: what is good with most joins in
        partners = list(dict.fromkeys([*partners, *of_kind(most, wanted)]))
    if len(partners) < left + 1:
        partners = list(dict.fromkeys([*partners, *of_kind(served, wanted)]))
    if len(partners) < left:
        partners = list(dict.fromkeys([*partners, *of_kind(allowed, wanted)]))
    if shelf == "this" and left and not held:
        own = of_kind(right, wanted)[:LONG_LIST]
        if own:  # a blend within what is right for a coffee holds one of these at least
            slots.append(own)
            left -= 1
    slots += [partners] * left
    if not slots and free:
        raise NothingFoundError("nothing of that kind passes the limits; widen them")
    for slot in slots:
        if not slot:
            raise NothingFoundError("nothing of that kind is in season; widen the month or kind")
    return [np.array([pool.position[i] for i in slot], dtype=np.intp) for slot in slots]


def _varied(pool: Pool, combos: Index, fixed: Index, slots: Sequence[Index], top: int) -> list[int]:
    """Places of the blends to show, best first, that differ enough to be worth reading."""
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
        if len(out) == top:
            break
    return out


def _blends(pool: Pool, combos: Index, average: bool) -> list[Blend]:
    """Blends in the order given, with their places and ties."""
    size = combos.shape[1]
    i, j = np.triu_indices(size, 1)
    per_coffee = totals(pool.single, pool.together, combos)
    variance = (pool.doubt**2)[combos].sum(axis=1) / size**2
    score = merged(per_coffee, not average)
    out = []
    for n, combo in enumerate(combos):
        which = [int(np.argmin(per_coffee[:, n]))]
        if average:
            which = list(range(len(per_coffee)))
        moved = float(pool.this_coffee[which][:, combo].sum(axis=1).mean()) / size
        usual = float(pool.practice[combo].sum()) / size
        pairs = float(pool.together[combo[i], combo[j]].sum()) / size
        tied = [k for k in range(len(combos)) if _told_apart(pool, combos, score, n, k) < 1.0]
        out.append(
            Blend(
                tuple(pool.form_ids[k] for k in combo),
                tuple(pool.ids[k] for k in combo),
                usual + moved + pairs,
                usual,
                moved,
                pairs,
                float(np.sqrt(variance[n])),
                _first(tied, n) + 1,
                _last(tied, n) + 1,
                _confidence(pool, combo, pairs),
                tuple(float(v) for v in per_coffee[:, n]),
            )
        )
    return out


def _told_apart(pool: Pool, combos: Index, score: Array, n: int, k: int) -> float:
    """Difference of two blends in standard errors of what they do not share."""
    apart = np.setxor1d(combos[n], combos[k])
    error = math.sqrt(float((pool.doubt[apart] ** 2).sum())) / int(combos.shape[1])
    return abs(float(score[n]) - float(score[k])) / max(error, 1e-9)


def _first(tied: Sequence[int], n: int) -> int:
    """First place of the unbroken run of ties that holds place ``n``."""
    while n - 1 in tied:
        n -= 1
    return n


def _last(tied: Sequence[int], n: int) -> int:
    while n + 1 in tied:
        n += 1
    return n


def _confidence(pool: Pool, combo: Index, together: float) -> str:
    """A plain word: how much was counted, and whether the three agree."""
    pages = float(pool.pages[combo].min())
    cups = all(any(pool.ids[k] in m for m in pool.moved) for k in combo)
    if pages >= MOST_PAGES and together >= 0.0 and (cups or not any(pool.moved)):
        return "firm"
    return "fair" if pages >= SERVED_PAGES else "rough"
