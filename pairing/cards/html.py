"""Cards and pages as one self-contained HTML file: no network, no script needed to read it.

A prep card hangs on the wall of a kitchen, a recipe card is shared. Both are views of the
documents that ``--format json`` prints; a user's own text is escaped wherever it stands.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from pairing.cards import batch, pictures
from pairing.cards import card as cards
from pairing.cards.report import Bullets, Report, Table, Text
from pairing.cards.svg import STYLE, THEME, clean
from pairing.cards.vocabulary import Document
from pairing.errors import PairingError

__all__ = ["PAPERS", "card", "formula_body", "report_html", "sheets", "shell", "table"]

PAPERS = {"a5": "A5", "a4": "A4", "letter": "letter"}  # ISO 216; US letter, ANSI Y14.1
POLICY = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:"
# A card on the wall is read at an arm's length, 600 mm: capitals of 13 pt stand 3.0 mm high, 17
# minutes of arc; ISO 9241-303 asks for 16 at least (from memory). A larger paper, larger letters.
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
.care h2{margin:0;border:0}.care ul{margin:.2em 0}
.care{border-left:6px solid var(--fruit);padding:.2em .8em;margin:.6em 0}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;overflow-wrap:normal}
th,td{text-align:left;padding:.25em .5em .25em 0;border-bottom:1px solid var(--rule);
vertical-align:top}
td.n,th.n{text-align:right;font-variant-numeric:tabular-nums;white-space:nowrap}
.weigh td{vertical-align:middle;font-size:1.3rem}
.weigh td.n{font-size:2rem;font-weight:700;line-height:1.15}
.sizes table{font-size:.88rem}.sizes td:first-child{min-width:6em}
ol.steps{padding:0;list-style:none;counter-reset:step}
ol.steps li{counter-increment:step;padding:.5em 0 .5em 3rem;position:relative;
border-bottom:1px solid var(--rule);min-height:3rem}
ol.steps li::before{content:counter(step);position:absolute;left:0;top:.35em;width:2.2rem;
height:2.2rem;line-height:2.2rem;text-align:center;border:2px solid var(--ink);font-weight:700}
.chip{display:inline-block;border:2px solid var(--ink);padding:0 .45em;margin:.25em .4em 0 0;
font-weight:700;white-space:nowrap}
.pics{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,330px),1fr));gap:12px}
.blank{table-layout:fixed;font-size:.9rem;margin:0 0 .8em}
.blank th:first-child{width:38%}.blank th:nth-child(2){width:26%}
.blank td:nth-child(n+3){border-bottom:1.5px solid var(--ink)}
.blank td{padding-top:.45em}.blank td:nth-child(3){border-right:6px solid var(--paper)}
button,select,input{font:inherit;color:inherit;background:var(--paper);border:2px solid var(--ink);
min-height:44px;padding:.2em .7em;max-width:100%}
label{display:block;margin:.5em 0}
:focus-visible{outline:3px solid var(--fruit);outline-offset:2px}
.fill{display:flex;flex-wrap:wrap;gap:.3em 1em}.fill span{flex:1 1 8em;white-space:nowrap;
display:flex}.fill span::after{content:"";flex:1;border-bottom:1.5px solid var(--ink);
margin-left:.4em}
@media print{html{font-size:11pt;line-height:1.35;background:#fff}body{padding:0;max-width:none}
h2,tr,li,svg,.stop,.care,.weigh,.sizes,.fill{break-inside:avoid}h1,h2,thead{break-after:avoid}
p,li{orphans:3;widows:3}button,.screen{display:none}.wide{overflow:visible}
h2{margin:.9em 0 .3em}ul{padding-left:1.2em;margin:.2em 0}
.weigh td{font-size:16pt}.weigh td.n{font-size:24pt}
.wall .stop,.wall .care,.wall ol.steps,.wall p{font-size:13pt}
.wall-a4 ol.steps,.wall-letter ol.steps{font-size:15pt}
.wall-a4 .weigh td.n,.wall-letter .weigh td.n{font-size:28pt}.wall .sheet p{font-size:10.5pt}
ol.steps li{padding:.3em 0 .3em 3rem}
.pics{grid-template-columns:repeat(auto-fit,minmax(min(100%,80mm),1fr))}
.pics svg{max-width:80mm}svg{--paper:#fff}.lead{break-inside:avoid;break-after:avoid}
.sheet{break-before:page}.sheet .sheet,h1+.sheet{break-before:auto}
.blank{font-size:9pt;line-height:1.2;margin:0 0 .2em}.blank td{padding:.24em .4em .05em 0}
.sheet h2{margin:0;font-size:12pt}footer{line-height:1.2;break-inside:avoid}
.blank td:nth-child(3){border-right-color:#fff}}
"""


def shell(title: str, body: str, *, paper: str = "a5", script: str = "", style: str = "") -> str:
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
    style : str
        More CSS, after that of every page.

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
    page = f"@page{{size:{PAPERS[paper]};margin:10mm 11mm}}"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        f'<title>{clean(title)}</title><link rel="icon" href="data:,">'
        f"<style>{THEME}{STYLE}{CSS}{style}{page}</style></head><body><main>{body}</main>"
        + (f"<script>{script}</script>" if script else "")
        + "</body></html>\n"
    )


def _stops(stops: Sequence[str]) -> str:
    if not stops:
        return ""
    said = "".join(f"<p>{clean(s)}</p>" for s in stops)
    return f'<section class="stop" aria-label="Stop"><h2>STOP: do not serve</h2>{said}</section>'


def _list(items: Sequence[str]) -> str:
    return "<ul>" + "".join(f"<li>{clean(i)}</li>" for i in items) + "</ul>"


def _allergens(told: Sequence[str]) -> str:
    return f'<section class="care" aria-label="Allergens"><h2>Allergens</h2>{_list(told)}</section>'


def _weigh(made: cards.Card) -> str:
    rows = "".join(
        f'<tr><td>{clean(what)}</td><td class="n">{clean(grams)}</td></tr>'
        for what, grams in made.weigh
    )
    return f'<table class="weigh" aria-label="What to weigh"><tbody>{rows}</tbody></table>'


def _steps(steps: Sequence[tuple[str, Sequence[str]]], minutes: Sequence[float | None] = ()) -> str:
    items = []
    for k, (text, chips) in enumerate(steps):
        said = "".join(f'<span class="chip">{clean(c)}</span>' for c in chips)
        clock = f' data-minutes="{minutes[k]:g}"' if k < len(minutes) and minutes[k] else ""
        items.append(f"<li>{clean(text)}" + (f"<div{clock}>{said}</div>" if said else "") + "</li>")
    return f'<ol class="steps">{"".join(items)}</ol>'


WHO = (("kitchen", "Cooked"), ("safety", "Safe"), ("trial", "Served"))


def batch_markup(sheet: Document) -> str:
    """A batch sheet as markup without a page around it.

    Parameters
    ----------
    sheet : mapping
        Of :func:`pairing.cards.batch.batch_sheet`.

    Returns
    -------
    str
        HTML, escaped.
    """

    def part(title: str, rows: Sequence[tuple[str, str]], last: str) -> str:
        lines = "".join(
            f"<tr><td>{clean(what)}</td><td>{clean(target)}</td><td></td><td></td></tr>"
            for what, target in rows
        )
        heads = "".join(f'<th scope="col">{h}</th>' for h in (title, "Target", "Found", last))
        return f'<table class="blank"><thead><tr>{heads}</tr></thead><tbody>{lines}</tbody></table>'

    into = [(w["what"], f"{batch.grams(w['target_g'])} g") for w in sheet["weighed"]]
    blanks = "".join(f"<span>{clean(word)}</span>" for word in batch.blanks(sheet))
    return (
        f'<section class="sheet">{_stops(sheet["stops"])}<h2>{clean(batch.sheet_title(sheet))}</h2>'
        f'<p class="fill">{blanks}</p>'
        + part("Weighed", into, "Lot")
        + "".join(
            part(title, [(c["step"], c["target"]) for c in sheet["checks"] if c["for"] == who],
                 "Time")
            for who, title in WHO
        )
        + f"<p>{clean(batch.OFF)}</p></section>"
    )  # fmt: skip


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
    made = cards.card(batches, drink, kind=kind, name=name)
    parts = [
        f"<header><h1>{clean(made.title)}</h1><p>{clean(made.words)}</p></header>",
        _stops(made.stops),
        _allergens(made.allergens),
        f"<section>{_weigh(made)}</section>",
    ]
    parts.append(
        f'<section><h2>Do</h2><p class="lead"><b>{cards.SLOW_HANDS}</b></p>'
        f"{_steps(made.steps, made.steps_minutes)}</section>"
    )
    if made.glass_steps:
        parts.append(f"<section><h2>In the glass</h2>{_steps(made.glass_steps)}</section>")
    pics = f'<div class="pics">{"".join(made.drawn)}</div>'
    parts += [
        pics if kind == "recipe" else "",
        f"<section><h2>Take care</h2>{_list(made.cares)}</section>",
        f"<section><h2>What comes out</h2>{_list(made.keeping)}</section>",
        f'<section class="sizes">{table(made.sizes)}</section>' if len(batches) > 1 else "",
        f"<footer><small>Sources: {clean(', '.join(made.sources))}.</small></footer>",
        _stops(made.stops),
        pics if kind == "prep" else "",
        batch_markup(made.sheet) if made.sheet else "",
    ]
    wall = f' class="wall wall-{paper}"' if kind == "prep" else ""
    return shell(made.title, f"<article{wall}>{''.join(parts)}</article>", paper=paper)


def sheets(held: Sequence[Document], title: str, paper: str = "a5") -> str:
    """Batch sheets as one HTML file, a page each.

    Parameters
    ----------
    held : sequence of mapping
        Of :func:`pairing.cards.batch.batch_sheet`.
    title : str
        Of the file.
    paper : str
        One of :data:`PAPERS`.

    Returns
    -------
    str
    """
    parts = [
        f'<article class="sheet">{_allergens(s["allergens"])}{batch_markup(s)}</article>'
        for s in held
    ]
    return shell(title, f"<h1>{clean(title)}</h1>{''.join(parts)}", paper=paper)


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
    made = cards.card([("grams", document)])
    return (
        f"{_stops(made.stops)}{_allergens(made.allergens)}{_weigh(made)}"
        f"<h2>Do</h2><p><b>{cards.SLOW_HANDS}</b></p>{_steps(made.steps, made.steps_minutes)}"
        f"<h2>Keeping</h2>{_list(made.keeping)}"
        f"<h2>Take care</h2>{_list(made.cares)}"
        f'<div class="pics">{drawn}</div>{_stops(made.stops)}'
    )


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
            out.append(table(block))
    if pictures_too:
        drawn = "".join(pictures.pictures_of(report.whole).values())
        out.append(f'<div class="pics">{drawn}</div>' if drawn else "")
    return "".join(out)


def table(block: Table) -> str:
    """A table as markup that scrolls by itself where the screen is narrow.

    Parameters
    ----------
    block : Table

    Returns
    -------
    str
        HTML, escaped.
    """
    from pairing.cards.report import cell

    texts = [[cell(v) for v in row] for row in block.rows]
    right = [_amounts([row[i] for row in texts]) for i in range(len(block.columns))]
    marks = [" class=n" if n else "" for n in right]
    head = "".join(
        f'<th scope="col"{m}>{clean(cell(c))}</th>'
        for c, m in zip(block.columns, marks, strict=True)
    )
    rows = [
        "<tr>"
        + "".join(f"<td{m}>{clean(c)}</td>" for c, m in zip(row, marks, strict=True))
        + "</tr>"
        for row in texts
    ]
    title = f"<h2>{clean(block.title)}</h2>" if block.title else ""
    label = clean(block.title or "Table")
    return (
        f'{title}<div class="wide" tabindex="0" role="region" aria-label="{label}"><table>'
        f"<thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table></div>"
    )


def _amounts(column: Sequence[str]) -> bool:
    """Whether a column holds numbers, or short amounts such as ``39 (44 with crema)``."""
    said = [c for c in column if c]
    return bool(said) and all(re.match(r"[-+]?[\d.,]+( |$)", c) and len(c) <= 20 for c in said)
