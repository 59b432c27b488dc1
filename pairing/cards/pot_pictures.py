"""Pictures of a syrup: aroma, doses, limits, the pot over time, strength against crystals."""

from __future__ import annotations

import math

from pairing.cards.svg import (
    LEFT,
    RIGHT,
    ROW,
    WIDTH,
    area,
    bar,
    circle,
    diamond,
    figure,
    label,
    line,
    path,
    picture,
    scale,
    short,
    text,
    wrap,
)
from pairing.cards.vocabulary import Document

__all__ = ["aroma", "doses", "limits", "plan", "strength"]


def aroma(document: Document) -> str:
    """Coffee against syrup in the drink, group by group, by how much they differ.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    str
        SVG.
    """
    groups = document["aroma"]
    most = max([max(g["coffee"], g["syrup"]) for g in groups] + [0.1])
    at = scale(0.0, most)
    parts = [
        circle(16, 8, 5, "coffee"),
        text(26, 12, "coffee"),
        diamond(90, 8, "fruit"),
        text(102, 12, "syrup, as loud as this in the drink"),
    ]
    y = 22.0
    for g in groups:
        a, b = at(g["coffee"]), at(g["syrup"])
        parts += [
            label(8, y + 14, g["name"]),
            line(a, y + 10, b, y + 10, "rule", width=3),
            circle(a, y + 10, 5, "coffee"),
            diamond(b, y + 10, "fruit"),
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
    """Each dose in its windows: what bars use, what the aroma asks, and where the law stops it.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    str
        SVG.
    """
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
    least, most = min(ends), max(ends)
    legal = [i["legal_dose"]["g_per_kg"] for i in items if i["legal_dose"]]
    most = max([most, *(v for v in legal if v < 5 * most)])
    low, high = least / 1.4, max(1.6 * most, 10 * least)
    at = scale(low, high, log=True)
    parts: list[str] = [
        bar(8, 3, 22, 9, "sky"),
        text(34, 12, "bars use", size=11),
        line(92, 8, 114, 8, "leaf", width=2.5, dash="4 3"),
        text(118, 12, "aroma asks", size=11),
        diamond(196, 8, "ink"),
        text(205, 12, "here", size=11),
        bar(242, 3, 14, 9, "stop", opacity=0.3),
        line(242, 1, 242, 14, "stop", width=2.5),
        text(261, 12, "law stops it", size=11),
    ]
    y, told = 24.0, []
    for tick in _ticks(low, high):
        parts.append(line(at(tick), 20, at(tick), y + 30.0 * len(items)))
    for i in items:
        bars, asks, law = (
            i["bar_dose_range_g_per_kg"],
            i["aroma_dose_range_g_per_kg"],
            i["legal_dose"],
        )
        parts.append(label(8, y + 15, i["name"].split(",")[0]))
        said = ""
        if law:
            x = at(law["g_per_kg"])
            said = f", the law stops it at {figure(law['g_per_kg'])} ({law['words']})"
            if law["g_per_kg"] < high:
                parts += [
                    bar(x, y, WIDTH - RIGHT - x, 20, "stop", opacity=0.3),
                    line(x, y - 2, x, y + 22, "stop", width=2.5),
                ]
            else:
                parts.append(text(WIDTH - RIGHT, y + 26, f"law: {figure(law['g_per_kg'])}",
                                  anchor="end", cls="soft", size=11))  # fmt: skip
        if bars["low"] and bars["high"]:
            parts.append(bar(at(bars["low"]), y + 4, at(bars["high"]) - at(bars["low"]), 12, "sky"))
        if i["aroma_informs"] and asks["low"] and asks["high"]:
            parts.append(
                line(at(asks["low"]), y + 10, at(asks["high"]), y + 10, "leaf", width=2.5,
                     dash="4 3")
            )  # fmt: skip
        parts.append(diamond(at(i["dose_g_per_kg"]), y + 10, "ink"))
        told.append(
            f"{i['name'].split(',')[0]} {figure(i['dose_g_per_kg'])} g/kg, bars use "
            f"{figure(bars['low'])} to {figure(bars['high'])}{said}"
        )
        y += 30
    for tick in _ticks(low, high):
        x = at(tick)
        anchor = "start" if x < LEFT + 8 else "end" if x > WIDTH - 30 else "middle"
        parts.append(text(x, y + 10, figure(tick), anchor=anchor, cls="soft", size=11))
    parts.append(text(8, y + 10, "g per kg of syrup", cls="soft", size=11))
    return picture("Doses and their windows", "; ".join(told) + ".", y + 20, parts)


def _ticks(low: float, high: float) -> list[float]:
    """Powers of ten inside a span, and their halves of five where there are few."""
    tens = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    whole = [10.0**k for k in tens if low <= 10.0**k <= high]
    fives = [5 * 10.0**k for k in tens if low <= 5 * 10.0**k <= high]
    return whole if len(whole) > 2 else sorted([*whole, *fives])


def limits(document: Document) -> str:
    """How far each thing that has a limit is from it.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    str
        SVG.
    """
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
    at = scale(0.0, 1.5)
    parts, told, y = [], [], 2.0
    for f in shown:
        share = f["amount"] / f["limit"]
        colour = "stop" if f["level"] == "stop" else "fruit" if share > 0.5 else "leaf"
        who = f" ({f['who']})" if f["who"] not in ("", "everyone") else ""
        inside = share >= 0.8
        whose = f["jurisdiction"].replace(";", " and ")
        said = f"{100 * share:.0f} %" + (f", {whose}" if whose else "")
        on_bar = "on" if colour == "fruit" else "f-paper"
        room = (at(min(share, 1.0)) - LEFT if inside else WIDTH - RIGHT - at(share)) - 8
        parts += [
            label(8, y + 14, f["subject"].replace("-", " ")),
            bar(LEFT, y + 3, at(share) - LEFT, 14, colour),
            text(LEFT + 4 if inside else at(share) + 4, y + 14, short(said, room),
                 cls=on_bar if inside else "halo"),
        ]  # fmt: skip
        told.append(
            f"{f['subject'].replace('-', ' ')} {100 * share:.0f} % of the limit"
            + (f" of {whose}" if whose else "")
            + who
        )
        y += ROW
    x = at(1.0)
    parts = [line(x, 0, x, y, "ink", width=2), *parts]
    parts += [
        text(x, y + 13, "limit", anchor="middle", size=11),
        text(8, y + 13, "each against its limit", cls="soft", size=11),
    ]
    return picture("How near the limits", "; ".join(told) or "No limit is met.", y + 22, parts)


def plan(document: Document) -> str:
    """Temperature of the pot over time, with what goes in when.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    str
        SVG.
    """
    steps = [s for s in document["plan"] if s["minutes"] or s["temperature_range_c"]]
    clock, temperature = 0.0, 20.0
    points = [(0.0, 20.0)]
    flags: list[tuple[float, float, float, str]] = []
    for n, s in enumerate(document["plan"], 1):
        if s not in steps:
            continue
        if s["temperature_range_c"]:
            temperature = sum(s["temperature_range_c"].values()) / 2
            clock += 4.0  # to warm or cool from step to step: drawn, not measured
            points.append((clock, temperature))
        names = [i["name"] for i in s["ingredients"]]
        word = f"{n} {s['what']}" + (f": {', '.join(names)}" if names else "")
        flags.append((clock, temperature, s["minutes"] or 0.0, word))
        if s["minutes"]:
            clock += s["minutes"]
            points.append((clock, temperature))
    end, hot = max(clock, 1.0), max(t for _, t in points)
    left, bottom, top, cold = 34.0, 150.0, 12.0, 10.0

    def at(minute: float, celsius: float) -> tuple[float, float]:
        return (
            left + minute / end * (WIDTH - left - 12),
            bottom - (celsius - cold) / (max(hot, 105.0) - cold) * (bottom - top),
        )

    parts: list[str] = []
    for mark in (20, 60, 100):
        _, y = at(0, mark)
        parts += [
            line(left, y, WIDTH - 12, y),
            text(left - 4, y + 4, mark, anchor="end", size=11),
        ]
    parts.append(text(left, bottom + 48, "°C up, minutes across", cls="soft", size=11))
    for tick in range(0, int(end) + 1, max(5, 10 * math.ceil(end / 70))):
        x, _ = at(tick, 0)
        parts.append(text(x, bottom + 34, tick, anchor="middle", cls="soft", size=11))
    parts.append(path([at(*p) for p in points], "coffee", width=3))
    told: list[str] = []
    down = float(bottom + 68)
    for k, (begun, celsius, minutes, word) in enumerate(flags):
        px, py = at(begun, celsius)
        wide = at(begun + minutes, 0)[0] - px
        if minutes:  # the strip: how long each takes
            parts.append(bar(px, bottom + 2, max(wide - 1, 2), 17, "rule"))
        if wide > 44:
            parts.append(text(px + wide / 2, bottom + 15, f"{minutes:.0f} min", anchor="middle",
                              size=11))  # fmt: skip
        parts.append(circle(px, py, 8, "fruit"))
        parts.append(text(px, py + 4, chr(97 + k), anchor="middle", cls="b on", size=11))
        said = f"{chr(97 + k)}  {celsius:.0f} °C"
        said += f", {minutes:.0f} min" if minutes >= 2 else ""
        said += f": step {word}"
        for row in wrap(said, WIDTH - 16):
            parts.append(text(8, down, row))
            down += 16
        told.append(f"from minute {begun:.0f}, {said[3:]}")
    return picture("The pot over time", "; ".join(told) + ".", down + 4, parts)


def strength(document: Document) -> str:
    """Where this syrup stands: strength against temperature, and where sugar falls out.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    str
        SVG.
    """
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
