"""The library as the README shows it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

import pairing

ROOT = Path(__file__).resolve().parent.parent


def test_every_public_name_is_there() -> None:
    for name in pairing.__all__:
        assert getattr(pairing, name) is not None
    with pytest.raises(AttributeError, match="nothing_like_it"):
        _ = pairing.nothing_like_it


def test_the_readme_example_runs() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    code = re.findall(r"```python\n(.*?)```", text, re.DOTALL)
    assert len(code) == 1
    done = subprocess.run(
        [sys.executable, "-c", code[0]], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) == 2  # the formula and the drink, a line each


def test_a_pandas_view_of_the_tables() -> None:
    frames = pairing.tables()
    assert {"ingredients", "compounds", "composition"} <= set(frames)
    assert len(frames["compounds"]) == len(pairing.load().compounds)
    assert frames["thresholds"]["low_ug_per_l"].dtype.kind == "f"
