"""The aroma graph: ingredient - compound - aroma group, weighted by loudness.

Any open two-column table of ingredients and compounds can be read into the same shape, so
that paths, likeness and families work on it as well.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.odour import Array, loudness, profiles
from pairing.aroma.served import glass_oav
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.names import NameIndex
from pairing.evidence.words import OTHER_USES
from pairing.files import read_text, write_atomically
from pairing.safety.plants import is_refused, refusal

if TYPE_CHECKING:
    import networkx as nx

__all__ = ["COFFEE", "AromaGraph", "Link", "build", "export", "read_bipartite"]

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

        Raises
        ------
        UnknownNameError
        """
        return self._names.find(name)

    @property
    def links(self) -> int:
        """Number of ingredient-compound links."""
        return int(np.count_nonzero(self.weight))

    def networkx(self) -> nx.Graph:
        """The graph for networkx, with ``layer``, ``label``, ``kind`` and ``weight``.

        Returns
        -------
        networkx.Graph
            Node ids are ``ingredient:ID``, ``compound:ID``, ``group:ID``.
        """
        import networkx as nx

        graph = nx.Graph(name="aroma graph")
        for ident, name, kind in zip(
            self.ingredient_ids, self.ingredient_names, self.ingredient_kinds, strict=True
        ):
            graph.add_node(
                f"ingredient:{ident}",
                layer="ingredient",
                label=name,
                kind=kind,
                stop=self.regulated.get(ident, ""),
            )
        used = {g for g in self.compound_groups if g}
        for group_id in self.group_names:
            if group_id in used:
                label = self.group_names[group_id]
                graph.add_node(f"group:{group_id}", layer="group", label=label, kind="")
        total = self.weight.sum(axis=0)
        for j, (ident, name, group_id) in enumerate(
            zip(self.compound_ids, self.compound_names, self.compound_groups, strict=True)
        ):
            graph.add_node(f"compound:{ident}", layer="compound", label=name, kind=group_id)
            if group_id:
                graph.add_edge(
                    f"compound:{ident}", f"group:{group_id}", weight=round(float(total[j]), 4)
                )
        rows, columns = np.nonzero(self.weight)
        values = self.weight[rows, columns].round(4).tolist()
        ingredients = [f"ingredient:{i}" for i in self.ingredient_ids]
        compounds = [f"compound:{c}" for c in self.compound_ids]
        graph.add_weighted_edges_from(
            (ingredients[i], compounds[j], w)
            for i, j, w in zip(rows.tolist(), columns.tolist(), values, strict=True)
        )
        return graph

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
        """What links two ingredients: shared compounds and groups, strongest first."""
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
        Adds the node ``coffee``.
    every_form : bool
        Also the ground and grated forms that smell as another form does.
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
    if base is not None:
        weight = np.vstack([loudness(base.oav)[None, :], weight])
        ids, names, kinds = (
            [COFFEE, *ids],
            [f"Coffee ({base.coffee.words})", *names],
            [
                "coffee",
                *kinds,
            ],
        )
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


def export(graph: AromaGraph, to: Path) -> dict[str, Any]:
    """Write the graph as GraphML, GEXF or node-link JSON, by the file's ending.

    Parameters
    ----------
    graph : AromaGraph
    to : Path
        ``*.graphml``, ``*.gexf`` or ``*.json``.

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

    made = graph.networkx()
    ending = to.suffix.lower()
    buffer = io.BytesIO()
    if ending == ".graphml":
        nx.write_graphml(made, buffer, named_key_ids=True)
    elif ending == ".gexf":
        nx.write_gexf(made, buffer)
    elif ending == ".json":
        document = nx.node_link_data(made, edges="links")
        buffer.write(json.dumps(document, ensure_ascii=False, indent=1).encode())
    else:
        raise PairingError(
            f"cannot tell a format from {to.name!r}; end it .graphml, .gexf or .json"
        )
    write_atomically(to, buffer.getvalue())
    return {
        "nodes": made.number_of_nodes(),
        "edges": made.number_of_edges(),
        "file": to.name,
    }


def histogram(graph: AromaGraph) -> Sequence[tuple[str, int]]:
    """Number of ingredients by kind, most first."""
    counts: dict[str, int] = {}
    for kind in graph.ingredient_kinds:
        counts[kind or "(none)"] = counts.get(kind or "(none)", 0) + 1
    return sorted(counts.items(), key=lambda kv: (-kv[1], kv[0]))
