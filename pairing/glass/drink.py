"""The drink in the glass: what fits, and how cold, sweet, strong and sour it lands.

A `DrinkSpec` says what goes into which glass; `build` fills what is left open, steams the milk,
melts the ice, and works out strength, temperature, acidity, caffeine and gas.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

from pairing.errors import PairingError
from pairing.evidence.rows import Milk
from pairing.glass.added import ETHANOL_G_PER_ML, Added
from pairing.glass.fizz import (
    CARBONIC_PK,
    CO2_G_PER_VOLUME,
    CO2_MOLAR_MASS,
    co2_solubility,
    lost_on_pouring,
)
from pairing.glass.liquids import steam_water
from pairing.glass.melting import WATER_J_PER_G_K, Part, melt
from pairing.glass.spec import ICE_G_PER_ML, DrinkSpec, PouredCoffee, checked
from pairing.glass.taste import SWEET_WORDS, VERY_SWEET, cold_factor
from pairing.syrup import sugar
from pairing.syrup.composition import Masses
from pairing.syrup.keeping import (
    CATIONS_PER_G_ASH,
    CITRIC_MOLAR_MASS,
    WATER_PK,
    citric_charge,
)
from pairing.syrup.sweetness import sucrose_equivalent

__all__ = ["Drink", "Moment", "build", "clots_at", "curdling_ph"]

GLASS_J_PER_G_K = 0.84  # CRC Handbook, soda-lime glass
SURFACE_WATER = 0.05  # of wet bar ice, 3-8 %
SERVED_ABOVE_FREEZING_K = 3.0  # an iced drink, stirred and carried
BLENDED_ABOVE_FREEZING_K = 0.3  # crushed ice and liquid are one slush: estimate
GLASS_SHARE = 0.5  # of the glass that follows the drink's temperature by the time it is served
ROOM_MELT_G_PER_ML = 10.0 / 355.0  # ice a warm room melts in 10 min, 5-15 g in a 355 ml glass
HOT_COOLING_PER_MIN = 0.025  # share of the excess over room temperature that a mug loses
CHILLED_C, TAP_C = 4.0, 15.0  # filler of a cold drink; water from the cold tap
HOT_TARGET_C = 62.5  # a hot drink when served: 60 to 65 °C
KETTLE_C = 95.0  # the hottest water to top up with, and what is mixed down from
STEAMED_C = (55.0, 65.0)  # milk; above it proteins cook and sweetness goes
REHEATED_C = (60.0, 85.0)  # cold coffee that goes into a hot drink
READY_TDS = 1.4  # strength that a concentrate is watered down to
FOAM_HELD = 0.15  # of the gas set free that stands as foam at once; gives 20-40 ml in 355 ml
BREWS_LOSE_K = 2.0  # a shot on its way from machine to glass
HOT_MILK_DENSITY = 0.985  # of the cold density, at 60 °C: Short (1955), see `liquids.milk_density`
ETHANOL_ML_PER_G = 1.165  # that it adds to watery liquid at 10 to 40 % vol, from OIML R 22 (1973)
ETHANOL_G_PER_MOL, CRYOSCOPIC_K_KG = 46.07, 1.86  # CRC Handbook
SWEETENED_PERCENT, SWEETENED_MILK_G = 30.0, 30.0  # condensed milk, 25-30 g: common practice
LEAST_FILLER_ML = 1.0  # less than that nobody pours
ENOUGH_MOL, ENOUGH_PH = 1e-9, 1e-6  # of charge left over in the drink, and of pH
MOST_SHAKES = 12  # rounds until what melts in the shaker fits the glass
SCOOP_J_PER_G_K = 3.0  # of what is not ice in ice cream: estimate
KCAL_PER_G_SUGAR, KCAL_PER_G_POLYOL, KCAL_PER_G_ACID = 4.0, 2.4, 3.0  # EU 1169/2011 Annex XIV


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
    alcohol_g : float
        Ethanol in it [g].
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
    alcohol_g: float = 0.0

    @property
    def volume_ml(self) -> float:
        """Volume of the liquid [ml], all solids counted as sucrose."""
        rest = self.liquid_g - self.alcohol_g
        brix = min(self.brix * self.liquid_g / rest, 90.0) if rest > 0 else 0.0
        density = float(sugar.density(brix, min(max(self.temperature_c, 0.0), 100.0)))
        return 1000.0 * rest / density + ETHANOL_ML_PER_G * self.alcohol_g

    @property
    def density_kg_per_m3(self) -> float:
        """Density [kg/m3], all solids counted as sucrose."""
        return 1000.0 * self.liquid_g / self.volume_ml

    @property
    def alcohol_percent(self) -> float:
        """Alcohol [% by volume]."""
        return 100.0 * self.alcohol_g / ETHANOL_G_PER_ML / self.volume_ml

    @property
    def sweetness_word(self) -> str:
        """How sweet it is, in words."""
        for top, word in SWEET_WORDS:
            if self.perceived_sweetness_percent < top:
                return word
        return VERY_SWEET


def freezing_point(liquid_g: float, solids_g: float, alcohol_g: float) -> float:
    """Return where a drink begins to freeze.

    Parameters
    ----------
    liquid_g, solids_g, alcohol_g : float
        All of it, its dissolved solids, its ethanol [g].

    Returns
    -------
    float
        [°C]: solids as sucrose, alcohol by Blagden's law.
    """
    brix = 100.0 * solids_g / liquid_g
    water = liquid_g - solids_g - alcohol_g
    ethanol = 1000.0 * alcohol_g / ETHANOL_G_PER_MOL / max(water, 1.0)
    return float(sugar.freezing_point(min(brix, 62.0))) - CRYOSCOPIC_K_KG * ethanol


@dataclass(frozen=True, slots=True)
class Drink:
    """A drink worked out.

    Attributes
    ----------
    spec : DrinkSpec
        What was asked for.
    coffee_g, ice_g, filler_g : float
        What goes in [g]; ice in the shaker of a strained drink.
    thrown_g : float
        Ice that stays in the shaker [g].
    coffee_c, filler_c : float
        How hot coffee and filler go in [°C]; those of a hot drink bring it to 60 to 65 °C.
    steam_g : float
        Water that steam leaves in the milk [g].
    foam_ml : float
        Foam of steamed milk, shaking or gas, part of the filled volume [ml].
    crema_ml : float
        Crema on the coffee, part of the filled volume [ml].
    volume_ml, headspace_ml, headspace_needed_ml : float
        Filled volume with ice and crema, free space, and the least free space [ml].
    served, after_ten_minutes : Moment
        In the hand, and later.
    sugar_g, added_sugar_g : float
        All sugar, and sugar that is not of its milk [g].
    energy_kcal : float
        Energy.
    caffeine_mg : (float, float)
        Low and high [mg].
    quinine_mg : (float, float)
        Low and high, of a mixer that holds it [mg].
    co2_volumes, co2_keeps_volumes : float
        Carbonation after mixing, and what the drink would hold open at its temperature.
    steps, cautions : tuple of str
        Order of building, and what can hurt.
    """

    spec: DrinkSpec
    coffee_g: float
    ice_g: float
    thrown_g: float
    filler_g: float
    coffee_c: float
    filler_c: float
    steam_g: float
    foam_ml: float
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
    quinine_mg: tuple[float, float]
    co2_volumes: float
    co2_keeps_volumes: float
    steps: tuple[str, ...]
    cautions: tuple[str, ...]


class _Fill(NamedTuple):
    """Grams and millilitres in the glass."""

    coffee_g: float
    ice_g: float
    filler_g: float
    foam_ml: float
    volume_ml: float
    headspace_ml: float
    needed_ml: float


def _ml_per_g_filler(spec: DrinkSpec) -> float:
    """Volume that a gram of filler takes in the glass: steamed, with its water and foam [ml/g]."""
    cold = 1.0 / spec.filler_g_per_ml
    if not spec.is_steamed or spec.milk is None:
        return cold
    wet = 1.0 + steam_water(1.0, CHILLED_C, STEAMED_C[1], spec.milk.heat_j_per_g_k)
    return wet * cold / HOT_MILK_DENSITY * (1.0 + spec.style.foam_percent / 100.0)


def _fill(spec: DrinkSpec, melted_g: float = 0.0) -> _Fill:
    """Fill the glass, or say what does not fit; `melted_g` of a shaker's ice comes with it."""
    glass, coffee, style = spec.glass, spec.coffee, spec.style
    ice = spec.ice_g
    if ice is None:
        ice = style.ice_g_per_ml * glass.volume_ml if spec.is_iced else 0.0
    ice_ml = 0.0 if spec.is_strained else ice / ICE_G_PER_ML
    top_ml = sum(a.volume_ml for a in spec.on_top)
    other_ml = spec.syrup.volume_ml + melted_g + sum(a.volume_ml for a in spec.stirred_in)
    ml_per_g_coffee = (
        1000.0
        / coffee.density_kg_per_m3
        * (1.0 + coffee.crema_percent / (100 - coffee.crema_percent))
    )
    per_g = _ml_per_g_filler(spec)
    foam = 0.0
    if spec.is_fizzy and spec.mixer is not None:
        foam = _gas_lost(spec) * FOAM_HELD * spec.mixer.co2_volumes
    air = 0.0 if spec.is_steamed else style.foam_percent / 100.0  # of all liquid, shaken or gassed
    base = style.headspace_ml
    free = glass.volume_ml - base - ice_ml - top_ml
    free = free / (1.0 + air) - other_ml  # ml for coffee and filler
    filler, cups = spec.filler_g, spec.coffee_g
    if not spec.filler:
        filler = 0.0
    if cups is None:
        cups = coffee.grams
        if spec.is_long and spec.filler == "water":  # fills the glass itself
            cups = max(0.0, free - (filler or 0.0) * per_g) / ml_per_g_coffee
            cups = min(cups, 2.0 * coffee.grams)
            filler = filler or 0.0
        elif spec.is_long and not spec.filler:  # as much as fits of one brew
            cups = min(cups, max(0.0, free) / ml_per_g_coffee)
        elif spec.is_long:  # half coffee, half milk or mixer
            cups = min(cups, max(0.0, free) / 2.0 / ml_per_g_coffee)
    if filler is None:
        room = max(0.0, free - cups * ml_per_g_coffee) / (1.0 + foam)
        if spec.filler == "water" and spec.has_coffee:  # no weaker than a filter coffee
            room = min(room, max(0.0, cups * (coffee.tds_percent / READY_TDS - 1.0)) * per_g)
        if style.filler_ml is not None:
            room = min(room, style.filler_ml * spec.filler_g_per_ml * per_g)
        if spec.has_milk and spec.milk is not None and spec.milk.sugar_percent > SWEETENED_PERCENT:
            room = min(room, SWEETENED_MILK_G * per_g)  # condensed: it fills no glass
        filler = room / per_g if room >= LEAST_FILLER_ML else 0.0
    liquid = other_ml + cups * ml_per_g_coffee + filler * per_g
    foam_ml = air * liquid
    if spec.is_steamed:
        foam_ml = filler * per_g * (1.0 - 1.0 / (1.0 + style.foam_percent / 100.0))
    needed = base + foam * filler * per_g
    volume = liquid + ice_ml + top_ml + (0.0 if spec.is_steamed else foam_ml)
    over = volume + needed - glass.volume_ml
    if cups <= 0 and spec.has_coffee:
        raise PairingError(
            f"no room for coffee in {glass.volume_ml:.0f} ml: use less ice than {ice:.0f} g or a "
            "larger glass"
        )
    if over > 0.5:
        raise PairingError(
            f"{volume:.0f} ml and {needed:.0f} ml of headspace do not fit in {glass.volume_ml:.0f} "
            f"ml: leave out {over:.0f} ml of {spec.filler if filler > over else _most(spec)}, "
            f"or take a glass of at least {math.ceil((volume + needed) / 10) * 10} ml"
        )
    return _Fill(cups, ice, filler, foam_ml, volume, glass.volume_ml - volume, needed)


def _most(spec: DrinkSpec) -> str:
    """What to leave out of a glass that is too full."""
    largest = max(spec.added, key=lambda a: a.volume_ml, default=None)
    if largest is not None and largest.volume_ml > 20.0:
        return f"{largest.name}, ice or coffee"
    return "ice or coffee" if spec.is_iced and not spec.is_strained else "coffee"


@dataclass(frozen=True)
class _Mix:
    """What the drink is mixed from, before ice melts into it."""

    syrup: Masses
    coffee: PouredCoffee
    coffee_g: float
    milk: Milk | None
    milk_g: float
    steam_g: float
    mixer: Masses
    water_g: float
    co2_g: float
    added: tuple[Added, ...] = ()

    @cached_property
    def sweetened(self) -> Masses:
        """Syrup, mixer and what is stirred in together."""
        return sum((a.masses for a in self.added), self.syrup + self.mixer)

    @cached_property
    def solids_g(self) -> float:
        """Everything dissolved [g]."""
        coffee = self.coffee.tds_percent * self.coffee_g
        milk = sum(g * (100.0 - m.water_percent - m.fat_percent) for m, g in self.milks)
        return self.sweetened.dissolved + (coffee + milk) / 100.0

    def freezing_c(self, melted_g: float) -> float:
        """Where it begins to freeze with `melted_g` of ice in it [°C]."""
        return freezing_point(self.grams + melted_g, self.solids_g, self.alcohol_g)

    @property
    def alcohol_g(self) -> float:
        return sum(a.alcohol_g for a in self.added)

    @cached_property
    def grams(self) -> float:
        wet = self.steam_g + self.water_g + sum(g for _, g in self.milks)
        dry = sum(a.bulk_g for a in self.added)
        return self.sweetened.liquid + self.coffee_g + wet + self.alcohol_g + dry

    @property
    def milks(self) -> tuple[tuple[Milk, float], ...]:
        """Every milk in the liquid with its grams."""
        filler = ((self.milk, self.milk_g),) if self.milk else ()
        return (*filler, *((a.milk, a.milk_g) for a in self.added if a.milk is not None))

    @property
    def coffee_l(self) -> float:
        return self.coffee_g / self.coffee.density_kg_per_m3

    @property
    def milk_sugar_g(self) -> float:
        return sum(g * milk.sugar_percent / 100.0 for milk, g in self.milks)

    @property
    def acid_mol(self) -> float:
        """Titratable acid of syrup, mixer and coffee [mol of charge]; carbonic acid not counted."""
        citric = 3.0 * self.sweetened.acid / CITRIC_MOLAR_MASS
        return citric + self.coffee.acid_mmol_per_l * self.coffee_l / 1000.0

    def ph(self, litres: float, temperature_c: float) -> float:
        """Charge balance of citrate, minerals, coffee and milk buffers and CO2."""
        sour = self.sweetened
        cations = CATIONS_PER_G_ASH * sour.ash
        citrate = (3.0 * sour.acid / CITRIC_MOLAR_MASS + cations) / 3.0
        coffee = self.coffee.buffer_mmol_per_l_ph * self.coffee_l / 1000.0
        milks = [
            (m.buffer_mmol_per_l_ph * g / m.g_per_ml / 1e6, m.ph)
            for m, g in self.milks
            if m.buffer_mmol_per_l_ph and m.ph
        ]
        carbonic = self.co2_g / CO2_MOLAR_MASS
        warm = min(max(temperature_c, 0.0), 110.0)

        def balance(ph: float) -> float:
            hydrogen = 10.0**-ph
            bicarbonate = carbonic / (1.0 + hydrogen * 10.0**CARBONIC_PK)
            free = (10.0 ** (ph - WATER_PK) - hydrogen) * litres
            buffers = coffee * (ph - self.coffee.ph) + sum(b * (ph - own) for b, own in milks)
            return float(citrate * citric_charge(ph, warm) - cations + bicarbonate + free + buffers)

        return _root(balance, 1.5, 9.0)

    def at(self, temperature_c: float, melted_g: float, ice_left_g: float) -> Moment:
        """Return the drink at a temperature with `melted_g` of ice in it."""
        liquid = self.grams + melted_g
        coffee_solids = self.coffee.tds_percent / 100.0 * self.coffee_g
        milk_sweet = sum(g * m.sugar_percent * m.sugar_sweetness for m, g in self.milks) / 100.0
        held = self.sweetened
        sweet = sucrose_equivalent(held, temperature_c) + milk_sweet
        brix = 100.0 * self.solids_g / liquid
        litres = liquid / float(sugar.density(min(brix, 85.0)))
        return Moment(
            temperature_c=temperature_c,
            melted_g=melted_g,
            ice_left_g=ice_left_g,
            liquid_g=liquid,
            brix=brix,
            sugar_percent=100.0 * held.sugars / liquid,
            sweetness_percent=100.0 * sweet / liquid,
            perceived_sweetness_percent=100.0 * sweet / liquid * cold_factor(temperature_c),
            tds_percent=100.0 * coffee_solids / liquid,
            acid_percent=100.0 * self.acid_mol * CITRIC_MOLAR_MASS / 3.0 / liquid,
            ph=self.ph(litres, temperature_c),
            alcohol_g=self.alcohol_g,
        )


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where a rising function is 0, by false position with halved ends (Illinois)."""
    at_low, at_high = function(low), function(high)
    if at_low >= 0.0 or at_high <= 0.0:
        return low if at_low >= 0.0 else high
    for _ in range(100):
        middle = high - at_high * (high - low) / (at_high - at_low)
        value = function(middle)
        if abs(value) < ENOUGH_MOL or high - low < ENOUGH_PH:
            break
        if value > 0.0:
            high, at_high, at_low = middle, value, at_low / 2.0
        else:
            low, at_low, at_high = middle, value, at_high / 2.0
    return middle


def _mixer_masses(spec: DrinkSpec, grams: float) -> Masses:
    """Sugar, acid and water of a mixer; none of a drink without."""
    if spec.mixer is None or not spec.is_fizzy:
        return Masses()
    sweet, acid = spec.mixer.sugar_percent / 100.0, spec.mixer.acid_percent / 100.0
    return Masses(water=1.0 - sweet - acid, sucrose=sweet, acid=acid) * grams


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
    point (`melt`); in ten minutes more it reaches the freezing point of what is then in the glass
    and the room melts a little on top. Hot drinks lose 2.5 % of their excess over the room a
    minute. Steamed milk takes up the steam that warms it (`liquids.steam_water`).
    """
    from pairing.glass.building import cautions_of, steps_of

    checked(spec)
    fill = _fill(spec)
    if spec.is_strained:
        fill = _strained(spec, fill)
    mix = _mixed(spec, fill)
    poured = _poured(spec, mix)
    if spec.is_steamed:  # twice: what steam adds cools what it is added to a little
        for _ in range(2):
            mix = replace(mix, steam_g=_steam_g(spec, mix.milk_g, poured.filler_c))
            poured = _poured(spec, mix)
    served, later = (
        _cold_moments(spec, fill, mix, poured) if spec.is_cold else _hot_moments(spec, mix, poured)
    )
    gas_l = mix.co2_g / CO2_G_PER_VOLUME
    fizz_l = fill.filler_g / spec.filler_g_per_ml / 1000.0 if spec.is_fizzy else 0.0
    crema = spec.coffee.crema_percent
    poured_sugar = (mix.syrup + mix.mixer).sugars
    share = fill.coffee_g / spec.coffee.grams
    low, high = spec.coffee.caffeine_mg
    litres = served.liquid_g / served.density_kg_per_m3
    quinine = (0.0, 0.0)
    if spec.mixer is not None and spec.is_fizzy:
        quinine = (
            (spec.mixer.quinine_low_mg_per_l or 0.0) * fizz_l,
            (spec.mixer.quinine_high_mg_per_l or 0.0) * fizz_l,
        )
    milk_kcal = spec.milk.kcal_per_100g / 100.0 * mix.milk_g if spec.milk else 0.0
    drunk = (*spec.stirred_in, *spec.on_top)
    drink = Drink(
        spec=spec,
        coffee_g=fill.coffee_g,
        ice_g=fill.ice_g,
        thrown_g=sum(a.ice_g for a in spec.stirred_in) + fill.ice_g - served.melted_g
        if spec.is_strained
        else 0.0,
        filler_g=fill.filler_g,
        coffee_c=poured.coffee_c,
        filler_c=poured.filler_c,
        steam_g=mix.steam_g,
        foam_ml=fill.foam_ml,
        crema_ml=1000.0 * mix.coffee_l * crema / (100.0 - crema),
        volume_ml=fill.volume_ml,
        headspace_ml=fill.headspace_ml,
        headspace_needed_ml=fill.needed_ml,
        served=served,
        after_ten_minutes=later,
        sugar_g=mix.sweetened.sugars + mix.milk_sugar_g + sum(a.sugar_g for a in spec.on_top),
        added_sugar_g=poured_sugar + sum(a.masses.sugars for a in drunk),
        energy_kcal=KCAL_PER_G_SUGAR * poured_sugar
        + KCAL_PER_G_POLYOL * mix.syrup.polyols
        + KCAL_PER_G_ACID * (mix.syrup + mix.mixer).acid
        + milk_kcal
        + sum(a.kcal for a in drunk),
        caffeine_mg=(low * share, high * share + sum(a.caffeine_mg for a in drunk)),
        quinine_mg=quinine,
        co2_volumes=gas_l / litres,
        co2_keeps_volumes=_kept_volumes(served),
        steps=(),
        cautions=(),
    )
    return replace(drink, steps=steps_of(drink), cautions=cautions_of(drink))


def _strained(spec: DrinkSpec, fill: _Fill) -> _Fill:
    """Return what goes into a shaker whose melted ice has room in the glass too."""
    melted = 0.0
    for _ in range(MOST_SHAKES):
        mix = _mixed(spec, fill)
        more = _chilled(spec, fill, mix, _poured(spec, mix))[1] + SURFACE_WATER * fill.ice_g
        fill = _fill(spec, more)
        if abs(more - melted) < 0.01:
            break
        melted = more
    return fill


def _mixed(spec: DrinkSpec, fill: _Fill) -> _Mix:
    """Return what the drink is mixed from, milk not yet steamed."""
    lost = _gas_lost(spec)
    volumes = spec.mixer.co2_volumes if spec.mixer is not None and spec.is_fizzy else 0.0
    fizz_l = fill.filler_g / spec.filler_g_per_ml / 1000.0 if spec.is_fizzy else 0.0
    return _Mix(
        syrup=spec.syrup.masses(),
        coffee=spec.coffee,
        coffee_g=fill.coffee_g,
        milk=spec.milk if spec.has_milk else None,
        milk_g=fill.filler_g if spec.has_milk else 0.0,
        steam_g=0.0,
        mixer=_mixer_masses(spec, fill.filler_g),
        water_g=fill.filler_g if spec.filler == "water" else 0.0,
        co2_g=volumes * fizz_l * (1.0 - lost) * CO2_G_PER_VOLUME,
        added=spec.stirred_in,
    )


def _gas_lost(spec: DrinkSpec) -> float:
    """Share of its gas that a mixer loses to the coffee; without one, to the pouring alone."""
    if not spec.has_coffee:
        return lost_on_pouring(CHILLED_C, has_crema=False)
    return lost_on_pouring(spec.coffee.temperature_c, spec.coffee.crema_percent > 0)


def _steam_g(spec: DrinkSpec, milk_g: float, steamed_c: float) -> float:
    assert spec.milk is not None
    return steam_water(milk_g, CHILLED_C, steamed_c, spec.milk.heat_j_per_g_k)


def curdling_ph(milk: Milk, temperature_c: float) -> float | None:
    """Return the pH at which a milk clots.

    Parameters
    ----------
    milk : Milk
    temperature_c : float
        Of the milk in the drink [°C].

    Returns
    -------
    float or None
        None where nobody measured that milk.
    """
    if milk.curdle_ph_cold is None:
        return None
    return milk.curdle_ph_cold + (milk.curdle_ph_per_k or 0.0) * max(0.0, temperature_c - 4.0)


def clots_at(drink: Drink) -> float | None:
    """Return the highest pH at which a milk of a drink clots.

    Parameters
    ----------
    drink : Drink

    Returns
    -------
    float or None
        None for a drink without milk, or with milks that nobody measured.
    """
    spec, t = drink.spec, drink.served.temperature_c
    there = spec.milks[1:] if spec.has_milk and drink.filler_g <= 0 else spec.milks
    known = [ph for milk in there if (ph := curdling_ph(milk, t)) is not None]
    return max(known, default=None)


def _kept_volumes(served: Moment) -> float:
    """CO2 that the open drink holds against 1 atm of it [volumes]: less with sugar in it."""
    t = min(max(served.temperature_c, 0.0), 100.0)
    water = served.density_kg_per_m3 * (1.0 - served.brix / 100.0)
    return co2_solubility(t, 101.325) * water / 1000.0 / CO2_G_PER_VOLUME


class _Poured(NamedTuple):
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
    filler_g = mix.milk_g + mix.mixer.liquid + mix.water_g
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
    if not sum(m * c for m, c, _ in chosen) > 0:
        raise PairingError("nothing hot goes in: take milk or water, or coffee")
    start = poured.filler_c if filler else poured.coffee_c
    return start + missing / sum(m * c for m, c, _ in chosen)


def _parts(spec: DrinkSpec, mix: _Mix, glass_share: float, poured: _Poured) -> list[Part]:
    syrup_c = float(sugar.heat_capacity(min(spec.syrup.composition.brix, 90.0), 20.0)) / 1000.0
    coffee_c = WATER_J_PER_G_K * (1.0 - 0.6 * mix.coffee.tds_percent / 100.0)
    return [
        (spec.syrup.grams, syrup_c, spec.syrup.temperature_c),
        (mix.coffee_g, coffee_c, poured.coffee_c),
        (mix.milk_g, mix.milk.heat_j_per_g_k if mix.milk else 0.0, poured.filler_c),
        (mix.mixer.liquid + mix.water_g + mix.steam_g, WATER_J_PER_G_K, poured.filler_c),
        (glass_share * spec.glass.mass_g, GLASS_J_PER_G_K, spec.glass_c),
        *(
            (a.grams - a.ice_g, SCOOP_J_PER_G_K if a.ice_g else a.heat_j_per_g_k, a.temperature_c)
            for a in spec.stirred_in
        ),
        *((glass_share * a.grams, a.heat_j_per_g_k, a.temperature_c) for a in spec.on_top),
    ]


def _cold_moments(
    spec: DrinkSpec, fill: _Fill, mix: _Mix, poured: _Poured
) -> tuple[Moment, Moment]:
    """Return an iced drink when served and ten minutes later."""
    wet = SURFACE_WATER * fill.ice_g
    solid, ice_c = _ice(spec, fill)
    t, melted, freezing = _chilled(spec, fill, mix, poured)
    if spec.is_strained:
        served = mix.at(t, melted + wet, 0.0)
        return served, mix.at(_warmed(spec, t), melted + wet, 0.0)
    served = mix.at(t, melted + wet, solid - melted)
    whole = [*_parts(spec, mix, 1.0, poured), (wet, WATER_J_PER_G_K, 0.0)]
    coldest, in_all = melt(whole, solid, ice_c, freezing)
    room = ROOM_MELT_G_PER_ML * spec.glass.volume_ml * max(0.0, spec.room_temperature_c / 22.0)
    in_all = min(solid, max(in_all, melted) + (room if solid else 0.0))
    left = solid - in_all
    coldest = max(coldest, mix.freezing_c(in_all + wet))
    if left <= 0:  # no ice: it warms towards the room
        coldest = _warmed(spec, coldest)
    return served, mix.at(coldest, in_all + wet, left)


def _ice(spec: DrinkSpec, fill: _Fill) -> tuple[float, float]:
    """Return the solid ice, that of a scoop too [g], and how cold it is [°C]."""
    dry = fill.ice_g * (1.0 - SURFACE_WATER)
    scoop = sum(a.ice_g for a in spec.stirred_in)
    if not scoop:
        return dry, spec.ice_temperature_c
    cold = sum(a.ice_g * a.temperature_c for a in spec.stirred_in)
    return dry + scoop, (cold + dry * spec.ice_temperature_c) / (dry + scoop)


def _chilled(
    spec: DrinkSpec, fill: _Fill, mix: _Mix, poured: _Poured
) -> tuple[float, float, float]:
    """Return how cold it is served [°C], the ice that melted for it [g], where it freezes [°C]."""
    wet = SURFACE_WATER * fill.ice_g
    solid, ice_c = _ice(spec, fill)
    parts = [*_parts(spec, mix, GLASS_SHARE, poured), (wet, WATER_J_PER_G_K, 0.0)]
    melted, freezing, t = 0.0, 0.0, 0.0
    above = BLENDED_ABOVE_FREEZING_K if spec.style.build == "blended" else SERVED_ABOVE_FREEZING_K
    for _ in range(3):  # what melts in raises the freezing point
        freezing = mix.freezing_c(wet + melted)
        t, melted = melt(parts, solid, ice_c, freezing + above)
    return t, melted, freezing


def _warmed(spec: DrinkSpec, temperature_c: float) -> float:
    """Return where a drink without ice is ten minutes later [°C]."""
    excess = spec.room_temperature_c - temperature_c
    return temperature_c + excess * (1.0 - math.exp(-10.0 * HOT_COOLING_PER_MIN))


def _hot_moments(spec: DrinkSpec, mix: _Mix, poured: _Poured) -> tuple[Moment, Moment]:
    """Return a hot drink when served and ten minutes later."""
    parts = _parts(spec, mix, GLASS_SHARE, poured)
    t = sum(m * c * x for m, c, x in parts) / sum(m * c for m, c, _ in parts)
    kept = math.exp(-10.0 * HOT_COOLING_PER_MIN)
    later = spec.room_temperature_c + (t - spec.room_temperature_c) * kept
    return mix.at(t, 0.0, 0.0), mix.at(later, 0.0, 0.0)
