"""What must answer fast must not import what is slow. No timing here: see scripts/bench/."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from pairing.aroma.cup import cups
from pairing.evidence.catalog import Catalog

ROOT = Path(__file__).resolve().parent.parent
SLOW = ("pandas", "sklearn", "matplotlib", "frictionless", "chemicals")


@pytest.mark.parametrize(
    "args",
    [
        ("suggest", "--origin", "burundi"),
        ("check", "green-cardamom", "--origin", "kenya"),
        ("formula", "mandarin", "green-cardamom"),
        ("drink", "mandarin", "--style", "sparkling"),
        ("label", "mandarin"),
        ("ratio", "--strength", "2:1", "--yield-g", "500"),
        ("show", "clove"),
        ("list", "groups"),
    ],
    ids=lambda a: a[0],
)
def test_slow_libraries_stay_out(args: tuple[str, ...]) -> None:
    assert _loaded(args, SLOW) == []


@pytest.mark.parametrize(
    "args",
    [("formula", "mandarin", "--origin", "burundi"), ("drink", "mandarin", "--style", "iced")],
    ids=lambda a: a[0],
)
def test_what_they_do_not_print_stays_out(args: tuple[str, ...]) -> None:
    """Each of these once took a hundredth to a tenth of the command."""
    assert _loaded(args, ("statistics", "tomllib", "pairing.cards.label")) == []


def test_the_pairs_of_notes_are_read_when_company_is_asked(catalog: Catalog) -> None:
    """The second largest table: a formula over an origin needs the counts of notes alone."""
    fresh = Catalog(catalog.folder)
    held = cups(fresh)
    assert held.groups(("origin", "kenya"))
    assert "cup_pairs" not in vars(fresh)
    assert held.together.any()


def _loaded(args: tuple[str, ...], modules: tuple[str, ...]) -> list[str]:
    """Which of some modules a command has loaded in a process of its own."""
    code = (
        "import sys\n"
        "from pairing.cli import main\n"
        "try:\n"
        f"    main({list(args)!r})\n"
        "except SystemExit as stop:\n"
        "    assert stop.code == 0, stop.code\n"
        f"print(*[m for m in {modules!r} if m in sys.modules], file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=True,
    )
    return done.stderr.split()
