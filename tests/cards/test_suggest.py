"""Short enough for seven in the morning: suggest in 45 lines, check in 30, 80 columns."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from pairing.cli import cli

COFFEES = (
    "",
    "--origin burundi --process washed --roast light",
    "--origin kenya --roast light --brew filter",
    "--origin brazil --process natural",
    "--origin sumatra --roast dark --style milk",
    "--origin panama-gesha --roast light --style sparkling",
    "--origin vietnam --species robusta --roast dark",
    "--origin ethiopia --process natural --brew cold-brew --style iced",
    "--origin guatemala --style latte",
    "--origin yemen --style hot",
    "--origin mexico --mood warm",
    "--notes blackcurrant,grapefruit --mood fresh",
)


def lines(command: str, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    monkeypatch.setenv("COLUMNS", "80")
    done = CliRunner().invoke(cli, command.split())
    assert done.exit_code == 0, done.output
    return done.output.splitlines()


@pytest.mark.parametrize("words", COFFEES)
def test_suggest_is_read_at_a_glance(words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    said = lines(f"suggest {words}", monkeypatch)
    assert len(said) <= 45
    assert max(map(len, said)) <= 80


@pytest.mark.parametrize("words", COFFEES)
def test_check_is_a_colleagues_answer(words: str, monkeypatch: pytest.MonkeyPatch) -> None:
    coffee = words.split(" --mood")[0]
    for name in ("clove", "hazelnut-roasted"):
        said = lines(f"check {name} {coffee}", monkeypatch)
        assert len(said) <= 30
        assert max(map(len, said)) <= 80
