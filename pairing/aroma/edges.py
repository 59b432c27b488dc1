"""Edges of the graph that are not chemistry: what tasters write, and what people serve.

Coffee - cup note - ingredient, ingredient - coffee and ingredient - ingredient. Every edge says of
what kind it is, how strong in its own unit, on how many cups or drinks it rests, and its source;
``weight`` is a likeness from 0 to 1 for any algorithm, ``distance`` its counterpart for paths.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from pairing.aroma.cup import ALL, Cups, cups, tasted_as
from pairing.aroma.description import Coffee
from pairing.aroma.notes import group_weights
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.rows import PracticeDrink

__all__ = ["KINDS", "TRUST", "Edge", "cup_edges", "edge", "practice_edges"]

# How far each part of the graph is to be believed: 2 x area - 1, where the area says how well it
# tells what is served or written from what is not (practice of other pages 0.97; other notes of a
# lot 0.81; shared aroma 0.58: README of the validation tables). Chance is 0.
TRUST = {"practice": 0.94, "cup": 0.62, "aroma": 0.16}
# kind -> (part of the graph, what its strength counts)
KINDS = {
    "smells of": ("aroma", "log10 of 1 + odour activity value"),
    "belongs to": ("aroma", "loudness summed over ingredients"),
    "tastes of": ("cup", "share of cups above that of other coffees; 1 for the bag's own note"),
    "names": ("cup", "1: the note names the ingredient"),
    "is like": ("cup", "0.5: the note is like the ingredient"),
    "is written beside": ("cup", "pointwise mutual information"),
    "speaks of": ("cup", "share of the note in the aroma group"),
    "is a form of": ("aroma", "1"),
    "is alike": ("aroma", "cosine of two aromas"),
    "is served in": ("practice", "share of published coffee drinks"),
    "is served beside": ("practice", "ln of drinks with both over those expected, shrunk"),
}
LEAST_SHARE = 0.03  # of cups, above other coffees', for a note to be drawn
LEAST_INFORMATION = 0.2
HALF_DRINKS = 5.0  # drinks at which practice is half believed
HALF_SHARE = 0.1  # share of cups above others' at which a note is half believed
PAIR_SHRINK = 1.0  # drinks given to a pair beforehand, at the rate of chance


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge of the graph.

    Attributes
    ----------
    one, other : str
        Node ids: ``ingredient:ID``, ``compound:ID``, ``group:ID``, ``note:WORD``; the coffee is
        ``ingredient:coffee``.
    kind : str
        One of ``KINDS``.
    strength : float
        In the unit of its kind.
    count : int
        Cups or drinks it rests on; 0 where nothing is counted.
    source_id : str
        Empty where the sources are those of the two nodes' own tables.
    weight : float
        Likeness above 0 and up to 1, comparable between kinds.
    """

    one: str
    other: str
    kind: str
    strength: float
    count: int
    source_id: str
    weight: float

    @property
    def distance(self) -> float:
        """``-ln weight``: along a path distances add where weights multiply."""
        return -math.log(self.weight)

    @property
    def part(self) -> str:
        """``aroma``, ``cup`` or ``practice``."""
        return KINDS[self.kind][0]


def edge(
    one: str, other: str, kind: str, strength: float, count: int, source_id: str, belief: float
) -> Edge:
    """An edge whose weight is how far it is believed within its part of the graph.

    Parameters
    ----------
    one, other, kind : str
        Ids of the two ends, and the kind of edge, a key of ``KINDS``.
    strength : float
        What the kind counts, see ``KINDS``.
    count : int
        Observations behind it.
    source_id : str
    belief : float
        From 0 to 1. Two edges make a way through a note or a compound, so each carries the
        square root of how far its part is trusted.

    Returns
    -------
    Edge
    """
    part = KINDS[kind][0]
    trust = 1.0 if kind == "is a form of" else TRUST[part]
    trust = trust if part == "practice" else math.sqrt(trust)
    weight = round(min(max(trust * belief, 1e-6), 1.0), 6)
    return Edge(one, other, kind, round(strength, 4), count, source_id, weight)


def cup_edges(catalog: Catalog, coffee: Coffee, coffee_node: str) -> list[Edge]:
    """Coffee - note - ingredient and note - aroma group, for the notes of a coffee.

    Parameters
    ----------
    catalog : Catalog
    coffee : Coffee
        Its own notes or, without any, those that tasters write of its origin more than of others.
    coffee_node : str

    Returns
    -------
    list of Edge
        Empty for a coffee of which nothing is known from cups.
    """
    held = cups(catalog)
    out: list[Edge] = []
    heard = _heard(held, coffee)
    for note, (share, n, source) in heard.items():
        belief = 1.0 if coffee.notes else share / (share + HALF_SHARE)
        out.append(edge(coffee_node, f"note:{note}", "tastes of", share, n, source, belief))
    for note in heard:
        row = catalog.notes[note]
        linked = set()
        for kind, ids, strength in (("names", row.names_ids, 1.0), ("is like", row.near_ids, 0.5)):
            for i in ids:
                if i in catalog.forms and i not in linked:
                    linked.add(i)
                    to = f"ingredient:{i}"
                    out.append(edge(f"note:{note}", to, kind, strength, 0, row.source_id, strength))
        if coffee.notes and note in held.at:
            out += _beside(held, catalog, note, linked)
        for group, weight in group_weights(row).items():
            out.append(
                edge(
                    f"note:{note}", f"group:{group}", "speaks of", weight, 0, row.source_id, weight
                )
            )
    return out


def _heard(held: Cups, coffee: Coffee) -> dict[str, tuple[float, int, str]]:
    """Note -> (share of cups above others', cups that have it, source)."""
    if coffee.notes:
        used = held.of.get(ALL, {})
        return {n: (1.0, used.get(n, 0), "") for n in coffee.notes}
    out: dict[str, tuple[float, int, str]] = {}
    if coffee.parts:
        for weight, part in coffee.parts:
            for note, (share, n, source) in _heard(held, part).items():
                old = out.get(note, (0.0, 0, source))
                out[note] = (old[0] + weight * share, old[1] + n, source)
        return out
    if coffee.species != "arabica":
        return out
    for origin in tasted_as(coffee):
        for level in held.quoted(origin):
            for note, share in held.lifted(level).items():
                n = held.of[level][note]
                if share >= LEAST_SHARE and n > 1 and share > out.get(note, (0.0,))[0]:
                    out[note] = (share, n, "cup-panel")
    return out


def _beside(held: Cups, catalog: Catalog, note: str, linked: set[str]) -> list[Edge]:
    """Ingredients whose notes tasters write beside a note."""
    row = held.company[held.at[note]]
    both = held.together[held.at[note]] @ held.speaks.T
    out = []
    for k, i in enumerate(held.ids):
        value = float(row[k] * held.strength[k])
        if value >= LEAST_INFORMATION and i in catalog.forms and i not in linked:
            n = int(both[k])
            belief = 1.0 - math.exp(-value)
            to = f"ingredient:{i}"
            out.append(edge(f"note:{note}", to, "is written beside", value, n, "cup-panel", belief))
    return out


@once_per_catalog
def _drinks(catalog: Catalog) -> tuple[tuple[frozenset[str], str], ...]:
    """Published drinks as their partners that the catalogue has, with the source."""
    held: dict[str, set[str]] = {}
    source: dict[str, str] = {}
    rows: Sequence[PracticeDrink] = catalog.practice
    for r in rows:
        held.setdefault(r.drink_no, set()).add(r.item_id)
        source[r.drink_no] = r.source_id
    return tuple(
        (frozenset(i for i in items if i in catalog.forms), source[d]) for d, items in held.items()
    )


def practice_edges(catalog: Catalog, coffee_node: str) -> list[Edge]:
    """Ingredient - coffee and ingredient - ingredient by published coffee drinks.

    Parameters
    ----------
    catalog : Catalog
    coffee_node : str

    Returns
    -------
    list of Edge
        Strength of a pair: ln((both + 1) / (expected + 1)); only pairs that meet oftener than
        chance. Empty without the table.
    """
    drinks = _drinks(catalog)
    total = len(drinks)
    count: Counter[str] = Counter()
    both: Counter[tuple[str, str]] = Counter()
    source = drinks[-1][1] if drinks else ""
    for items, _ in drinks:
        count.update(items)
        both.update(combinations(sorted(items), 2))
    out = [
        edge(
            f"ingredient:{i}", coffee_node, "is served in", n / total, n, source,
            n / (n + HALF_DRINKS),
        )
        for i, n in sorted(count.items())
    ]  # fmt: skip
    for (a, b), n in sorted(both.items()):
        expected = count[a] * count[b] / total
        strength = math.log((n + PAIR_SHRINK) / (expected + PAIR_SHRINK))
        if strength > 0:
            belief = n / (n + HALF_DRINKS) * (1 - math.exp(-2 * strength))
            ends = f"ingredient:{a}", f"ingredient:{b}"
            out.append(edge(*ends, "is served beside", strength, n, source, belief))
    return out
