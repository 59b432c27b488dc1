"""Paste the real output of the commands into README.md, so that it can't rot.

Each block between ``<!-- $ pairing ... -->`` and ``<!-- end -->`` is replaced by what the command
prints at 80 columns; ``| head N`` after the command keeps the first N lines.

Run: python scripts/readme_output.py           (--check: only say whether it is up to date)
"""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

from pairing.files import write_atomically

ROOT = Path(__file__).resolve().parent.parent
BLOCK = re.compile(r"<!-- \$ (pairing [^|>]*?)(?: \| head (\d+))? -->\n.*?<!-- end -->", re.DOTALL)


CARD = re.compile(r"<!-- scorecard -->.*?<!-- end scorecard -->", re.DOTALL)
PROTOCOLS = ("no fitting", "five-fold", "ingredient left out", "coffee left out")


def score_card() -> str:
    """Rows of docs/score-card.json that matter most, as a table."""
    rows = json.loads((ROOT / "docs" / "score-card.json").read_text(encoding="utf-8"))["measures"]
    found: dict[tuple[str, str], dict[str, str]] = {}
    for row in rows:
        if row["protocol"] in PROTOCOLS:
            cells = found.setdefault((row["protocol"], row["method"]), {})
            cells[row["measure"]] = f"{row['value']:.2f} ({row['low']:.2f} to {row['high']:.2f})"
    lines = ["| protocol | method | rank correlation | AUC |", "| --- | --- | --- | --- |"]
    for (protocol, method), cells in found.items():
        lines.append(f"| {protocol} | {method} | {cells['rank correlation']} | {cells['AUC']} |")
    return "\n".join(lines)


def output(command: str, lines: str | None) -> str:
    """What a command prints, cut to so many lines."""
    done = subprocess.run(
        [sys.executable, "-c", "from pairing.cli import main; main()", *shlex.split(command)[1:]],
        capture_output=True,
        text=True,
        cwd="/",
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80", "PYTHONUTF8": "1"},
        check=False,
    )
    text = (done.stdout or done.stderr).rstrip()
    if lines is not None:
        kept = text.splitlines()[: int(lines)]
        text = "\n".join(kept).rstrip() + ("\n..." if len(text.splitlines()) > len(kept) else "")
    return text


def page() -> str:
    """README.md with fresh output."""
    old = (ROOT / "README.md").read_text(encoding="utf-8")

    def fresh(match: re.Match[str]) -> str:
        command, lines = match.group(1).strip(), match.group(2)
        head = f" | head {lines}" if lines else ""
        text = output(command, lines)
        return f"<!-- $ {command}{head} -->\n```\n$ {command}\n\n{text}\n```\n<!-- end -->"

    return CARD.sub(
        f"<!-- scorecard -->\n{score_card()}\n<!-- end scorecard -->", BLOCK.sub(fresh, old)
    )


def main() -> int:
    """Write or check the page."""
    path, made = ROOT / "README.md", page()
    if "--check" in sys.argv[1:]:
        same = path.read_text(encoding="utf-8") == made
        print("README.md is up to date" if same else "README.md is stale: run me")
        return 0 if same else 1
    write_atomically(path, made)
    print("wrote README.md")
    return 0


if __name__ == "__main__":
    sys.exit(main())
