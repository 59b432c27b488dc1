"""Verdicts: does one ingredient suit a coffee, how sure is it, and what does its job instead.

The verdict, its sentence and its reasons come from two numbers: practice in the style of the drink,
moved by what the cup says of this coffee.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pairing.affinity import pool as pools
from pairing.affinity.pool import Pool, gather, suggestable
from pairing.affinity.practice import item_of, practice
from pairing.affinity.search import (
    GAINS,
    MOST_PAGES,
    SERVED_PAGES,
    Limits,
    Single,
    different,
    lawful,
    names_no_form,
    single_of,
    words_of,
)
from pairing.aroma.coffee import CoffeeBase
from pairing.evidence.catalog import Catalog
from pairing.values import Value

__all__ = ["Check", "Stand", "check", "instead"]

NOT_COUNTED = frozenset({"dairy", "seasoning", "mixer", "sweetener"})
# Least practice of each verdict, natural log against a middling uncounted ingredient: our bands.
VERDICTS = ((4.5, "suits it well"), (2.0, "suits it"), (1.0, "is so-so"))
# Practice gives the word; what this cup says, small beside practice but what was asked, moves it
# by one word from here (odds times 1.6): our choice.
MOVES = 0.5
# Cosine of aroma from which one stands in for another: of its kind, of another, unserved so far.
LEAST_LIKE, NEAR_LIKE, UNSERVED_LIKE = 0.3, 0.4, 0.6


@dataclass(frozen=True, eq=False, repr=False)
class Check(Value):
    """Whether an ingredient suits a coffee in a style of drink.

    Attributes
    ----------
    ingredient_id, form_id, kind, style : str
    verdict : str
        ``suits it well``, ``suits it``, ``is so-so``, ``does not suit it``; ``is untried`` or
        ``is doubtful`` where no published drink holds it, ``is not known`` for milk, salt or sugar,
        which the table of aromatic partners does not count.
    single : Single
        Its total, and what the total is made of.
    sure : str
        ``firm``, ``fair`` or ``rough``.
    moved : Moved or None
        What the cup says; None where it is not known from cups.
    rank, last, of : int
        First and last place it shares in its kind, and how many there are; 0 where the kind has
        fewer than three.
    partners : tuple of (ingredient id, drinks)
        What it stands beside in published drinks, most often first.
    better : tuple of Single
        Others of its kind with a total that is higher by more than the doubt.
    """

    ingredient_id: str
    form_id: str
    kind: str
    style: str
    verdict: str
    single: Single
    sure: str
    moved: pools.Moved | None
    rank: int
    last: int
    of: int
    partners: tuple[tuple[str, int], ...]
    better: tuple[Single, ...]

    def __str__(self) -> str:
        """The verdict in one line."""
        return f"{self.form_id} {self.verdict} ({self.sure}, total {self.single.score:+.2f})"


def verdict_of(single: Single, kind: str = "") -> str:
    """Words for a total, and for having none to speak of.

    Parameters
    ----------
    single : Single
    kind : str
        Kind of the ingredient: of what is no aromatic, drinks say nothing here.

    Returns
    -------
    str
    """
    if single.pages == 0 and kind in NOT_COUNTED:
        return "is not known"
    if single.pages == 0:
        return "is untried" if single.this_coffee >= GAINS else "is doubtful"
    words = [*(w for _, w in VERDICTS), "does not suit it"]
    place = next((i for i, (least, _) in enumerate(VERDICTS) if single.practice >= least), 3)
    if single.this_coffee <= -MOVES:
        place = min(place + 1, 3)
    elif single.this_coffee >= MOVES and single.why:  # in words that tasters write
        place = max(place - 1, 0)
    word = words[place]
    if single.pages < SERVED_PAGES and word.startswith("suits"):  # a page is a person's idea
        return "suits it" if single.this_coffee >= GAINS else "is so-so"
    return word


def check(catalog: Catalog, name: str, base: CoffeeBase, *, style: str = "") -> Check:
    """Say whether an ingredient suits a coffee.

    Parameters
    ----------
    catalog : Catalog
    name : str
        By id, name or alias; without a form it is judged in the best one for the style.
    base : CoffeeBase
    style : str
        Style of the drink; any with an empty one.

    Returns
    -------
    Check

    Raises
    ------
    UnknownNameError
    PairingError
        For a regulated plant: the rule.
    """
    form = catalog.forms[lawful(catalog, name)]
    own = form.ingredient_id
    kind = catalog.kind(form)
    ids = [i for i in suggestable(catalog) if i != own] + [own]
    forms = {} if form.is_default and names_no_form(catalog, name) else {own: form.form_id}
    pool = gather(catalog, [base], ids, style, forms=forms)
    here = pool.position[own]
    moved = pool.moved[0].get(own)
    single = single_of(pool, here, float(pool.this_coffee[0, here]), words_of(pool, here))
    peers = [i for i in range(len(ids)) if pool.kinds[i] == kind]
    total = pool.single[0]
    ahead = [i for i in peers if total[i] - total[here] > _doubt(pool, i, here)]
    behind = [i for i in peers if total[here] - total[i] > _doubt(pool, i, here)]
    better = different(pool, sorted(ahead, key=lambda i: -total[i]))
    return Check(
        own,
        pool.form_ids[here],
        kind,
        style,
        verdict_of(single, kind),
        single,
        _sure(single, moved),
        moved,
        len(ahead) + 1 if len(peers) > 2 else 0,
        len(peers) - len(behind) if len(peers) > 2 else 0,
        len(peers),
        tuple(_beside(catalog, own)),
        tuple(
            single_of(pool, i, float(pool.this_coffee[0, i]), words_of(pool, i)) for i in better[:3]
        ),
    )


def _doubt(pool: Pool, i: int, j: int) -> float:
    """Standard error of the difference of two totals."""
    return float(np.hypot(pool.doubt[i], pool.doubt[j]))


def _sure(single: Single, moved: pools.Moved | None) -> str:
    """How much was counted: pages and cups."""
    cups = moved.n_cups if moved is not None else 0
    if single.pages >= MOST_PAGES:
        return "firm"
    return "fair" if single.pages >= SERVED_PAGES or cups >= 10 else "rough"


def _beside(catalog: Catalog, ingredient_id: str) -> list[tuple[str, int]]:
    """Ingredients that stand beside one in published drinks, most often first."""
    known = practice(catalog)
    item = item_of(ingredient_id)
    found = [(next(iter(pair - {item})), n) for pair, n in known.together.items() if item in pair]
    return sorted(found, key=lambda p: (-p[1], p[0]))[:6]


# --- instead ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Stand:
    """An ingredient that can do another's job.

    Attributes
    ----------
    single : Single
    likeness : float
        Cosine of the two aromas.
    same_kind : bool
    verdict : str
        How well it goes with this coffee, in words.
    """

    single: Single
    likeness: float  # cosine of the two aromas
    same_kind: bool
    verdict: str


def instead(
    catalog: Catalog,
    name: str,
    base: CoffeeBase,
    *,
    style: str = "",
    limits: Limits | None = None,
    top: int = 5,
) -> list[Stand]:
    """What does the same job as an ingredient for a coffee, the best first.

    Alike in aroma first (twice as much as being usual with this coffee), of the same kind before
    others.

    Parameters
    ----------
    catalog : Catalog
    name : str
        Of the ingredient to replace.
    base : CoffeeBase
    style : str
        Style of the drink; any with an empty one.
    limits : Limits, optional
        What may go in; everything that is lawful when not given.
    top : int
        How many at most.

    Returns
    -------
    list of Stand
        Best first.

    Raises
    ------
    UnknownNameError
        For a name nobody knows.
    RefusedError
        For a plant that no drink may hold.
    PairingError
        For an unknown style.
    """
    own = catalog.forms[lawful(catalog, name)].ingredient_id
    ids = [i for i in (limits or Limits()).allow(catalog) if i != own] + [own]
    pool = gather(catalog, [base], ids, style)
    here = pool.position[own]
    x = pools.aroma_of(catalog, pool.ids)
    alike = x @ x[here]
    same = np.array([k == pool.kinds[here] for k in pool.kinds])
    usual = np.clip(pool.single[0] / 6.0, 0.0, 1.0)
    job = 2.0 * alike + 0.5 * same + usual
    # another job: a faint likeness in another kind, or one that nobody serves in place of anything
    does = (alike >= np.where(same, LEAST_LIKE, NEAR_LIKE)) & (
        (pool.pages > 0) | (alike >= UNSERVED_LIKE)
    )
    order = different(pool, [i for i in np.argsort(-job, kind="stable") if i != here and does[i]])
    singles = [single_of(pool, i, float(pool.this_coffee[0, i]), words_of(pool, i)) for i in order]
    return [
        Stand(s, float(alike[i]), bool(same[i]), verdict_of(s))
        for i, s in zip(order, singles, strict=True)
    ][:top]
