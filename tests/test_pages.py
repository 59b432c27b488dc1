"""README.md and docs/ show what the commands and the code print today."""

from __future__ import annotations

import difflib
import importlib.util
import re
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parent.parent


def _script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("pages", ROOT / "scripts" / "pages.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


SCRIPT = _script()


@pytest.mark.parametrize(
    "page", SCRIPT.pages(), ids=lambda p: str(p.relative_to(ROOT)).replace("/", "-")
)
def test_the_output_on_a_page_is_what_is_printed(page: Path) -> None:
    old = page.read_text(encoding="utf-8")
    made = SCRIPT.fresh(old, SCRIPT.to_docs(page))
    drift = difflib.unified_diff(
        old.splitlines(), made.splitlines(), page.name, "printed", lineterm="", n=0
    )
    text = "\n".join(drift)
    assert not text, f"{page.name} is stale: run scripts/pages.py\n{text[:2000]}"


@pytest.mark.parametrize(
    "page",
    [p for p in SCRIPT.pages() if SCRIPT.PICTURE.search(p.read_text(encoding="utf-8"))],
    ids=lambda p: p.name,
)
def test_the_pictures_of_a_page_are_drawn_from_todays_answers(page: Path) -> None:
    for file, svg in SCRIPT.drawn(page.read_text(encoding="utf-8")).items():
        kept = ROOT / "docs" / file
        assert kept.is_file(), f"{file} is not there: run scripts/pages.py"
        assert kept.read_text(encoding="utf-8") == svg, f"{file} is stale: run scripts/pages.py"


HOW_TO = {
    "seasonal-syrup", "check-a-spice", "trial-formulas", "one-syrup-for-a-menu", "own-ingredient",
    "costing", "mend-a-batch", "print-a-card", "from-python", "in-a-page", "own-pairs",
    "report-a-wrong-fact", "safety-and-law",
}  # fmt: skip


def test_every_how_to_is_there_and_none_shows_an_error() -> None:
    pages = {p.stem: p.read_text(encoding="utf-8") for p in (ROOT / "docs/how-to").glob("*.md")}
    assert set(pages) >= HOW_TO
    nav = (ROOT / "mkdocs.yml").read_text(encoding="utf-8")
    for name, text in pages.items():
        assert f"how-to/{name}.md" in nav, name
        assert not re.search(r"(?m)^pairing: (?!from a coffee)", text), f"{name} shows an error"
        assert text.count("\n") < 120, f"{name} is long"


def test_every_command_is_in_the_reference() -> None:
    from pairing.cli import COMMANDS

    text = (ROOT / "docs/reference/commands.md").read_text(encoding="utf-8")
    assert set(re.findall(r"(?m)^<!-- \$ pairing help (\S+) -->", text)) == set(COMMANDS)


def test_equations_and_references_of_the_science_are_numbered_and_used() -> None:
    text = (ROOT / "docs/science.md").read_text(encoding="utf-8")
    body, listed = text.split("## References")
    numbers = [int(n) for n in re.findall(r"(?m)^(\d+)\. ", listed)]
    assert numbers == list(range(1, len(numbers) + 1))
    cited: set[int] = set()
    for held in re.findall(r"\[([\d, to]+)\]", body):
        for part in held.split(","):
            first, _, last = part.partition(" to ")
            cited |= set(range(int(first), int(last or first) + 1))
    assert cited == set(numbers)
    equations = [int(n) for n in re.findall(r"(?m)^    .*\((\d+)\)$", body)]
    assert equations == list(range(1, len(equations) + 1))
    assert len(equations) >= 9


def test_the_first_screen_of_the_readme() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 155
    assert SCRIPT.BESIDE.search(text)
    assert text.count("![") == 1
    one, other = (
        [c.strip() for c in row.split("|")[2:4]]
        for row in text.splitlines()
        if row.startswith(("| right for it", "| first blend"))
    )
    assert one[0] != one[1]
    assert other[0] != other[1]


def test_the_readme_holds_output_to_check() -> None:
    assert SCRIPT.COMMAND.search((ROOT / "README.md").read_text(encoding="utf-8"))


def test_a_stale_block_is_noticed() -> None:
    stale = "<!-- $ pairing help help -->\n```text\nold\n```\n<!-- end -->"
    assert "Usage: pairing help" in SCRIPT.fresh(stale)
    code = "<!-- run -->\n```python\nprint(6 * 7)\n```\nold\n<!-- end -->"
    assert "```text\n42\n```" in SCRIPT.fresh(code)
