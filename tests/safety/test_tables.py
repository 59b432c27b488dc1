"""A bar can tighten the safety tables, never loosen them without a word."""

import csv
import shutil
from pathlib import Path

import pytest

from pairing.bar.pantry import open_pantry
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog, load
from pairing.evidence.tables import data_folder
from pairing.safety.amounts import Portion, Serving, contents_of, portion
from pairing.safety.assess import assess
from pairing.safety.findings import Finding

SAGE = """
[[composition]]
ingredient_id = "sage"
material = "essential-oil"
compound_id = "alpha-pinene"
low = 1
high = 2
unit = "percent"
"""


def edited(folder: Path, table: str, **changes: tuple[str, str, str]) -> Path:
    """A copy of the data with cells changed: row id -> (id column, column, value)."""
    shutil.copytree(data_folder(), folder)
    path = folder / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    for ident, (key, column, value) in changes.items():
        next(r for r in rows if r[key] == ident.replace("_", "-"))[column] = value
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return folder


def cassia(catalog: Catalog, g_per_kg: float) -> tuple[Finding, ...]:
    used = [portion(catalog, catalog.form("cassia"), g_per_kg)]
    return assess(catalog, used, Serving(1000, 20, 300))


def levels(found: tuple[Finding, ...]) -> list[str]:
    return [f.level for f in found if f.row_id == "efsa-coumarin-tdi"]


def test_a_data_folder_cannot_loosen_a_limit_and_says_so(tmp_path: Path) -> None:
    change = {"efsa_coumarin_tdi": ("limit_id", "value", "1000000")}
    loose = load(edited(tmp_path / "d", "limits", **change))
    found = cassia(loose, 60)
    assert levels(found) == ["stop"]
    assert any("efsa-coumarin-tdi is loosened" in f.text for f in found if f.code == "loosened")


def test_a_data_folder_can_tighten_a_limit(tmp_path: Path) -> None:
    assert levels(cassia(load(), 5)) == ["caution"]
    change = {"efsa_coumarin_tdi": ("limit_id", "value", "0.01")}
    tight = load(edited(tmp_path / "d", "limits", **change))
    found = cassia(tight, 5)
    assert levels(found) == ["stop"]
    assert not [f for f in found if f.code == "loosened"]


def test_rows_left_out_are_named_and_still_decide(tmp_path: Path) -> None:
    folder = tmp_path / "d"
    shutil.copytree(data_folder(), folder)
    path = folder / "allergens.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith("tree-nuts,hazelnut-roasted")]
    path.write_text("\n".join(kept) + "\n", encoding="utf-8")
    opened = load(folder)
    found = assess(opened, [portion(opened, opened.form("hazelnut-roasted"))])
    assert any("hazelnut" in f.words for f in found)
    assert any("left out" in f.text for f in found if f.code == "loosened")


def test_a_row_about_aroma_removes_no_stop(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_text(SAGE, encoding="utf-8")
    opened = open_pantry(path, load()).catalog
    form = opened.form("sage")
    assert contents_of(opened)("sage", form.form) == contents_of(load())("sage", form.form)
    found = assess(opened, [portion(opened, form, 60)], Serving(1000, 20, 300))
    assert any(f.level == "stop" and f.subject == "thujone" for f in found)


def test_an_own_composition_can_raise_a_worst_case(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_text(SAGE.replace("alpha-pinene", "alpha-thujone").replace("2", "90"), "utf-8")
    opened = open_pantry(path, load()).catalog
    form = opened.form("sage")
    mine, shipped = (contents_of(c)("sage", form.form)["thujone"] for c in (opened, load()))
    assert mine > shipped


def test_only_a_certificate_lowers_and_it_is_printed(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_text(
        '[[certificates]]\ningredient_id = "cassia"\nsubstance = "coumarin"\n'
        'high_mg_per_kg = 1000\ncertificate = "laboratory report 7 of 2026-03-01"\n',
        encoding="utf-8",
    )
    opened = open_pantry(path, load()).catalog
    found = cassia(opened, 60)
    assert levels(found) == ["caution"]  # 60 g x 20/1000 x 1 mg/g = 1.2 mg of 6
    told = next(f for f in found if f.code == "override")
    assert "coumarin" in told.text
    assert "laboratory report 7" in told.text
    path.write_text(path.read_text("utf-8").replace("coumarin", "coumarine"), "utf-8")
    with pytest.raises(PairingError, match="no substance"):
        open_pantry(path, load())


def test_a_pantry_adds_a_local_limit(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_text(
        '[[limits]]\nlimit_id = "house-coumarin"\nsubstance = "coumarin"\nscope = "this house"\n'
        'applies_to = "any"\nbasis = "single"\nvalue = 0.1\nunit = "mg"\nlegal_force = "law"\n'
        'provision = "house rule 4"\n',
        encoding="utf-8",
    )
    found = cassia(open_pantry(path, load()).catalog, 5)
    assert any(f.row_id == "house-coumarin" and f.level == "stop" for f in found)


def test_empty_allergens_need_a_specification(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    row = (
        '[[ingredients]]\ningredient_id = "own"\nname = "Own"\nkind = "spice"\n{}\n'
        '[[forms]]\nform_id = "own"\ningredient_id = "own"\nform = "ground"\nlabel = "Own"\n'
    )
    path.write_text(row.format("allergens = []"), "utf-8")
    with pytest.raises(PairingError, match="specification"):
        open_pantry(path, load())
    path.write_text(row.format('allergens = ["unicorn"]'), "utf-8")
    with pytest.raises(PairingError, match="no allergen 'unicorn'"):
        open_pantry(path, load())
    path.write_text(row.format(""), "utf-8")
    opened = open_pantry(path, load())
    assert opened.lacks.startswith("own: allergens not stated")
    path.write_text(row.format('allergens = []\nspecification = "sheet 3"'), "utf-8")
    opened = open_pantry(path, load())
    assert opened.lacks == ""
    found = assess(opened.catalog, [portion(opened.catalog, opened.catalog.form("own"))])
    assert any("none of the listed allergens, per sheet 3" in f.text for f in found)


@pytest.mark.parametrize(("market", "code"), [("us", "stop"), ("eu", None), ("uk", None)])
def test_tonka_is_counted_against_the_intake_where_it_is_lawful(
    market: str, code: str | None
) -> None:
    """1 g/kg of bean, 20 g of syrup: 0.020 g x 43.4 mg/g = 0.868 mg, 14.5 % of 6 mg.

    21 CFR 189.130 (US); Regulation (EC) No 1334/2008, Annex III Part A, EFSA 2004 and 2008 (EU;
    retained in Great Britain); content: Toma et al., Eur. Food Res. Technol. 251, 513 (2025).
    """
    catalog = Catalog(data_folder(), {}, None, market)
    found = assess(catalog, [Portion("tonka-bean", "whole", 1.0)], Serving(1000, 20, 300))
    tdi = next(f for f in found if f.row_id == "efsa-coumarin-tdi")
    assert tdi.amount == pytest.approx(0.868, abs=0.001)
    assert tdi.ratio == pytest.approx(0.145, abs=0.001)
    assert any(f.level == "stop" for f in found) is (code == "stop")
    if market != "us":
        assert any(f.level == "note" and f.text.startswith("Elsewhere (US)") for f in found)


def test_a_portion_of_an_id_that_nobody_knows_is_not_assessed() -> None:
    from pairing.evidence.catalog import load
    from pairing.safety.amounts import Portion
    from pairing.safety.assess import assess

    first = assess(load(), [Portion("ghost-root", "whole", 5.0, "root")])[0]
    assert "NOT ASSESSED" in first.text or "NOT KNOWN" in first.text


def test_the_share_of_rows_that_were_read_is_said_in_whole_numbers() -> None:
    from pairing.cards.papers import standing_words

    rows = load().safety.standing
    tables = (*("limits", "rules", "hazards", "poisons", "allergens", "process_cautions"),
              *("caffeine_guidance", "food_code", "constituents"))  # fmt: skip
    counted: dict[str, int] = {}
    for name in tables:
        with (data_folder() / f"{name}.csv").open(encoding="utf-8", newline="") as handle:
            for row in csv.DictReader(handle):
                counted[row["evidence"]] = counted.get(row["evidence"], 0) + 1
    assert rows == counted
    said = standing_words(load())
    assert f"{counted['read']} read in the source" in said
    assert f"{counted['memory']} from memory (to be confirmed)" in said
