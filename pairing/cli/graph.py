"""``pairing graph``: the aroma graph to export, walk, compare and cut into families."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from pairing.affinity.reasons import allergen_words
from pairing.aroma import graph as graphs
from pairing.aroma.coffee import CoffeeBase, brewed
from pairing.cards.report import Bullets, Report, Table, Text, show
from pairing.cards.vocabulary import not_assessed
from pairing.cli.options import (
    coffee_from_words,
    format_option,
    open_catalog,
    pantry_option,
    picture_option,
)
from pairing.cli.shell import INGREDIENTS
from pairing.errors import NothingFoundError, PairingError
from pairing.evidence.catalog import Catalog

__all__ = ["graph"]


@click.group()
def graph() -> None:
    """What smells of what, what tasters write, what people serve: one graph.

    Coffee - cup note - ingredient; ingredient - compound - aroma group; ingredient - ingredient and
    ingredient - coffee by published drinks. Every command also works on an open table of your own:
    give --ingredients, --compounds and --links.

    \b
    Examples:
      pairing graph path coffee mandarin --coffee "washed kenya light filter"
      pairing graph similar green-cardamom
      pairing graph communities
      pairing graph export --to aroma.graphml
      pairing graph load --ingredients a.tsv --compounds b.tsv --links c.tsv
    """


def table_options(function: Any) -> Any:
    """``--ingredients --compounds --links`` and the pantry."""
    for name, text in (
        ("--links", "TSV or CSV: ingredient id, compound id, weight if there is one."),
        ("--compounds", "TSV or CSV: id, name, CAS if there is one."),
        ("--ingredients", "TSV or CSV: id, name, kind if there is one."),
    ):
        function = click.option(name, type=click.Path(path_type=Path), help=text)(function)
    return pantry_option(function)


def coffee_words(function: Any) -> Any:
    """``--coffee`` and ``--notes`` for the node ``coffee``."""
    for name, key, text in (
        ("--notes", "notes", 'What the bag says it tastes of: "black currant, grapefruit".'),
        ("--coffee", "coffee", "The coffee of the graph; a plain filter coffee when not given."),
    ):
        function = click.option(name, key, metavar="WORDS", help=text)(function)
    return function


def _open(
    ingredients: Path | None,
    compounds: Path | None,
    links: Path | None,
    pantry: Path | None,
    data_folder: Path | None,
    every_form: bool = True,
    coffee: str | None = None,
    notes: str | None = None,
) -> graphs.AromaGraph:
    given = [p for p in (ingredients, compounds, links) if p is not None]
    if given and (ingredients is None or compounds is None or links is None):
        raise PairingError("an open table needs all of --ingredients, --compounds and --links")
    if ingredients and compounds and links:
        if coffee or notes:
            raise PairingError("--coffee and --notes are for our own graph, not for an open table")
        return graphs.read_bipartite(ingredients, compounds, links)
    catalog = open_catalog(pantry, data_folder).catalog
    click.get_current_context().meta[CATALOG] = catalog
    return graphs.build(catalog, _cup(catalog, coffee, notes), every_form=every_form)


def _cup(catalog: Catalog, said: str | None, notes: str | None) -> CoffeeBase | None:
    """The coffee that was said; without a brew, a filter coffee."""
    if said is None and notes is None:
        return None
    if said is None:
        return brewed(catalog, brew="filter", notes=notes)
    return coffee_from_words(catalog, said, notes)


CATALOG = "pairing.graph.catalog"  # what safety answers of: an open table has none


def _not_known(made: graphs.AromaGraph, *names: str) -> list[str]:
    """What nobody has assessed or stated of the named."""
    catalog = click.get_current_context().meta.get(CATALOG)
    if catalog is None:
        return []
    ids = dict.fromkeys(made.ingredient_ids[made.find(n)] for n in names)
    return not_assessed(catalog, [catalog.forms[i] for i in ids if i in catalog.forms])


def _allergens(form_id: str) -> list[str]:
    """Allergens of a form, and whether they are known."""
    catalog = click.get_current_context().meta.get(CATALOG)
    if catalog is None or form_id not in catalog.forms:
        return []
    return allergen_words(catalog, [form_id])


def _stops(made: graphs.AromaGraph, *names: str) -> list[str]:
    """Why each of the named that must not be served must not."""
    ids = [made.ingredient_ids[made.find(n)] for n in names]
    return [f"{i}: {made.regulated[i]}" for i in ids if i in made.regulated]


def _command(name: str) -> Callable[[Any], Any]:
    def decorate(function: Any) -> Any:
        return graph.command(name)(format_option()(table_options(function)))

    return decorate


@_command("load")
def load(how: str, **where: Any) -> None:
    """Read a table and say what is in it (without the three options: our own).

    \b
    Example:
      pairing graph load --ingredients a.tsv --compounds b.tsv --links c.tsv
    """
    made = _open(**where)
    kinds = graphs.histogram(made)
    table = Table("Ingredients by kind", ["kind", "ingredients"], kinds)
    head = (
        f"{len(made.ingredient_ids):,} ingredients, {len(made.compound_ids):,} compounds, "
        f"{made.links:,} links"
    )
    document = {
        "ingredients": len(made.ingredient_ids),
        "compounds": len(made.compound_ids),
        "links": made.links,
        "kinds": dict(kinds),
    }
    show(Report(document, [Text(head), table], table, "graph load"), how)


@_command("export")
@click.option(
    "--to",
    type=click.Path(path_type=Path),
    required=True,
    help="File to write: .graphml, .gexf, .json (node-link) or .csv (edge list).",
)
@click.option(
    "--ingredients-only",
    "projected",
    is_flag=True,
    help="Ingredient to ingredient: alike in aroma, or served together.",
)
@coffee_words
def export(to: Path, projected: bool, how: str, **where: Any) -> None:
    """Write the graph for a general graph viewer.

    An edge has a kind, a strength, the cups or drinks it rests on, its source, a weight (likeness)
    and a distance (for paths).

    \b
    Example:
      pairing graph export --to aroma.graphml
    """
    done = graphs.export(_open(**where), to, projected=projected)
    table = Table("", ["file", "nodes", "edges"], [[done["file"], done["nodes"], done["edges"]]])
    text = Text(f"wrote {done['file']}: {done['nodes']:,} nodes, {done['edges']:,} edges")
    show(Report(done, [text], table, "graph export"), how)


@_command("path")
@click.argument("one", shell_complete=INGREDIENTS)
@click.argument("other", shell_complete=INGREDIENTS)
@click.option(
    "--top",
    type=click.IntRange(1, 1000),
    default=12,
    show_default=True,
    help="How many links of each layer.",
)
@coffee_words
def path(one: str, other: str, top: int, how: str, **where: Any) -> None:
    """What links two ingredients, or a coffee and one: the strongest ways in words.

    By what people serve, by what tasters write, by shared aroma; then the shared groups and
    compounds.

    \b
    Examples:
      pairing graph path coffee mandarin
      pairing graph path coffee jasmine --coffee "gesha light filter"
      pairing graph path green-cardamom lemon-peel --top 5
    """
    made = _open(**where)
    links, ways = made.path(one, other), made.ways(one, other)
    if not links and not ways:
        raise NothingFoundError(f"nothing in the graph leads from {one} to {other}")
    columns = ["link", "group", "in the first", "in the second", "strength"]
    stops, open_ = _stops(made, one, other), _not_known(made, one, other)
    blocks: list[Text | Bullets | Table] = [Text(f"STOP: {text}") for text in stops]
    blocks += map(Text, open_)
    if ways:
        blocks.append(
            Bullets("Strongest ways, the best first", [f"{w.part}: {w.words}" for w in ways])
        )
    for layer in ("group", "compound"):
        rows = [
            [k.name, k.group_id, round(k.loudness_a, 2), round(k.loudness_b, 2),
             round(k.strength, 2)]
            for k in links
            if k.layer == layer
        ]  # fmt: skip
        title = f"Shared {layer}s: {len(rows)} (loudness = log10 of 1 + OAV)"
        if not made.group_names:
            title = f"Shared {layer}s: {len(rows)}"
        blocks.append(Table(title, columns, rows[:top]))
    data = Table(
        "",
        ["layer", "id", "name", "group", "loudness_a", "loudness_b", "strength"],
        [["stop", "", text, "", "", "", ""] for text in stops]
        + [["not known", "", text, "", "", "", ""] for text in open_]
        + [[k.layer, k.node_id, k.name, k.group_id, k.loudness_a, k.loudness_b, k.strength]
           for k in links],
    )  # fmt: skip
    document = {
        "stops": stops,
        "not_known": open_,
        "from": one,
        "to": other,
        "ways": [
            {"part": w.part, "weight": w.weight, "words": w.words, "nodes": list(w.nodes),
             "edges": [
                 {"kind": e.kind, "strength": e.strength, "count": e.count, "source": e.source_id,
                  "weight": e.weight, "distance": e.distance} for e in w.edges]}
            for w in ways
        ],
        "links": [
            {"layer": k.layer, "id": k.node_id, "name": k.name, "group": k.group_id,
             "loudness_from": k.loudness_a, "loudness_to": k.loudness_b, "strength": k.strength}
            for k in links
        ],
    }  # fmt: skip
    show(Report(document, blocks, data, "graph path"), how)


@_command("similar")
@click.argument("name", shell_complete=INGREDIENTS)
@click.option(
    "--top", type=click.IntRange(1, 1000), default=10, show_default=True, help="How many."
)
@picture_option
def similar(name: str, top: int, how: str, **where: Any) -> None:
    """Ingredients whose aroma is most alike (what could stand in for it).

    \b
    Example:
      pairing graph similar green-cardamom
    """
    made = _open(**where, every_form=False)
    found = made.similar(name, top)
    if not found:
        raise NothingFoundError(f"nothing shares a compound with {name}")
    columns = ["ingredient", "name", "likeness", "shared compounds", "allergens"]
    rows = [[i, n, round(v, 2), c, ", ".join(_allergens(i))] for i, n, v, c in found]
    table = Table("", columns, rows)
    stops, open_ = _stops(made, name), _not_known(made, name)
    first = [*(f"STOP: {text}" for text in stops), *open_]
    data = Table("", columns, [*([text, "", "", "", ""] for text in first), *rows])
    blocks: list[Text | Bullets | Table] = [*map(Text, first), table]
    document = {
        "stops": stops,
        "not_known": open_,
        "ingredient": name,
        "similar": [
            {"id": i, "name": n, "likeness": v, "shared_compounds": c, "allergens": _allergens(i)}
            for i, n, v, c in found
        ],
        **_map(made, name, [i for i, *_ in found[:ON_THE_MAP]]),
    }
    show(Report(document, blocks, data, "graph similar"), how)


ON_THE_MAP = 12  # more do not read


def _map(made: graphs.AromaGraph, name: str, ids: list[str]) -> dict[str, Any]:
    """Where they lie on a map, for the document."""
    from pairing.aroma.nearby import nearby

    drawn = nearby(made, name, ids)
    places = zip(drawn.ids, drawn.names, drawn.xy.tolist(), strict=True)
    return {
        "map": [{"id": i, "name": n, "x": x, "y": y} for i, n, (x, y) in places],
        "links": [{"a": drawn.ids[i], "b": drawn.ids[j], "likeness": v} for i, j, v in drawn.links],
        "map_stress": drawn.stress,
    }


@_command("communities")
@click.option(
    "--seed", type=click.IntRange(0), default=0, show_default=True, help="Same seed, same families."
)
def communities(seed: int, how: str, **where: Any) -> None:
    """Families of ingredients that smell alike.

    \b
    Example:
      pairing graph communities --format json
    """
    made = _open(**where, every_form=False)
    families = [
        kept
        for f in made.families(seed=seed)
        if (kept := [i for i in f if i not in made.regulated])
    ]
    label = dict(zip(made.ingredient_ids, made.ingredient_names, strict=True))

    def word(ident: str) -> str:
        return label[ident] if made.anonymous else ident

    rows = [
        [n, len(f), ", ".join(word(i) for i in f[:12]) + (" ..." if len(f) > 12 else "")]
        for n, f in enumerate(families, 1)
    ]
    table = Table("", ["family", "members", "most typical first"], rows)
    data = Table(
        "",
        ["family", "ingredient"],
        [[n, word(i)] for n, f in enumerate(families, 1) for i in f],
    )
    document = {"families": [[word(i) for i in f] for f in families]}
    show(Report(document, [table], data, "graph communities"), how)
