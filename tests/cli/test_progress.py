"""A long wait is told at a terminal alone, and leaves nothing behind."""

from __future__ import annotations

import io
import sys
import time

import pytest

from pairing.cli import progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def opened(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """In the test itself: pytest puts its own stream in place between setup and call."""
    made = Terminal()
    monkeypatch.setattr(sys, "stderr", made)
    monkeypatch.setattr(progress, "FIRST_S", 0.05)
    monkeypatch.setattr(progress, "STEP_S", 0.02)
    return made


def test_what_takes_long_is_told_and_cleared(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = opened(monkeypatch)
    with progress.waiting("scoring 3 rows"):
        time.sleep(0.2)
    said = terminal.getvalue()
    assert said.count("scoring 3 rows: 0 s") >= 1
    assert said.endswith(progress.CLEAR)


def test_what_is_quick_says_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = opened(monkeypatch)
    with progress.waiting("nothing"):
        pass
    assert terminal.getvalue() == ""


def test_a_failure_clears_the_line_too(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = opened(monkeypatch)

    def fail() -> None:
        with progress.waiting("failing"):
            time.sleep(0.1)
            raise ValueError

    with pytest.raises(ValueError):
        fail()
    assert terminal.getvalue().endswith(progress.CLEAR)


def test_a_pipe_hears_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    quiet = io.StringIO()
    monkeypatch.setattr(sys, "stderr", quiet)
    monkeypatch.setattr(progress, "FIRST_S", 0.0)
    with progress.waiting("scoring"):
        time.sleep(0.05)
    assert quiet.getvalue() == ""
