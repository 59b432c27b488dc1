"""The drink in the glass: what fits, how cold and how sweet it lands, what to change.

A `DrinkSpec` says what goes into which glass; `build` fills what is left open, melts the ice,
and works out strength, temperature, acidity, caffeine and foam. `advise` turns the numbers into
words with the smallest change that mends them; `syrup_for_brix` and `syrup_for_sweetness` solve
backwards.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, Protocol

from pairing.errors import PairingError
from pairing.syrup import sugar
from pairing.syrup.composition import Masses
from pairing.syrup.keeping import (
    CATIONS_PER_G_ASH,
    CITRIC_MOLAR_MASS,
    WATER_PK,
    bisect,
    citric_charge,
)

if TYPE_CHECKING:
    from pairing.evidence.rows import Brew

__all__ = [
    "Advice",
    "Coffee",
    "Drink",
    "DrinkSpec",
    "Glass",
    "Moment",
    "SyrupSpec",
    "advise",
    "build",
    "co2_solubility",
    "coffee_of",
    "drinks_per_bottle",
    "glass_of",
    "melt",
    "syrup_for_brix",
    "syrup_for_sweetness",
]

Style = Literal["hot", "iced", "sparkling", "milk", "iced-milk", "cold-brew"]

# --- physics ----------------------------------------------------------------------------------
FUSION_J_PER_G = 333.55  # CRC Handbook, ice at 0 °C
ICE_J_PER_G_K = 2.08  # CRC Handbook, ice near -5 °C
WATER_J_PER_G_K = 4.19  # CRC Handbook
GLASS_J_PER_G_K = 0.84  # CRC Handbook, soda-lime glass
MILK_J_PER_G_K = 3.93  # recalled from Walstra et al. (2006), Dairy Science and Technology
ICE_G_PER_ML = 0.917  # CRC Handbook
MILK_G_PER_ML = 1.031  # USDA SR28: whole milk 30.5 g per US fl oz
CO2_G_PER_VOLUME = 1.97  # g per litre: one volume at 0 °C and 1 atm
CO2_MOLAR_MASS, CARBONIC_PK = 44.01, 6.35  # CRC Handbook

# --- the trade: common practice, no source ----------------------------------------------------
ICE_G_PER_ML_GLASS = 0.35  # 124 g in a 355 ml glass (120-180 g)
SURFACE_WATER = 0.05  # of wet bar ice, 3-8 %
SERVED_ABOVE_FREEZING_K = 3.0  # an iced drink, stirred and carried
GLASS_SHARE = 0.5  # of the glass that follows the drink's temperature by the time it is served
ROOM_MELT_G_PER_ML = 10.0 / 355.0  # ice a warm room melts in 10 min, 5-15 g in a 355 ml glass
HOT_COOLING_PER_MIN = 0.025  # share of the excess over room temperature that a mug loses
CHILLED_C, TAP_C = 4.0, 15.0  # filler of a cold drink; water from the cold tap
HOT_TARGET_C = 62.5  # a hot drink when served: 60 to 65 °C
KETTLE_C = 95.0  # the hottest water to top up with, and what is mixed down from
STEAMED_C = (55.0, 65.0)  # milk; above it proteins cook and sweetness goes
REHEATED_C = (60.0, 85.0)  # cold coffee that goes into a hot drink
ROOM_C, WARMED_CUP_C = 22.0, 50.0  # a glass from the shelf; a cup rinsed with hot water
LUKEWARM_C = 55.0
WARM_C = 8.0  # an iced drink above it has no ice left to cool it
MENDED_C = 5.0  # what the remedy aims at
CHILLED_COFFEE_C = 5.0
LONG_COFFEE_TDS = 2.5  # below it a coffee is drunk as brewed and fills the glass itself
READY_TDS = 1.4  # strength that a concentrate is watered down to
BARE_HEADSPACE_ML = {"hot": 15.0, "iced": 15.0, "cold-brew": 15.0, "milk": 25.0, "iced-milk": 15.0}
POUR_LOSS = 0.35  # of the carbonation on pouring over ice and stirring, 25-50 %
FOAM_HELD = 0.15  # of the gas set free that stands as foam at once; gives 20-40 ml in 355 ml
SPARKLING_BASE_ML = 8.0
BREWS_LOSE_K = 2.0  # a shot on its way from machine to glass

# --- milk: recalled from Walstra et al. (2006), Dairy Science and Technology ------------------
MILK_PH, MILK_BUFFER_MMOL_PER_L_PH = 6.7, 28.0
MILK_LACTOSE, MILK_SOLIDS, MILK_KCAL_PER_G = 0.047, 0.088, 0.62  # solids without fat
CURDLE_PH_COLD, CURDLE_PH_PER_K = 4.8, 0.0095  # casein clots at 4.6, sooner when hot
CURDLE_MARGIN = 0.3

# --- taste ------------------------------------------------------------------------------------
SWEET_GLUCOSE, SWEET_OTHER, SWEET_LACTOSE = 0.70, 0.40, 0.25  # Belitz et al. (2009); Bender 2005
SWEET_POLYOL = 0.8  # between erythritol 0.65 and xylitol 1.0
# Fructose against sucrose by temperature: recalled from Shallenberger (1993), Taste Chemistry.
FRUCTOSE_C, FRUCTOSE_SWEET = (5.0, 20.0, 40.0, 60.0), (1.40, 1.18, 1.00, 0.82)
# Sweetness of a cold drink against the same at 20 °C: recalled from Bartoshuk et al. (1982),
# Physiol. Behav. 28, 905-910, sucrose at drink strength, 4 against 36 °C; coarse.
COLD_SWEETNESS, COLD_C, FULL_C = 0.80, 2.0, 20.0
# Perceived sucrose equivalents [%]: common practice, no source (iced drinks: light 3-6 °Bx,
# balanced 6-9, sweet 9-12, which a cold mouth takes as a fifth less).
SWEET_WORDS = ((2.4, "barely sweet"), (4.8, "lightly sweet"), (7.2, "balanced"), (9.6, "sweet"))
VERY_SWEET = "very sweet"
THIN_TDS, BITTER_TDS = 0.8, 2.2  # % coffee solids in the drink: common practice, no source
SOUR_RATIO = 20.0  # °Bx per % acid, coffee and citrus 20-60: common practice, no source
FLAT_VOLUMES = 1.0  # of CO2: common practice, no source
SPICE_DROWNS = 0.6  # share of the aroma loudness: common practice, no source
VERY_HOT_C = 65.0  # IARC Monographs 116 (2018), very hot beverages
KCAL_PER_G_SUGAR, KCAL_PER_G_POLYOL, KCAL_PER_G_ACID = 4.0, 2.4, 3.0  # EU 1169/2011 Annex XIV


class Glass(Protocol):
    """A glass; a row of the glassware table fits."""

    @property
    def name(self) -> str:
        """What it is called."""

    @property
    def volume_ml(self) -> float:
        """Volume to the brim [ml]."""

    @property
    def mass_g(self) -> float:
        """Mass of the empty glass [g]."""

    @property
    def heat_resistant(self) -> bool:
        """Takes hot coffee on ice."""


@dataclass(frozen=True, slots=True)
class _PlainGlass:
    name: str
    volume_ml: float
    mass_g: float
    heat_resistant: bool


def glass_of(volume_ml: float, *, heat_resistant: bool = False, name: str = "") -> Glass:
    """Return a glass of a volume [ml, 60 to 1000]; it weighs about a gram per millilitre."""
    if not 60 <= volume_ml <= 1000:
        raise PairingError(f"a glass must hold 60 to 1000 ml, got {volume_ml:.0f}")
    called = name or f"{volume_ml:.0f} ml glass"
    return _PlainGlass(called, volume_ml, float(volume_ml), heat_resistant)


@dataclass(frozen=True, slots=True)
class SyrupSpec:
    """Syrup for one drink.

    Attributes
    ----------
    grams : float
        In the drink [g].
    composition : Masses
        What it is made of; any mass, such as `balance.Batch.composition`.
    temperature_c : float
        Temperature [°C].
    name : str
        For the steps.
    """

    grams: float
    composition: Masses
    temperature_c: float = 20.0
    name: str = "syrup"

    def masses(self) -> Masses:
        """Return the content of the drink's syrup [g]."""
        return self.composition * (self.grams / self.composition.liquid)

    @property
    def volume_ml(self) -> float:
        """Volume at 20 °C [ml]."""
        return self.grams / self.composition.density * 1000.0


@dataclass(frozen=True, slots=True)
class Coffee:
    """Coffee as it leaves the machine.

    Attributes
    ----------
    name : str
        For the steps.
    grams : float
        One brew [g].
    tds_percent : float
        Dissolved coffee [% w/w].
    temperature_c, ph : float
        As brewed.
    caffeine_mg : (float, float)
        Low and high in one brew [mg].
    density_kg_per_m3 : float
        Without crema.
    acid_mmol_per_l, buffer_mmol_per_l_ph : float
        Titratable acid to pH 8.2, and buffer capacity below its own pH.
    crema_percent : float
        Crema, % of the volume in the cup.
    """

    name: str
    grams: float
    tds_percent: float
    temperature_c: float
    ph: float
    caffeine_mg: tuple[float, float]
    density_kg_per_m3: float = 1003.0
    acid_mmol_per_l: float = 4.4
    buffer_mmol_per_l_ph: float = 3.5
    crema_percent: float = 0.0


def coffee_of(brew: Brew) -> Coffee:
    """Return the coffee of a row of the brews table."""
    scale = brew.tds_percent / 1.3  # where the table is silent: as filter coffee of that strength
    acid = 4.4 * scale if brew.acid_mmol_per_l is None else brew.acid_mmol_per_l
    buffer = 3.5 * scale if brew.buffer_mmol_per_l_ph is None else brew.buffer_mmol_per_l_ph
    return Coffee(
        brew.name,
        brew.beverage_g,
        brew.tds_percent,
        brew.temperature_c,
        (brew.ph_low + brew.ph_high) / 2.0,
        (brew.caffeine_low_mg, brew.caffeine_high_mg),
        brew.density_kg_per_m3,
        acid,
        buffer,
        brew.crema_percent or 0.0,
    )


@dataclass(frozen=True, slots=True)
class DrinkSpec:
    """What goes into which glass. None is filled in: bar habit, or as much as fits.

    Attributes
    ----------
    style : str
        ``hot``, ``iced``, ``sparkling``, ``milk``, ``iced-milk`` or ``cold-brew``.
    syrup : SyrupSpec
    coffee : Coffee
    glass : Glass
    ice_g : float, optional
        Ice [g]; 0 for hot styles.
    coffee_g : float, optional
        Coffee [g]; one brew of a short coffee, or as much as fits of a long one.
    filler_g : float, optional
        Water, sparkling water or milk [g].
    ice_temperature_c, room_temperature_c : float
        Temperatures [°C].
    glass_temperature_c : float, optional
        Temperature of the glass [°C]; a cup for a hot style is warmed.
    carbonation_volumes : float
        Of the sparkling water, fresh and cold.
    milk : str
        Milk of a milk drink: ``dairy`` or the plant it is made from.
    """

    style: Style
    syrup: SyrupSpec
    coffee: Coffee
    glass: Glass
    ice_g: float | None = None
    coffee_g: float | None = None
    filler_g: float | None = None
    ice_temperature_c: float = -2.0
    glass_temperature_c: float | None = None
    room_temperature_c: float = 22.0
    carbonation_volumes: float = 3.5
    milk: str = "dairy"

    @property
    def is_cold(self) -> bool:
        """Served over ice."""
        return self.style not in ("hot", "milk")

    @property
    def is_long(self) -> bool:
        """The coffee is drunk as brewed."""
        return self.coffee.tds_percent < LONG_COFFEE_TDS

    @property
    def has_milk(self) -> bool:
        """Filled up with milk."""
        return self.style in ("milk", "iced-milk")

    @property
    def filler(self) -> str:
        """What the glass is filled up with."""
        if self.has_milk:
            return "milk" if self.milk == "dairy" else f"{self.milk} drink"
        return "sparkling water" if self.style == "sparkling" else "water"

    @property
    def glass_c(self) -> float:
        """Temperature of the glass [°C]."""
        if self.glass_temperature_c is not None:
            return self.glass_temperature_c
        return ROOM_C if self.is_cold else WARMED_CUP_C


@dataclass(frozen=True, slots=True)
class Moment:
    """The drink at one moment.

    Attributes
    ----------
    temperature_c : float
        Temperature [°C].
    melted_g, ice_left_g, liquid_g : float
        Ice melted so far (surface water counted), ice left, liquid [g].
    brix : float
        All dissolved solids, what a refractometer reads [% w/w].
    sugar_percent : float
        Sugar from the syrup [% w/w].
    sweetness_percent, perceived_sweetness_percent : float
        Sucrose equivalents [% w/w]; the second as a mouth at that temperature takes it.
    tds_percent : float
        Coffee solids [% w/w].
    acid_percent, ph : float
        Titratable acidity as citric acid [% w/w]; estimated pH.
    """

    temperature_c: float
    melted_g: float
    ice_left_g: float
    liquid_g: float
    brix: float
    sugar_percent: float
    sweetness_percent: float
    perceived_sweetness_percent: float
    tds_percent: float
    acid_percent: float
    ph: float

    @property
    def density_kg_per_m3(self) -> float:
        """Density [kg/m3], all solids counted as sucrose."""
        return float(sugar.density(self.brix, min(max(self.temperature_c, 0.0), 100.0)))

    @property
    def sweetness_word(self) -> str:
        """How sweet it is, in words."""
        for top, word in SWEET_WORDS:
            if self.perceived_sweetness_percent < top:
                return word
        return VERY_SWEET


@dataclass(frozen=True, slots=True)
class Drink:
    """A drink worked out.

    Attributes
    ----------
    spec : DrinkSpec
        What was asked for.
    coffee_g, ice_g, filler_g : float
        What goes in [g].
    coffee_c, filler_c : float
        How hot coffee and filler go in [°C]; those of a hot drink bring it to 60 to 65 °C.
    crema_ml : float
        Crema on the coffee, part of the filled volume [ml].
    volume_ml, headspace_ml, headspace_needed_ml : float
        Filled volume with ice and crema, free space, and the least free space [ml].
    served, after_ten_minutes : Moment
        In the hand, and later.
    sugar_g, added_sugar_g : float
        All sugar, and sugar of the syrup [g].
    energy_kcal : float
        Energy.
    caffeine_mg : (float, float)
        Low and high [mg].
    co2_volumes, co2_keeps_volumes : float
        Carbonation after mixing, and what the drink would hold open at its temperature.
    steps, cautions : tuple of str
        Order of building, and what can hurt.
    """

    spec: DrinkSpec
    coffee_g: float
    ice_g: float
    filler_g: float
    coffee_c: float
    filler_c: float
    crema_ml: float
    volume_ml: float
    headspace_ml: float
    headspace_needed_ml: float
    served: Moment
    after_ten_minutes: Moment
    sugar_g: float
    added_sugar_g: float
    energy_kcal: float
    caffeine_mg: tuple[float, float]
    co2_volumes: float
    co2_keeps_volumes: float
    steps: tuple[str, ...]
    cautions: tuple[str, ...]


def co2_solubility(temperature_c: float, pressure_kpa: float = 100.0) -> float:
    """Return the CO2 that water holds.

    Parameters
    ----------
    temperature_c : float
        Temperature [°C], 0 to 100.
    pressure_kpa : float
        Partial pressure of CO2 [kPa], 0 to 1000.

    Returns
    -------
    float
        CO2 [g per kg of water].

    Raises
    ------
    PairingError
        Outside the ranges above.

    Notes
    -----
    ln(H/MPa) = -6.8346 + 1.2817e4/T - 3.7668e6/T^2 + 2.997e8/T^3, x = p/H.

    References
    ----------
    Carroll, Slupsky and Mather (1991), J. Phys. Chem. Ref. Data 20, 1201-1209.
    """
    if not 0 <= temperature_c <= 100:
        raise PairingError(f"CO2 solubility is known from 0 to 100 °C, got {temperature_c:g}")
    if not 0 <= pressure_kpa <= 1000:
        raise PairingError(f"CO2 pressure must be 0 to 1000 kPa, got {pressure_kpa:g}")
    t = temperature_c + sugar.ZERO_C
    henry = math.exp(-6.8346 + 1.2817e4 / t - 3.7668e6 / t**2 + 2.997e8 / t**3)
    x = pressure_kpa / 1000.0 / henry
    return x / (1.0 - x) * CO2_MOLAR_MASS / sugar.MOLAR_MASS_WATER * 1000.0


Part = tuple[float, float, float]  # grams, J/(g K), °C


def melt(
    parts: Sequence[Part], ice_g: float, ice_temperature_c: float, wanted_c: float
) -> tuple[float, float]:
    """Return how cold liquids get on ice, and the ice it takes.

    Parameters
    ----------
    parts : sequence of (grams, J/(g K), °C)
        Liquids, and the part of the glass that follows them.
    ice_g : float
        Ice [g].
    ice_temperature_c : float
        Its temperature [°C], 0 or below.
    wanted_c : float
        Temperature at which melting stops (stirred, carried) [°C]; the liquids stay warmer if
        all the ice melts first.

    Returns
    -------
    (float, float)
        Temperature [°C] and ice melted [g].

    Raises
    ------
    PairingError
        Ice above 0 °C, negative grams.

    Notes
    -----
    Heat balance: sum m c (t - t_f) = m_ice (333.55 + 4.19 t_f - 2.08 t_ice).
    """
    if ice_temperature_c > 0 or not ice_g >= 0 or any(not m >= 0 for m, _, _ in parts):
        raise PairingError("ice must be at 0 °C or below, and grams 0 or more")
    capacity = sum(m * c for m, c, _ in parts)
    if capacity <= 0:
        raise PairingError("nothing to cool: give liquids above 0 g")
    mean = sum(m * c * t for m, c, t in parts) / capacity
    if mean <= wanted_c:
        return mean, 0.0

    def needed(final: float) -> float:
        per_gram = FUSION_J_PER_G + WATER_J_PER_G_K * final - ICE_J_PER_G_K * ice_temperature_c
        return capacity * (mean - final) / per_gram

    if needed(wanted_c) <= ice_g:
        return wanted_c, needed(wanted_c)
    return bisect(lambda t: ice_g - needed(t), wanted_c, mean), ice_g


def _within(what: str, value: float, low: float, high: float, unit: str) -> float:
    if not (math.isfinite(value) and low <= value <= high):
        raise PairingError(f"{what} must be {low:g} to {high:g} {unit}, got {value:g}")
    return float(value)


def _check(spec: DrinkSpec) -> None:
    if spec.style not in ("hot", "iced", "sparkling", "milk", "iced-milk", "cold-brew"):
        raise PairingError(
            f"style must be hot, iced, sparkling, milk, iced-milk or cold-brew, got {spec.style!r}"
        )
    _within("syrup", spec.syrup.grams, 0, 500, "g")
    if not spec.syrup.composition.liquid > 0:
        raise PairingError("the syrup has no composition: give one above 0 g")
    _within("glass", spec.glass.volume_ml, 60, 1000, "ml")
    _within("coffee", spec.coffee.grams, 1, 1000, "g")
    for what, value in (("ice", spec.ice_g), ("coffee", spec.coffee_g), ("filler", spec.filler_g)):
        if value is not None:
            _within(what, value, 0, 1000, "g")
    _within("ice temperature", spec.ice_temperature_c, -30, 0, "°C")
    _within("glass temperature", spec.glass_c, -20, 90, "°C")
    _within("room temperature", spec.room_temperature_c, 0, 45, "°C")
    _within("carbonation", spec.carbonation_volumes, 0, 6, "volumes")
    if not spec.is_cold and spec.ice_g:
        raise PairingError(f"a {spec.style} drink takes no ice: use iced or iced-milk")


@dataclass(frozen=True, slots=True)
class _Fill:
    """Grams and millilitres in the glass."""

    coffee_g: float
    ice_g: float
    filler_g: float
    volume_ml: float
    headspace_ml: float
    needed_ml: float


def _fill(spec: DrinkSpec) -> _Fill:
    """Fill the glass, or say what does not fit."""
    glass, coffee = spec.glass, spec.coffee
    ice = spec.ice_g
    if ice is None:
        ice = ICE_G_PER_ML_GLASS * glass.volume_ml if spec.is_cold else 0.0
    ice_ml = ice / ICE_G_PER_ML
    ml_per_g_coffee = (
        1000.0
        / coffee.density_kg_per_m3
        * (1.0 + coffee.crema_percent / (100 - coffee.crema_percent))
    )
    density = MILK_G_PER_ML if spec.has_milk else 0.999
    foam = POUR_LOSS * FOAM_HELD * spec.carbonation_volumes if spec.style == "sparkling" else 0.0
    base = BARE_HEADSPACE_ML.get(spec.style, SPARKLING_BASE_ML)
    free = glass.volume_ml - base - spec.syrup.volume_ml - ice_ml  # ml for coffee and filler
    filler, cups = spec.filler_g, spec.coffee_g
    if cups is None:
        cups = coffee.grams
        if spec.is_long and spec.filler == "water":  # fills the glass itself
            cups = max(0.0, free - (filler or 0.0) / density) / ml_per_g_coffee
            cups = min(cups, 2.0 * coffee.grams)
            filler = filler or 0.0
        elif spec.is_long:  # half coffee, half milk or sparkling water
            cups = min(cups, max(0.0, free) / 2.0 / ml_per_g_coffee)
    if filler is None:
        room = max(0.0, free - cups * ml_per_g_coffee) / (1.0 + foam)
        if spec.style in ("hot", "iced", "cold-brew"):  # no weaker than a filter coffee
            room = min(room, max(0.0, cups * (coffee.tds_percent / READY_TDS - 1.0)) / density)
        filler = room * density
    needed = base + foam * filler / density
    volume = spec.syrup.volume_ml + ice_ml + cups * ml_per_g_coffee + filler / density
    over = volume + needed - glass.volume_ml
    if cups <= 0:
        raise PairingError(
            f"no room for coffee in {glass.volume_ml:.0f} ml: use less ice than {ice:.0f} g or a "
            "larger glass"
        )
    if over > 0.5:
        raise PairingError(
            f"{volume:.0f} ml and {needed:.0f} ml of headspace do not fit in {glass.volume_ml:.0f} "
            f"ml: leave out {over:.0f} ml of {spec.filler if filler > over else 'ice or coffee'}, "
            f"or take a glass of at least {math.ceil((volume + needed) / 10) * 10} ml"
        )
    return _Fill(cups, ice, filler, volume, glass.volume_ml - volume, needed)


def _fructose_sweetness(temperature_c: float) -> float:
    t = min(max(temperature_c, FRUCTOSE_C[0]), FRUCTOSE_C[-1])
    for i in range(1, len(FRUCTOSE_C)):
        if t <= FRUCTOSE_C[i]:
            part = (t - FRUCTOSE_C[i - 1]) / (FRUCTOSE_C[i] - FRUCTOSE_C[i - 1])
            return FRUCTOSE_SWEET[i - 1] + part * (FRUCTOSE_SWEET[i] - FRUCTOSE_SWEET[i - 1])
    return FRUCTOSE_SWEET[-1]


def _sucrose_equivalent(m: Masses, lactose_g: float, temperature_c: float) -> float:
    return (
        m.sucrose
        + SWEET_GLUCOSE * m.glucose
        + _fructose_sweetness(temperature_c) * m.fructose
        + SWEET_OTHER * m.other_sugars
        + SWEET_POLYOL * m.polyols
        + SWEET_LACTOSE * lactose_g
    )


def _cold_factor(temperature_c: float) -> float:
    part = (temperature_c - COLD_C) / (FULL_C - COLD_C)
    return COLD_SWEETNESS + (1.0 - COLD_SWEETNESS) * min(max(part, 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class _Mix:
    """What the drink is mixed from, before ice melts into it."""

    syrup: Masses
    coffee: Coffee
    coffee_g: float
    milk_g: float
    other_water_g: float
    co2_g: float

    @property
    def grams(self) -> float:
        return self.syrup.liquid + self.coffee_g + self.milk_g + self.other_water_g

    @property
    def coffee_l(self) -> float:
        return self.coffee_g / self.coffee.density_kg_per_m3

    @property
    def milk_l(self) -> float:
        return self.milk_g / MILK_G_PER_ML / 1000.0

    @property
    def acid_mol(self) -> float:
        """Titratable acid of syrup and coffee [mol of charge]; carbonic acid not counted."""
        citric = 3.0 * self.syrup.acid / CITRIC_MOLAR_MASS
        return citric + self.coffee.acid_mmol_per_l * self.coffee_l / 1000.0

    def ph(self, litres: float, temperature_c: float) -> float:
        """Charge balance of citrate, minerals, coffee and milk buffers and CO2."""
        cations = CATIONS_PER_G_ASH * self.syrup.ash
        citrate = (3.0 * self.syrup.acid / CITRIC_MOLAR_MASS + cations) / 3.0
        coffee = self.coffee.buffer_mmol_per_l_ph * self.coffee_l / 1000.0
        milk = MILK_BUFFER_MMOL_PER_L_PH * self.milk_l / 1000.0
        carbonic = self.co2_g / CO2_MOLAR_MASS
        warm = min(max(temperature_c, 0.0), 110.0)

        def balance(ph: float) -> float:
            hydrogen = 10.0**-ph
            bicarbonate = carbonic / (1.0 + hydrogen * 10.0**CARBONIC_PK)
            free = (10.0 ** (ph - WATER_PK) - hydrogen) * litres
            buffers = coffee * (ph - self.coffee.ph) + milk * (ph - MILK_PH)
            return float(citrate * citric_charge(ph, warm) - cations + bicarbonate + free + buffers)

        return bisect(balance, 1.5, 9.0)

    def at(self, temperature_c: float, melted_g: float, ice_left_g: float) -> Moment:
        """Return the drink at a temperature with `melted_g` of ice in it."""
        liquid = self.grams + melted_g
        lactose = MILK_LACTOSE * self.milk_g
        coffee_solids = self.coffee.tds_percent / 100.0 * self.coffee_g
        solids = self.syrup.dissolved + coffee_solids + MILK_SOLIDS * self.milk_g
        sweet = _sucrose_equivalent(self.syrup, lactose, temperature_c)
        brix = 100.0 * solids / liquid
        litres = liquid / float(sugar.density(min(brix, 85.0)))
        return Moment(
            temperature_c=temperature_c,
            melted_g=melted_g,
            ice_left_g=ice_left_g,
            liquid_g=liquid,
            brix=brix,
            sugar_percent=100.0 * self.syrup.sugars / liquid,
            sweetness_percent=100.0 * sweet / liquid,
            perceived_sweetness_percent=100.0 * sweet / liquid * _cold_factor(temperature_c),
            tds_percent=100.0 * coffee_solids / liquid,
            acid_percent=100.0 * self.acid_mol * CITRIC_MOLAR_MASS / 3.0 / liquid,
            ph=self.ph(litres, temperature_c),
        )


def build(spec: DrinkSpec) -> Drink:
    """Return the drink that a spec gives.

    Parameters
    ----------
    spec : DrinkSpec

    Returns
    -------
    Drink

    Raises
    ------
    PairingError
        Bad numbers, or more than fits in the glass, with what would fit.

    Notes
    -----
    Ice melts by a heat balance with half the glass until the drink is 3 K above its freezing
    point (`melt`); in ten minutes more it reaches the freezing point and the room melts a
    little on top. Hot drinks lose 2.5 % of their excess over the room a minute.
    """
    _check(spec)
    fill = _fill(spec)
    milk = fill.filler_g if spec.has_milk else 0.0
    litres_sparkling = fill.filler_g / 999.0 if spec.style == "sparkling" else 0.0
    gas_l = spec.carbonation_volumes * litres_sparkling * (1.0 - POUR_LOSS)
    mix = _Mix(
        syrup=spec.syrup.masses(),
        coffee=spec.coffee,
        coffee_g=fill.coffee_g,
        milk_g=milk,
        other_water_g=fill.filler_g - milk,
        co2_g=gas_l * CO2_G_PER_VOLUME,
    )
    poured = _poured(spec, mix)
    served, later = (
        _cold_moments(spec, fill, mix, poured) if spec.is_cold else _hot_moments(spec, mix, poured)
    )
    crema = spec.coffee.crema_percent
    added = mix.syrup.sugars
    lactose = MILK_LACTOSE * milk
    share = fill.coffee_g / spec.coffee.grams
    low, high = spec.coffee.caffeine_mg
    litres = served.liquid_g / served.density_kg_per_m3
    drink = Drink(
        spec=spec,
        coffee_g=fill.coffee_g,
        ice_g=fill.ice_g,
        filler_g=fill.filler_g,
        coffee_c=poured.coffee_c,
        filler_c=poured.filler_c,
        crema_ml=1000.0 * mix.coffee_l * crema / (100.0 - crema),
        volume_ml=fill.volume_ml,
        headspace_ml=fill.headspace_ml,
        headspace_needed_ml=fill.needed_ml,
        served=served,
        after_ten_minutes=later,
        sugar_g=added + lactose,
        added_sugar_g=added,
        energy_kcal=KCAL_PER_G_SUGAR * added
        + KCAL_PER_G_POLYOL * mix.syrup.polyols
        + KCAL_PER_G_ACID * mix.syrup.acid
        + MILK_KCAL_PER_G * milk,
        caffeine_mg=(low * share, high * share),
        co2_volumes=gas_l / litres,
        co2_keeps_volumes=_kept_volumes(served),
        steps=(),
        cautions=(),
    )
    return replace(drink, steps=_steps(drink), cautions=_cautions(drink))


def _kept_volumes(served: Moment) -> float:
    """CO2 that the open drink holds against 1 atm of it [volumes]: less with sugar in it."""
    t = min(max(served.temperature_c, 0.0), 100.0)
    water = served.density_kg_per_m3 * (1.0 - served.brix / 100.0)
    return co2_solubility(t, 101.325) * water / 1000.0 / CO2_G_PER_VOLUME


@dataclass(frozen=True, slots=True)
class _Poured:
    """Temperatures of coffee and filler as they meet the glass [°C]."""

    coffee_c: float
    filler_c: float


def _poured(spec: DrinkSpec, mix: _Mix) -> _Poured:
    """Return how hot coffee and filler go in; in a hot drink, so that it is served at 62.5 °C.

    The filler is what is adjusted, within what a steam wand or kettle gives; without one, coffee
    that is brewed cold is heated.
    """
    brewed = mix.coffee.temperature_c
    if brewed > 40:
        brewed -= BREWS_LOSE_K
    if spec.is_cold:
        return _Poured(brewed, CHILLED_C)
    cold_coffee = brewed <= 40
    if cold_coffee:
        brewed = REHEATED_C[0]
    filler_g = mix.milk_g + mix.other_water_g
    if filler_g > 0.5:
        least, most = STEAMED_C if spec.has_milk else (TAP_C, KETTLE_C)
        needed = _to_target(spec, mix, _Poured(brewed, least), filler=True)
        return _Poured(brewed, min(max(needed, least), most))
    if cold_coffee:
        needed = _to_target(spec, mix, _Poured(brewed, HOT_TARGET_C), filler=False)
        brewed = min(max(needed, REHEATED_C[0]), REHEATED_C[1])
    return _Poured(brewed, HOT_TARGET_C)


def _to_target(spec: DrinkSpec, mix: _Mix, poured: _Poured, *, filler: bool) -> float:
    """Return the temperature of filler or coffee at which the drink is served as wanted [°C]."""
    parts = _parts(spec, mix, GLASS_SHARE, poured)
    missing = sum(m * c * (HOT_TARGET_C - t) for m, c, t in parts)
    chosen = parts[2:4] if filler else parts[1:2]
    start = poured.filler_c if filler else poured.coffee_c
    return start + missing / sum(m * c for m, c, _ in chosen)


def _parts(spec: DrinkSpec, mix: _Mix, glass_share: float, poured: _Poured) -> list[Part]:
    syrup_c = float(sugar.heat_capacity(min(spec.syrup.composition.brix, 90.0), 20.0)) / 1000.0
    coffee_c = WATER_J_PER_G_K * (1.0 - 0.6 * mix.coffee.tds_percent / 100.0)
    return [
        (spec.syrup.grams, syrup_c, spec.syrup.temperature_c),
        (mix.coffee_g, coffee_c, poured.coffee_c),
        (mix.milk_g, MILK_J_PER_G_K, poured.filler_c),
        (mix.other_water_g, WATER_J_PER_G_K, poured.filler_c),
        (glass_share * spec.glass.mass_g, GLASS_J_PER_G_K, spec.glass_c),
    ]


def _cold_moments(
    spec: DrinkSpec, fill: _Fill, mix: _Mix, poured: _Poured
) -> tuple[Moment, Moment]:
    """Return an iced drink when served and ten minutes later."""
    wet = SURFACE_WATER * fill.ice_g
    solid = fill.ice_g - wet
    parts = [*_parts(spec, mix, GLASS_SHARE, poured), (wet, WATER_J_PER_G_K, 0.0)]
    brix = mix.at(0.0, wet, 0.0).brix
    freezing = float(sugar.freezing_point(min(brix, 62.0)))
    t, melted = melt(parts, solid, spec.ice_temperature_c, freezing + SERVED_ABOVE_FREEZING_K)
    served = mix.at(t, melted + wet, solid - melted)
    whole = [*_parts(spec, mix, 1.0, poured), (wet, WATER_J_PER_G_K, 0.0)]
    coldest, in_all = melt(whole, solid, spec.ice_temperature_c, freezing)
    room = ROOM_MELT_G_PER_ML * spec.glass.volume_ml * max(0.0, spec.room_temperature_c / 22.0)
    in_all = min(solid, max(in_all, melted) + room)
    left = solid - in_all
    if left <= 0:  # no ice: it warms towards the room
        excess = spec.room_temperature_c - coldest
        coldest += excess * (1.0 - math.exp(-10.0 * HOT_COOLING_PER_MIN))
    return served, mix.at(coldest, in_all + wet, left)


def _hot_moments(spec: DrinkSpec, mix: _Mix, poured: _Poured) -> tuple[Moment, Moment]:
    """Return a hot drink when served and ten minutes later."""
    parts = _parts(spec, mix, GLASS_SHARE, poured)
    t = sum(m * c * x for m, c, x in parts) / sum(m * c for m, c, _ in parts)
    kept = math.exp(-10.0 * HOT_COOLING_PER_MIN)
    later = spec.room_temperature_c + (t - spec.room_temperature_c) * kept
    return mix.at(t, 0.0, 0.0), mix.at(later, 0.0, 0.0)


def _steps(drink: Drink) -> tuple[str, ...]:
    """Say in which order to build and how to pour."""
    spec, filler = drink.spec, drink.spec.filler
    syrup = f"{spec.syrup.grams:.0f} g ({spec.syrup.volume_ml:.0f} ml) {spec.syrup.name}"
    coffee = f"{drink.coffee_g:.0f} g {spec.coffee.name.lower()}"
    if not spec.is_cold and spec.coffee.temperature_c <= 40:
        coffee += f" heated to {drink.coffee_c:.0f} °C"
    ice = f"{drink.ice_g:.0f} g ice"
    poured = f"{drink.filler_g:.0f} g {filler}"
    free = f"{drink.headspace_ml:.0f} ml"
    if spec.style == "sparkling":
        return (
            f"Chill the glass; {syrup} first, it is the heaviest and stays below.",
            f"Add {ice}, then pour {poured} slowly down the side of the tilted glass.",
            f"Brew {coffee}; stir the crema in and wait half a minute, or it will foam over."
            if spec.coffee.crema_percent > 0
            else f"Have {coffee} ready, as cool as can be.",
            "Pour the coffee low and slowly over the back of a spoon onto the ice: it floats in a "
            f"layer. Stop at once if the foam climbs; {free} must stay free.",
            "Serve layered; stir late, two slow turns from the bottom. Do not shake or cap.",
        )
    if spec.style in ("iced", "cold-brew"):
        stays = f"Add {ice}, stir ten seconds, serve; {free} stay free."
        watered = f", {poured}" if drink.filler_g > 0.5 else ""
        hot = spec.coffee.temperature_c > 40
        first = "Brew onto the syrup and stir until clear" if hot else "Stir into the syrup"
        return (
            f"{syrup} into the glass.",
            f"{first}: {coffee}{watered}." if hot else f"{first}: {coffee}{watered}, cold.",
            stays,
        )
    if spec.style == "hot":
        steps = (
            f"Rinse the cup with hot water and empty it; {syrup} in.",
            f"Pour {coffee} on it and stir until clear.",
        )
        return (*steps, f"Top with {_hot_water(drink)}.") if drink.filler_g > 0.5 else steps
    if spec.style == "milk":
        return (
            f"Rinse the cup with hot water and empty it; {syrup} in, {coffee} on it, stir until "
            "clear.",
            f"Steam {poured} to {drink.filler_c:.0f} °C, not hotter, and pour it "
            "in last: acid and coffee are thinned before milk meets them.",
        )
    return (
        f"{syrup} into the glass, {coffee} on it, stir until clear.",
        f"Add {ice}, then {poured}, cold, last and slowly; stir at the table.",
    )


def _hot_water(drink: Drink) -> str:
    """Say how hot the water is that tops a hot drink up, and how to get it from kettle and tap."""
    c, grams = drink.filler_c, drink.filler_g
    if c >= KETTLE_C - 1.0:
        return f"{grams:.0f} g water just off the boil ({c:.0f} °C)"
    hot = grams * (c - TAP_C) / (KETTLE_C - TAP_C)
    mixed = (
        f" (such as {hot:.0f} g just off the boil and {grams - hot:.0f} g cold)"
        if grams - hot >= 5.0
        else ""
    )
    served = drink.served.temperature_c
    return f"{grams:.0f} g water at {c:.0f} °C{mixed}, so that it is served at {served:.0f} °C"


def _cautions(drink: Drink) -> tuple[str, ...]:
    """Say what can hurt in building it; caffeine and allergens are `pairing.safety`'s."""
    spec, found = drink.spec, []
    hot = spec.coffee.temperature_c > 50
    if hot and not spec.glass.heat_resistant:
        called = spec.glass.name.split(",")[0].lower()
        found.append(
            f"A {called} is not made for heat: hot coffee on ice or cold glass can crack it. Pour "
            "onto the liquid, not the glass, or use heat-proof glass."
        )
    if drink.served.temperature_c > VERY_HOT_C:
        found.append(
            f"Above {VERY_HOT_C:.0f} °C a drink scalds, and drinking it so is classed as probably "
            "carcinogenic (IARC)."
        )
    if spec.style == "sparkling":
        found.append("Coffee makes sparkling water erupt: pour slowly, never close or shake it.")
    if spec.has_milk and spec.milk != "dairy":
        found.append(
            f"Energy, sweetness and curdling are reckoned with whole dairy milk: {spec.filler} "
            "differs, so read its pack and try one cup."
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Advice:
    """A fault of a drink and its smallest remedy.

    Attributes
    ----------
    problem : str
        ``too sweet``, ``not sweet``, ``warm``, ``too hot``, ``lukewarm``, ``thin``, ``sour``,
        ``bitter``, ``curdling``, ``spice over coffee`` or ``flat``.
    words : str
        What is wrong, with the number.
    change : str
        The smallest change that mends it.
    """

    problem: str
    words: str
    change: str


def _curdling_ph(temperature_c: float) -> float:
    return CURDLE_PH_COLD + CURDLE_PH_PER_K * max(0.0, temperature_c - 4.0)


def advise(drink: Drink, spice_share: float | None = None) -> tuple[Advice, ...]:
    """Return what to change about a drink, in words from its numbers.

    Parameters
    ----------
    drink : Drink
    spice_share : float, optional
        Share of the aroma loudness that is spice and citrus, 0 to 1.

    Returns
    -------
    tuple of Advice
        Empty if nothing is wrong.
    """
    found = [_sweetness(drink), _warm(drink), _hot(drink), _thin(drink), _sour(drink)]
    found += [_bitter(drink), _curdling(drink), _drowned(spice_share), _flat(drink)]
    return tuple(advice for advice in found if advice is not None)


def _sweetness(drink: Drink) -> Advice | None:
    m, spec = drink.served, drink.spec
    low, high = SWEET_WORDS[0][0], SWEET_WORDS[-1][0]
    if m.perceived_sweetness_percent >= high:
        problem, wanted = "too sweet", SWEET_WORDS[2][0]
    elif m.perceived_sweetness_percent < low and spec.syrup.grams > 0:
        problem, wanted = "not sweet", 1.05 * low
    else:
        return None
    words = f"{m.sweetness_percent:.1f} % sucrose equivalents is {m.sweetness_word}."
    return Advice(problem, words, _try_syrup(spec, wanted / _cold_factor(m.temperature_c)))


def _warm(drink: Drink) -> Advice | None:
    """An iced drink that all its ice cannot cool, with what mends it."""
    m = drink.served
    if not drink.spec.is_cold or m.temperature_c <= WARM_C:
        return None
    words = f"All the ice melts and it is served at {m.temperature_c:.0f} °C."
    changes = [c for c in (_cooled_coffee(drink), _more_ice(drink)) if c]
    if not changes:
        changes = ["Brew the coffee at double strength on half the water, over the ice"]
    return Advice("warm", words, "; or ".join(changes) + ".")


def _served_c(spec: DrinkSpec) -> float:
    return build(spec).served.temperature_c


def _cooled_coffee(drink: Drink) -> str:
    """How far to cool the coffee first; empty where that does not do it."""
    spec = drink.spec

    def cooled(c: float) -> float:
        return _served_c(replace(spec, coffee=replace(spec.coffee, temperature_c=c))) - MENDED_C

    low, high = CHILLED_COFFEE_C, min(spec.coffee.temperature_c, 40.0)
    if high <= low or cooled(low) > 0:
        return ""
    if cooled(high) > 0:
        c = bisect(cooled, low, high)
    else:  # above 40 °C brewed coffee is taken to lose 2 K on its way to the glass
        c = bisect(cooled, 40.01, spec.coffee.temperature_c)
    return f"Let the coffee cool to {math.floor(c)} °C before it meets the ice"


def _more_ice(drink: Drink) -> str:
    """More ice and, where the glass is full, less coffee; empty where it gets thin or no room."""
    spec = drink.spec
    most = ICE_G_PER_ML * spec.glass.volume_ml

    def mended(ice_g: float) -> Drink | None:
        try:
            return build(replace(spec, ice_g=ice_g))
        except PairingError:
            return None

    def enough(ice_g: float) -> float:
        trial = mended(ice_g)
        return 1.0 if trial is None else MENDED_C - trial.served.temperature_c

    ice = math.ceil(bisect(enough, drink.ice_g, most))
    trial = mended(ice)
    if trial is None or trial.served.temperature_c > WARM_C:
        return ""
    if trial.served.tds_percent < THIN_TDS:
        return ""
    change = f"Use {ice} g of ice instead of {drink.ice_g:.0f} g"
    if trial.coffee_g < drink.coffee_g - 0.5:
        change += f" and {trial.coffee_g:.0f} g of {spec.coffee.name.lower()}"
    return change


def _hot(drink: Drink) -> Advice | None:
    """A hot drink too hot to hand over, or no longer hot."""
    t, spec = drink.served.temperature_c, drink.spec
    if spec.is_cold:
        return None
    if t > VERY_HOT_C:
        room = spec.room_temperature_c
        minutes = math.log((t - room) / (VERY_HOT_C - room)) / HOT_COOLING_PER_MIN
        return Advice(
            "too hot",
            f"It is {t:.0f} °C in the cup.",
            f"Let it stand about {math.ceil(minutes)} minutes, or use a cold cup; serve it at 60 "
            f"to {VERY_HOT_C:.0f} °C.",
        )
    if t >= LUKEWARM_C:
        return None
    return Advice(
        "lukewarm",
        f"It is {t:.0f} °C in the cup.",
        "Use a smaller or hotter cup, warm the syrup, or hotter coffee.",
    )


def _sour(drink: Drink) -> Advice | None:
    m = drink.served
    if m.acid_percent <= 0 or m.sweetness_percent / m.acid_percent >= SOUR_RATIO:
        return None
    cut = 100.0 * (1.0 - m.sweetness_percent / (SOUR_RATIO * m.acid_percent))
    return Advice(
        "sour",
        f"{m.acid_percent:.2f} % acid to {m.sweetness_percent:.1f} % sweetness tastes sour, and "
        "coffee's bitterness sharpens it.",
        f"Use less juice or acid, {cut:.0f} % less in the drink, or the same with more sugar.",
    )


def _bitter(drink: Drink) -> Advice | None:
    m = drink.served
    if m.tds_percent <= BITTER_TDS or m.sweetness_percent >= 2.0 * m.tds_percent:
        return None
    water = m.liquid_g * (m.tds_percent / BITTER_TDS - 1.0)
    return Advice(
        "bitter",
        f"{m.tds_percent:.1f} % coffee to {m.sweetness_percent:.1f} % sweetness is bitter.",
        f"Add {water:.0f} g of {drink.spec.filler}, or a little more syrup.",
    )


def _drowned(spice_share: float | None) -> Advice | None:
    if spice_share is None or _within("spice share", spice_share, 0, 1, "") <= SPICE_DROWNS:
        return None
    keep = SPICE_DROWNS / (1.0 - SPICE_DROWNS) * (1.0 - spice_share) / spice_share
    return Advice(
        "spice over coffee",
        f"Spice and citrus are {100 * spice_share:.0f} % of the aroma: coffee drowns in it.",
        f"Take {100 * (1 - keep):.0f} % off their loudness: less spice, or part of this syrup "
        "replaced by plain syrup.",
    )


def _flat(drink: Drink) -> Advice | None:
    if drink.spec.style != "sparkling" or drink.co2_volumes >= FLAT_VOLUMES:
        return None
    return Advice(
        "flat",
        f"{drink.co2_volumes:.1f} volumes of CO2 are left: it tastes flat.",
        "Use more and colder sparkling water, a chilled glass and one gentle turn.",
    )


def _try_syrup(spec: DrinkSpec, sweetness: float) -> str:
    try:
        grams = syrup_for_sweetness(spec, sweetness).spec.syrup.grams
    except PairingError:
        return "Use another size of glass."
    return f"Take {grams:.0f} g of syrup instead of {spec.syrup.grams:.0f} g."


def _thin(drink: Drink) -> Advice | None:
    m, spec = drink.served, drink.spec
    if m.tds_percent >= THIN_TDS:
        return None
    less = m.liquid_g * (1.0 - m.tds_percent / THIN_TDS)
    change = f"Leave out {less:.0f} g of {spec.filler}"
    if spec.is_long and spec.is_cold and spec.coffee.temperature_c > 40:
        change = "Chill the coffee before it meets the ice, or brew it with less water"
    elif less >= drink.filler_g:
        change = "Use less ice, or brew it stronger"
    more = drink.coffee_g * (THIN_TDS / m.tds_percent - 1.0) if m.tds_percent > 0 else 0.0
    if more <= drink.headspace_ml - drink.headspace_needed_ml:
        change += f", or take {more:.0f} g more {spec.coffee.name.lower()}"
    return Advice("thin", f"{m.tds_percent:.2f} % coffee is thin.", f"{change}.")


def _curdling(drink: Drink) -> Advice | None:
    m, spec = drink.served, drink.spec
    clots = _curdling_ph(m.temperature_c)
    if not spec.has_milk or drink.filler_g <= 0 or m.ph > clots + CURDLE_MARGIN:
        return None
    sure = m.ph <= clots
    words = (
        f"pH {m.ph:.1f} at {m.temperature_c:.0f} °C: milk {'will' if sure else 'may'} curdle "
        f"(it clots near pH {clots:.1f} at that temperature)."
    )

    def gap(less: float) -> float:
        trial = replace(spec, syrup=replace(spec.syrup, grams=spec.syrup.grams - less))
        return build(trial).served.ph - clots - CURDLE_MARGIN

    change = "Leave the milk out or use an unsoured syrup."
    if spec.syrup.grams > 0 and gap(spec.syrup.grams) > 0:
        g = spec.syrup.grams - bisect(gap, 0.0, spec.syrup.grams)
        change = f"Take at most {g:.0f} g of this syrup, or an unsoured one; add milk last."
    if not spec.is_cold:
        change += " Serving it iced helps."
    return Advice("curdling", words, change)


def _solve_syrup(spec: DrinkSpec, value: Callable[[Moment], float], target: float) -> Drink:
    """Return the drink whose syrup brings `value` to `target`, filler giving way."""
    _within("target", target, 0, 60, "%")

    def made(grams: float) -> Drink:
        return build(replace(spec, syrup=replace(spec.syrup, grams=grams)))

    lowest = value(made(0.0).served)
    if target < lowest:
        raise PairingError(f"without syrup it is {lowest:.1f} % already: {target:g} cannot be met")
    high = 1.0
    top = lowest
    while top < target:
        try:
            top = value(made(high * 2.0).served)
        except PairingError:
            raise PairingError(
                f"{target:g} % does not fit: {high:.0f} g of syrup gives {top:.1f} % and more "
                "leaves no room; use a stronger syrup, less filler or a larger glass"
            ) from None
        high *= 2.0
    return made(bisect(lambda g: value(made(g).served) - target, 0.0, high))


def syrup_for_brix(spec: DrinkSpec, target_brix: float) -> Drink:
    """Return the drink with the syrup that brings it to a °Bx when served.

    Parameters
    ----------
    spec : DrinkSpec
        Its syrup grams are replaced.
    target_brix : float
        All dissolved solids of the served drink [% w/w].

    Returns
    -------
    Drink

    Raises
    ------
    PairingError
        If coffee and milk alone are above it, or the syrup does not fit.
    """
    return _solve_syrup(spec, lambda m: m.brix, target_brix)


def syrup_for_sweetness(spec: DrinkSpec, percent: float) -> Drink:
    """Return the drink with the syrup that brings it to a sweetness when served.

    Parameters
    ----------
    spec : DrinkSpec
        Its syrup grams are replaced.
    percent : float
        Sucrose equivalents [% w/w].

    Returns
    -------
    Drink

    Raises
    ------
    PairingError
        If milk alone is above it, or the syrup does not fit.
    """
    return _solve_syrup(spec, lambda m: m.sweetness_percent, percent)


def drinks_per_bottle(bottle_ml: float, syrup_g: float, density_kg_per_m3: float) -> int:
    """Return how many whole drinks a bottle of syrup gives.

    Parameters
    ----------
    bottle_ml : float
        Syrup in the bottle [ml].
    syrup_g : float
        Syrup in a drink [g].
    density_kg_per_m3 : float
        Density of the syrup.

    Returns
    -------
    int

    Raises
    ------
    PairingError
        Numbers that are not above zero.
    """
    _within("bottle", bottle_ml, 1, 1e6, "ml")
    _within("syrup in a drink", syrup_g, 0.1, 1000, "g")
    _within("density", density_kg_per_m3, 900, 1600, "kg/m3")
    return math.floor(bottle_ml * density_kg_per_m3 / 1000.0 / syrup_g + 1e-9)
