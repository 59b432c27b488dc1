"""Mending: it reads this and should read that; another strength, or another sweetener."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from pairing.errors import PairingError
from pairing.syrup import sugar
from pairing.syrup.composition import READS_ACID, Sweetening, checked_grams, checked_percent
from pairing.syrup.pot import Pot, add, dilute, invert
from pairing.syrup.sweetness import sucrose_equivalent

__all__ = [
    "Correction",
    "StrengthSwap",
    "SweetenerSwap",
    "blend_for",
    "blend_syrups",
    "correct_to_brix",
    "reads_low_by",
    "swap_strength",
    "swap_sweetener",
    "sweetness_at",
    "thinned_by",
    "water_to_stay_clear",
]


@dataclass(frozen=True, slots=True)
class Correction:
    """How to bring a batch to a strength: do one of what is not zero.

    Attributes
    ----------
    brix_now, brix_target : float
        True dissolved solids now and wanted [% w/w].
    add_sugar_g, add_water_g, boil_off_g : float
        Choose one [g]; sugar or boiling make it stronger, water makes it weaker.
    mass_after_sugar_g, mass_after_boil_g, mass_after_water_g : float
        What the batch then weighs [g].
    """

    brix_now: float
    brix_target: float
    add_sugar_g: float
    boil_off_g: float
    add_water_g: float
    mass_after_sugar_g: float
    mass_after_boil_g: float
    mass_after_water_g: float


def reads_low_by(sweetener: Sweetening, inverted: float = 0.0) -> float:
    """Return the share of its true strength that a syrup of a sweetener reads low.

    Parameters
    ----------
    sweetener : Sweetening
        Honey and invert syrup read low, starch syrup reads high.
    inverted : float
        Share of its sucrose that acid and heat split, 0 to 1.

    Returns
    -------
    float
        0.02 for honey; below 0 where it reads high.

    Raises
    ------
    PairingError
        A share outside 0 to 1, or a sweetener without solids.
    """
    pot = invert(add(dilute(Pot(), 100.0), sweetener.masses(100.0)), inverted)
    if not pot.liquid.dissolved > 0:
        raise PairingError(f"{sweetener.name} holds no solids to read")
    return 1.0 - pot.liquid.reading_brix / pot.liquid.brix


def thinned_by(mass_g: float, mass_after_g: float) -> float:
    """Return the share by which spice, acid and aroma thin as sugar or water is added.

    Parameters
    ----------
    mass_g, mass_after_g : float
        The batch before and after [g].

    Returns
    -------
    float
        0.2 where 1000 g become 1257 g.
    """
    return max(0.0, 1.0 - mass_g / mass_after_g) if mass_after_g > 0 else 0.0


def correct_to_brix(
    mass_g: float,
    reading: float,
    target: float,
    *,
    temperature_c: float = 20.0,
    acid_percent: float = 0.0,
    compensated: bool = True,
    reads_low: float = 0.0,
) -> Correction:
    """Return how to bring a batch from a refractometer reading to a target.

    Parameters
    ----------
    mass_g : float
        Syrup in the pot [g].
    reading, target : float
        Reading and wanted true strength [°Bx].
    temperature_c : float
        Sample temperature [°C]; used if the instrument does not compensate by itself.
    acid_percent : float
        Acid in the syrup as citric [% w/w], which reads 0.2 °Bx low per percent.
    compensated : bool
        The instrument corrects for temperature by itself.
    reads_low : float
        Share of its true strength that such a syrup reads low, see `reads_low_by`.

    Returns
    -------
    Correction

    Raises
    ------
    PairingError
        A target that sugar cannot dissolve to, or numbers out of range.
    """
    mass = checked_grams("batch", mass_g, 0.01)
    for what, value in (("reading", reading), ("target", target)):
        if not (math.isfinite(value) and 0 <= value <= 85):
            raise PairingError(f"{what} must be 0 to 85 °Bx, got {value:g}")
    top = float(sugar.solubility(100.0))
    if not 0 < target <= top:
        raise PairingError(f"target must be above 0 and at most {top:.1f} °Bx, got {target:g}")
    if not -0.1 < reads_low < 0.1:
        raise PairingError(f"a syrup reads at most a tenth low or high, got {reads_low:g}")
    now = reading - READS_ACID * checked_percent("acid", acid_percent)
    if not compensated:
        now += float(sugar.refractometer_correction(reading, temperature_c))
    now /= 1.0 - reads_low
    b, t = min(max(now, 0.0), 100.0) / 100.0, target / 100.0
    add_sugar = mass * max(0.0, t - b) / (1.0 - t)
    boil_off = mass * max(0.0, 1.0 - b / t) if b > 0 else 0.0
    add_water = mass * max(0.0, b / t - 1.0)
    return Correction(
        100.0 * b,
        target,
        add_sugar,
        boil_off,
        add_water,
        mass + add_sugar,
        mass - boil_off,
        mass + add_water,
    )


def blend_syrups(first_g: float, first_brix: float, second_g: float, second_brix: float) -> float:
    """Return the °Bx of two syrups poured together [% w/w].

    Parameters
    ----------
    first_g : float
        Grams of the first.
    first_brix : float
        Strength of the first [% w/w].
    second_g : float
        Grams of the second.
    second_brix : float
        Strength of the second [% w/w].

    Returns
    -------
    float

    Raises
    ------
    PairingError
        For masses or strengths out of range, and for no syrup at all.
    """
    a, b = checked_grams("first syrup", first_g), checked_grams("second syrup", second_g)
    if not a + b > 0:
        raise PairingError("a blend needs more than 0 g of syrup")
    solids = a * checked_percent("first °Bx", first_brix) + b * checked_percent(
        "second °Bx", second_brix
    )
    return solids / (a + b)


def blend_for(
    total_g: float, target_brix: float, first_brix: float, second_brix: float
) -> tuple[float, float]:
    """Return the grams of two syrups that make `total_g` of a target strength.

    Parameters
    ----------
    total_g : float
        Grams wanted.
    target_brix : float
        Wanted strength [% w/w].
    first_brix : float
        Strength of the first [% w/w].
    second_brix : float
        Strength of the second [% w/w].

    Returns
    -------
    tuple[float, float]

    Raises
    ------
    PairingError
        If the target does not lie between the two.
    """
    total = checked_grams("blend", total_g, 0.01)
    low, high = sorted(
        (checked_percent("first °Bx", first_brix), checked_percent("second °Bx", second_brix))
    )
    if not low <= target_brix <= high or low == high:
        raise PairingError(
            f"{target_brix:g} °Bx does not lie between {low:g} and {high:g} °Bx; "
            f"the nearest is {min(max(target_brix, low), high):g}"
        )
    share = (target_brix - second_brix) / (first_brix - second_brix)
    return total * share, total * (1.0 - share)


@dataclass(frozen=True, slots=True)
class StrengthSwap:
    """Another strength of syrup in a drink, sugar and water kept.

    Attributes
    ----------
    syrup_g : float
        Grams of the new syrup.
    drink_water_change_g : float
        Water to add to (or, negative, leave out of) the drink [g].
    """

    syrup_g: float
    drink_water_change_g: float


def swap_strength(
    syrup_g: float, from_brix: float, to_brix: float, drink_water_g: float | None = None
) -> StrengthSwap:
    """Replace a syrup by another strength so that the sugar and the water of a drink stay.

    Parameters
    ----------
    syrup_g : float
        Syrup in the drink now [g].
    from_brix, to_brix : float
        Strengths [% w/w]; a plain s:1 syrup is 100 s/(s + 1).
    drink_water_g : float, optional
        Other water in the drink (water, soda, ice) that can be left out [g].

    Returns
    -------
    StrengthSwap

    Raises
    ------
    PairingError
        If the drink has less water than would have to be left out.
    """
    grams = checked_grams("syrup", syrup_g)
    b1, b2 = checked_percent("°Bx", from_brix) / 100.0, checked_percent("new °Bx", to_brix) / 100.0
    if not (b1 > 0 and b2 > 0):
        raise PairingError("both strengths must be above 0 °Bx")
    new = grams * b1 / b2
    change = grams * (1.0 - b1) - new * (1.0 - b2)
    if drink_water_g is not None and change < -checked_grams("water", drink_water_g):
        least = 100.0 * grams * b1 / (grams + drink_water_g)
        raise PairingError(
            f"the drink would have to lose {-change:.1f} g of water and has {drink_water_g:g} g: "
            f"the new syrup must be at least {least:.1f} °Bx"
        )
    return StrengthSwap(new, change)


@dataclass(frozen=True, slots=True)
class SweetenerSwap:
    """Another sweetener in place of one.

    Attributes
    ----------
    grams : float
        Grams of the new sweetener.
    water_change_g : float
        Water to add (or, negative, leave out) so that the water of the batch stays [g].
    sweetness_change : float
        Relative change of sweetness, 0 if kept.
    solids_change_g : float
        Change of dissolved solids [g], 0 if kept.
    """

    grams: float
    water_change_g: float
    sweetness_change: float
    solids_change_g: float


def sweetness_at(sweetener: Sweetening, at_c: float) -> float:
    """Return the sweetness of a gram against a gram of sucrose at a temperature.

    Parameters
    ----------
    sweetener : Sweetening
    at_c : float
        [°C]; the table's figure holds at 20.

    Returns
    -------
    float
    """
    held = sweetener.masses(100.0)
    usual = sucrose_equivalent(held, 20.0)
    if not usual > 0:
        return sweetener.sweetness_relative
    return sweetener.sweetness_relative * sucrose_equivalent(held, at_c) / usual


def water_to_stay_clear(sweetener: Sweetening, grams: float) -> float:
    """Return the water that keeps a sweetener dissolved at 20 °C by itself.

    Parameters
    ----------
    sweetener : Sweetening
    grams : float
        Of the sweetener [g].

    Returns
    -------
    float
        [g]; 0 for one that does not crystallise by itself.
    """
    top = sweetener.own_solubility_percent
    if top is None:
        return 0.0
    return grams * sweetener.solids_percent / 100.0 * (100.0 - top) / top


def swap_sweetener(
    old: Sweetening,
    grams: float,
    new: Sweetening,
    keep: Literal["sweetness", "solids"],
    at_c: float = 20.0,
) -> SweetenerSwap:
    """Replace one sweetener by another at equal sweetness or equal dissolved solids.

    Parameters
    ----------
    old, new : Sweetening
        What is replaced, and by what.
    grams : float
        Grams of `old`.
    keep : str
        ``sweetness`` or ``solids``.
    at_c : float
        Temperature at which it is drunk [°C]: fructose is sweeter cold.

    Returns
    -------
    SweetenerSwap

    Raises
    ------
    PairingError
        Unknown `keep`, or a sweetener without solids.
    """
    if keep not in ("sweetness", "solids"):
        raise PairingError(f"keep must be sweetness or solids, got {keep!r}")
    old_g = checked_grams(old.name, grams)
    if keep == "sweetness":
        new_g = old_g * sweetness_at(old, at_c) / sweetness_at(new, at_c)
    else:
        if not new.solids_percent > 0:
            raise PairingError(f"{new.name} holds no solids")
        new_g = old_g * old.solids_percent / new.solids_percent
    before, after = old.masses(old_g), new.masses(new_g)
    was = old_g * sweetness_at(old, at_c)
    sweet = new_g * sweetness_at(new, at_c) / was if old_g else 1.0
    return SweetenerSwap(
        new_g, before.water - after.water, sweet - 1.0, after.dissolved - before.dissolved
    )
