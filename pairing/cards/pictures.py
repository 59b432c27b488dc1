"""The pictures of the documents, as SVG: each is drawn from what ``--format json`` prints.

Every function takes one document and gives one picture; :func:`pictures_of` gives all that a
document has.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from pairing.cards.glass_picture import glass
from pairing.cards.pot_pictures import aroma, doses, limits, plan, strength
from pairing.cards.svg import (
    LEFT,
    ROW,
    WIDTH,
    bar,
    circle,
    figure1,
    label,
    line,
    picture,
    scale,
    short,
    stacked,
    text,
    weeded,
    width_of,
    wrap,
)
from pairing.cards.trial_pictures import trial
from pairing.cards.vocabulary import Document
from pairing.errors import PairingError

__all__ = ["menu", "pictures_of", "sheet"]

# --- what suits a coffee --------------------------------------------------------------------

SHELVES = (
    ("most", "Good with most coffees", "coffee"),
    ("this", "Right for this coffee", "leaf"),
    ("untried", "Hardly tried", "berry"),
)


def shelves(document: Document) -> str:
    """The three shelves of a suggestion: how much practice and this coffee say for each."""
    parts: list[str] = []
    y = 4.0
    every = [s for key, _, _ in SHELVES for s in document["shelves"][key]]
    most = max([abs(s["score"]) for s in every] + [1.0])
    at = scale(0.0, 1.32 * most)  # room for a word behind the longest
    for key, title, colour in SHELVES:
        parts.append(text(8, y + 14, title, cls="b"))
        y += 20
        if not document["shelves"][key]:
            parts.append(text(16, y + 14, "not known for this coffee", cls="soft"))
            y += ROW
        for single in document["shelves"][key]:
            parts.append(label(16, y + 14, single["name"].split(",")[0], LEFT - 22))
            x = at(single["score"])
            parts += [line(LEFT, y + 10, x, y + 10, colour, width=3), circle(x, y + 10, 5, colour)]
            if single["allergens"]:
                parts.append(text(x + 9, y + 14, "allergen", size=11))
            y += ROW
        y += 6
    said = "; ".join(
        f"{title}: {', '.join(weeded([s['name'] for s in document['shelves'][key]])) or 'nothing'}"
        for key, title, _ in SHELVES
    )
    return picture("Three shelves", said, y + 6, parts)


def ties(document: Document) -> str:
    """Blends in their order; blends whose order the evidence does not decide share a bracket."""
    blends = document["blends"]
    low = min(b["score"] - b["doubt"] for b in blends)
    high = max(b["score"] + b["doubt"] for b in blends)
    pad = 0.05 * (high - low) or 0.5
    left = 24.0
    span: float = WIDTH - 40 - left
    begin, room = float(low - pad), float(high - low + 2 * pad)
    parts: list[str] = []
    y = 2.0
    told = []
    for n, blend in enumerate(blends, 1):
        names = stacked([i["name"] for i in blend["ingredients"]])

        def at(value: float) -> float:
            return left + (value - begin) / room * span

        parts.append(text(8, y + 13, f"{n}. {short(names, WIDTH - 74)}"))
        x1, x2 = at(blend["score"] - blend["doubt"]), at(blend["score"] + blend["doubt"])
        parts += [
            line(left, y + 24, left + span, y + 24),
            line(x1, y + 24, x2, y + 24, "leaf", width=5),
            circle(at(blend["score"]), y + 24, 5, "ink"),
        ]
        first, last = blend["place"], blend["last_place"]
        place = f"place {first}" if first == last else f"a tie: place {first} to {last}"
        told.append(f"{names}, {place}")
        if first != last:
            parts.append(text(WIDTH - 8, y + 13, "tie", anchor="end", cls="soft"))
        y += 36
    parts.append(text(left, y + 12, "less for it", cls="soft", size=11))
    parts.append(text(left + span, y + 12, "more for it", anchor="end", cls="soft", size=11))
    return picture("Blends, and which are a tie", "; ".join(told), y + 20, parts)


PARTS = (
    ("practice", "What people serve"),
    ("this_coffee", "This coffee"),
    ("together", "Together"),
)


def why(document: Document) -> str:
    """What carries a score, part on part, from nothing to its total."""
    scored = document["blends"][0] if "blends" in document else document
    names = (
        stacked([i["name"] for i in scored["ingredients"]])
        if "ingredients" in scored
        else scored["name"].split(",")[0]
    )
    steps = [(word, float(scored[key])) for key, word in PARTS if key in scored]
    reached = [0.0]
    for _, points in steps:
        reached.append(reached[-1] + points)
    top = max([1.0, *reached])
    at = scale(min([0.0, *reached]), 1.25 * top)  # room for the number behind the longest bar
    parts = [line(at(0), 0, at(0), ROW * (len(steps) + 1) + 4)]
    y = 2.0
    bars = [(w, p, reached[k], "leaf" if p >= 0 else "stop") for k, (w, p) in enumerate(steps)]
    for word, points, begun, colour in [*bars, ("In all", reached[-1], 0.0, "coffee")]:
        x1, x2 = sorted((at(begun), at(begun + points)))
        last = "b" if word == "In all" else ""
        parts += [
            text(8, y + 14, word, cls=last),
            bar(x1, y + 3, max(x2 - x1, 1.5), 14, colour),
            text(x2 + 4, y + 14, f"{points:+.1f}", cls=last),
        ]
        y += ROW
    total = reached[-1]
    said = ", ".join(f"{word} {points:+.1f}" for word, points in steps)
    return picture(f"Why {names}", f"{said}; in all {total:+.1f}.", y + 6, parts)


MOST_ROWS = 24  # of the heat map, the best first; the page's table has them all


def menu(document: Document) -> str:
    """Coffees against ingredients: fuller is more for it; the number stands in the cell.

    Parameters
    ----------
    document : mapping
        Of :func:`pairing.cards.brainstorm.brainstorm`.

    Returns
    -------
    str
        SVG.
    """
    coffees, ingredients = document["coffees"], document["rows"][:MOST_ROWS]
    left, top = 132.0, 6.0
    cell = (WIDTH - left - 8) / max(len(coffees), 1)
    values = [v for r in ingredients for v in r["scores"] if v is not None]
    low, high = min(values, default=0.0), max(values, default=1.0)
    span = (high - low) or 1.0
    parts: list[str] = []
    y = top
    for j, _ in enumerate(coffees):
        parts.append(text(left + (j + 0.5) * cell, y + 12, chr(65 + j), anchor="middle", cls="b"))
    y += 18
    for row in ingredients:
        parts.append(label(8, y + 14, row["name"].split(",")[0], left - 14))
        for j, value in enumerate(row["scores"]):
            x = left + j * cell
            parts.append(bar(x, y, cell - 2, ROW - 2, "rule", opacity=0.35))
            if value is None:
                parts.append(text(x + cell / 2 - 1, y + 14, "?", anchor="middle", cls="soft"))
                continue
            share = (value - low) / span
            height = (ROW - 4) * share
            parts.append(bar(x, y + ROW - 2 - height, cell - 2, height, "sky", opacity=0.75))
            parts.append(text(x + cell / 2 - 1, y + 14, figure1(value), anchor="middle", size=11))
        y += ROW
    y += 6
    for j, coffee in enumerate(coffees):
        for row in wrap(f"{chr(65 + j)}: {coffee['words']}", WIDTH - 16, 11):
            parts.append(text(8, y + 12, row, cls="soft", size=11))
            y += 15
    best = [
        f"{c['words']}: {', '.join(r['name'].split(',')[0] for r in _best(ingredients, j))}"
        for j, c in enumerate(coffees)
    ]
    return picture("The menu against the shelf", "; ".join(best), y + 8, parts)


def _best(rows: Sequence[Document], j: int) -> list[Document]:
    return sorted(rows, key=lambda r: -(r["scores"][j] or -1e9))[:3]


def neighbours(document: Document) -> str:
    """A map of what smells alike: places by the likeness of every two, the asked one marked."""
    places = document["map"][:13]
    xs, ys = ([p[k] for p in places] for k in ("x", "y"))
    width, height, edge = WIDTH - 150.0, 250.0, 22.0
    scale = min(
        width / ((max(xs) - min(xs)) or 1.0), (height - 2 * edge) / ((max(ys) - min(ys)) or 1.0)
    )
    left = (WIDTH - scale * (max(xs) - min(xs))) / 2
    at = {
        p["id"]: (left + scale * (p["x"] - min(xs)), edge + scale * (p["y"] - min(ys)))
        for p in places
    }
    first = weeded([p["name"] for p in places])
    names = {
        p["id"]: one if first.count(one) == 1 else p["name"]
        for one, p in zip(first, places, strict=True)
    }
    parts = [
        line(*at[i["a"]], *at[i["b"]], "sky", width=0.6 + 4.4 * i["likeness"] ** 2)
        for i in document["links"]
        if i["a"] in at and i["b"] in at
    ]
    asked = places[0]["id"]
    parts += [
        bar(x - 7, y - 7, 14, 14, "coffee") if ident == asked else circle(x, y, 5, "leaf")
        for ident, (x, y) in at.items()
    ]
    parts += _labels(at, names, asked, height)
    parts.append(text(8, height + 14, "Thicker: more alike. Near: alike as a whole.", cls="soft",
                      size=11))  # fmt: skip
    near = ", ".join(f"{o['name'].split(',')[0]} {o['likeness']:.2f}" for o in document["similar"])
    said = f"Likeness: {near}. Flat, the map is off by {100 * document['map_stress']:.0f} %."
    return picture(f"Near {names[asked]} by aroma", said, height + 22, parts)


def _labels(
    at: Mapping[str, tuple[float, float]], names: Mapping[str, str], asked: str, height: float
) -> list[str]:
    """Names beside their points, each where it covers neither a point nor another name."""
    taken = [(x - 7, y - 7, x + 7, y + 7) for x, y in at.values()]
    parts = []
    for ident in sorted(at, key=lambda i: (i != asked, at[i][1])):
        x, y = at[ident]
        said = short(names[ident], 130, 11.5)
        wide = width_of(said, 12.5 if ident == asked else 11.5)
        spots = [
            (x0, y + down - 9, x0 + wide, y + down + 3)
            for down in (4, 17, -9, 29, -21, 41, -33)
            for x0 in (x + 10, x - 10 - wide, x - wide / 2)
            if not (abs(down - 4) < 1 and x0 == x - wide / 2)
        ]
        inside = [s for s in spots if s[0] > 2 and s[2] < WIDTH - 2 and s[1] > 0 and s[3] < height]
        spot = min(
            inside or spots,
            key=lambda s: sum(_covered(s, t) for t in taken) + 0.01 * spots.index(s),
        )
        taken.append(spot)
        parts.append(
            text(spot[0], spot[3] - 3, said, size=11.5, cls="b halo" if ident == asked else "halo")
        )
    return parts


def _covered(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """The area that two boxes share."""
    across = min(one[2], other[2]) - max(one[0], other[0])
    down = min(one[3], other[3]) - max(one[1], other[1])
    return across * down if across > 0 and down > 0 else 0.0


# --- evidence and trials --------------------------------------------------------------------

KNOWN = (("read", "leaf"), ("computed", "sky"), ("second-hand", "berry"), ("memory", "fruit"))


def evidence(document: Document) -> str:
    """How much of each table was read in a source, worked out, told, or recalled."""
    tables = {t: c for t, c in document["tables"].items() if sum(c.values())}
    at = scale(0.0, 1.0)
    parts, x = [], 8.0
    for word, colour in KNOWN:
        parts += [bar(x, 3, 12, 10, colour), text(x + 16, 12, word, size=11)]
        x += 26 + width_of(word, 11) + 8
    y = 22.0
    for name, counts in sorted(
        tables.items(), key=lambda kv: -kv[1].get("read", 0) / sum(kv[1].values())
    ):
        total, begun = sum(counts.values()), 0.0
        parts.append(label(8, y + 13, f"{name.replace('_', ' ')} ({total})"))
        for word, colour in KNOWN:
            share = counts.get(word, 0) / total
            parts.append(bar(at(begun), y + 3, at(begun + share) - at(begun) - 1, 12, colour))
            begun += share
        y += 20
    total = document["total"]
    every = sum(total.values()) or 1
    said = ", ".join(f"{100 * total.get(w, 0) / every:.0f} % {w}" for w, _ in KNOWN)
    return picture("Where the numbers come from", f"{every} rows: {said}.", y + 8, parts)


OF: dict[str, tuple[Callable[[Document], str], ...]] = {
    "suggest": (shelves, ties, why),
    "check": (why,),
    "brainstorm": (menu,),
    "formula": (aroma, doses, limits, plan, strength),
    "ratio": (strength,),
    "drink": (glass, limits),
    "graph-similar": (neighbours,),
    "sources-audit": (evidence,),
    "trials-read": (trial,),
}


# what a picture cannot do without: these keys, none of them empty
NEEDS = {
    "menu": ("rows",),
    "shelves": ("shelves",),
    "ties": ("blends",),
    "aroma": ("aroma",),
    "doses": ("ingredients",),
    "plan": ("plan",),
    "neighbours": ("map",),
    "evidence": ("tables",),
    "trial": ("protocol",),
}


def pictures_of(document: Document) -> dict[str, str]:
    """All pictures of a document, by name.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    dict of str to str
        SVG by the name of its function; a picture with nothing to show is left out.
    """
    return {
        draw.__name__: draw(document)
        for draw in OF.get(str(document.get("document")), ())
        if all(document.get(key) for key in NEEDS.get(draw.__name__, ()))
    }


BOLD = 1.15  # how much wider bold letters stand than those that are counted


def _care(document: Document) -> list[str]:
    """Stops, what is not known and allergens: a picture goes through a chat without its text."""
    stops = [str(s) for s in document.get("stops", ())]
    told = [str(f["text"]) for f in document.get("findings", ()) if f["code"] == "allergen"]
    texts = [*stops, *map(str, document.get("not_known", ())), *told]
    if not texts:
        return []
    lines = [line for text_ in texts for line in (*wrap(text_, (WIDTH - 16) / BOLD), "")]
    rows = [text(8, 14 + 16 * i, line, cls="b") for i, line in enumerate(lines) if line]
    title = "STOP: do not serve" if stops else "Before you serve it"
    return [picture(title, " ".join(texts), 16 * len(lines), rows)]


def sheet(document: Document) -> str:
    """All pictures of a document below one another, as one SVG file, what can hurt on top.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    str
        SVG.

    Raises
    ------
    PairingError
        When the document has no picture.
    """
    drawn = list(pictures_of(document).values())
    if not drawn:
        raise PairingError("there is nothing to draw here")
    drawn = [*_care(document), *drawn]
    if len(drawn) == 1:
        return drawn[0]
    y, parts = 0.0, []
    for one in drawn:
        height = float(one.split(f'viewBox="0 0 {WIDTH} ', 1)[1].split('"', 1)[0])
        parts.append(
            one.replace("<svg ", f'<svg y="{y:g}" width="{WIDTH}" height="{height:g}" ', 1)
        )
        y += height + 12
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {y:g}" '
        f'style="max-width:560px;width:100%">{"".join(parts)}</svg>\n'
    )
