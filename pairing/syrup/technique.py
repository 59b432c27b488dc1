"""Techniques: how an ingredient is infused, chosen for it or asked for by name."""

from __future__ import annotations

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.rows import Sweetener as SweetenerRow

__all__ = ["TECHNIQUES", "method_for", "minutes_for"]

# What a cook calls it, and the method of `infusion.METHODS`; common practice, no source
TECHNIQUES: dict[str, tuple[str, str]] = {
    "water-first": ("water-first", "infuse the water, strain, then add the sugar"),
    "steep": ("hot-steep", "steep in the syrup off the heat"),
    "simmer": ("simmer", "simmer in the syrup under a lid"),
    "sugar-rub": ("maceration", "rub into the sugar and leave it (oleo-saccharum)"),
    "fridge": ("cold-steep", "steep overnight in the fridge"),
    "sealed-bag": ("sealed-bag", "sealed bag in a water bath of 62 °C"),
    "stir-in": ("stir-in", "stir in at the end, off the heat"),
}
THIN_ENOUGH_PERCENT = 5.0  # a sweetener with more water than this leaves none to infuse first
FLOWER_IN_WATER_MIN = 15.0  # flowers whose own way is cold: common practice, no source
# Warm water without sugar cools into the range where germs grow: FDA Food Code 2022, 3-501.14, 2
# hours from 57 to 21 °C
LONGEST_IN_WATER_MIN = 120.0
WET_PERCENT = 40.0  # water from which sugar draws a sap out of a plant
DRY_LEAF = ("tea", "flower")


def method_for(
    catalog: Catalog, form: Form, sweetener: SweetenerRow, asked: str | None = None
) -> tuple[str, str]:
    """Return how a form is infused, and why where that is not its own way.

    Tea and flowers go into the water before the sugar: thick syrup draws little out of a leaf, and
    what a spent leaf carries off is then water. Slices that turn bitter stay off the heat.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    sweetener : SweetenerRow
        A syrup as sweetener brings its own water: then there is none to infuse first.
    asked : str, optional
        A key of `TECHNIQUES`.

    Returns
    -------
    (str, str)
        Method, and words for the cook; empty if there is nothing to say.

    Raises
    ------
    PairingError
        For an unknown technique, or one that does not fit the form.
    """
    own = form.method or "hot-steep"
    if asked is not None:
        if asked not in TECHNIQUES:
            raise PairingError(f"unknown technique {asked!r:.40}; one of {', '.join(TECHNIQUES)}")
        method = TECHNIQUES[asked][0]
        if "juice" in form.form and method != "stir-in":
            raise PairingError(f"{form.form_id} is juice: it is stirred in, not infused")
        silly = _silly(catalog, form, asked)
        if silly:
            raise PairingError(silly)
        if method == "stir-in" and own != "stir-in" and form.form != "ground":
            raise PairingError(
                f"{form.form_id} stays in pieces: stir-in is for juice, syrup and powders"
            )
        bitter = form.form == "slice" and form.bitterness in ("medium", "high")
        if method == "simmer" and bitter:
            return (
                method,
                f"{form.label}: pith turns bitter as it simmers; try the peel",
            )
        return method, ""
    if form.form == "slice" and own == "hot-steep":
        return own, (
            f"{form.label} stay off the heat: simmered, the pith turns bitter; the peel alone is "
            "gentler still"
        )
    if form.form == "slice" and form.bitterness == "high":
        return own, f"{form.label} turn bitter as they simmer, as marmalade does; or take the peel"
    leafy = catalog.kind(form) in DRY_LEAF and own in ("hot-steep", "cold-steep")
    if leafy and sweetener.water_percent <= THIN_ENOUGH_PERCENT:
        return "water-first", ""
    return own, ""


def minutes_for(form: Form, method: str, asked: float | None) -> float | None:
    """Return how long a form is infused, where that is not its own time.

    Parameters
    ----------
    form : Form
    method : str
        One of `infusion.METHODS`.
    asked : float, optional
        Minutes that were asked for.

    Returns
    -------
    float or None
        Minutes; None for the form's own.

    Raises
    ------
    PairingError
        For water that would stand warm, without sugar, for hours.
    """
    if method != "water-first":
        return asked
    if asked is not None and asked > LONGEST_IN_WATER_MIN:
        raise PairingError(
            f"{form.label}: {asked:g} minutes in warm water without sugar, where germs grow; give "
            f"at most {LONGEST_IN_WATER_MIN:g}, or steep it in the fridge"
        )
    if asked is None and form.method == "cold-steep":  # its own hours are meant for the fridge
        return FLOWER_IN_WATER_MIN
    return asked


def _silly(catalog: Catalog, form: Form, asked: str) -> str:
    """Why a technique makes no sense for a form; empty if it does."""
    kind, label = catalog.kind(form), form.label
    wet = (form.water_percent or 0.0) >= WET_PERCENT
    if form.method == "stir-in" and "juice" not in form.form and asked != "stir-in":
        return f"{label} goes in whole at the end: there is nothing to infuse and strain out"
    if kind == "tea" and asked in ("simmer", "sealed-bag"):
        return f"{label} turns bitter when it is hot for long; take water-first"
    if kind == "flower" and asked == "simmer":
        return f"{label} loses its scent as it simmers; take water-first or steep"
    if asked == "water-first" and form.form in ("slice", "sugared"):
        return f"{label} are part of the syrup, not an infusion; take simmer or steep, or its peel"
    if asked == "sugar-rub" and not wet:
        return (
            f"{label}: dry, so that sugar draws nothing out of it; rub in peel, zest, fresh herb, "
            "ginger or petals"
        )
    return ""
