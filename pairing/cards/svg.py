"""Small SVG drawing: real text, a title and a description, one palette for light, dark and print.

A picture is 400 units wide, so that its text is still read on a phone. Colours never carry a
meaning alone: a shape, a pattern or a word goes with them.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Sequence
from html import escape

from pairing.errors import CONTROL

__all__ = [
    "COLOURS",
    "WIDTH",
    "bar",
    "circle",
    "clean",
    "line",
    "path",
    "picture",
    "printed",
    "text",
    "wrap",
]

WIDTH = 400
SIZE = 12.5
# Our own: each differs from its neighbours in lightness, so that they part in grey and for every
# kind of colour blindness; contrast on the paper is tested by the formula of WCAG 2.2.
COLOURS: dict[str, tuple[str, str]] = {  # name: on light, on dark
    "ink": ("#1f1b16", "#f2ede4"),
    "soft": ("#5b544a", "#bcb3a4"),
    "rule": ("#cfc6b8", "#4a443b"),
    "paper": ("#fdfbf7", "#191612"),
    "coffee": ("#5a3418", "#b98a5e"),
    "fruit": ("#d97a00", "#ffb347"),
    "leaf": ("#1d6b52", "#6fcfae"),
    "sky": ("#7fb2d6", "#3f7ea8"),
    "berry": ("#8a1c4a", "#e58aae"),
    "stop": ("#a3000f", "#ff8f86"),
}
STYLE = "".join(
    [
        ".pic{font-family:system-ui,sans-serif;font-size:12.5px;max-width:560px;width:100%;"
        "height:auto;display:block}",
        ".pic text{fill:var(--ink)}.pic .on{fill:#1f1b16}"
        ".pic .soft{fill:var(--soft)}.pic .b{font-weight:600}"
        ".pic .halo{paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}",
        *(
            f".pic .f-{n}{{fill:var(--{n})}}.pic .s-{n}{{stroke:var(--{n});fill:none}}"
            for n in COLOURS
        ),
    ]
)


def _variables(which: int) -> str:
    return "".join(f"--{name}:{pair[which]};" for name, pair in COLOURS.items())


THEME = (
    f":root{{{_variables(0)}color-scheme:light dark}}"
    f"@media screen and (prefers-color-scheme:dark){{:root{{{_variables(1)}}}}}"
)


def clean(value: object) -> str:
    """A user's text for markup: no controls, no marks that turn the writing, all escaped.

    Parameters
    ----------
    value : object

    Returns
    -------
    str
        Safe in text and in attributes.
    """
    return escape(CONTROL.sub(" ", str(value)), quote=True)


def width_of(said: str, size: float = SIZE) -> float:
    """About how wide a text is; on the wide side, so that nothing is clipped."""
    return sum(0.34 if c in "ilj.,:;'|!()[] " else 0.92 if c in "mwMW@%" else 0.6 for c in said) * (
        size
    )


def wrap(said: str, room: float, size: float = SIZE) -> list[str]:
    """Lines that fit a width; a word that is too long is cut where it must be.

    Parameters
    ----------
    said : str
    room : float
        Width [units].
    size : float
        Letters [units].

    Returns
    -------
    list of str
        One at least.
    """
    lines: list[str] = []
    for word in CONTROL.sub(" ", said).split():
        while width_of(word, size) > room:
            cut = max(1, int(len(word) * room / width_of(word, size)) - 1)
            lines.append(word[:cut])
            word = word[cut:]
        if lines and width_of(f"{lines[-1]} {word}", size) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines or [""]


def short(said: str, room: float, size: float = SIZE) -> str:
    """One line that fits, with an ellipsis where it had to be cut."""
    said = CONTROL.sub(" ", said)
    if width_of(said, size) <= room:
        return said
    while said and width_of(said + "…", size) > room:
        said = said[:-1]
    return said.rstrip() + "…"


def _n(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".") if math.isfinite(value) else "0"


def text(
    x: float, y: float, said: object, *, anchor: str = "start", cls: str = "", size: float = SIZE
) -> str:
    """Text on its base line.

    Parameters
    ----------
    x, y : float
        Of the base line, at the anchor [units].
    said : object
        Escaped here.
    anchor : str
        ``start``, ``middle`` or ``end``.
    cls : str
        Classes of the style sheet, such as ``"soft"``.
    size : float
        Letters [units].

    Returns
    -------
    str
        SVG.
    """
    extra = f' class="{cls}"' if cls else ""
    extra += f' text-anchor="{anchor}"' if anchor != "start" else ""
    extra += f' font-size="{_n(size)}"' if size != SIZE else ""
    return f'<text x="{_n(x)}" y="{_n(y)}"{extra}>{clean(said)}</text>'


def bar(
    x: float, y: float, width: float, height: float, colour: str, *, opacity: float = 1.0
) -> str:
    """A filled box.

    Parameters
    ----------
    x, y : float
        Upper left corner [units].
    width, height : float
        Below 0 is drawn as 0.
    colour : str
        One of :data:`COLOURS`.
    opacity : float
        0 to 1.

    Returns
    -------
    str
        SVG.
    """
    see = f' opacity="{opacity:g}"' if opacity != 1 else ""
    return (
        f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(max(width, 0))}" height="{_n(max(height, 0))}" '
        f'class="f-{colour}"{see}/>'
    )


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    colour: str = "rule",
    *,
    width: float = 1.0,
    dash: str = "",
) -> str:
    """A straight line.

    Parameters
    ----------
    x1, y1, x2, y2 : float
        Ends [units].
    colour : str
        One of :data:`COLOURS`.
    width : float
        Of the stroke [units].
    dash : str
        SVG dash pattern, such as ``"4 3"``; empty for a whole line.

    Returns
    -------
    str
        SVG.
    """
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}" class="s-{colour}" '
        f'stroke-width="{_n(width)}"{dashed}/>'
    )


def circle(x: float, y: float, r: float, colour: str, *, hollow: bool = False) -> str:
    """A point, filled or hollow.

    Parameters
    ----------
    x, y : float
        Middle [units].
    r : float
        Radius [units].
    colour : str
        One of :data:`COLOURS`.
    hollow : bool

    Returns
    -------
    str
        SVG.
    """
    cls = f"s-{colour}" if hollow else f"f-{colour}"
    return (
        f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(r)}" class="{cls}"'
        + (' stroke-width="2"' if hollow else "")
        + "/>"
    )


def path(points: Sequence[tuple[float, float]], colour: str, *, width: float = 2.0) -> str:
    """A line through points.

    Parameters
    ----------
    points : sequence of (float, float)
        x and y [units].
    colour : str
        One of :data:`COLOURS`.
    width : float
        Of the stroke [units].

    Returns
    -------
    str
        SVG.
    """
    d = " ".join(f"{'M' if i == 0 else 'L'}{_n(x)} {_n(y)}" for i, (x, y) in enumerate(points))
    return f'<path d="{d}" class="s-{colour}" stroke-width="{_n(width)}" stroke-linejoin="round"/>'


def area(points: Sequence[tuple[float, float]], colour: str, *, opacity: float = 1.0) -> str:
    """A filled shape."""
    d = " ".join(f"{'M' if i == 0 else 'L'}{_n(x)} {_n(y)}" for i, (x, y) in enumerate(points))
    return f'<path d="{d} Z" class="f-{colour}" opacity="{opacity:g}"/>'


def picture(title: str, description: str, height: float, parts: Sequence[str]) -> str:
    """A whole picture, which stands alone as a file and inside a page.

    Parameters
    ----------
    title, description : str
        What it shows, and what is to be seen, for who can't see it.
    height : float
        In units; the width is :data:`WIDTH`.
    parts : sequence of str
        From the functions of this module.

    Returns
    -------
    str
        An ``svg`` element.
    """
    mark = hashlib.sha256((title + description).encode("utf-8", "replace")).hexdigest()[:10]
    head = wrap(title, WIDTH - 16, 15.5)  # bold is wider
    top = 18 * len(head) + 8
    said = "".join(text(8, 18 + 18 * i, row, cls="b", size=14) for i, row in enumerate(head))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="pic" role="img" '
        f'viewBox="0 0 {WIDTH} {_n(top + height)}" aria-labelledby="t{mark} d{mark}">'
        f'<title id="t{mark}">{clean(title)}</title><desc id="d{mark}">{clean(description)}</desc>'
        f"<style>{THEME}{STYLE}</style>"
        f'<rect width="{WIDTH}" height="{_n(top + height)}" class="f-paper"/>'
        f'{said}<g transform="translate(0 {_n(top)})">{"".join(parts)}</g></svg>\n'
    )


def printed(svg: str) -> str:
    """A picture for paper: its colours written out, in daylight, for what reads no variables.

    Parameters
    ----------
    svg : str
        Of :func:`picture`.

    Returns
    -------
    str
        SVG.
    """
    svg = svg.replace(THEME, "")
    for name, (light, _) in COLOURS.items():
        svg = svg.replace(f"var(--{name})", light)
    return svg


# --- what several pictures need ---------------------------------------------------------

LEFT, RIGHT = 150.0, 12.0  # room for names, and at the edge
ROW = 22.0


def figure(value: float | None, digits: int = 2) -> str:
    """A number with two significant digits; "not known" where there is none."""
    if value is None:
        return "not known"
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    said = f"{value:,.{min(places, 6)}f}"
    return said.rstrip("0").rstrip(".") if "." in said else said


def scale(low: float, high: float, log: bool = False) -> Callable[[float], float]:
    """From a value to its place between the names and the right edge."""
    if log:
        low, high = math.log10(low), math.log10(high)
    span = (high - low) or 1.0

    def at(value: float) -> float:
        value = math.log10(max(value, 1e-9)) if log else value
        inside = min(max((value - low) / span, 0.0), 1.0)
        return LEFT + inside * (WIDTH - LEFT - RIGHT)

    return at


def label(x: float, y: float, said: str, room: float = LEFT - 14) -> str:
    """A name at the left of its row: smaller where it is long, cut where that is not enough."""
    size = SIZE if width_of(said) <= room else 11.0
    return text(x, y, short(said, room, size), size=size)


def stacked(names: Sequence[str]) -> str:
    """Names, each without what follows a comma."""
    return " + ".join(n.split(",")[0] for n in names)


def weeded(names: Sequence[str]) -> list[str]:
    """Each name without what follows a comma."""
    return [n.split(",")[0] for n in names]


def diamond(x: float, y: float, colour: str) -> str:
    """A square on its corner: a shape beside the circle, so that colour says nothing alone."""
    return (
        f'<g transform="translate({x:.1f} {y:.1f}) rotate(45)">{bar(-4.5, -4.5, 9, 9, colour)}</g>'
    )


def figure1(value: float) -> str:
    """A score with one decimal, and no minus before a nought."""
    return f"{round(value, 1) + 0.0:.1f}"
