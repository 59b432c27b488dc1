"""Open the cards and the report in a real Chromium and look for what goes wrong there.

Screen, dark and print at 360, 390 and 1280 px: no console message, no request that leaves the
file, no sideways scroll, no clipped text; axe-core (npm) finds nothing serious. Needs Chromium,
the Python package playwright and axe-core; says why and ends with 0 where one can't be had, but
ends with 2 when PAIRING_MUST_LOOK is set. Run: python scripts/look.py [--keep FOLDER]
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
COFFEE = ["--coffee", "washed burundi light espresso"]
BLEND = ["mandarin", "green-cardamom", "black-pepper"]
HOSTILE = '"><img src=//x.invalid onerror=alert(1)> [a](javascript:alert(1)) </script><script>'
CLIPPED = """() => {
  const out = [];
  for (const t of document.querySelectorAll('svg text')) {
    const box = t.getBoundingClientRect(), pic = t.ownerSVGElement.getBoundingClientRect();
    if (box.right > pic.right + 1 || box.left < pic.left - 1 || box.bottom > pic.bottom + 1)
      out.push(t.textContent);
  }
  for (const e of document.querySelectorAll('body *:not(svg):not(svg *)')) {
    const how = getComputedStyle(e);
    if (e.scrollWidth > e.clientWidth + 1 && how.overflowX === 'hidden') out.push(e.textContent);
  }
  return out;
}"""
SERIOUS = ("serious", "critical")


def skip(why: str) -> None:
    """Say why nothing was looked at."""
    print(f"not looked at in a browser: {why}")
    sys.exit(2 if os.environ.get("PAIRING_MUST_LOOK") else 0)


def axe_source() -> str:
    """The text of axe-core, from AXE or from node_modules."""
    named = os.environ.get("AXE")
    for path in [Path(named)] if named else [ROOT / "node_modules/axe-core/axe.min.js"]:
        if path.is_file():
            return path.read_text("utf-8")
    skip("axe-core is not there: npm install axe-core, or name axe.min.js in AXE")
    return ""


def pairing(folder: Path, *words: str) -> None:
    """Run a command in a folder; a stop (3) is an answer too."""
    done = subprocess.run(
        [sys.executable, "-m", "pairing", *words],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
    )
    if done.returncode not in (0, 3):
        raise SystemExit(done.stderr)


def made_files(folder: Path) -> list[Path]:
    """Cards and reports, among them one that must not be served and one with a hostile name."""
    pairing(folder, "card", *BLEND, *COFFEE, "--servings", "48", "--times", "2", "--site",
            "harbour=48", "-o", "wall.html")  # fmt: skip
    pairing(folder, "card", *BLEND, *COFFEE, "--kind", "recipe", "-o", "recipe.html")
    pairing(folder, "card", "clove", "--dose", "clove=900g/kg", "-o", "stop.html")
    pairing(folder, "card", "hazelnut-roasted", "--style", "milk", "--name", HOSTILE, "-o",
            "hostile.html")  # fmt: skip
    pairing(folder, "report", *COFFEE, "--coffee", "natural brazil dark espresso", "-o",
            "report.html")  # fmt: skip
    pairing(folder, "formula", *BLEND, *COFFEE, "--picture", "formula.svg")
    pairing(folder, "drink", *BLEND, *COFFEE, "--style", "tonic", "--picture", "drink.svg")
    pairing(folder, "drink", *BLEND, *COFFEE, "--style", "espresso-cocktail", "--picture",
            "shaken.svg")  # fmt: skip
    pairing(folder, "suggest", *COFFEE, "--picture", "suggest.svg")
    pairing(folder, "graph", "similar", "green-cardamom", "--picture", "map.svg")
    pairing(folder, "ratio", "--strength", "2:1", "--yield-g", "500", "--picture", "ratio.svg")
    pairing(folder, "sources", "--audit", "--picture", "evidence.svg")
    pairing(folder, "trials", "read", "--protocol", "triangle", "--count", "14/24", "--picture",
            "tasting.svg")  # fmt: skip
    pairing(folder, "trials", "plan", *BLEND, "--vary", "green-cardamom", "--save", "p.json")
    pairing(folder, "papers", "bench", "p.json", "-o", "bench.html")
    return sorted(folder.glob("*.html")) + sorted(folder.glob("*.svg"))


def sorted_and_filtered(browser: Any, report: str) -> list[str]:
    """What is wrong with the little script of the report: it sorts, filters and is not needed."""
    rows = "[...document.querySelectorAll('#pool tbody tr')].filter(r => !r.hidden)"
    tab = browser.new_page()
    tab.goto(report)
    every = tab.evaluate(f"{rows}.length")
    wrong = []
    tab.click("#pool th:nth-child(1) button")
    tab.click("#pool th:nth-child(1) button")
    names = tab.evaluate(f"{rows}.map(r => r.cells[0].textContent)")
    if names not in (sorted(names), sorted(names, reverse=True)):
        wrong.append("report: the first column does not sort")
    tab.select_option("#kind", "citrus")
    kinds = tab.evaluate(f"{rows}.map(r => r.cells[1].textContent)")
    if set(kinds) != {"citrus"} or len(kinds) >= every:
        wrong.append("report: the kinds do not filter")
    tab.close()
    plain = browser.new_context(java_script_enabled=False)
    tab = plain.new_page()
    tab.goto(report)
    if tab.locator("#pool tbody tr").count() != every or tab.locator("#tools").is_visible():
        wrong.append("report: it is not complete without its script")
    plain.close()
    return wrong


def main() -> None:
    """Look at everything and end with 1 where something is wrong."""
    browser_path = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser_path is None:
        skip("there is no chromium: apt-get install chromium")
    try:
        from playwright.sync_api import sync_playwright
    except ModuleNotFoundError:
        skip("playwright is not there: pip install playwright")
    axe = axe_source()
    keep = Path(sys.argv[2]) if sys.argv[1:2] == ["--keep"] else None
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as made, sync_playwright() as play:
        folder = Path(made)
        addresses = [f.as_uri() for f in made_files(folder)]
        browser = play.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        try:
            wrong += sorted_and_filtered(browser, (folder / "report.html").as_uri())
            for width, scheme, media in (
                (360, "light", "screen"),
                (390, "dark", "screen"),
                (1280, "light", "screen"),
                (1280, "dark", "screen"),
                (560, "light", "print"),
            ):
                context = browser.new_context(
                    viewport={"width": width, "height": 900}, color_scheme=scheme
                )
                for address in addresses:
                    tab = context.new_page()
                    name = address.rpartition("/")[2]
                    where = f"{name} {width} {scheme} {media}"
                    said: list[str] = []
                    tab.on("console", lambda m, said=said: said.append(m.text))
                    tab.on("pageerror", lambda e, said=said: said.append(str(e)))
                    tab.on("dialog", lambda d, said=said: (said.append("a dialog"), d.dismiss()))
                    asked: list[str] = []
                    tab.on("request", lambda r, asked=asked: asked.append(r.url))
                    tab.emulate_media(media=media, color_scheme=scheme)
                    tab.goto(address)
                    refused = [s for s in said if "400 (Bad Request)" not in s]
                    wrong += [f"{where}: console says {s}" for s in refused]
                    wrong += [
                        f"{where}: asks for {u}"
                        for u in asked
                        if u != address and not u.startswith("data:")
                    ]
                    sizes = tab.evaluate("[document.documentElement.scrollWidth, innerWidth]")
                    if sizes[0] > sizes[1]:
                        wrong.append(f"{where}: scrolls sideways, {sizes[0]} px")
                    wrong += [f"{where}: clipped {t!r:.60}" for t in tab.evaluate(CLIPPED)]
                    if not address.endswith(".svg") and media == "screen":
                        tab.evaluate(axe)
                        found = tab.evaluate("axe.run({resultTypes: ['violations']})")
                        wrong += [
                            f"{where}: axe {v['id']}: {v['help']} {v['nodes'][0]['html'][:90]}"
                            for v in found["violations"]
                            if v["impact"] in SERIOUS
                        ]
                    if keep is not None:
                        keep.mkdir(exist_ok=True)
                        shot = keep / f"{where.replace(' ', '-')}.png"
                        with contextlib.suppress(Exception):  # a slow machine, no fault of ours
                            tab.screenshot(path=str(shot), full_page=not address.endswith(".svg"))
                    tab.close()
                context.close()
        finally:
            browser.close()
    print("\n".join(dict.fromkeys(wrong)) or f"{len(addresses)} pages, five ways: nothing wrong")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
