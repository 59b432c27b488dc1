"""What is printed without asking fits a phone in one hand; nothing a person must know is cut."""

from __future__ import annotations

import json
import re
import shlex
from typing import Any

import pytest
from click.testing import CliRunner

from pairing.cli import cli

FORMULAS = [
    "mandarin green-cardamom black-pepper --coffee 'washed burundi light espresso'",
    "mandarin clove --origin kenya --roast light",
    "hazelnut-roasted cocoa-powder --style milk --milk oat",
    "ginger-fresh lemon-juice mint --style cold-brew --brew cold-brew",
    "rose-petal lavender saffron --style hot",
    "yuzu-juice hibiscus --style sparkling",
    "vanilla-bean --origin sumatra --roast dark",
    "liquorice-root",
    "orange-peel ceylon-cinnamon --origin brazil",
    "grapefruit-peel rosemary --origin colombia",
    "star-anise pear --origin guatemala",
    "coconut vanilla-bean --style iced-milk --milk coconut",
]
DRINKS = [
    "mandarin green-cardamom black-pepper --coffee 'washed burundi light espresso'",
    "vanilla-bean --style milk",
    "--style sparkling",
    "hazelnut-roasted --style iced-milk --milk almond",
    "lemon-juice mint --style cold-brew --brew cold-brew --glass 16oz",
    "ginger-fresh --style hot",
    "--style tonic --glass can-8",
    "--style nitro --brew cold-brew --add sweet-cream-foam",
    "--style espresso-cocktail",
    "--style hot --add whisky --add whipped-cream",
    "green-cardamom --style latte --milk oat --add 'green cardamom in milk'",
    "vanilla --style mocha --as half-sweet --as vegan",
    "mandarin --style iced --add cold-foam --add 'bitters=2 dashes'",
    "hazelnut-roasted --style affogato",
    "--brew cold-brew-concentrate --style sparkling --glass can-8 --mixer tonic-water",
]


def printed(words: str) -> list[str]:
    done = CliRunner(env={"COLUMNS": "80"}).invoke(cli, shlex.split(words))
    assert done.exit_code in (0, 3), done.exception
    return done.stdout.splitlines()


@pytest.mark.parametrize("words", FORMULAS)
def test_a_formula_is_at_most_sixty_lines(words: str) -> None:
    assert len(printed(f"formula {words}")) <= 60


def asked(words: str) -> dict[str, Any]:
    done = CliRunner().invoke(cli, shlex.split(f"formula {words} --format json"))
    return dict(json.loads(done.stdout))


FOURS = [
    "mandarin green-cardamom black-pepper ceylon-cinnamon",
    "orange-peel cassia clove vanilla-bean",
    "mandarin clove nutmeg cassia",
    "hazelnut-roasted cacao-nib vanilla-bean cassia --style milk",
    "black-tea jasmine rose-petal saffron",
    "lemon ginger-fresh honey mint",
    "mandarin clove cassia citric-acid --dose 'citric-acid=pH 3.2'",
    "clove --dose clove=900g/kg",
]


@pytest.mark.parametrize("words", FOURS)
def test_four_ingredients_or_a_stop_are_at_most_sixty_lines(words: str) -> None:
    lines = printed(f"formula {words}")
    assert len(lines) <= 60
    short, made = " ".join(" ".join(lines).split()), asked(words)
    for stop in made["stops"]:
        assert f"STOP: {stop}" in short
    for step in made["steps"]:
        assert step in short
    for item in made["ingredients"]:
        assert item["name"].split(",")[0] in short
    for f in made["findings"]:
        if f["code"] == "allergen" and f["level"] == "allergen":
            assert f["subject"].split("-")[0].casefold() in short.casefold()


def test_a_poisonous_look_alike_is_never_left_out_for_length() -> None:
    short = " ".join(" ".join(printed("formula black-tea jasmine rose-petal saffron")).split())
    assert "Cestrum, sold as jasmine in gardens, are poisonous" in short


def test_what_is_left_out_for_length_is_counted() -> None:
    short = " ".join(printed("formula orange-peel cassia clove vanilla-bean"))
    assert "more: --cautions" in short
    assert "Up to" in short  # a figure of a limit stays
    assert "Burn: 20 minutes under cool running water" in " ".join(short.split())
    assert "sugar scorches" in " ".join(short.split())


@pytest.mark.parametrize("words", DRINKS)
def test_a_drink_is_at_most_forty_five_lines(words: str) -> None:
    assert len(printed(f"drink {words}")) <= 45


@pytest.mark.parametrize("words", DRINKS)
def test_a_short_drink_loses_no_allergen_and_no_stop(words: str) -> None:
    document = json.loads("\n".join(printed(f"drink {words} --format json")))
    said = " ".join(" ".join(printed(f"drink {words}")).split())
    for finding in document["findings"]:
        if finding["code"] == "allergen":
            listed = re.search(r"Contains ([A-Z ]+),", finding["text"])
            word = listed[1] if listed else finding["text"].split(":")[0].split(" ")[-1]
            assert word.upper() in said.upper(), finding
        if finding["level"] == "stop" or finding["code"] == "allergen-unknown":
            assert " ".join(finding["text"].split()) in said


@pytest.mark.parametrize("name", ["green-cardamom", "hazelnut-roasted", "tonka-bean", "clove"])
def test_a_check_is_at_most_thirty_lines(name: str) -> None:
    done = CliRunner(env={"COLUMNS": "80"}).invoke(cli, ["check", name, "--origin", "kenya"])
    assert len(done.output.splitlines()) <= 30


@pytest.mark.parametrize("words", ["burundi", "kenya", "brazil", "ethiopia", "sumatra"])
def test_a_suggestion_is_at_most_forty_five_lines(words: str) -> None:
    assert len(printed(f"suggest --origin {words}")) <= 45


@pytest.mark.parametrize("command", ["formula", "drink"])
def test_allergens_stand_under_the_title_and_more_is_told_when_asked(command: str) -> None:
    short = printed(f"{command} hazelnut-roasted --style milk")
    assert any("HAZELNUT" in line.upper() for line in short[:8])
    assert any("MILK" in line for line in short[:8])
    every = printed(f"{command} hazelnut-roasted --style milk --cautions")
    assert len(every) > len(short)
    assert "--cautions" in " ".join(short)


def test_stops_stand_first_and_last_at_any_length() -> None:
    said = " ".join(printed("formula clove --dose clove=900g/kg"))
    assert said.startswith("STOP")
    assert said.rindex("STOP") > said.index("Watch")


def test_why_and_sources_tell_the_rest_of_a_formula() -> None:
    short, why = (printed(f"formula mandarin clove{more}") for more in ("", " --why"))
    assert "boiled off" in " ".join(why)
    assert "boiled off" not in " ".join(short)
    assert "Sources" in printed("formula mandarin clove --sources")


LONG = [
    ("formula mandarin cassia nutmeg star-anise --sweetener sugar=50 --sweetener allulose=50", 70),
    ("formula hazelnut-roasted cacao-nib vanilla-bean cassia --style milk --sweetener sugar=50 "
     "--sweetener allulose=50", 70),
    ("formula mandarin cassia clove black-pepper --technique sugar=dry-caramel", 65),
    ("formula lemon ginger-fresh mint hibiscus", 60),
    ("drink mandarin --style iced --add cold-foam --add 'bitters=2 dashes' --add nutmeg=0.1g", 50),
    ("drink mandarin clove --add cold-foam --add 'orange peel=1 strip' --add cinnamon=0.1g", 45),
    ("drink vanilla --style latte --add 'green cardamom in milk' --add cocoa-powder=0.5g "
     "--add cinnamon=0.1g", 48),
    ("drink 'hot chocolate' --add whipped-cream --add cassia=0.1g --add orange-liqueur", 45),
]  # fmt: skip


@pytest.mark.parametrize(("words", "most"), LONG)
def test_long_answers_keep_every_stop_step_and_figure(words: str, most: int) -> None:
    lines = printed(words)
    assert len(lines) <= most
    said = " ".join(" ".join(lines).split())
    document = json.loads("\n".join(printed(f"{words} --format json")))
    for stop in document["stops"]:
        assert f"STOP: {stop}" in said
    if words.startswith("formula") or not document["stops"]:
        for step in document["steps"]:
            assert " ".join(step.split()) in said
    for f in document["findings"]:
        if f["code"] == "caffeine":
            assert "caffeine per drink" in said
        if f["code"] == "limit" and f["level"] not in ("stop", "note"):
            assert f["subject"].split("-")[0] in said.casefold()
