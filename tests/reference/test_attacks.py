"""Nasty trials: every output that names a thing goes through the one safety engine."""

from __future__ import annotations

import contextlib
import io
import re
from pathlib import Path

import pytest

from pairing import cli

OWN = (
    '[[ingredients]]\ningredient_id = "own"\nname = "{name}"\nbotanical_name = "{plant}"\n'
    'kind = "spice"\n[[forms]]\nform_id = "own"\ningredient_id = "own"\nform = "ground"\n'
    'label = "{name}"\ndose_low_g_per_kg = 5\ndose_high_g_per_kg = 10\nmethod = "hot-steep"\n'
)
SWEET = (
    '[[sweeteners]]\nsweetener_id = "own"\nname = "Almond sugar"\nwater_percent = 1\n'
    "sucrose_percent = 99\nglucose_percent = 0\nfructose_percent = 0\nother_sugars_percent = 0\n"
    "polyol_percent = 0\nsweetness_relative = 1\nkcal_per_100g = 400\n"
)
FIRST = "House thing: NOT ASSESSED here, which is not safe"


def ask(*args: str) -> tuple[int, str]:
    out, err = io.StringIO(), io.StringIO()
    with (
        pytest.raises(SystemExit) as left,
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        cli.main(list(args))
    code = left.value.code
    text = out.getvalue() if out.getvalue().strip() else err.getvalue()
    return (code if isinstance(code, int) else 0), re.sub(r"\s+", " ", text).strip()


@pytest.mark.parametrize(
    "args",
    [
        *(("card",), ("drink",), ("formula",), ("label",), ("trials", "plan")),
        *(("papers", "guest"), ("papers", "matrix"), ("papers", "supplier"), ("papers", "batch")),
        *(("check",), ("instead",)),
    ],
    ids=" ".join,
)
def test_a_refused_plant_gets_no_paper(args: tuple[str, ...]) -> None:
    code, text = ask(*args, "sassafras")
    assert code == cli.MUST_NOT_BE_SERVED, text[:200]
    assert "189.180" in text


@pytest.mark.parametrize("plant", ["tonka-bean", "sassafras", "bitter-almond"])
def test_graph_and_score_carry_the_stop(tmp_path: Path, plant: str) -> None:
    for args in (("graph", "similar", plant), ("graph", "path", "coffee", plant)):
        _, text = ask(*args)
        assert text.startswith("STOP: "), text[:120]
    _, text = ask("graph", "similar", "vanilla-bean", "--top", "40")
    assert f" {plant} " not in text
    (tmp_path / "b.csv").write_text(f"ingredient_a,ingredient_b\n{plant},clove\n", "utf-8")
    _, text = ask("score", str(tmp_path / "b.csv"))
    assert "stop" in text.split(" ", 1)[0].split(",")
    assert re.search(r"\((?:21 CFR|EFSA|Regulation)", text)


@pytest.mark.parametrize(
    ("args", "how"),
    [
        *((("formula", "own"), h) for h in ("table", "csv", "markdown", "json")),
        *((("drink", "own"), h) for h in ("json", "csv")),
        *((("check", "own"), h) for h in ("table", "json", "csv")),
        *((("instead", "own"), h) for h in ("table", "json", "csv")),
        (("ratio", "--sugar-g", "300", "--strength", "1:1", "--spice", "own=3g"), "csv"),
        (("ratio", "--sugar-g", "300", "--strength", "1:1", "--spice", "own=3g"), "json"),
        (("label", "own"), "csv"),
        (("label", "own"), "json"),
        (("papers", "guest", "own"), "table"),
        (("papers", "matrix", "own"), "table"),
    ],
    ids=str,
)
def test_what_is_not_assessed_stands_first(tmp_path: Path, args: tuple[str, ...], how: str) -> None:
    path = tmp_path / "p.toml"
    path.write_text(OWN.format(name="House thing", plant=""), "utf-8")
    _, text = ask(*args, "--pantry", str(path), "--format", how)
    at = text.find(FIRST)
    assert 0 <= at < 330, text[:330]
    assert "own: NOT" not in text


@pytest.mark.parametrize(
    "args", [("card", "own"), ("trials", "plan", "own"), ("papers", "batch", "own")]
)
def test_a_paper_says_that_nobody_assessed_it(tmp_path: Path, args: tuple[str, ...]) -> None:
    path = tmp_path / "p.toml"
    path.write_text(OWN.format(name="House thing", plant=""), "utf-8")
    _, text = ask(*args, "--pantry", str(path))
    assert FIRST in text
    assert "NOT KNOWN for House thing" in text


@pytest.mark.parametrize(
    ("name", "plant"),
    [
        ("Kirschkernmehl", ""), ("Apricot kernel flour", ""), ("Amaretto kernels", ""),
        ("Noyaux", "Prunus armeniaca"), ("Oleanderblüten", ""), ("Tonkabohnenzucker", ""),
        ("House bean", "D. odorata"), ("\u0422\u043e nka", ""),
    ],
)  # fmt: skip
def test_kernels_compounds_and_look_alike_letters_are_refused(
    tmp_path: Path, name: str, plant: str
) -> None:
    path = tmp_path / "p.toml"
    path.write_text(OWN.format(name=name, plant=plant), "utf-8")
    code, text = ask("formula", "own", "--pantry", str(path))
    assert code == cli.MUST_NOT_BE_SERVED, text[:200]


def test_an_abbreviated_genus_has_the_figures_of_its_plant(tmp_path: Path) -> None:
    """60 g/kg of cassia, 20 g of syrup: 1.2 g x 10 mg/g = 12 mg coumarin, twice the intake."""
    path = tmp_path / "p.toml"
    path.write_text(OWN.format(name="House bark", plant="C. cassia"), "utf-8")
    code, text = ask("formula", "own", "--dose", "own=60g/kg", "--pantry", str(path))
    assert code == cli.MUST_NOT_BE_SERVED
    assert text.startswith("STOP: Up to 12 mg coumarin per drink, 200 %")


def test_coumarin_split_over_three_names_is_added_up(tmp_path: Path) -> None:
    """10 + 10 + 12 g/kg, 20 g of syrup, 10 mg/g: 6.4 mg of 6 (EFSA 2004, 2008)."""
    path = tmp_path / "p.toml"
    path.write_text(OWN.format(name="Bark two", plant="Cinnamomum aromaticum"), "utf-8")
    doses = [x for n, g in (("cassia", 10), ("cassia-ground", 10), ("own", 12))
             for x in ("--dose", f"{n}={g}g/kg")]  # fmt: skip
    code, text = ask("formula", "cassia", "cassia-ground", "own", *doses, "--pantry", str(path))
    assert code == cli.MUST_NOT_BE_SERVED
    assert "6.4 mg coumarin" in text[:60]


def test_a_sweetener_with_an_allergen_is_a_stop_on_the_label(tmp_path: Path) -> None:
    path = tmp_path / "p.toml"
    path.write_text(SWEET, "utf-8")
    code, text = ask("label", "clove", "--sweetener", "own", "--pantry", str(path))
    assert code == cli.MUST_NOT_BE_SERVED
    assert text.startswith("STOP: Allergens NOT KNOWN for Almond sugar")
    assert "ALMOND" in text
