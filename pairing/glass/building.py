"""In which order to build a drink and how to pour it, and what can hurt on the way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pairing.glass.liquids import SAME_DENSITY
from pairing.syrup import sugar

if TYPE_CHECKING:
    from pairing.glass.drink import Drink

__all__ = ["cautions_of", "coffee_lies", "steps_of"]


VERY_HOT_C = 65.0  # IARC Monographs 116 (2018), very hot beverages
KETTLE_C = 95.0  # the hottest water to top up with, and what is mixed down from
CHILLED_C, TAP_C = 4.0, 15.0  # filler of a cold drink; water from the cold tap
QUININE_LIMIT = "at most 83 mg a litre in the US (21 CFR 172.575)"


def coffee_lies(drink: Drink) -> str:
    """Say where the coffee lies when it is poured last, by the densities as poured.

    Parameters
    ----------
    drink : Drink

    Returns
    -------
    str
        ``floats``, ``mixes`` or ``sinks``.
    """
    spec = drink.spec
    below = float(sugar.density(spec.mixer.sugar_percent, 4.0)) if spec.mixer else 1000.0
    gap = spec.coffee_kg_per_m3 - below
    if gap < -SAME_DENSITY:
        return "floats"
    return "mixes" if gap < SAME_DENSITY else "sinks"


def _layered(drink: Drink, syrup: str, ice: str, poured: str, coffee: str) -> tuple[str, ...]:
    spec, free = drink.spec, f"{drink.headspace_ml:.0f} ml"
    lies = coffee_lies(drink)
    brew = (
        f"Brew {coffee}; stir the crema in and wait half a minute, or it will foam over."
        if spec.coffee.crema_percent > 0
        else f"Have {coffee} ready, as cool as can be."
    )
    stop = f"Stop at once if the foam climbs; {free} must stay free."
    if lies == "floats":
        return (
            f"Chill the glass; {syrup} first, it is the heaviest and stays below.",
            f"Add {ice}, then pour {poured} slowly down the side of the tilted glass.",
            brew,
            "Pour the coffee low and slowly over the back of a spoon onto the ice: it is lighter "
            f"than the {spec.filler} and floats in a layer. {stop}",
            "Serve layered; stir late, two slow turns from the bottom. Do not shake or cap.",
        )
    return (
        f"Chill the glass; {syrup} first; a splash of the {spec.filler} on it, stir until even: "
        "sweetened, it carries the coffee.",
        f"Add {ice}, then pour the rest of {poured} slowly down the side of the tilted glass.",
        brew,
        f"Pour the coffee low and slowly over the back of a spoon: it {lies} and "
        f"marbles, for it is no lighter than plain {spec.filler}. {stop}",
        "Serve marbled; stir late, two slow turns from the bottom. Do not shake or cap.",
    )


def steps_of(drink: Drink) -> tuple[str, ...]:
    """Say in which order to build and how to pour.

    Parameters
    ----------
    drink : Drink

    Returns
    -------
    tuple of str
    """
    spec, filler = drink.spec, drink.spec.filler
    syrup = f"{spec.syrup.grams:.0f} g ({spec.syrup.volume_ml:.0f} ml) {spec.syrup.name}"
    coffee = f"{drink.coffee_g:.0f} g {spec.coffee.name.lower()}"
    if not spec.is_cold and spec.coffee.temperature_c <= 40:
        coffee += f" heated to {drink.coffee_c:.0f} °C"
    ice = f"{drink.ice_g:.0f} g ice"
    poured = f"{drink.filler_g:.0f} g {filler}"
    free = f"{drink.headspace_ml:.0f} ml"
    build = spec.style.build
    if build == "layered":
        return _layered(drink, syrup, ice, poured, coffee)
    if build == "steamed":
        foam = f" Stretch it by about {spec.style.foam_percent:.0f} % before it is hand-warm."
        return (
            f"Rinse the cup with hot water and empty it; {syrup} in, {coffee} on it, stir until "
            "clear.",
            f"Steam {poured} to {drink.filler_c:.0f} °C, not hotter: steam adds about "
            f"{drink.steam_g:.0f} g of water to it.{foam} Pour it in last: acid and coffee are "
            "thinned before milk meets them.",
        )
    watered = f", {poured}" if drink.filler_g > 0.5 else ""
    if build == "shaken":
        return (
            f"{syrup} into the shaker, {coffee}{watered} on it, stir until clear.",
            f"Add {ice}, shake hard 12 seconds: it foams up by a third.",
            f"Strain into the chilled glass, foam last; {free} stay free.",
        )
    if build == "nitro":
        return (
            f"Stir {syrup} into {coffee}{watered}, cold; strain it fine: grit blocks the valve.",
            "Fill the charger no more than its mark says, nitrogen in, shake, rest a minute in the "
            "fridge.",
            f"Pour hard, straight down, without ice: it cascades; {free} stay free.",
        )
    if build == "blended":
        return (
            f"{syrup}, {coffee} cooled, and {poured} into the blender.",
            f"Add {ice}, blend until no lump is heard, pour at once; {free} stay free.",
        )
    if spec.has_milk:
        return (
            f"{syrup} into the glass, {coffee} on it, stir until clear.",
            f"Add {ice}, then {poured}, cold, last and slowly; stir at the table.",
        )
    if spec.is_cold:
        hot = spec.coffee.temperature_c > 40
        first = "Brew onto the syrup and stir until clear" if hot else "Stir into the syrup"
        return (
            f"{syrup} into the glass.",
            f"{first}: {coffee}{watered}." if hot else f"{first}: {coffee}{watered}, cold.",
            f"Add {ice}, stir ten seconds, serve; {free} stay free.",
        )
    steps = (
        f"Rinse the cup with hot water and empty it; {syrup} in.",
        f"Pour {coffee} on it and stir until clear.",
    )
    return (*steps, f"Top with {_hot_water(drink)}.") if drink.filler_g > 0.5 else steps


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


def cautions_of(drink: Drink) -> tuple[str, ...]:
    """Say what can hurt in building it; caffeine and allergens are told by the safety room.

    Parameters
    ----------
    drink : Drink

    Returns
    -------
    tuple of str
    """
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
    if spec.is_fizzy:
        found.append("Coffee makes sparkling water erupt: pour slowly, never close or shake it.")
    low, high = drink.quinine_mg
    if high > 0:
        found.append(
            f"Quinine {low:.0f}-{high:.0f} mg ({QUININE_LIMIT}): say so; not for who is "
            "pregnant, sensitive to quinine or takes medicine for heart or malaria."
        )
    if spec.style.build == "nitro":
        found.append("Pressure: use the maker's chargers only, and vent before you open.")
    if spec.has_milk and spec.milk is not None and spec.milk.curdle_ph_cold is None:
        found.append(
            f"Whether {spec.filler} curdles is not known: brands differ, so try one cup; energy "
            "and sweetness are of a usual pack."
        )
    return tuple(found)
