from __future__ import annotations

import csv
import json
import math
from pathlib import Path

import networkx as nx
import pytest

from pairing.aroma import coffee, description, graph
from pairing.errors import PairingError, RefusedNameError, UnknownNameError
from pairing.evidence.catalog import Catalog


@pytest.fixture(scope="module")
def ours(catalog: Catalog) -> graph.AromaGraph:
    return graph.build(catalog, coffee.base(catalog, description.describe(catalog, brew="filter")))


def test_the_graph_carries_aroma_cup_and_practice(ours: graph.AromaGraph) -> None:
    made = ours.networkx()
    layers = nx.get_node_attributes(made, "layer")
    joined = {
        "smells of": {"ingredient", "compound"},
        "belongs to": {"compound", "group"},
        "is a form of": {"ingredient"},
        "is served in": {"ingredient"},
        "is served beside": {"ingredient"},
    }
    for a, b, data in made.edges(data=True):
        assert {layers[a], layers[b]} == joined[data["kind"]]
        assert 0 < data["weight"] <= 1
        assert data["distance"] == pytest.approx(-math.log(data["weight"]), abs=1e-5)
    drinks = made["ingredient:green-cardamom"]["ingredient:coffee"]
    assert drinks["kind"] == "is served in"
    assert drinks["count"] > 30
    assert drinks["source"]
    assert made.nodes["group:citrus-terpenes"]["colour"].startswith("#")


@pytest.fixture(scope="module")
def gesha(catalog: Catalog) -> graph.AromaGraph:
    return graph.build(catalog, coffee.brewed(catalog, variety="gesha", brew="filter"))


@pytest.mark.parametrize(
    ("name", "node"),
    [("cardamom", "green-cardamom"), ("Pfeffer", "black-pepper"), ("cinnamon", "ceylon-cinnamon"),
     ("coffee", "coffee")],
)  # fmt: skip
def test_names_are_read_as_everywhere_else(ours: graph.AromaGraph, name: str, node: str) -> None:
    assert ours.ingredient_ids[ours.find(name)] == node


def test_a_poison_is_refused_in_the_graph_too(ours: graph.AromaGraph) -> None:
    with pytest.raises(RefusedNameError, match="STOP: kava"):
        ours.find("kava")
    with pytest.raises(UnknownNameError, match="unknown ingredient of this graph"):
        ours.find("nothing-of-the-kind")


def test_cup_notes_stand_between_a_coffee_and_ingredients(
    catalog: Catalog, gesha: graph.AromaGraph
) -> None:
    made = gesha.networkx()
    note = made["ingredient:coffee"]["note:bergamot"]
    assert (note["kind"], note["count"], note["source"]) == ("tastes of", 6, "cup-panel")
    assert made["note:bergamot"]["ingredient:bergamot"]["kind"] == "names"
    way = gesha.way("coffee", "bergamot", "cup")
    assert way is not None
    assert way.nodes == ("ingredient:coffee", "note:bergamot", "ingredient:bergamot")
    assert "tasters write bergamot of such coffees (6 cups)" in way.words
    lot = graph.build(catalog, coffee.brewed(catalog, notes="black currant, grapefruit"))
    said = lot.way("coffee", "grapefruit", "cup")
    assert said is not None
    assert said.words.startswith("the bag says grapefruit")


def test_ways_multiply_weights_and_never_lead_through_the_coffee(
    gesha: graph.AromaGraph,
) -> None:
    found = gesha.ways("sweet-orange", "ceylon-cinnamon")
    assert [w.weight for w in found] == sorted((w.weight for w in found), reverse=True)
    for way in found:
        assert "ingredient:coffee" not in way.nodes[1:-1]
        assert way.weight == pytest.approx(math.prod(e.weight for e in way.edges))
    best = gesha.way("sweet-orange", "ceylon-cinnamon")
    assert best is not None
    assert best.weight == pytest.approx(found[0].weight)
    made = gesha.networkx()
    made.remove_node("ingredient:coffee")
    far = nx.shortest_path_length(
        made, "ingredient:sweet-orange", "ingredient:ceylon-cinnamon", weight="distance"
    )
    assert far == pytest.approx(-math.log(best.weight), abs=1e-4)


def test_the_plain_coffee_is_in_every_graph(catalog: Catalog) -> None:
    assert "coffee" in graph.build(catalog).ingredient_ids


def test_projection_joins_ingredients(ours: graph.AromaGraph, tmp_path: Path) -> None:
    found = ours.projection(0.8)
    assert {"is alike", "is served beside", "is served in"} == {e.kind for e in found}
    pairs = {frozenset((e.one, e.other)) for e in found if e.kind == "is alike"}
    assert frozenset(("ingredient:aniseed", "ingredient:star-anise")) in pairs
    done = graph.export(ours, tmp_path / "p.graphml", projected=True)
    back = nx.read_graphml(tmp_path / "p.graphml")
    assert (back.number_of_nodes(), back.number_of_edges()) == (done["nodes"], done["edges"])
    assert set(nx.get_node_attributes(back, "layer").values()) == {"ingredient"}


def test_edge_list(ours: graph.AromaGraph, tmp_path: Path) -> None:
    done = graph.export(ours, tmp_path / "edges.csv")
    with (tmp_path / "edges.csv").open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    assert len(rows) == done["edges"]
    assert tuple(rows[0]) == graph.COLUMNS
    assert all(0 < float(r["weight"]) <= 1 for r in rows)


def test_control_characters_are_refused_so_that_every_export_reads_back(tmp_path: Path) -> None:
    bad = {**GOOD, "ingredients": "1\tap\x01ple\tfruit\n2\tpear\tfruit\n3\tleek\tv\n"}
    with pytest.raises(PairingError, match=r"line 1: holds a control character"):
        graph.read_bipartite(**write(tmp_path, **bad))


def test_path_is_symmetric_and_ordered(ours: graph.AromaGraph) -> None:
    there, back = ours.path("coffee", "mandarin"), ours.path("mandarin", "coffee")
    assert [k.node_id for k in there] == [k.node_id for k in back]
    assert [k.strength for k in there] == sorted((k.strength for k in there), reverse=True)
    assert any(k.node_id == "linalool" for k in there)


def test_families_put_like_with_like(catalog: Catalog) -> None:
    made = graph.build(catalog, every_form=False)
    family = {i: n for n, f in enumerate(made.families()) for i in f}
    assert family["aniseed"] == family["star-anise"] == family["fennel-seed"]
    assert family["cassia"] == family["ceylon-cinnamon"]
    assert family["thyme"] == family["oregano"]
    assert family["aniseed"] != family["thyme"] != family["cassia"]  # sweet spices may be one
    assert made.families(seed=3) == made.families(seed=3)


@pytest.mark.parametrize("ending", ["graphml", "gexf", "json"])
def test_export_reads_back(ours: graph.AromaGraph, tmp_path: Path, ending: str) -> None:
    to = tmp_path / f"aroma.{ending}"
    done = graph.export(ours, to)
    if ending == "graphml":
        back = nx.read_graphml(to)
    elif ending == "gexf":
        back = nx.read_gexf(to)
    else:
        back = nx.node_link_graph(json.loads(to.read_text("utf-8")), edges="links")
    assert back.number_of_nodes() == done["nodes"] == ours.networkx().number_of_nodes()
    assert back.number_of_edges() == done["edges"]
    assert [p.name for p in tmp_path.iterdir()] == [to.name]  # no temporary file left


def test_export_keeps_the_old_file_when_it_cannot_write(
    ours: graph.AromaGraph, tmp_path: Path
) -> None:
    with pytest.raises(PairingError, match="graphml"):
        graph.export(ours, tmp_path / "aroma.xyz")
    with pytest.raises(PairingError, match="no folder"):
        graph.export(ours, tmp_path / "nowhere" / "aroma.json")


def write(folder: Path, **texts: str) -> dict[str, Path]:
    out = {}
    for name, text in texts.items():
        out[name] = folder / f"{name}.tsv"
        out[name].write_text(text, encoding="utf-8")
    return out


GOOD = {
    "ingredients": "# id\tname\n1\tapple\tfruit\n2\tpear\tfruit\n3\tleek\tvegetable\n",
    "compounds": "a\thexanal\nb\thexyl acetate\nc\tdipropyl disulfide\n",
    "links": "1\ta\n1\tb\n2\ta\n2\tb\n3\tc\n",
}


def test_open_tables(tmp_path: Path) -> None:
    made = graph.read_bipartite(**write(tmp_path, **GOOD))
    assert made.links == 5
    assert made.similar("apple")[0][1] == "pear"
    assert {k.name for k in made.path("apple", "Pears")} == {"hexanal", "hexyl acetate"}
    assert made.path("apple", "leek") == []


@pytest.mark.parametrize(
    ("table", "text", "says"),
    [
        ("links", "1\ta\n9\tb\n", "line 2: unknown ingredient id '9'"),
        ("links", "1\ta\n1\tz\n", "line 2: unknown compound id 'z'"),
        ("links", "1\ta\tmuch\n", "line 1: the weight"),
        ("links", "1\ta\t-1\n", "line 1: the weight"),
        ("links", "1\ta\tnan\n", "line 1: the weight"),
        ("links", "", "no rows"),
        ("ingredients", "1\tapple\n1\tpear\n", "stands there twice"),
        ("compounds", "justonecolumn\n", "line 1"),
    ],
)
def test_bad_open_tables(tmp_path: Path, table: str, text: str, says: str) -> None:
    with pytest.raises(PairingError, match=says):
        graph.read_bipartite(**write(tmp_path, **{**GOOD, table: text}))


def test_a_published_network(outside: Path) -> None:
    # Ahn, Ahnert, Bagrow and Barabasi, Sci. Rep. 1:196 (2011): 1,530 x 1,107, 36,781 links
    folder = outside / "open-data" / "flavour-network-2011"
    made = graph.read_bipartite(
        folder / "ingr_info.tsv", folder / "comp_info.tsv", folder / "ingr_comp.tsv"
    )
    assert (len(made.ingredient_ids), len(made.compound_ids)) == (1530, 1107)
    assert made.links == 36781
    assert made.path("coffee", "cocoa")
    assert len(made.families()) > 3
    with pytest.raises(UnknownNameError):
        made.find("no such thing")


def test_no_regulated_plant_stands_in(catalog: Catalog) -> None:
    made = graph.build(catalog, every_form=False)
    assert {"tonka-bean", "sassafras"} <= set(made.regulated)
    for name in ("mahleb", "cassia", "nutmeg"):
        assert not {i for i, *_ in made.similar(name, 50)} & set(made.regulated)
