"""Dose: how much of an ingredient makes it as loud beside the coffee as asked.

Through infusion, into the glass, at the temperature it is served; bar practice clamps it, and the
bound that was hit is named.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pairing.aroma import infusion
from pairing.aroma import odour as aroma
from pairing.aroma.coffee import CoffeeBase, plain_coffee
from pairing.aroma.odour import Array
from pairing.aroma.serve import Serve, serve_for
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.once import once_per_catalog
from pairing.evidence.ranges import FLOOR_OF_HIGH
from pairing.evidence.rows import Form
from pairing.safety.plants import usual_high

__all__ = ["LEVELS", "Dose", "dose_for", "shares"]

# How much softer than the coffee an ingredient is in the glass, log10 of the ratio of summed OAVs.
# Calibrated on bar practice, not published: at the usual doses the spices of the catalogue lie a
# median of 3.0 below a double espresso, by mouth (scripts/calibrate_levels.py); accent and lead
# halve and double the dose.
BALANCED_BELOW_COFFEE = 3.0
LEVELS: dict[str, float] = {"accent": -0.3, "balanced": 0.0, "lead": 0.3}
# Share of the aroma that a cold drink holds back which a larger dose makes up for. Set so that an
# iced drink takes 1.5 to 2 times the dose of a hot one: common practice, no source.
COLD_MADE_UP = 0.35
# Share of the aroma that milk fat holds back which a larger dose makes up for: estimate, no source;
# a latte then takes 1.2 to 2 times the dose of a black drink of its size.
FAT_MADE_UP = 0.2
SHARED = {2: 0.42, 3: 0.24}  # of the lone dose, by the number of aromatics; see `shares`
ROOM_FOR_LEVELS = math.sqrt(2.0)  # a balanced dose keeps that far from both ends of the window
DRINK_MOVES = 2.5  # no drink takes more than that times, or a part of, the iced dose: estimate
MODEL_ERROR = 0.5  # decades by which the model may be off beyond the ranges of its data: estimate
# Beyond these the aroma model says nothing useful of a dose: it works by taste, acid or colour.
APART = 10.0  # factor between the nearest ends of the two ranges
MOST_G_PER_KG = 1000.0  # of finished syrup
DRAWS = 400
SEED = 20260101


@dataclass(frozen=True)
class Dose:
    """How much of one ingredient goes in, and why so much.

    Attributes
    ----------
    form : Form
    level : str
        ``accent``, ``balanced``, ``lead`` or ``given``.
    g_per_kg : float
        Grams per kilogram of finished syrup, as used.
    computed_g_per_kg, computed_low, computed_high : float
        What the aroma model asks for; 10th to 90th percentile of the draws.
    practice_low, practice_high : float or None
        Bar practice.
    bound : str
        Empty, or which bound set the dose.
    method : str
    minutes : float
    shipped_high : float or None
        High end of bar practice by the package, where a pantry says otherwise.
    share : float
        Of the lone dose, where partners share the syrup.
    """

    form: Form
    level: str
    g_per_kg: float
    computed_g_per_kg: float
    computed_low: float
    computed_high: float
    practice_low: float | None
    practice_high: float | None
    bound: str
    method: str
    minutes: float
    shipped_high: float | None = None
    share: float = 1.0

    @property
    def aroma_informs(self) -> bool:
        """Whether the aroma model has a say in this dose.

        It has none where it asks for more than the syrup could be, or where its range and bar
        practice lie more than a factor of ten apart: juice, honey, hibiscus, liquorice, saffron
        work by taste, acid or colour.
        """
        return _informs(
            (self.computed_g_per_kg, self.computed_low, self.computed_high),
            self.practice_low,
            self.practice_high,
        )

    @property
    def times_bar_high(self) -> float:
        """Dose over the high end of bar practice; 0 where there is none."""
        high = self.shipped_high or self.practice_high
        return self.g_per_kg / high if high else 0.0


def _informs(asked: tuple[float, float, float], low: float | None, high: float | None) -> bool:
    median, asked_low, asked_high = asked
    if not 0 < median <= MOST_G_PER_KG:
        return False
    return not (low and high) or max(asked_low / high, low / asked_high) <= APART


def _draws(low: Array, high: Array, count: int, rng: np.random.Generator) -> Array:
    """Log-uniform draws between two ends, (count, n); zero where the upper end is zero."""
    lo = np.log(np.maximum(low, FLOOR_OF_HIGH * high) + 1e-300)
    hi = np.log(high + 1e-300)
    u = rng.random((count, len(low)))
    return np.where(high > 0, np.exp(lo + u * (hi - lo)), 0.0)


def shares(levels: Sequence[str], partners: int) -> tuple[float, ...]:
    """Return how partners share the loudness of a syrup.

    Parameters
    ----------
    levels : sequence of str
        Level of each dose that is shared.
    partners : int
        Aromatics in the syrup, fruit and given doses counted.

    Returns
    -------
    tuple of float
        Share of its lone dose at that level that each keeps; a lead keeps more than an accent.

    Notes
    -----
    In print each aromatic falls to 0.42 of its lone dose in a pair and to 0.24 among three or more
    (median of 458 published syrups, 11 and 13 ingredients; own survey).
    """
    if partners <= 1:
        return tuple(1.0 for _ in levels)
    each = SHARED[min(partners, max(SHARED))]
    mean = sum(10.0 ** LEVELS[level] for level in levels) / len(levels) if levels else 1.0
    return tuple(min(1.0, each / math.sqrt(mean)) for _ in levels)


def dose_for(
    catalog: Catalog,
    form: Form,
    base: CoffeeBase,
    glass: Serve,
    level: str = "balanced",
    given_g_per_kg: float | None = None,
    method: str | None = None,
    minutes: float | None = None,
    share: float = 1.0,
) -> Dose:
    """Dose of one ingredient for a drink.

    Bar practice holds for a balanced dose of a lone aromatic in an iced double espresso. Both ends
    of its window move with the drink; then the level, then the share of the syrup's loudness.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    base : CoffeeBase
    glass : Serve
    level : {"accent", "balanced", "lead"}
        How loud it should be beside the coffee.
    given_g_per_kg : float, optional
        A dose that was asked for; then nothing is clamped.
    method, minutes : optional
        How it is infused, where not the form's own way.
    share : float
        Of the lone dose, where partners share the syrup, see `shares`.

    Returns
    -------
    Dose

    Raises
    ------
    PairingError
        For an unknown level, a form without a dose window and no dose given.
    """
    if level not in LEVELS:
        raise PairingError(f"unknown level {level!r}; one of {', '.join(LEVELS)}")
    how = method or form.method or "hot-steep"
    usual_time = infusion.kitchen_minutes(infusion.middle_minutes(form))
    time = 0.0 if how == "stir-in" else minutes or usual_time
    low, high = form.dose_low_g_per_kg, form.dose_high_g_per_kg
    usual = aroma.usual_dose(form) or given_g_per_kg
    if usual is None:
        raise PairingError(f"{form.form_id} has no usual dose; say how much of it, such as 5g/kg")
    asked = _asked(catalog, form, base, glass, level, usual, how, time)
    if given_g_per_kg is not None:
        word = _given_word(given_g_per_kg, low, high)
        shipped = usual_high(catalog, form)
        return Dose(form, "given", given_g_per_kg, *asked, low, high, word, how, time, shipped)
    louder = 10.0 ** LEVELS[level]
    if form.dose_held_by:  # its lone dose is held below practice already: it gives up less
        share = math.sqrt(share)
    drink = _drink_factor(catalog, form, usual, how, time, asked[0] / louder)
    informed = asked[0] > 0 and _informs(asked, low, high)
    balanced, bound = usual * drink, "" if informed else "bar practice"
    if informed:
        balanced = _weighed(usual * drink, low, high, tuple(x / louder for x in asked))
    if low is not None and high is not None:
        inner = min(ROOM_FOR_LEVELS, math.sqrt(high / low))
        least, most = low * inner * drink, high / inner * drink
        if balanced < least:
            balanced, bound = least, "raised to the low end of bar practice"
        elif balanced > most:
            balanced, bound = most, "held at the high end of bar practice"
        chosen = min(max(balanced * louder, low * drink), high * drink) * share
    else:
        chosen = balanced * louder * share
    if form.dose_held_by and high is not None and chosen > high:
        chosen, bound = high, f"held at {high:g} g/kg: {form.dose_held_by.replace('-', ' ')}"
    if share < 1.0:
        bound = f"{bound}; shared" if bound else "shared"
    return Dose(form, level, chosen, *asked, low, high, bound, how, time, share=share)


@once_per_catalog
def _in_an_iced_double_espresso(
    catalog: Catalog, form_id: str, usual: float, method: str, minutes: float
) -> float:
    """Balanced dose that the model asks for in the drink that bar practice is meant for."""
    standard = plain_coffee(catalog)
    iced = serve_for(catalog, "iced", standard.brew)
    form = catalog.forms[form_id]
    return _asked(catalog, form, standard, iced, "balanced", usual, method, minutes)[0]


def _drink_factor(
    catalog: Catalog, form: Form, usual: float, method: str, minutes: float, balanced: float
) -> float:
    """How much more this drink takes than an iced double espresso, 0.4 to 2.5."""
    if form.form in ("juice-for-water", "sugared"):
        return 1.0  # it goes with the water or the sugar of the syrup, whatever the drink
    there = _in_an_iced_double_espresso(catalog, form.form_id, usual, method, minutes)
    if not (there > 0 and balanced > 0):
        return 1.0
    return min(max(balanced / there, 1.0 / DRINK_MOVES), DRINK_MOVES)


def _weighed(
    practice: float, low: float | None, high: float | None, asked: tuple[float, ...]
) -> float:
    """Practice in this drink against the model's own answer, both for a balanced dose.

    They are averaged on a log scale by the inverse square of their uncertainty.
    """
    low, high = low or practice / 2, high or practice * 2
    practice_error = max(0.1, math.log10(high / low) / 4.0)
    model_error = math.hypot(math.log10(asked[2] / asked[1]) / 2.56, MODEL_ERROR)
    weight = practice_error**2 / (practice_error**2 + model_error**2)
    return float(10.0 ** ((1.0 - weight) * math.log10(practice) + weight * math.log10(asked[0])))


def _given_word(given: float, low: float | None, high: float | None) -> str:
    if low is not None and given < low:
        return "as you said; below bar practice"
    if high is not None and given > high:
        return "as you said; above bar practice"
    return "as you said"


def _asked(
    catalog: Catalog,
    form: Form,
    base: CoffeeBase,
    glass: Serve,
    level: str,
    usual: float,
    method: str,
    minutes: float,
) -> tuple[float, float, float]:
    """Median, 10th and 90th percentile of the dose (g/kg syrup) that reaches a level."""
    infused = infusion.infuse(catalog, form, usual, method, minutes or None)
    ax = base.axis
    rng = np.random.default_rng(SEED)
    low, high = np.nan_to_num(ax.glass_low), np.nan_to_num(ax.glass_high)
    heard = (high > 0) & ((infused.high > 0) | (base.best > 0))  # the rest is silent
    per_threshold = 1.0 / _draws(low[heard], high[heard], DRAWS, rng)
    syrup_per_l = glass.syrup_g / glass.drink_ml * 1000.0
    spice = _draws(infused.low[heard], infused.high[heard], DRAWS, rng) * syrup_per_l
    coffee = base.best[heard] * min(1.0, base.brew.volume_ml / glass.drink_ml)
    cold = infusion.mouth_release(catalog, glass.temperature_c)[heard] ** COLD_MADE_UP
    fat = _fat_release(catalog, glass.fat_percent)[heard]
    spice_oav = (spice * cold * fat * per_threshold).sum(axis=1)
    coffee_oav = (coffee * fat * per_threshold).sum(axis=1)
    if not (spice_oav > 0).all():
        return 0.0, 0.0, 0.0
    below = LEVELS[level] - BALANCED_BELOW_COFFEE
    doses = usual * coffee_oav * 10.0**below / spice_oav
    # linear quantiles, as np.quantile has them, which would load numpy.ma
    ranks = np.linspace(0.0, 1.0, len(doses))
    low_dose, median, high_dose = np.interp([0.1, 0.5, 0.9], ranks, np.sort(doses)).tolist()
    return median, low_dose, high_dose


@once_per_catalog
def _fat_release(catalog: Catalog, fat_percent: float) -> Array:
    """Share of each odorant that milk fat lets go in the mouth, (n_compounds,).

    The headspace over an emulsion falls by 1/(1 + f (K - 1)), f the fat and K its partition
    against water (octanol stands for fat; Buttery, Guadagni and Ling (1973), J. Agric. Food Chem.
    21, 198-201, from memory); fat melting in the mouth gives most of it back.
    """
    log_p = np.array([c.log_p if c.log_p is not None else 2.0 for c in catalog.compounds.values()])
    held = 1.0 / (1.0 + fat_percent / 100.0 * (10.0**log_p - 1.0).clip(min=0.0))
    return np.asarray(held**FAT_MADE_UP)


def fat_holds(catalog: Catalog, form: Form, fat_percent: float) -> float:
    """How many times as much of a form it takes for the same loudness as without fat.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    fat_percent : float
        Fat of the drink [% w/w].

    Returns
    -------
    float
        1 or more, by the odorants of the form over their thresholds, steeped cold.
    """
    infused = infusion.infuse(catalog, form, 10.0, "cold-steep", 720.0)
    loud = np.nan_to_num(infused.best / aroma.axis(catalog).glass_best)
    left = float((loud * _fat_release(catalog, fat_percent)).sum())
    return float(loud.sum()) / left if left > 0 else 1.0
