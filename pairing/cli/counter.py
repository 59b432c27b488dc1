"""The page at the counter: the documents of the commands behind plain forms.

No accounts, nothing is written, nothing leaves the machine; every page reads without script,
which only adds a clock to each step.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import urlencode

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from pairing.affinity.search import shelves, suggest
from pairing.aroma.coffee import CoffeeBase
from pairing.cards import batch, html, pictures
from pairing.cards import drink as drink_card
from pairing.cards import formula as formula_card
from pairing.cards import suggest as suggest_card
from pairing.cards.report import Report
from pairing.cards.svg import clean
from pairing.errors import CONTROL, PairingError, UnknownNameError
from pairing.lab import Lab

__all__ = ["application"]

MOST_LETTERS = 200
MOST_SERVINGS = 10_000
FIRST_COFFEE = "washed burundi light espresso"
TIMER = """
Array.prototype.forEach.call(document.querySelectorAll('[data-minutes]'),function(d){
var b=document.createElement("button"),left=0,t=null,
all=60*parseFloat(d.getAttribute("data-minutes"));
b.type='button';b.textContent='Start the clock';d.appendChild(b);
function say(){var m=Math.floor(left/60),s=Math.floor(left%60);
var said=m+':'+(s<10?'0':'')+s+' left, stop';
b.textContent=left>0?said:'Time is up, start again';}
b.addEventListener('click',function(){
if(t){clearInterval(t);t=null;b.textContent='Start the clock';return}
var end=Date.now()+1000*all;left=all;say();
t=setInterval(function(){left=(end-Date.now())/1000;say();
if(left<=0){clearInterval(t);t=null}},500)});});
"""


def application(lab: Lab) -> Starlette:
    """The page as an ASGI application.

    Parameters
    ----------
    lab : Lab
        Opened once; every answer is read from it.
    """

    def route(path: str, answer: Callable[[Lab, Mapping[str, Any]], Answer]) -> Route:
        def respond(request: Request) -> Response:
            try:
                asked = _asked(request)
                return answer(lab, asked).response(request)
            except PairingError as err:
                return _refused(err)

        return Route(path, respond)

    return Starlette(
        routes=[
            route("/", _front),
            route("/suggest", _suggest),
            route("/formula", _formula),
            route("/drink", _drink),
            route("/card", _card),
        ]
    )


class Answer:
    """A page and the document behind it."""

    def __init__(
        self, title: str, body: str, report: Report | None = None, whole: str = ""
    ) -> None:
        self.title, self.body, self.report, self.whole = title, body, report, whole

    def response(self, request: Request) -> Response:
        """HTML, or the document when ``format=json`` is asked for."""
        if request.query_params.get("format") == "json" and self.report is not None:
            return JSONResponse(self.report.whole)
        stops = self.report.document.get("stops") if self.report is not None else None
        status = 200 if not stops else 422  # what must not be served is no success
        page = self.whole or html.shell(self.title, HOME + self.body, paper="a4", script=TIMER)
        return HTMLResponse(page, status_code=status)


HOME = '<nav class="screen"><a href="/">Another coffee</a></nav>'


def _asked(request: Request) -> dict[str, Any]:
    """What the form asks, cut to what a form may ask."""
    given = request.query_params
    asked: dict[str, Any] = {k: given.get(k, "").strip() for k in ("coffee", "notes", "style")}
    asked["items"] = [i.strip() for i in given.getlist("i") if i.strip()]
    for text in (*asked.values(), *asked["items"]):
        if isinstance(text, str) and (len(text) > MOST_LETTERS or CONTROL.search(text)):
            raise PairingError("say it in fewer than 200 plain letters")
    if len(asked["items"]) > 6:
        raise PairingError(f"{len(asked['items'])} ingredients; a syrup takes one to six")
    said = given.get("servings", "24").strip()
    if not (said.isascii() and said.isdigit() and 1 <= int(said[:9]) <= MOST_SERVINGS):
        raise PairingError(f"how many drinks? give a number from 1 to {MOST_SERVINGS:,}")
    asked["servings"] = int(said)
    asked["coffee"] = asked["coffee"] or FIRST_COFFEE
    asked["style"] = asked["style"] or "iced"
    return asked


def _cup(lab: Lab, asked: Mapping[str, Any]) -> CoffeeBase:
    if asked["notes"]:
        return lab.coffee(asked["coffee"], notes=asked["notes"])
    return lab.coffee(asked["coffee"])


def _refused(err: PairingError) -> Response:
    near = getattr(err, "nearest", ()) if isinstance(err, UnknownNameError) else ()
    hint = f"<p>Near it: {clean(', '.join(near))}.</p>" if near else ""
    body = f'{HOME}<h1>That can\'t be read</h1><p>{clean(err)}</p>{hint}<p><a href="/">Back</a></p>'
    return HTMLResponse(html.shell("That can't be read", body), status_code=400)


def _front(lab: Lab, asked: Mapping[str, Any]) -> Answer:
    styles = "".join(
        f'<option value="{clean(s)}"{" selected" if s == asked["style"] else ""}>'
        f"{clean(s.replace('-', ' '))}</option>"
        for s in lab.catalog.styles
    )
    forms = "".join(
        f'<option value="{clean(f.form_id)}">{clean(f.label)}</option>'
        for f in sorted(lab.catalog.forms.values(), key=lambda f: f.label)
    )
    body = (
        "<h1>What goes with this coffee?</h1>"
        '<form action="/suggest"><label>Coffee, in one breath '
        f'<input name="coffee" size="36" value="{clean(asked["coffee"])}"></label>'
        '<label>What the bag says it tastes of (may be left empty) <input name="notes" size="36">'
        f'</label><label>Drink <select name="style">{styles}</select></label>'
        "<button>Show the shelves</button></form>"
        '<h2>I know what goes in</h2><form action="/formula">'
        f'<label>Coffee <input name="coffee" size="36" value="{clean(asked["coffee"])}"></label>'
        + "".join(
            f'<label>{word} <select name="i"><option value="">none</option>{forms}</select></label>'
            for word in ("First", "Second", "Third")
        )
        + f'<label>Drink <select name="style">{styles}</select></label>'
        '<label>How many drinks <input name="servings" inputmode="numeric" value="24"></label>'
        "<button>Show the formula</button></form>"
    )
    return Answer("What goes with this coffee?", body)


def _link(path: str, asked: Mapping[str, Any], items: list[str], word: str) -> str:
    query = urlencode(
        [
            ("coffee", asked["coffee"]),
            ("notes", asked["notes"]),
            ("style", asked["style"]),
            ("servings", asked["servings"]),
            *(("i", i) for i in items),
        ]
    )
    return f'<a href="{path}?{clean(query)}">{clean(word)}</a>'


def _suggest(lab: Lab, asked: Mapping[str, Any]) -> Answer:
    cup, catalog, style = _cup(lab, asked), lab.catalog, asked["style"]
    found = suggest(catalog, [cup], style=style, top=8)
    wish = {"style": style, "shelf": "this", "average": False, "plain": False, "top": 8,
            "why": False, "month": None, "heard": []}  # fmt: skip
    report = suggest_card.report(catalog, [cup], found, shelves(catalog, [cup], style), wish, [])
    links = "".join(
        "<li>"
        + _link("/formula", asked, [i["id"] for i in b["ingredients"]],
                " + ".join(i["name"].split(",")[0] for i in b["ingredients"]))
        + f": {clean('; '.join(b['reasons']))}"
        + "".join(
            f" <b>{'Allergen: ' if c['level'] == 'allergen' else ''}{clean(c['text'])}.</b>"
            for c in b["cautions"]
        )
        + "</li>"
        for b in report.whole["blends"]
    )  # fmt: skip
    drawn = "".join(pictures.pictures_of(report.whole).values())
    body = (
        f"<h1>{clean(cup.coffee.words)}</h1><h2>Blends: tap one for its formula</h2>"
        f'<ol>{links}</ol><div class="pics">{drawn}</div>'
    )
    return Answer(cup.coffee.words, body, report)


def _made(lab: Lab, asked: Mapping[str, Any]) -> tuple[Report, Report]:
    if not asked["items"]:
        raise PairingError("choose at least one ingredient")
    made = lab.formula(
        asked["items"], _cup(lab, asked), style=asked["style"], servings=asked["servings"]
    )
    poured = lab.drink(made, style=asked["style"])
    return (
        formula_card.report(lab.pantry, made, made.findings, False),
        drink_card.report(lab.catalog, poured),
    )


def _formula(lab: Lab, asked: Mapping[str, Any]) -> Answer:
    report, _ = _made(lab, asked)
    items = asked["items"]
    again = "".join(f'<input type="hidden" name="i" value="{clean(i)}">' for i in items)
    again += "".join(
        f'<input type="hidden" name="{k}" value="{clean(asked[k])}">'
        for k in ("coffee", "notes", "style")
    )
    links = " | ".join(
        _link(path, asked, items, word)
        for path, word in (("/drink", "In the glass"), ("/card", "Card to print"))
    )
    body = (
        f'<h1>{clean(batch.title_of(report.whole))}</h1><p class="screen">{links}</p>'
        f'<form action="/formula" class="screen">{again}<label>How many drinks '
        f'<input name="servings" inputmode="numeric" value="{asked["servings"]}"></label>'
        f"<button>Work it out again</button></form>{html.formula_body(report.whole)}"
    )
    return Answer(batch.title_of(report.whole), body, report)


def _drink(lab: Lab, asked: Mapping[str, Any]) -> Answer:
    _, report = _made(lab, asked)
    body = f"<h1>In the glass</h1>{html.report_html(report)}"
    return Answer("In the glass", body, report)


def _card(lab: Lab, asked: Mapping[str, Any]) -> Answer:
    formula, drink = _made(lab, asked)
    whole = html.card([("this batch", formula.whole)], drink.whole)
    return Answer("Card", "", formula, whole)
