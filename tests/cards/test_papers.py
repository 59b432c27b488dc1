"""Behaviour of `pairing.cards.papers`: matrix, batch sheet, guest card, questions, lots."""

import json
from datetime import date
from pathlib import Path

import pytest

from pairing.aroma import coffee
from pairing.aroma.description import describe
from pairing.bar.pantry import Pantry, open_pantry
from pairing.cards import batch, papers
from pairing.cards import formula as formula_card
from pairing.cards.report import Table
from pairing.errors import NothingFoundError, PairingError, RefusedError
from pairing.evidence.catalog import Catalog
from pairing.syrup import formula

OWN = """
[[ingredients]]
ingredient_id = "crumb"
name = "Crumb"
kind = "nut"
[[forms]]
form_id = "crumb"
ingredient_id = "crumb"
form = "ground"
label = "Crumb"
dose_low_g_per_kg = 10
dose_high_g_per_kg = 20
method = "hot-steep"
"""


@pytest.fixture(scope="module")
def nutty(catalog: Catalog) -> formula.Formula:
    base = coffee.base(catalog, describe(catalog, "burundi"))
    return formula.make(catalog, ("hazelnut-roasted", "grapefruit-peel"), base)


def test_the_matrix_says_not_known_and_never_none(catalog: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(OWN, encoding="utf-8")
    laid = open_pantry(path, catalog).catalog
    menu = [
        ("nut", [laid.form("hazelnut-roasted")], ["white-cane-sugar"]),
        ("own", [laid.form("crumb")], ["white-cane-sugar"]),
        ("malt", [laid.form("mandarin")], ["malt-syrup"]),
    ]
    made = papers.matrix(laid, menu)
    rows = {r["syrup"]: dict(zip(made.document["columns"], r["cells"], strict=True))
            for r in made.document["rows"]}  # fmt: skip
    assert len(made.document["columns"]) == 14
    assert rows["nut"]["tree-nuts"] == "X"
    assert set(rows["own"].values()) == {"?"}
    assert rows["malt"]["gluten-cereals"] == "X"  # malt is barley
    assert rows["nut"]["milk"] == "-"
    american = papers.matrix(Catalog(catalog.folder, {}, None, "us"), menu[2:])
    assert len(american.document["columns"]) == 9
    assert set(american.document["rows"][0]["cells"]) == {"-"}  # the US list names wheat only
    with pytest.raises(RefusedError):
        papers.matrix(laid, [("t", [laid.form("tonka-bean")], ["white-cane-sugar"])])
    with pytest.raises(PairingError, match="menu"):
        papers.matrix(laid, [])


def test_the_batch_sheet_has_limits_and_blanks(catalog: Catalog, nutty: formula.Formula) -> None:
    document = formula_card.report(Pantry(catalog), nutty, nutty.findings, False).whole
    made = batch.batch_sheet(document, made_on=date(2026, 11, 24))
    targets = {r["step"]: r["target"] for r in made["checks"]}
    # Food Code 2022, 3-501.14: 57 to 21 °C in 2 hours, to 5 °C within 6 in all; 3-501.16: 5 °C
    assert targets["57 to 21 °C"] == "within 2 hours"
    assert targets["21 to 5 °C"] == "within 4 more hours"
    assert targets["fridge"] == "5 °C or colder"
    days = nutty.keeping(catalog).days
    assert made["use_by"] == f"2026-11-{23 + days:02d}"
    assert {r["what"] for r in made["weighed"]} >= {"water"}
    blanks = batch.report(made).blocks
    assert sum(b.rows[0][2] == batch.BLANK for b in blanks if isinstance(b, Table)) == 4


def test_the_guest_card_is_one_line(catalog: Catalog, nutty: formula.Formula) -> None:
    line = papers.guest_card(catalog, nutty).document["line"]
    assert "\n" not in line
    assert line.startswith("Contains hazelnut")
    assert "mg caffeine" in line
    assert line.endswith("Tell us of any allergy.")


def test_questions_fit_the_ingredient(catalog: Catalog) -> None:
    forms = [catalog.form(n) for n in ("cassia", "mandarin-peel", "dried-tangerine-peel")]
    rows = papers.supplier_questions(catalog, forms).document["questions"]
    asked = {f.label: " ".join(r["question"] for r in rows if r["ingredient"] == f.label)
             for f in forms}  # fmt: skip
    cassia, fresh, dried = asked.values()
    assert "Coumarin" in cassia
    assert "lead" in cassia
    assert "ethylene oxide" in cassia
    assert "imazalil" in fresh
    assert "unsulphured" in dried
    assert "unsulphured" not in fresh
    assert all("specification" in text for text in asked.values())


def test_kitchen_rules_are_of_the_market(catalog: Catalog) -> None:
    def text(market: str) -> str:
        made = papers.kitchen_rules(Catalog(catalog.folder, {}, None, market))
        return " ".join(r["text"] for r in made.document["rules"])

    assert "UK law outside Scotland" in text("uk")
    assert "UK law outside Scotland" not in text("us")
    assert "spores" in text("")


LOTS = """batch,ingredient,lot,supplier,bottles
1,cassia,A17,north,b1;b2
1,sugar,S1,south,
2,cassia,A17,north,b3
3,cassia,A18,north,b4
"""


def test_lots_are_traced_both_ways(tmp_path: Path) -> None:
    file = tmp_path / "lots.csv"
    file.write_text(LOTS, encoding="utf-8")
    lots = papers.read_lots(file)
    out = papers.trace(lots, "A17").document
    assert out["batches"] == ["1", "2"]
    assert out["bottles"] == ["b1", "b2", "b3"]
    back = papers.trace(lots, "b2").document
    assert {r["lot"] for r in back["lots"]} == {"A17", "S1"}
    with pytest.raises(NothingFoundError):
        papers.trace(lots, "A1")
    file.write_text("batch,ingredient\n1,x\n", encoding="utf-8")
    with pytest.raises(PairingError, match="'lot'"):
        papers.read_lots(file)
    file.write_text("batch,ingredient,lot\n1,,A\n", encoding="utf-8")
    with pytest.raises(PairingError, match="line 2: ingredient is empty"):
        papers.read_lots(file)


def test_a_matrix_takes_kept_syrups_with_their_own_sweeteners(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from click.testing import CliRunner

    from pairing.cli import cli

    monkeypatch.chdir(tmp_path)
    said = ["formula", "mandarin", "--sweetener", "malt-syrup", "--save", "malty"]
    assert CliRunner().invoke(cli, said).exit_code == 0
    done = CliRunner().invoke(
        cli, ["papers", "matrix", "malty.toml", "hazelnut-roasted", "--format", "json"]
    )
    made = json.loads(done.stdout)
    rows = {r["syrup"]: dict(zip(made["columns"], r["cells"], strict=True)) for r in made["rows"]}
    assert rows["malty"]["gluten-cereals"] == "X"
    assert rows["hazelnut-roasted"]["gluten-cereals"] == "-"
    Path("empty.toml").write_text("command = 'suggest'\n", encoding="utf-8")
    refused = CliRunner().invoke(cli, ["papers", "matrix", "empty.toml"])
    assert "names no ingredients" in str(refused.exception)
