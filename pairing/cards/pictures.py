"""The pictures of the documents, as SVG: each is drawn from what ``--format json`` prints.

Every function takes one document and gives one picture; :func:`pictures_of` gives all that a
document has.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pairing.cards.svg import (
    WIDTH,
    area,
    bar,
    circle,
    line,
    path,
    picture,
    short,
    text,
    width_of,
    wrap,
)
from pairing.errors import PairingError

__all__ = ["menu", "pictures_of", "sheet"]

Document = Mapping[str, Any]
LEFT, RIGHT = 150.0, 12.0  # room for names, and at the edge
ROW = 22.0


def _g(value: float | None, digits: int = 2) -> str:
    if value is None:
        return "not known"
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    said = f"{value:,.{min(places, 6)}f}"
    return said.rstrip("0").rstrip(".") if "." in said else said


def _scale(low: float, high: float, log: bool = False) -> Callable[[float], float]:
    """From a value to its place between the names and the right edge."""
    if log:
        low, high = math.log10(low), math.log10(high)
    span = (high - low) or 1.0

    def at(value: float) -> float:
        value = math.log10(max(value, 1e-9)) if log else value
        inside = min(max((value - low) / span, 0.0), 1.0)
        return LEFT + inside * (WIDTH - LEFT - RIGHT)

    return at


def _name(x: float, y: float, said: str, room: float = LEFT - 14) -> str:
    return text(x, y, short(said, room))


def _stacked(names: Sequence[str]) -> str:
    """Names, each without what follows a comma."""
    return " + ".join(n.split(",")[0] for n in names)


def _weeded(names: Sequence[str]) -> list[str]:
    return [n.split(",")[0] for n in names]


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
    at = _scale(0.0, 1.32 * most)  # room for a word behind the longest
    for key, title, colour in SHELVES:
        parts.append(text(8, y + 14, title, cls="b"))
        y += 20
        if not document["shelves"][key]:
            parts.append(text(16, y + 14, "not known for this coffee", cls="soft"))
            y += ROW
        for single in document["shelves"][key]:
            parts.append(_name(16, y + 14, single["name"].split(",")[0], LEFT - 22))
            x = at(single["score"])
            parts += [line(LEFT, y + 10, x, y + 10, colour, width=3), circle(x, y + 10, 5, colour)]
            if single["allergens"]:
                parts.append(text(x + 9, y + 14, "allergen", size=11))
            y += ROW
        y += 6
    said = "; ".join(
        f"{title}: {', '.join(_weeded([s['name'] for s in document['shelves'][key]])) or 'nothing'}"
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
        names = _stacked([i["name"] for i in blend["ingredients"]])

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
        _stacked([i["name"] for i in scored["ingredients"]])
        if "ingredients" in scored
        else scored["name"].split(",")[0]
    )
    steps = [(word, float(scored[key])) for key, word in PARTS if key in scored]
    reached = [0.0]
    for _, points in steps:
        reached.append(reached[-1] + points)
    top = max([1.0, *reached])
    at = _scale(min([0.0, *reached]), 1.25 * top)  # room for the number behind the longest bar
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


def menu(document: Document) -> str:
    """Coffees against ingredients: dark is more for it; the number stands in the cell.

    Parameters
    ----------
    document : mapping
        Of :func:`pairing.cards.brainstorm.brainstorm`.

    Returns
    -------
    str
        SVG.
    """
    coffees, ingredients = document["coffees"], document["rows"]
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
        parts.append(_name(8, y + 14, row["name"].split(",")[0], left - 14))
        for j, value in enumerate(row["scores"]):
            x = left + j * cell
            parts.append(bar(x, y, cell - 2, ROW - 2, "rule", opacity=0.35))
            if value is None:
                parts.append(text(x + cell / 2 - 1, y + 14, "?", anchor="middle", cls="soft"))
                continue
            share = (value - low) / span
            height = (ROW - 4) * share
            parts.append(bar(x, y + ROW - 2 - height, cell - 2, height, "sky", opacity=0.75))
            parts.append(text(x + cell / 2 - 1, y + 14, f"{value:.1f}", anchor="middle", size=11))
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
    names = {p["id"]: p["name"].split(",")[0] for p in places}
    parts = [
        line(*at[i["a"]], *at[i["b"]], "sky", width=0.6 + 4.4 * i["likeness"])
        for i in document["links"]
        if i["a"] in at and i["b"] in at
    ]
    asked = places[0]["id"]
    parts += [
        bar(x - 7, y - 7, 14, 14, "coffee") if ident == asked else circle(x, y, 5, "leaf")
        for ident, (x, y) in at.items()
    ]
    parts += _labels(at, names, asked, height)
    parts.append(text(8, height + 14, "Thicker: more alike. Near: alike in the whole.", cls="soft",
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
        inside = [s for s in spots if s[0] > 2 and s[2] < WIDTH - 2 and 0 < s[1] and s[3] < height]
        spot = min(
            inside or spots,
            key=lambda s: sum(_covered(s, t) for t in taken) + 0.01 * spots.index(s),
        )
        taken.append(spot)
        parts.append(
            text(spot[0], spot[3] - 3, said, size=11.5, cls="b" if ident == asked else "")
        )
    return parts


def _covered(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """The area that two boxes share."""
    across = min(one[2], other[2]) - max(one[0], other[0])
    down = min(one[3], other[3]) - max(one[1], other[1])
    return across * down if across > 0 and down > 0 else 0.0


# --- the syrup ------------------------------------------------------------------------------


def aroma(document: Document) -> str:
    """Coffee against syrup in the drink, group by group, by how much they differ."""
    groups = document["aroma"]
    most = max([max(g["coffee"], g["syrup"]) for g in groups] + [0.1])
    at = _scale(0.0, most)
    parts = [
        circle(16, 8, 5, "coffee"),
        text(26, 12, "coffee"),
        f'<g transform="translate(90 8) rotate(45)">{bar(-5, -5, 10, 10, "fruit")}</g>',
        text(102, 12, "syrup, as loud as this in the drink"),
    ]
    y = 22.0
    for g in groups:
        a, b = at(g["coffee"]), at(g["syrup"])
        parts += [
            _name(8, y + 14, g["name"]),
            line(a, y + 10, b, y + 10, "rule", width=3),
            circle(a, y + 10, 5, "coffee"),
            f'<g transform="translate({b:.1f} {y + 10:.1f}) rotate(45)">'
            f"{bar(-4.5, -4.5, 9, 9, 'fruit')}</g>",
        ]
        y += ROW
    parts.append(text(LEFT, y + 14, "not smelled", cls="soft", size=11))
    parts.append(text(WIDTH - RIGHT, y + 14, "loud", anchor="end", cls="soft", size=11))
    adds = [g["name"] for g in groups if g["syrup"] > g["coffee"] + 0.3]
    echoes = [g["name"] for g in groups if min(g["coffee"], g["syrup"]) > 0.3]
    said = (
        f"The syrup is louder than the coffee in {', '.join(adds) or 'no group'}; "
        f"both are heard in {', '.join(echoes) or 'no group'}."
    )
    return picture("Aroma: coffee and syrup", said, y + 22, parts)


def doses(document: Document) -> str:
    """Each dose in its windows: what bars use, what the aroma model asks, what is in the pot."""
    items = document["ingredients"]
    ends = [
        v
        for i in items
        for v in (
            i["dose_g_per_kg"],
            *i["bar_dose_range_g_per_kg"].values(),
            *(i["aroma_dose_range_g_per_kg"].values() if i["aroma_informs"] else ()),
        )
        if v
    ]
    low, high = 10 ** math.floor(math.log10(min(ends))), 10 ** math.ceil(math.log10(max(ends)))
    at = _scale(low, max(high, low * 10), log=True)
    parts: list[str] = [
        bar(8, 3, 22, 9, "sky"),
        text(34, 12, "bars use", size=11),
        line(100, 8, 122, 8, "leaf", width=2.5, dash="4 3"),
        text(126, 12, "aroma asks", size=11),
        f'<g transform="translate(206 8) rotate(45)">{bar(-5, -5, 10, 10, "ink")}</g>',
        text(216, 12, "in this syrup", size=11),
    ]
    y, told = 24.0, []
    for i in items:
        bars, asks = i["bar_dose_range_g_per_kg"], i["aroma_dose_range_g_per_kg"]
        parts += [
            _name(8, y + 15, i["name"].split(",")[0]),
            line(LEFT, y + 18, WIDTH - RIGHT, y + 18),
        ]
        if bars["low"] and bars["high"]:
            parts.append(bar(at(bars["low"]), y + 4, at(bars["high"]) - at(bars["low"]), 12, "sky"))
        if i["aroma_informs"] and asks["low"] and asks["high"]:
            parts.append(
                line(at(asks["low"]), y + 10, at(asks["high"]), y + 10, "leaf", width=2.5,
                     dash="4 3")
            )  # fmt: skip
        x = at(i["dose_g_per_kg"])
        parts.append(
            f'<g transform="translate({x:.1f} {y + 10:.1f}) rotate(45)">'
            f"{bar(-4.5, -4.5, 9, 9, 'ink')}</g>"
        )
        told.append(
            f"{i['name'].split(',')[0]} {_g(i['dose_g_per_kg'])} g/kg, bars use "
            f"{_g(bars['low'])} to {_g(bars['high'])}"
        )
        y += 26
    tick = low
    while tick <= max(high, low * 10) * 1.001:
        x = at(tick)
        parts.append(line(x, 22, x, y))
        anchor = "start" if x < LEFT + 8 else "end" if x > WIDTH - 30 else "middle"
        parts.append(text(x, y + 13, _g(tick), anchor=anchor, cls="soft", size=11))
        tick *= 10
    parts.append(text(8, y + 13, "g per kg of syrup", cls="soft", size=11))
    return picture("Doses and their windows", "; ".join(told) + ".", y + 22, parts)


def limits(document: Document) -> str:
    """How far each thing that has a limit is from it."""
    held = [f for f in document["findings"] if f["amount"] is not None and f["limit"]]
    worst: dict[tuple[str, str], Document] = {}
    for f in held:
        key = (f["subject"], f["jurisdiction"])
        if (
            key not in worst
            or f["amount"] / f["limit"] > worst[key]["amount"] / worst[key]["limit"]
        ):
            worst[key] = f
    shown = sorted(worst.values(), key=lambda f: -f["amount"] / f["limit"])[:8]
    at = _scale(0.0, 1.5)
    parts, told, y = [], [], 2.0
    for f in shown:
        share = f["amount"] / f["limit"]
        colour = "stop" if f["level"] == "stop" else "fruit" if share > 0.5 else "leaf"
        who = f" ({f['who']})" if f["who"] not in ("", "everyone") else ""
        parts += [
            _name(8, y + 14, f"{f['subject'].replace('-', ' ')}, {f['jurisdiction']}"),
            bar(LEFT, y + 3, at(share) - LEFT, 14, colour),
            text(at(share) + 4 if share < 1.2 else at(share) - 4, y + 14, f"{100 * share:.0f} %",
                 anchor="start" if share < 1.2 else "end",
                 cls="b" if share < 1.2 else "b on"),
        ]  # fmt: skip
        told.append(
            f"{f['subject'].replace('-', ' ')} {100 * share:.0f} % of the limit of "
            f"{f['jurisdiction']}{who}"
        )
        y += ROW
    x = at(1.0)
    parts += [
        line(x, 0, x, y, "ink", width=2),
        text(x, y + 13, "limit", anchor="middle", size=11),
        text(8, y + 13, "each against its limit", cls="soft", size=11),
    ]
    return picture("How near the limits", "; ".join(told) or "No limit is met.", y + 22, parts)


def plan(document: Document) -> str:
    """Temperature of the pot over time, with what goes in when."""
    steps = [s for s in document["plan"] if s["minutes"] or s["temperature_range_c"]]
    clock, temperature = 0.0, 20.0
    points = [(0.0, 20.0)]
    flags: list[tuple[float, float, str]] = []
    for n, s in enumerate(document["plan"], 1):
        if s not in steps:
            continue
        if s["temperature_range_c"]:
            temperature = sum(s["temperature_range_c"].values()) / 2
            clock += 4.0  # to warm or cool from step to step: drawn, not measured
            points.append((clock, temperature))
        names = [i["name"] for i in s["ingredients"]]
        flags.append((clock, temperature, f"{n} {s['what']}" + (f": {names[0]}" if names else "")))
        if s["minutes"]:
            clock += s["minutes"]
            points.append((clock, temperature))
    end, hot = max(clock, 1.0), max(t for _, t in points)
    left, bottom, top = 34.0, 168.0, 12.0

    def at(minute: float, celsius: float) -> tuple[float, float]:
        return (
            left + minute / end * (WIDTH - left - 12),
            bottom - celsius / max(hot, 100.0) * (bottom - top),
        )

    parts: list[str] = []
    for mark in (20, 60, 100):
        _, y = at(0, mark)
        parts += [
            line(left, y, WIDTH - 12, y),
            text(left - 4, y + 4, mark, anchor="end", size=11),
        ]
    parts.append(text(left, bottom + 30, "°C up, minutes across", cls="soft", size=11))
    for tick in range(0, int(end) + 1, max(5, 10 * math.ceil(end / 70))):
        x, _ = at(tick, 0)
        parts.append(text(x, bottom + 16, tick, anchor="middle", cls="soft", size=11))
    parts.append(path([at(*p) for p in points], "coffee", width=3))
    told: list[str] = []
    down = float(bottom + 50)
    for k, (begun, celsius, word) in enumerate(flags):
        px, py = at(begun, celsius)
        parts.append(circle(px, py, 8, "fruit"))
        parts.append(text(px, py + 4, chr(97 + k), anchor="middle", cls="b on", size=11))
        said = f"{chr(97 + k)}  from minute {begun:.0f}, {celsius:.0f} °C: step {word}"
        for row in wrap(said, WIDTH - 16):
            parts.append(text(8, down, row))
            down += 16
        told.append(said[3:])
    return picture("The pot over time", "; ".join(told) + ".", down + 4, parts)


def strength(document: Document) -> str:
    """Where this syrup stands: strength against temperature, and where sugar falls out."""
    from pairing.syrup import sugar

    brix = float(document["brix"])
    left, bottom, top = 34.0, 172.0, 8.0
    low, high, hot = 30.0, 85.0, 100.0

    def at(strong: float, celsius: float) -> tuple[float, float]:
        inside = (min(max(strong, low), high) - low) / (high - low)
        return (left + inside * (WIDTH - left - 12), bottom - celsius / hot * (bottom - top))

    curve = [at(float(sugar.solubility(float(t))), float(t)) for t in range(0, 101, 5)]
    parts = [area([*curve, at(high, 100), at(high, 0)], "sky", opacity=0.35), path(curve, "sky")]
    parts.append(text(WIDTH - 16, bottom - 12, "crystals", anchor="end", cls="soft"))
    parts.append(text(left + 8, top + 14, "clear", cls="soft"))
    for celsius in (0, 20, 40, 60, 80, 100):
        _, y = at(low, celsius)
        parts += [
            line(left, y, WIDTH - 12, y),
            text(left - 4, y + 4, celsius, anchor="end", size=11),
        ]
    for strong in (30, 40, 50, 60, 70, 80):
        x, _ = at(strong, 0)
        parts.append(text(x, bottom + 15, strong, anchor="middle", size=11, cls="soft"))
    x, _ = at(brix, 0)
    parts += [line(x, top, x, bottom, "coffee", width=2, dash="5 3")]
    for celsius, word in ((4, "fridge"), (20, "bar")):
        _, y = at(brix, celsius)
        parts.append(circle(x, y, 5, "coffee"))
        flip = x > WIDTH / 2
        parts.append(text(x - 9 if flip else x + 9, y - 4, word, anchor="end" if flip else "start"))
    parts.append(text(8, bottom + 30, "°C up, °Bx across; the curve is plain sucrose", cls="soft",
                      size=11))  # fmt: skip
    falls = document["keeping"]["crystallises_below_c"]
    full = float(sugar.solubility(20.0))
    said = f"{brix:.1f} °Bx; plain sucrose is saturated at {full:.1f} at 20 °C. "
    said += f"It can crystallise below {falls:.0f} °C." if falls is not None else "It stays clear."
    return picture("Strength and crystals", said, bottom + 38, parts)


# --- the glass ------------------------------------------------------------------------------


def glass(document: Document) -> str:
    """A section of the glass to scale: what lies where when it is built, and the room above."""
    holds = float(document["glass_ml"])
    ice_ml = document["ice_g"] / 0.917  # density of ice at 0 °C, kg/l
    coffee_ml = document["coffee_ml"]
    filler_ml = document["filler_ml"]
    layers = [("syrup", document["syrup_ml"], "fruit")]
    layers.append((document["filler"] or "water", filler_ml, "sky"))
    layers.append((document["coffee"]["brew"].replace("-", " "), coffee_ml, "coffee"))
    layers = [layer for layer in layers if layer[1] > 0.5]
    x1, x2, bottom, tall = 30.0, 170.0, 236.0, 220.0
    if document["style"] in ("hot", "milk"):
        tall, bottom = 150.0, 166.0
    parts: list[str] = []
    y = bottom
    told = []
    used = sum(v for _, v, _ in layers) + ice_ml
    per_ml = tall / max(holds, used)
    marks: list[tuple[float, str]] = []
    for k, (name, ml, colour) in enumerate(layers):
        share = ml + ice_ml * (ml / max(sum(v for _, v, _ in layers), 1.0))
        height = share * per_ml
        parts.append(bar(x1, y - height, x2 - x1, height, colour))
        parts.append(line(x1, y - height, x2, y - height, "paper", width=1.5))
        marks.append((y - height / 2, f"{name}, {ml:.0f} ml"))
        y -= height
        told.append(f"{name} {ml:.0f} ml")
        del k
    if ice_ml:
        side = 24.0
        across = int((x2 - x1) // (side + 8))
        want = max(1, round(ice_ml * per_ml * (x2 - x1) / (side * side) * 0.5))
        for i in range(min(want, across * int((bottom - y) // (side + 4)))):
            px = x1 + 8 + (i % across) * (side + 8)
            py = y + 4 + (i // across) * (side + 4)
            parts.append(bar(px, py, side, side, "paper", opacity=0.55))
        marks.append((y + 6, f"ice, {document['ice_g']:.0f} g"))
        told.append(f"ice {document['ice_g']:.0f} g")
    free = document["headspace_ml"]
    marks.append(
        (bottom - tall + 4, f"{free:.0f} ml free of {document['headspace_needed_ml']:.0f} wanted")
    )
    parts += [
        line(x1, bottom - tall - 6, x1, bottom, "ink", width=3),
        line(x2, bottom - tall - 6, x2, bottom, "ink", width=3),
        line(x1 - 1.5, bottom, x2 + 1.5, bottom, "ink", width=3),
    ]
    last = 1e9
    for where, said in sorted(marks, reverse=True):
        y = min(where, last - 17)
        last = y
        parts += [line(x2 + 2, where, 190, y, "soft"), text(196, y + 4, short(said, WIDTH - 204))]
    parts.append(text(x1, bottom + 16, f"{holds:.0f} ml to the brim", cls="soft", size=11))
    said = f"From the bottom of {holds:.0f} ml: {', '.join(told)}; {free:.0f} ml free."
    return picture("The glass", said, bottom + 26, parts)


# --- evidence and trials --------------------------------------------------------------------

KNOWN = (("read", "leaf"), ("computed", "sky"), ("second-hand", "berry"), ("memory", "fruit"))


def evidence(document: Document) -> str:
    """How much of each table was read in a source, worked out, told, or recalled."""
    tables = {t: c for t, c in document["tables"].items() if sum(c.values())}
    at = _scale(0.0, 1.0)
    parts, x = [], 8.0
    for word, colour in KNOWN:
        parts += [bar(x, 3, 12, 10, colour), text(x + 16, 12, word, size=11)]
        x += 26 + width_of(word, 11) + 8
    y = 22.0
    for name, counts in sorted(
        tables.items(), key=lambda kv: -kv[1].get("read", 0) / sum(kv[1].values())
    ):
        total, begun = sum(counts.values()), 0.0
        parts.append(_name(8, y + 13, f"{name.replace('_', ' ')} ({total})"))
        for word, colour in KNOWN:
            share = counts.get(word, 0) / total
            parts.append(bar(at(begun), y + 3, at(begun + share) - at(begun) - 1, 12, colour))
            begun += share
        y += 20
    total = document["total"]
    every = sum(total.values()) or 1
    said = ", ".join(f"{100 * total.get(w, 0) / every:.0f} % {w}" for w, _ in KNOWN)
    return picture("Where the numbers come from", f"{every} rows: {said}.", y + 8, parts)


def trial(document: Document) -> str:
    """What a tasting showed: who tells the two apart, with its range, and what was needed."""
    low, high = document["discriminators_interval"]
    at = _scale(0.0, 1.0)
    best = float(document["discriminators"])
    sure = 100 * document["interval_confidence"]
    parts = [
        _name(8, 16, "can tell them apart"),
        line(at(0), 28, at(1), 28),
        line(at(low), 12, at(high), 12, "leaf", width=5),
        circle(at(best), 12, 5, "ink"),
        text(at(0), 42, "nobody", cls="soft", size=11),
        text(at(1), 42, "everybody", anchor="end", cls="soft", size=11),
        text(
            8, 62, f"{document['correct']} of {document['tasters']} right; "
            f"{document['correct_needed']} needed", cls="b",
        ),
    ]  # fmt: skip
    said = (
        f"{document['sentence']} {100 * best:.0f} % of people may tell them apart "
        f"({100 * low:.0f} to {100 * high:.0f} %, {sure:.0f} % sure)."
    )
    return picture("What the tasting showed", said, 74, parts)


OF: dict[str, tuple[Callable[[Document], str], ...]] = {
    "suggest": (shelves, ties, why),
    "check": (why,),
    "formula": (aroma, doses, limits, plan, strength),
    "ratio": (strength,),
    "drink": (glass, limits),
    "graph-similar": (neighbours,),
    "sources-audit": (evidence,),
    "trials-read": (trial,),
}


# what a picture cannot do without: these keys, none of them empty
NEEDS = {
    "shelves": ("shelves",),
    "ties": ("blends",),
    "aroma": ("aroma",),
    "doses": ("ingredients",),
    "plan": ("plan",),
    "neighbours": ("map",),
    "evidence": ("tables",),
    "trial": ("discriminators_interval",),
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


def sheet(document: Document) -> str:
    """All pictures of a document below one another, as one SVG file.

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
    drawn = pictures_of(document)
    if not drawn:
        raise PairingError("there is nothing to draw here")
    if len(drawn) == 1:
        return next(iter(drawn.values()))
    y, parts = 0.0, []
    for one in drawn.values():
        height = float(one.split(f'viewBox="0 0 {WIDTH} ', 1)[1].split('"', 1)[0])
        parts.append(
            one.replace("<svg ", f'<svg y="{y:g}" width="{WIDTH}" height="{height:g}" ', 1)
        )
        y += height + 12
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {y:g}" '
        f'style="max-width:560px;width:100%">{"".join(parts)}</svg>\n'
    )
