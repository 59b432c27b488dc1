"""Run every command of the how-to pages and the tutorial, each page in a folder of its own.

A bar's pantry with an autumn menu lies there, a kept syrup, a printed formula, a book of lots and
filled-in answers, as the pages take for granted. A command that is refused, or whose exit code is
not the one its comment says, is printed, and the script ends with 1. Run: python scripts/how_to.py
"""

from __future__ import annotations

import contextlib
import csv
import io
import os
import re
import shlex
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from pairing.cli import main as pairing  # noqa: E402

BAR = """
[[menus]]
name = "autumn"
coffees = [{ origin = "burundi", process = "washed", roast = "light", brew = "espresso" }]
"""
LOTS = "batch,ingredient,lot,supplier,bottles\nB1,mandarin,A17,Harbour Fruit,1;2\n"
FIRST = (
    "formula mandarin clove --save winter",
    "formula mandarin clove --format json",
    "trials plan mandarin clove --vary clove --steps 3 --tasters 4 --save autumn-0.json",
    "trials sheet autumn-0.json --protocol liking --tasters 4 --save autumn-1",
)
WAITS = ("page", "completion")  # one serves until it is stopped, the other writes for a shell
COMMAND = re.compile(r"(?m)^ {4}pairing ((?:.*\\\n)*.*)$")


def run(words: list[str]) -> tuple[int, str]:
    """A command's exit code, and what it says."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        try:
            code = pairing(words)
        except SystemExit as end:
            code = end.code
    return int(code or 0), said.getvalue()


def answered() -> None:
    """Fill in the ballots that are blank, each taster liking the cups a little otherwise."""
    for path in Path().glob("*.csv"):
        with path.open(newline="", encoding="utf-8") as file:
            head, *rows = list(csv.reader(file)) or [[]]
        if "answer" not in head or any(r[head.index("answer")] for r in rows):
            continue
        for n, row in enumerate(rows):
            row[head.index("answer")] = str(3 + n % 5)
        with path.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows([head, *rows])


def refused(page: Path) -> list[str]:
    """Commands of a page that do not run as it says."""
    wrong = []
    for found in COMMAND.finditer(page.read_text("utf-8")):
        line = found[1].replace("\\\n", " ").partition(" > ")[0]
        command, _, comment = line.partition(" #")
        words = shlex.split(command)
        if words[0] in WAITS:
            continue
        if words[:2] in (["trials", "read"], ["trials", "next"]):
            answered()
        code, said = run(words)
        stopped = "STOP" in comment or "refused" in comment
        if "python -m pip install" in said:
            continue  # an extra that is not here answers with its install line
        if code not in ((3,) if stopped else (0, 3)):
            last = said.strip().splitlines()[-1:] or [""]
            wrong.append(f"{page.name}: pairing {line.strip()} ends with {code}: {last[0]:.100}")
    return wrong


def main() -> None:
    """Every page, and end with 1 where something is wrong."""
    wrong, count = [], 0
    pages = [ROOT / "docs/tutorial.md", *sorted((ROOT / "docs/how-to").glob("*.md"))]
    for page in pages:
        count += len(COMMAND.findall(page.read_text("utf-8")))
        with tempfile.TemporaryDirectory() as folder:
            os.chdir(folder)
            os.environ["XDG_DATA_HOME"] = folder  # a journal of its own
            Path("pairing.toml").write_text(BAR, encoding="utf-8")
            Path("lots.csv").write_text(LOTS, encoding="utf-8")
            own = "--save autumn-1" in page.read_text("utf-8")  # it makes its tasting itself
            for first in FIRST[:2] if own else FIRST:
                said = run(first.split())[1]
                if first.endswith("json") and "--format" in first:
                    Path("monday.json").write_text(said, encoding="utf-8")
            wrong += refused(page)
            os.chdir(ROOT)
    print(
        "\n".join(wrong) or f"how-to pages: {count} commands of {len(pages)} pages run as they say"
    )
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
