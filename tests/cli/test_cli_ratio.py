"""``pairing ratio`` against hand calculation, and bad input in one line."""

from __future__ import annotations

import csv
import io
import json
import math
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pairing.cli import main
from pairing.evidence.catalog import load
from pairing.safety.plants import refusal

ROOT = Path(__file__).resolve().parents[2]
Ask = Callable[..., tuple[int, str, str]]

CATALOG = load()


@pytest.fixture
def ask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Ask:
    """Exit code, output and errors of ``pairing ratio``, in an empty folder, 80 columns wide."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")

    def call(*args: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as stop:
            main(["ratio", *args])
        said = capsys.readouterr()
        assert isinstance(stop.value.code, int)
        return stop.value.code, said.out, said.err

    return call


def answer(ask: Ask, *args: str) -> dict[str, Any]:
    code, out, err = ask(*args, "--format", "json")
    assert (code, err) == (0, "")
    document = json.loads(out)
    assert isinstance(document, dict)
    return document


def process(*args: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", *args],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80", "PYTHONUTF8": "1"},
        timeout=60,
        check=False,
    )


# --- against hand calculation -------------------------------------------------------------


def published_density(brix: float) -> float:
    """kg/m3 at 20 °C, a parabola through three rows of shared/sucrose_density.csv.

    National Bureau of Standards Circular C440, Polarimetry, Saccharimetry and the Sugars.
    """
    with (ROOT / "shared" / "sucrose_density.csv").open(encoding="utf-8", newline="") as file:
        rows = [
            (float(r["brix"]), float(r["density_kg_per_m3"]))
            for r in csv.DictReader(file)
            if r["temperature_c"] == "20" and "C440" in r["citation"]
        ]
    (x0, y0), (x1, y1), (x2, y2) = sorted(rows, key=lambda row: abs(row[0] - brix))[:3]
    return (
        y0 * (brix - x1) * (brix - x2) / ((x0 - x1) * (x0 - x2))
        + y1 * (brix - x0) * (brix - x2) / ((x1 - x0) * (x1 - x2))
        + y2 * (brix - x0) * (brix - x1) / ((x2 - x0) * (x2 - x1))
    )


# s:1 by weight is 100 s/(s + 1) °Bx: hand calculation
@pytest.mark.parametrize(("strength", "brix"), [("1:1", 50.0), ("2:1", 200.0 / 3.0)])
def test_plain_syrup_by_hand(ask: Ask, strength: str, brix: float) -> None:
    got = answer(ask, "--strength", strength, "--yield-g", "500", "--strain-loss", "0")
    sugar = 500.0 * brix / 100.0
    assert got["sugar_g"] == pytest.approx(sugar, abs=0.01)
    assert got["water_g"] == pytest.approx(500.0 - sugar, abs=0.01)
    assert got["yield_g"] == pytest.approx(500.0, abs=0.01)
    assert got["brix"] == pytest.approx(brix, abs=0.03)  # white sugar holds a trace of water
    assert got["refractometer_brix"] == pytest.approx(brix, abs=0.03)
    density = 1000.0 * got["yield_g"] / got["yield_ml"]
    assert density == pytest.approx(published_density(got["brix"]), abs=0.3)
    assert got["evaporated_g"] == got["carried_off_g"] == got["left_on_pan_g"] == 0


def test_two_to_one_with_200_g_of_orange_slices_by_hand(ask: Ask) -> None:
    got = answer(
        ask, "--strength", "2:1", "--sugar-g", "250", "--fruit", "orange=200g", "--simmer-min", "12"
    )
    form = load().form("orange")
    assert form.form == "slice"
    assert form.brix_low is not None
    assert form.brix_high is not None
    assert form.water_percent is not None
    # 12 min at 97 °C: half the free diffusion of sucrose (5.2e-10 m2/s at 25 °C, Stokes-Einstein),
    # a sheet of 4 mm wetted on both sides (Crank 1975): 4 sqrt(Dt/(pi L^2)) while it is short,
    # else 1 - 8/pi^2 exp(-pi^2 Dt/L^2)
    thin = math.exp(580.0 / (370.15 - 138.0) - 580.0 / (298.15 - 138.0))
    fourier = 0.5 * 5.2e-10 * 370.15 / 298.15 / thin * 720.0 / 0.004**2
    share = 1.0 - 8.0 / math.pi**2 * (
        math.exp(-(math.pi**2) * fourier) + math.exp(-9.0 * math.pi**2 * fourier) / 9.0
    )
    brix = (form.brix_low + form.brix_high) / 200.0
    sap = 200.0 * min(1.0, form.water_percent / 100.0 / (1.0 - brix))
    juice = share * sap
    # 10 kg/(m2 h) off a 20 cm pan in 12 min is 62.8 g; 0.55 g of syrup for a gram of sap, and a
    # film of 0.3 mm on both faces; 2 % stays on pan and strainer: common practice, no source
    steam = 10.0 * math.pi * 0.1**2 * 0.2 * 1000.0
    held = 0.55 * juice + 200.0 * 2.0 * 0.3 / 4.0
    pot = 250.0 + 125.0 + juice - steam
    assert got["water_g"] == pytest.approx(125.0, abs=0.01)
    assert [(i["id"], i["grams"]) for i in got["ingredients"]] == [("sweet-orange", 200.0)]
    assert got["evaporated_g"] == pytest.approx(steam, abs=0.01)
    assert got["pot_before_straining_g"] == pytest.approx(575.0 - steam, abs=0.01)
    assert got["carried_off_g"] == pytest.approx(held, abs=0.5)
    assert got["drained_g"] == pytest.approx(200.0 - juice + held, abs=0.5)
    assert got["yield_g"] == pytest.approx((pot - held) * 0.98, abs=0.5)
    assert got["brix"] == pytest.approx(100.0 * (250.0 + juice * brix) / pot, abs=0.3)
    # a rich infused syrup that pours, 15 or more iced drinks of 20 g: common practice, no source
    assert 58 < got["brix"] < 70
    assert got["keeping"]["viscosity_4c_mpa_s"] < 1000
    assert got["servings"] >= 15
    assert got["serving_g"] == 20


def test_every_gram_is_accounted_for(ask: Ask) -> None:
    got = answer(
        ask,
        *("--brix", "64", "--yield-ml", "750", "--simmer-min", "10"),
        *("--fruit", "mandarin=300g", "--fruit", "lemon-juice=40g", "--spice", "green-cardamom=6g"),
    )
    into = got["sugar_g"] + got["water_g"] + sum(f["grams"] for f in got["ingredients"])
    out = got["yield_g"] + got["evaporated_g"] + got["drained_g"] + got["left_on_pan_g"]
    assert into == pytest.approx(got["put_in_g"], abs=0.01)
    assert out == pytest.approx(into, abs=0.01)
    assert got["brix"] == pytest.approx(64.0, abs=1e-3)
    assert got["yield_ml"] == pytest.approx(750.0, abs=1e-2)


@pytest.mark.parametrize("cook", [(), ("--simmer-min", "8", "--pan-cm", "24", "--lid")])
def test_forward_and_backward_agree(ask: Ask, cook: tuple[str, ...]) -> None:
    fruit = ("--fruit", "lemon peel=30g", "--spice", "black-pepper=2g", *cook)
    forward = answer(ask, "--sugar-g", "600", "--water-g", "400", *fruit)
    back = answer(ask, "--strength", "1.5:1", "--yield-g", str(forward["yield_g"]), *fruit)
    assert back["sugar_g"] == pytest.approx(600.0, abs=0.01)
    assert back["water_g"] == pytest.approx(400.0, abs=0.01)


def test_weight_of_the_pot_gives_the_steam(ask: Ask) -> None:
    got = answer(
        ask, "--sugar-g", "500", "--water-g", "300", "--fruit", "orange=200g", "--pot-g", "930"
    )
    assert got["evaporated_g"] == pytest.approx(70.0, abs=1e-6)
    assert got["simmer_min"] is None


def test_a_third_known_sets_what_to_boil_off(ask: Ask) -> None:
    # 500 g sugar in 500 g water to 64 °Bx: 1000 - 499.9/0.64 = 218.9 g of steam
    got = answer(ask, "--strength", "1:1", "--brix", "64", "--sugar-g", "500")
    assert got["evaporated_g"] == pytest.approx(1000.0 - 499.9 / 0.64, abs=0.2)
    assert got["simmer_min"] == pytest.approx(got["evaporated_g"] / (10 * math.pi / 6), rel=1e-3)


def test_scale_is_linear(ask: Ask) -> None:
    known = (
        "--strength",
        "2:1",
        "--sugar-g",
        "250",
        "--fruit",
        "orange=200g",
        "--simmer-min",
        "12",
    )
    one, four = answer(ask, *known), answer(ask, *known, "--scale", "4")
    for key in ("sugar_g", "water_g", "yield_g", "yield_ml", "evaporated_g", "carried_off_g"):
        assert four[key] == pytest.approx(4.0 * one[key], rel=1e-5)
    assert four["brix"] == pytest.approx(one["brix"], rel=1e-6)


def test_orders_of_two_sites(ask: Ask) -> None:
    got = answer(
        ask,
        *("--strength", "1.5:1", "--site", "harbour=120", "--site", "station=80", "--spare", "5"),
        *("--serving-g", "15", "--fruit", "orange=300g/kg"),
    )
    assert got["yield_g"] == pytest.approx(200 * 15 * 1.05, abs=0.01)
    assert got["sites"] == [{"site": "harbour", "grams": 1890}, {"site": "station", "grams": 1260}]
    assert got["ingredients"][0]["grams"] == pytest.approx(0.3 * got["yield_g"], abs=0.01)
    assert got["servings"] == 210


def test_strength_by_volume_weighs_the_cups(ask: Ask) -> None:
    # USDA SR28: a cup of granulated sugar 200 g, of honey 339 g; a cup of water at 20 °C
    # 236.588 ml (NIST Handbook 44) x 0.9982 g/ml (Kell 1975)
    water = 236.588 * 0.9982
    for sweetener, cup in (("sugar", 200.0), ("honey", 339.0)):
        got = answer(
            ask,
            *("--strength", "1:1", "--by-volume", "--water-g", "300", "--sweetener", sweetener),
        )
        assert got["sugar_g"] == pytest.approx(300.0 * cup / water, rel=1e-4)


def test_blend_of_sweeteners(ask: Ask) -> None:
    got = answer(
        ask,
        *("--brix", "68", "--yield-g", "1000", "--strain-loss", "0"),
        *("--sweetener", "sugar=75", "--sweetener", "invert syrup=25"),
    )
    parts = {s["id"]: s["grams"] for s in got["sweeteners"]}
    assert parts["white-cane-sugar"] == pytest.approx(3 * parts["invert-syrup"], rel=1e-5)
    plain = answer(ask, "--brix", "68", "--yield-g", "1000", "--strain-loss", "0")
    assert got["keeping"]["crystallises_below_c"] < plain["keeping"]["crystallises_below_c"] - 10


def test_cost_from_the_pantry(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "bar.toml").write_text(
        'currency = "EUR"\n[[prices]]\nitem = "sugar"\nper_kg = 1.2\n'
        '[[prices]]\nitem = "orange"\nper_kg = 2.5\n'
    )
    got = answer(
        ask,
        *("--strength", "2:1", "--sugar-g", "250", "--fruit", "orange=200g"),
        *("--spice", "green-cardamom=3g", "--pantry", str(tmp_path / "bar.toml")),
    )
    assert got["cost"]["batch"] == pytest.approx(0.25 * 1.2 + 0.2 * 2.5)
    assert got["cost"]["per_serving"] == pytest.approx(0.8 * 20 / got["yield_g"], rel=1e-4)
    assert got["cost"]["no_price_for"] == ["green-cardamom"]


# --- the four small sums ------------------------------------------------------------------


def test_correct_by_hand(ask: Ask) -> None:
    # 480 g at 58 °Bx to 64: x of sugar, (278.4 + x)/(480 + x) = 0.64; or 278.4/(480 - x) = 0.64
    got = answer(ask, "correct", "--batch-g", "480", "--reads", "58", "--want", "64")
    assert got["add_sugar_g"] == pytest.approx(80.0)
    assert got["boil_off_g"] == pytest.approx(45.0)
    assert got["add_water_g"] == 0
    assert got["cautions"]
    weaker = answer(ask, "correct", "--batch-g", "480", "--reads", "64", "--want", "58")
    assert weaker["add_water_g"] == pytest.approx(480 * 64 / 58 - 480, rel=1e-5)
    assert weaker["add_sugar_g"] == weaker["boil_off_g"] == 0
    done = answer(ask, "correct", "--batch-g", "480", "--reads", "64", "--want", "64")
    assert any("nothing to do" in note for note in done["notes"])


def test_correct_a_warm_sample_and_a_sour_one(ask: Ask) -> None:
    # a warm sample reads low (ICUMSA SPS-3), and so does acid, by 0.2 °Bx a percent (recalled)
    plain = answer(ask, "correct", "--batch-g", "480", "--reads", "58", "--want", "64")
    warm = answer(
        ask, "correct", "--batch-g", "480", "--reads", "58", "--want", "64", "--sample-c", "30"
    )
    assert plain["brix_now"] + 0.5 < warm["brix_now"] < plain["brix_now"] + 1.0
    sour = answer(
        ask, "correct", "--batch-g", "480", "--reads", "58", "--want", "64", "--acid", "2"
    )
    assert sour["brix_now"] == pytest.approx(58.4)


def test_blend_by_hand(ask: Ask) -> None:
    got = answer(ask, "blend", "300@1:1", "200@2:1")
    assert got["brix"] == pytest.approx((150 + 400 / 3) / 5)
    back = answer(ask, "blend", "50", "2:1", "--want", "60", "--make-g", "500")
    assert back["first"]["grams"] == pytest.approx(200.0)
    assert back["second"]["grams"] == pytest.approx(300.0)


def test_swap_strength_keeps_sugar_and_water(ask: Ask) -> None:
    got = answer(ask, "swap-strength", "--syrup-g", "30", "--from", "1:1", "--to", "2:1")
    assert got["syrup_g"] == pytest.approx(22.5)
    assert got["drink_water_change_g"] == pytest.approx(15.0 - 7.5)


def test_swap_sweetener(ask: Ask) -> None:
    rows = load()
    honey = rows.sweetener("honey")
    got = answer(ask, "swap-sweetener", "sugar", "honey", "--grams", "250", "--keep", "solids")
    assert got["new"]["grams"] == pytest.approx(
        250 * (1 - rows.sweetener("sugar").water_percent / 100) / (1 - honey.water_percent / 100),
        rel=1e-4,
    )
    assert any("12 months" in note for note in got["notes"])


# --- printing -----------------------------------------------------------------------------

FULL = (
    *("--strength", "2:1", "--yield-g", "900", "--fruit", "orange=200g", "--simmer-min", "12"),
    *("--spice", "green-cardamom=4g", "--household"),
)


def test_table_fits_eighty_columns_and_warns_of_hot_sugar(ask: Ask) -> None:
    code, out, _ = ask(*FULL)
    assert code == 0
    assert max(len(line) for line in out.splitlines()) <= 80
    assert not re.search(r"about \S+ one ", out)
    for word in ("Weigh", "Sweet orange slices", "cup", "°Bx", "boils off", "carried off",
                 "refrigerat", "local", "burns", "date"):  # fmt: skip
        assert word in out


def test_csv_is_long_and_balances(ask: Ask) -> None:
    code, out, _ = ask(*FULL, "--format", "csv")
    assert code == 0
    rows = list(csv.DictReader(io.StringIO(out)))
    assert list(rows[0]) == ["item", "grams", "what", "household"]
    sums = {
        what: sum(float(r["grams"]) for r in rows if r["what"] == what)
        for what in ("weigh", "lost", "yield")
    }
    assert sums["weigh"] == pytest.approx(sums["lost"] + sums["yield"], abs=0.02)
    assert sums["yield"] == pytest.approx(900.0, abs=0.01)


def test_stop_stands_first(ask: Ask) -> None:
    known = ("--strength", "2:1", "--yield-g", "500", "--spice", "cassia=200g")
    for how in ("table", "markdown", "csv", "json"):
        code, out, _ = ask(*known, "--format", how)
        assert code == 3, how
        if how == "csv":
            rows = list(csv.DictReader(io.StringIO(out)))
            stops = [r for r in rows if r["item"] == "stop"]
            assert rows[: len(stops)] == stops != []
            assert "coumarin" in stops[0]["what"]
        elif how == "json":
            assert json.loads(out)["stops"]
        else:
            assert out.startswith("STOP:")


@pytest.mark.parametrize("plant", ["tonka-bean", "bitter-almond", "sassafras"])
def test_it_refuses_what_formula_refuses(ask: Ask, plant: str) -> None:
    code, out, err = ask("--strength", "2:1", "--yield-g", "500", "--fruit", f"{plant}=2g")
    assert (code, out) == (3, "")
    assert refusal(CATALOG, plant) in err
    assert len(err.splitlines()) == 1


def test_a_serving_weighs_at_least_a_gram(ask: Ask) -> None:
    for grams in ("0.99", "1e-308"):
        code, out, err = ask("--strength", "2:1", "--yield-g", "500", "--serving-g", grams)
        assert (code, out, len(err.splitlines())) == (2, "", 1)
        assert "at least 1" in err


@pytest.mark.parametrize(
    "what", [(), ("correct",), ("blend",), ("swap-strength",), ("swap-sweetener",)]
)
def test_help_has_examples_and_fits(ask: Ask, what: tuple[str, ...]) -> None:
    code, out, _ = ask(*what, "--help")
    assert code == 0
    assert f"pairing ratio {' '.join(what)}".rstrip() in out
    assert "Example" in out
    assert max(len(line) for line in out.splitlines()) <= 80


def test_every_option_is_in_the_help(ask: Ask) -> None:
    from pairing.cli.ratio import ratio

    _, out, _ = ask("--help")
    for param in ratio.params:
        assert param.opts[0] in out


def test_examples_of_the_help_run(ask: Ask) -> None:
    import shlex

    for what in ((), ("correct",), ("blend",), ("swap-strength",), ("swap-sweetener",)):
        _, out, _ = ask(*what, "--help")
        examples = [
            line.strip() for line in out.splitlines() if line.startswith("    pairing ratio ")
        ]
        assert examples
        for example in examples:
            code, _, err = ask(*shlex.split(example)[2:])
            assert (code, err) == (0, ""), example


# --- bad input ----------------------------------------------------------------------------

BASE = ("--strength", "2:1", "--yield-g", "500")
BAD: list[tuple[tuple[str, ...], str]] = [
    (("--strength", "2:1", "--yield-g", "-5"), "more|at least"),
    (("--strength", "2:1", "--yield-g", "nan"), "finite"),
    (("--strength", "2:1", "--yield-g", "inf"), "finite"),
    (("--strength", "2:1", "--yield-g", "0"), "at least"),
    (("--strength", "2:1", "--yield-g", "ten"), "not a number"),
    (("--strength", "2:1", "--yield-g", "1e300"), "out of range"),
    (("--strength", "2:1", "--yield-g", "1e-300"), "out of range"),
    (("--strength", "2:1", "--yield-g", "1e6", "--scale", "1e4"), "10 t"),
    (("--brix", "90", "--yield-g", "500"), "saturated at 82.7 °Bx"),
    (("--strength", "5:1", "--yield-g", "500"), "saturated at 82.7 °Bx"),
    (
        ("--strength", "3:1", "--yield-g", "500"),  # saturation 66.7 to 67.1 °Bx at 20 °C (ICUMSA)
        "saturated at 66.8 °Bx, can grain above it and is refused above 72.3 °Bx",
    ),
    (("--brix", "nan", "--yield-g", "500"), "finite"),
    (("--brix", "0", "--yield-g", "500"), "more than 0"),
    (("--strength", "2", "--yield-g", "500"), "such as 2:1"),
    (("--strength", "2:0", "--yield-g", "500"), "such as 2:1"),
    (("--strength", "0:1", "--yield-g", "500"), "above 0"),
    (("--strength", "abc", "--yield-g", "500"), "such as 2:1"),
    (("--strength", "-2:1", "--yield-g", "500"), "such as 2:1"),
    (("--strength", "9" * 400 + ":1", "--yield-g", "500"), "strength"),
    (("--strength", "2:1", "--yield-g", "20", "--fruit", "orange=500g"), "make more than that"),
    (("--brix", "64", "--sugar-g", "100", "--fruit", "orange-juice=500g"), "boil off"),
    ((*BASE, "--fruit", "orange=200"), "of what"),
    ((*BASE, "--fruit", "unobtainium=3g"), "unknown ingredient"),
    ((*BASE, "--fruit", "cardamum=3g"), "green-cardamom"),
    ((*BASE, "--fruit", "orange"), "orange=200g"),
    ((*BASE, "--fruit", "=200g"), "orange=200"),
    ((*BASE, "--fruit", "orange="), "orange=200"),
    ((*BASE, "--fruit", "orange=nan g"), "should look like"),
    ((*BASE, "--fruit", "orange=0g"), "more than 0"),
    ((*BASE, "--fruit", "orange=many"), "should look like"),
    ((*BASE, "--fruit", "orange=99999999g"), "at most"),
    ((*BASE, "--fruit", "orange=5/lb"), "g/kg"),
    ((*BASE, "--fruit", "orange=5g", "--fruit", "sweet-orange=3g"), "twice"),
    ((*BASE, "--fruit", "or\nange=5g"), "orange=200"),
    ((*BASE, "--sweetener", "beeswax"), "unknown sweetener"),
    ((*BASE, "--sweetener", "sugar=80", "--sweetener", "honey"), "share"),
    ((*BASE, "--sweetener", "sugar=80", "--sweetener", "white sugar=20"), "twice"),
    (("--strength", "2:1"), "how much"),
    ((), "how much"),
    (("--yield-g", "500"), "strength such as 2:1"),
    ((*BASE, "--yield-ml", "500"), "said twice"),
    ((*BASE, "--site", "harbour=20"), "said twice"),
    ((*BASE, "--servings", "20"), "said twice"),
    ((*BASE, "--spare", "5"), "--site"),
    (("--strength", "2:1", "--site", "harbour=0"), "more than 0"),
    (("--strength", "2:1", "--site", "harbour"), "harbour=120"),
    (("--strength", "2:1", "--site", "harbour=9", "--scale", "2"), "--spare"),
    (("--brix", "50", "--yield-g", "500", "--by-volume"), "strength"),
    (("--sugar-g", "200", "--water-g", "100", "--strength", "1:1"), "leave one"),
    (("--sugar-g", "200", "--water-g", "100", "--evaporated-g", "101"), "100.0 g of water"),
    (("--sugar-g", "200", "--water-g", "100", "--pot-g", "900"), "600.0 g|only 300"),
    (("--strength", "1:1", "--brix", "64", "--sugar-g", "500", "--simmer-min", "5"), "three"),
    (("--strength", "2:1", "--brix", "50", "--sugar-g", "500"), "add water"),
    ((*BASE, "--simmer-min", "1e9"), "1,440"),
    ((*BASE, "--pan-cm", "0"), "at least 5"),
    ((*BASE, "--heat", "lava"), "simmer"),
    ((*BASE, "--strain-loss", "100"), "at most 50"),
    ((*BASE, "--pantry", "nowhere.toml"), "no pantry"),
    ((*BASE, "--data", "nowhere"), "no data folder"),
    (("--strength", "2:1", "--sugar-g", "20", "--spice", "clove=100g"), "more sugar and water"),
    (("2:1",), "--strength 2:1"),
    (("corect",), "correct"),
    (("--strength", "2:1", "correct", "--batch-g", "5"), "stands before correct"),
    (("--bogus", "3"), "--bogus"),
    (("correct", "--batch-g", "480", "--reads", "58", "--want", "90"), "at most 85"),
    (("correct", "--batch-g", "480", "--reads", "58", "--want", "84.9"), "82.7"),
    (("correct", "--batch-g", "480", "--reads", "nan", "--want", "64"), "more than 0"),
    (("correct", "--batch-g", "0", "--reads", "58", "--want", "64"), "at least"),
    (("correct", "--batch-g", "480"), "--reads"),
    (("blend", "300", "200"), "300@2:1"),
    (("blend", "300@0", "200@2:1"), "more than 0"),
    (("blend", "nan@50", "200@2:1"), "more than 0"),
    (("blend", "300@2:1"), "SECOND"),
    (("blend", "50", "2:1", "--want", "70", "--make-g", "500"), "nearest"),
    (("blend", "50", "2:1", "--want", "60"), "--make-g"),
    (("blend", "5@50", "2:1", "--want", "60", "--make-g", "5"), "strengths alone"),
    (("swap-strength", "--syrup-g", "20", "--from", "2:1", "--to", "1:9",
      "--drink-water-g", "10"), "at least"),
    (("swap-strength", "--syrup-g", "20", "--from", "2:1", "--to", "0"), "more than 0"),
    (("swap-sweetener", "sugar", "plutonium", "--grams", "5"), "unknown sweetener"),
]  # fmt: skip


@pytest.mark.parametrize(("args", "hint"), BAD, ids=[" ".join(a)[:60] for a, _ in BAD])
def test_bad_input_gets_one_line_and_exit_code_2(
    ask: Ask, args: tuple[str, ...], hint: str
) -> None:
    code, out, err = ask(*args)
    assert code == 2
    assert out == ""
    assert err.count("\n") == 1
    assert err.startswith("pairing: ")
    assert any(word in err for word in hint.split("|")), err


# --- speed --------------------------------------------------------------------------------

HEAVY = ("pandas", "sklearn", "scipy", "networkx", "matplotlib")


def test_no_heavy_module_is_loaded() -> None:
    code = (
        "import sys\nfrom pairing.cli import main\n"
        "try: main(['ratio', '--strength', '2:1', '--yield-g', '500', '--fruit', 'orange=200g'])\n"
        f"except SystemExit: print([m for m in {HEAVY} if m in sys.modules], file=sys.stderr)"
    )
    done = process(code)
    assert done.stderr.strip() == "[]"
    assert "Sweet orange slices" in done.stdout
