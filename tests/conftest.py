from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from pairing.evidence.catalog import Catalog, load

ROOT = Path(__file__).resolve().parent.parent
SHARED = ROOT / "shared"
OUTSIDE = ROOT.parent / "shared"  # gathered raw material and validation data, not in the repository


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    return load()


@pytest.fixture(scope="session")
def outside() -> Path:
    if not (OUTSIDE / "validation").is_dir():
        pytest.skip("needs ../shared (validation and open data), which is not here")
    return OUTSIDE


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    """Run the command line as a user does, in an empty folder."""

    def call(*args: str, stdin: str | None = None) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-c", "from pairing.cli import main; main()", *args],
            capture_output=True,
            text=True,
            input=stdin,
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80", "PYTHONUTF8": "1"},
            timeout=120,
            check=False,
        )

    return call
