"""The first things a newcomer types."""

from __future__ import annotations

import gc
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest

import pairing.cli as commands
from pairing.cli import COMMANDS, cli

ROOT = Path(__file__).resolve().parents[2]
Run = Callable[..., subprocess.CompletedProcess[str]]


def test_bare_pairing_greets_in_ten_lines(run: Run) -> None:
    done = run()
    assert done.returncode == 0
    assert done.stderr == ""
    assert len(done.stdout.splitlines()) <= 10
    assert done.stdout.count("\n  pairing ") == 3
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_the_greeting_names_commands_that_are_there() -> None:
    said = [line.split()[1] for line in commands.GREETING.splitlines() if line.startswith("  ")]
    assert len(said) == 3
    assert set(said) <= set(COMMANDS)


@pytest.mark.parametrize("group", ["graph"])
def test_a_bare_group_prints_its_help_as_help(run: Run, group: str) -> None:
    done = run(group)
    assert done.returncode == 0
    assert f"Usage: pairing {group}" in done.stdout.splitlines()[0]
    assert "Commands:" in done.stdout


def test_python_m_pairing_is_the_command() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "pairing", "--version"],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=False,
    )
    assert done.returncode in (0, 70)  # 70: a checkout that is not installed has no version
    assert "pairing" in done.stdout + done.stderr


@pytest.mark.parametrize("words", [("suggest",), ("graph", "path")])
def test_help_of_a_command(run: Run, words: tuple[str, ...]) -> None:
    assert run("help", *words).stdout == run(*words, "--help").stdout


def test_help_of_no_command_is_one_line(run: Run) -> None:
    done = run("help", "brew-me-one")
    assert done.returncode == commands.BAD_INPUT
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_says_what_to_do_and_gives_the_script(run: Run, shell: str) -> None:
    assert f"pairing completion {shell} --script" in run("completion", shell).stdout
    assert "_PAIRING_COMPLETE" in run("completion", shell, "--script").stdout


def test_main_leaves_the_collector_as_it_was() -> None:
    with pytest.raises(SystemExit):
        commands.main(["--help"])
    assert gc.isenabled()


def test_a_fault_of_the_program_has_its_own_code(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_args: object, **_more: object) -> None:
        raise RuntimeError("a bug")

    monkeypatch.setattr(cli, "main", broken)
    with pytest.raises(SystemExit) as stopped:
        commands.main([])
    assert stopped.value.code == commands.FAULT
    said = capsys.readouterr().err
    assert "a bug" in said
    assert said.splitlines()[-1].startswith("pairing: a fault of the program")


def test_every_command_has_one_short_line() -> None:
    context = click.Context(cli)
    for name in COMMANDS:
        command = cli.get_command(context, name)
        assert command is not None
        assert command.short_help
        assert command.help


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        ("pairing check gre", "green-cardamom"),
        ("pairing formula man", "mandarin"),
        ("pairing drink --origin bur", "burundi"),
        ("pairing suggest --roast da", "dark"),
        ("pairing sug", "suggest"),
    ],
)
def test_the_tab_key_offers_names(words: str, offered: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from pairing.cli import console; console()"],
        capture_output=True,
        text=True,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "_PAIRING_COMPLETE": "bash_complete",
            "COMP_WORDS": words,
            "COMP_CWORD": str(len(words.split()) - 1),
        },
        check=False,
    )
    assert f"plain,{offered}" in done.stdout.splitlines()


def test_a_dash_stands_for_the_pipe(run: Run) -> None:
    said = "ingredient_a,ingredient_b\nmandarin,clove\n"
    done = run("score", "-", "--coffee", "brazil", "--format", "csv", stdin=said)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[1].startswith("mandarin,clove,")
