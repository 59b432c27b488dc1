"""From the tables to the pot: what a form or a sweetener of the catalogue brings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from pairing.aroma import infusion
from pairing.errors import UnknownNameError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.syrup import addition
from pairing.syrup.composition import Masses, Sweetening
from pairing.syrup.exchange import exchanged_share, syrup_taken_up

__all__ = [
    "acid_not_known",
    "is_sour",
    "keeping_kind",
    "portion_of",
    "sap_of",
    "stages_of",
    "sweetener_of",
]

Stages = Sequence[tuple[float, float]]

FRESH_WATER_PERCENT = 40.0  # from here a plant counts as fresh
USUAL_MM = 2.0  # where a form has no thickness
PEEL_BRIX, PEEL_ACID = 12.0, 0.5  # of peel whose sap nobody measured: common practice, no source
LEAFY = ("tea", "flower", "herb", "leaf")
LEAF_HOLD = 3.0  # liquid in spent leaf [g/g], 2.5-4 for tea: common practice, no source
SOAKED = 0.8  # share of the solubles that is out when a dry plant has drunk its fill: estimate

_FRUIT_PARTS: dict[str, addition.Form] = {
    "slice": "slice",
    "juice": "juice",
    "juice-for-water": "juice",
    "peel": "peel",
    "zest": "zest",
}


def _share_of(form: Form, how: str, stages: Stages) -> float:
    """Share of its sap that a form gives: all of what is pressed, else by the exchange law."""
    dried = (form.water_percent or 0.0) < FRESH_WATER_PERCENT
    return exchanged_share(form.particle_mm or USUAL_MM, stages, living=not dried)


def stages_of(
    catalog: Catalog, form: Form, method: str | None = None, minutes: float | None = None
) -> Stages:
    """Return how long a form is wet and how warm.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    method : str, optional
        One of `infusion.METHODS`; the form's own when not given.
    minutes : float, optional
        Of the main stage; the middle of the form's window when not given.

    Returns
    -------
    tuple of (float, float)
        Minutes and temperature [°C] of each stage.
    """
    how = method or form.method or "hot-steep"
    if how == "stir-in":
        return ()
    time = minutes or infusion.kitchen_minutes(infusion.middle_minutes(form))
    boiled = infusion.boiled_first(catalog, form, how)
    stages = infusion.stages_for(how, time, boiled=boiled, added_at_c=infusion.added_at(form))
    return tuple((s.minutes, s.temperature_c) for s in stages)


def portion_of(
    catalog: Catalog,
    form: Form,
    g_per_kg: float,
    per: addition.Per = "kg syrup",
    *,
    method: str | None = None,
    stages: Stages | None = None,
) -> addition.Addition:
    """Return what a form brings to the pot and carries off.

    Sap and solubles come out, and syrup goes in, by one law (`exchange`): the thickness of the
    form, and the minutes and warmth of its stages. Juice, honey and powders go in whole.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    g_per_kg : float
        Grams per kilogram of finished syrup (or whatever ``per`` says).
    per : addition.Per
    method : str, optional
        How it is steeped; the form's own way when not given.
    stages : sequence of (float, float), optional
        Minutes and temperature [°C]; those of the method when not given.

    Returns
    -------
    addition.Addition
    """
    how = method or form.method or "hot-steep"
    sweet = catalog.kind(form) == "sweetener"
    part = _FRUIT_PARTS.get(form.form)
    if sweet or form.form == "syrup" or (how == "stir-in" and part is None):
        # stays in the syrup whole: honey and sugars melt, a powder is stirred in and not strained
        masses = _sweet_masses(catalog, form) if sweet or form.form == "syrup" else None
        whole = masses or _whole(form)
        return addition.Addition(form.form_id, g_per_kg, per, whole, Masses(), 0.0)
    if part == "juice" or how == "stir-in":
        return addition.fruit(
            form.form_id,
            g_per_kg,
            "juice",
            water_percent=100.0,
            brix=_middle(form.brix_low, form.brix_high, 11.0),
            acid_percent=_middle(form.acid_percent_low, form.acid_percent_high, 1.0),
            per=per,
        )
    wet = stages_of(catalog, form, how) if stages is None else stages
    share = _share_of(form, how, wet)
    sap = sap_of(form)
    if (form.water_percent or 0.0) >= FRESH_WATER_PERCENT:
        drinks = syrup_taken_up(form.particle_mm or USUAL_MM, sap.total, share)
    else:
        drinks = _dry_hold(catalog, form) * min(1.0, share / SOAKED)
    early = how == "water-first"  # what it drinks is then water, not syrup
    return addition.steeped(
        form.form_id,
        g_per_kg,
        sap,
        share=share,
        hold_g_per_g=0.0 if early else drinks,
        drinks_water_g_per_g=drinks if early else 0.0,
        per=per,
    )


def sap_of(form: Form) -> Masses:
    """Return what can come out of 1 g of a form: its sap when fresh, its solubles when dry.

    Parameters
    ----------
    form : Form

    Returns
    -------
    Masses
        At most 1 g. What the table does not hold is not known and left out: then the plant
        gives its water only, or nothing.
    """
    water = min(form.water_percent or 0.0, 95.0) / 100.0
    if form.form in ("slice", "peel", "zest", "sugared"):
        brix = _middle(form.brix_low, form.brix_high, PEEL_BRIX) / 100.0
        usual = 1.0 if form.brix_low is not None else PEEL_ACID
        acid = _middle(form.acid_percent_low, form.acid_percent_high, usual) / 100.0
        juice = addition.fruit(
            form.form_id, 0.0, "juice", water_percent=100.0, brix=100 * brix,
            acid_percent=100 * min(acid, brix),
        )  # fmt: skip
        return juice.released * min(1.0, (water or 0.8) / (1.0 - brix))
    soluble = _middle(form.soluble_percent_low, form.soluble_percent_high, 0.0) / 100.0
    acid = _middle(form.acid_percent_low, form.acid_percent_high, 0.0) / 100.0
    fresh = 100.0 * water >= FRESH_WATER_PERCENT
    rest = max(0.0, max(soluble, acid) - acid)
    made = Masses(water=water if fresh else 0.0, soluble=rest, acid=acid)
    return made * min(1.0, 1.0 / made.total) if made.total > 0 else made


def is_sour(catalog: Catalog, form: Form) -> bool:
    """Whether the plant of a form is sour.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    bool
    """
    return "acid" in catalog.ingredients[form.ingredient_id].taste


def acid_not_known(catalog: Catalog, form: Form) -> bool:
    """Whether a sour plant has no figure for its acid, so that the pH is not known either.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    bool
    """
    return is_sour(catalog, form) and form.acid_percent_low is None


def is_fresh(catalog: Catalog, form: Form) -> bool:
    """Whether a form keeps like fruit: citrus, or a plant with its water in it.

    Parameters
    ----------
    catalog : Catalog
    form : Form

    Returns
    -------
    bool
    """
    fresh = (form.water_percent or 0.0) >= FRESH_WATER_PERCENT
    return catalog.kind(form) == "citrus" or fresh


def keeping_kind(catalog: Catalog, forms: Sequence[Form]) -> Literal["plain", "spice", "fruit"]:
    """Return how careful to be with a syrup of these forms, see `keeping.assess`.

    Parameters
    ----------
    catalog : Catalog
    forms : sequence of Form

    Returns
    -------
    Literal['plain', 'spice', 'fruit']
    """
    if not forms:
        return "plain"
    return "fruit" if any(is_fresh(catalog, f) for f in forms) else "spice"


def _whole(form: Form) -> Masses:
    """A powder that stays in: its water and solubles dissolve, the rest floats."""
    water = min(form.water_percent or 0.0, 100.0) / 100.0
    sap = sap_of(form)
    solids = sap.total - sap.water
    return replace(sap, water=water, insoluble=max(0.0, 1.0 - water - solids))


def _dry_hold(catalog: Catalog, form: Form) -> float:
    """Liquid that a soaked dry plant carries off [g/g]."""
    if form.form == "ground":
        return addition.SPICE_HOLD_G_PER_G["ground"]
    if catalog.kind(form) in LEAFY:
        return LEAF_HOLD
    cut = "cracked" if form.form == "cracked" else "whole"
    return addition.SPICE_HOLD_G_PER_G[cut]


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


def sweetener_of(row: SweetenerRow) -> Sweetening:
    """A catalogue sweetener for the ratio calculator.

    Parameters
    ----------
    row : Sweetening
        A row of the sweeteners table.

    Returns
    -------
    Sweetening
    """
    return Sweetening(
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
