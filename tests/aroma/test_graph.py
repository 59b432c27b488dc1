from __future__ import annotations

import json
from pathlib import Path

import networkx as nx
import pytest

from pairing.aroma import coffee, description, graph
from pairing.errors import PairingError, UnknownNameError
from pairing.evidence.catalog import Catalog


@pytest.fixture(scope="module")
def ours(catalog: Catalog) -> graph.AromaGraph:
    return graph.build(catalog, coffee.base(catalog, description.describe(catalog, brew="filter")))


def test_three_layers(ours: graph.AromaGraph) -> None:
    made = ours.networkx()
    layers = nx.get_node_attributes(made, "layer")
    assert set(layers.values()) == {"ingredient", "compound", "group"}
    for a, b in made.edges:
        assert {layers[a], layers[b]} in ({"ingredient", "compound"}, {"compound", "group"})


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
