"""How a syrup keeps: water activity, acidity, crystals, thickness, and for how many days.

Everything is worked out from the composition (`composition.Masses`). Shelf life is conservative
guidance for a clean kitchen and defers to local rules; nothing here makes a syrup safe at room
temperature.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal, NamedTuple

from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.safety.allergens import allergen_findings, unknown_allergens
from pairing.safety.amounts import portion, sweetener_portion
from pairing.safety.food_code import needs_control
from pairing.syrup import sugar
from pairing.syrup.brought import acid_not_known, is_sour, keeping_kind
from pairing.syrup.composition import Masses

__all__ = [
    "DISCLAIMER",
    "Cold",
    "Stability",
    "acid_for_ph",
    "assess",
    "citric_charge",
    "estimate_ph",
    "inverted_share",
    "of_syrup",
    "water_activity",
]

Kind = Literal["plain", "spice", "fruit"]

# Citric acid at 25 °C and infinite dilution: pK and enthalpy [kJ/mol].
# Benezeth, Palmer and Wesolowski (1997), J. Solution Chem. 26, 63-84.
CITRIC_PK = (3.127, 4.759, 6.397)
CITRIC_ENTHALPY = (4.1, 2.2, -3.6)
CITRIC_MOLAR_MASS = 192.12  # g/mol, anhydrous
WATER_PK = 13.995  # CRC Handbook, 25 °C

# Charge of the minerals that keep part of a juice's acid as salt [mol/g ash]: orange juice with
# K 200, Ca 11, Mg 11 mg and ash 0.4 g in 100 g (USDA SR28) -> 6.5 mmol less 1 mmol of phosphate
# and chloride.  # computed from USDA SR28
CATIONS_PER_G_ASH = 0.0137
PH_UNCERTAINTY = 0.3  # of the estimate, syrup against dilute theory  # common practice, no source
OTHER_ACID = 0.6  # more, where the acid may be honey's gluconic acid: see `estimate_ph`
PH_OF_SUGAR_WATER = 6.5  # no acid, no minerals: dissolved air and traces  # common practice

# What stands for other sugars and polyols in the water activity, by their molecules [g/mol].
MOLAR_MASS = {"glucose": 180.16, "maltose": 342.30, "xylitol": 152.15}  # CRC Handbook
LONG_SUGAR_G_PER_MOL = 250.0  # between a simple and a double sugar
FRIDGE_C, ROOM_C = 4.0, 20.0  # of the physics; the advice says STORE_C
STORE_C = 5.0  # Food Code 2022, 3-501.16: 41 °F or colder

# Supersaturation bands.  # recalled from Mathlouthi and Reiser (1995), Sucrose
SEEDS_LIKELY, SPONTANEOUS = 1.1, 1.25

# Viscosity bands [mPa s].  # common practice, no source
POURS_FREELY, POURS_SLOWLY, POURS_LIKE_HONEY = 100.0, 500.0, 2000.0
PUMPS_WELL, PUMPS_AS_SAUCE = 300.0, 1500.0

# The estimate of water activity, syrup against theory: what plants add is not known (our choice).
AW_MARGIN = 0.015
# A closed bottle of low-acid syrup, left warm: botulinum grows above pH 4.6 (21 CFR 114.3) and a
# water activity of about 0.935 (FDA fish guide, appendix 4, from memory), less a margin.
BOTULINUM_PH, BOTULINUM_AW = 4.6, 0.92
ACIDIFY_TO = 4.2  # by meter: the lowest band of Food Code Table B
NUT_DAYS = 7  # nut, dairy and egg bring fat, protein and particles that sugar does not hold
OPENED_DAYS = 7  # in use, opened daily  # our habit, no source
PH_OF_PLANTS = 6.8  # of plants without acid of their own  # common practice, no source
PLANT_ASH = 0.10  # minerals of plants at their most [g/g dry]: herbs 8-12 %, from memory
HOT_HOLDING_C = {"us": 57.0, "eu": 63.0, "uk": 63.0, "": 63.0}
# US: Food Code 2022, 3-501.16; UK: Food Safety and Hygiene (England) Regulations 2013, schedule 4;
# EU: no figure in Regulation (EC) No 852/2004, many member states use 63 to 65 (from memory)
COUNTER_WORDS = {
    "us": "4 hours, then discard (Food Code 3-501.19, with a written procedure)",
    "uk": "once, 4 hours above 8 °C, then discard (2013 Regulations, schedule 4)",
    "eu": "4 hours, then discard (our habit: the EU gives no figure, your member state may)",
    "": "4 hours, then discard (US Food Code 3-501.19; UK once, above 8 °C)",
}

# Days in a clean bottle in the fridge.  # common practice, no source
DAYS = {"fruit": 5, "spice": 10, "plain": 14, "plain rich": 30}
TCS_DAYS = 7  # Food Code 2022, 3-501.17: food that needs time and temperature control
RICH_BRIX = 64.0  # from here a plain syrup keeps as a rich one  # common practice, no source
MOULD_LIMIT = 0.85  # Food Code 2022, water activity of potentially hazardous food
ACID_LIMIT = 4.2  # Food Code 2022, lowest pH band of interaction table B

DISCLAIMER = (
    "General information: shelf life depends on your kitchen; follow your local food code and "
    "ask your environmental health officer or a process authority."
)


class Cold(NamedTuple):
    """A syrup at one storage temperature.

    Attributes
    ----------
    temperature_c : float
        Temperature [°C].
    supersaturation : float
        Sucrose : water over that of the saturated solution; above 1 crystals can grow.
    viscosity_mpa_s : float
        Viscosity [mPa s]; of 75 °Bx if stronger.
    crystals, pours, pumps : str
        What will happen, in words.
    """

    temperature_c: float
    supersaturation: float
    viscosity_mpa_s: float
    crystals: str
    pours: str
    pumps: str


@dataclass(frozen=True, slots=True)
class Stability:
    """How a syrup keeps.

    Attributes
    ----------
    brix : float
        True dissolved solids [% w/w].
    water_activity : float
        At 25 °C [-].
    ph, ph_uncertainty : float
        Estimate and its half width; 0 if measured.
    titratable_acidity_percent : float
        As citric acid [% w/w].
    crystallisation_temperature_c : float or None
        Below it sucrose can crystallise [°C]; None if only below -13 °C.
    fridge, room : Cold
        At 4 and 20 °C.
    storage : str
        ``refrigerate`` always; the class in words.
    days : int
        What to write on the label, the day of making being day one.
    opened_days : int
        In use, the day of opening being day one; never past ``days``.
    water_activity_high, ph_high : float
        The cautious ends, which decide.
    controlled : bool
        Whether it needs time and temperature control for safety.
    low_acid : bool
        Whether a closed bottle left warm could grow botulinum toxin: never sealed hot.
    whose_days : str
        Whose figure the days are, and why.
    words : tuple of str
        Advice for a person, most important first; ends with the disclaimer.
    """

    brix: float
    water_activity: float
    ph: float
    ph_uncertainty: float
    titratable_acidity_percent: float
    crystallisation_temperature_c: float | None
    fridge: Cold
    room: Cold
    storage: str
    days: int
    words: tuple[str, ...]
    opened_days: int = TCS_DAYS
    water_activity_high: float = 1.0
    ph_high: float = 14.0
    controlled: bool = True
    low_acid: bool = True
    whose_days: str = ""


def bisect(rising: Callable[[float], float], low: float, high: float) -> float:
    """Return the root of a rising function between `low` and `high`."""
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if rising(middle) > 0 else (middle, high)
    return 0.5 * (low + high)


def _check(composition: Masses) -> None:
    if not (math.isfinite(composition.total) and composition.water > 0):
        raise PairingError("a syrup needs water: give a composition with water above 0 g")


def water_activity(composition: Masses, temperature_c: float = 25.0) -> float:
    """Return the water activity of a syrup.

    Parameters
    ----------
    composition : Masses
        The syrup [g]. Polyols count as xylitol, other sugars as maltose, other dissolved
        solids as glucose.
    temperature_c : float
        Temperature [°C].

    Returns
    -------
    float
        Water activity [-].

    Raises
    ------
    PairingError
        No water.

    References
    ----------
    `sugar.water_activity_of_mixture`.
    """
    _check(composition)
    c = composition
    solutes = {
        "sucrose": c.sucrose,
        "glucose": c.glucose + c.soluble + c.ash,
        "fructose": c.fructose,
        "maltose": 0.0,
        "xylitol": 0.0,
        "citric-acid": c.acid,
    }
    special = c.other_sugars + c.polyols
    if special > 0 and c.other_mol > 0:  # by its molecules: allulose is no maltose
        like = "maltose" if special / c.other_mol >= LONG_SUGAR_G_PER_MOL else "glucose"
        like = "xylitol" if c.polyols > c.other_sugars else like
        solutes[like] += c.other_mol * MOLAR_MASS[like]
    return sugar.water_activity_of_mixture(c.water, solutes, temperature_c)


def citric_charge(ph: float, temperature_c: float = 25.0) -> float:
    """Return the mean number of charges on citrate.

    Parameters
    ----------
    ph : float
        pH.
    temperature_c : float
        Temperature [°C], 0 to 110.

    Returns
    -------
    float
        Charges per molecule, 0 to 3.

    References
    ----------
    Benezeth et al. (1997), J. Solution Chem. 26, 63-84 (constants and enthalpies).
    """
    inverse = 1.0 / (temperature_c + sugar.ZERO_C) - 1.0 / 298.15
    steps = [1.0]
    for pk, enthalpy in zip(CITRIC_PK, CITRIC_ENTHALPY, strict=True):
        warm = pk + 1000.0 * enthalpy / (math.log(10.0) * sugar.GAS_CONSTANT) * inverse
        steps.append(steps[-1] * 10.0 ** (ph - warm))
    return float(sum(i * x for i, x in enumerate(steps)) / sum(steps))


def estimate_ph(
    composition: Masses, temperature_c: float = 25.0, unsoured_ph: float = PH_OF_SUGAR_WATER
) -> float:
    """Return the pH of a syrup or juice from its acid and minerals.

    Parameters
    ----------
    composition : Masses
        The syrup [g]; `acid` is titratable acid as citric, `ash` the dissolved minerals.
    temperature_c : float
        Temperature [°C], 0 to 110.
    unsoured_ph : float
        pH without the acid, that of the sweetener; the most that is returned.

    Returns
    -------
    float
        pH, good to about 0.3 for citrus (honey, whose acid is gluconic, reads 0.6 higher);
        measure where it matters.

    Raises
    ------
    PairingError
        No water.

    Notes
    -----
    Charge balance of citric acid, H+, OH- and the cations of the minerals, in mol per kg of
    water. Titration to pH 8.2 counts the free acid only, so that the citrate in all is
    (titratable + cations)/3.

    References
    ----------
    Benezeth et al. (1997), J. Solution Chem. 26, 63-84 (constants and enthalpies).
    """
    _check(composition)
    free = 3.0 * composition.acid / CITRIC_MOLAR_MASS / composition.water * 1000.0
    cations = CATIONS_PER_G_ASH * composition.ash / composition.water * 1000.0
    if free < 1e-6:
        return unsoured_ph
    citrate = (free + cations) / 3.0

    def balance(ph: float) -> float:
        charge = citrate * citric_charge(ph, temperature_c)
        return float(charge + 10.0 ** (ph - WATER_PK) - 10.0**-ph - cations)

    return min(bisect(balance, 0.0, 12.0), unsoured_ph)


def acid_for_ph(composition: Masses, ph: float) -> float:
    """Return the acid that a syrup of so much water and minerals holds at a pH.

    Parameters
    ----------
    composition : Masses
        The syrup [g]; its own acid does not count.
    ph : float
        pH at 25 °C.

    Returns
    -------
    float
        Titratable acid as citric [g]; the inverse of `estimate_ph`, 0 at the least.

    Raises
    ------
    PairingError
        No water.
    """
    _check(composition)
    cations = CATIONS_PER_G_ASH * composition.ash / composition.water * 1000.0
    protons = 10.0**-ph - 10.0 ** (ph - WATER_PK)
    free = 3.0 * (cations + protons) / citric_charge(ph) - cations
    return float(max(0.0, free / 3.0 * CITRIC_MOLAR_MASS * composition.water / 1000.0))


def inverted_share(composition: Masses, minutes: float, temperature_c: float = 100.0) -> float:
    """Return the share of the sucrose that cooking inverts, for `pot.Cook.inverted`.

    Parameters
    ----------
    composition : Masses
        The liquid in the pot [g].
    minutes : float
        Time at temperature [min].
    temperature_c : float
        Temperature [°C].

    Returns
    -------
    float
        Fraction [-]; about 0.1 to 0.25 for 15 min at pH 3.2.

    Raises
    ------
    PairingError
        For a syrup without water, or a time or temperature out of range.
    """
    ph = min(max(estimate_ph(composition), 2.0), 8.0)
    return float(sugar.inversion_fraction(ph, temperature_c, minutes, min(composition.brix, 85.0)))


def _supersaturation(composition: Masses, temperature_c: float) -> float:
    other = composition.dissolved - composition.sucrose
    return float(
        sugar.supersaturation(composition.sucrose, composition.water, temperature_c, other)
    )


def crystallisation_temperature(composition: Masses) -> float | None:
    """Return the temperature below which sucrose can crystallise.

    Parameters
    ----------
    composition : Masses
        The syrup [g].

    Returns
    -------
    float or None
        Temperature [°C], 100 at most; None if it lies below -13 °C.
    """
    _check(composition)
    if _supersaturation(composition, -13.0) < 1.0:
        return None
    if _supersaturation(composition, 100.0) > 1.0:
        return 100.0
    return bisect(lambda t: 1.0 - _supersaturation(composition, t), -13.0, 100.0)


def _cold(composition: Masses, temperature_c: float) -> Cold:
    s = _supersaturation(composition, temperature_c)
    purity = composition.sucrose / composition.dissolved if composition.dissolved else 1.0
    thick = float(sugar.viscosity(min(composition.brix, 75.0), temperature_c, purity))
    if s <= 1.0:
        crystals = "stays clear"
    elif s <= SEEDS_LIKELY:
        crystals = "can grow crystals from a sugary rim or a stray grain"
    elif s <= SPONTANEOUS:
        crystals = "is likely to throw crystals in storage"
    else:
        crystals = "will throw crystals"
    if thick <= POURS_FREELY:
        pours = "pours freely"
    elif thick <= POURS_SLOWLY:
        pours = "pours slowly, like oil"
    elif thick <= POURS_LIKE_HONEY:
        pours = "thick, pours like runny honey"
    else:
        pours = "too thick to pour cleanly: warm it first"
    if thick <= PUMPS_WELL:
        pumps = "runs through a standard pump"
    elif thick <= PUMPS_AS_SAUCE:
        pumps = "needs a sauce pump, short strokes"
    else:
        pumps = "will not pump cold: decant a little and warm that, the bottle stays cold"
    return Cold(temperature_c, s, thick, crystals, pours, pumps)


def _invert_share_for_fridge(composition: Masses) -> float:
    """Return the share of the sucrose to swap for invert solids to stay clear at 4 °C."""

    def swapped(share: float) -> float:
        moved = composition.sucrose * share
        syrup = replace(
            composition,
            sucrose=composition.sucrose - moved,
            glucose=composition.glucose + moved / 2.0,
            fructose=composition.fructose + moved / 2.0,
        )
        return 1.0 - _supersaturation(syrup, FRIDGE_C)

    return bisect(swapped, 0.0, 1.0)


def assess(
    composition: Masses,
    kind: Kind = "plain",
    measured_ph: float | None = None,
    unsoured_ph: float = PH_OF_SUGAR_WATER,
    needs_control: Callable[[float, float], bool] | None = None,
    measured_aw: float | None = None,
    most_ph: float | None = None,
    capped: str = "",
    known_acid: bool = False,
    typical_ph: float | None = None,
    market: str = "",
) -> Stability:
    """Return how a syrup keeps.

    Parameters
    ----------
    composition : Masses
        The finished syrup [g], see `balance.Batch.composition`.
    kind : str
        ``fruit`` if any fruit, juice, peel or fresh herb went in, ``spice`` for dried spice
        alone, ``plain`` for sugar and water.
    measured_ph : float, optional
        pH by meter, instead of the estimate.
    unsoured_ph : float
        pH of the sweetener, for a syrup without acid.

    needs_control : callable, optional
        Whether a water activity and pH need time and temperature control, such as
        `food_code.needs_control`; when not given, every syrup is taken to.
    measured_aw : float, optional
        Water activity by meter [-], instead of the estimate and its margin.
    most_ph : float, optional
        Highest pH of a sweetener or sour plant whose acid is not known.
    capped : str
        ``nut``, ``dairy`` or ``egg``: seven days at most whatever the sugar.
    known_acid : bool
        The acid was weighed in, so that it is no guess what acid it is.
    typical_ph : float, optional
        Of a sweetener that brings the only acid, in place of the estimate for citric acid.
    market : str
        ``eu``, ``uk`` or ``us``, for counter time and hot holding.

    Returns
    -------
    Stability

    Raises
    ------
    PairingError
        No water, an unknown kind, a pH outside 0 to 14, a water activity outside 0 to 1.
    """
    _check(composition)
    if measured_aw is not None and not 0 < measured_aw <= 1:
        raise PairingError(f"water activity must lie between 0 and 1, got {measured_aw:g}")
    if kind not in ("plain", "spice", "fruit"):
        raise PairingError(f"kind must be plain, spice or fruit, got {kind!r}")
    if measured_ph is not None and not 0 < measured_ph < 14:
        raise PairingError(f"pH must lie between 0 and 14, got {measured_ph:g}")
    c = composition
    guess = typical_ph or estimate_ph(c, unsoured_ph=unsoured_ph)
    ph = guess if measured_ph is None else measured_ph
    spread = PH_UNCERTAINTY if measured_ph is None else 0.0
    activity = water_activity(c) if measured_aw is None else measured_aw
    activity_high = activity if measured_aw is not None else min(1.0, activity + AW_MARGIN)
    fridge, room = _cold(c, FRIDGE_C), _cold(c, ROOM_C)
    rich = kind == "plain" and c.brix >= RICH_BRIX
    days = DAYS["plain rich" if rich else kind]
    ph_high = ph
    if measured_ph is None:  # the acid of a syrup without fruit is not citric, unless added
        margin = spread if kind == "fruit" or known_acid else spread + OTHER_ACID
        ph_high = min(ph + margin, max(ph, unsoured_ph) + spread)
        ph_high = max(ph_high, most_ph or 0.0)
    controlled = needs_control is None or needs_control(activity_high, ph_high)
    low_acid = ph_high > BOTULINUM_PH and activity_high > BOTULINUM_AW
    whose = _whose_days(kind, days, controlled, capped)
    if controlled:
        days = min(days, TCS_DAYS)
    if capped:
        days = min(days, NUT_DAYS)
    opened = min(days, OPENED_DAYS)
    words = [LOW_ACID_WORDS] if low_acid else []
    words += [
        f"Keep refrigerated at {STORE_C:g} °C or colder; use within {days} days, the day of "
        f"making being day one ({whose}), {opened} at most once opened; label with name and date.",
        _activity_words(activity_high, ph_high, controlled),
        f"On the counter: {COUNTER_WORDS[market]}. Held hot: {HOT_HOLDING_C[market]:g} °C or "
        "more; the boil does not kill the spores that spices carry.",
    ]
    if fridge.supersaturation > 1.0:
        words.append(_crystal_words(c, fridge))
    words.append(
        f"In the fridge it {fridge.pours}"
        if fridge.pours.startswith("pours")
        else f"In the fridge it is {fridge.pours}"
    )
    words[-1] += f" ({fridge.viscosity_mpa_s:.0f} mPa s) and {fridge.pumps}."
    words.append("Throw it out if it clouds, fizzes, smells of yeast or grows a skin.")
    words.append(LONGER)
    words.append(DISCLAIMER)
    return Stability(
        brix=c.brix,
        water_activity=activity,
        ph=ph,
        ph_uncertainty=spread,
        titratable_acidity_percent=c.acid_percent,
        crystallisation_temperature_c=crystallisation_temperature(c),
        fridge=fridge,
        room=room,
        storage=f"refrigerate, {'short' if days <= 7 else 'medium' if days <= 14 else 'longer'}",
        days=days,
        words=tuple(words),
        opened_days=opened,
        water_activity_high=activity_high,
        ph_high=ph_high,
        controlled=controlled,
        low_acid=low_acid,
        whose_days=whose,
    )


LOW_ACID_WORDS = (
    "Low in acid: a closed bottle left warm can grow botulinum toxin, so it is never sealed hot. "
    "Refrigerate at once, or acidify below pH 4.2 by meter, or make it stronger (2:1)."
)
LONGER = (
    "Longer than this, or sold off the premises: your authority first; pH meter, refractometer and "
    "a challenge test show how long."
)


def _whose_days(kind: Kind, days: int, controlled: bool, capped: str) -> str:
    """Whose figure the days are: law, our habit, and why."""
    if capped and days > NUT_DAYS:
        return f"our habit for {capped}: fat and protein that sugar does not hold"
    if controlled and days >= TCS_DAYS:
        return "Food Code 3-501.17: it needs cold holding"
    if kind == "fruit":
        law = "the Food Code allows 7" if controlled else "the Food Code asks none here"
        return f"our habit, because of yeast; {law}"
    return "our habit; the Food Code asks none here"


def of_syrup(
    catalog: Catalog,
    composition: Masses,
    forms: Sequence[Form],
    sweetener_ids: Sequence[str] = (),
    *,
    acidified_plants_g: float | None = None,
    measured_ph: float | None = None,
    measured_aw: float | None = None,
) -> Stability:
    """Return how a syrup of these plants and sweeteners keeps, in the market of the catalogue.

    Parameters
    ----------
    catalog : Catalog
    composition : Masses
        The finished syrup [g].
    forms : sequence of Form
        Plants that were steeped in it.
    sweetener_ids : sequence of str
        Ids of the catalogue; the highest pH that each is sold at counts.
    acidified_plants_g : float, optional
        Where an acid was weighed in, the dry matter of the plants beside it: that acid then sets
        the pH, and what the plants buffer is counted at its most.
    measured_ph, measured_aw : float, optional
        By a bar's own meters.

    Returns
    -------
    Stability

    Raises
    ------
    PairingError
        For a syrup without water, or a measured pH or water activity out of range.
    """
    kind = keeping_kind(catalog, forms)
    rows = [catalog.sweeteners[i] for i in sweetener_ids if i in catalog.sweeteners]
    capped = _capped(catalog, forms, sweetener_ids)
    most = [f.ph_high for f in forms if f.ph_high is not None and acid_not_known(catalog, f)]
    own_acid = any(r.acid_percent for r in rows)
    by_powder = acidified_plants_g is not None and not capped and not own_acid
    if by_powder:
        minerals = composition.ash + PLANT_ASH * (acidified_plants_g or 0.0)
        most.append(estimate_ph(replace(composition, ash=minerals)) + PH_UNCERTAINTY)
    sour = by_powder or any(_sours(catalog, f) for f in forms)
    if not sour:  # traces of acid make no sour syrup
        most += [f.ph_high or PH_OF_PLANTS for f in forms]
        most += [r.ph_high or PH_OF_PLANTS for r in rows]
    return assess(
        composition,
        kind,
        measured_ph=measured_ph,
        unsoured_ph=min(PH_OF_SUGAR_WATER, max((r.ph or 7.0 for r in rows), default=7.0)),
        needs_control=partial(needs_control, catalog),
        measured_aw=measured_aw,
        most_ph=max(most, default=None),
        capped=capped,
        known_acid=by_powder,
        typical_ph=rows[0].ph if own_acid and not sour else None,
        market=catalog.market,
    )


def _sours(catalog: Catalog, form: Form) -> bool:
    """Whether a form brings acid enough to set the pH of a syrup: citrus flesh, hibiscus."""
    if not form.acid_percent_low:
        return False
    sour = form.ph_high is not None and form.ph_high <= BOTULINUM_PH
    return (
        sour or catalog.kind(form) == "citrus" or (form.ph_high is None and is_sour(catalog, form))
    )


UNSTATED = "what nobody has stated (it may hold nut, milk or egg)"
_SPOILS = {
    "tree-nuts": "nut",
    "peanuts": "nut",
    "sesame": "nut",
    "coconut": "nut",
    "milk": "dairy",
    "eggs": "egg",
}


def _capped(catalog: Catalog, forms: Sequence[Form], sweetener_ids: Sequence[str]) -> str:
    """What spoils in it, by what is known or stated of allergens; what is not known may."""
    used = [portion(catalog, f) for f in forms]
    used += [sweetener_portion(catalog, i) for i in sweetener_ids]
    found = allergen_findings(catalog, used)
    for f in found:
        word = _SPOILS.get(f.row_id.partition(":")[0]) if f.code == "allergen" else None
        if word and "cross-reaction" not in f.lists:
            return word
    if any(catalog.kind(f) == "nut" for f in forms):
        return "nut"
    return UNSTATED if unknown_allergens(found) else ""


def _activity_words(activity: float, ph_high: float, controlled: bool) -> str:
    """Say what water activity and acidity allow; both are the cautious ends."""
    head = f"Water activity up to {activity:.3f}"
    if controlled:
        return (
            f"{head} and pH up to {ph_high:.1f} do not preserve it: treat it as food that needs "
            "time and temperature control, and put it back in the refrigerator after each use."
        )
    if activity < MOULD_LIMIT:
        return (
            f"{head} slows bacteria, but a wet rim or condensation lets mould and yeast in: still "
            "refrigerate."
        )
    if ph_high <= ACID_LIMIT:
        return (
            f"{head} does not preserve it; the acid (pH up to {ph_high:.1f}) holds back bacteria, "
            "not mould and yeast."
        )
    return (
        f"{head} and pH up to {ph_high:.1f} hold back bacteria that make ill, not mould and yeast: "
        "still refrigerate."
    )


def _crystal_words(composition: Masses, fridge: Cold) -> str:
    """Say what the fridge does to a supersaturated syrup and the smallest change against it."""
    over = 100.0 * (fridge.supersaturation - 1.0)
    share = 100.0 * _invert_share_for_fridge(composition)
    extra = composition.water * (fridge.supersaturation - 1.0) / composition.total
    return (
        f"In the fridge it holds {over:.0f} % more sugar than stays dissolved: it "
        f"{fridge.crystals}. Add {1000.0 * extra:.0f} g of water per kg, or make {share:.0f} % of "
        "the sugar glucose or invert syrup (solids); wipe the rim, and warm to redissolve."
    )
