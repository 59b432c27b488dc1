"""One page for a menu: coffees, shelves, a heat map, seasons, costs, cautions, trial formulas.

The page says everything without its script, which only sorts and filters; its numbers are the
documents of the library, embedded once and readable back with :func:`documents_in`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any

from pairing.affinity.reasons import allergen_words
from pairing.affinity.score import score_blends
from pairing.affinity.search import shelves, suggest
from pairing.aroma.coffee import CoffeeBase
from pairing.bar.pantry import Pantry
from pairing.cards import batch, html, pictures, vocabulary
from pairing.cards import formula as formula_card
from pairing.cards import suggest as suggest_card
from pairing.cards.lists import MONTHS, season_word
from pairing.cards.report import Bullets, Report, Table, Text, _plain, number
from pairing.cards.svg import clean, figure1
from pairing.cards.vocabulary import Document
from pairing.errors import PairingError
from pairing.syrup.formula import make

__all__ = ["brainstorm", "documents_in", "page"]

MOST_COFFEES = 12
MOST_BYTES = 1_000_000  # of a page: it goes through a chat
EACH = 2  # trial formulas a coffee; one each where the menu is long
LONG = 6  # coffees
STYLE = """
.split{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,420px),1fr));gap:20px}
.why{padding-left:1.4em}.why ul{padding-left:1em}.why li{margin:.2em 0}
article h3{margin:.6em 0 0}
#tools{display:flex;flex-wrap:wrap;gap:0 1.2em}[hidden]{display:none!important}
#pool th button{padding:.2em .5em}.year{white-space:nowrap}
@media print{.split,.part{display:block}.split svg,.part svg{max-width:115mm}
h2+ul{break-inside:avoid}#pool{font-size:9pt}
#pool th button{display:inline;border:0;padding:0;min-height:0;font:inherit}
details::details-content{content-visibility:visible;block-size:auto}}
"""
SCRIPT = """
(function(){
var t=document.getElementById('pool'),q=document.getElementById('find'),
k=document.getElementById('kind'),m=document.getElementById('month'),b=t.tBodies[0];
document.getElementById('tools').hidden=false;
function show(){Array.prototype.forEach.call(b.rows,function(r){
var s=r.getAttribute('data-months');
r.hidden=(q.value&&r.textContent.toLowerCase().indexOf(q.value.toLowerCase())<0)||
(k.value&&r.getAttribute('data-kind')!==k.value)||
(m.value&&s&&(','+s+',').indexOf(','+m.value+',')<0)});}
[q,k,m].forEach(function(e){e.addEventListener('input',show)});
Array.prototype.forEach.call(t.tHead.rows[0].cells,function(c,i){
var s=document.createElement('button');s.type='button';s.textContent=c.textContent;c.textContent='';
c.appendChild(s);
s.addEventListener('click',function(){var up=c.getAttribute('aria-sort')!=='descending';
Array.prototype.forEach.call(t.tHead.rows[0].cells,function(d){d.removeAttribute('aria-sort')});
c.setAttribute('aria-sort',up?'descending':'ascending');
Array.prototype.slice.call(b.rows).sort(function(x,y){
var p=x.cells[i].textContent,o=y.cells[i].textContent,n=parseFloat(p)-parseFloat(o);
var d=isNaN(n)?(p<o?-1:p>o?1:0):-n;return up?d:-d}).forEach(function(r){b.appendChild(r)})})});
})();
"""


def brainstorm(
    pantry: Pantry,
    cups: Sequence[CoffeeBase],
    *,
    name: str,
    style: str = "iced",
    servings: int = 24,
) -> Report:
    """What a menu of coffees asks for, with trial formulas of the best blends.

    Parameters
    ----------
    pantry : Pantry
    cups : sequence of CoffeeBase
        One to twelve.
    name : str
        Of the menu.
    style : str
        Of the drinks.
    servings : int
        Drinks a trial formula is for.

    Returns
    -------
    Report
        Its ``whole`` is the document that :func:`page` shows.

    Raises
    ------
    PairingError
        For no coffee or more than twelve.
    """
    if not 1 <= len(cups) <= MOST_COFFEES:
        raise PairingError(f"{len(cups)} coffees on a page; give one to {MOST_COFFEES}")
    catalog = pantry.catalog
    asked = {"style": style, "shelf": "this", "average": False, "plain": False, "top": 5,
             "why": False, "month": None, "heard": []}  # fmt: skip
    suggestions, formulas = [], []
    for cup in cups:
        blends = suggest(catalog, [cup], style=style, top=5)
        held = shelves(catalog, [cup], style)
        suggestions.append(suggest_card.report(catalog, [cup], blends, held, asked, []).whole)
        for blend in blends[: EACH if len(cups) <= LONG else 1]:
            made = make(catalog, blend.form_ids, cup, style=style, servings=servings)
            formulas.append(formula_card.report(pantry, made, made.findings, False).whole)
    form_ids = list(
        dict.fromkeys(s["id"] for d in suggestions for held in d["shelves"].values() for s in held)
    )
    scored = [
        score_blends(catalog, [[f] for f in form_ids], cup, style).score.tolist() for cup in cups
    ]
    rows = []
    for k, form_id in enumerate(form_ids):
        form = catalog.forms[form_id]
        ingredient = catalog.ingredients[form.ingredient_id]
        scores = [None if column[k] != column[k] else column[k] for column in scored]
        rows.append(
            vocabulary.ingredient(
                catalog,
                form,
                scores=scores,
                allergens=allergen_words(catalog, [form_id]),
                season_months=list(ingredient.season_months),
                price_per_kg=pantry.price_per_kg.get(form_id),
            )
        )
    rows.sort(key=lambda r: -max(v for v in r["scores"] if v is not None))
    open_ = dict.fromkeys(s for d in (*suggestions, *formulas) for s in d["not_known"])
    document: dict[str, Any] = {
        "stops": [s for d in formulas for s in d["stops"]],
        "not_known": list(open_),
        "name": name,
        "style": style,
        "currency": pantry.currency,
        "coffees": [vocabulary.coffee(c) for c in cups],
        "rows": rows,
        "suggestions": suggestions,
        "formulas": formulas,
    }
    columns = ["ingredient", *(chr(65 + j) for j in range(len(cups))), "season", "allergens"]
    table = Table(
        "What suits which coffee",
        columns,
        [
            [
                r["name"].split(",")[0],
                *r["scores"],
                season_word(tuple(r["season_months"])),
                ", ".join(r["allergens"]),
            ]
            for r in rows
        ],
    )
    top = [*(f"STOP: {text}" for text in document["stops"]), *open_]
    blocks: list[Text | Bullets | Table] = [
        *map(Text, top),
        Text(f"{name}: {len(cups)} coffees, {style}"),
        Bullets("Coffees", [f"{chr(65 + j)}: {c.coffee.words}" for j, c in enumerate(cups)]),
        table,
        Bullets("Trial formulas", [_line(d) for d in formulas]),
    ]
    data = Table("", columns, [*([text, *[""] * (len(columns) - 1)] for text in top), *table.rows])
    return Report(document, blocks, data, "report", schema="brainstorm")


def _line(document: Document) -> str:
    cost = document["cost"]
    said = f"{batch.title_of(document)}: {document['yield_g']:.0f} g at {document['brix']:.0f} °Bx"
    return f"{said}; {cost['text']}" if cost else said


def page(document: Document, paper: str = "a4") -> str:
    """The page of a menu.

    Parameters
    ----------
    document : mapping
        Of :func:`brainstorm`.
    paper : str
        For printing.

    Returns
    -------
    str
        HTML, complete in itself.

    Raises
    ------
    PairingError
        When it would be over a megabyte.
    """
    name = document["name"]
    parts = [
        f"<h1>{clean(name)}</h1><p>{len(document['coffees'])} coffees, "
        f"{clean(document['style'].replace('-', ' '))}. Scores are practice and cup together: more "
        "is more for it, nothing is certain, taste it.</p>"
    ]
    if document["stops"]:
        said = "".join(f"<p>{clean(s)}</p>" for s in document["stops"])
        parts.append(f'<section class="stop"><h2>STOP: do not serve</h2>{said}</section>')
    if document["not_known"]:
        items = "".join(f"<li>{clean(s)}</li>" for s in document["not_known"])
        parts.append(f'<section class="care"><h2>Not known</h2><ul>{items}</ul></section>')
    told = "".join(
        f"<li><b>{chr(65 + j)}: {clean(d['coffees'][0]['words'])}</b>: "
        f"{clean(d['coffees'][0]['apart'])}</li>"
        for j, d in enumerate(document["suggestions"])
    )
    parts.append(
        f'<section class="split"><div><h2>The coffees</h2><ul>{told}</ul></div>'
        f"<div>{pictures.menu(document)}</div></section>"
    )
    for j, d in enumerate(document["suggestions"]):
        drawn = pictures.pictures_of(d)
        parts.append(
            f"<section><h2>{chr(65 + j)}: {clean(d['coffees'][0]['words'])}</h2>"
            f'<div class="pics part">{drawn.get("shelves", "")}'
            f"<div>{drawn.get('ties', '')}{_blends(d)}</div></div></section>"
        )
    tried = "".join(_formula(d) for d in document["formulas"])
    parts.append(f'<section><h2>Trial formulas</h2><div class="pics">{tried}</div></section>')
    parts.append(f"<section><h2>Everything on the shelves</h2>{_pool(document)}</section>")
    if document["stops"]:
        parts.append(f'<section class="stop"><h2>STOP: do not serve</h2>{said}</section>')
    held = json.dumps(_plain(document), ensure_ascii=False, separators=(",", ":"))
    held = held.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    parts.append(f'<script type="application/json" id="documents">{held}</script>')
    whole = html.shell(str(name), "".join(parts), paper=paper, script=SCRIPT, style=STYLE)
    if len(whole.encode("utf-8")) > MOST_BYTES:
        raise PairingError("the page would be over a megabyte; put fewer coffees on it")
    return whole


def documents_in(page: str) -> dict[str, Any]:
    """The documents that a page was made from.

    Parameters
    ----------
    page : str
        HTML of :func:`page`.

    Returns
    -------
    dict
        As embedded by :func:`page`.

    Raises
    ------
    PairingError
        When there are none.
    """
    found = re.search(r'<script type="application/json" id="documents">(.*?)</script>', page, re.S)
    if found is None:
        raise PairingError("the page holds no documents; give one of pairing report")
    read: dict[str, Any] = json.loads(found[1])
    return read


def _pool(document: Document) -> str:
    """The table to sort and filter, with its season strip."""
    kinds = "".join(
        f'<option value="{clean(k)}">{clean(k)}</option>'
        for k in sorted({r["kind"] for r in document["rows"]})
    )
    months = "".join(f'<option value="{i}">{m}</option>' for i, m in enumerate(MONTHS, 1))
    tools = (
        '<div id="tools" class="screen" hidden><label>Find <input id="find"></label>'
        f'<label>Kind <select id="kind"><option value="">all</option>{kinds}</select></label>'
        '<label>Month <select id="month"><option value="">all year</option>'
        f"{months}</select></label>"
        "</div>"
    )
    letters = "".join(
        f'<th class="n" scope="col">{chr(65 + j)}</th>' for j in range(len(document["coffees"]))
    )
    priced = any(r["price_per_kg"] for r in document["rows"])
    price = f'<th class="n" scope="col">{clean(document["currency"])}/kg</th>' if priced else ""
    lines = []
    for r in document["rows"]:
        scores = "".join(
            f'<td class="n">{"?" if v is None else figure1(v)}</td>' for v in r["scores"]
        )
        cost = f'<td class="n">{number(r["price_per_kg"])}</td>' if priced else ""
        held = set(r["season_months"]) or set(range(1, 13))
        strip = "".join("■" if i in held else "□" for i in range(1, 13))
        word = season_word(tuple(r["season_months"]))
        lines.append(
            f'<tr data-kind="{clean(r["kind"])}" data-months="'
            f'{",".join(map(str, r["season_months"]))}"><td>{clean(r["name"].split(",")[0])}</td>'
            f"<td>{clean(r['kind'])}</td>{scores}{cost}<td class=year>{word} "
            f'<span aria-hidden="true" class="soft">{strip}</span></td>'
            f"<td>{clean(', '.join(r['allergens']))}</td></tr>"
        )
    return (
        f'{tools}<div class="wide" tabindex="0" role="region" aria-label="Ingredients">'
        '<table id="pool"><thead><tr><th scope="col">Ingredient</th><th scope="col">Kind</th>'
        f'{letters}{price}<th scope="col">Season, January to December</th>'
        '<th scope="col">Allergens</th></tr></thead>'
        f"<tbody>{''.join(lines)}</tbody></table></div>"
    )


def _blends(document: Document) -> str:
    items = []
    for b in document["blends"]:
        names = " + ".join(i["name"].split(",")[0] for i in b["ingredients"])
        said = "".join(f"<li>{clean(r)}</li>" for r in b["reasons"])
        care = "; ".join(
            f"{'ALLERGEN: ' if c['level'] == 'allergen' else ''}{c['text']}" for c in b["cautions"]
        )
        watch = f'<p class="care">{clean(care)}.</p>' if care else ""
        items.append(
            f"<li><b>{clean(names)}</b> ({clean(b['confidence'])})<ul>{said}</ul>{watch}</li>"
        )
    return f'<ol class="why">{"".join(items)}</ol>'


def _formula(document: Document) -> str:
    weighed = "".join(
        f'<tr><td>{clean(what)}</td><td class="n">{batch.grams(g)} g</td></tr>'
        for what, g in batch.weighed(document)
    )
    stops = "".join(f'<p class="stop">STOP: {clean(s)}</p>' for s in document["stops"])
    care = "".join(f"<li>{clean(w)}</li>" for w in document["watch"])
    cost = f"<p>{clean(document['cost']['text'])}</p>" if document["cost"] else ""
    return (
        f"<article><h3>{clean(batch.title_of(document))}</h3>"
        f'<p class="soft">for {clean(document["coffee"]["words"])}: '
        f"{document['yield_g']:.0f} g at {document['brix']:.0f} °Bx</p>{stops}"
        f"<p><b>Allergens:</b> {clean(' '.join(batch.allergens(document)))}</p>"
        f"<table><tbody>{weighed}</tbody></table>{cost}"
        f"<details><summary>Steps and cautions</summary><ol>"
        + "".join(f"<li>{clean(s)}</li>" for s in document["steps"])
        + f"</ol><ul>{care}</ul></details></article>"
    )
