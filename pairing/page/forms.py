"""What the views share: what was asked, the answer, and plain form fields."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import urlencode

from pairing.bar.pantry import Pantry
from pairing.cards.html import report_html
from pairing.cards.report import Bullets, Report, Table, Text
from pairing.cards.svg import clean
from pairing.errors import PairingError

__all__ = ["CSS", "NAV", "Answer", "Asked", "Bar", "NotThereError", "button", "clean", "field",
           "hidden", "link", "options", "pick", "plain_name", "shown"]  # fmt: skip

MARKETS = (("", "the strictest of all"), ("eu", "European Union"), ("uk", "United Kingdom"),
           ("us", "United States"))  # fmt: skip
# big targets for floury hands: every link to tap, button and field is 48 px high or more
CSS = """
nav.top{display:flex;flex-wrap:wrap;gap:8px;margin:0 0 14px}
a.tap,nav.top a{display:inline-flex;align-items:center;min-height:48px;padding:.2em .9em;
border:2px solid var(--ink);color:var(--ink);text-decoration:none;font-weight:600}
ul.taps{list-style:none;padding:0;margin:.4em 0;display:grid;gap:8px;
grid-template-columns:repeat(auto-fill,minmax(min(100%,300px),1fr))}
ul.taps li{border:2px solid var(--rule);padding:.3em .5em}
ul.taps label,label.tick{display:flex;align-items:center;gap:.6em;min-height:48px;margin:0}
input[type=checkbox],input[type=radio]{width:28px;height:28px;min-height:0;flex:none;
accent-color:var(--leaf)}
button,select,input{min-height:48px}
input:not([type=checkbox]):not([type=radio]),select{width:100%}
button{font-weight:700;background:var(--ink);color:var(--paper);margin:.4em .4em .4em 0}
button.clock{background:var(--paper);color:var(--ink);margin-left:.2em}
.told{margin-left:.5em;font-weight:700}
form{margin:.4em 0 1em}form.plain{display:inline}
.fields{display:grid;gap:0 14px;grid-template-columns:repeat(auto-fill,minmax(min(100%,210px),1fr))}
.fields label{display:flex;flex-direction:column;justify-content:flex-end}
fieldset{border:2px solid var(--rule);margin:.7em 0;padding:.3em .8em;min-width:0}
legend{font-weight:700}
details{margin:.6em 0}summary{min-height:48px;display:flex;align-items:center;font-weight:700;
cursor:pointer}
summary::before{content:"+";width:1.3em;flex:none}details[open]>summary::before{content:"-"}
.rank{display:flex;flex-wrap:wrap;gap:0 14px}
@media print{nav.top{display:none}}
"""
NAV = (
    '<nav class="top screen" aria-label="Parts of the page"><a href="/">Coffee</a>'
    '<a href="/ratio">Syrup sums</a><a href="/pantry">Pantry</a><a href="/trials">Trials</a>'
    '<a href="/compare">Compare</a></nav>'
)


class NotThereError(PairingError):
    """A kept thing that is not there: answered with 404."""


@dataclass(frozen=True)
class Bar:
    """What answers: a pantry by market, and the folder of kept trials."""

    open: Callable[[str], Pantry]
    folder: Path


@dataclass(frozen=True)
class Asked:
    """Fields of a form that are filled in, in their order, and the name in the address."""

    fields: Sequence[tuple[str, str]]
    name: str = ""

    def one(self, key: str, default: str = "") -> str:
        """The first of a field."""
        return next((v for k, v in self.fields if k == key), default)

    def all(self, key: str) -> list[str]:
        """Every one of a field."""
        return [v for k, v in self.fields if k == key]

    def some(self, keys: Iterable[str]) -> dict[str, str]:
        """Those of single fields that are filled in."""
        return {k: self.one(k) for k in keys if self.one(k)}


@dataclass(frozen=True)
class Answer:
    """A page, and the report behind it.

    Attributes
    ----------
    title : str
        Plain text.
    body : str
        Markup.
    report : Report or None
        What ``format=json`` gives.
    whole : str
        A whole page in place of the body.
    go_to : str
        An address of this page to go on to.
    file : (str, str) or None
        Name and text of a file to hand out.
    """

    title: str = ""
    body: str = ""
    report: Report | None = None
    whole: str = ""
    go_to: str = ""
    file: tuple[str, str] | None = None


def field(
    word: str, name: str, value: str = "", *, known: str = "", number: bool = False, hint: str = ""
) -> str:
    """A labelled line to fill in; ``known`` is the id of a list of names."""
    more = f' list="{known}"' if known else ""
    more += ' inputmode="decimal"' if number else ""
    more += f' placeholder="{clean(hint)}"' if hint else ""
    return (
        f'<label>{clean(word)} <input name="{clean(name)}" value="{clean(value)}" '
        f'maxlength="200" autocomplete="off"{more}></label>'
    )


def pick(word: str, name: str, choices: Iterable[tuple[str, str]], value: str = "") -> str:
    """A labelled choice."""
    told = options(choices, value)
    return f'<label>{clean(word)} <select name="{clean(name)}">{told}</select></label>'


def options(choices: Iterable[tuple[str, str]], value: str = "") -> str:
    """Markup of the things to choose."""
    return "".join(
        f'<option value="{clean(v)}"{" selected" if v == value else ""}>{clean(w)}</option>'
        for v, w in choices
    )


def hidden(fields: Iterable[tuple[str, str]]) -> str:
    """Fields that go along unseen."""
    return "".join(f'<input type="hidden" name="{clean(k)}" value="{clean(v)}">' for k, v in fields)


def button(word: str) -> str:
    """What sends a form."""
    return f"<button>{clean(word)}</button>"


def link(path: str, fields: Iterable[tuple[str, str]], word: str, *, tap: bool = True) -> str:
    """A link that carries fields along."""
    query = urlencode([(k, v) for k, v in fields if v])
    where = f"{path}?{query}" if query else path
    return f'<a{" class=tap" if tap else ""} href="{clean(where)}">{clean(word)}</a>'


def shown(report: Report) -> str:
    """A report as markup, without what speaks of a command line."""
    blocks: list[Text | Bullets | Table] = []
    for block in report.blocks:
        if isinstance(block, Text):
            if not block.text.startswith(("Next: ", "--")):
                blocks.append(Text(_spoken(block.text)))
        elif isinstance(block, Bullets):
            items = [_spoken(i) for i in block.items]
            blocks.append(Bullets(block.title, items, block.numbered))
        else:
            blocks.append(block)
    return report_html(replace(report, blocks=blocks))


def _spoken(text: str) -> str:
    """An option as its words: ``--simmer-min`` is "simmer min"."""
    return re.sub(r"(?<!\S)--([a-z][a-z-]*)", lambda m: m[1].replace("-", " "), text)


def plain_name(text: str) -> str:
    """A name for a kept file.

    Raises
    ------
    PairingError
        For anything but letters, digits, blanks, - and _.
    """
    if len(text) > 60 or not re.fullmatch(r"[^\W_](?:[\w -]*\w)?", text):
        raise PairingError("give a plain name of letters, digits, blanks, - and _")
    return text
