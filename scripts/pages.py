"""Paste what the commands and the code really print into README.md and docs/, so that it can't rot.

A block between ``<!-- $ pairing ... -->`` and ``<!-- end -->`` is replaced by what the command
prints at 80 columns; ``| head N`` after the command keeps the first N lines. A python block between
``<!-- run -->`` and ``<!-- end -->`` is run, and what it prints stands below it. A block
``<!-- picture glass pictures/one.svg $ pairing drink ... -->`` is the picture of that name, drawn
from what the command answers and kept under docs/; ``<!-- beside "coffee; notes" ... -->`` is a
table of what suits each coffee.

Run: python scripts/pages.py             [PAGE ...]   (--check: only say which are stale)
"""

from __future__ import annotations

import html
import json
import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from pairing.cards.pictures import pictures_of
from pairing.files import write_atomically

ROOT = Path(__file__).resolve().parent.parent
COMMAND = re.compile(r"<!-- \$ (pairing[^|>]*?)(?: \| head (\d+))? -->\n.*?<!-- end -->", re.DOTALL)
CODE = re.compile(r"<!-- run -->\n```python\n(.*?)```\n.*?<!-- end -->", re.DOTALL)

PICTURE = re.compile(
    r"<!-- picture (\w+) (pictures/[\w-]+\.svg) \$ (pairing[^>]*?) -->\n.*?<!-- end -->", re.DOTALL
)
BESIDE = re.compile(r"<!-- beside (\".*?\") -->\n.*?<!-- end -->", re.DOTALL)


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


def answer(command: str) -> dict[str, Any]:
    """The document of a command."""
    found: dict[str, Any] = json.loads(
        _printed(["-m", "pairing", *shlex.split(command)[1:], "--format", "json"])
    )
    return found


def drawn(text: str) -> dict[str, str]:
    """Every picture that a page shows, by its file under docs/."""
    return {
        file: pictures_of(answer(command))[which] for which, file, command in PICTURE.findall(text)
    }


def beside(coffees: list[str]) -> str:
    """What suits each of some coffees, side by side, as a Markdown table."""
    columns = []
    for said in coffees:
        coffee, _, notes = said.partition("; ")
        asked = f"pairing suggest --coffee {shlex.quote(coffee)} --top 1"
        found = answer(asked + (f" --notes {shlex.quote(notes)}" if notes else ""))
        shelf = {
            k: ", ".join(s["name"].split(",")[0] for s in found["shelves"][k][:5])
            for k in ("this", "untried")
        }
        blend = " + ".join(i["name"].split(",")[0] for i in found["blends"][0]["ingredients"])
        words = found["coffees"][0]["words"]
        columns.append([words, shelf["this"], shelf["untried"], f"**{blend}**"])
    heads = ["", "right for it", "hardly tried", "first blend"]
    rows = [[head, *cells] for head, *cells in zip(heads, *columns, strict=True)]
    rows.insert(1, ["---"] * len(rows[0]))
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def fresh(text: str, folder: str = "") -> str:
    """A page with today's output in every block; ``folder`` leads from it to docs/."""

    def command(match: re.Match[str]) -> str:
        said, lines = match.group(1).strip(), match.group(2)
        head = f" | head {lines}" if lines else ""
        shown = f"```text\n$ {said}\n\n{output(said, lines)}\n```"
        return f"<!-- $ {said}{head} -->\n{shown}\n<!-- end -->"

    def code(match: re.Match[str]) -> str:
        source = match.group(1)
        shown = f"```python\n{source}```\n\n```text\n{_printed(['-c', source])}\n```"
        return f"<!-- run -->\n{shown}\n<!-- end -->"

    def picture(match: re.Match[str]) -> str:
        which, file, asked = match.groups()
        svg = pictures_of(answer(asked))[which]
        told = re.search(r"<desc[^>]*>(.*?)</desc>", svg)
        alt = html.unescape(told[1]).replace("[", "(").replace("]", ")") if told else ""
        return f"<!-- picture {which} {file} $ {asked} -->\n![{alt}]({folder}{file})\n<!-- end -->"

    def table(match: re.Match[str]) -> str:
        return f"<!-- beside {match[1]} -->\n{beside(shlex.split(match[1]))}\n<!-- end -->"

    text = CODE.sub(code, COMMAND.sub(command, text))
    return BESIDE.sub(table, PICTURE.sub(picture, text))


def to_docs(page: Path) -> str:
    """The way from a page to docs/, where pictures are kept."""
    way = os.path.relpath(ROOT / "docs", page.parent)
    return "" if way == "." else f"{way}/"


def main() -> int:
    """Write or check the pages."""
    stale = []
    named = [ROOT / a for a in sys.argv[1:] if not a.startswith("-")]
    for path in named or pages():
        old = path.read_text(encoding="utf-8")
        made = fresh(old, to_docs(path))
        for file, svg in drawn(old).items():
            kept = ROOT / "docs" / file
            if not kept.is_file() or kept.read_text(encoding="utf-8") != svg:
                stale.append(f"docs/{file}")
                if "--check" not in sys.argv[1:]:
                    kept.parent.mkdir(exist_ok=True)
                    write_atomically(kept, svg)
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
