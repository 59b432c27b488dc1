"""Pictures of a tasting: what it showed, with the range of its own test."""

from __future__ import annotations

from pairing.cards.svg import (
    LEFT,
    RIGHT,
    ROW,
    WIDTH,
    bar,
    circle,
    label,
    line,
    picture,
    scale,
    text,
    wrap,
)
from pairing.cards.vocabulary import Document

__all__ = ["trial"]


def trial(document: Document) -> str:
    """What a tasting showed, in the numbers of its own test, with their ranges.

    Parameters
    ----------
    document : mapping
        As ``--format json`` prints it.

    Returns
    -------
    str
        SVG.
    """
    if "discriminators" in document:
        return _told_apart(document)
    if "leans" in document:
        return _leans(document)
    return _trials_apart(document)


def _told_apart(document: Document) -> str:
    low, high = document["discriminators_interval"]
    at = scale(0.0, 1.0)
    best = float(document["discriminators"])
    sure = 100 * document["interval_confidence"]
    needed = document["correct_needed"]
    enough = f"{needed} needed" if needed is not None else "too few to find anything"
    parts = [
        label(8, 16, "can tell them apart"),
        line(at(0), 28, at(1), 28),
        line(at(low), 12, at(high), 12, "leaf", width=5),
        circle(at(best), 12, 5, "ink"),
        text(at(0), 42, "nobody", cls="soft", size=11),
        text(at(1), 42, "everybody", anchor="end", cls="soft", size=11),
        text(8, 62, f"{document['correct']} of {document['tasters']} right; {enough}", cls="b"),
    ]
    said = (
        f"{document['sentence']} {100 * best:.0f} % of people may tell them apart "
        f"({100 * low:.0f} to {100 * high:.0f} %, {sure:.0f} % sure)."
    )
    return picture("What the tasting showed", said, 74, parts)


SCALES = (  # of a reading of several trials: its key, what it is, what low and high mean
    ("mean", "mean liking", "1, dislike", "9, like"),
    ("mean_place", "mean place", "first", "last"),
    ("ability", "how often picked", "seldom", "often"),
)


def _trials_apart(document: Document) -> str:
    """Trials beside one another; those that the test parts are said below."""
    trials = document["trials"]
    key, what, left, right = next(k for k in SCALES if k[0] in trials[0])
    spread = {t["trial"]: 2 * (t.get("standard_error") or 0.0) for t in trials}
    values = {t["trial"]: float(t[key]) for t in trials}
    ends = {"mean": (1.0, 9.0), "mean_place": (1.0, float(len(trials)))}.get(key)
    low, high = ends or (
        min(v - spread[n] for n, v in values.items()),
        max(v + spread[n] for n, v in values.items()),
    )
    at = scale(low, high)
    y, parts, told = 2.0, [], []
    best = min if key == "mean_place" else max
    first = best(values, key=lambda n: values[n])
    for name in sorted(values, key=lambda n: values[n], reverse=key != "mean_place"):
        v, s = values[name], spread[name]
        parts += [
            label(8, y + 14, f"{name}  {v:.1f}"),
            line(LEFT, y + 10, WIDTH - RIGHT, y + 10),
            *([line(at(v - s), y + 10, at(v + s), y + 10, "leaf", width=5)] if s else []),
            circle(at(v), y + 10, 5, "ink")
            if name == first
            else circle(at(v), y + 10, 5, "coffee"),
        ]
        told.append(f"{name} {v:.1f}")
        y += ROW
    parts += [
        text(LEFT, y + 12, left, cls="soft", size=11),
        text(WIDTH - RIGHT, y + 12, right, anchor="end", cls="soft", size=11),
        text(8, y + 12, what, cls="soft", size=11),
    ]
    y += 18
    clear = [f"{p['ahead']} before {p['behind']}" for p in document["pairs"] if p["clear"]]
    bars_ = "; bars are two standard errors" if any(spread.values()) else ""
    for row in wrap(f"Clear: {', '.join(clear) or 'nothing yet'}{bars_}", WIDTH - 16):
        parts.append(text(8, y + 14, row))
        y += 16
    said = f"{document['sentence']} {what.capitalize()}: {', '.join(told)}."
    return picture("What the tasting showed", said, y + 8, parts)


def _leans(document: Document) -> str:
    """Too little to the left, too much to the right, for each trial and quality."""
    leans = document["leans"]
    most = float(document["tasters"] or 1)
    middle = (LEFT + WIDTH - RIGHT) / 2
    per = (WIDTH - RIGHT - LEFT) / 2 / most
    y, told = 20.0, []
    parts = [
        text(middle - 8, 12, "too little", anchor="end", cls="soft", size=11),
        text(middle + 8, 12, "too much", cls="soft", size=11),
    ]
    for lean in leans:
        less, more = lean["too_little"], lean["too_much"]
        off = lean["p_adjusted"] is not None and lean["p_adjusted"] <= document["alpha"]
        parts += [
            label(8, y + 14, f"{lean['trial']}: {lean['quality']}"),
            bar(middle - less * per, y + 3, less * per, 14, "coffee"),
            bar(middle, y + 3, more * per, 14, "fruit"),
            text(middle - less * per - 4, y + 14, less, anchor="end", size=11),
            text(middle + more * per + 4, y + 14, f"{more}{'  clear' if off else ''}", size=11),
        ]
        told.append(f"{lean['trial']} {lean['quality']}: {less} too little, {more} too much")
        y += ROW
    parts.append(line(middle, 16, middle, y, "ink"))
    said = f"{document['sentence']} {'; '.join(told)}."
    return picture("What the tasting showed", said, y + 6, parts)
