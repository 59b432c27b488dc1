"""The graph: ingredient - compound - aroma group, with what tasters write and what people serve.

Any open two-column table of ingredients and compounds can be read into the same shape, so
that paths, likeness and families work on it as well.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from heapq import heappop, heappush
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from pairing.aroma.coffee import CoffeeBase, plain_coffee
from pairing.aroma.edges import TRUST, Edge, cup_edges, edge, practice_edges
from pairing.aroma.odour import Array, loudness, profiles
from pairing.aroma.served import glass_oav
from pairing.errors import CONTROL, PairingError, RefusedError, UnknownNameError
from pairing.evidence.catalog import Catalog
from pairing.evidence.names import NameIndex
from pairing.evidence.words import OTHER_USES
from pairing.files import read_text, write_atomically
from pairing.safety.plants import is_refused, refusal

if TYPE_CHECKING:
    import networkx as nx

__all__ = ["COFFEE", "AromaGraph", "Link", "Way", "build", "export", "read_bipartite"]

COFFEE = "coffee"
MAX_LINKS = 5_000_000
MAX_BYTES = 200_000_000
MAX_CELLS = 60_000_000


@dataclass(frozen=True, slots=True)
class Link:
    """One compound (or group) that two ingredients share.

    Attributes
    ----------
    node_id, name, layer : str
        Layer is ``compound`` or ``group``.
    group_id : str
        Group of the compound; empty in a table without groups.
    loudness_a, loudness_b : float
        Edge weights to the two ingredients (1 in a table without amounts).
    strength : float
        The smaller of the two: what both really have.
    """

    node_id: str
    name: str
    layer: str
    group_id: str
    loudness_a: float
    loudness_b: float
    strength: float


@dataclass(frozen=True)
class Way:
    """A way through the graph.

    Attributes
    ----------
    nodes : tuple of str
        From one end to the other.
    edges : tuple of Edge
        One less.
    labels : dict
        Names of nodes.
    """

    nodes: tuple[str, ...]
    edges: tuple[Edge, ...]
    labels: dict[str, str]

    @property
    def weight(self) -> float:
        """Product of the weights of its edges."""
        return math.prod(e.weight for e in self.edges)

    @property
    def part(self) -> str:
        """``practice``, ``cup`` or ``aroma``: that of its edges, the first where they differ."""
        return next((e.part for e in self.edges if e.kind != "is a form of"), "aroma")

    @property
    def words(self) -> str:
        """The way in a sentence."""
        said, k = [], 0
        names = [self._name(n) for n in self.nodes]
        while k < len(self.edges):
            e = self.edges[k]
            both = k + 1 < len(self.edges) and self.edges[k + 1].kind == e.kind == "smells of"
            if both and self.nodes[k + 1].startswith("compound:"):
                said.append(f"{names[k]} and {names[k + 2]} both smell of {names[k + 1]}")
                k += 2
                continue
            said.append(self._step(e))
            k += 1
        return "; ".join(said)

    def _name(self, node: str) -> str:
        if node == f"ingredient:{COFFEE}":
            return "the coffee"
        name = self.labels[node].partition(",")[0]
        return name if node.startswith("note:") else name[:1].lower() + name[1:]

    def _step(self, e: Edge) -> str:
        one, other = self._name(e.one), self._name(e.other)
        if e.kind == "tastes of":
            if not e.source_id:
                return f"the bag says {other}"
            return f"tasters write {other} of such coffees ({e.count} cups)"
        if e.kind == "is written beside":
            return f"beside {one} they write {other} ({e.count} cups)"
        if e.kind == "is served in":
            return f"{one}: in {e.count} published coffee drinks"
        if e.kind == "is served beside":
            return f"{one} and {other}: together in {e.count} published coffee drinks"
        return f"{one} {e.kind} {other}"


@dataclass(frozen=True)
class AromaGraph:
    """Ingredients and compounds with weighted links, and groups where they are known.

    Attributes
    ----------
    ingredient_ids, ingredient_names, ingredient_kinds : tuples of str, n_ingredients
    compound_ids, compound_names, compound_groups : tuples of str, n_compounds
        A group is empty where none is known.
    group_names : dict
        Group id -> name.
    weight : (n_ingredients, n_compounds) float array
        Loudness of the compound in the ingredient; 1 for every link of a table without amounts.
    regulated : dict
        Ids that law or poison keeps out of every drink, and why: never a stand-in.
    further : tuple of Edge
        What tasters write and what people serve; empty in an open table.
    colours : dict
        Group id -> colour.
    known_as : callable, optional
        Name in any language -> ids it may have here, best first; without it ids and names alone.
    """

    ingredient_ids: tuple[str, ...]
    ingredient_names: tuple[str, ...]
    ingredient_kinds: tuple[str, ...]
    compound_ids: tuple[str, ...]
    compound_names: tuple[str, ...]
    compound_groups: tuple[str, ...]
    group_names: dict[str, str]
    weight: Array
    regulated: Mapping[str, str] = field(default_factory=dict)
    further: tuple[Edge, ...] = ()
    colours: dict[str, str] = field(default_factory=dict)
    known_as: Callable[[str], Sequence[str]] | None = field(default=None, compare=False, repr=False)

    @cached_property
    def _names(self) -> NameIndex[int]:
        index: NameIndex[int] = NameIndex("ingredient of this graph")
        for i, (ident, name) in enumerate(
            zip(self.ingredient_ids, self.ingredient_names, strict=True)
        ):
            index.add(name if self.anonymous else ident, (ident, name), i)
        return index

    @cached_property
    def anonymous(self) -> bool:
        """True where ids are bare numbers, so that people use the names."""
        return all(i.isdigit() for i in self.ingredient_ids)

    def find(self, name: str) -> int:
        """Row of an ingredient by id or name.

        Parameters
        ----------
        name : str
            In our own graph any name that the catalogue knows.

        Returns
        -------
        int

        Raises
        ------
        UnknownNameError
            With the nearest.
        RefusedNameError
            For a thing that must not be served and is no ingredient.
        """
        found = self._names.get(name)
        if found is None and self.known_as is not None:
            here = [i for i in self.known_as(name) if i in self.ingredient_ids]
            found = self.ingredient_ids.index(here[0]) if here else None
        return self._names.find(name) if found is None else found

    @property
    def links(self) -> int:
        """Number of ingredient-compound links."""
        return int(np.count_nonzero(self.weight))

    def edges(self) -> Iterator[Edge]:
        """Every edge: what smells of what, then what tasters write and what people serve.

        Yields
        ------
        Edge
            ``weight`` is a likeness of 0 to 1 and ``distance`` its counterpart for paths; in a
            table without amounts every link is alike.
        """
        ingredients = [f"ingredient:{i}" for i in self.ingredient_ids]
        compounds = [f"compound:{c}" for c in self.compound_ids]
        rows, columns = np.nonzero(self.weight)
        values = self.weight[rows, columns]
        for i, j, loud in zip(rows.tolist(), columns.tolist(), values.tolist(), strict=True):
            yield edge(ingredients[i], compounds[j], "smells of", loud, 0, "", loud / (1 + loud))
        total = self.weight.sum(axis=0).tolist()
        for j, group in enumerate(self.compound_groups):
            if group:
                yield edge(compounds[j], f"group:{group}", "belongs to", total[j], 0, "", 0.5)
        yield from self.further

    @cached_property
    def labels(self) -> dict[str, str]:
        """Node id -> name, ingredients first."""
        out = {
            f"ingredient:{i}": name
            for i, name in zip(self.ingredient_ids, self.ingredient_names, strict=True)
        }
        out |= {f"group:{g}": self.group_names[g] for g in self.group_names if g in self._used}
        out |= {
            f"compound:{c}": name
            for c, name in zip(self.compound_ids, self.compound_names, strict=True)
        }
        notes = (n for e in self.further for n in (e.one, e.other) if n.startswith("note:"))
        return out | {n: n.removeprefix("note:") for n in notes}

    @cached_property
    def _used(self) -> frozenset[str]:
        return frozenset(g for g in self.compound_groups if g)

    def networkx(self) -> nx.Graph:
        """The graph for networkx.

        Returns
        -------
        networkx.Graph
            Nodes ``ingredient:ID``, ``compound:ID``, ``group:ID`` and ``note:WORD`` with
            ``layer``, ``label``, ``kind``, ``colour`` (of the aroma group) and ``stop`` (why law
            or poison keeps an ingredient out); "" where there is none. Edges with ``kind``,
            ``strength``, ``count``, ``source``, ``weight`` (a likeness: for communities and
            centrality) and ``distance`` (for shortest paths).
        """
        import networkx as nx

        graph = nx.Graph(name="aroma graph")
        kinds = dict(zip(self.ingredient_ids, self.ingredient_kinds, strict=True))
        groups = dict(zip(self.compound_ids, self.compound_groups, strict=True))
        for node, label in self.labels.items():
            layer, _, ident = node.partition(":")
            kind = {"ingredient": kinds, "compound": groups}.get(layer, {}).get(ident, "")
            group = ident if layer == "group" else groups.get(ident, "")
            graph.add_node(
                node,
                layer=layer,
                label=label,
                kind=kind,
                colour=self.colours.get(group, ""),
                stop=self.regulated.get(ident, "") if layer == "ingredient" else "",
            )
        for e in self.edges():
            old = graph.get_edge_data(e.one, e.other)
            if old is None or old["weight"] < e.weight:
                graph.add_edge(
                    e.one, e.other, kind=e.kind, strength=e.strength, count=e.count,
                    source=e.source_id, weight=e.weight, distance=round(e.distance, 6),
                )  # fmt: skip
        return graph

    def projection(self, least: float = 0.5) -> list[Edge]:
        """Ingredient to ingredient: alike in aroma, or served together.

        Parameters
        ----------
        least : float
            Likeness of two aromas (cosine) from which they are joined.

        Returns
        -------
        list of Edge
            ``is alike`` has the cosine as its strength and weight; ``is served beside`` as in the
            whole graph.
        """
        likeness = np.triu(self.unit @ self.unit.T, 1)
        out = [
            Edge(
                f"ingredient:{self.ingredient_ids[i]}", f"ingredient:{self.ingredient_ids[j]}",
                "is alike", round(float(likeness[i, j]), 4), 0, "",
                round(min(float(likeness[i, j]), 1.0), 6),
            )
            for i, j in np.argwhere(likeness >= least).tolist()
        ]  # fmt: skip
        return out + [e for e in self.further if e.kind in ("is served beside", "is served in")]

    @cached_property
    def _neighbours(self) -> dict[str, list[tuple[str, Edge]]]:
        out: dict[str, list[tuple[str, Edge]]] = {}
        for e in self.edges():
            out.setdefault(e.one, []).append((e.other, e))
            out.setdefault(e.other, []).append((e.one, e))
        return out

    def way(self, a: str, b: str, part: str = "") -> Way | None:
        """The strongest way between two ingredients: the one of the largest product of weights.

        Parameters
        ----------
        a, b : str
            Ids or names; ``coffee``.
        part : str
            Keep to ``aroma``, ``cup`` or ``practice``; all when empty.

        Returns
        -------
        Way or None
            None where nothing leads from one to the other. A way never leads through the coffee:
            that two things are both served in it says nothing of the two.
        """
        start, goal = (f"ingredient:{self.ingredient_ids[self.find(n)]}" for n in (a, b))
        queue: list[tuple[float, int, str]] = [(0.0, 0, start)]
        best, came = {start: 0.0}, dict[str, tuple[str, Edge]]()
        while queue:
            far, steps, node = heappop(queue)
            if node == goal:
                break
            if far > best[node] or (node == f"ingredient:{COFFEE}" and node != start):
                continue
            for other, e in self._neighbours.get(node, ()):
                if part and e.part != part and e.kind != "is a form of":
                    continue
                new = far + e.distance
                if new < best.get(other, math.inf) - 1e-12:
                    best[other], came[other] = new, (node, e)
                    heappush(queue, (new, steps + 1, other))
        if goal not in came:
            return None
        nodes, edges = [goal], list[Edge]()
        while nodes[-1] != start:
            node, e = came[nodes[-1]]
            nodes.append(node)
            edges.append(e)
        return Way(tuple(nodes[::-1]), tuple(edges[::-1]), self.labels)

    def ways(self, a: str, b: str) -> list[Way]:
        """The strongest way by practice, by the cup and by aroma, strongest first.

        Parameters
        ----------
        a, b : str
            Ids or names.

        Returns
        -------
        list of Way
        """
        found = [w for part in TRUST if (w := self.way(a, b, part)) is not None]
        return sorted(found, key=lambda w: -w.weight)

    @cached_property
    def unit(self) -> Array:
        """Rows scaled to length 1, each compound weighed by how telling it is.

        A compound found in few ingredients says more than one found in nearly all
        (inverse document frequency, Sparck Jones, J. Documentation 28, 11-21, 1972; from memory).
        """
        present = np.count_nonzero(self.weight, axis=0)
        telling = np.log((1 + len(self.ingredient_ids)) / (1 + present))
        scaled = self.weight * telling
        norm = np.linalg.norm(scaled, axis=1, keepdims=True)
        return np.asarray(scaled / np.where(norm > 0, norm, 1.0))

    def similar(self, name: str, top: int = 10) -> list[tuple[str, str, float, int]]:
        """Ingredients whose aroma is most alike and that may stand in: no regulated plant.

        Parameters
        ----------
        name : str
            Id or name of an ingredient.
        top : int
            How many.

        Returns
        -------
        list of (id, name, likeness 0..1, number of shared compounds)
        """
        i = self.find(name)
        likeness = self.unit @ self.unit[i]
        shared = ((self.weight > 0) & (self.weight[i] > 0)).sum(axis=1)
        order = [int(j) for j in np.argsort(-likeness, kind="stable") if j != i]
        order = [j for j in order if self.ingredient_ids[j] not in self.regulated]
        return [
            (self.ingredient_ids[j], self.ingredient_names[j], float(likeness[j]), int(shared[j]))
            for j in order[:top]
            if likeness[j] > 0
        ]

    def path(self, a: str, b: str) -> list[Link]:
        """What links two ingredients: shared compounds and groups, strongest first.

        Parameters
        ----------
        a, b : str
            Ids or names.

        Returns
        -------
        list of Link
        """
        i, j = self.find(a), self.find(b)
        wa, wb = self.weight[i], self.weight[j]
        out = [
            Link(
                self.compound_ids[k],
                self.compound_names[k],
                "compound",
                self.compound_groups[k],
                float(wa[k]),
                float(wb[k]),
                float(min(wa[k], wb[k])),
            )
            for k in np.flatnonzero((wa > 0) & (wb > 0))
        ]
        for group_id, name in self.group_names.items():
            member = np.array([g == group_id for g in self.compound_groups])
            # loudness adds as OAV: log10(1 + sum OAV)
            la, lb = (math.log10(1.0 + float((10.0 ** w[member] - 1.0).sum())) for w in (wa, wb))
            if la > 0 and lb > 0:
                out.append(Link(group_id, name, "group", group_id, la, lb, min(la, lb)))
        return sorted(out, key=lambda k: (-k.strength, k.node_id))

    def families(self, neighbours: int = 8, seed: int = 0) -> list[list[str]]:
        """Families of ingredients that smell alike, largest first.

        Louvain communities (networkx) of the graph that joins each ingredient to its most
        alike neighbours, weighted by likeness.

        Parameters
        ----------
        neighbours : int
            Neighbours joined to each ingredient.
        seed : int
            Same seed, same families.

        Returns
        -------
        list of lists of ingredient ids
        """
        import networkx as nx

        likeness = self.unit @ self.unit.T
        np.fill_diagonal(likeness, 0.0)
        graph = nx.Graph()
        graph.add_nodes_from(range(len(self.ingredient_ids)))
        nearest = np.argsort(-likeness, axis=1, kind="stable")[:, :neighbours]
        for i, row in enumerate(nearest.tolist()):
            for j in row:
                if likeness[i, j] > 0:
                    graph.add_edge(i, j, weight=float(likeness[i, j]))
        found = nx.community.louvain_communities(graph, weight="weight", seed=seed)
        families = [sorted(f, key=lambda i: -float(likeness[i, list(f)].sum())) for f in found]
        families.sort(key=lambda f: (-len(f), f[0]))
        return [[self.ingredient_ids[i] for i in f] for f in families]


# forms that smell as another form of the same ingredient does
SAME_AROMA = ("ground", "zest", *OTHER_USES)


def build(
    catalog: Catalog, base: CoffeeBase | None = None, *, every_form: bool = True
) -> AromaGraph:
    """The graph of a catalogue, each ingredient at its usual dose in the reference drink.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase, optional
        The coffee of the node ``coffee``; a plain filter coffee when not given.
    every_form : bool
        Also the ground and grated forms that smell as another form does.

    Returns
    -------
    AromaGraph
    """
    held = profiles(catalog)
    if not every_form:
        kept = [
            f
            for f in held.ids
            if catalog.forms[f].is_default or catalog.forms[f].form not in SAME_AROMA
        ]
        held = profiles(catalog, kept)
    weight = loudness(np.array([glass_oav(catalog, catalog.forms[f]) for f in held.ids]))
    ids, names, kinds = list(held.ids), [catalog.forms[f].label for f in held.ids], list(held.kinds)
    base = base or plain_coffee(catalog, "filter")
    weight = np.vstack([loudness(base.oav)[None, :], weight])
    ids = [COFFEE, *ids]
    names = [f"Coffee ({base.coffee.words})", *names]
    kinds = ["coffee", *kinds]
    ax = held.axis
    return AromaGraph(
        tuple(ids),
        tuple(names),
        tuple(kinds),
        ax.compounds,
        tuple(c.name for c in catalog.compounds.values()),
        tuple(ax.groups[g] for g in ax.group_of),
        {g.group_id: g.name for g in catalog.groups.values()},
        weight,
        {
            f: refusal(catalog, catalog.forms[f].ingredient_id)
            for f in ids
            if f != COFFEE and is_refused(catalog, catalog.forms[f].ingredient_id)
        },
        _further(catalog, base, set(ids)),
        {g.group_id: g.colour for g in catalog.groups.values()},
        partial(_ids_of, catalog),
    )


def _ids_of(catalog: Catalog, name: str) -> list[str]:
    """The form that a name means as everywhere else, then its ingredient's other forms."""
    try:
        form = catalog.form(name)
    except RefusedError:
        raise
    except UnknownNameError:
        return []
    forms = sorted(catalog.forms_of[form.ingredient_id], key=lambda f: not f.is_default)
    return [form.form_id, *(f.form_id for f in forms)]


def _further(catalog: Catalog, base: CoffeeBase, ids: set[str]) -> tuple[Edge, ...]:
    """What tasters and drinks say, between nodes that the graph has."""
    node = f"ingredient:{COFFEE}"
    found = [*cup_edges(catalog, base.coffee, node), *practice_edges(catalog, node)]
    for i in ids - {COFFEE}:
        owner = catalog.forms[i].ingredient_id
        if owner != i and owner in ids:
            found.append(
                edge(f"ingredient:{i}", f"ingredient:{owner}", "is a form of", 1, 0, "", 0.9)
            )
    held = {c.group_id for c in catalog.compounds.values()}

    def drawn(end: str) -> bool:
        layer, _, ident = end.partition(":")
        return layer == "note" or ident in (ids if layer == "ingredient" else held)

    return tuple(
        sorted(
            (e for e in found if drawn(e.one) and drawn(e.other)),
            key=lambda e: (e.kind, e.one, e.other),
        )
    )


# --- open bipartite tables ----------------------------------------------------------------


def _cells(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Line number and cells of each row of a TSV or CSV file, comment and blank lines apart."""
    place = 0

    def lines() -> Iterator[str]:
        nonlocal place
        for number, line in enumerate(io.StringIO(text), 1):
            place = number
            if line.strip() and line[0] != "#":
                yield line

    text = read_text(path, MAX_BYTES)
    first = next(lines(), None)
    if first is None:
        raise PairingError(f"{path.name} has no rows; give a TSV or CSV of ids and names")
    rows = (
        (line.rstrip("\n").split("\t") for line in lines())
        if "\t" in first
        else csv.reader(lines(), strict=True)
    )
    try:
        for count, row in enumerate(rows, 1):
            if count > MAX_LINKS:
                raise PairingError(f"{path.name} has more than {MAX_LINKS:,} rows, the most read")
            yield place, row
    except csv.Error as err:
        raise PairingError(f"{path.name} line {place}: not TSV or CSV ({err})") from None


def _nodes(path: Path) -> tuple[dict[str, int], list[str], list[str]]:
    """Ids -> position, names, third column (kind or CAS) of a node table."""
    position: dict[str, int] = {}
    names: list[str] = []
    extra: list[str] = []
    for number, row in _cells(path):
        if CONTROL.search("".join(row)):
            raise PairingError(f"{path.name} line {number}: holds a control character; remove it")
        if len(row) < 2 or not row[0].strip():
            raise PairingError(
                f"{path.name} line {number}: needs an id and a name, tab or comma between them"
            )
        ident = row[0].strip()
        if ident in position:
            raise PairingError(f"{path.name} line {number}: the id {ident!r} stands there twice")
        position[ident] = len(names)
        names.append(row[1].strip())
        extra.append(row[2].strip() if len(row) > 2 else "")
    return position, names, extra


def read_bipartite(ingredients: Path, compounds: Path, links: Path) -> AromaGraph:
    """Read an open ingredient-compound table.

    Parameters
    ----------
    ingredients, compounds : Path
        TSV or CSV: id, name, and a third column that is kept (kind, CAS); ``#`` starts a comment.
    links : Path
        TSV or CSV: ingredient id, compound id, and an optional weight (1 when absent).

    Returns
    -------
    AromaGraph

    Raises
    ------
    PairingError
        With file and line for an unknown id, a bad weight, or a table that is too large.
    """
    ingredient_at, ingredient_names, kinds = _nodes(ingredients)
    compound_at, compound_names, _ = _nodes(compounds)
    cells = len(ingredient_names) * len(compound_names)
    if cells > MAX_CELLS:
        raise PairingError(
            f"{len(ingredient_names):,} ingredients x {len(compound_names):,} compounds is more "
            f"than this reader takes ({MAX_CELLS:,} cells)"
        )
    weight = np.zeros((len(ingredient_names), len(compound_names)))
    first = 0
    for number, row in _cells(links):
        first = first or number
        if len(row) < 2:
            raise PairingError(f"{links.name} line {number}: needs two ids")
        i, j = ingredient_at.get(row[0].strip()), compound_at.get(row[1].strip())
        if i is None or j is None:
            if number == first:
                continue  # a header line
            which, ident = ("ingredient", row[0]) if i is None else ("compound", row[1])
            raise PairingError(f"{links.name} line {number}: unknown {which} id {ident.strip()!r}")
        value = 1.0
        if len(row) > 2 and row[2].strip():
            try:
                value = float(row[2])
            except ValueError:
                value = math.nan
            if not (math.isfinite(value) and value >= 0):
                raise PairingError(
                    f"{links.name} line {number}: the weight {row[2].strip()!r} should be a "
                    "number of 0 or more"
                )
        weight[i, j] = value
    if not weight.any():
        raise PairingError(f"{links.name} links nothing; its ids should be those of the two tables")
    return AromaGraph(
        tuple(ingredient_at),
        tuple(ingredient_names),
        tuple(kinds),
        tuple(compound_at),
        tuple(compound_names),
        ("",) * len(compound_names),
        {},
        weight,
    )


COLUMNS = ("one", "other", "kind", "strength", "count", "weight", "distance", "source")


def export(graph: AromaGraph, to: Path, *, projected: bool = False) -> dict[str, Any]:
    """Write the graph as GraphML, GEXF, node-link JSON or a CSV edge list, by the file's ending.

    Parameters
    ----------
    graph : AromaGraph
    to : Path
        ``*.graphml``, ``*.gexf``, ``*.json`` or ``*.csv``.
    projected : bool
        Only ingredients, joined where they are alike or served together.

    Returns
    -------
    dict
        ``nodes``, ``edges`` and ``file``.

    Raises
    ------
    PairingError
        For another ending or a place that cannot be written.
    """
    import networkx as nx

    made = _projected(graph) if projected else graph.networkx()
    ending = to.suffix.lower()
    buffer = io.BytesIO()
    if ending == ".graphml":
        nx.write_graphml(made, buffer, named_key_ids=True)
    elif ending == ".gexf":
        nx.write_gexf(made, buffer)
    elif ending == ".json":
        document = nx.node_link_data(made, edges="links")
        buffer.write(json.dumps(document, ensure_ascii=False, indent=1).encode())
    elif ending == ".csv":
        buffer.write(_edge_list(made).encode())
    else:
        raise PairingError(
            f"cannot tell a format from {to.name!r}; end it .graphml, .gexf, .json or .csv"
        )
    write_atomically(to, buffer.getvalue())
    return {
        "nodes": made.number_of_nodes(),
        "edges": made.number_of_edges(),
        "file": to.name,
    }


def _projected(graph: AromaGraph) -> nx.Graph:
    """Ingredients alone."""
    import networkx as nx

    whole = graph.networkx()
    made = nx.Graph(name="ingredients")
    made.add_nodes_from((n, d) for n, d in whole.nodes(data=True) if d["layer"] == "ingredient")
    for e in graph.projection():
        old = made.get_edge_data(e.one, e.other)
        if old is None or old["weight"] < e.weight:
            made.add_edge(
                e.one, e.other, kind=e.kind, strength=e.strength, count=e.count,
                source=e.source_id, weight=e.weight, distance=round(e.distance, 6),
            )  # fmt: skip
    return made


def _edge_list(made: nx.Graph) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for one, other, d in made.edges(data=True):
        writer.writerow([one, other, *(d[c] for c in COLUMNS[2:])])
    return out.getvalue()


def histogram(graph: AromaGraph) -> Sequence[tuple[str, int]]:
    """Number of ingredients by kind, most first."""
    counts: dict[str, int] = {}
    for kind in graph.ingredient_kinds:
        counts[kind or "(none)"] = counts.get(kind or "(none)", 0) + 1
    return sorted(counts.items(), key=lambda kv: (-kv[1], kv[0]))
