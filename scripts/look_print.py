"""Print cards, batch sheets and the report from a real Chromium onto A5, A4 and US Letter.

What is printed is read back from the PDF: the size of the paper, every text of the page once and
whole, no step and no row of a table on two pages, no heading alone at the foot of a page, no empty
page, the letters on the wall large enough. PDF cards made without a browser are read the same way.
Needs Chromium and the Python packages playwright and pypdf; says why and ends with 0 where one
can't be had, but ends with 2 when PAIRING_MUST_LOOK is set.
Run: python scripts/look_print.py [--keep FOLDER]
"""

from __future__ import annotations

import re
import shutil
import sys
import tempfile
import unicodedata
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))

from look import BLEND, COFFEE, HOSTILE, pairing, skip

POINTS = {"a5": (419.5, 595.3), "a4": (595.3, 841.9), "letter": (612.0, 792.0)}  # ISO 216; Y14.1
SIX = ["mandarin", "green-cardamom", "black-pepper", "cinnamon", "ginger-fresh", "star-anise"]
LONG = "Harbour and Station late autumn mandarin, cardamom and pepper house syrup, second trial"
WALL_PT = 12.2  # capitals of 2.8 mm, 16 minutes of arc at 600 mm, ISO 9241-303 (from memory)
MOST_PAGES = {"a5": 9, "a4": 5, "letter": 5}
# what must not be parted: its words, as a browser shows them
UNITS = """() => [...document.querySelectorAll('ol.steps > li, tr, .stop, .care, h1, h2')]
  .filter(e => e.checkVisibility())
  .map(e => [e.localName, e.innerText, e.matches('.wall ol.steps > li')])"""


def words_of(text: str) -> str:
    """Letters and digits alone: a printer parts lines and joins letters (fi) as it likes."""
    return re.sub(r"[\W_]+", "", unicodedata.normalize("NFKC", text)).casefold()


def made_files(folder: Path) -> Iterator[tuple[str, Path]]:
    """Every paper of every kind of page: usual, of six ingredients, stopped, hostile."""
    for paper in POINTS:
        made = {
            "wall": [*BLEND, *COFFEE, "--servings", "48", "--site", "harbour=48", "--site",
                     "station=20"],
            "milk": ["hazelnut-roasted", "--style", "latte", "--name", LONG],
            "six": [*SIX, "--times", "2", "--times", "3", "--times", "4"],
            "share": [*BLEND, *COFFEE, "--kind", "recipe", "--style", "iced-milk", "--add",
                      "cold-foam"],
            "stop": ["clove", "--dose", "clove=900g/kg"],
            "hostile": ["mandarin", "--name", HOSTILE],
        }  # fmt: skip
        for name, words in made.items():
            path = folder / f"{name}-{paper}.html"
            pairing(folder, "card", *words, "--paper", paper, "-o", path.name)
            yield paper, path
        path = folder / f"bench-{paper}.html"
        pairing(folder, "papers", "bench", "p.json", "--paper", paper, "-o", path.name)
        yield paper, path
    pairing(folder, "report", *COFFEE, "--coffee", "natural brazil dark espresso", "-o",
            "report.html")  # fmt: skip
    yield "a4", folder / "report.html"


def fitted(texts: Sequence[str], units: Sequence[Any], name: str) -> Iterator[str]:
    """What is cut, parted or lost of a page whose pages say these texts."""
    pages = [words_of(t) for t in texts]
    whole = "".join(pages)
    for kind, said, _ in units:
        wanted = words_of(said.replace("…", ""))
        if not wanted or any(wanted in page for page in pages):
            continue
        # a browser writes the number of a step after its words, or before them
        numbered = re.sub(r"^\d+", "", wanted)
        if numbered and any(numbered in page for page in pages):
            continue
        how = "is parted by the end of a page" if wanted in whole else "is not whole on any page"
        yield f"{name}: {kind} {said!r:.60} {how}"
    for n, page in enumerate(pages, 1):
        if len(page) < 3:
            yield f"{name}: page {n} is empty"
        heads = [words_of(s) for kind, s, _ in units if kind in ("h1", "h2")]
        alone = [h for h in heads if h and whole.count(h) == 1]  # a legend may say the same
        if n < len(pages) and any(page.endswith(h) for h in alone):
            yield f"{name}: page {n} ends in a heading"


def sizes_of(page: Any) -> dict[float, str]:
    """Text of a page by the size of its letters [pt]."""
    found: dict[float, str] = {}

    def visit(text: str, cm: Any, tm: Any, _font: Any, size: float) -> None:
        real = round(abs(size * tm[3] * cm[3]), 1)
        found[real] = found.get(real, "") + text

    page.extract_text(visitor_text=visit)
    return found


def printed(tab: Any, paper: str, path: Path, keep: Path | None) -> Iterator[str]:
    """Print one page and read it back."""
    from pypdf import PdfReader

    tab.goto(path.as_uri())
    tab.emulate_media(media="print")
    units = tab.evaluate(UNITS)
    body = words_of(tab.evaluate("document.querySelector('main').innerText"))
    wall = tab.evaluate(
        "[...document.querySelectorAll('.wall ol.steps li, .wall > .stop p, .wall > .care li')]"
        ".map(e => parseFloat(getComputedStyle(e).fontSize) * 0.75)"
    )
    where = (keep or path.parent) / f"{path.stem}.pdf"
    tab.pdf(path=str(where), prefer_css_page_size=True)
    reader = PdfReader(where)
    for n, page in enumerate(reader.pages, 1):
        got, wanted = page.mediabox[2:], POINTS[paper]
        if any(abs(float(a) - b) > 1.5 for a, b in zip(got, wanted, strict=True)):
            yield f"{path.name}: page {n} is {got}, not {paper}"
    texts = [p.extract_text() for p in reader.pages]
    yield from fitted(texts, units, path.name)
    lost = len(body) - len(words_of("".join(texts)))
    if lost > 0.02 * len(body):
        yield f"{path.name}: {lost} of {len(body)} letters are not printed"
    if wall and min(wall) < WALL_PT:
        yield f"{path.name}: letters of {min(wall):.1f} pt are not read from the wall"
    if path.stem.startswith(("wall", "share")) and len(texts) > MOST_PAGES[paper]:
        yield f"{path.name}: {len(texts)} pages, more than {MOST_PAGES[paper]}"


def set_cards(folder: Path) -> Iterator[str]:
    """The PDF of the extra: what the same card says as text, whole, on its paper."""
    from pypdf import PdfReader

    for paper in POINTS:
        names = [f"set-{paper}.pdf", f"set-{paper}.json"]
        for name in names:
            pairing(folder, "card", *BLEND, *COFFEE, "--servings", "48", "--name", HOSTILE,
                    "--paper", paper, "-o", name)  # fmt: skip
        import json

        made = json.loads((folder / names[1]).read_text("utf-8"))
        formula = made["batches"][0]["formula"]
        texts = [p.extract_text() for p in PdfReader(folder / names[0]).pages]
        units = [("step", s["text"], False) for s in formula["plan"]]
        units += [("step", s, False) for s in made["drink"]["steps"]]
        units += [("care", s, False) for s in formula["keeping"]["words"]]
        yield from fitted(texts, units, names[0])
        if words_of(HOSTILE) not in words_of("".join(texts)):
            yield f"{names[0]}: its name is not printed as it was said"


def main() -> None:
    """Print everything and end with 1 where something is wrong."""
    browser_path = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser_path is None:
        skip("there is no chromium: apt-get install chromium")
    try:
        import pypdf  # noqa: F401
        from playwright.sync_api import sync_playwright
    except ModuleNotFoundError as gone:
        skip(f"{gone.name} is not there: pip install playwright pypdf")
    keep = Path(sys.argv[2]) if sys.argv[1:2] == ["--keep"] else None
    if keep is not None:
        keep.mkdir(exist_ok=True)
    wrong: list[str] = []
    count = 0
    with tempfile.TemporaryDirectory() as made, sync_playwright() as play:
        folder = Path(made)
        pairing(folder, "trials", "plan", *BLEND, "--vary", "green-cardamom", "--save", "p.json")
        files = list(made_files(folder))
        browser = play.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        try:
            for paper, path in files:
                tab = browser.new_page()
                wrong += printed(tab, paper, path, keep)
                count += 1
                tab.close()
        finally:
            browser.close()
        try:
            import typst  # noqa: F401
        except ModuleNotFoundError:
            print("PDF cards not looked at: the extra pdf is not installed")
        else:
            wrong += set_cards(folder)
    print("\n".join(dict.fromkeys(wrong)) or f"{count} pages printed and read back: nothing wrong")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
