"""What a barista and an inspector read of a drink and a label on the command line."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess
from typing import Any

import pytest

from pairing.evidence.catalog import load
from pairing.evidence.tables import data_folder
from pairing.safety.food_code import needs_control

Run = Callable[..., CompletedProcess[str]]


def plain(done: CompletedProcess[str]) -> str:
    assert done.stderr == ""
    return re.sub(r"\s+", " ", done.stdout)


def record(run: Run, *args: str) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(run(*args, "--format", "json").stdout)
    return document


@pytest.mark.parametrize(
    "args",
    [
        ("lemon-peel", "clove", "--brew", "cold-brew", "--style", "cold-brew", "--glass", "16oz"),
        ("mandarin", "--brew", "filter", "--style", "iced", "--glass", "16oz"),
        ("--style", "iced", "--coffee-g", "60"),
        ("green-cardamom", "--style", "milk", "--coffee-g", "20"),
    ],
    ids=" ".join,
)
def test_caffeine_is_that_of_the_coffee_poured(run: Run, args: tuple[str, ...]) -> None:
    made = record(run, "drink", *args)
    said = [f["amount"] for f in made["findings"] if f["code"] == "caffeine"]
    assert said
    assert said == pytest.approx([made["caffeine_range_mg"]["high"]] * len(said))


@pytest.mark.parametrize(
    ("milk", "word"), [("dairy", "MILK"), ("oat", "OATS"), ("almond", "ALMOND"), ("soya", "SOYA")]
)
@pytest.mark.parametrize("style", ["milk", "iced-milk"])
def test_allergens_name_the_milk_that_is_in_it(run: Run, style: str, milk: str, word: str) -> None:
    text = plain(run("drink", "vanilla", "--style", style, "--milk", milk))
    assert f"Contains {word} (" in text
    assert ("Contains milk" in text) is False
    assert ("MILK" in text) == (milk == "dairy")
    assert ("Do not steam milk twice" in text) == (style == "milk")


@pytest.mark.parametrize("style", ["iced", "sparkling", "hot", "cold-brew"])
def test_no_milk_no_words_on_milk(run: Run, style: str) -> None:
    text = plain(run("drink", "green-cardamom", "--style", style)).lower()
    assert "milk" not in text
    assert "hot holding" not in text


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("--glass", "12oz"), "Into a highball glass, 12 fl oz (355 ml to the brim)"),
        (("--glass", "16 oz"), "Into a pint glass, 16 fl oz (473 ml to the brim)"),
        (("--glass", "8oz"), "Into an 8 oz glass (237 ml to the brim)"),
        (("--glass", "8oz", "--style", "hot"), "Into an 8 oz cup (237 ml to the brim)"),
        (("--glass", "300ml", "--style", "hot"), "Into a mug, 10 fl oz (300 ml to the brim)"),
        (("--glass", "420ml"), "Into a 420 ml glass"),
    ],
)
def test_glasses_are_named_as_they_are_said(run: Run, args: tuple[str, ...], says: str) -> None:
    text = plain(run("drink", *args))
    assert says in text
    assert not re.search(r"\d\.\d+ ml glass", text)


def test_crema_is_said(run: Run) -> None:
    """40 g of double espresso is 39 ml, 44 ml with its crema, as `list brews` has it."""
    assert "39 (44 with crema)" in plain(run("drink"))


def test_one_keeping_time_a_sheet(run: Run) -> None:
    """Food Code 2022, 3-501.17: seven days at most, where Table B asks for control."""
    for name in ("green-cardamom", "hazelnut-roasted", "vanilla", "mandarin", "honey"):
        made = record(run, "formula", name)
        keeping = made["keeping"]
        high = keeping["ph_estimate"] + keeping["ph_uncertainty"]
        if needs_control(load(), keeping["water_activity"], high):
            assert keeping["days"] <= 7
        text = plain(run("formula", name, "--cautions"))
        days = {int(d) for d in re.findall(r"(\d+) days", text)}
        assert days <= {keeping["days"], 7}, (name, days)
        label = plain(run("label", name, "--made-on", "2026-11-24"))
        assert f"Use by {23 + keeping['days']}.11.2026" in label or keeping["days"] > 7
        assert "5 °C or colder" in label
        assert "4 °C or colder" not in text


def test_pollen_is_said_of_the_flowers_that_carry_it(run: Run) -> None:
    for name, said in (("chamomile", True), ("hibiscus", False), ("rose-petal", False)):
        assert ("Pollen" in plain(run("formula", name, "--cautions"))) is said


def test_temperatures_carry_their_degree_sign() -> None:
    for name in ("hazards", "process_cautions", "rules", "limits"):
        with (data_folder() / f"{name}.csv").open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                for text in (row.get("text", ""), row.get("note", "")):
                    assert not re.search(r"\d C\b", text or ""), row


def test_label_is_of_the_bottle(run: Run) -> None:
    text = plain(run("label", "vanilla", "hazelnut-roasted", "--style", "milk", "--milk", "oat"))
    bottle, _, cup = text.partition("In the drink")
    assert "Roasted HAZELNUT" in bottle
    assert "Contains:" not in bottle  # EU and UK: emphasised in the list, not said twice
    assert "OATS" not in bottle
    assert "Contains OATS" in cup
    assert "mg caffeine" in cup
    assert "Vanilla bean and roasted hazelnut syrup" in bottle


def test_ingredient_list_has_one_comma_an_ingredient(run: Run) -> None:
    for names in (("pistachio-roasted", "hazelnut-roasted"), ("liquorice-root", "honey")):
        text = plain(run("label", *names))
        (listed,) = re.findall(r"Ingredients: (.*?)\.(?:\s|$)", text)
        assert len(listed.split(", ")) == 2 + len(names)


@pytest.mark.parametrize("command", ["drink", "formula", "label"])
def test_a_milk_that_would_go_nowhere_is_refused(run: Run, command: str) -> None:
    """An oat drink that is poured with water names no oats: the allergen would be lost."""
    done = run(command, "vanilla-bean", "--style", "iced", "--milk", "oat")
    assert done.returncode == 2
    assert "holds no milk" in done.stderr
    assert "--style iced-milk" in done.stderr
    assert run(command, "vanilla-bean", "--style", "iced-milk", "--milk", "oat").returncode == 0


def test_a_milk_in_a_kept_file_is_not_lost_either(run: Run, tmp_path: Path) -> None:
    kept = tmp_path / "k.toml"
    kept.write_text(
        'version = 1\ncommand = "drink"\ningredients = ["mandarin"]\nmilk = "oat"\nstyle = "iced"\n'
    )
    done = run("drink", "--from", str(kept))
    assert done.returncode == 2
    assert "holds no milk" in done.stderr
