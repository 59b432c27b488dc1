"""How a syrup keeps: water activity, acidity, crystals, thickness, and for how many days.

Everything is worked out from the composition (`composition.Masses`). Shelf life is conservative
guidance for a clean kitchen and defers to local rules; nothing here makes a syrup safe at room
temperature.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from pairing.errors import PairingError
from pairing.syrup import sugar
from pairing.syrup.composition import Masses

__all__ = [
    "DISCLAIMER",
    "Cold",
    "Stability",
    "assess",
    "citric_charge",
    "crystallisation_temperature",
    "estimate_ph",
    "inverted_share",
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

FRIDGE_C, ROOM_C = 4.0, 20.0  # of the physics; the advice says STORE_C
STORE_C = 5.0  # Food Code 2022, 3-501.16: 41 °F or colder

# Supersaturation bands.  # recalled from Mathlouthi and Reiser (1995), Sucrose
SEEDS_LIKELY, SPONTANEOUS = 1.1, 1.25

# Viscosity bands [mPa s].  # common practice, no source
POURS_FREELY, POURS_SLOWLY, POURS_LIKE_HONEY = 100.0, 500.0, 2000.0
PUMPS_WELL, PUMPS_AS_SAUCE = 300.0, 1500.0

# Days in a clean bottle in the fridge.  # common practice, no source
DAYS = {"fruit": 5, "spice": 10, "plain": 14, "plain rich": 30}
TCS_DAYS = 7  # Food Code 2022, 3-501.17: food that needs time and temperature control
RICH_BRIX = 64.0  # from here a plain syrup keeps as a rich one  # common practice, no source
MOULD_LIMIT = 0.85  # Food Code 2022, water activity of potentially hazardous food
ACID_LIMIT = 4.2  # Food Code 2022, lowest pH band of interaction table B

DISCLAIMER = (
    "General information: shelf life depends on your kitchen; follow your local food code and "
    "ask a licensed professional."
)


@dataclass(frozen=True, slots=True)
class Cold:
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
        "maltose": c.other_sugars,
        "xylitol": c.polyols,
        "citric-acid": c.acid,
    }
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
        pumps = "will not pump: keep the bottle in use out of the fridge, or warm it"
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
        `safety.needs_control`; when not given, every syrup is taken to.

    Returns
    -------
    Stability

    Raises
    ------
    PairingError
        No water, an unknown kind, or a pH outside 0 to 14.
    """
    _check(composition)
    if kind not in ("plain", "spice", "fruit"):
        raise PairingError(f"kind must be plain, spice or fruit, got {kind!r}")
    if measured_ph is not None and not 0 < measured_ph < 14:
        raise PairingError(f"pH must lie between 0 and 14, got {measured_ph:g}")
    c = composition
    ph = estimate_ph(c, unsoured_ph=unsoured_ph) if measured_ph is None else measured_ph
    spread = PH_UNCERTAINTY if measured_ph is None else 0.0
    activity = water_activity(c)
    fridge, room = _cold(c, FRIDGE_C), _cold(c, ROOM_C)
    days = DAYS["plain rich" if kind == "plain" and c.brix >= RICH_BRIX else kind]
    ph_high = ph
    if measured_ph is None:  # the acid of a syrup without fruit is not citric, unless added
        margin = spread if kind == "fruit" else spread + OTHER_ACID
        ph_high = min(ph + margin, max(ph, unsoured_ph) + spread)
    controlled = needs_control is None or needs_control(activity, ph_high)
    if controlled:
        days = min(days, TCS_DAYS)
    words = [
        f"Keep refrigerated at {STORE_C:g} °C or colder; use within {days} days, the day of "
        "making being day one; label with name and date.",
        _activity_words(activity, ph_high, controlled),
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
    )


def _activity_words(activity: float, ph_high: float, controlled: bool) -> str:
    """Say what water activity and acidity allow; `ph_high` is the cautious end of the estimate."""
    if controlled:
        return (
            f"Water activity {activity:.2f} and pH up to {ph_high:.1f} do not preserve it: treat "
            "it as food that needs time and temperature control, and put it back in the "
            "refrigerator after each use."
        )
    if activity < MOULD_LIMIT:
        return (
            f"Water activity {activity:.2f} slows bacteria, but a wet rim or condensation lets "
            "mould and yeast in: still refrigerate."
        )
    if ph_high <= ACID_LIMIT:
        return (
            f"Water activity {activity:.2f} does not preserve it; the acid (pH up to "
            f"{ph_high:.1f}) holds back bacteria, not mould and yeast."
        )
    return (
        f"Water activity {activity:.2f} and pH up to {ph_high:.1f} hold back bacteria that make "
        "ill, not mould and yeast: still refrigerate."
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
