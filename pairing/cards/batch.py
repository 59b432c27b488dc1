"""The batch sheet: one document of what is weighed, measured and served, with blanks to fill in.

The kitchen finds it on its card, the inspector among the safety papers, and a trial with its code:
all from the same document of a formula.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from pairing.cards.report import Bullets, Report, Table, Text
from pairing.cards.vocabulary import Document
from pairing.errors import PairingError
from pairing.evidence.words import within
from pairing.safety.findings import DEFER

__all__ = [
    "BLANK",
    "allergens",
    "batch_sheet",
    "bench",
    "bench_report",
    "blanks",
    "grams",
    "report",
    "sheet_title",
    "title_of",
    "weighed",
]

BLANK = "____"
ASK = "Ask the suppliers for specifications and cross-contact"
OFF = "Off the target: correct and measure again, or discard the batch."
ROLLING = re.compile(r"full boil and boil (\d+) minute")


def grams(value: float) -> str:
    """Grams as a scale shows them: below 10 g with one decimal, below 1 g with two.

    Parameters
    ----------
    value : float
        [g].

    Returns
    -------
    str
        Without the unit.
    """
    return f"{value:.2f}" if value < 1 else f"{value:.1f}" if value < 10 else f"{value:,.0f}"


def title_of(document: Document) -> str:
    """What a formula or drink is called: its ingredients in words.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    str
        Plain text, not escaped.
    """
    names = [i["name"].split(",")[0] for i in document.get("ingredients", ())]
    names = [n if k == 0 else within(n) for k, n in enumerate(names)]
    if not names:
        return "Plain syrup"
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]


def allergens(*documents: Document) -> list[str]:
    """What the findings say of allergens; whom to ask where they say nothing.

    Parameters
    ----------
    *documents : mapping
        Of a formula, and of the drink it goes into.

    Returns
    -------
    list of str
    """
    found = [f for d in documents for f in d["findings"]]
    told = [f["text"] for f in found if f["code"].startswith("allergen")]
    open_ = [f["text"] for f in found if f["code"] in ("unknown", "loosened")]
    return [*dict.fromkeys(open_), *(dict.fromkeys(told) or [ASK])]


def weighed(document: Document) -> list[tuple[str, float]]:
    """What is weighed for a formula, in the order of the pot.

    Parameters
    ----------
    document : mapping
        Of a formula.

    Returns
    -------
    list of (str, float)
        Names and grams.
    """
    return [
        *((s["id"].replace("-", " "), s["grams"]) for s in document["sweeteners"]),
        ("water", document["water_g"]),
        *((i["name"], i["grams"]) for i in document["ingredients"]),
        *((p["name"], p["grams"]) for p in document.get("powders", ())),
    ]


def batch_sheet(
    document: Document, *, name: str = "", trial: str = "", made_on: date | None = None
) -> dict[str, Any]:
    """The sheet of one batch, from the document of its formula.

    Parameters
    ----------
    document : mapping
        Of a formula.
    name : str
        What the bar calls it; its ingredients when not given.
    trial : str
        ``trial B`` or ``shared pot 2``, where it is for a tasting.
    made_on : date, optional
        Day one of the use-by date; without it the date is a blank.

    Returns
    -------
    dict
        ``weighed`` and ``checks`` have a target each; ``for`` says who asks for a check:
        ``kitchen``, ``safety`` or ``trial``.
    """
    keeps = document["keeping"]
    last = made_on + timedelta(days=keeps["days"] - 1) if made_on and keeps["days"] else None
    return {
        "stops": list(document["stops"]),
        "not_known": list(document.get("not_known", ())),
        "name": name or title_of(document),
        "trial": trial,
        "made_on": made_on.isoformat() if made_on else None,
        "use_by": last.isoformat() if last else None,
        "days": keeps["days"],
        "allergens": allergens(document),
        "weighed": [{"what": what, "target_g": g} for what, g in weighed(document)],
        "checks": [
            {"for": who, "step": step, "target": target}
            for who, step, target in (*_kitchen(document), *_safety(document), *_served(document))
        ],
    }


def _warmth(step: Document) -> str:
    span = step["temperature_range_c"]
    if not span:
        return ""
    low, high = round(span["low"]), round(span["high"])
    return f"{low} °C" if low == high else f"{low}-{high} °C"


def _kitchen(document: Document) -> list[tuple[str, str, str]]:
    """What the cook measures: each step that has a time or a heat, then what comes out."""
    rows = []
    for n, step in enumerate(document["plan"], 1):
        minutes = f"{step['minutes']:.0f} min" if (step["minutes"] or 0) >= 2 else ""
        warmth = "" if ROLLING.search(step["text"]) else _warmth(step)  # it cools as it steeps
        target = ", ".join(t for t in (warmth, minutes) if t)
        if target and step["what"] != "bottle":  # its heat is a safety check
            rows.append(("kitchen", f"step {n}, {step['what']}", target))
    return [
        *rows,
        ("kitchen", "pot before straining", f"{grams(document['pot_before_straining_g'])} g"),
        ("kitchen", "syrup", f"{grams(document['yield_g'])} g"),
        (
            "kitchen",
            "refractometer at 20 °C",
            f"{document['refractometer_brix']:.0f} °Bx +/- 1",
        ),
    ]


def _safety(document: Document) -> list[tuple[str, str, str]]:
    """What an inspector asks for; heat and cooling after Food Code 2022, 3-501.14 and .16."""
    keeps = document["keeping"]
    heat = []
    for n, step in enumerate(document["plan"], 1):
        boil = ROLLING.search(step["text"])
        if boil:
            heat.append((f"step {n}, boil with the dry spice", f"{boil[1]} minute, rolling"))
        elif step["what"] == "bottle" and step["temperature_range_c"]:
            heat.append(
                (f"step {n}, kill step", f"{_warmth(step)}, {step['minutes'] or 1:.0f} min")
            )
    if not heat:
        heat = [("heat", "no step of this plan kills germs: 5 °C or colder from start to end")]
    seal = "cooled open, cold bottles" if keeps["low_acid"] else "85 °C or hotter when filled"
    sour = f"{keeps['ph_high']:.1f} or lower" if not keeps["low_acid"] else "low in acid: measure"
    rows = [
        ("thermometer in ice water and in boiling water", "0 and 100 °C, +/- 1"),
        *heat,
        ("bottles", seal),
        ("57 to 21 °C", "within 2 hours"),
        ("21 to 5 °C", "within 4 more hours"),
        ("fridge", "5 °C or colder"),
        ("pH, meter checked in buffers 4 and 7", sour),
    ]
    return [("safety", step, target) for step, target in rows]


def _served(document: Document) -> list[tuple[str, str, str]]:
    """What a tasting needs: the same syrup in each drink, and what was poured."""
    return [
        ("trial", "syrup in a drink", f"{grams(document['serving_g'])} g"),
        ("trial", "drinks it gives", f"{document['servings']:,}"),
    ]


def report(sheet: Document) -> Report:
    """A batch sheet as text, Markdown, CSV and JSON.

    Parameters
    ----------
    sheet : mapping
        Of :func:`batch_sheet`.

    Returns
    -------
    Report
    """
    stops, open_ = [f"STOP: {s}" for s in sheet["stops"]], sheet["not_known"]
    told = [a for a in sheet["allergens"] if a not in open_]
    into = [[w["what"], f"{grams(w['target_g'])} g", BLANK, BLANK] for w in sheet["weighed"]]
    checks = {
        who: [[c["step"], c["target"], BLANK, BLANK] for c in sheet["checks"] if c["for"] == who]
        for who in ("kitchen", "safety", "trial")
    }
    columns = ["what", "target", "measured", "time"]
    blocks: list[Text | Bullets | Table] = [
        *map(Text, (*stops, *open_)),
        Text(head(sheet)),
        *([Bullets("Allergens", told)] if told else []),
        Table("Weighed", ["what", "target", "weighed", "lot"], into),
        Table("Cooked", columns, checks["kitchen"]),
        Table("Safe", columns, checks["safety"]),
        Table("Served", columns, checks["trial"]),
        Text(OFF),
        Text(DEFER),
    ]
    first = [["stop", s, "", ""] for s in stops]
    first += [["not known", s, "", ""] for s in open_]
    first += [["allergen", s, "", ""] for s in told if s != ASK]
    rows: Sequence[Sequence[str]] = [*first, *into, *(r for kind in checks.values() for r in kind)]
    data = Table("", columns, rows)
    return Report(sheet, blocks, data, "papers batch")


def bench(plan: Document) -> list[dict[str, Any]]:
    """The batch sheets of a plan of trials: one for each pot that is cooked.

    Parameters
    ----------
    plan : mapping
        As ``trials plan`` saves it.

    Returns
    -------
    list of dict
        Of :func:`batch_sheet`, with the trial or the shared pot it is for.

    Raises
    ------
    PairingError
        When the plan lacks what a sheet is made of.
    """
    pots = plan["pots"]["cook"] if plan.get("pots") else plan.get("trials", [])
    try:
        return [
            batch_sheet(
                pot["formula"],
                trial=f"trial {pot['trial']}" if "trial" in pot else f"shared pot {pot['pot']}",
            )
            for pot in pots
        ]
    except (KeyError, TypeError, AttributeError) as err:
        raise PairingError(
            f"the plan lacks {err}; give one that pairing trials plan has saved"
        ) from None


def bench_report(sheets: Sequence[Document]) -> Report:
    """Batch sheets below one another.

    Parameters
    ----------
    sheets : sequence of mapping
        Of :func:`bench`.

    Returns
    -------
    Report
    """
    one = [report(s) for s in sheets]
    rows = [[s["trial"], *row] for s, r in zip(sheets, one, strict=True) for row in r.data.rows]
    data = Table("", ["trial", *one[0].data.columns], rows) if one else Table("", ["trial"], [])
    document = {
        **{k: list(dict.fromkeys(t for s in sheets for t in s[k])) for k in ("stops", "not_known")},
        "sheets": list(sheets),
    }
    return Report(document, [b for r in one for b in r.blocks], data, "papers bench")


def sheet_title(sheet: Document) -> str:
    """What a sheet is called, with the letter of its trial.

    Parameters
    ----------
    sheet : mapping
        Of :func:`batch_sheet`.

    Returns
    -------
    str
        Plain text, not escaped.
    """
    return f"Batch sheet: {sheet['name']}" + (f", {sheet['trial']}" if sheet["trial"] else "")


def blanks(sheet: Document) -> list[str]:
    """What is written at its top by hand, each before its blank, or with what is known.

    Parameters
    ----------
    sheet : mapping
        Of :func:`batch_sheet`.

    Returns
    -------
    list of str
    """
    made = f"Made {_day(sheet['made_on'])}" if sheet["made_on"] else "Made"
    days = f" ({sheet['days']} days)" if sheet["days"] else ""
    until = f"Use by {_day(sheet['use_by'])}{days}" if sheet["use_by"] else f"Use by{days}"
    return ["Batch", made, "By", until, "Checked by"]


def head(sheet: Document) -> str:
    """The first line of a sheet: what it is, and who, when and until when."""
    known = {"Made": sheet["made_on"], "Use by": sheet["use_by"]}
    asked = [b if any(v and b.startswith(k) for k, v in known.items()) else f"{b} {BLANK}"
             for b in blanks(sheet)]  # fmt: skip
    return f"{sheet_title(sheet)}. {' '.join(asked)}"


def _day(iso: str) -> str:
    day = date.fromisoformat(iso)  # 3.4.2026 would be April here and March there
    return f"{day.day} {day:%B} {day.year}"
