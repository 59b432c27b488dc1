"""What is printed without asking fits a phone in one hand; nothing a person must know is cut."""

from __future__ import annotations

import shlex

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
]


def printed(words: str) -> list[str]:
    done = CliRunner(env={"COLUMNS": "80"}).invoke(cli, shlex.split(words))
    assert done.exit_code in (0, 3), done.exception
    return done.stdout.splitlines()


@pytest.mark.parametrize("words", FORMULAS)
def test_a_formula_is_at_most_sixty_lines(words: str) -> None:
    assert len(printed(f"formula {words}")) <= 60


@pytest.mark.parametrize("words", DRINKS)
def test_a_drink_is_at_most_forty_five_lines(words: str) -> None:
    assert len(printed(f"drink {words}")) <= 45


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
