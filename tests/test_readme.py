from __future__ import annotations

import difflib
import importlib.util
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def test_the_output_in_the_readme_is_what_the_commands_print() -> None:
    path = ROOT / "scripts" / "readme_output.py"
    spec = importlib.util.spec_from_file_location("readme_output", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    old = (ROOT / "README.md").read_text(encoding="utf-8")
    assert module.BLOCK.search(old), "README.md has no block of output to check"
    drift = difflib.unified_diff(
        old.splitlines(), module.page().splitlines(), "README.md", "printed", lineterm="", n=0
    )
    text = "\n".join(drift)
    assert not text, f"README.md is stale: run scripts/readme_output.py\n{text[:2000]}"
