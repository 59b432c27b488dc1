"""Formula: a blend becomes doses, a batch, and a plan that a person can follow.

A dose is the amount that makes an ingredient's odorants as loud in the finished drink as asked,
against the coffee: through infusion, into the glass, at the temperature it is served. Bar
practice and the law clamp it, and the bound that was hit is named.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from pairing.aroma import infusion
from pairing.aroma import odour as aroma
from pairing.aroma.coffee import CoffeeBase, plain_coffee
from pairing.aroma.odour import Array
from pairing.errors import PairingError, UnknownNameError
from pairing.evidence.catalog import Catalog
from pairing.evidence.ranges import FLOOR_OF_HIGH
from pairing.evidence.rows import Brew, Form
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.safety import assess as safety
from pairing.syrup import keeping as stability
from pairing.syrup import ratio

__all__ = [
    "LEVELS",
    "STYLES",
    "Dose",
    "Formula",
    "Glass",
    "dose_for",
    "glass_for",
    "make",
]

# How much softer than the coffee an ingredient is in the glass, log10 of the ratio of summed OAVs.
# Calibrated on bar practice, not published: at the usual doses the spices of the catalogue lie a
# median of 2.5 below a double espresso (scripts/calibrate_levels.py); accent and lead halve and
# double the dose.
BALANCED_BELOW_COFFEE = 2.5
LEVELS: dict[str, float] = {"accent": -0.3, "balanced": 0.0, "lead": 0.3}
# Share of the aroma that a cold drink holds back which a larger dose makes up for. Set so that an
# iced drink takes 1.5 to 2 times the dose of a hot one: common practice, no source.
COLD_MADE_UP = 0.35
MODEL_ERROR = 0.5  # decades by which the model may be off beyond the ranges of its data: estimate
# Beyond these the aroma model says nothing useful of a dose: it works by taste, acid or colour.
APART = 10.0  # factor between the nearest ends of the two ranges
MOST_G_PER_KG = 1000.0  # of finished syrup
FAR_ABOVE_BAR = 3.0  # times the high end of bar practice from which a dose of your own is named
SMALLEST_BATCH_G = 20.0  # below it the pan loses more than it holds
SMALLEST_SERVING_G = 1.0  # of syrup in a drink; below it nobody can dose
THIN_BRIX = 30.0  # flavoured water rather than syrup: common practice, no source
DRAWS = 400
SEED = 20260101


@dataclass(frozen=True, slots=True)
class Glass:
    """The drink a dose is meant for.

    Attributes
    ----------
    style : str
        ``hot``, ``iced``, ``sparkling``, ``milk``, ``iced-milk`` or ``cold-brew``.
    syrup_g, drink_ml, temperature_c : float
        Syrup in it, its volume as served without ice, and its temperature.
    """

    style: str
    syrup_g: float
    drink_ml: float
    temperature_c: float


# Common practice, no source: liquid volume of each drink, ice not counted, and temperature.
STYLES: dict[str, tuple[float, float]] = {
    "iced": (240.0, 3.0),
    "sparkling": (240.0, 3.0),
    "hot": (180.0, 60.0),
    "milk": (240.0, 58.0),
    "iced-milk": (240.0, 4.0),
    "cold-brew": (270.0, 4.0),
}
MILK_STYLES = ("milk", "iced-milk")
SYRUP_G = 20.0  # in a 12 fl oz iced drink: common practice, no source


def glass_for(style: str, brew: Brew, syrup_g: float = SYRUP_G) -> Glass:
    """The usual glass of a style.

    Raises
    ------
    PairingError
        For an unknown style.
    """
    if style not in STYLES:
        raise PairingError(f"unknown drink {style!r}; one of {', '.join(STYLES)}")
    drink_ml, temperature = STYLES[style]
    return Glass(style, syrup_g, max(drink_ml, brew.volume_ml + syrup_g), temperature)


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


def dose_for(
    catalog: Catalog,
    form: Form,
    base: CoffeeBase,
    glass: Glass,
    level: str = "balanced",
    given_g_per_kg: float | None = None,
    method: str | None = None,
    minutes: float | None = None,
) -> Dose:
    """Dose of one ingredient for a drink.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    base : CoffeeBase
    glass : Glass
    level : {"accent", "balanced", "lead"}
        How loud it should be beside the coffee.
    given_g_per_kg : float, optional
        A dose that was asked for; then nothing is clamped.
    method, minutes : optional
        How it is infused, where not the form's own way.

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
        raise PairingError(
            f"{form.form_id} has no usual dose; say how much, such as --dose {form.form_id}=5"
        )
    asked = _asked(catalog, form, base, glass, level, usual, how, time)
    if given_g_per_kg is not None:
        word = _given_word(given_g_per_kg, low, high)
        shipped = safety.usual_high(catalog, form)
        return Dose(form, "given", given_g_per_kg, *asked, low, high, word, how, time, shipped)
    if not asked[0] > 0:
        word = "bar practice"
        return Dose(form, level, usual, *asked, low, high, word, how, time)
    informed = _informs(asked, low, high)
    chosen, bound = _weigh(catalog, form, base, glass, level, usual, how, time, asked, informed), ""
    if not informed:
        bound = "bar practice"
    if low is not None and chosen < low:
        chosen, bound = low, "raised to the low end of bar practice"
    elif high is not None and chosen > high:
        chosen, bound = high, "held at the high end of bar practice"
    return Dose(form, level, chosen, *asked, low, high, bound, how, time)


def _weigh(
    catalog: Catalog,
    form: Form,
    base: CoffeeBase,
    glass: Glass,
    level: str,
    usual: float,
    method: str,
    minutes: float,
    asked: tuple[float, float, float],
    informed: bool,
) -> float:
    """Bar practice moved to this coffee and glass, weighed against the model's own answer.

    Practice holds for a balanced dose in an iced double espresso; the model says by how much
    this drink differs. The two answers are averaged on a log scale by the inverse square of
    their uncertainty; where the model has no say, practice alone counts.
    """
    standard = plain_coffee(catalog)
    there = _asked(
        catalog,
        form,
        standard,
        glass_for("iced", standard.brew),
        "balanced",
        usual,
        method,
        minutes,
    )
    practice = math.log10(usual * asked[0] / there[0])
    if not informed:
        return float(10.0**practice)
    low, high = form.dose_low_g_per_kg or usual / 2, form.dose_high_g_per_kg or usual * 2
    practice_error = max(0.1, math.log10(high / low) / 4.0)
    model_error = math.hypot(math.log10(asked[2] / asked[1]) / 2.56, MODEL_ERROR)
    weight = practice_error**2 / (practice_error**2 + model_error**2)
    return float(10.0 ** ((1.0 - weight) * practice + weight * math.log10(asked[0])))


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
    glass: Glass,
    level: str,
    usual: float,
    method: str,
    minutes: float,
) -> tuple[float, float, float]:
    """Median, 10th and 90th percentile of the dose (g/kg syrup) that reaches a level."""
    infused = infusion.infuse(catalog, form, usual, method, minutes or None)
    ax = base.axis
    rng = np.random.default_rng(SEED)
    low, high = np.nan_to_num(ax.threshold_low), np.nan_to_num(ax.threshold_high)
    heard = (high > 0) & ((infused.high > 0) | (base.best > 0))  # the rest is silent
    per_threshold = 1.0 / _draws(low[heard], high[heard], DRAWS, rng)
    syrup_per_l = glass.syrup_g / glass.drink_ml * 1000.0
    spice = _draws(infused.low[heard], infused.high[heard], DRAWS, rng) * syrup_per_l
    coffee = base.best[heard] * min(1.0, base.brew.volume_ml / glass.drink_ml)
    cold = infusion.mouth_release(catalog, glass.temperature_c)[heard] ** COLD_MADE_UP
    spice_oav = (spice * cold * per_threshold).sum(axis=1)
    coffee_oav = (coffee * per_threshold).sum(axis=1)
    if not (spice_oav > 0).all():
        return 0.0, 0.0, 0.0
    below = LEVELS[level] - BALANCED_BELOW_COFFEE
    doses = usual * coffee_oav * 10.0**below / spice_oav
    low_dose, median, high_dose = np.quantile(doses, [0.1, 0.5, 0.9]).tolist()
    return median, low_dose, high_dose


HOT_C, COLD_C = 60.0, 3.0  # where a hot and an iced drink are drunk: common practice, no source


def other_temperature(catalog: Catalog, made: Formula) -> tuple[str, float]:
    """How the doses change if the same drink is served hot instead of cold, or the reverse.

    Cold holds aroma back: by the Henry constants of ``volatility.csv`` (Sander 2023 and others) at
    the warmth of a sip. How much of that a dose makes up is :data:`COLD_MADE_UP`.

    Parameters
    ----------
    catalog : Catalog
    made : Formula

    Returns
    -------
    (word, factor)
        ``hot`` or ``iced``, and the median ratio of the doses.
    """
    cold = made.glass.temperature_c < (HOT_C + COLD_C) / 2
    there = HOT_C if cold else COLD_C
    held = aroma.profiles(catalog, [d.form.form_id for d in made.doses])
    usual = np.array([d.g_per_kg for d in made.doses])
    weight = held.oav(usual)  # what is loud decides
    here_release = infusion.mouth_release(catalog, made.glass.temperature_c) ** COLD_MADE_UP
    there_release = infusion.mouth_release(catalog, there) ** COLD_MADE_UP
    with np.errstate(invalid="ignore", divide="ignore"):
        ratios = (weight @ here_release) / (weight @ there_release)
    ratios = ratios[np.isfinite(ratios)]
    return ("hot" if cold else "iced"), float(np.median(ratios)) if len(ratios) else 1.0


# --- the batch ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Formula:
    """A trial formula.

    Attributes
    ----------
    base : CoffeeBase
    doses : tuple of Dose
    sweetener : SweetenerRow
    batch : ratio.Batch
    glass : Glass
    strength_word : str
        Strength and why.
    steps : tuple of str
    grams : dict
        Grams of each form in the batch.
    """

    base: CoffeeBase
    doses: tuple[Dose, ...]
    sweetener: SweetenerRow
    batch: ratio.Batch
    glass: Glass
    strength_word: str
    steps: tuple[str, ...]
    grams: dict[str, float] = field(default_factory=dict)

    @property
    def servings(self) -> int:
        """Whole servings in the batch."""
        return math.floor(self.batch.servings(self.glass.syrup_g) + 1e-6)

    def portions(self, catalog: Catalog) -> tuple[safety.Portion, ...]:
        """Everything in the pot, as the safety engine takes it."""
        out = [safety.portion(catalog, d.form, self.grams[d.form.form_id]) for d in self.doses]
        out.append(
            safety.Portion(self.sweetener.sweetener_id, "syrup", self.batch.sugar_g, "sweetener")
        )
        return tuple(out)

    def findings(
        self,
        catalog: Catalog,
        *,
        milk: str = "dairy",
        foraged: Collection[str] = (),
        drink_ml: float | None = None,
        caffeine_mg: tuple[float, float] | None = None,
    ) -> tuple[safety.Finding, ...]:
        """Limits, rules, hazards and allergens it touches in its drink, stops first.

        Parameters
        ----------
        catalog : Catalog
        milk : str
            The milk of a milk drink.
        foraged : collection of str
            Ingredient ids gathered, or bought without a named species.
        drink_ml : float, optional
            The drink as served; the usual one of the style when not given.
        caffeine_mg : (float, float), optional
            Low and high of the coffee poured; one brew when not given.
        """
        low, high = caffeine_mg or self.base.caffeine_mg
        serving = safety.Serving(
            yield_g=self.batch.yield_g,
            serving_g=self.glass.syrup_g,
            drink_ml=drink_ml or self.glass.drink_ml,
            caffeine_low_mg=low,
            caffeine_high_mg=high,
            milk=milk if self.glass.style in MILK_STYLES else "",
        )
        found = safety.assess(
            self.portions(catalog),
            serving,
            safety.contents_of(catalog),
            foraged=frozenset(foraged),
        )
        stops = [f for f in found if f.level == "stop"]
        rest = [f for f in found if f.level != "stop"]
        return tuple([*stops, *sorted(rest, key=lambda f: f.code != "poison")])

    @property
    def notices(self) -> tuple[str, ...]:
        """What stands on top of the print: doses far above the bar's, a syrup that is none."""
        out = [
            f"{d.form.label}: {d.g_per_kg:g} g/kg is {d.times_bar_high:.0f} times the high end of "
            "bar practice"
            for d in self.doses
            if d.times_bar_high > FAR_ABOVE_BAR
        ]
        if self.batch.brix < THIN_BRIX:
            out.append(
                f"{self.batch.brix:.0f} °Bx is flavoured water, not a syrup: it spoils like juice "
                "and thins the drink; 50 °Bx and up keeps and sweetens as a syrup does"
            )
        return tuple(out)

    def cautions(self, catalog: Catalog) -> tuple[safety.ProcessCaution, ...]:
        """Cautions of making and keeping it."""
        situations = safety.situations_of(
            self.portions(catalog), {d.method for d in self.doses}, "", ""
        )
        return safety.process_cautions(situations)

    def keeping(self, catalog: Catalog) -> stability.Stability:
        """How it keeps."""
        kinds = {catalog.kind(d.form) for d in self.doses}
        fresh = "citrus" in kinds or any((d.form.water_percent or 0) > 40 for d in self.doses)
        return stability.assess(
            self.batch.composition,
            "fruit" if fresh else "spice",
            needs_control=safety.needs_control,
        )


def portion_of(
    catalog: Catalog, form: Form, g_per_kg: float, per: ratio.Per = "kg syrup"
) -> ratio.Portion:
    """What a form brings to the pot and carries off, for the ratio calculator.

    Parameters
    ----------
    catalog : Catalog
    form : Form
    g_per_kg : float
        Grams per kilogram of finished syrup (or whatever ``per`` says).
    per : ratio.Per
    """
    sweet = catalog.kind(form) == "sweetener"
    if sweet or form.form == "syrup" or (form.method == "stir-in" and "juice" not in form.form):
        # stays in the syrup whole: honey and sugars melt, a powder is stirred in and not strained
        masses = _sweet_masses(catalog, form) if sweet or form.form == "syrup" else None
        water = min(form.water_percent or 0.0, 100.0) / 100.0
        whole = masses or ratio.Masses(water=water, insoluble=1.0 - water)
        return ratio.Portion(form.form_id, g_per_kg, per, whole, ratio.Masses(), 0.0)
    fruit = _fruit_part(form)
    if fruit and form.brix_low is not None:
        return ratio.fruit(
            form.form_id,
            g_per_kg,
            fruit,
            water_percent=form.water_percent if form.water_percent is not None else 85.0,
            brix=_middle(form.brix_low, form.brix_high, 11.0),
            acid_percent=_middle(form.acid_percent_low, form.acid_percent_high, 1.0),
            juice_yield_percent=(
                _middle(form.juice_yield_percent_low, form.juice_yield_percent_high, 42.0)
                if fruit == "slice"
                else None
            ),
            per=per,
        )
    if fruit and fruit != "juice":  # peel of a fruit whose juice nobody measured
        return ratio.fruit(
            form.form_id, g_per_kg, fruit,
            water_percent=form.water_percent or 75.0, brix=12.0, acid_percent=0.5, per=per,
        )  # fmt: skip
    cut: ratio.Cut = (
        "ground" if form.form == "ground" else ("cracked" if form.form == "cracked" else "whole")
    )
    water = form.water_percent if form.water_percent is not None else 10.0
    return ratio.spice(form.form_id, g_per_kg, cut, water_percent=min(water, 95.0), per=per)


_FRUIT_PARTS: dict[str, Literal["slice", "juice", "peel", "zest"]] = {
    "slice": "slice",
    "juice": "juice",
    "juice-for-water": "juice",
    "peel": "peel",
    "zest": "zest",
}


def _fruit_part(form: Form) -> Literal["slice", "juice", "peel", "zest"] | None:
    """What part of a fruit a form is, whatever it is used for; None for no fruit."""
    if form.form == "sugared":
        return "peel" if form.brix_low is None else "slice"
    parts: tuple[Literal["slice", "juice", "peel", "zest"], ...] = (
        "slice",
        "juice",
        "peel",
        "zest",
    )
    return next((p for p in parts if p == form.form), None)


def _sweet_masses(catalog: Catalog, form: Form) -> ratio.Masses:
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
    return ratio.Masses(water=water, sucrose=1.0 - water)


def _middle(low: float | None, high: float | None, otherwise: float) -> float:
    if low is None or high is None:
        return otherwise
    return (low + high) / 2.0


def sweetener_of(row: SweetenerRow) -> ratio.Sweetener:
    """A catalogue sweetener for the ratio calculator."""
    return ratio.Sweetener(
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
    )


# Pan that a batch fits in, half full: (up to grams, diameter cm). Common practice, no source.
PANS = ((120.0, 9.0), (350.0, 14.0), (800.0, 16.0), (2000.0, 20.0), (4000.0, 24.0), (12000.0, 32.0))
WIDEST_PAN_CM, WIDEST_PAN_G = 45.0, 30_000.0  # about 23 l; more syrup takes more pans


def cook_of(catalog: Catalog, doses: Sequence[Dose], batch_g: float) -> ratio.Cook:
    """How the pot is cooked for these doses, with the water that each stage of the plan loses.

    Parameters
    ----------
    catalog : Catalog
    doses : sequence of Dose
    batch_g : float
        Rough size of the batch, g.

    Returns
    -------
    ratio.Cook
        An open simmer (the rate of any boiling down) with the known loss of the other stages:
        warming 3 min, simmer under a lid, the minute at the boil; a lid keeps the rest in.
    """
    pan = next((cm for grams, cm in PANS if batch_g <= grams), WIDEST_PAN_CM)
    pans = math.ceil(batch_g / WIDEST_PAN_G) if WIDEST_PAN_G < batch_g < math.inf else 1
    simmer = max((d.minutes for d in doses if d.method == "simmer"), default=0.0)
    boiled = any(infusion.boiled_first(catalog, d.form, d.method) for d in doses)
    ajar = infusion.BOIL_MIN / 2.0 if boiled else 0.0  # a lid ajar loses the mean of open and shut
    stages = (
        ratio.Cook(minutes=3.0, heat="gentle", pan_diameter_cm=pan),
        ratio.Cook(minutes=simmer, heat="simmer", lid=True, pan_diameter_cm=pan),
        ratio.Cook(minutes=ajar, heat="boil", pan_diameter_cm=pan),
        ratio.Cook(minutes=ajar, heat="boil", lid=True, pan_diameter_cm=pan),
    )
    lost = pans * sum(c.minutes * c.grams_per_minute for c in stages)
    return ratio.Cook(heat="simmer", pan_diameter_cm=pan, pans=pans, evaporated_g=lost)


def make(
    catalog: Catalog,
    names: Sequence[str],
    base: CoffeeBase,
    *,
    style: str = "iced",
    serving_g: float = SYRUP_G,
    sweetener: str = "white-cane-sugar",
    strength: str | None = None,
    by_volume: bool = False,
    brix: float | None = None,
    yield_g: float | None = None,
    yield_ml: float | None = None,
    servings: float | None = None,
    sugar_g: float | None = None,
    levels: Mapping[str, str] | None = None,
    doses: Mapping[str, float] | None = None,
) -> Formula:
    """A trial formula for a blend over a coffee.

    Parameters
    ----------
    catalog : Catalog
    names : sequence of str
        One to six ingredients, by id, name or alias.
    base : CoffeeBase
    style : str
        Drink it is for; a cold drink needs a larger dose than a hot one.
    serving_g : float
        Grams of syrup in a drink.
    sweetener : str
    strength : str, optional
        Sugar : added water, such as ``"2:1"``; by weight unless ``by_volume``. When not given,
        2:1 with fruit slices or juice (their water thins it), else 1.5:1.
    brix : float, optional
        Finished strength instead of a strength.
    yield_g, yield_ml, servings, sugar_g : float, optional
        How much to make; 500 g when none is given.
    levels : mapping of str to str, optional
        ``accent``, ``balanced`` or ``lead`` by ingredient name.
    doses : mapping of str to float, optional
        Doses that you set yourself, g per kg of finished syrup.

    Raises
    ------
    PairingError
        For unknown names, a repeated ingredient, a batch under 20 g, a part of a serving, or a
        batch that cannot be.
    """
    forms = _forms(catalog, names)
    if not serving_g >= SMALLEST_SERVING_G:
        raise PairingError(
            f"{serving_g:g} g of syrup in a drink; give {SMALLEST_SERVING_G:g} or more"
        )
    glass = glass_for(style, base.brew, serving_g)
    wanted = {catalog.form(n).form_id: v for n, v in (levels or {}).items()}
    given = {catalog.form(n).form_id: v for n, v in (doses or {}).items()}
    for stray in (set(wanted) | set(given)) - {f.form_id for f in forms}:
        raise PairingError(f"{stray} has a level or dose but is not in the formula; add it")
    chosen = [
        dose_for(catalog, f, base, glass, wanted.get(f.form_id, "balanced"), given.get(f.form_id))
        for f in forms
    ]
    row = catalog.sweetener(sweetener)
    if servings is not None and not (servings >= 1 and servings == int(servings)):
        raise PairingError(f"{servings:g} servings; give whole servings, 1 or more")
    chosen = _within_limits(catalog, chosen, base, glass)
    if yield_g is yield_ml is servings is sugar_g is None:
        yield_g = 500.0
    batch_g = yield_g or yield_ml or (servings or 0) * serving_g or (sugar_g or 0) * 2
    wish = _Amount(yield_g, yield_ml, servings, serving_g, sugar_g)
    portions = [portion_of(catalog, d.form, d.g_per_kg) for d in chosen]
    cook = cook_of(catalog, chosen, batch_g)
    if 0 < batch_g < SMALLEST_BATCH_G:
        raise _too_small(batch_g)
    batch, word = _batch(row, portions, cook, wish, strength, by_volume, brix, forms)
    if batch.yield_g < SMALLEST_BATCH_G:
        raise _too_small(batch.yield_g)
    from pairing.syrup.plan import steps

    grams = dict(batch.portions)
    plan = tuple(steps(catalog, chosen, batch, row, grams, cook.evaporated_g or 0.0))
    return Formula(base, tuple(chosen), row, batch, glass, word, plan, grams)


def _too_small(grams: float) -> PairingError:
    return PairingError(
        f"a batch of {grams:.3g} g; the smallest yield is {SMALLEST_BATCH_G:g} g, a pan loses more"
    )


def _within_limits(
    catalog: Catalog, doses: Sequence[Dose], base: CoffeeBase, glass: Glass
) -> list[Dose]:
    """Doses that the tool chose, held so that a drink stops at no limit; given doses stay."""
    held = list(doses)
    contents = safety.contents_of(catalog)
    names = safety.tables().substances
    content = {
        d.form.form_id: safety.highest(contents, safety.portion(catalog, d.form, d.g_per_kg))
        for d in doses
    }
    for _ in range(len(names)):  # each pass ends one stop, a substance can meet several limits
        stop = next(
            (
                f
                for f in safety.assess(
                    [safety.portion(catalog, d.form, d.g_per_kg) for d in held],
                    safety.Serving(1000.0, glass.syrup_g, glass.drink_ml),
                    contents,
                )
                if f.level == "stop" and f.code == "limit" and f.limit and f.amount
                and any(
                    d.level != "given" and content[d.form.form_id].get(f.subject) for d in held
                )
            ),
            None,
        )  # fmt: skip
        if stop is None:
            return held
        loads = [d.g_per_kg * content[d.form.form_id].get(stop.subject, 0.0) for d in held]
        fixed = sum(x for x, d in zip(loads, held, strict=True) if d.level == "given")
        free = sum(loads) - fixed
        room = sum(loads) / stop.ratio - fixed
        if room <= 0:  # the doses that you gave pass it alone: the stop is told, not hidden
            return held
        factor = 0.999 * room / free
        body = stop.jurisdiction
        word = f"held at the limit for {names[stop.subject].name} ({body})"
        held = [
            replace(d, g_per_kg=d.g_per_kg * factor, bound=word)
            if d.level != "given" and x > 0
            else d
            for d, x in zip(held, loads, strict=True)
        ]
    return held


KEEPS_CLEAR_BRIX = 64.5  # a sucrose syrup above 64.8 can grain at 4 C (ICUMSA SPS-2, Vavrinecz)


@dataclass(frozen=True, slots=True)
class _Amount:
    yield_g: float | None
    yield_ml: float | None
    servings: float | None
    serving_g: float
    sugar_g: float | None


def _batch(
    row: SweetenerRow,
    portions: Sequence[ratio.Portion],
    cook: ratio.Cook,
    wish: _Amount,
    strength: str | None,
    by_volume: bool,
    brix: float | None,
    forms: Sequence[Form],
) -> tuple[ratio.Batch, str]:
    """The batch and the word for its strength; the tool's own choice keeps clear in the fridge."""

    def solved(strength: float | None, brix: float | None) -> ratio.Batch:
        return ratio.solve(
            sweetener_of(row),
            strength=strength,
            brix=brix,
            sugar_g=wish.sugar_g,
            yield_g=wish.yield_g,
            yield_ml=wish.yield_ml,
            servings=wish.servings,
            serving_g=wish.serving_g if wish.servings is not None else None,
            portions=portions,
            cook=cook,
        )

    if strength is not None:
        value = ratio.parse_strength(strength, by_volume=by_volume)
        said = strength if ":" in strength else f"{strength}:1"
        return solved(value, brix), f"{said} by {'volume' if by_volume else 'weight'}"
    if brix is not None:
        return solved(None, brix), f"{brix:g} °Bx when finished"
    wet = any(f.form in ("slice", "juice") for f in forms)
    chosen, why = (
        (2.0, "2:1 by weight; the fruit thins it")
        if wet
        else (1.5, "1.5:1 by weight; keeps clear in the fridge")
    )
    try:
        made = solved(chosen, None)
    except PairingError:
        made = None
    if made is None or made.brix > KEEPS_CLEAR_BRIX:
        made = solved(None, KEEPS_CLEAR_BRIX)
        why = f"{KEEPS_CLEAR_BRIX:g} °Bx when finished, so that no sugar grains in the fridge"
    return made, why


def spice_share(catalog: Catalog, made: Formula) -> float:
    """Share of a drink's aroma loudness that is the syrup's, 0 to 1.

    Parameters
    ----------
    catalog : Catalog
    made : Formula
    """
    per_l = made.glass.syrup_g / made.glass.drink_ml * 1000.0
    amounts = sum(
        infusion.infuse(catalog, d.form, d.g_per_kg, d.method, d.minutes or None).best * per_l
        for d in made.doses
    )
    base = made.base
    coffee = base.best * min(1.0, base.brew.volume_ml / made.glass.drink_ml)
    with np.errstate(invalid="ignore"):
        loud_syrup, loud_coffee = (
            float(aroma.loudness(np.nan_to_num(a / base.axis.threshold_best).sum()))
            for a in (amounts, coffee)
        )
    return loud_syrup / (loud_syrup + loud_coffee) if loud_syrup else 0.0


def _forms(catalog: Catalog, names: Sequence[str]) -> list[Form]:
    if not 1 <= len(names) <= 6:
        raise PairingError(f"{len(names)} ingredients; a syrup takes one to six")
    forms = [catalog.form(n) for n in names]
    seen: dict[str, str] = {}
    for name, form in zip(names, forms, strict=True):
        if form.form_id in seen:
            raise PairingError(f"{seen[form.form_id]} and {name} are the same thing; name it once")
        seen[form.form_id] = name
        refuse_regulated_form(catalog, form)
    return forms


def refuse_regulated_form(catalog: Catalog, form: Form) -> None:
    """Refuse a form of a regulated plant.

    Raises
    ------
    PairingError
        With the law and its number.
    """
    if catalog.ingredients[form.ingredient_id].regulated == "yes":
        why = safety.refusal(form.ingredient_id)
        raise PairingError(f"{form.form_id} goes into no formula here: {why}")
