"""Trials on paper: the plan for the bench, blind cards for tasters, the reading."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from typing import Any

from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.trials.design import Plan, Pot
from pairing.trials.palate import Forecast, Palate
from pairing.trials.sheets import Caffeine, Sheet, strength_words
from pairing.trials.verdict import Reading, people

__all__ = ["cards_html", "next_report", "plan_report", "reading_report", "sheet_report"]

MOST_LINES = 6  # of warnings in the short print


def plan_report(
    made: Plan,
    document: Mapping[str, Any],
    *,
    title: str,
    watch: Sequence[str],
    defer: str,
    shared: tuple[Sequence[Pot], Mapping[str, Mapping[str, float]]] | None,
    then: str,
) -> Report:
    """A plan: what to weigh for each trial, or which pots to cook and how to mix them.

    Parameters
    ----------
    made : Plan
    document : mapping
        For JSON.
    title : str
    watch : sequence of str
        Allergens first.
    defer : str
        Who decides.
    shared : (pots, recipe), optional
        Pots that trials are mixed from.
    then : str
        The next command.

    Returns
    -------
    Report
    """
    names = [f.name for f in made.factors]
    open_ = list(document["not_known"])
    blocks: list[Text | Bullets | Table] = [
        *map(Text, open_),
        Text(title),
        Table(
            "Trials, g per kg of finished syrup (keep the letters from the tasters)",
            ["trial", *names],
            [[t.name, *(number(t.doses[n]) for n in names)] for t in made.trials],
        ),
    ]
    if made.left_out:
        blocks.append(
            Bullets(
                "Left out",
                [
                    f"{', '.join(f'{n} {number(x)}' for n, x in doses.items())}: {why}"
                    for doses, why in made.left_out
                ],
            )
        )
    if shared is not None:
        pots, recipe = shared
        cook = document["pots"]["cook"]
        blocks += [
            _weights(
                f"Cook {len(pots)} pots instead of {len(made.trials)}, g",
                [(f"{p.name}, {number(p.grams)} g", c["formula"])
                 for p, c in zip(pots, cook, strict=True)],
            ),
            Table(
                "Mix by weight, g",
                ["trial", *(p.name for p in pots)],
                [
                    [t, *(number(parts.get(p.name, 0.0)) for p in pots)]
                    for t, parts in recipe.items()
                ],
            ),
        ]  # fmt: skip
    else:
        blocks.append(
            _weights(
                f"Weigh for {number(document['pot_g'])} g of each, g",
                [(t.name, t.document) for t in made.trials],
            )
        )
    blocks.append(Bullets("Bench", [*made.notes, *document["bench"]]))
    blocks.append(Bullets("Watch", [*watch[:MOST_LINES], defer]))
    blocks.append(Text(f"Next: {then}"))
    rows = [[t.name, *(t.doses[n] for n in names), t.document.get("sugar_g"),
             t.document.get("water_g")] for t in made.trials]  # fmt: skip
    blank = [""] * (len(names) + 2)
    first = [[text, *blank] for text in (*open_, str(document["allergens"]))]
    columns = ["trial", *(f"{n}_g_per_kg" for n in names), "sugar_g", "water_g"]
    data = Table("", columns, [*first, *rows])
    return Report(document, blocks, data, "trials plan")


def _weights(title: str, pots: Sequence[tuple[str, Mapping[str, Any]]]) -> Table:
    """What goes into each pot."""
    parts = ("ingredients", "powders")
    inside = [
        {i["id"]: i["grams"] for what in parts for i in d.get(what, ())}
        | {i["id"]: i["grams"] for i in list(d.get("sweeteners", ()))[1:]}  # of a blend
        for _, d in pots
    ]
    sugar = [next((i["grams"] for i in d.get("sweeteners", ())), d.get("sugar_g")) for _, d in pots]
    ids = list(dict.fromkeys(x for grams in inside for x in grams))
    return Table(
        title,
        ["pot", "sugar", "water", *ids],
        [
            [name, number(first), number(d.get("water_g")), *(number(grams.get(x)) for x in ids)]
            for (name, d), grams, first in zip(pots, inside, sugar, strict=True)
        ],
    )  # fmt: skip


def sheet_report(
    sheet: Sheet,
    document: Mapping[str, Any],
    caffeine: Caffeine | None,
    allergens: str,
    saved: Sequence[str],
) -> Report:
    """A tasting, for the kitchen: who gets which code, and what the panel can find.

    Parameters
    ----------
    sheet : Sheet
    document : mapping
        For JSON.
    caffeine : Caffeine, optional
        Not known when not given.
    allergens : str
        A sentence.
    saved : sequence of str
        Files, with what each is for.

    Returns
    -------
    Report
    """
    rows = [
        [c.taster, c.sitting, c.set, c.place, c.code, c.trial]
        for c in sheet.cups
    ]  # fmt: skip
    known = sheet.protocol
    words = [
        f"{sheet.portion_ml:g} ml a cup, all at one temperature; {document['water']}; rest "
        f"{known.rest_s} s between cups",
        *sheet.notes,
    ]
    strength = strength_words(sheet)
    if strength:
        words.insert(0, strength)
    if caffeine is None:
        words.append("caffeine of the cups is not known here: ask before you pour")
    else:
        words.append(
            f"up to {caffeine.sitting_mg:.0f} mg caffeine a taster at a sitting "
            f"({caffeine.single_mg:.0f} mg at once for a healthy adult, {caffeine.day_mg:.0f} a "
            "day, less in pregnancy; not for children)"
        )
    per = max(len(sheet.of(t)) for t in sheet.tasters)
    head = (
        f"{known.protocol_id} ({known.standard}): {people(len(sheet.tasters))}, {per} cups each"
        + (f" in {sheet.sittings} sittings" if sheet.sittings > 1 else "")
        + f", {len(sheet.cups)} cups in all."
    )
    blocks: list[Text | Bullets | Table] = []
    if caffeine is not None and caffeine.warning:
        blocks.append(Text(f"LIMIT: {caffeine.warning}."))
    blocks += [
        Text(head),
        Text(f"Ask: {known.question}"),
        Text(allergens),
        Bullets("Serve", words),
        Table(
            "Key (kitchen only)",
            ["taster", "sitting", "cups in serving order: code (trial)"],
            _key_rows(sheet),
        ),
    ]
    if saved:
        blocks.append(Bullets("Saved", list(saved)))
    else:
        blocks.append(Text("Nothing is saved: add --save NAME to keep the key, cards and answers."))
    data = Table("", ["taster", "sitting", "set", "place", "code", "trial"], rows)
    return Report(document, blocks, data, "trials sheet")


def _key_rows(sheet: Sheet) -> list[list[Any]]:
    rows = []
    for taster in sheet.tasters:
        for sitting in range(1, sheet.sittings + 1):
            mine = [c for c in sheet.of(taster) if c.sitting == sitting]
            if mine:
                rows.append([taster, sitting, "  ".join(f"{c.code} ({c.trial})" for c in mine)])
    return rows


def reading_report(
    reading: Reading, document: Mapping[str, Any], left: Sequence[str], then: str
) -> Report:
    """A reading: the plain sentence first, numbers after.

    Parameters
    ----------
    reading : Reading
    document : mapping
        For JSON.
    left : sequence of str
        Who was left out, and why.
    then : str
        The next command.

    Returns
    -------
    Report
    """
    facts = [*reading.lines]
    if left:
        facts.append(f"Left out: {'; '.join(left)}.")
    p = reading.p_value
    facts.append(
        f"{reading.method}: p = {number(p, 2)}"
        + (f", level held {100 * reading.attained:.1f} %" if reading.attained is not None else "")
        + f" of {100 * reading.alpha:g} % allowed."
    )
    blocks: list[Text | Bullets | Table] = [Text(reading.sentence), Bullets("", facts)]
    trials = reading.numbers.get("trials")
    if trials:
        columns = list(trials[0])
        blocks.append(
            Table(
                "",
                [c.replace("_", " ") for c in columns],
                [[_shown(t[c]) for c in columns] for t in trials],
            )
        )
    pairs = [x for x in reading.numbers.get("pairs", ()) if x["clear"]]
    if pairs:
        blocks.append(
            Bullets("Clear differences", [f"{x['ahead']} before {x['behind']}" for x in pairs])
        )
    if then:
        blocks.append(Text(f"Next: {then}"))
    rows: list[list[Any]] = [
        ["sentence", reading.sentence],
        ["p_value", reading.p_value],
        ["told_apart", reading.told_apart],
        ["more_tasters", reading.more_tasters],
    ]
    return Report(document, blocks, Table("", ["what", "value"], rows), "trials read")


def _shown(value: Any) -> Any:
    return number(value) if isinstance(value, float) else value


STYLE = """
:root { color-scheme: light dark }
body { font: 16px/1.4 system-ui, sans-serif; margin: 0; padding: 1rem; max-width: 60rem }
section { border: 2px solid currentColor; border-radius: .6rem; padding: 1rem; margin: 0 0 1rem;
  break-inside: avoid }
h1 { font-size: 1.3rem; margin: 0 0 .3rem } h2 { font-size: 1.05rem; margin: .8rem 0 .2rem }
p { margin: .3rem 0 } .must { font-weight: 700 }
ol { display: flex; flex-wrap: wrap; gap: .6rem; padding: 0; margin: .6rem 0; list-style: none }
li { border: 1px solid currentColor; border-radius: .4rem; padding: .4rem .7rem; min-width: 6.5rem }
li b { display: block; font-size: 1.9rem; letter-spacing: .06em }
.box { display: inline-block; min-width: 4rem; border-bottom: 1px solid currentColor }
@media print { body { padding: 0 } section { break-after: page; border-width: 1px }
  @page { size: A5; margin: 12mm } }
"""


def cards_html(sheet: Sheet, caffeine: Caffeine | None, allergens: str) -> str:
    """Blind cards, one a taster and sitting, in one file that needs nothing else.

    Parameters
    ----------
    sheet : Sheet
    caffeine : Caffeine, optional
    allergens : str
        A sentence; stands on every card before the cups.

    Returns
    -------
    str
        HTML.
    """
    parts = []
    for taster in sheet.tasters:
        for sitting in range(1, sheet.sittings + 1):
            mine = [c for c in sheet.of(taster) if c.sitting == sitting]
            if mine:
                parts.append(_card(sheet, taster, sitting, caffeine, allergens))
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Tasting cards</title><style>{STYLE}</style></head>\n<body><main>\n"
        + "\n".join(parts)
        + "\n</main></body></html>\n"
    )


def _card(
    sheet: Sheet, taster: str, sitting: int, caffeine: Caffeine | None, allergens: str
) -> str:
    known = sheet.protocol
    when = f", sitting {sitting}" if sheet.sittings > 1 else ""
    if caffeine is None:
        drug = "Caffeine: not known here; ask before you taste."
    else:
        drug = (
            f"Up to {caffeine.sitting_mg:.0f} mg caffeine at this sitting: count it into your day; "
            "less when pregnant or breast-feeding; not for children."
        )
    sets = sorted({c.set for c in sheet.of(taster) if c.sitting == sitting})
    flights = []
    for number_of in sets:
        cups = [c for c in sheet.of(taster) if c.sitting == sitting and c.set == number_of]
        head = f"<h2>Pair {number_of}</h2>" if known.protocol_id == "pairs" else ""
        items = "".join(f"<li><b>{escape(c.code)}</b>{_boxes(sheet, c.code)}</li>" for c in cups)
        flights.append(f"{head}<ol>{items}</ol>")
    return (
        f'<section aria-label="Card of {escape(taster, quote=True)}{when}">'
        f"<h1>{escape(taster)}{when}</h1>"
        f'<p class="must">{escape(allergens)}</p><p class="must">{escape(drug)}</p>'
        f"<p>{escape(known.question)}</p>"
        f"<p>Taste from left to right. Between cups: {escape(_rest(sheet))}. You may spit. Do not "
        f"talk until all have written.</p>{''.join(flights)}"
        f'<p>Notes: <span class="box" style="min-width:75%"></span></p></section>'
    )


def _boxes(sheet: Sheet, code: str) -> str:
    if code == "R":
        return "reference"
    kind = sheet.protocol.protocol_id
    word = {"ranking": "place", "liking": "1 to 9", "just-right": "liking"}.get(kind, "mark")
    rows = [word, *(f"{q} (1 to 5)" for q in sheet.qualities)]
    return "<br>".join(f'{escape(r)} <span class="box">&nbsp;</span>' for r in rows)


def _rest(sheet: Sheet) -> str:
    from pairing.trials.protocols import WATER

    return f"{WATER}, {sheet.protocol.rest_s} seconds"


def next_report(
    learned: Palate, forecasts: Sequence[Forecast], document: Mapping[str, Any], then: str
) -> Report:
    """What to taste next, what it expects and how sure it is.

    Parameters
    ----------
    learned : Palate
    forecasts : sequence of Forecast
    document : mapping
        For JSON.
    then : str
        The next command.

    Returns
    -------
    Report
    """
    best = document["best_so_far"]
    names = [f.name for f in learned.factors]
    sat = document["tastings"]
    sittings = f"{sat} sitting{'' if sat == 1 else 's'}"
    first = forecasts[0]
    words = ", ".join(f"{n} {number(best['doses'][n])}" for n in names)
    if first.gain < 0.1:
        lead = (
            f"You are about there: {words} g/kg is liked {best['liking']:.1f} of 9, and nothing "
            "else is expected to gain a tenth of a point."
        )
    else:
        lead = (
            f"Best so far: {words} g/kg, liked {best['liking']:.1f} of 9 (give or take "
            f"{best['spread']:.1f}). Worth tasting next, the most promising first:"
        )
    table = Table(
        "g per kg of finished syrup",
        [*names, "liking", "+/-", "better than best"],
        [
            [*(number(f.doses[n]) for n in names), f"{f.liking:.1f}", f"{f.spread:.1f}",
             f"{10 * f.better:.0f} in 10"]
            for f in forecasts
        ],
    )  # fmt: skip
    open_ = list(document["not_known"])
    blocks: list[Text | Bullets | Table] = [
        *map(Text, open_),
        Text(lead),
        table,
        Bullets(
            "",
            [
                f"learned from {sittings} of your own tasters; starts from "
                f"{document['prior']}; +/- is one standard deviation",
                "all inside the dose windows, and none that law or guidance would stop",
            ],
        ),
        Text(f"Next: {then}"),
    ]
    rows = [[*(f.doses[n] for n in names), f.liking, f.spread, f.gain, f.better] for f in forecasts]
    columns = [*(f"{n}_g_per_kg" for n in names), "expected_liking", "spread", "expected_gain",
               "chance_better"]  # fmt: skip
    first_of_all = [[text, *[""] * (len(columns) - 1)] for text in open_]
    return Report(document, blocks, Table("", columns, [*first_of_all, *rows]), "trials next")
