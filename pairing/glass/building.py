"""In which order to build a drink and how to pour it, and what can hurt on the way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pairing.glass.liquids import SAME_DENSITY, layers
from pairing.syrup import sugar
from pairing.syrup.step import joined

if TYPE_CHECKING:
    from pairing.glass.drink import Drink

__all__ = ["cautions_of", "coffee_lies", "layers_of", "steps_of"]


VERY_HOT_C = 65.0  # IARC Monographs 116 (2018), very hot beverages
KETTLE_C = 95.0  # the hottest water to top up with, and what is mixed down from
CHILLED_C, TAP_C = 4.0, 15.0  # filler of a cold drink; water from the cold tap
MILK_HELD_G_PER_G = 2.0  # that drained spice keeps: common practice, no source
PEELED = ("peel", "zest", "slice", "whole")
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
        f"Brew {coffee}; stir the crema in and wait half a minute, or it foams over."
        if spec.coffee.crema_percent > 0
        else f"Have {coffee} ready, as cool as can be."
    )
    stop = f"stop at once if the foam climbs ({free} must stay free)"
    if lies == "floats":
        return (
            f"Chill the glass; {syrup} first, it is the heaviest and stays below.",
            f"Add {ice}, then {poured} slowly down the side of the tilted glass.",
            brew,
            "Pour the coffee slowly over the back of a spoon onto the ice: lighter than the "
            f"{spec.filler}, it floats in a layer; {stop}. Serve layered; stir late.",
        )
    return (
        f"Chill the glass; {syrup} first, a splash of the {spec.filler} on it, stir even: "
        "sweetened, it carries the coffee.",
        f"Add {ice}, then the rest of {poured} slowly down the side of the tilted glass.",
        brew,
        f"Pour the coffee slowly over the back of a spoon: no lighter than plain {spec.filler}, "
        f"it {lies} and marbles; {stop}. Serve marbled; stir late.",
    )


def layers_of(drink: Drink) -> tuple[str, ...]:
    """Say what lies on what in the glass as it is served, from the top.

    Parameters
    ----------
    drink : Drink

    Returns
    -------
    tuple of str
        Foam, cream and dust lie on the drink; below, liquids part by their densities as poured
        where the drink is layered.
    """
    spec = drink.spec
    top = [a.name for a in reversed(spec.on_top)]
    if drink.foam_ml >= 1.0:
        top.append("foam")
    elif drink.crema_ml >= 1.0 and spec.style.build in ("layered", "scoop"):
        top.append("crema")
    coffee = spec.coffee.name.lower()
    if not spec.has_coffee:
        return (*top, spec.style.phrase_without_coffee)
    if spec.style.build != "layered":
        return (*top, coffee)
    sweet = min(max(spec.syrup.composition.brix, 0.0), 90.0)
    liquids = [
        (spec.syrup.name, float(sugar.density(sweet, 20.0))),
        (spec.filler, float(sugar.density(spec.mixer.sugar_percent, 4.0)) if spec.mixer else 999.8),
        (coffee, spec.coffee_kg_per_m3),
    ]
    lying = layers([x for x in liquids if spec.syrup.grams > 0 or x[0] != spec.syrup.name])
    return (*top, *(" and ".join(names) for names in lying))


def _on_top(drink: Drink) -> tuple[str, ...]:
    """Steps after the drink is poured: foam, cream, dust, garnish."""
    spec, told = drink.spec, []
    dust = [f"{_little(a.grams)} {a.name}" for a in spec.on_top if a.kind == "dust"]
    for a in spec.on_top:
        if a.kind == "dust":
            continue
        if a.kind == "foam":
            assert a.milk is not None
            sweet = f" with {a.masses.sugars:.0f} g sugar" if a.masses.sugars >= 0.5 else ""
            told.append(
                f"Froth {a.milk_g:.0f} g cold {a.milk.name.lower()}{sweet} to {a.volume_ml:.0f} "
                f"ml; spoon it on last, it floats."
            )
        else:
            told.append(
                f"Whip {a.grams:.0f} g {a.name} soft, to {a.volume_ml:.0f} ml; run it over the "
                "back of a spoon, it floats."
            )
    if dust:
        told.append(f"Dust {joined(dust)} over it through a fine sieve.")
    for a in spec.added:
        if a.place != "garnish":
            continue
        peel = a.form is not None and a.form.form in ("peel", "zest")
        told.append(
            f"Express {_little(a.grams)} {a.name} over it, skin down, and drop it in."
            if peel
            else f"Garnish with {_little(a.grams)} {a.name}."
        )
    return tuple(told)


def _little(grams: float) -> str:
    """Grams, small ones with the digits that a drug scale shows."""
    return f"{grams:.0f} g" if grams >= 10 else f"{grams:.1f} g" if grams >= 1 else f"{grams:.2f} g"


def _infused_milk(drink: Drink) -> tuple[str, ...]:
    """The step before the drink: plants steeped in its milk."""
    spec = drink.spec
    steeped = [a for a in spec.added if a.place == "milk"]
    if not steeped or drink.filler_g <= 0:
        return ()
    held = sum(MILK_HELD_G_PER_G * a.grams for a in steeped)
    liter = 1000.0 / (drink.filler_g + held)
    what = " and ".join(f"{_little(a.grams * liter)} {a.name}" for a in steeped)
    return (
        f"The day before, for each kg of {spec.filler}: {what}; lid on, 12 hours at 4 °C, strain "
        f"(about {held * liter:.0f} g stays in it). Keep at 4 °C, date it, use within 24 hours, "
        "never top up.",
    )


def _splash(drink: Drink) -> str:
    """What is stirred in with the coffee, in one phrase; empty where nothing is."""
    parts = []
    for a in drink.spec.stirred_in:
        said = a.said if a.kind == "bitters" and a.said else f"{_little(a.grams)}"
        ml = f" ({a.volume_ml:.0f} ml)" if a.alcohol_g and a.volume_ml >= 5 else ""
        parts.append(f"{said}{ml} {a.name}")
    return ", ".join(parts)


def steps_of(drink: Drink) -> tuple[str, ...]:
    """Say in which order to build and how to pour.

    Parameters
    ----------
    drink : Drink

    Returns
    -------
    tuple of str
    """
    return (*_infused_milk(drink), *_built(drink), *_on_top(drink))


def _built(drink: Drink) -> tuple[str, ...]:
    spec, filler = drink.spec, drink.spec.filler
    dosed = f"{round(2.0 * spec.syrup.grams) / 2.0:g} g"
    syrup = f"{dosed} ({spec.syrup.volume_ml:.0f} ml) {spec.syrup.name}"
    coffee = f"{drink.coffee_g:.0f} g {spec.coffee.name.lower()}"
    if not spec.is_cold and spec.coffee.temperature_c <= 40:
        coffee += f" heated to {drink.coffee_c:.0f} °C"
    splash = _splash(drink)
    if splash and spec.style.build != "scoop":
        syrup = f"{syrup} and {splash}" if spec.syrup.grams > 0 else splash
    ice = f"{drink.ice_g:.0f} g ice"
    poured = f"{drink.filler_g:.0f} g {filler}"
    free = f"{drink.headspace_ml:.0f} ml"
    build = spec.style.build
    if not spec.has_coffee:
        return _without_coffee(drink, syrup, ice, poured, free)
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
            f"Pour it with its ice, foam last; {free} stay free.",
        )
    if build == "strained":
        return (
            f"{syrup} into the shaker, {coffee} on it, stir until clear.",
            f"Add {ice}, hard and dry; shake hard 12 to 15 seconds.",
            f"Strain into a chilled glass without the ice, foam last: about "
            f"{drink.volume_ml:.0f} ml with its foam; {free} stay free.",
        )
    if build == "scoop":
        sweet = f" with {syrup} on it" if spec.syrup.grams > 0 else ""
        return (
            f"{splash or 'Ice cream'}{sweet} into the chilled glass.",
            f"At the table, pour {coffee} over it; eat it with a spoon.",
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


def _without_coffee(drink: Drink, syrup: str, ice: str, poured: str, free: str) -> tuple[str, ...]:
    """A drink of syrup and filler alone: a spiced milk, a chocolate, a soda, a lemonade."""
    spec, build = drink.spec, drink.spec.style.build
    if build == "layered":
        return (
            f"Chill the glass; {syrup} in, a splash of the {spec.filler} on it, stir even.",
            f"Add {ice}, then the rest of {poured} slowly down the side of the tilted glass; one "
            f"gentle turn; {free} stay free.",
        )
    if build == "steamed":
        return (
            f"Rinse the cup with hot water and empty it; {syrup} in, a splash of hot water or milk "
            "on it, stir until smooth.",
            f"Steam {poured} to {drink.filler_c:.0f} °C, not hotter: steam adds about "
            f"{drink.steam_g:.0f} g of water to it. Stretch it by about "
            f"{spec.style.foam_percent:.0f} % before it is hand-warm. Pour it in, stirring.",
        )
    if build == "blended":
        return (
            f"{syrup} and {poured} into the blender.",
            f"Add {ice}, blend until no lump is heard, pour at once; {free} stay free.",
        )
    if build == "shaken":
        return (
            f"{syrup} into the shaker, {poured} on it, stir until clear.",
            f"Add {ice}, shake hard 12 seconds: it foams up by a third.",
            f"Pour it with its ice, foam last; {free} stay free.",
        )
    if build == "nitro":
        return (
            f"Stir {syrup} into {poured}, cold; strain it fine: grit blocks the valve.",
            "Fill the charger no more than its mark says, nitrogen in, shake, rest a minute in the "
            "fridge.",
            f"Pour hard, straight down, without ice: it cascades; {free} stay free.",
        )
    if spec.is_cold:
        return (
            f"{syrup} into the glass, {poured}, cold, on it, stir until clear.",
            f"Add {ice}, stir ten seconds, serve; {free} stay free.",
        )
    return (
        f"Rinse the cup with hot water and empty it; {syrup} in.",
        f"Top with {_hot_water(drink)}; stir until clear.",
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
    if drink.served.alcohol_g > 0:
        found.append(
            f"{'Coffee' if spec.has_coffee else 'Syrup'} hides how strong it is: nobody feels the "
            "alcohol, so count it (common practice). No flame or stove near the bottles."
        )
    if any(a.place == "garnish" and a.form and a.form.form in PEELED for a in spec.added):
        found.append(
            "Peel in the glass: only of fruit sold as untreated after harvest, well scrubbed."
        )
    if any(a.place == "milk" for a in spec.added):
        found.append(
            f"Infused {spec.filler} spoils like fresh milk: 4 °C, dated, 24 hours, then away."
        )
    if any(a.kind in ("foam", "cream") for a in spec.on_top):
        found.append("Cream and milk foam stand at room temperature no longer than one service.")
    hot = spec.has_coffee and spec.coffee.temperature_c > 50
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
    if spec.is_fizzy and spec.has_coffee:
        found.append("Coffee makes sparkling water erupt: pour slowly, never close or shake it.")
    low, high = drink.quinine_mg
    if high > 0:
        found.append(
            f"Quinine {low:.0f}-{high:.0f} mg ({QUININE_LIMIT}): say so; not for who is "
            "pregnant, sensitive to quinine or takes medicine for heart or malaria."
        )
    if (spec.is_strained or spec.style.build == "shaken") and hot:
        found.append("Hot coffee in a closed shaker builds pressure: ice first, open slowly.")
    if spec.style.build == "nitro":
        found.append("Pressure: use the maker's chargers only, and vent before you open.")
    if spec.has_milk and spec.milk is not None and spec.milk.curdle_ph_cold is None:
        found.append(
            f"Whether {spec.filler} curdles is not known: brands differ, so try one cup; energy "
            "and sweetness are of a usual pack."
        )
    return tuple(found)
