"""From the tables to the pot: what a form or a sweetener of the catalogue brings."""

from __future__ import annotations

from pairing.errors import UnknownNameError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.syrup import addition
from pairing.syrup.composition import Masses, Sweetener

__all__ = ["portion_of", "sweetener_of"]

_FRUIT_PARTS: dict[str, addition.Form] = {
    "slice": "slice",
    "juice": "juice",
    "juice-for-water": "juice",
    "peel": "peel",
    "zest": "zest",
}


def portion_of(
    catalog: Catalog, form: Form, g_per_kg: float, per: addition.Per = "kg syrup"
) -> addition.Portion:
    """What a form brings to the pot and carries off, for the ratio calculator.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    g_per_kg : float
        Grams per kilogram of finished syrup (or whatever ``per`` says).
    per : addition.Per
    """
    sweet = catalog.kind(form) == "sweetener"
    if sweet or form.form == "syrup" or (form.method == "stir-in" and "juice" not in form.form):
        # stays in the syrup whole: honey and sugars melt, a powder is stirred in and not strained
        masses = _sweet_masses(catalog, form) if sweet or form.form == "syrup" else None
        water = min(form.water_percent or 0.0, 100.0) / 100.0
        whole = masses or Masses(water=water, insoluble=1.0 - water)
        return addition.Portion(form.form_id, g_per_kg, per, whole, Masses(), 0.0)
    part = _fruit_part(form)
    if part and form.brix_low is not None:
        return addition.fruit(
            form.form_id,
            g_per_kg,
            part,
            water_percent=form.water_percent if form.water_percent is not None else 85.0,
            brix=_middle(form.brix_low, form.brix_high, 11.0),
            acid_percent=_middle(form.acid_percent_low, form.acid_percent_high, 1.0),
            juice_yield_percent=(
                _middle(form.juice_yield_percent_low, form.juice_yield_percent_high, 42.0)
                if part == "slice"
                else None
            ),
            per=per,
        )
    if part and part != "juice":  # peel of a fruit whose juice nobody measured
        return addition.fruit(
            form.form_id, g_per_kg, part,
            water_percent=form.water_percent or 75.0, brix=12.0, acid_percent=0.5, per=per,
        )  # fmt: skip
    cut: addition.Cut = (
        "ground" if form.form == "ground" else ("cracked" if form.form == "cracked" else "whole")
    )
    water = form.water_percent if form.water_percent is not None else 10.0
    return addition.spice(form.form_id, g_per_kg, cut, water_percent=min(water, 95.0), per=per)


def _fruit_part(form: Form) -> addition.Form | None:
    """What part of a fruit a form is, whatever it is used for; None for no fruit."""
    if form.form == "sugared":
        return "peel" if form.brix_low is None else "slice"
    return _FRUIT_PARTS.get(form.form)


def _sweet_masses(catalog: Catalog, form: Form) -> Masses:
    """What 1 g of a sweetener in the pot holds: its sweetener row, else sucrose and its water."""
    for name in (form.form_id, form.ingredient_id):
        try:
            return sweetener_of(catalog.sweetener(name)).masses(1.0)
        except UnknownNameError:
            continue
    for row in catalog.sweeteners.values():
        if row.aroma_ingredient_id == form.ingredient_id:
            return sweetener_of(row).masses(1.0)
    water = min(form.water_percent or 0.0, 100.0) / 100.0
    return Masses(water=water, sucrose=1.0 - water)


def _middle(low: float | None, high: float | None, otherwise: float) -> float:
    if low is None or high is None:
        return otherwise
    return (low + high) / 2.0


def sweetener_of(row: SweetenerRow) -> Sweetener:
    """A catalogue sweetener for the ratio calculator."""
    return Sweetener(
        row.sweetener_id,
        water_percent=row.water_percent,
        sucrose_percent=row.sucrose_percent,
        glucose_percent=row.glucose_percent,
        fructose_percent=row.fructose_percent,
        other_sugars_percent=row.other_sugars_percent,
        polyol_percent=row.polyol_percent,
        acid_percent=row.acid_percent or 0.0,
        ash_percent=row.ash_percent or 0.0,
        sweetness_relative=row.sweetness_relative,
        kcal_per_100g=row.kcal_per_100g,
        other_molar_mass=row.other_molar_mass_g_per_mol,
        other_sweetness=row.other_sweetness,
        other_reading=row.other_reading,
        own_solubility_percent=row.own_solubility_percent,
    )
