from __future__ import annotations

from pathlib import Path

import pytest

from pairing.aroma.description import describe
from pairing.bar.pantry import open_pantry
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog

GOOD = """
name = "Two Hills, both sites"
currency = "EUR"

[[ingredients]]
ingredient_id = "smoked-mandarin"
name = "House smoked mandarin peel"
kind = "citrus"
aliases = ["smoky mandarin"]

[[forms]]
form_id = "smoked-mandarin"
ingredient_id = "smoked-mandarin"
form = "peel"
label = "Smoked mandarin peel"
dose_low_g_per_kg = 5
dose_high_g_per_kg = 20
method = "hot-steep"

[[form_materials]]
form_id = "smoked-mandarin"
material = "peel-oil"
percent_low = 0.5
percent_high = 1.5

[[composition]]
ingredient_id = "smoked-mandarin"
material = "peel-oil"
compound_id = "limonene"
low = 70
high = 75
unit = "percent"

[[prices]]
item = "green-cardamom"
per_kg = 48.5

[[prices]]
item = "sugar"
per_kg = 1.2

[[stock]]
item = "mandarin"
grams = 4000

[[house_names]]
name = "The Green One"
means = "green-cardamom"

[[menus]]
name = "Autumn"
coffees = [
  { origin = "burundi", roast = "light" },
  { origin = "brazil", process = "natural", roast = "dark" },
]
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "pairing.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_pantry_adds_to_the_catalogue(catalog: Catalog, tmp_path: Path) -> None:
    opened = open_pantry(write(tmp_path, GOOD), catalog)
    assert opened.catalog.form("Smoky Mandarin").form_id == "smoked-mandarin"
    assert opened.catalog.form("the green one").form_id == "green-cardamom"
    assert opened.catalog.form("elaichi").form_id == "green-cardamom"
    assert opened.price_per_kg == {"green-cardamom": 48.5, "white-cane-sugar": 1.2}
    assert opened.stock_g == {"mandarin": 4000}
    assert [c["origin"] for c in opened.menus["autumn"].coffees] == ["burundi", "brazil"]
    assert "smoked-mandarin" not in catalog.ingredients  # the shipped catalogue stays as it was


def test_a_folder_of_tables(catalog: Catalog, tmp_path: Path) -> None:
    (tmp_path / "prices.csv").write_text("item,per_kg\nelaichi,50\n", encoding="utf-8")
    (tmp_path / "house_names.csv").write_text("name,means\nBig C,cassia\n", encoding="utf-8")
    opened = open_pantry(tmp_path, catalog)
    assert opened.price_per_kg == {"green-cardamom": 50}
    assert opened.catalog.form("big c").form_id == "cassia"


# what was changed -> what the one line must say
WRONG = [
    ('kind = "citrus"', 'kind = "vegetable"', r"column 8 \(kind\): 'vegetable' should be one of"),
    ("low = 70", 'low = "lots"', r"line 30 column 7 \(low\): 'lots' should be a number"),
    ("low = 70", "low = -1", r"line 30 column 7 \(low\): -1 is out of range"),
    ("low = 70", "low = nan", r"line 30 .*should be a number"),
    ("low = 70", "low = 99", r"low 99 is above high 75"),
    ('compound_id = "limonene"', 'compound_id = "limonen"', r"unknown compound 'limonen'; did"),
    ("percent_low = 0.5\n", "", r"form_materials needs 'percent_low'"),
    ("per_kg = 48.5", "per_kg = -2", r"line 36 column 10 \(per_kg\): -2 should be a number"),
    ('item = "mandarin"', 'item = "mandarina dulce x"', r"unknown ingredient"),
    ("[[stock]]", "[[stocks]]", r"unknown table or key 'stocks'"),
    ('form = "peel"', 'form = "peel"\ncolor = "red"', r"forms has no column 'color'"),
    ('name = "Two Hills', 'name = Two Hills', r"not TOML"),
    ('{ origin = "burundi", roast', '{ orign = "burundi", roast', r"a coffee of menu 'Autumn'"),
    ('ingredient_id = "smoked-mandarin"\nname', 'ingredient_id = "Smoked Mandarin"\nname',
     r"lower-case words joined by hyphens"),
    ('label = "Smoked', r'label = "\u001b]0;x\u0007Smoked', r"line 15 .*control character U\+001B"),
    ('label = "Smoked', r'label = "Peel\nNOTE: safe', r"\(label\).*control character U\+000A"),
    ('aliases = ["smoky', r'aliases = ["\u202esmoky', r"\(aliases\).*control character U\+202E"),
    ('currency = "EUR"', r'currency = "\u009b31m"', r"\(currency\).*control character U\+009B"),
    ('name = "Autumn"', r'name = "Aut\u0007umn"', r"\(menus\).*control character U\+0007"),
    ('currency = "EUR"', "currency = 3", r"\(currency\): 3 should be text"),
    ('name = "Two Hills, both sites"', "name = [1]", r"\(name\): '\[1\]' should be text"),
    ('name = "House smoked mandarin peel"', 'name = ["a", "b"]', r"\(name\): is a list"),
    ('item = "mandarin"', 'item = ["mandarin"]', r"\(item\): is a list"),
    ('item = "mandarin"', 'item = ""', r"\(item\): '' should be a name"),
    ('item = "mandarin"', "item = 7", r"\(item\): 7 should be a name"),
    ('name = "The Green One"', 'name = " "', r"\(name\): ' ' should be a name"),
    ('name = "The Green One"', 'name = "clove"', r"'clove' already means clove; choose another"),
    ('item = "sugar"', 'item = "elaichi"', r"line 39 .*green-cardamom is priced twice"),
    ('name = "Autumn"', 'name = ""', r"a menu has no name"),
    ('roast = "light" }', 'roast = "light" }, {}', r"a coffee of menu 'Autumn' has one or more"),
    ('origin = "burundi"', "origin = 3", r"each a text"),
    ('origin = "burundi"', 'origin = "atlantis"', r"menu 'Autumn': unknown coffee origin"),
    ('origin = "burundi"', 'origin = ""', r"menu 'Autumn': the origin of the coffee is ''"),
    ("per_kg = 48.5", "per_kg = " + "9" * 400, r"\(per_kg\): the number is too large"),
    ("low = 70", "low = 1" + "0" * 400, r"\(low\): the number is too large"),
    ("low = 70", "low = 1" + "0" * 5000, r"a number has too many digits"),
    ('kind = "citrus"', 'kind = "' + "x" * 5000 + '"', r"^.{60,250}$"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "says"), WRONG)
def test_mistakes_are_named_by_place(
    catalog: Catalog, tmp_path: Path, old: str, new: str, says: str
) -> None:
    assert old in GOOD
    with pytest.raises(PairingError, match=says) as caught:
        open_pantry(write(tmp_path, GOOD.replace(old, new, 1)), catalog)
    assert "\n" not in str(caught.value)
    assert "pairing.toml" in str(caught.value)


@pytest.mark.parametrize(
    ("content", "says"),
    [(b"", "empty"), (b"\xff\xfea", "not UTF-8"), (b"a = " + b"[" * 5000, "not")],
)
def test_hostile_files(catalog: Catalog, tmp_path: Path, content: bytes, says: str) -> None:
    path = tmp_path / "pairing.toml"
    path.write_bytes(content)
    with pytest.raises(PairingError, match=says):
        open_pantry(path, catalog)


TABLES = [
    ("prices.csv", "item,per_kg,item\nclove,5,clove\n", "the column 'item' stands there twice"),
    ("prices.csv", "item,per_kg,,\nclove,5,,\n", "the column '' stands there twice"),
    ("prices.csv", "item,per_kg\nclove,5\ncloves,6\n", "line 3 column 'item': clove is priced"),
    ("stock.csv", "item,grams\nclove,5\nclove,6\n", "clove is in stock twice"),
    ("house_names.csv", "name,means\nBig C,cassia\nbig-c,clove\n", "'big-c' stands there twice"),
    ("house_names.csv", "name,means\n\x1b[2JBig,cassia\n", "line 2 column 'name': .*control char"),
    ("house_names.csv", "name,means\nmandarin,clove\n", "'mandarin' already means mandarin"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "text", "says"), TABLES)
def test_tables_with_doubles_or_controls(
    catalog: Catalog, tmp_path: Path, name: str, text: str, says: str
) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(PairingError, match=says) as caught:
        open_pantry(tmp_path, catalog)
    assert "\n" not in str(caught.value)
    assert "\x1b" not in str(caught.value)


def test_a_huge_file_is_refused(catalog: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "pairing.toml"
    path.write_bytes(b"# filler\n" * 700_000)
    with pytest.raises(PairingError, match="MB"):
        open_pantry(path, catalog)


def test_an_ingredient_nobody_can_weigh_is_refused(catalog: Catalog, tmp_path: Path) -> None:
    text = '[[ingredients]]\ningredient_id = "ghost"\nname = "Ghost"\nkind = "spice"\n'
    with pytest.raises(PairingError, match="ghost"):
        open_pantry(write(tmp_path, text), catalog)


def test_prices_and_stock_reach_the_formula(catalog: Catalog, tmp_path: Path) -> None:
    import json

    from click.testing import CliRunner

    from pairing.cli import cli

    path = write(tmp_path, GOOD)
    args = ["formula", "mandarin", "the green one", "--pantry", str(path), "--yield-g", "500"]
    made = json.loads(CliRunner().invoke(cli, [*args, "--format", "json"]).stdout)
    grams = {i["id"]: i["grams"] for i in made["ingredients"]}
    by_hand = made["sugar_g"] * 1.2 / 1000 + grams["green-cardamom"] * 48.5 / 1000
    assert made["cost"]["batch"] == pytest.approx(by_hand, rel=1e-4)
    assert made["cost"]["no_price_for"] == ["mandarin"]
    assert made["stock"]["batches"] == int(4000 / grams["mandarin"])
    short = json.loads(CliRunner().invoke(cli, [*args[:-1], "50000", "--format", "json"]).stdout)
    assert short["stock"]["short_g"]["mandarin"] > 0


def test_coffees_of_a_menu_carry_their_notes(catalog: Catalog, tmp_path: Path) -> None:
    menu = '[[menus]]\nname = "Lots"\ncoffees = [{ origin = "kenya", notes = "NOTES" }]\n'
    path = tmp_path / "pantry.toml"
    path.write_text(menu.replace("NOTES", "cassis, grapefruit"), encoding="utf-8")
    (menu_,) = open_pantry(path, catalog).menus.values()
    (coffee,) = menu_.coffees
    assert describe(catalog, **coffee).notes == ("black currant", "grapefruit")
    path.write_text(menu.replace("NOTES", "casis"), encoding="utf-8")
    with pytest.raises(PairingError, match=r"Lots.*unknown cup note 'casis'"):
        open_pantry(path, catalog)


@pytest.mark.parametrize(
    "args",
    [
        ("list", "ingredients"),
        ("show", "smoked-mandarin"),
        ("check", "clove"),
        ("formula", "clove", "--format", "json"),
        ("ratio", "--strength", "1:1", "--sugar-g", "300"),
        ("drink", "clove"),
        ("kitchen-rules",),
        ("graph", "similar", "clove"),
    ],
    ids=lambda a: a[0],
)
def test_a_pantry_of_version_0_1_is_told_in_one_line_what_it_lacks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, args: tuple[str, ...]
) -> None:
    from click.testing import CliRunner

    from pairing.cli import cli

    monkeypatch.chdir(tmp_path)
    (tmp_path / "pairing.toml").write_text(GOOD, encoding="utf-8")
    said = CliRunner().invoke(cli, list(args))
    assert said.exit_code in (0, 3), said.output
    lines = [x for x in said.stderr.splitlines() if "allergens not stated" in x]
    assert len(lines) == 1
    assert lines[0].startswith("pairing: pairing.toml: ")
    assert "allergens not stated" not in said.stdout
