"""Trials on the page: a plan, blind sheets, ballots filled in at the tablet, what they say.

Plans, sheets and ballots are the very files of ``pairing trials``, in the working folder; a tasting
begun here is read at the command line, and the other way round. Ballots show codes, never what a
cup holds.
"""

from __future__ import annotations

import csv
import io
import threading
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from pairing.cli.asked import report_of
from pairing.cli.saved import kept_from
from pairing.cli.tasting import (
    LARGEST_FILE,
    allergens_of,
    json_text,
    read_json,
    reading_of,
    tasting,
)
from pairing.errors import PairingError, quoted
from pairing.files import mode_of, read_text, write_atomically
from pairing.page.forms import (
    Answer,
    Asked,
    Bar,
    NotThereError,
    button,
    clean,
    field,
    hidden,
    link,
    pick,
    plain_name,
    shown,
)
from pairing.page.making import (
    COFFEE,
    coffee_fields,
    coffee_of,
    ingredients_of,
    market_field,
    names_list,
    pairs,
    style_field,
)
from pairing.trials.protocols import PROTOCOLS
from pairing.trials.sheets import REFERENCE, Sheet, answers, columns, from_dict

__all__ = ["answer", "ballot", "cards", "front", "keep_next", "keep_plan", "kept_plan",
           "kept_sheet", "make_sheet", "next_trials", "plan", "reading"]  # fmt: skip

MOST_LISTED = 200
HEAD = 300  # letters of a file that say what it is
PLAN = ("design", "steps", "trials", "total", "tasters", "portion_ml", "style", "strength", "brix",
        "sweetener", "market")  # fmt: skip
MARKS = (("", "-"), ("1", "1, much too little"), ("2", "2, too little"), ("3", "3, just right"),
         ("4", "4, too much"), ("5", "5, much too much"))  # fmt: skip
WRITING = threading.Lock()  # two tablets hand their ballots in at once


def _kept(bar: Bar, name: str, command: str) -> dict[str, Any]:
    """A kept plan or sheet by its plain name."""
    path = bar.folder / f"{plain_name(name)}.json"
    if mode_of(path) is None:
        raise NotThereError(f"nothing is kept as {quoted(name)}")
    return read_json(path, command)


def _names(bar: Bar, document: str) -> list[str]:
    """Names of the plans or sheets in the folder."""
    found = []
    for path in sorted(bar.folder.glob("*.json"))[:MOST_LISTED]:
        try:
            with path.open(encoding="utf-8", errors="replace") as file:
                head = file.read(HEAD)
        except OSError:
            continue
        if f'"document": "{document}"' in head:
            found.append(path.stem)
    return found


def front(bar: Bar, asked: Asked) -> Answer:
    """Plans and tastings that are kept, and a new plan."""
    plans = "".join(
        f"<li>{link(f'/trials/of/{n}', [], n)}</li>" for n in _names(bar, "trials-plan")
    )
    sheets = "".join(
        f"<li>{link(f'/trials/sheet/{n}', [], n)}</li>" for n in _names(bar, "trials-sheet")
    )
    body = (
        "<h1>Trials</h1><p>Plan formulas around one, taste them blind, read the panel.</p>"
        f"<h2>Plans</h2><ul class=taps>{plans or '<li>none kept yet</li>'}</ul>"
        f"<h2>Tastings</h2><ul class=taps>{sheets or '<li>none kept yet</li>'}</ul>"
        f"<h2>A new plan</h2>{_plan_form(bar, asked)}"
    )
    return Answer("Trials", body)


def _plan_form(bar: Bar, asked: Asked) -> str:
    named = asked.all("ingredients")
    vary = asked.all("vary")
    rows = "".join(
        field(f"{word} ingredient", "ingredients", named[i] if i < len(named) else "",
              known="names")
        for i, word in enumerate(("First", "Second", "Third", "Fourth"))
    )  # fmt: skip
    return (
        f'<form action="/trials/plan">{names_list(bar)}<div class="fields">{rows}</div>'
        f"{coffee_fields(bar, asked.some(COFFEE))}"
        f'<div class="fields">'
        f"{field('Vary this one (all, when empty)', 'vary', (*vary, '')[0], known='names')}"
        f"{field('Rungs of a ladder', 'steps', asked.one('steps', '5'), number=True)}"
        f"{field('Tasters', 'tasters', asked.one('tasters', '12'), number=True)}"
        f"{style_field(bar, asked.one('style', 'iced'))}{market_field(asked.one('market'))}</div>"
        f"{button('Show the plan')}</form>"
    )


def _planned(asked: Asked) -> dict[str, Any]:
    said: dict[str, Any] = {**coffee_of(asked), **asked.some(PLAN)}
    said["ingredients"] = ingredients_of(asked)
    if vary := asked.all("vary"):
        said["vary"] = vary
    return said


def plan(bar: Bar, asked: Asked) -> Answer:
    """A plan, to keep or to change."""
    said = _planned(asked)
    report = report_of("trials plan", said, bar.open)
    body = (
        f"<h1>Plan of trials</h1>{shown(report)}"
        f'<form action="/trials/keep" method="post">{hidden(pairs(said))}'
        f"{field('Keep the plan as', 'keep_as', hint='autumn')}{button('Keep it')}</form>"
        f"<details><summary>Change it</summary>{_plan_form(bar, asked)}</details>"
    )
    return Answer("Plan of trials", body, report)


def _fresh(bar: Bar, asked: Asked, *endings: str) -> str:
    """A plain name under which nothing is kept yet."""
    name = plain_name(asked.one("keep_as"))
    for ending in endings:
        if mode_of(bar.folder / f"{name}{ending}") is not None:
            raise PairingError(f"{name}{ending} is there already; give another name")
    return name


def keep_plan(bar: Bar, asked: Asked) -> Answer:
    """Keep a plan as ``trials plan --save`` does."""
    said = _planned(asked)
    with WRITING:
        name = _fresh(bar, asked, ".json", ".toml")
        report = report_of("trials plan", said, bar.open)
        write_atomically(bar.folder / f"{name}.json", json_text("trials plan", report.document))
        question = kept_from("trials plan", said, f"{name}.toml")
        write_atomically(bar.folder / f"{name}.toml", question)
    return Answer(go_to=f"/trials/of/{name}")


def kept_plan(bar: Bar, asked: Asked) -> Answer:
    """A kept plan, and a tasting of it."""
    document = _kept(bar, asked.name, "trials plan")
    try:
        factors = [f["name"] for f in document["factors"]]
        doses = "".join(
            f"<tr><td>{clean(t['trial'])}</td>"
            + "".join(f'<td class="n">{float(t["doses"][f]):.3g}</td>' for f in factors)
            + "</tr>"
            for t in document["trials"]
        )
        bench = "".join(f"<li>{clean(b)}</li>" for b in document["bench"])
        coffee, said = document["coffee"], str(document["allergens"])
        sure = allergens_of([f for t in document["trials"] for f in t["formula"]["findings"]])
        allergens = said if sure in said else sure  # whatever somebody wrote over it
    except (KeyError, TypeError, ValueError, AttributeError):
        raise PairingError(f"{quoted(asked.name)} lacks parts of a plan; make it anew") from None
    heads = "".join(f'<th class="n" scope="col">{clean(f)}, g/kg</th>' for f in factors)
    ways = [(p, f"{p}: {row.question}") for p, row in PROTOCOLS.items()]
    body = (
        f"<h1>{clean(asked.name)}</h1><p><b>{clean(allergens)}</b></p><p>For {clean(coffee)}.</p>"
        '<div class="wide" tabindex="0" role="region" aria-label="Trials"><table><thead><tr>'
        f'<th scope="col">Trial</th>{heads}</tr></thead><tbody>{doses}</tbody></table></div>'
        f"<ul>{bench}</ul><h2>Taste them</h2>"
        f'<form action="/trials/sheet" method="post">{hidden([("plan", asked.name)])}'
        f"{pick('How', 'protocol', ways, 'liking')}"
        '<div class="fields">'
        f"{field('Tasters, how many or their names', 'tasters', '12', hint='12, or Ana, Bo, Cy')}"
        f"{field('Which trials (all, when empty)', 'only', hint='A, C')}"
        f"{field('For just-right: what is asked', 'quality', hint='sweet, cardamom')}"
        f"{field('Keep the tasting as', 'keep_as', hint='autumn-1')}</div>"
        '<label class="tick"><input type="checkbox" name="decaf" value="yes">'
        f"The cups are poured over decaf</label>{button('Make the sheets')}</form>"
    )
    return Answer(asked.name, body)


def make_sheet(bar: Bar, asked: Asked) -> Answer:
    """Keep a tasting as ``trials sheet --save`` does."""
    document = _kept(bar, asked.one("plan"), "trials plan")
    said = asked.one("tasters")
    count = int(said) if said.isascii() and said.isdigit() and len(said) < 6 else None
    named = [] if count is not None else [n.strip() for n in said.split(",") if n.strip()]
    made = tasting(
        document,
        {
            "protocol_name": asked.one("protocol", "liking"),
            "only": asked.one("only") or None,
            "loose": (),
            "tasters": count,
            "named": named,
            "qualities": [q.strip() for q in asked.one("quality").split(",") if q.strip()],
            "cups": 6,
            "portion_ml": 30.0,
            "in_order": False,
            "seed": None,
            "decaf": asked.one("decaf") == "yes",
        },
    )
    with WRITING:
        name = _fresh(bar, asked, ".json", ".csv", ".html")
        made.keep(bar.folder / name)
    return Answer(go_to=f"/trials/sheet/{name}")


def kept_sheet(bar: Bar, asked: Asked) -> Answer:
    """A tasting: cards, ballots, result; the key only when it is opened."""
    document = _kept(bar, asked.name, "trials sheet")
    sheet, name = from_dict(document), asked.name
    key = "".join(
        f"<tr><td>{clean(c.taster)}</td><td>{c.sitting}</td><td>{clean(c.code)}</td>"
        f"<td>{clean(c.trial)}</td></tr>"
        for c in sheet.cups
    )
    ways = " ".join(
        link(f"/trials/{path}/{name}", [], word)
        for path, word in (
            ("ballot", "Fill in a ballot"),
            ("cards", "Cards to print"),
            ("read", "What the panel says"),
        )
    )
    body = (
        f"<h1>{clean(name)}</h1>{_care(document)}<p>{clean(sheet.protocol.protocol_id)}, "
        f"{len(sheet.tasters)} tasters, {len(sheet.cups)} cups.</p><p>{ways}</p>"
        f"<details><summary>The key, for the kitchen alone</summary>"
        '<div class="wide" tabindex="0" role="region" aria-label="Key"><table><thead><tr>'
        '<th scope="col">Taster</th><th scope="col">Sitting</th><th scope="col">Code</th>'
        f'<th scope="col">Trial</th></tr></thead><tbody>{key}</tbody></table></div></details>'
    )
    return Answer(name, body)


def _care(document: Mapping[str, Any]) -> str:
    """What a taster must hear before the first cup."""
    caffeine = document.get("caffeine")
    told = "Caffeine: not known here; ask before you taste."
    if isinstance(caffeine, dict):
        try:
            most = float(caffeine["per_sitting_mg"])
        except (KeyError, TypeError, ValueError):
            raise PairingError("the sheet lacks parts; make it anew from its plan") from None
        told = (
            f"Up to {most:.0f} mg caffeine at a sitting; less when "
            "pregnant or breast-feeding; not for children."
        )
        told = f"{caffeine.get('warning') or ''} {told}".strip()
    allergens = document.get("allergens") or "Allergens: not known here; ask before you taste."
    return f'<div class="care"><p><b>{clean(allergens)}</b></p><p><b>{clean(told)}</b></p></div>'


def cards(bar: Bar, asked: Asked) -> Answer:
    """Blind cards to print."""
    _kept(bar, asked.name, "trials sheet")
    path = bar.folder / f"{asked.name}.html"
    if mode_of(path) is None:
        raise NotThereError(f"no cards are kept as {quoted(asked.name)}")
    return Answer("Cards", whole=read_text(path, LARGEST_FILE))


def _given(bar: Bar, name: str, sheet: Sheet) -> dict[tuple[str, str], Any]:
    """Answers that are in already, by taster and code."""
    path = bar.folder / f"{name}.csv"
    if mode_of(path) is None:
        return {}
    found = answers(sheet, read_text(path, LARGEST_FILE), path.name)
    return {(a.cup.taster, a.cup.code): a for a in found}


def ballot(bar: Bar, asked: Asked) -> Answer:
    """Whose turn it is; then one taster's cups, by their codes."""
    document = _kept(bar, asked.name, "trials sheet")
    sheet = from_dict(document)
    given = _given(bar, asked.name, sheet)
    taster = asked.one("taster")
    if not taster:
        done = {t for (t, _), a in given.items() if a.value}
        rows = "".join(
            f"<li>{link(f'/trials/ballot/{asked.name}', [('taster', t)], t)}"
            f"{' has answered' if t in done else ''}</li>"
            for t in sheet.tasters
        )
        body = (
            f"<h1>Who tastes?</h1>{_care(document)}<ul class=taps>{rows}</ul>"
            f"<p>{link(f'/trials/read/{asked.name}', [], 'What the panel says')}</p>"
        )
        return Answer("Who tastes?", body)
    if taster not in sheet.tasters:
        raise NotThereError(f"{quoted(taster)} is no taster of this sheet")
    parts = []
    for number in dict.fromkeys(c.set for c in sheet.of(taster)):
        cups = [c for c in sheet.of(taster) if c.set == number]
        word = (
            f"Sitting {cups[0].sitting}, set {number}"
            if len(sheet.of(taster)) > len(cups)
            else ("Your cups, in this order")
        )
        rows = "".join(_cup(sheet, c, given.get((taster, c.code))) for c in cups)
        parts.append(f"<fieldset><legend>{word}</legend>{rows}</fieldset>")
    body = (
        f"<h1>{clean(taster)}</h1>{_care(document)}<p>{clean(sheet.protocol.question)} "
        f"Water and a rest of {sheet.protocol.rest_s} s between cups.</p>"
        f'<form action="/trials/answer/{clean(asked.name)}" method="post">'
        f"{hidden([('taster', taster)])}{''.join(parts)}{button('Hand it in')}</form>"
    )
    return Answer(f"Ballot of {taster}", body)


def _cup(sheet: Sheet, cup: Any, said: Any) -> str:
    """The fields of one cup."""
    kind, code = sheet.protocol.protocol_id, clean(cup.code)
    if cup.code == REFERENCE:
        return f"<p><b>{code}</b>: the open one, for comparison</p>"
    value, note = (said.value, said.note) if said else ("", "")
    if kind in ("triangle", "duo-trio", "paired", "pairs"):
        on = " checked" if value else ""
        asks = (
            f'<label class="tick"><input type="radio" name="pick.{cup.set}" value="{code}"{on}>'
            f"<b>{code}</b></label>"
        )
    elif kind == "ranking":
        places = [("", "-"), *((str(n), str(n)) for n in range(1, len(sheet.trials) + 1))]
        asks = pick(f"{cup.code}: place", f"answer.{cup.code}", places, value)
    else:
        scale = [("", "-"), *((str(n), str(n)) for n in range(1, 10))]
        asks = pick(f"{cup.code}: how much you like it", f"answer.{cup.code}", scale, value)
        for i, quality in enumerate(sheet.qualities):
            now = said.marks.get(quality, "") if said else ""
            asks += pick(f"{cup.code}: {quality}", f"mark.{i}.{cup.code}", MARKS, now)
    return (
        f'<div class="fields">{asks}{field(f"{cup.code}: a word", f"note.{cup.code}", note)}</div>'
    )


def answer(bar: Bar, asked: Asked) -> Answer:
    """A ballot handed in: checked, then written into the file of the panel."""
    document = _kept(bar, asked.name, "trials sheet")
    sheet = from_dict(document)
    taster = asked.one("taster")
    if taster not in sheet.tasters:
        raise NotThereError(f"{quoted(taster)} is no taster of this sheet")
    mine = {c.code: _answered(sheet, c, asked) for c in sheet.of(taster) if c.code != REFERENCE}
    if sheet.protocol.protocol_id == "ranking":
        places = [a[0] for a in mine.values() if a[0]]
        if len(set(places)) != len(places):
            raise PairingError("two cups have the same place; give each place once")
    if not any(any(a) for a in mine.values()):
        raise PairingError("nothing is filled in yet")
    path = bar.folder / f"{asked.name}.csv"
    with WRITING:
        given = _given(bar, asked.name, sheet)
        rows = []
        for c in sheet.cups:
            old = given.get((c.taster, c.code))
            cells: Sequence[str] = [""] * (2 + len(sheet.qualities))
            if c.taster == taster:
                cells = mine.get(c.code, cells)
            elif old:
                cells = [old.value, *(old.marks.get(q, "") for q in sheet.qualities), old.note]
            rows.append([_cell(c.taster), c.sitting, c.set, c.place, c.code,
                         *cells[:-1], _cell(cells[-1])])  # fmt: skip
        out = io.StringIO(newline="")
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(columns(sheet))
        writer.writerows(rows)
        answers(sheet, out.getvalue(), path.name)  # what is written is what is read again
        write_atomically(path, out.getvalue())
    return Answer(go_to=f"/trials/ballot/{asked.name}")


def _cell(text: str) -> str:
    """Text that a spreadsheet would run as a formula gets an apostrophe in front."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") else text


def _answered(sheet: Sheet, cup: Any, asked: Asked) -> list[str]:
    """Answer, marks and note of one cup."""
    kind = sheet.protocol.protocol_id
    note = asked.one(f"note.{cup.code}")
    if kind in ("triangle", "duo-trio", "paired", "pairs"):
        return ["1" if asked.one(f"pick.{cup.set}") == cup.code else "", note]
    value = asked.one(f"answer.{cup.code}")
    most = len(sheet.trials) if kind == "ranking" else 9
    if value and value not in {str(n) for n in range(1, most + 1)}:
        raise PairingError(f"cup {cup.code}: {quoted(value)}; give 1 to {most}")
    marks = [asked.one(f"mark.{i}.{cup.code}") for i in range(len(sheet.qualities))]
    for mark in marks:
        if mark not in dict(MARKS):
            raise PairingError(f"cup {cup.code}: {quoted(mark)}; give 1 to 5, 3 is just right")
    return [value, *marks, note]


def reading(bar: Bar, asked: Asked) -> Answer:
    """What the panel says so far."""
    document = _kept(bar, asked.name, "trials sheet")
    key, blank = (Path(f"{asked.name}{end}") for end in (".json", ".csv"))
    path = bar.folder / blank
    if mode_of(path) is None:
        raise NotThereError(f"no answers are kept as {quoted(asked.name)}")
    report, _ = reading_of(document, read_text(path, LARGEST_FILE), (key, blank))
    plans = [(n, n) for n in _names(bar, "trials-plan")]
    own = max((n for n, _ in plans if asked.name.startswith(n)), key=len, default="")
    then = (
        f'<form action="/trials/next/{clean(asked.name)}">'
        f"{pick('Of which plan', 'plan', plans, own)}{button('What to taste next')}</form>"
        if plans and document.get("protocol") in ("liking", "just-right")
        else ""
    )
    body = (
        f"<h1>What the panel says</h1>{shown(report)}"
        f"<p>{link(f'/trials/ballot/{asked.name}', [], 'More ballots')}</p>{then}"
    )
    return Answer("What the panel says", body, report)


def _next(bar: Bar, asked: Asked) -> tuple[dict[str, Any], tuple[Any, Any, dict[str, Any], Any]]:
    """A kept plan, and what its tasting says of the next trials."""
    from pairing.cli.trials import learned_next, panel_of

    name, sheet = plain_name(asked.one("plan")), plain_name(asked.name or asked.one("sheet"))
    document = _kept(bar, name, "trials plan")
    _kept(bar, sheet, "trials sheet")
    files = (bar.folder / f"{sheet}.json", bar.folder / f"{sheet}.csv")
    factors = [str(f.get("name")) for f in document.get("factors", ()) if isinstance(f, dict)]
    panels = [panel_of(*files, factors)]
    return document, learned_next(bar.open(""), document, f"{name}.json", panels, count=3)


def next_trials(bar: Bar, asked: Asked) -> Answer:
    """What to taste next, learned from a tasting; kept as a plan of its own when wished."""
    from pairing.cards.trials import next_report

    _, (learned, forecasts, document, _) = _next(bar, asked)
    report = next_report(learned, forecasts, document, "")
    said = [("plan", asked.one("plan")), ("sheet", asked.name)]
    body = (
        f"<h1>What to taste next</h1>{shown(report)}"
        f'<form action="/trials/keep-next" method="post">{hidden(said)}'
        f"{field('Keep these trials as', 'keep_as', hint='autumn-2')}{button('Keep them')}</form>"
    )
    return Answer("What to taste next", body, report)


def keep_next(bar: Bar, asked: Asked) -> Answer:
    """Keep the next trials as ``trials next --save`` does."""
    from pairing.cli.trials import next_plan

    with WRITING:
        name = _fresh(bar, asked, ".json")
        plan_, (_, _, document, kitchen) = _next(bar, asked)
        text = json_text("trials plan", next_plan(plan_, kitchen, document))
        write_atomically(bar.folder / f"{name}.json", text)
    return Answer(go_to=f"/trials/of/{name}")
