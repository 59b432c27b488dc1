"""Every surface against every hazard in every format: what can hurt is said before anything else.

One pantry holds an own plant that nobody knows, an own nut, a praline and a milk crumb; each is
asked of every command that names what goes in. Facts: annex II of Regulation (EU) 1169/2011 lists
the allergens; the words of kitchens are from memory (``allergen_names.csv``).
"""

from __future__ import annotations

import contextlib
import csv
import io
import json
import re
from functools import cache
from html import unescape
from pathlib import Path
from typing import Any

import pytest

import pairing.cli.options as options
from pairing import cli
from pairing.bar.pantry import Pantry, open_pantry
from pairing.evidence.catalog import load
from pairing.safety.allergens import allergen_names_of

ROW = """
[[ingredients]]
ingredient_id = "{id}"
name = "{name}"
botanical_name = "{plant}"
kind = "{kind}"
[[forms]]
form_id = "{id}"
ingredient_id = "{id}"
form = "ground"
label = "{name}"
dose_low_g_per_kg = 5
dose_high_g_per_kg = 10
method = "hot-steep"
[[form_materials]]
form_id = "{id}"
material = "own-oil"
percent_low = 1
percent_high = 2
[[composition]]
ingredient_id = "{id}"
material = "own-oil"
compound_id = "linalool"
low = 10
high = 20
unit = "percent"
"""
OWN = {  # id: name, botanical name, kind, a word for guests
    "thing": ("House thing", "", "spice", ""),
    "crunch": ("Piedmont crunch", "Corylus avellana", "nut", "hazelnut"),
    "praline": ("Praline crumb", "", "nut", "nuts?|hazelnut|almond"),
    "crumb": ("Milk powder crumb", "", "nut", "milk"),
}
NOT_ASSESSED = "House thing: NOT ASSESSED here, which is not safe"
FORMATS = ("table", "markdown", "csv", "json")
SURFACES = {  # {x}: the ingredient
    "formula": "formula {x}",
    "drink": "drink {x}",
    "label": "label {x}",
    "card": "card {x}",
    "check": "check {x}",
    "instead": "instead {x}",
    "suggest": "suggest --with {x} --size 1 --citrus none",
    "ratio": "ratio --sugar-g 300 --strength 1:1 --spice {x}=3g",
    "show": "show {x}",
    "batch": "papers batch {x}",
    "guest": "papers guest {x}",
    "matrix": "papers matrix {x}",
    "supplier": "papers supplier {x}",
    "plan": "trials plan {x} --steps 2",
    "similar": "graph similar {x}",
    "path": "graph path coffee {x}",
    "score": "score {x}.csv",
    "scored": "score {x}.csv --coffee kenya",
}
CASES = [(s, f) for s in SURFACES for f in FORMATS if (s, f) != ("card", "csv")]


@pytest.fixture(scope="module", autouse=True)
def bar(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """A working folder with the pantry in it, read once."""
    folder = tmp_path_factory.mktemp("bar")
    rows = (ROW.format(id=i, name=n, plant=p, kind=k) for i, (n, p, k, _) in OWN.items())
    (folder / "pairing.toml").write_text("".join(rows), "utf-8")
    for ident in OWN:
        (folder / f"{ident}.csv").write_text(f"ingredient_a,ingredient_b\n{ident},clove\n", "utf-8")
    once = cache(open_pantry)
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setattr(options, "open_pantry", once)
        yield folder


@cache
def ask(words: str) -> tuple[int, str, str]:
    """Exit code, standard output, standard error; a question is asked once."""
    out, err = io.StringIO(), io.StringIO()
    with (
        pytest.raises(SystemExit) as left,
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        cli.main(words.split())
    code = left.value.code
    return (code if isinstance(code, int) else 0), out.getvalue(), err.getvalue()


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text).strip()


def first(text: str, how: str) -> str:
    """What a reader of a format meets first, whatever names the columns or the document."""
    if how == "csv":
        return " ".join(c for row in list(csv.reader(text.splitlines()))[1:3] for c in row)
    if how != "json":
        return flat(text)[:400]
    held = json.loads(text)
    if "pairs" in held or ("blends" in held and held["command"] == "score"):
        return str((held.get("pairs") or held["blends"])[0]["not_known"])
    assert list(held)[3] in ("stops", "not_known"), list(held)[:6]
    return " ".join([*held.get("stops", ()), *held["not_known"]])


@pytest.mark.parametrize(("surface", "how"), CASES)
def test_what_nobody_assessed_stands_first(surface: str, how: str) -> None:
    _, text, err = ask(f"{SURFACES[surface].format(x='thing')} --format {how}")
    assert text, err
    begins = flat(first(text, how))
    if surface in ("score", "scored") and how == "csv":  # rows come back in their order
        assert NOT_ASSESSED in begins
        return
    at = begins.find(NOT_ASSESSED)
    # a label says first that its allergens are open: that is a stop
    assert 0 <= at <= (260 if surface == "label" else 30), begins[:300]


@pytest.mark.parametrize("ident", [i for i in OWN if OWN[i][3]])
@pytest.mark.parametrize(("surface", "how"), CASES)
def test_an_own_allergen_is_told_everywhere(surface: str, how: str, ident: str) -> None:
    code, text, err = ask(f"{SURFACES[surface].format(x=ident)} --format {how}")
    assert text, err
    said = flat(text)
    assert "NOT KNOWN" in said or (surface == "matrix" and "?" in said)
    if surface in ("formula", "drink", "label", "card", "show", "batch", "guest", "plan", "scored"):
        told = said.replace(OWN[ident][0], "").replace('"milk":', "")
        assert re.search(OWN[ident][3], told, re.IGNORECASE), said[:300]
    assert code == (cli.MUST_NOT_BE_SERVED if surface == "label" else 0)


NONE = re.compile(
    r"\bno (?:known |listed )?allergens?\b|\ballergens?:? ?(?:are |is )?none\b|allergen[- ]free|"
    r"\bfree (?:of|from) (?:any |all )?allergens?\b|\bnone on file\b|contains no \w+ ?allergen|"
    r"allergens\W{1,4}(?:null|false)\b|\bnone of the listed allergens",
    re.IGNORECASE,
)
# what stands beside the words and makes them no clearance
FINE = re.compile(
    r"no listed allergen by nature|listed allergens?, per|no named ingredient is a listed allergen",
    re.IGNORECASE,
)


def cleared(text: str) -> list[str]:
    """Words that would tell a guest with an allergy that there is none."""
    return [m[0] for m in NONE.finditer(FINE.sub("", flat(text)))]


SHIPPED = ("mandarin", "clove", "hazelnut-roasted", "vanilla-bean")
PLAIN = (
    "suggest --coffee kenya", "list ingredients", "pantry", "kitchen-rules", "list sweeteners",
    "list milks", "list extras", "graph communities", "report --coffee kenya --servings 4",
)  # fmt: skip


@pytest.mark.parametrize("how", FORMATS)
def test_nothing_is_cleared_of_allergens_without_a_specification(how: str) -> None:
    asked = [
        s.format(x=i)
        for n, s in SURFACES.items()
        for i in (*OWN, *SHIPPED)
        if not (n.startswith("score") and i in SHIPPED) and (n, how) != ("card", "csv")
    ]
    for words in (*asked, *PLAIN):
        _, text, err = ask(f"{words} --format {how}")
        assert not cleared(text + err), (words, cleared(text + err))


def test_the_words_that_clear_are_found() -> None:
    """The net itself: what it must catch, and what it lets through."""
    for bad in ("Contains: no allergen of the EU or US list.", "Allergens: none", "allergen-free",
                "Allergens: None is on file", "free of allergens", '"allergens": null',
                "no known allergens", "none of the listed allergens."):  # fmt: skip
        assert cleared(bad), bad
    for fine in (
        "- = no listed allergen by nature: supplier",
        "Allergens NOT KNOWN for it",
        "Crumb: none of the listed allergens, per sheet of 3 March.",
        '"allergens": []',
        "No named ingredient is a listed allergen by nature",
    ):
        assert not cleared(fine), fine


def test_none_is_said_only_with_the_specification_that_says_it(tmp_path: Path) -> None:
    path = tmp_path / "stated.toml"
    row = ROW.format(id="thing", name="House thing", plant="Elettaria cardamomum", kind="spice")
    sheet = 'allergens = []\nspecification = "sheet of 3 March 2026"\n'
    path.write_text(row.replace("kind =", sheet + "kind =", 1), "utf-8")
    code, text, _ = ask(f"label thing --pantry {path}")
    assert "none of the listed allergens, per sheet of 3 March 2026" in flat(text)
    assert code == 0
    path = tmp_path / "bare.toml"
    path.write_text(row.replace("kind =", "allergens = []\nkind =", 1), "utf-8")
    code, text, err = ask(f"label thing --pantry {path}")
    assert not cleared(text), text
    assert code, err


# --- pages, pictures, notebooks, kept work ------------------------------------------------


def test_the_cards_of_an_own_plant_say_so_first_in_every_rendering(bar: Path) -> None:
    for name in ("card.html", "card.md", "card.pdf"):
        if name.endswith("pdf"):
            pytest.importorskip("typst", reason="the extra pdf is not installed")
            pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed")
        ask(f"card thing crunch -o {name}")
        if name.endswith("pdf"):
            text = "".join(p.extract_text() for p in pypdf.PdfReader(bar / name).pages)
        else:
            text = (bar / name).read_text("utf-8")
        if name.endswith("html"):
            text = unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", text, flags=re.DOTALL))
        text = flat(text)
        assert 0 <= text.find("NOT ASSESSED") < text.find("Weigh" if "Weigh" in text else "water")
        assert re.search("hazelnut", text, re.IGNORECASE), name


def test_a_picture_of_what_must_not_be_served_says_so(bar: Path) -> None:
    """A picture goes through a chat without its text."""
    ask("formula thing --picture open.svg")
    assert "NOT ASSESSED" in (bar / "open.svg").read_text("utf-8")
    code, _, _ = ask("formula nutmeg --dose nutmeg=300g/kg --picture stop.svg")
    assert code == cli.MUST_NOT_BE_SERVED
    drawn = (bar / "stop.svg").read_text("utf-8")
    assert drawn.split("<title", 2)[1].split(">", 1)[1].startswith("STOP")


def test_a_notebook_shows_what_is_not_known_first(bar: Path) -> None:
    from pairing.lab import Lab

    opened: Pantry = options.open_pantry(Path("pairing.toml"), load(), "")
    bench = Lab(opened)
    made = bench.formula("thing")
    blend = bench.suggest(bench.coffee("kenya"), with_="thing", size=1, citrus="none")[0]
    for value in (made, bench.drink(made), bench.check("thing"), blend):
        html = re.sub(r"<style>.*?</style>|<[^>]+>", " ", value._repr_html_(), flags=re.DOTALL)
        assert flat(unescape(html)).startswith(NOT_ASSESSED), type(value)
        assert "not_known" in value.to_dict() or type(value).__name__ == "CoffeeBase"


def test_two_kept_things_are_compared_with_what_is_not_known(bar: Path) -> None:
    for name, what in (("one", "thing"), ("two", "clove")):
        (bar / f"{name}.toml").write_text(f'ingredients = ["{what}"]\n', "utf-8")
    for how in FORMATS:
        _, text, err = ask(f"compare one.toml two.toml --format {how}")
        assert text, err
        assert 0 <= flat(first(text, how)).find(NOT_ASSESSED) < 60


def test_a_plan_carries_it_to_the_bench_the_cards_and_the_sheet(bar: Path) -> None:
    ask("trials plan thing crunch --design spread --save plan")
    for how in FORMATS:
        _, text, err = ask(f"papers bench plan.json --format {how}")
        assert text, err
        assert NOT_ASSESSED in flat(first(text, how))
    _, text, err = ask("trials sheet plan.json --tasters 3 --save sheet")
    assert NOT_ASSESSED in flat(text), err
    assert "HAZELNUT" in flat(text)
    for name in ("sheet.html", "sheet.json"):
        assert NOT_ASSESSED in (bar / name).read_text("utf-8")


WORDS = {  # what a bar may write on its jar: the allergen that it holds
    "en": ("hazelnut crunch hazelnut", "milk crumb milk", "wheat biscuit wheat", "egg wash egg"),
    "de": ("Haselnusskrokant hazelnut", "Vollmilchpulver milk", "Eigelbpulver egg",
           "Senfkörner mustard", "Selleriesalz celery", "Lupinenmehl lupin"),
    "fr": ("éclats de noisettes hazelnut", "lait en poudre milk", "germe de blé wheat",
           "moutarde mustard", "pâte d'amande almond"),
    "it": ("granella di nocciole hazelnut", "latte in polvere milk", "tuorlo egg",
           "germe di grano wheat", "senape mustard"),
    "es": ("crocante de avellana hazelnut", "leche en polvo milk", "yema confitada egg",
           "mostaza mustard", "pasta de almendra almond"),
    "pt": ("crocante de avelã hazelnut", "leite em pó milk", "gema de ovo egg", "aipo celery"),
    "hi": ("kaju crumb cashew", "doodh powder milk", "maida crumb wheat", "तिल sesame",
           "बादाम almond", "moongphali chikki peanut"),
    "ar": ("bunduq paste hazelnut", "haleeb powder milk", "سمسم sesame", "لوز almond",
           "khardal mustard", "karafs celery", "turmus lupin", "samid wheat"),
    "ja": ("kurumi paste walnut", "gyunyu powder milk", "tamago egg",
           "ヘーゼルナッツペースト hazelnut", "きな粉 soy", "小麦粉 wheat", "karashi mustard"),
}  # fmt: skip


def test_an_own_name_tells_its_allergen_in_nine_languages(tmp_path: Path) -> None:
    wanted = [w.rpartition(" ") for words in WORDS.values() for w in words]
    rows = [ROW.format(id=f"own{k}", name=name, plant="", kind="nut")
            for k, (name, _, _) in enumerate(wanted)]  # fmt: skip
    path = tmp_path / "many.toml"
    path.write_text("".join(rows), "utf-8")
    catalog = open_pantry(path, load()).catalog
    for k, (name, _, allergen) in enumerate(wanted):
        found = allergen_names_of(catalog, f"own{k}")
        assert any(allergen in f for f in found), (name, allergen, found)


# --- what must not be served, under any name ----------------------------------------------

ASKED = [s for n, s in SURFACES.items() if not n.startswith("sco")]
BARRED = {  # as somebody would write it: a word of the rule
    "sassafras": "189.180",
    "belladonna": "atropine",
    "A. belladonna": "atropine",
    "C. maculatum": "coniine",
    "A. napellus": "aconitine",
    "R. communis": "ricin",
    "belladona": "atropine",
    "kava": "liver",
    "bitter-almond": "(?i)hydrogen cyanide|cyanide",
}


@pytest.mark.parametrize("how", FORMATS)
@pytest.mark.parametrize("name", BARRED)
def test_a_barred_name_is_answered_with_its_rule(name: str, how: str) -> None:
    for surface in ASKED:
        if (surface.startswith("card") and how == "csv") or surface.startswith("supplier"):
            continue
        words = [w.replace("{x}", name) for w in surface.split()]
        code, out, err = _asked([*words, "--format", how])
        text = flat(out + err)
        assert "Traceback" not in text
        if surface.startswith(("graph", "show")):  # they tell of it: its stop stands first
            assert re.search(r"(?i)\bstop|must-not-be-served|poison|unknown", text), text[:200]
        else:
            assert code == cli.MUST_NOT_BE_SERVED, (words, code, text[:200])
            assert re.search(BARRED[name], text, re.IGNORECASE), (words, text[:300])
            assert not out or '"error"' in out  # no formula beside it


def _asked(words: list[str]) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    with (
        pytest.raises(SystemExit) as left,
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        cli.main(words)
    code = left.value.code
    return (code if isinstance(code, int) else 0), out.getvalue(), err.getvalue()


DISGUISES = [  # name, botanical name, alias, label of its form
    ("S\u0430ssafras root", "", "", ""),  # a Cyrillic a
    ("Root beer root", "S. albidum", "", ""),
    ("Root beer root", "Sassafras", "", ""),
    ("Root beer root", "", "sassafras", ""),
    ("House berries", "Atropa bella-donna", "", ""),
    ("House berries", "", "", "Belladonna, dried"),
    ("House berries", "", "tollkirsche", ""),
    ("T0nka", "", "", ""),
    ("Kava\u200b root", "", "", ""),
    ("Pacific root", "Piper methysticum G.Forst.", "", ""),
    ("Pacific root", "P. methysticum", "", ""),
]


@pytest.mark.parametrize(("name", "plant", "alias", "label"), DISGUISES)
def test_a_barred_plant_is_found_in_every_disguise(
    tmp_path: Path, name: str, plant: str, alias: str, label: str
) -> None:
    row = ROW.format(id="own", name=name, plant=plant, kind="spice")
    row = row.replace(f'label = "{name}"', f'label = "{label or name}"')
    _is_refused(tmp_path, row, alias, "formula own")


# a sweetener has neither a label nor a botanical name
SWEETS = [(name, alias) for name, plant, alias, label in DISGUISES if not plant and not label]


@pytest.mark.parametrize(("name", "alias"), SWEETS)
def test_a_barred_plant_is_found_in_a_sweetener(tmp_path: Path, name: str, alias: str) -> None:
    row = SWEET.format(name=f"{name} sugar")
    _is_refused(tmp_path, row, alias, "formula clove --sweetener own")


def _is_refused(folder: Path, row: str, alias: str, asked: str) -> None:
    if alias:
        row = row.replace("name = ", f'aliases = ["{alias}"]\nname = ', 1)
    (folder / "p.toml").write_text(row, "utf-8")
    code, out, err = _asked([*asked.split(), "--pantry", str(folder / "p.toml")])
    assert code == cli.MUST_NOT_BE_SERVED, (out + err)[:300]
    assert not out


SWEET = """
[[sweeteners]]
sweetener_id = "own"
name = "{name}"
water_percent = 1
sucrose_percent = 99
glucose_percent = 0
fructose_percent = 0
other_sugars_percent = 0
polyol_percent = 0
sweetness_relative = 1
kcal_per_100g = 400
"""


@pytest.mark.parametrize("how", FORMATS)
def test_a_regulated_plant_carries_its_stop_wherever_it_is_printed(how: str, bar: Path) -> None:
    (bar / "r.csv").write_text(
        "ingredient_a,ingredient_b\nclove,tonka\nbelladonna,clove\n", "utf-8"
    )
    for words in ("show tonka-bean", "graph similar tonka-bean", "graph path clove tonka-bean"):
        _, text, err = ask(f"{words} --format {how}")
        assert text, err
        if how == "json":
            held = json.loads(text)
            assert list(held)[3] == "stops"
            assert held["stops"], words
        else:
            begins = flat(first(text, how))
            assert begins.startswith(("STOP", "stop")), (words, begins[:80])
    for words in ("score r.csv", "score r.csv --coffee kenya"):
        _, text, err = ask(f"{words} --format {how}")
        assert "21 CFR 189.130" in flat(text), err
        assert "atropine" in flat(text)
    for words in ("graph communities", "graph similar mahleb --top 60", "suggest --top 20 --all",
                  "instead vanilla-bean"):  # fmt: skip
        _, text, _ = ask(f"{words} --format {how}")
        assert "onka" not in text, words


# --- sums and edges -----------------------------------------------------------------------


def test_one_plant_is_summed_over_forms_names_and_sweeteners(tmp_path: Path) -> None:
    """Nutmeg: stop at half of the 5 g from which poisonings are told (EFSA 2009; memory).

    1 kg of syrup, 100 g a drink: g/kg x 0.1 = g a drink.
    """
    row = ROW.format(id="own", name="House powder", plant="Myristica fragrans", kind="spice")
    (tmp_path / "p.toml").write_text(row, "utf-8")
    held = ["--pantry", str(tmp_path / "p.toml"), "--yield-g", "1000", "--serving-g", "100"]

    def code(**doses: float) -> int:
        said = [x for n, g in doses.items() for x in ("--dose", f"{n.replace('_', '-')}={g}g/kg")]
        names = [n.replace("_", "-") for n in doses]
        return _asked(["formula", *names, *said, *held])[0]

    assert code(nutmeg=24) == 0
    assert code(nutmeg=25) == cli.MUST_NOT_BE_SERVED
    assert code(nutmeg=24, own=1) == cli.MUST_NOT_BE_SERVED
    assert code(nutmeg=8, nutmeg_ground=8, own=8.9) == 0
    assert code(nutmeg=8, nutmeg_ground=8, own=9) == cli.MUST_NOT_BE_SERVED


def test_a_limit_reached_exactly_is_reached() -> None:
    """Coumarin: 0.1 mg/kg a day x 60 kg = 6 mg (EFSA 2004, 2008); cassia 10 mg/g at most."""
    from pairing.safety.amounts import Portion, Serving
    from pairing.safety.assess import assess

    def level(grams: float) -> set[str]:
        found = assess(load(), [Portion("cassia", "whole", grams)], Serving(1000, 20, 250))
        return {f.level for f in found if f.code == "limit" and "coumarin" in f.text}

    assert "stop" in level(30.0)  # 30 g/kg x 20 g x 10 mg/g = 6 mg
    assert "stop" not in level(29.99)


# --- kept work that somebody edited, or that was kept before a law changed -----------------


@pytest.mark.parametrize(
    ("lines", "code", "says"),
    [
        ('ingredients = ["sassafras"]', 3, "189.180"),
        ('ingredients = ["belladonna"]', 3, "atropine"),
        ('ingredients = ["clove"]\ndose = ["clove=-5g/kg"]', 2, "clove"),
        ('ingredients = ["clove"]\ndose = ["clove=nang/kg"]', 2, "clove"),
        ('ingredients = ["clove"]\nyield_g = nan', 2, "yield"),
        ('ingredients = ["clove"]\nyield_g = inf', 2, "yield"),
        ('ingredients = ["clove"]\nyield_g = -5', 2, "yield"),
        ('ingredients = ["clove"]\nyeild_g = 5', 2, "did you mean yield_g"),
        ('ingredients = ["clove"]\nversion = 99', 2, "version"),
        ('ingredients = [["clove"]]', 2, "ingredients"),
        ("ingredients = {a = 1}", 2, "ingredients"),
        ('ingredients = "clove\\u202e"', 2, "control character"),
        ('ingredients = ["clove"]\ncommand = "rm"', 2, "command"),
        ('ingredients = ["clove"]\ndose = ["clove=900g/kg"]', 3, "clove"),
        ("ingredients = []", 2, "INGREDIENTS"),
        ("a = " + "[" * 5000 + "]" * 5000, 2, "TOML"),
        ("x = " + "9" * 5000, 2, "TOML"),
        ('ingredients = ["clove"]\nprocess = 1979-05-27', 2, "process"),
        ('ingredients = ["' + "clove" * 5000 + '"]', 2, "unknown"),
    ],
    ids=lambda x: str(x)[:40],
)
def test_a_kept_file_is_asked_like_a_command(
    tmp_path: Path, lines: str, code: int, says: str
) -> None:
    (tmp_path / "kept.toml").write_text(lines + "\n", "utf-8")
    got, out, err = _asked(["formula", "--from", str(tmp_path / "kept.toml")])
    said = [x for x in err.splitlines() if "allergens not stated" not in x]
    assert got == code, (out + err)[:300]
    assert says.lower() in flat(out + err).lower()
    if code == 2:
        assert len(said) == 1, said
        assert len(said[0]) < 400
        assert not out


def test_an_edited_plan_hides_no_allergen_and_no_stop(bar: Path) -> None:
    ask("trials plan crunch clove --design spread --save edited")
    plan = json.loads((bar / "edited.json").read_text("utf-8"))

    def sheet(**changed: Any) -> tuple[int, str]:
        (bar / "now.json").write_text(json.dumps({**plan, **changed}), "utf-8")
        code, out, err = _asked(["trials", "sheet", "now.json", "--tasters", "3"])
        return code, flat(out + err)

    code, said = sheet(allergens="Allergens: none.")
    assert (code, "HAZELNUT" in said, bool(cleared(said))) == (0, True, False)
    first_trial = plan["trials"][0]
    for doses, wanted in (({"clove": -1.0}, 2), ({"clove": float("nan")}, 2), ([1], 2), ("x", 2)):
        code, said = sheet(trials=[{**first_trial, "doses": doses}, *plan["trials"][1:]])
        assert (code, "lacks parts" in said) == (wanted, True), said
    stopped = {**first_trial["formula"], "stops": ["Too much of it."]}
    code, said = sheet(trials=[{**first_trial, "formula": stopped}, *plan["trials"][1:]])
    assert (code, "Too much of it" in said) == (cli.MUST_NOT_BE_SERVED, True)
    for barred in ("sassafras", "belladonna"):
        code, said = sheet(trials=[{**first_trial, "doses": {barred: 1.0}}])
        assert code == cli.MUST_NOT_BE_SERVED, said


def test_a_matrix_shows_a_question_mark_for_what_nobody_stated(bar: Path) -> None:
    _, text, _ = ask("papers matrix thing clove --format json")
    rows = {r["syrup"]: set(r["cells"]) for r in json.loads(text)["rows"]}
    assert rows == {"thing": {"?"}, "clove": {"-"}}


@pytest.mark.parametrize("bad", ["a\0b", "\ud800"])
@pytest.mark.parametrize("words", ["formula clove --pantry", "papers bench", "compare", "score"])
def test_a_name_that_cannot_be_is_one_line(words: str, bad: str) -> None:
    code, out, err = _asked([*words.split(), bad])
    assert (code, out, len(err.splitlines())) == (2, "", 1), err


def test_a_file_of_lots_that_is_no_csv_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "lots.csv").write_text("x" * 200_000, "utf-8")
    code, _, err = _asked(["papers", "lots", str(tmp_path / "lots.csv"), "--find", "A1"])
    assert code == 2
    assert "not CSV" in err
