"""What must answer fast must not import what is slow. No timing here: see scripts/bench/."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

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
    code = (
        "import sys\n"
        "from pairing.cli import main\n"
        "try:\n"
        f"    main({list(args)!r})\n"
        "except SystemExit as stop:\n"
        "    assert stop.code == 0, stop.code\n"
        f"print([m for m in {SLOW!r} if m in sys.modules], file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=True,
    )
    assert done.stderr.strip() == "[]"
