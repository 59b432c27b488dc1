"""Kept work on the page: a question handed out as a file, and two of them side by side."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from pairing.bar.pantry import Pantry
from pairing.cards.batch import title_of
from pairing.cards.compare import KINDS, comparison
from pairing.cards.report import Report
from pairing.cli.asked import report_of
from pairing.cli.compare import ASKED, document_in
from pairing.cli.saved import TAKES, command_of, kept_from, read_saved
from pairing.errors import PairingError
from pairing.page.forms import (
    Answer,
    Asked,
    Bar,
    NotThereError,
    button,
    clean,
    pick,
    plain_name,
    shown,
)
from pairing.page.making import batch_of

__all__ = ["compare", "keep"]

MOST_LISTED = 200


def keep(bar: Bar, asked: Asked) -> Answer:
    """A question as the file that the command line takes up; nothing is written here."""
    command = asked.one("command")
    if command not in TAKES:
        raise PairingError(f"{command or 'this'} keeps no work")
    name = plain_name(asked.one("keep_as", "kept")) + ".toml"
    said: dict[str, Any] = {}
    for key, value in asked.fields:
        if key not in ("command", "keep_as"):
            said[key] = [*said[key], value] if key in said else [value]
    return Answer(file=(name, kept_from(command, said, name)))


def compare(bar: Bar, asked: Asked) -> Answer:
    """What differs: a formula before and after a change, or two that are kept in the folder."""
    before = [(k.removeprefix("was."), v) for k, v in asked.fields if k.startswith("was.")]
    if before:
        now = [(k, v) for k, v in asked.fields if not k.startswith("was.")]
        one, other = (
            report_of("formula", batch_of(Asked(fields)), bar.open).whole
            for fields in (before, now)
        )
        return _side_by_side(title_of(other), comparison("before", "now", one, other))
    held = _names(bar)
    names = [asked.one("one"), asked.one("other")]
    answer = ""
    report = None
    if any(names):
        for name in names:
            if name not in held:
                raise NotThereError(f"nothing of that kind is kept as {plain_name(name)}")
        paths = [bar.folder / f"{n}.toml" for n in names]
        one, other = (document_in(partial(_open, bar), p) for p in paths)
        report = comparison(names[0], names[1], one, other)
        answer = shown(report)
    choices = [("", "-"), *((n, n) for n in held)]
    form = (
        '<form action="/compare"><div class="fields">'
        f"{pick('One', 'one', choices, names[0])}{pick('The other', 'other', choices, names[1])}"
        f"</div>{button('Show what differs')}</form>"
        if len(held) > 1
        else "<p>Nothing to compare yet: keep a formula or a drink in the folder of this page, or "
        "change a formula and compare the two.</p>"
    )
    return Answer("Compare", f"<h1>What differs</h1>{answer}{form}", report)


def _side_by_side(title: str, report: Report) -> Answer:
    return Answer("Compare", f"<h1>What differs: {clean(title)}</h1>{shown(report)}", report)


def _open(bar: Bar, market: str, kept: str | None = None) -> Pantry:
    if kept and Path(kept).name != "pairing.toml":
        raise PairingError(f"it is kept with the pantry {kept}: open the page with that one")
    return bar.open(market)


def _names(bar: Bar) -> list[str]:
    """Names of what is kept here and can be compared."""
    found = []
    for path in sorted(bar.folder.glob("*.toml"))[:MOST_LISTED]:
        if path.name == "pairing.toml":
            continue
        try:
            command = command_of(read_saved(path))
        except PairingError:
            continue
        if ASKED.get(command, command) in KINDS:
            found.append(path.stem)
    return found
