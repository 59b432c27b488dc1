"""Cards and pages as one self-contained HTML file: no network, no script needed to read it.

A prep card hangs on the wall of a kitchen, a recipe card is shared. Both are views of the
documents that ``--format json`` prints; a user's own text is escaped wherever it stands.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from pairing.cards import pictures
from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.cards.svg import STYLE, THEME, clean
from pairing.errors import PairingError

__all__ = [
    "KINDS",
    "PAPERS",
    "card",
    "card_report",
    "formula_body",
    "report_html",
    "shell",
    "title_of",
]

Document = Mapping[str, Any]
PAPERS = {"a5": "A5", "a4": "A4", "letter": "letter"}  # ISO 216; US letter, ANSI Y14.1
KINDS = ("prep", "recipe")
POLICY = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:"
CSS = """
*{box-sizing:border-box}
html{font:17px/1.45 system-ui,sans-serif;background:var(--paper);color:var(--ink)}
body{margin:0 auto;padding:16px;max-width:1100px;overflow-wrap:anywhere}
h1{font-size:1.7rem;line-height:1.15;margin:0 0 .2em}
h2{font-size:1.15rem;margin:1.3em 0 .4em;border-bottom:2px solid var(--rule)}
p{margin:.3em 0}.soft{color:var(--soft)}small{font-size:.8rem;color:var(--soft)}
a{color:var(--leaf)}
.stop{border:4px solid var(--stop);padding:.5em .8em;margin:.6em 0;font-weight:600}
.stop h2{margin:0;border:0;color:var(--stop)}
.care{border-left:6px solid var(--fruit);padding:.2em .8em;margin:.6em 0}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;overflow-wrap:normal}
.weigh td:first-child{min-width:7.5em}
th,td{text-align:left;padding:.25em .5em .25em 0;border-bottom:1px solid var(--rule);
vertical-align:top}
td.n,th.n{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
.weigh td.n:nth-child(2){font-size:1.7rem;font-weight:700;line-height:1.1}
.weigh td:first-child{font-size:1.15rem}
ol.steps{padding:0;list-style:none;counter-reset:step}
ol.steps li{counter-increment:step;padding:.5em 0 .5em 3rem;position:relative;
border-bottom:1px solid var(--rule)}
ol.steps li::before{content:counter(step);position:absolute;left:0;top:.35em;width:2.2rem;
height:2.2rem;line-height:2.2rem;text-align:center;border:2px solid var(--ink);font-weight:700}
.chip{display:inline-block;border:2px solid var(--ink);padding:0 .45em;margin:.25em .4em 0 0;
font-weight:700;white-space:nowrap}
.pics{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,330px),1fr));gap:12px}
.blank td:last-child{border-bottom:1.5px solid var(--ink);width:40%}
button,select,input{font:inherit;color:inherit;background:var(--paper);border:2px solid var(--ink);
min-height:44px;padding:.2em .7em;max-width:100%}
label{display:block;margin:.5em 0}
:focus-visible{outline:3px solid var(--fruit);outline-offset:2px}
@media print{html{font-size:11.5pt;background:#fff}body{padding:0;max-width:none}
h2,tr,li,svg,.stop,.care{break-inside:avoid}h2{break-after:avoid}button,.screen{display:none}
.weigh td.n:nth-child(2){font-size:18pt}}
"""
SLOW_HANDS = "Sugar syrup is hotter than boiling water and sticks: sleeves down, nobody behind you."

ASK = "ask the suppliers for specifications and cross-contact"


def shell(title: str, body: str, *, paper: str = "a5", script: str = "") -> str:
    """A whole HTML page around a body that is already escaped.

    Parameters
    ----------
    title : str
        Plain text.
    body : str
        Markup.
    paper : str
        One of :data:`PAPERS`, for printing.
    script : str
        A little JavaScript; the page must say everything without it.

    Returns
    -------
    str
        A file of its own: it loads nothing.

    Raises
    ------
    PairingError
        For a paper that is none of :data:`PAPERS`.
    """
    if paper not in PAPERS:
        raise PairingError(f"unknown paper {paper!r}; one of {', '.join(PAPERS)}")
    page = f"@page{{size:{PAPERS[paper]};margin:11mm}}"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        f'<title>{clean(title)}</title><link rel="icon" href="data:,">'
        f"<style>{THEME}{STYLE}{CSS}{page}</style></head><body><main>{body}</main>"
        + (f"<script>{script}</script>" if script else "")
        + "</body></html>\n"
    )


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
    names = [
        n if k == 0 or n[1:2].isupper() else n[:1].lower() + n[1:] for k, n in enumerate(names)
    ]
    if not names:
        return "Plain syrup"
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]


def grams(value: float) -> str:
    """Grams as a scale shows them: below 10 g with one decimal, below 1 g with two."""
    return f"{value:.2f}" if value < 1 else f"{value:.1f}" if value < 10 else f"{value:,.0f}"


def _stops(document: Document) -> str:
    if not document["stops"]:
        return ""
    said = "".join(f"<p>{clean(s)}</p>" for s in document["stops"])
    return f'<section class="stop" aria-label="Stop"><h2>STOP: do not serve</h2>{said}</section>'


def _allergens(document: Document) -> list[str]:
    return [f["text"] for f in document["findings"] if f["code"].startswith("allergen")]


def _list(items: Sequence[str]) -> str:
    return "<ul>" + "".join(f"<li>{clean(i)}</li>" for i in items) + "</ul>"


def _rows(document: Document) -> list[tuple[str, float]]:
    """What is weighed, in the order of the pot."""
    return [
        (document["sweetener"].replace("-", " "), document["sugar_g"]),
        ("water", document["water_g"]),
        *((i["name"], i["grams"]) for i in document["ingredients"]),
    ]


def _weigh(batches: Sequence[tuple[str, Document]]) -> str:
    heads = "".join(f'<th class="n" scope="col">{clean(name)}, g</th>' for name, _ in batches)
    lines = []
    for k, (what, _) in enumerate(_rows(batches[0][1])):
        cells = "".join(f'<td class="n">{grams(_rows(d)[k][1])}</td>' for _, d in batches)
        lines.append(f"<tr><td>{clean(what)}</td>{cells}</tr>")
    made = "".join(f'<td class="n">{grams(d["yield_g"])}</td>' for _, d in batches)
    served = "".join(f'<td class="n">{d["servings"]:,}</td>' for _, d in batches)
    return (
        '<div class="wide" tabindex="0" role="region" aria-label="What to weigh">'
        f'<table class="weigh"><thead><tr><th scope="col">Weigh</th>{heads}</tr></thead>'
        f"<tbody>{''.join(lines)}<tr><td><b>Syrup it gives</b></td>{made}</tr>"
        f"<tr><td>Drinks of {number(batches[0][1]['serving_g'])} g</td>{served}</tr></tbody>"
        "</table></div>"
    )


def _chips(step: Document) -> str:
    chips = []
    if step["temperature_range_c"]:
        low, high = step["temperature_range_c"]["low"], step["temperature_range_c"]["high"]
        chips.append(f"{low:.0f} °C" if round(low) == round(high) else f"{low:.0f}-{high:.0f} °C")
    if step["minutes"]:
        minutes = step["minutes"]
        chips.append(f"{minutes:.0f} min" if minutes >= 2 else f"{number(minutes, 2)} min")
    said = "".join(f'<span class="chip">{clean(c)}</span>' for c in chips)
    clock = f' data-minutes="{step["minutes"]:g}"' if step["minutes"] else ""
    return f"<div{clock}>{said}</div>" if said else ""


def _steps(document: Document) -> str:
    plan = document.get("plan") or [
        {"text": s, "temperature_range_c": None, "minutes": None} for s in document["steps"]
    ]
    items = "".join(f"<li>{clean(s['text'])}{_chips(s)}</li>" for s in plan)
    return f'<ol class="steps">{items}</ol>'


def blanks(document: Document) -> list[str]:
    """What is written down while a batch is made: the kitchen's, the inspector's and the trial's.

    Parameters
    ----------
    document : mapping
        Of a formula.

    Returns
    -------
    list of str
        One line a blank, with what is to be expected.
    """
    return [
        "Date, time, made by",
        "Lot number of the batch; lots of what goes in",
        f"Pot before straining, g (about {grams(document['pot_before_straining_g'])})",
        f"Syrup, g (about {grams(document['yield_g'])})",
        f"Refractometer at 20 °C, °Bx (about {document['refractometer_brix']:.1f})",
        "Hottest, °C, and how long",
        "Below 21 °C at (within 2 hours), below 5 °C at (within 4 more)",
        "pH, if measured",
        "Code of the trial, if it is one",
        f"Use by ({document['keeping']['days']} days)" if document["keeping"]["days"] else "Use by",
    ]


def card(
    batches: Sequence[tuple[str, Document]],
    drink: Document | None = None,
    *,
    kind: str = "prep",
    paper: str = "a5",
    name: str = "",
) -> str:
    """A card as a whole HTML file.

    Parameters
    ----------
    batches : sequence of (str, mapping)
        The name of a batch size and its formula's document; the first is the one that is made.
    drink : mapping, optional
        Document of the drink it goes into.
    kind : str
        ``prep`` for the wall of the kitchen, ``recipe`` to share.
    paper : str
        One of :data:`PAPERS`.
    name : str
        What the bar calls it.

    Returns
    -------
    str

    Raises
    ------
    PairingError
        For an unknown kind or paper.
    """
    if kind not in KINDS:
        raise PairingError(f"unknown kind of card {kind!r}; one of {', '.join(KINDS)}")
    document = batches[0][1]
    title = name or f"{title_of(document)} syrup"
    keeping = document["keeping"]
    allergens = _allergens(document)
    cares = document["watch"]
    drawn = pictures.pictures_of(document)
    glass = pictures.pictures_of(drink) if drink else {}
    shown = [drawn.get("plan", "")] if kind == "prep" else [glass.get("glass", ""), drawn["aroma"]]
    made = (
        f"{grams(document['yield_g'])} g ({document['yield_ml']:,.0f} ml) at "
        f"{document['brix']:.1f} °Bx; a refractometer reads {document['refractometer_brix']:.1f}"
    )
    parts = [
        f"<header><h1>{clean(title)}</h1><p>{clean(title_of(document))}, for "
        f"{clean(document['coffee']['words'])}; {clean(document['style'].replace('-', ' '))}. "
        f"{clean(document['strength'])}.</p></header>",
        _stops(document),
        f'<section class="care" aria-label="Allergens"><h2>Allergens</h2>'
        f"{_list(allergens)}</section>"
        if allergens
        else "<p><b>Allergens:</b> ask the suppliers for specifications and cross-contact.</p>",
        f"<section>{_weigh(batches)}</section>",
        f"<section><h2>Do</h2><p><b>{SLOW_HANDS}</b></p>{_steps(document)}</section>",
    ]
    if drink and drink["steps"]:
        parts.append(f"<section><h2>In the glass</h2>{_steps(drink)}</section>")
    parts += [
        f'<div class="pics">{"".join(shown)}</div>',
        f"<section><h2>What comes out</h2><p>{clean(made)}</p>{_list(keeping['words'])}</section>",
    ]
    if kind == "prep":
        lines = "".join(f"<tr><td>{clean(b)}</td><td></td></tr>" for b in blanks(document))
        parts.append(
            f'<section><h2>Write down</h2><table class="blank"><tbody>{lines}</tbody></table>'
            "</section>"
        )
    parts.append(f"<section><h2>Take care</h2>{_list(cares)}</section>")
    ids = sorted({s for f in document["findings"] for s in f["source_ids"]})
    parts.append(f"<footer><small>Sources: {clean(', '.join(ids))}.</small></footer>")
    parts.append(_stops(document))
    return shell(title, "".join(parts), paper=paper)


def card_report(
    batches: Sequence[tuple[str, Document]], drink: Document | None = None, *, name: str = ""
) -> Report:
    """The same card as blocks, for Markdown and plain text.

    Parameters
    ----------
    batches : sequence of (str, mapping)
        As for :func:`card`.
    drink : mapping, optional
        As for :func:`card`.
    name : str
        As for :func:`card`.

    Returns
    -------
    Report
    """
    document = batches[0][1]
    title = name or f"{title_of(document)} syrup"
    columns = ["weigh", *(f"{n}, g" for n, _ in batches)]
    rows = [
        [what, *(grams(_rows(d)[k][1]) for _, d in batches)]
        for k, (what, _) in enumerate(_rows(document))
    ]
    rows.append(["syrup it gives", *(grams(d["yield_g"]) for _, d in batches)])
    stops = [Text(f"STOP: {s}") for s in document["stops"]]
    weighed = Table("", columns, rows)
    blocks: list[Text | Bullets | Table] = [
        *stops,
        Text(f"{title}, for {document['coffee']['words']}"),
        Bullets(
            "Allergens",
            _allergens(document) or [ASK],
        ),
        weighed,
        Text(SLOW_HANDS),
        Bullets("Do", list(document["steps"]), numbered=True),
        *([Bullets("In the glass", list(drink["steps"]), numbered=True)] if drink else []),
        Bullets("Keeping", list(document["keeping"]["words"])),
        Bullets("Write down", [f"{b}: ____" for b in blanks(document)]),
        Bullets("Take care", list(document["watch"])),
        *stops,
    ]
    whole = {"name": title, "batches": [{"name": n, "formula": d} for n, d in batches]}
    return Report({**whole, "drink": drink}, blocks, weighed, "card")


def formula_body(document: Document) -> str:
    """A formula as markup without a page around it: stops, weights, steps, pictures, cautions.

    Parameters
    ----------
    document : mapping
        Of a formula.

    Returns
    -------
    str
        HTML, escaped.
    """
    drawn = "".join(pictures.pictures_of(document).values())
    allergens = _allergens(document)
    return (
        f"{_stops(document)}"
        + (f'<section class="care"><h2>Allergens</h2>{_list(allergens)}</section>' if allergens
           else "<p><b>Allergens:</b> ask the suppliers for specifications and cross-contact.</p>")
        + f"{_weigh([('grams', document)]).replace('grams, g', 'grams')}"
        f"<h2>Do</h2><p><b>{SLOW_HANDS}</b></p>{_steps(document)}"
        f"<h2>Keeping</h2>{_list(document['keeping']['words'])}"
        f"<h2>Take care</h2>{_list(document['watch'])}"
        f'<div class="pics">{drawn}</div>{_stops(document)}'
    )  # fmt: skip


def report_html(report: Report, pictures_too: bool = True) -> str:
    """Any report as markup, stops first as they stand: for notebooks and the counter page.

    Parameters
    ----------
    report : Report
    pictures_too : bool
        Draw the pictures of its document.

    Returns
    -------
    str
        Markup without a page around it.
    """
    out = []
    for block in report.blocks:
        if isinstance(block, Text):
            stop = ' class="stop"' if block.text.startswith("STOP") else ""
            out.append(f"<p{stop}>{clean(block.text)}</p>")
        elif isinstance(block, Bullets):
            tag = "ol" if block.numbered else "ul"
            head = f"<h2>{clean(block.title)}</h2>" if block.title else ""
            items = "".join(f"<li>{clean(i)}</li>" for i in block.items)
            out.append(f"{head}<{tag}>{items}</{tag}>")
        elif block.rows:
            out.append(_table(block))
    if pictures_too:
        drawn = "".join(pictures.pictures_of(report.whole).values())
        out.append(f'<div class="pics">{drawn}</div>' if drawn else "")
    return "".join(out)


def _table(table: Table) -> str:
    from pairing.cards.report import cell

    head = "".join(f'<th scope="col">{clean(cell(c))}</th>' for c in table.columns)
    rows = []
    for row in table.rows:
        cells = [cell(v) for v in row]
        numeric = [bool(re.fullmatch(r"[-+]?[\d,.]+", c)) for c in cells]
        rows.append(
            "<tr>"
            + "".join(
                f"<td{' class=n' if n else ''}>{clean(c)}</td>"
                for c, n in zip(cells, numeric, strict=True)
            )
            + "</tr>"
        )
    title = f"<h2>{clean(table.title)}</h2>" if table.title else ""
    label = clean(table.title or "Table")
    return (
        f'{title}<div class="wide" tabindex="0" role="region" aria-label="{label}"><table>'
        f"<thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table></div>"
    )
