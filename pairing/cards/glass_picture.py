"""The picture of a drink: a section of its glass, to scale."""

from __future__ import annotations

from pairing.cards.svg import (
    WIDTH,
    bar,
    line,
    picture,
    short,
    text,
)
from pairing.cards.vocabulary import Document

__all__ = ["glass"]


def glass(document: Document) -> str:
    """A section of the glass to scale: what lies on what when it is served, and the room above.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    str
        SVG.
    """
    holds, free = float(document["glass_ml"]), float(document["headspace_ml"])
    strained = document["thrown_ice_g"] > 0
    ice_ml = 0.0 if strained else document["ice_g"] / 0.917  # density of ice at 0 °C, kg/l
    lying, on_top = _lying(document)
    liquid = sum(ml for layer in lying for _, ml, _ in layer) or 1.0
    x1, x2, top = 30.0, 170.0, 8.0
    bottom = top + (150.0 if holds < 250 else 220.0)
    per_ml = (bottom - top) / holds
    parts: list[str] = []
    marks: list[tuple[float, str]] = []
    y, told = bottom, []
    for layer in lying:
        ml = sum(v for _, v, _ in layer)
        height = (ml + ice_ml * ml / liquid) * per_ml
        mixed = len(layer) > 1
        colour = "coffee" if mixed else layer[0][2]
        parts.append(bar(x1, y - height, x2 - x1, height, colour, opacity=0.8 if mixed else 1.0))
        edge = y
        for k, (name, v, _) in enumerate(layer):  # stirred: how high each is poured
            part = height * v / ml
            marks.append((edge - part / 2, f"{name}, {v:.0f} ml"))
            edge -= part
            if k < len(layer) - 1:
                parts.append(line(x1, edge, x2, edge, "paper", width=1.2, dash="5 4"))
        y -= height
        parts.append(line(x1, y, x2, y, "paper", width=1.5))
        told.append(" stirred with ".join(f"{name} {v:.0f} ml" for name, v, _ in layer))
    surface = y
    if ice_ml:
        parts += _cubes(x1, x2, surface, bottom, ice_ml * per_ml * (x2 - x1))
        marks.append((surface + 6, f"ice, {document['ice_g']:.0f} g"))
        told.append(f"ice {document['ice_g']:.0f} g")
    for name, ml in on_top:
        parts.append(bar(x1, y - ml * per_ml, x2 - x1, ml * per_ml, "rule"))
        marks.append((y - ml * per_ml / 2, f"{name}, {ml:.0f} ml" if ml else name))
        y -= ml * per_ml
        told.append(f"{name} on it")
    wanted = document["headspace_needed_ml"]
    marks.append(((top + y) / 2, f"{free:.0f} ml free of {wanted:.0f} wanted"))
    parts += [
        line(x1, top - 6, x1, bottom, "ink", width=3),
        line(x2, top - 6, x2, bottom, "ink", width=3),
        line(x1 - 1.5, bottom, x2 + 1.5, bottom, "ink", width=3),
    ]
    last = 1e9
    for where, said in sorted(marks, reverse=True):
        y = min(where, last - 17)
        last = y
        parts += [line(x2 + 2, where, 190, y, "soft"), text(196, y + 4, short(said, WIDTH - 204))]
    dashed = "; dashed: stirred into one" if any(len(layer) > 1 for layer in lying) else ""
    said = f"{holds:.0f} ml to the brim, heights to scale{dashed}"
    parts.append(text(8, bottom + 16, said, cls="soft", size=11))
    if last < 0:  # more names than room: all move down together
        parts = [f'<g transform="translate(0 {12 - last:.1f})">{"".join(parts)}</g>']
        bottom += 12 - last
    said = f"From the bottom of {holds:.0f} ml: {', '.join(told)}; {free:.0f} ml free."
    return picture("The glass", said, bottom + 24, parts)


Part = tuple[str, float, str]  # name, ml, colour


def _lying(document: Document) -> tuple[list[list[Part]], list[tuple[str, float]]]:
    """Layers of a drink from the bottom, each of one or more liquids, and what floats on them."""
    coffee = document["coffee"]["brew"].replace("-", " ")
    syrup, filler = "syrup", document["filler"] or "water"
    steam = document["steam_g"] if document["steam_g"] >= 0.5 else 0.0
    milk = f"{filler}, with steam" if steam else filler
    poured: dict[str, Part] = {
        syrup: (syrup, document["syrup_ml"], "fruit"),
        filler: (milk, document["filler_ml"] + steam, "sky"),
        coffee: (coffee, document["coffee_ml"], "coffee"),
    }
    added = document["added"]
    stirred = [(a["name"], a["ml"], "berry") for a in added if a["place"] == "in"]
    if document["thrown_ice_g"] > 0:  # shaken and strained: what melted comes along
        stirred.append(("melted ice", document["served"]["melted_g"], "sky"))
    on_top = [(a["name"], a["ml"]) for a in added if a["place"] == "top"]
    if document["foam_ml"] >= 1:
        on_top.insert(0, ("foam", document["foam_ml"]))
    named = [name for name, _ in on_top] + ["crema"]
    lying = [said.split(" and ") for said in reversed(document["layers"])]
    layered = any(w in (syrup, filler) for words in lying for w in words)
    layers: list[list[Part]] = []
    left = dict(poured)
    for words in lying:
        if " and ".join(words) not in named:
            layers.append([left.pop(w) for w in words if w in left])
    layers = [held for layer in layers if (held := [p for p in layer if p[1] > 0.5])]
    rest = [p for p in (*left.values(), *stirred) if p[1] > 0.5]
    if rest and layered:
        layers.append(rest)  # the coffee, where its layer is called by another name
    elif rest:
        layers = [[*(p for layer in layers for p in layer), *rest]]
        layers[0].sort(key=lambda p: p[2] != "fruit")
    return layers, on_top


def _cubes(x1: float, x2: float, surface: float, bottom: float, area_: float) -> list[str]:
    """Ice that floats: squares from the surface down, in all of the area that it takes."""
    side, gap = 24.0, 6.0
    across = int((x2 - x1 - gap) // (side + gap))
    want = max(1, round(area_ / (side * side)))
    rows = max(1, int((bottom - surface) // (side + 3)))
    return [
        bar(x1 + gap + (i % across) * (side + gap), surface + 3 + (i // across) * (side + 3), side,
            side, "paper", opacity=0.5)
        for i in range(min(want, across * rows))
    ]  # fmt: skip
