"""Use the page at the counter in a real Chromium as a barista would, at 390 and 1280 px.

Nothing may leave this machine, nothing may scroll sideways or speak on the console, axe may find
nothing serious, everything to tap is 44 px or more (WCAG 2.2, 2.5.5), a clock goes on after a
reload, and the page reads without script. ``--keep FOLDER`` keeps the screenshots.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))

from look import CLIPPED, HOSTILE, ROOT, SERIOUS, axe_source, skip

PANTRY = """
name = "Harbour and Station"
currency = "EUR"
[[prices]]
item = "mandarin"
per_kg = 2.4
[[stock]]
item = "mandarin"
grams = 4000
[[menus]]
name = "autumn"
coffees = [{ origin = "burundi", process = "washed", roast = "light", brew = "espresso" }]
"""
COFFEE = "washed burundi light espresso"
SMALL = """() => [...document.querySelectorAll('a, button, input, select, summary, label.tick')]
  .filter(e => e.type !== 'hidden' && e.checkVisibility())
  .map(e => [e.matches('input[type=checkbox],input[type=radio]') ? e.closest('label') : e])
  .map(([e]) => [e.outerHTML.slice(0, 80), e.getBoundingClientRect().height])
  .filter(([, h]) => h < 44)"""


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The page on a free port, in a folder with a pantry."""
    (folder / "pairing.toml").write_text(PANTRY, encoding="utf-8")
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        port = s.getsockname()[1]
    process = subprocess.Popen(
        [sys.executable, "-m", "pairing", "page", "--port", str(port)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stderr=subprocess.DEVNULL,
    )
    home = f"http://127.0.0.1:{port}"
    try:
        for _ in range(120):
            try:
                urllib.request.urlopen(home, timeout=5).read()
                break
            except OSError:
                time.sleep(0.5)
        else:
            raise SystemExit("the page does not come up")
        yield home
    finally:
        process.terminate()
        process.wait(20)


class Eye:
    """A tab that notes what is wrong with every page it is led to."""

    def __init__(self, tab: Any, home: str, axe: str, where: str, keep: Path | None) -> None:
        self.tab, self.home, self.axe, self.where, self.keep = tab, home, axe, where, keep
        self.wrong: list[str] = []
        self.refused = False
        tab.on("console", lambda m: self.hear(m.text))
        tab.on("pageerror", lambda e: self.wrong.append(f"{where}: {e}"))
        tab.on("dialog", lambda d: (self.wrong.append(f"{where}: a dialog"), d.dismiss()))
        tab.on("request", lambda r: self.ask(r.url))

    def hear(self, text: str) -> None:
        """The console, which may only tell of a refusal that was meant."""
        if "Failed to load resource" not in text or not self.refused:
            self.wrong.append(f"{self.where}: console says {text}")

    def ask(self, address: str) -> None:
        """Nothing but this machine is asked."""
        if not address.startswith((self.home, "data:")):
            self.wrong.append(f"{self.where}: asks for {address}")

    def look(self, name: str) -> None:
        """Width, clipping, sizes to tap, axe, a screenshot."""
        where = f"{name} {self.where}"
        sizes = self.tab.evaluate("[document.documentElement.scrollWidth, innerWidth]")
        if sizes[0] > sizes[1]:
            self.wrong.append(f"{where}: scrolls sideways, {sizes[0]} px")
        self.wrong += [f"{where}: clipped {t!r:.60}" for t in self.tab.evaluate(CLIPPED)]
        self.wrong += [f"{where}: {h:.0f} px to tap {e}" for e, h in self.tab.evaluate(SMALL)]
        self.tab.evaluate(self.axe)
        found = self.tab.evaluate("axe.run({resultTypes: ['violations']})")
        self.wrong += [
            f"{where}: axe {v['id']}: {v['help']} {v['nodes'][0]['html'][:90]}"
            for v in found["violations"]
            if v["impact"] in SERIOUS
        ]
        if self.keep is not None:
            self.keep.mkdir(exist_ok=True)
            shot = self.keep / f"{where.replace(' ', '-')}.png"
            self.tab.screenshot(path=str(shot), full_page=True)


def turn(tab: Any, what: str) -> None:
    """Tap what leads to another page, and wait for that page: a tap alone does not wait."""
    with tab.expect_navigation(timeout=120_000):
        tab.click(what)


def walk(eye: Eye, run: str) -> None:
    """From the first page to a read panel, by the page's own links and buttons."""
    tab = eye.tab
    tab.goto(eye.home)
    eye.look("front")
    tab.fill("form[action='/suggest'] input[name=coffee]", COFFEE)
    turn(tab, "text=Show the shelves")
    eye.look("shelves")
    turn(tab, "ul.taps a >> nth=0")
    eye.look("formula")
    clock = tab.locator("button.clock").first
    clock.click()
    tab.wait_for_timeout(1300)
    left = clock.inner_text()
    if "left" not in left:
        eye.wrong.append(f"formula {eye.where}: the clock says {left!r}")
    tab.reload()
    tab.wait_for_timeout(400)
    if "left" not in tab.locator("button.clock").first.inner_text():
        eye.wrong.append(f"formula {eye.where}: the clock is gone after a reload")
    tab.locator("button.clock").first.click()
    tab.click("text=Another amount")
    eye.look("change")
    tab.fill("input[name=amount]", "48")
    tab.select_option("form[action='/formula'] select[name=market]", "uk")
    turn(tab, "text=Work it out again")
    if tab.locator("input[name=amount]").input_value() != "48":
        eye.wrong.append(f"formula {eye.where}: it is not for 48 drinks")
    turn(tab, "text=In the glass")
    eye.look("drink")
    tab.go_back()
    turn(tab, "text=Card to share")
    tab.go_back()
    turn(tab, "nav >> text=Syrup sums")
    tab.fill("input[name=strength]", "2:1")
    tab.fill("input[name=yield_g]", "500")
    tab.fill("input[name='fruit.0']", "orange")
    tab.fill("input[name='grams.0']", "200g")
    turn(tab, "text=Work it out")
    eye.look("sums")
    turn(tab, "nav >> text=Pantry")
    eye.look("pantry")
    turn(tab, "nav >> text=Trials")
    tab.fill("input[name=ingredients] >> nth=0", "mandarin")
    tab.fill("input[name=ingredients] >> nth=1", "clove")
    tab.fill("input[name=vary]", "clove")
    tab.fill("input[name=steps]", "3")
    turn(tab, "text=Show the plan")
    eye.look("plan")
    tab.fill("input[name=keep_as]", f"autumn {run}")
    turn(tab, "text=Keep it")
    tab.fill("input[name=tasters]", "Ana, Bo, Cy")
    tab.fill("input[name=keep_as]", f"autumn-1 {run}")
    eye.look("kept")
    turn(tab, "text=Make the sheets")
    eye.look("tasting")
    for n, taster in enumerate(("Ana", "Bo", "Cy")):
        if n == 0:
            turn(tab, "text=Fill in a ballot")
        turn(tab, f"ul.taps >> text={taster}")
        for i, likes in enumerate(tab.locator("select[name^='answer.']").all()):
            likes.select_option(str(3 + (i + n) % 6))
        tab.fill("input[name^='note.'] >> nth=0", HOSTILE)
        if n == 0:
            eye.look("ballot")
        turn(tab, "text=Hand it in")
    turn(tab, "text=What the panel says")
    eye.look("read")
    eye.refused = True
    tab.goto(f"{eye.home}/formula?ingredients=%3Cb%3Ex&coffee=nowhere")
    eye.look("refused")
    tab.goto(f"{eye.home}/formula?ingredients=clove&dose.clove=900g/kg")
    eye.look("stop")


def main() -> None:
    """Walk through it four ways and end with 1 where something is wrong."""
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
    with tempfile.TemporaryDirectory() as made, sync_playwright() as play, served(Path(made)) as at:
        # Chromium itself may call home at its start; the page may not, and is given no way out
        browser = play.chromium.launch(
            executable_path=browser_path,
            args=["--no-sandbox", "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"],
        )
        try:
            for width, scheme in ((390, "light"), (390, "dark"), (1280, "light")):
                context = browser.new_context(
                    viewport={"width": width, "height": 900}, color_scheme=scheme
                )
                context.set_default_timeout(120_000)
                eye = Eye(context.new_page(), at, axe, f"{width} {scheme}", keep)
                walk(eye, f"{width} {scheme}")
                wrong += eye.wrong
                context.close()
            context = browser.new_context(java_script_enabled=False)
            tab = context.new_page()
            tab.goto(f"{at}/formula?ingredients=mandarin&ingredients=clove&amount=24&unit=servings")
            for words in ("Weigh", "Keeping", "Take care"):
                if tab.locator(f"text={words}").count() == 0:
                    wrong.append(f"without script: no {words!r}")
            context.close()
        finally:
            browser.close()
    print("\n".join(dict.fromkeys(wrong)) or "the page at the counter, three ways: nothing wrong")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
