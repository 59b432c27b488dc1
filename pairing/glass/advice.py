"""What to change about a drink: one combined change, tried before it is told."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from pairing.errors import PairingError
from pairing.glass.drink import HOT_COOLING_PER_MIN, Drink, build, clots_at
from pairing.glass.solve import syrup_for_sweetness
from pairing.glass.spec import ICE_G_PER_ML, DrinkSpec, glass_of, within
from pairing.glass.taste import SOUR_RATIO, SWEET_WORDS, cold_factor
from pairing.syrup.keeping import bisect

__all__ = ["Advice", "advise", "faults"]

GLASSES_ML = (90.0, 120.0, 180.0, 240.0, 300.0, 355.0, 420.0, 473.0, 600.0)  # on the shelf
MOST_TRIALS = 40

LUKEWARM_C = 55.0
WARM_C = 8.0  # an iced drink above it has no ice left to cool it
MENDED_C = 5.0  # what the remedy aims at
CHILLED_COFFEE_C = 5.0
CURDLE_MARGIN = 0.3
THIN_TDS, BITTER_TDS = 0.8, 2.2  # % coffee solids in the drink: common practice, no source
FLAT_VOLUMES = 1.0  # of CO2: common practice, no source
NOTHING_MENDS = (
    "No change of syrup, ice, coffee or glass mends it: take a stronger brew or another style."
)
SPICE_DROWNS = 0.6  # share of the aroma loudness: common practice, no source
VERY_HOT_C = 65.0  # IARC Monographs 116 (2018), very hot beverages


class Advice(NamedTuple):
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
    after : DrinkSpec or None
        The drink with the change made, where it is a change of grams or glass.
    """

    problem: str
    words: str
    change: str
    after: DrinkSpec | None = None


def _sweetness(drink: Drink) -> Advice | None:
    m, spec = drink.served, drink.spec
    low, high = SWEET_WORDS[0][0], SWEET_WORDS[-1][0]
    if m.perceived_sweetness_percent >= high and spec.style.build == "scoop":
        return None  # a dessert
    if m.perceived_sweetness_percent >= high:
        problem, wanted = "too sweet", SWEET_WORDS[2][0]
    elif m.perceived_sweetness_percent < low and spec.syrup.grams > 0:
        problem, wanted = "not sweet", 1.05 * low
    else:
        return None
    words = f"{m.sweetness_percent:.1f} % sucrose equivalents is {m.sweetness_word}."
    return Advice(problem, words, *_try_syrup(spec, wanted / cold_factor(m.temperature_c)))


def _warm(drink: Drink) -> Advice | None:
    """An iced drink that all its ice cannot cool, with what mends it."""
    m = drink.served
    if not drink.spec.is_iced or m.temperature_c <= WARM_C:
        return None
    words = f"All the ice melts and it is served at {m.temperature_c:.0f} °C."
    changes = [c for c in (_cooled_coffee(drink), _more_ice(drink)) if c]
    if not changes and not drink.spec.has_coffee:
        changes = ["Chill the glass and all that goes in"]
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
    if not spec.has_coffee:
        return ""
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
    if spec.has_coffee and trial.served.tds_percent < THIN_TDS:
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
        "Use a smaller or hotter cup, warm the syrup"
        + (", or hotter coffee." if spec.has_coffee else "."),
    )


def _sour(drink: Drink) -> Advice | None:
    m = drink.served
    if m.acid_percent <= 0 or m.sweetness_percent / m.acid_percent >= SOUR_RATIO:
        return None
    cut = 100.0 * (1.0 - m.sweetness_percent / (SOUR_RATIO * m.acid_percent))
    return Advice(
        "sour",
        f"{m.acid_percent:.2f} % acid to {m.sweetness_percent:.1f} % sweetness tastes sour"
        + (", and coffee's bitterness sharpens it." if drink.spec.has_coffee else "."),
        f"Use less juice or acid, {cut:.0f} % less in the drink, or the same with more sugar.",
    )


def _bitter(drink: Drink) -> Advice | None:
    m = drink.served
    if (
        drink.spec.is_short
        or m.tds_percent <= BITTER_TDS
        or m.sweetness_percent >= 2.0 * m.tds_percent
    ):
        return None
    water = m.liquid_g * (m.tds_percent / BITTER_TDS - 1.0)
    change, after = _try_syrup(drink.spec, 2.05 * m.tds_percent)
    if drink.spec.filler and water >= 5.0:
        less = f"{change[:1].lower()}{change[1:]}"
        change = f"Add {water:.0f} g of {drink.spec.filler}, or this: {less}"
    return Advice(
        "bitter",
        f"{m.tds_percent:.1f} % coffee to {m.sweetness_percent:.1f} % sweetness is bitter.",
        change,
        after,
    )


def _drowned(spice_share: float | None) -> Advice | None:
    if spice_share is None or within("spice share", spice_share, 0, 1, "") <= SPICE_DROWNS:
        return None
    keep = SPICE_DROWNS / (1.0 - SPICE_DROWNS) * (1.0 - spice_share) / spice_share
    return Advice(
        "spice over coffee",
        f"Spice and citrus are {100 * spice_share:.0f} % of the aroma: coffee drowns in it.",
        f"Take {100 * (1 - keep):.0f} % off their loudness: less spice, or part of this syrup "
        "replaced by plain syrup.",
    )


def _flat(drink: Drink) -> Advice | None:
    if not drink.spec.is_fizzy or drink.co2_volumes >= FLAT_VOLUMES:
        return None
    return Advice(
        "flat",
        f"{drink.co2_volumes:.1f} volumes of CO2 are left: it tastes flat.",
        "Use more and colder sparkling water, a chilled glass and one gentle turn.",
    )


def _try_syrup(spec: DrinkSpec, sweetness: float) -> tuple[str, DrinkSpec | None]:
    """The syrup that gives a sweetness, in words and done; no drink where none gives it."""
    try:
        grams = float(round(syrup_for_sweetness(spec, sweetness).spec.syrup.grams))
    except PairingError:
        none = replace(spec, syrup=replace(spec.syrup, grams=0.0))
        if spec.syrup.grams > 0 and build(none).served.sweetness_percent > sweetness:
            return "Leave the syrup out: what else is in it sweetens it more than enough.", None
        return "Use another size of glass.", None
    after = replace(spec, syrup=replace(spec.syrup, grams=grams))
    return f"Take {grams:.0f} g of syrup instead of {spec.syrup.grams:.0f} g.", after


def _thin(drink: Drink) -> Advice | None:
    m, spec = drink.served, drink.spec
    if m.tds_percent >= THIN_TDS or not spec.has_coffee:
        return None
    less = m.liquid_g * (1.0 - m.tds_percent / THIN_TDS)
    change = f"Leave out {less:.0f} g of {spec.filler}"
    if spec.is_long and spec.is_iced and spec.coffee.temperature_c > 40:
        change = "Chill the coffee before it meets the ice, or brew it with less water"
    elif less >= drink.filler_g:
        change = "Use less ice, or brew it stronger"
    more = drink.coffee_g * (THIN_TDS / m.tds_percent - 1.0) if m.tds_percent > 0 else 0.0
    if more <= drink.headspace_ml - drink.headspace_needed_ml:
        change += f", or take {more:.0f} g more {spec.coffee.name.lower()}"
    return Advice("thin", f"{m.tds_percent:.2f} % coffee is thin.", f"{change}.")


def _curdling(drink: Drink) -> Advice | None:
    m, spec = drink.served, drink.spec
    clots = clots_at(drink)
    if clots is None or m.ph > clots + CURDLE_MARGIN:
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


def faults(drink: Drink, spice_share: float | None = None) -> tuple[Advice, ...]:
    """Return what is wrong with a drink, each with its own smallest remedy.

    Parameters
    ----------
    drink : Drink
    spice_share : float, optional
        Share of the aroma loudness that is spice and citrus, 0 to 1.

    Returns
    -------
    tuple of Advice
    """
    found = [_sweetness(drink), _warm(drink), _hot(drink), _thin(drink), _sour(drink)]
    found += [_bitter(drink), _curdling(drink), _drowned(spice_share), _flat(drink)]
    return tuple(advice for advice in found if advice is not None)


def problems_of(drink: Drink) -> tuple[str, ...]:
    """Return the names of what is wrong with a drink, without a remedy.

    Parameters
    ----------
    drink : Drink

    Returns
    -------
    tuple of str
        As `Advice.problem`.
    """
    m, spec = drink.served, drink.spec
    sour = m.acid_percent > 0 and m.sweetness_percent / m.acid_percent < SOUR_RATIO
    clots = clots_at(drink)
    wrong = {
        "too sweet": spec.style.build != "scoop"
        and m.perceived_sweetness_percent >= SWEET_WORDS[-1][0],
        "not sweet": m.perceived_sweetness_percent < SWEET_WORDS[0][0] and spec.syrup.grams > 0,
        "warm": spec.is_iced and m.temperature_c > WARM_C,
        "too hot": not spec.is_cold and m.temperature_c > VERY_HOT_C,
        "lukewarm": not spec.is_cold and m.temperature_c < LUKEWARM_C,
        "thin": spec.has_coffee and m.tds_percent < THIN_TDS,
        "sour": sour,
        "bitter": not spec.is_short
        and m.tds_percent > BITTER_TDS
        and m.sweetness_percent < 2.0 * m.tds_percent,
        "curdling": clots is not None and m.ph <= clots + CURDLE_MARGIN,
        "flat": spec.is_fizzy and drink.co2_volumes < FLAT_VOLUMES,
    }
    return tuple(name for name, found in wrong.items() if found)


def advise(drink: Drink, spice_share: float | None = None) -> tuple[Advice, ...]:
    """Return what to change about a drink, in words from its numbers.

    A single fault comes with its own remedy. Several faults have remedies that undo each other
    (less water against thin, more against flat): then one combined change is searched among
    glasses, syrup, ice and coffee, built again, and told only where it ends without a fault;
    where none does, the faults are told with no remedy that would make another.

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
    wrong = faults(drink, spice_share)
    mendable = [a for a in wrong if a.problem not in ("spice over coffee", "curdling")]
    alone = len(mendable) == 1 and mendable[0].problem not in ("flat", "thin")
    if not mendable or (alone and _ends_clean(mendable[0].after)):
        return wrong
    rest = tuple(a for a in wrong if a not in mendable)
    words = " ".join(a.words for a in mendable)
    problem = " and ".join(a.problem for a in mendable)
    fixed = _combined(drink)
    if fixed is not None:
        return (Advice(problem, words, *fixed), *rest)
    return (Advice(problem, words, NOTHING_MENDS), *rest)


def _ends_clean(after: DrinkSpec | None) -> bool:
    """Whether a change that can be built leaves no fault; one that cannot is a word of advice."""
    return after is None or not problems_of(build(after))


def _trials(drink: Drink) -> Iterator[tuple[DrinkSpec, list[str]]]:
    """Specs with one to three changes, the smallest first."""
    spec = drink.spec
    sizes = [spec.glass.volume_ml, *(v for v in GLASSES_ML if v > spec.glass.volume_ml)]
    sizes += [v for v in reversed(GLASSES_ML) if v < spec.glass.volume_ml]
    for coffee_c in (spec.coffee.temperature_c, 40.0, 20.0, CHILLED_COFFEE_C):
        if not spec.has_coffee and coffee_c != spec.coffee.temperature_c:
            continue
        if coffee_c > spec.coffee.temperature_c or (coffee_c != spec.coffee.temperature_c
                                                    and not spec.is_cold):  # fmt: skip
            continue
        cooled = replace(spec.coffee, temperature_c=coffee_c)
        told = [f"let the coffee cool to {coffee_c:.0f} °C first"]
        for size in sizes[:5]:
            glass = spec.glass
            words = [] if coffee_c == spec.coffee.temperature_c else list(told)
            if size != spec.glass.volume_ml:
                glass = glass_of(size, heat_resistant=spec.glass.heat_resistant)
                words.append(f"take a {size:.0f} ml glass")
            for coffee in (1.0, 1.5, 2.0) if spec.has_coffee else (0.0,):
                for ice in (1.0, 0.7, 0.5) if spec.is_iced else (1.0,):
                    trial = replace(
                        spec,
                        coffee=cooled,
                        glass=glass,
                        coffee_g=None if coffee == 1.0 else coffee * drink.coffee_g,
                        ice_g=None if ice == 1.0 and spec.ice_g is None
                        else ice * (drink.ice_g if size == spec.glass.volume_ml
                                    else spec.style.ice_g_per_ml * size),
                        filler_g=None,
                    )  # fmt: skip
                    more = []
                    if coffee > 1.0:
                        more.append(f"{coffee * drink.coffee_g:.0f} g of coffee")
                    if ice != 1.0 and trial.ice_g is not None:
                        more.append(f"{trial.ice_g:.0f} g of ice")
                    yield trial, [*words, *([f"use {' and '.join(more)}"] if more else [])]


def _combined(drink: Drink) -> tuple[str, DrinkSpec] | None:
    """The first small change after which nothing is wrong; None if there is none."""
    low, high = SWEET_WORDS[0][0], SWEET_WORDS[-1][0]
    tried = sorted(_trials(drink), key=lambda x: len(x[1]))
    for spec, words in tried[:MOST_TRIALS]:
        try:
            made = build(spec)
            said = list(words)
            sweet = made.served.perceived_sweetness_percent
            if spec.syrup.grams > 0 and not low <= sweet < high:
                wanted = SWEET_WORDS[1][0] + SWEET_WORDS[2][0] if sweet >= high else 2.2 * low
                grams = round(spec.syrup.grams * wanted / 2.0 / sweet) if sweet else 0
                made = build(replace(spec, syrup=replace(spec.syrup, grams=float(grams))))
                said.append(f"take {grams:.0f} g of syrup")
        except PairingError:
            continue
        if not said or problems_of(made):
            continue
        end = f"then it is {made.served.temperature_c:.0f} °C, {made.served.sweetness_word}"
        if spec.has_coffee:
            end += f", {made.served.tds_percent:.1f} % coffee"
        if spec.is_fizzy:
            end += f", {made.co2_volumes:.1f} volumes of CO2"
        first = "; ".join(said)
        return f"{first[:1].upper()}{first[1:]}: {end}.", made.spec
    return None
