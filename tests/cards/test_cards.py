"""Cards, pictures and pages: complete, inert, readable; numbers those of the documents."""

from __future__ import annotations

import csv
import json
import math
import re
import shlex
import subprocess
import sys
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from pairing.cards import brainstorm, pictures
from pairing.cards.report import PLAIN_WORDS, degrade
from pairing.cards.svg import COLOURS, WIDTH, figure, short, width_of, wrap
from pairing.cli import cli

ROOT = Path(__file__).resolve().parents[2]
BLEND = "mandarin green-cardamom black-pepper --coffee 'washed burundi light espresso'"
HOSTILE = '"><script>alert(1)</script> [a](javascript:b) ![i](http://x.invalid/i) `c` =1+1'
OWN = f"""
[[ingredients]]
ingredient_id = "house-leaf"
name = {json.dumps(HOSTILE)}
kind = "herb"

[[forms]]
form_id = "house-leaf"
ingredient_id = "house-leaf"
form = "fresh"
label = {json.dumps(HOSTILE)}
dose_low_g_per_kg = 5
dose_high_g_per_kg = 20
method = "hot-steep"
"""


def run(words: str) -> Result:
    return CliRunner().invoke(cli, shlex.split(words))


def document(words: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(run(f"{words} --format json").stdout)
    return found


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


class Tags(HTMLParser):
    """Every element and attribute of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs


def seen(page: str) -> Tags:
    tags = Tags()
    tags.feed(page)
    return tags


# --- pictures -----------------------------------------------------------------------------

DRAWN = [
    ("suggest --coffee 'washed burundi light espresso'", {"shelves", "ties", "why"}),
    ("check green-cardamom --origin kenya", {"why"}),
    (f"formula {BLEND}", {"aroma", "doses", "limits", "plan", "strength"}),
    (f"drink {BLEND}", {"glass", "limits"}),
    ("ratio --strength 2:1 --yield-g 500", {"strength"}),
    ("graph similar green-cardamom", {"neighbours"}),
    ("sources --audit", {"evidence"}),
    ("report --coffee 'kenya light filter'", {"menu"}),
    ("trials read --protocol triangle --count 14/24", {"trial"}),
]


def test_results_give_their_pictures() -> None:
    import pairing

    lab = pairing.open()
    made = lab.formula(["mandarin", "clove"])
    assert set(made.pictures()) == {"aroma", "doses", "limits", "plan", "strength"}
    assert set(lab.drink(made, style="tonic").pictures()) == {"glass", "limits"}
    assert lab.coffee("washed burundi light espresso").pictures() == {}


def test_every_picture_is_written_by_a_command() -> None:
    drawn = {name for _, names in DRAWN for name in names}
    assert drawn == {draw.__name__ for every in pictures.OF.values() for draw in every}


@pytest.mark.parametrize(("words", "names"), DRAWN)
def test_every_picture_has_real_text_a_title_and_a_description(words: str, names: set[str]) -> None:
    drawn = pictures.pictures_of(document(f"{words} --picture all.svg"))
    assert set(drawn) == names
    whole = Path("all.svg").read_text("utf-8")
    assert whole.count("<title") == len(names)
    for svg in drawn.values():
        root = ET.fromstring(svg)
        space = "{http://www.w3.org/2000/svg}"
        title, desc = root.find(f"{space}title"), root.find(f"{space}desc")
        assert title is not None
        assert title.text
        assert desc is not None
        assert desc.text
        assert root.get("role") == "img"
        assert len(list(root.iter(f"{space}text"))) >= 4
        assert not list(root.iter(f"{space}image"))


def test_a_tasting_shows_its_range_and_what_was_needed() -> None:
    read = {"document": "trials-read", "discriminators": 0.4, "discriminators_interval": [0.1, 0.7],
            "interval_confidence": 0.95, "correct": 14, "tasters": 24, "correct_needed": 13,
            "protocol": "triangle", "sentence": "They are told apart."}  # fmt: skip
    drawn = pictures.pictures_of(read)["trial"]
    assert "14 of 24 right; 13 needed" in drawn
    assert "40 % of people may tell them apart (10 to 70 %, 95 % sure)" in drawn


GLASS = {"document": "drink", "glass_ml": 300.0, "headspace_ml": 75.0, "headspace_needed_ml": 30.0,
         "thrown_ice_g": 0.0, "ice_g": 0.0, "steam_g": 0.0, "foam_ml": 0.0, "syrup_ml": 25.0,
         "filler": "tonic water", "filler_ml": 150.0, "coffee_ml": 50.0, "findings": [],
         "coffee": {"brew": "double-espresso"}, "added": [],
         "layers": ["crema", "double espresso", "tonic water", "syrup"]}  # fmt: skip


def _heights(svg: str) -> list[tuple[str, float]]:
    """Colours and heights of the layers from the bottom."""
    held = re.findall(
        r'<rect x="30" y="([\d.]+)" width="140" height="([\d.]+)" class="f-(\w+)"', svg
    )
    return [(c, float(h)) for _, h, c in sorted(held, key=lambda x: -float(x[0]))]


def test_layers_lie_in_the_computed_order_and_to_scale() -> None:
    floats = _heights(pictures.glass(GLASS))
    assert [c for c, _ in floats] == ["fruit", "sky", "coffee"]
    for (_, height), ml in zip(floats, (25.0, 150.0, 50.0), strict=True):
        assert height / floats[0][1] == pytest.approx(ml / 25.0, rel=0.01)
    sinks = {**GLASS, "layers": ["tonic water", "double espresso", "syrup"]}
    assert [c for c, _ in _heights(pictures.glass(sinks))] == ["fruit", "coffee", "sky"]
    alike = {**GLASS, "layers": ["tonic water and double espresso", "syrup"]}
    assert len(_heights(pictures.glass(alike))) == 2
    topped = {**GLASS, "layers": ["cream", *GLASS["layers"][1:]],
              "added": [{"name": "cream", "ml": 20.0, "place": "top"}]}  # fmt: skip
    assert _heights(pictures.glass(topped))[-1] == ("rule", pytest.approx(20 / 300 * 220, rel=0.01))


def test_a_stirred_drink_is_one_body_as_high_as_what_is_in_it() -> None:
    made = document("drink --style iced --ice-g 0 --coffee 'washed burundi light espresso'")
    body = _heights(pictures.glass(made))
    assert len(body) == 1
    whole = made["syrup_ml"] + made["filler_ml"] + made["coffee_ml"]
    tall = 150.0 if made["glass_ml"] < 250 else 220.0
    assert body[0][1] == pytest.approx(tall * whole / made["glass_ml"], rel=0.02)


def test_the_law_stands_where_the_engine_stops() -> None:
    made = document("formula cassia nutmeg --coffee 'sumatra dark espresso' --style hot")
    cassia = made["ingredients"][0]["legal_dose"]
    above = run(f"formula cassia --style hot --dose cassia={cassia['g_per_kg'] * 1.01}g/kg")
    below = run(f"formula cassia --style hot --dose cassia={cassia['g_per_kg'] * 0.99}g/kg")
    assert (above.exit_code, below.exit_code) == (3, 0), cassia
    assert "coumarin" in cassia["words"].lower()
    drawn = pictures.pictures_of(made)["doses"]
    assert "law stops it" in drawn
    assert f"the law stops it at {figure(cassia['g_per_kg'])} ({cassia['words']})" in drawn


def test_the_map_keeps_distances_and_joins_the_most_alike() -> None:
    import numpy as np

    from pairing.aroma.nearby import placed

    # a 3-4-5 triangle lies in a plane, the corners of a tetrahedron do not
    away = np.array([[0.0, 3.0, 4.0], [3.0, 0.0, 5.0], [4.0, 5.0, 0.0]])
    xy, stress = placed(away)
    assert stress == pytest.approx(0.0, abs=1e-6)
    assert np.hypot(*(xy[1] - xy[2])) == pytest.approx(5.0, abs=1e-6)
    assert placed(np.ones((4, 4)) - np.eye(4))[1] > 0.1
    made = document("graph similar green-cardamom")
    assert made["map"][0]["id"].startswith("green-cardamom")
    assert {p["id"] for p in made["map"][1:]} == {o["id"] for o in made["similar"]}
    drawn = pictures.neighbours(made)
    for place in made["map"]:
        assert place["name"].split(",")[0] in drawn


def _panel(name: str, more: str = "") -> dict[str, Any]:
    """A real sheet, filled in and read."""
    asked = f"trials sheet p.json --protocol {name} {more} --tasters 6 --save {name}"
    assert run(asked).exit_code == 0
    key = {(c["taster"], c["code"]): c["trial"] for c in
           json.loads(Path(f"{name}.json").read_text("utf-8"))["key"]}  # fmt: skip
    with Path(f"{name}.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row["answer"] = str(" ABCD".index(key[row["taster"], row["code"]]) + 2)
        if name == "ranking":
            row["answer"] = str(int(row["answer"]) - 2)
        if "sweet" in row:
            row["sweet"] = "4"
    with Path(f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
    done = run(f"trials read {name}.json {name}.csv --picture {name}.svg --format json")
    assert done.exit_code == 0, done.output
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_real_tastings_are_drawn() -> None:
    assert run("trials plan mandarin clove --vary clove --steps 3 --save p.json").exit_code == 0
    liked = _panel("liking")
    drawn = Path("liking.svg").read_text("utf-8")
    for held in liked["trials"]:
        assert f"{held['trial']}  {held['mean']:.1f}" in drawn
    assert f">{liked['sentence']}".split(";")[0] in drawn.replace("&#x27;", "'")
    ranked = _panel("ranking")
    assert f"A  {ranked['trials'][0]['mean_place']:.1f}" in Path("ranking.svg").read_text("utf-8")
    assert _panel("just-right", "--quality sweet")["leans"][0]["too_much"] == 6
    drawn = Path("just-right.svg").read_text("utf-8")
    assert "A: sweet" in drawn
    assert "too much" in drawn


def test_the_menu_shows_the_scores_of_its_document() -> None:
    made = document("report --coffee 'washed burundi light espresso' --coffee 'kenya light filter'")
    drawn = pictures.menu(made)
    for row in made["rows"][:5]:
        for value in row["scores"]:
            assert f">{value:.1f}<" in drawn


def _luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(one: str, other: str) -> float:
    a, b = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (a + 0.05) / (b + 0.05)


@pytest.mark.parametrize("which", [0, 1], ids=["light", "dark"])
def test_contrast_of_the_palette(which: int) -> None:
    # WCAG 2.2: text 4.5 (1.4.3), what must be seen in a picture 3 against its ground (1.4.11)
    paper = COLOURS["paper"][which]
    for name in ("ink", "soft", "stop", "leaf"):
        assert _contrast(COLOURS[name][which], paper) >= 4.5, name
    for name in ("coffee", "fruit", "berry"):
        assert _contrast(COLOURS[name][which], paper) >= 3.0, name
    assert _contrast("#000000", "#ffffff") == pytest.approx(21.0)  # the standard's own example


def test_what_lies_side_by_side_parts_in_grey() -> None:
    for pair in (("coffee", "fruit"), ("coffee", "sky"), ("leaf", "sky"), ("sky", "berry"),
                 ("berry", "fruit")):  # fmt: skip
        for which in (0, 1):
            one, other = (COLOURS[n][which] for n in pair)
            assert _contrast(one, other) >= 1.35, pair


# Machado GM, Oliveira MM, Fernandes LAF. A physiologically-based model for simulation of color
# vision deficiency. IEEE Trans. Vis. Comput. Graph. 15, 1291 (2009), severity 1.0; from memory.
NO_RED = ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216),
          (-0.003882, -0.048116, 1.051998))  # fmt: skip
NO_GREEN = ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413),
            (-0.011820, 0.042940, 0.968881))  # fmt: skip
NO_BLUE = ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602),
           (0.004733, 0.691367, 0.303900))  # fmt: skip
# sRGB to XYZ under D65, IEC 61966-2-1
XYZ = ((0.4124564, 0.3575761, 0.1804375), (0.2126729, 0.7151522, 0.0721750),
       (0.0193339, 0.1191920, 0.9503041))  # fmt: skip


def _times(matrix: Any, values: Any) -> list[float]:
    return [sum(a * b for a, b in zip(row, values, strict=True)) for row in matrix]


def _seen_as(colour: str, eye: Any) -> tuple[float, float, float]:
    """CIELAB 1976 of a colour for an eye that lacks a cone."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    seen = [min(max(c, 0.0), 1.0) for c in _times(eye, linear)]
    xyz = [v / w for v, w in zip(_times(XYZ, seen), (0.95047, 1.0, 1.08883), strict=True)]
    f = [v ** (1 / 3) if v > 216 / 24389 else (24389 / 27 * v + 16) / 116 for v in xyz]
    return 116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])


@pytest.mark.parametrize("eye", [NO_RED, NO_GREEN, NO_BLUE], ids=["protan", "deutan", "tritan"])
def test_what_lies_side_by_side_parts_for_every_eye(eye: Any) -> None:
    assert all(sum(row) == pytest.approx(1.0, abs=1e-4) for row in eye)  # white stays white
    pairs = ("coffee fruit", "coffee sky", "leaf sky", "sky berry", "berry fruit", "stop sky",
             "stop leaf", "fruit leaf")  # fmt: skip
    for pair in map(str.split, pairs):
        for which in (0, 1):
            one, other = (_seen_as(COLOURS[n][which], eye) for n in pair)
            apart = sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5
            assert apart >= 12.0, (pair, which)  # 2.3 is just seen, 10 at a glance


def test_long_words_are_cut_to_their_room() -> None:
    assert all(width_of(row) <= 80 for row in wrap("Donaudampfschifffahrtsgesellschaft " * 3, 80))
    assert width_of(short("W" * 200, WIDTH - 20)) <= WIDTH - 20


# --- cards --------------------------------------------------------------------------------


def test_a_card_says_what_the_formula_says() -> None:
    made = document(f"formula {BLEND} --servings 48")
    done = run(f"card {BLEND} --servings 48 -o card.html")
    assert done.exit_code == 0, done.output
    page = Path("card.html").read_text("utf-8")
    for i in made["ingredients"]:
        assert i["name"] in page
    assert f"{made['sugar_g']:,.0f}" in page
    for line in made["watch"]:
        assert line.replace("'", "&#x27;") in page
    bare = run(f"card {BLEND} --servings 48 --format json").stdout
    assert [b["name"] for b in json.loads(bare)["batches"]] == ["this batch", "2 times", "4 times"]
    assert "://" not in re.sub(r'xmlns="[^"]*"', "", page)
    assert "@page{size:A5" in page
    assert seen(page).tags.count("h1") == 1


def test_columns_are_worked_out_not_multiplied() -> None:
    done = run("card mandarin --servings 24 --times 4 --site harbour=48 --format json")
    batches = json.loads(done.stdout)["batches"]
    assert [b["name"] for b in batches] == ["this batch", "4 times", "harbour"]
    once, four, harbour = (b["formula"] for b in batches)
    assert four["yield_g"] == pytest.approx(4 * once["yield_g"], rel=1e-3)
    assert four["evaporated_g"] < 4 * once["evaporated_g"]
    assert harbour["servings"] == 48


def test_a_stop_stands_first_and_last_and_sets_the_exit_code() -> None:
    done = run("card clove --dose clove=900g/kg -o stop.html")
    assert done.exit_code == 3
    body = Path("stop.html").read_text("utf-8").split("<body>")[1]
    assert body.index("STOP: do not serve") < body.index("<table")
    assert body.rindex("STOP: do not serve") > body.index("Sources:")
    assert run("card clove --dose clove=900g/kg").stdout.startswith("STOP")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_paper(paper: str) -> None:
    run(f"card mandarin --paper {paper} -o c.html")
    size = {"a4": "A4", "letter": "letter"}[paper]
    assert f"@page{{size:{size};" in Path("c.html").read_text("utf-8")


def test_a_persons_own_text_is_inert() -> None:
    Path("bar.toml").write_text(OWN, encoding="utf-8")
    plain = seen(_card("card mandarin"))
    own = seen(_card(f"card house-leaf --pantry bar.toml --name {shlex.quote(HOSTILE)}"))
    assert set(own.tags) <= set(plain.tags)
    assert own.tags.count("script") == plain.tags.count("script") == 0
    assert not [name for name, _ in own.attributes if name.startswith("on")]
    run("formula house-leaf --pantry bar.toml --picture f.svg")
    root = ET.parse("f.svg").getroot()
    assert not [e for e in root.iter() if e.tag.endswith("}script") or "onerror" in e.attrib]
    said = run("formula house-leaf --pantry bar.toml --format markdown").stdout
    assert "<script" not in said
    assert not re.search(r"(?<!\\)\[a(?<!\\)\]\(", said)
    assert not re.search(r"(?<!\\)`c", said)
    rows = run("formula house-leaf --pantry bar.toml --format csv").stdout
    assert not re.search(r"(?m)(^|,)=", rows)


def test_what_is_weighed_is_read_at_arms_length() -> None:
    # ISO 9241-303: characters of 20 to 22 minutes of arc are preferred (from memory); a capital is
    # about 0.65 of the letter size in the two faces; an arm's length is 600 mm
    css = _card("card mandarin").split("@media print{")[1]
    typst = (ROOT / "pairing/cards/card.typ").read_text("utf-8")
    sizes = re.findall(r"\.weigh td(?:\.n)?\{font-size:(\d+)pt\}", css)
    sizes += re.findall(r"card\.weigh\.map\(r => \(text\((\d+)pt, .*?text\((\d+)pt", typst)[0]
    assert len(sizes) == 5  # A5, and larger on A4 and Letter
    for points in map(float, sizes):
        capital_mm = 0.65 * points * 25.4 / 72
        assert math.degrees(capital_mm / 600) * 60 >= 19.5, points


SHEETS = ["card mandarin clove --format json", "papers batch mandarin clove --format json"]


def test_kitchen_papers_and_trials_have_one_batch_sheet() -> None:
    from pairing.cards import batch, schema

    on_card = json.loads(run(SHEETS[0]).stdout)["sheet"]
    alone = json.loads(run(SHEETS[1]).stdout)
    for key in ("stops", "allergens", "weighed", "checks", "days"):
        assert on_card[key] == alone[key], key
    assert set(on_card) == set(schema.schema("papers-batch")["required"]) - {
        "document", "schema_version", "command",
    }  # fmt: skip
    trial = run("papers batch mandarin clove --trial B --made-on 2026-11-24").stdout
    assert "trial B" in trial
    assert "Made 24 November 2026" in " ".join(trial.split())  # no month for a day anywhere
    page = _card("card mandarin clove")
    for check in alone["checks"]:
        assert check["step"] in page
        assert check["target"] in page
    assert {c["for"] for c in alone["checks"]} == {"kitchen", "safety", "trial"}
    made = document("formula mandarin clove")
    cold = {**made, "plan": [s for s in made["plan"] if s["what"] == "strain"]}
    told = [c["target"] for c in batch.batch_sheet(cold)["checks"] if c["step"] == "heat"]
    assert told == ["no step of this plan kills germs: 5 °C or colder from start to end"]


def test_the_bench_of_a_plan_has_a_sheet_for_each_pot() -> None:
    assert run("trials plan mandarin clove --vary clove --steps 3 --save p.json").exit_code == 0
    plan = json.loads(Path("p.json").read_text("utf-8"))
    pots = plan["pots"]["cook"] if plan["pots"] else plan["trials"]
    assert run("papers bench p.json -o bench.html").exit_code == 0
    page = Path("bench.html").read_text("utf-8")
    assert page.count('<article class="sheet">') == len(pots)
    for pot in pots:
        word = f"trial {pot['trial']}" if "trial" in pot else f"shared pot {pot['pot']}"
        assert word in page
        assert f"{pot['formula']['sugar_g']:,.0f} g" in page
    del pots[0]["formula"]["plan"]
    Path("p.json").write_text(json.dumps(plan), encoding="utf-8")
    assert "lacks 'plan'" in str(run("papers bench p.json").exception)


# --- PDF ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("paper", "mm"), [("a5", (148, 210)), ("a4", (210, 297)),
                                           ("letter", (215.9, 279.4))])  # fmt: skip
def test_a_pdf_opens_has_its_text_and_nothing_runs_over(
    paper: str, mm: tuple[float, float]
) -> None:
    pytest.importorskip("typst", reason="the extra pdf is not installed")
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
    asked = f"card {BLEND} --servings 48 --site harbour=48 --site station=24 --paper {paper}"
    done = run(f"{asked} -o card.pdf")
    assert done.exit_code == 0, done.output
    read = pypdf.PdfReader("card.pdf")
    assert 2 <= len(read.pages) <= 6
    made = json.loads(run(f"{asked} --format json").stdout)
    text = ""
    for page in read.pages:
        width, height = (float(v) for v in page.mediabox[2:])
        # ISO 216 and ANSI Y14.1, in points of 1/72 inch
        assert (width, height) == pytest.approx(tuple(v * 72 / 25.4 for v in mm), abs=1.0)
        places: list[tuple[float, float]] = []

        def seen(said: str, cm: Any, tm: Any, font: Any, size: Any) -> None:
            if said.strip():
                places.append((tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]))  # noqa: B023

        text += page.extract_text(visitor_text=seen)
        assert places
        assert all(0 <= x <= width - 20 and 0 <= y <= height for x, y in places)
    squeezed = re.sub(r"\s+|-\n", "", text)
    for i in made["batches"][0]["formula"]["ingredients"]:
        assert re.sub(r"\s", "", i["name"]) in squeezed
    for check in made["sheet"]["checks"]:
        assert re.sub(r"\s", "", check["target"]) in squeezed.replace("\xa0", "")
    assert b"/URI" not in Path("card.pdf").read_bytes()
    assert str(read.metadata.title).startswith("Mandarin slices")


def test_a_stop_stands_first_and_last_in_a_pdf() -> None:
    pytest.importorskip("typst", reason="the extra pdf is not installed")
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
    done = run("card clove --dose clove=900g/kg -o stop.pdf")
    assert done.exit_code == 3
    text = " ".join(p.extract_text() for p in pypdf.PdfReader("stop.pdf").pages)
    assert text.index("STOP: do not serve") < text.index("Allergens")
    assert text.rindex("STOP: do not serve") > text.index("Take care")
    assert text.count("STOP: do not serve") == 3  # the batch sheet may be torn off


def test_a_persons_own_text_is_inert_in_a_pdf() -> None:
    pytest.importorskip("typst", reason="the extra pdf is not installed")
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
    name = '#panic("x") *b* $1$ `c` <a> @d #link("http://x.invalid")[e] \\ // f /* g'
    done = run(f"card mandarin --kind recipe -o own.pdf --name {shlex.quote(name)}")
    assert done.exit_code == 0, done.output
    text = re.sub(r"\s", "", pypdf.PdfReader("own.pdf").pages[0].extract_text())
    assert re.sub(r"\s", "", name)[:40] in text
    assert b"/URI" not in Path("own.pdf").read_bytes()


def test_a_missing_extra_answers_with_its_install_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    done = run("card mandarin -o card.pdf")
    assert done.exit_code != 0
    assert 'pip install "coffee-syrup-pairing[pdf]"' in str(done.exception)
    assert not Path("card.pdf").exists()
    assert "name a file" in str(run("card mandarin --format pdf").exception)
    assert "end it .html, .pdf" in str(run("card mandarin -o card.docx").exception)
    assert not Path("card.docx").exists()
    assert run("card mandarin -o card.txt").exit_code == 0
    assert "Mandarin" in Path("card.txt").read_text("utf-8")


EVERY_SIGN = (
    "=1+1 <img src=x onerror=alert(1)> [a](javascript:b) ![i](http://x.invalid/i) `c` |d| *e* _f_ "
    "#panic() $g$ \u202egnp.exe \x1b[31mred\x07 </script><script>h() & \"'"
)


def test_hostile_names_are_inert_on_every_new_paper() -> None:
    Path("bar.toml").write_text(OWN, encoding="utf-8")
    plan = (
        "trials plan house-leaf mandarin --pantry bar.toml --vary mandarin --steps 2 --save p.json"
    )
    assert run(plan).exit_code == 0
    assert run("papers bench p.json -o bench.html").exit_code == 0
    for page in (_card("card mandarin --name " + shlex.quote(EVERY_SIGN)),
                 Path("bench.html").read_text("utf-8")):  # fmt: skip
        tags = seen(page)
        assert not {"script", "img", "iframe", "object"} & set(tags.tags)
        assert not [n for n, _ in tags.attributes if n.startswith("on")]
        assert not re.search("[\u202a-\u202e\x00-\x08\x0b-\x1f]", page)
    for how in ("table", "markdown", "json"):
        said = run(f"card mandarin --format {how} --name {shlex.quote(EVERY_SIGN)}").stdout
        assert not re.search("[\u202a-\u202e\x1b\x07]", said), how
    said = run(f"card mandarin --format markdown --name {shlex.quote(EVERY_SIGN)}").stdout
    assert "<img" not in said
    assert not re.search(r"(?<!\\)\]\(", said)
    sheet = run("papers batch house-leaf mandarin --pantry bar.toml --format csv").stdout
    assert not re.search(r"(?m)(^|,)\"?[=+@]", sheet)


def _card(words: str) -> str:
    done = run(f"{words} -o card.html")
    assert done.exit_code == 0, done.output
    return Path("card.html").read_text("utf-8")


def test_csv_guards_a_formula_behind_a_control_character() -> None:
    from pairing.cards.report import Report, Table, render

    sheet = Table("", ["a"], [["\u200e=1+1"], ["\x07@x"], ["plain"], [-1.5]])
    out = render(Report({}, [], sheet), "csv").splitlines()
    assert out == ["a", "'=1+1", "'@x", "plain", "-1.5"]


# --- the brainstorm page --------------------------------------------------------------------


def test_the_report_embeds_its_documents_once_and_reads_back() -> None:
    asked = "--coffee 'washed burundi light espresso' --coffee 'natural brazil dark espresso'"
    assert run(f"report {asked} -o menu.html --picture heat.svg").exit_code in (0, 3)
    assert "The menu against the shelf" in Path("heat.svg").read_text("utf-8")
    page = Path("menu.html").read_text("utf-8")
    assert len(page.encode()) < 1_000_000
    assert page.count('id="documents"') == 1
    assert brainstorm.documents_in(page) == document(f"report {asked}")
    tags = seen(page)
    assert "hidden" in [n for n, _ in tags.attributes]  # the tools show only with the script
    bare = re.sub(r"<script.*?</script>", "", page, flags=re.S)
    for row in document(f"report {asked}")["rows"]:
        assert row["name"].split(",")[0].replace("'", "&#x27;") in bare


# --- kept work --------------------------------------------------------------------------------


def test_kept_work_is_taken_up_changed_and_compared() -> None:
    first = run(f"formula {BLEND} --servings 48 --save autumn")
    assert Path("autumn.toml").read_text("utf-8").startswith("# kept by pairing formula")
    assert run("formula --from autumn.toml").stdout == first.stdout
    more = json.loads(run("formula --from autumn.toml --servings 96 --format json").stdout)
    assert more["servings"] == 96
    assert json.loads(run("drink --from autumn.toml --format json").stdout)["ingredients"]
    text = Path("autumn.toml").read_text("utf-8").replace('"black-pepper"', '"clove"')
    Path("winter.toml").write_text(text, encoding="utf-8")
    found = document("compare autumn winter")
    changed = {d["what"]: (d["unit"], d["one"], d["other"]) for d in found["differences"]}
    assert changed["Black pepper, cracked"][::2] == ("g/kg", None)
    assert changed["Clove, whole buds"][:2] == ("g/kg", None)
    assert "same syrup" in run("compare autumn autumn").stdout


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("servngs = 3", "did you mean servings"),
        ("servings = [[1]]", "should be a text, a number or a list"),
        ("servings = ", "not TOML"),
        ('coffee = "a\\u0007b"', "control character"),
        ("style = 'iced'", "names no ingredients"),
        ("", "is empty"),
    ],
)
def test_a_spoilt_kept_file_is_one_clear_line(text: str, says: str) -> None:
    Path("x.toml").write_text(text, encoding="utf-8")
    done = (
        run("compare x.toml x.toml")
        if text[:5] == "style"
        else run("formula mandarin --from x.toml")
    )
    assert done.exit_code != 0
    assert says in str(done.exception)


@pytest.mark.parametrize("name", ["../up", "a/b", "", ".hidden", "x\x07"])
def test_a_name_to_keep_is_plain(name: str) -> None:
    done = CliRunner().invoke(cli, ["formula", "mandarin", "--save", name])
    assert done.exit_code != 0
    assert not list(Path().glob("**/*.toml"))


# --- what a terminal can show ------------------------------------------------------------------


@pytest.mark.parametrize("encoding", ["cp1252", "cp437", "ascii"])
@pytest.mark.parametrize("how", ["json", "csv", "markdown"])
def test_machine_formats_are_utf_8_on_every_terminal(encoding: str, how: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "pairing", "ratio", "--strength", "2:1", "--yield-g", "500",
         "--format", how],
        capture_output=True,
        env={"PYTHONIOENCODING": encoding, "PYTHONPATH": str(ROOT), "PATH": "/usr/bin:/bin"},
        check=True,
    )  # fmt: skip
    assert "?" not in done.stdout.decode("utf-8")


@pytest.mark.parametrize("encoding", ["ascii", "cp437", "cp1252", "latin-1", "utf-8"])
def test_a_poor_terminal_gets_plain_words(encoding: str) -> None:
    said = f"66.7 °Bx at 20 °C, jalapeño {' '.join(PLAIN_WORDS)}"
    shown = degrade(said, encoding)
    shown.encode(encoding)
    assert "?" not in shown
    if encoding == "ascii":
        assert shown.startswith("66.7 Brix at 20 deg C, jalapeno")
    if encoding == "utf-8":
        assert shown == said


# --- what goes into the glass beside the syrup -------------------------------------------------

MORE = "card vanilla --style iced-milk --add cold-foam --add vodka=40ml --add 'bitters=2 dashes'"


def test_a_card_says_what_else_goes_into_the_glass_and_whom_it_hurts() -> None:
    made = json.loads(run(f"{MORE} --format json").stdout)
    drink = document(MORE.replace("card", "drink"))
    for key in ("steps", "added", "findings", "watch", "alcohol_percent"):
        assert made["drink"][key] == drink[key], key
    page = _card(MORE)
    assert "cold foam" in page
    assert "Allergens NOT KNOWN for aromatic bitters" in page
    assert f"Alcohol {drink['alcohol_percent']:.1f} % vol" in page
    assert "children, pregnancy, drivers" in page


def test_a_stop_of_the_glass_alone_stands_on_the_card_and_ends_it() -> None:
    words = "card cinnamon --add nutmeg=3g -o wall.html"
    done = run(words)
    drink = json.loads(run("drink cinnamon --add nutmeg=3g --format json").stdout)
    assert drink["stops"]
    assert done.exit_code == 3
    page = Path("wall.html").read_text("utf-8")
    assert all(page.count(s.split(".")[0].replace("'", "&#x27;")) >= 2 for s in drink["stops"])


def test_one_sentence_of_two_figures_stands_once_on_a_card() -> None:
    said = document(f"{MORE} --coffee-g 30")["drink"]["watch"]
    caffeine = [line for line in said if "mg caffeine" in line]
    page = _card(f"{MORE} --coffee-g 30")
    assert len(caffeine) == 1
    assert page.count("mg caffeine per drink") == 1
    assert caffeine[0].split(",")[0] in page


def test_twelve_coffees_stay_under_a_megabyte() -> None:
    names = ("burundi", "brazil", "kenya", "ethiopia", "sumatra", "colombia", "costa rica",
             "guatemala", "panama", "vietnam", "rwanda", "yemen")  # fmt: skip
    asked = " ".join(f"--coffee '{n}'" for n in names)
    assert run(f"report {asked} -o twelve.html").exit_code == 0
    page = Path("twelve.html")
    assert page.stat().st_size < 1_000_000
    held = brainstorm.documents_in(page.read_text("utf-8"))
    assert len(held["coffees"]) == 12
    assert len(held["rows"]) >= 20
    assert "give one to 12" in str(run(f"report {asked} --coffee peru -o more.html").exception)


def test_what_stands_on_top_of_a_picture_is_not_cut() -> None:
    # bold letters of the usual faces stand about a tenth wider than the plain that is counted
    run("drink hazelnut-roasted --style cappuccino --picture care.svg")
    top = Path("care.svg").read_text("utf-8")
    lines = re.findall(r'<text x="8"[^>]*class="b"[^>]*>([^<]+)</text>', top)
    said = " ".join(lines)
    assert "Contains HAZELNUT, an allergen to declare in the EU and UK and the US." in said
    assert all(1.12 * width_of(line) <= WIDTH - 8 for line in lines)


def test_a_limit_without_a_country_has_no_loose_comma() -> None:
    made = document("drink mandarin --style iced-milk --add nutmeg=0.05g --picture limits.svg")
    assert any(f["limit"] and not f["jurisdiction"] for f in made["findings"])
    assert not re.search(r"%, *<", Path("limits.svg").read_text("utf-8"))
