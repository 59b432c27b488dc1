"""Paste what the commands and the code really print into README.md and docs/, so that it can't rot.

A block between ``<!-- $ pairing ... -->`` and ``<!-- end -->`` is replaced by what the command
prints at 80 columns; ``| head N`` after the command keeps the first N lines. A python block between
``<!-- run -->`` and ``<!-- end -->`` is run, and what it prints stands below it.

Run: python scripts/pages.py             (--check: only say which pages are stale)
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

from pairing.files import write_atomically

ROOT = Path(__file__).resolve().parent.parent
COMMAND = re.compile(r"<!-- \$ (pairing[^|>]*?)(?: \| head (\d+))? -->\n.*?<!-- end -->", re.DOTALL)
CODE = re.compile(r"<!-- run -->\n```python\n(.*?)```\n.*?<!-- end -->", re.DOTALL)


def pages() -> list[Path]:
    """Every page that may hold output, README.md first."""
    return [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]


def _printed(args: list[str]) -> str:
    with tempfile.TemporaryDirectory() as empty:
        done = subprocess.run(
            [sys.executable, *args],
            capture_output=True,
            text=True,
            cwd=empty,
            env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80", "PYTHONUTF8": "1"},
            check=False,
        )
    return (done.stdout or done.stderr).rstrip()


def output(command: str, lines: str | None = None) -> str:
    """What a command prints, cut to so many lines."""
    text = _printed(["-m", "pairing", *shlex.split(command)[1:]])
    if lines is not None:
        kept = text.splitlines()[: int(lines)]
        text = "\n".join(kept).rstrip() + ("\n..." if len(text.splitlines()) > len(kept) else "")
    return text


def fresh(text: str) -> str:
    """A page with today's output in every block."""

    def command(match: re.Match[str]) -> str:
        said, lines = match.group(1).strip(), match.group(2)
        head = f" | head {lines}" if lines else ""
        shown = f"```text\n$ {said}\n\n{output(said, lines)}\n```"
        return f"<!-- $ {said}{head} -->\n{shown}\n<!-- end -->"

    def code(match: re.Match[str]) -> str:
        source = match.group(1)
        shown = f"```python\n{source}```\n\n```text\n{_printed(['-c', source])}\n```"
        return f"<!-- run -->\n{shown}\n<!-- end -->"

    return CODE.sub(code, COMMAND.sub(command, text))


def main() -> int:
    """Write or check the pages."""
    stale = []
    for path in pages():
        old = path.read_text(encoding="utf-8")
        made = fresh(old)
        if made == old:
            continue
        stale.append(str(path.relative_to(ROOT)))
        if "--check" not in sys.argv[1:]:
            write_atomically(path, made)
    checking = "--check" in sys.argv[1:]
    word = "stale, run scripts/pages.py" if checking else "wrote"
    print(f"{word}: {', '.join(stale)}" if stale else "every page is up to date")
    return int(checking and bool(stale))


if __name__ == "__main__":
    sys.exit(main())
