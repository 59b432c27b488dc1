"""How a plant is prepared, what it is called in a sentence, and how many pieces it is."""

from __future__ import annotations

import re
from collections.abc import Sequence

from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form

__all__ = ["count_of", "name_of", "preparation"]

MOST_PIECES = 30.0  # nobody counts out more

# common practice, no source; the words of a label decide before the form does
PREPARATION_WORDS = (
    ("grated", "grate finely just before it goes in"),
    ("split and scraped", "split lengthwise, scrape; seeds and pod both go in"),
    ("ground with sugar", "grind with a spoon of the sugar: alone it gums up"),
    ("torn", "tear open, shake out the seeds"),
    ("broken", "break up, leave coarse"),
    ("threads", "rub between the fingers"),
    ("husks", "pick out the gritty black seeds"),
    ("chopped", "chop roughly"),
    ("sliced", "scrub, slice thinly"),
)
PREPARATION = {
    "slice": "scrub under hot water, dry, slice 5 mm thick with the peel on, pick out the pips",
    "peel": "scrub under hot water, dry, pare strips of coloured peel without white pith",
    "zest": "scrub under hot water, dry, grate only the coloured skin",
    "juice": "wash the fruit, leave it whole until it is pressed",
    "cracked": "crush lightly until open, do not grind",
    "fresh": "rinse, pat dry, bruise gently",
    "flower": "shake out, pick off green parts",
}
BY_KIND = {
    "sweetener": "weigh",
    "fruit": "weigh",
    "dairy": "weigh",
    "seasoning": "weigh",
    "tea": "weigh",
    "nut": "weigh",
    "roast": "weigh",
    "wood": "weigh",
}


def preparation(catalog: Catalog, form: Form) -> str:
    """How to prepare a form.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    str
    """
    kind = catalog.kind(form)
    if form.form == "ground":
        return "weigh" if form.method == "stir-in" else "weigh, have a fine cloth filter ready"
    if kind == "flower" and form.method == "stir-in":
        return "weigh"
    if form.form in ("slice", "peel", "zest", "juice"):
        return PREPARATION[form.form]
    label = form.label.lower()
    for word, how in PREPARATION_WORDS:
        if word in label:
            return "leave in pieces" if word == "torn" and kind == "herb" else how
    if kind == "herb" and form.form == "leaf":
        return PREPARATION["fresh"]
    return BY_KIND.get(kind) or PREPARATION.get(form.form, "weigh")


def name_of(form: Form, forms: Sequence[Form] = ()) -> str:
    """Name within a sentence: the label without its preparation, unless two would be the same.

    Parameters
    ----------
    form : Form
    forms : sequence of Form

    Returns
    -------
    str
    """
    short = form.label.split(",")[0]
    same = [f for f in forms if f.label.split(",")[0] == short]
    return form.label if len(same) > 1 else short


def count_of(form: Form, grams: float) -> str:
    """Return the number of pieces, where somebody would count them.

    Parameters
    ----------
    form : Form
    grams : float
        What is weighed [g].

    Returns
    -------
    str
        ``about 6 pods``; empty where nobody counts.
    """
    if not (form.unit_mass_g and form.unit_name) or form.unit_name in ("gram", "one gram"):
        return ""
    pieces = grams / form.unit_mass_g
    if not 0.4 <= pieces <= MOST_PIECES:
        return ""
    unit = form.unit_name.removeprefix("one ").removeprefix("medium ")
    shown = f"{pieces:.0f}" if pieces >= 4 else f"{round(2 * pieces) / 2:g}"
    shown = shown.replace("0.5", "1/2").replace(".5", " 1/2")
    size = re.match(r"([\d.]+ [cm]m) (.+)", unit)
    if size:
        return f"about {shown} {size[2]}{'s' if pieces >= 1.25 else ''} of {size[1]}"
    if pieces >= 1.25:
        unit = {"calyx": "calyces", "leaf": "leaves", "half": "halves"}.get(unit, f"{unit}s")
        unit = re.sub("leafs$", "leaves", re.sub("rys$", "ries", unit))
    return f"about {shown} {unit}"
