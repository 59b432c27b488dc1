"""The ratio calculator: a syrup batch as an exact balance of grams, forward and backward.

Forward, a pot goes through steps (`add`, `add_portion`, `evaporate`, `invert`, `strain`,
`dilute`, `blend`) and every gram stays in the ledger. `batch` runs the usual sequence.
Backward, `solve` takes any sensible set of knowns and finds what to weigh: the balance is linear
in grams, so that it is one small linear system.

Strength is sugar : added water by weight (2:1 is 2.0), the way it is weighed on the bar. What
fruit juice and evaporation make of it is the °Bx of the finished syrup (`Batch.brix`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pairing.errors import PairingError
from pairing.syrup import sugar

__all__ = [
    "CAUTIONS",
    "Batch",
    "Blend",
    "Cook",
    "Correction",
    "Cost",
    "Masses",
    "Orders",
    "Portion",
    "Pot",
    "StrengthSwap",
    "Sweetener",
    "SweetenerSwap",
    "acid_powder",
    "add",
    "add_portion",
    "batch",
    "blend",
    "blend_for",
    "blend_syrups",
    "correct_to_brix",
    "cost",
    "dilute",
    "evaporate",
    "fruit",
    "invert",
    "orders",
    "parse_strength",
    "scale",
    "solve",
    "spice",
    "strain",
    "swap_strength",
    "swap_sweetener",
]

Form = Literal["slice", "juice", "peel", "zest"]
Cut = Literal["whole", "cracked", "ground"]
Heat = Literal["steep", "gentle", "simmer", "boil"]
Per = Literal["batch", "100 g sugar", "kg syrup"]

MOST_GRAMS = 1.0e7  # 10 t: more than that in one batch is a slip of the keyboard
WHITE_SUGAR_G_PER_ML = 200.0 / 236.588  # USDA SR28: a cup of granulated sugar is 200 g
WATER_G_PER_ML = 0.9982  # Kell 1975, 20 °C
INVERSION_WATER = sugar.MOLAR_MASS_WATER / sugar.MOLAR_MASS_SUCROSE  # g water per g sucrose

# Water lost from an open pan of syrup [kg/(m2 h)].  # common practice, no source
# Gentle is a still surface near 90 °C, simmer 92-98 °C (1 l in a 20 cm pan loses 3-8 % in 10
# min), boil a rolling boil on a 1.2-2 kW ring (10-25 % in 10 min).
EVAPORATION_FLUX: dict[str, float] = {"steep": 0.0, "gentle": 3.5, "simmer": 10.0, "boil": 30.0}
LID_KEEPS = 0.9  # share of the steam that a lid returns  # common practice, no source

# Juice that a piece gives to the pot [% of its mass] where the pantry does not say, and syrup
# that a drained piece carries off [g/g].  # common practice, no source
JUICE_YIELD_PERCENT: dict[str, float] = {"slice": 42.0, "juice": 100.0, "peel": 12.0, "zest": 12.0}
HOLD_G_PER_G: dict[str, float] = {"slice": 0.40, "juice": 0.0, "peel": 0.5, "zest": 1.1}
SPICE_HOLD_G_PER_G: dict[str, float] = {"whole": 0.8, "cracked": 1.0, "ground": 2.2}
STRAIN_LOSS_PERCENT = 2.0  # fine mesh and pan, 1-3 %  # common practice, no source
SPICE_WATER_PERCENT = 10.0  # dried spice  # common practice, no source

# Acid-free solids of citrus juice: sucrose, glucose and fructose near 2:1:1, a tenth is not
# sugar, of which minerals are 0.4 g in 100 g of juice.  # recalled from Kimball (1999), Citrus
# Processing, and USDA SR28 (ash of orange juice)
CITRUS_SUGARS = (0.45, 0.225, 0.225)
CITRUS_ASH = 0.04
CITRUS_OTHER_SOLUBLE = 0.06

# What a refractometer reads against true dissolved solids [°Bx per % w/w].
READS_ACID = -0.2  # recalled: juice-type samples read 0.15-0.25 low per 1 % citric acid
READS_INVERT = -0.02  # recalled: invert sugar reads about 0.02 low per 1 %
READS_OTHER = 0.04  # ISO 1743: starch-syrup solids read 2.4 high at 60 %

# What 100 g of saturated solution hold at 20-25 °C of sweeteners that crystallise by themselves
# [g, anhydrous].  # recalled from Junk and Pancoast (1973), Handbook of Sugars (dextrose,
# fructose, erythritol, allulose), and O'Brien-Nabors (2012), Alternative Sweeteners (the rest)
OWN_SOLUBILITY_PERCENT: dict[str, float] = {
    "dextrose-monohydrate": 48.0,
    "fructose-crystalline": 79.0,
    "erythritol": 36.0,
    "allulose": 74.0,
    "isomalt": 25.0,
    "isomaltulose": 29.0,
    "trehalose-dihydrate": 41.0,
    "xylitol": 63.0,
    "maltitol": 62.0,
    "sorbitol": 70.0,
}

SPONTANEOUS_CRYSTALS = 1.3  # supersaturation  # recalled from Mathlouthi and Reiser (1995)

CAUTIONS: tuple[str, ...] = (
    "Boiling sugar sticks and burns deeper than water: long sleeves, no bare hands, no children.",
    "Steam burns: open the lid away from you; add fruit and water slowly, off the boil.",
    "Never leave the pot; use one that is at most half full.",
    "Pour hot syrup only into heat-proof, warm, dry glass; cold glass can crack.",
    "Clean, scalded bottles; cool fast (ice bath), refrigerate, label with name and date.",
)


def _grams(what: str, value: float, least: float = 0.0) -> float:
    """Return `value` as float, refusing NaN, text, less than `least` and more than 10 t."""
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise PairingError(f"{what} must be a number of grams, got {value!r:.40}") from None
    if not math.isfinite(number) or number < least:
        raise PairingError(f"{what} must be at least {least:g}, got {number:g}")
    if number > MOST_GRAMS:
        raise PairingError(f"{what} of {number:g} g is over 10 t: split the batch or mend a slip")
    return number


def _percent(what: str, value: float, high: float = 100.0) -> float:
    if not (isinstance(value, (int, float)) and 0.0 <= value <= high):
        raise PairingError(f"{what} must be 0 to {high:g} %, got {value!r:.40}")
    return float(value)


@dataclass(frozen=True, slots=True)
class Masses:
    """Grams of what a syrup is made of.

    Attributes
    ----------
    water, sucrose, glucose, fructose, other_sugars, polyols : float
        Grams.
    acid, ash, soluble, insoluble : float
        Titratable acid counted as citric acid, dissolved minerals, every other dissolved solid,
        fibre [g].
    """

    water: float = 0.0
    sucrose: float = 0.0
    glucose: float = 0.0
    fructose: float = 0.0
    other_sugars: float = 0.0
    polyols: float = 0.0
    acid: float = 0.0
    ash: float = 0.0
    soluble: float = 0.0
    insoluble: float = 0.0

    def _values(self) -> tuple[float, ...]:
        return tuple(getattr(self, f.name) for f in fields(self))

    def __add__(self, other: Masses) -> Masses:
        return Masses(*(a + b for a, b in zip(self._values(), other._values(), strict=True)))

    def __sub__(self, other: Masses) -> Masses:
        return Masses(*(a - b for a, b in zip(self._values(), other._values(), strict=True)))

    def __mul__(self, factor: float) -> Masses:
        return Masses(*(a * factor for a in self._values()))

    @property
    def total(self) -> float:
        """All of it [g]."""
        return math.fsum(self._values())

    @property
    def sugars(self) -> float:
        """Sugars without polyols [g]."""
        return self.sucrose + self.glucose + self.fructose + self.other_sugars

    @property
    def dissolved(self) -> float:
        """Dissolved solids [g]."""
        return self.sugars + self.polyols + self.acid + self.ash + self.soluble

    @property
    def liquid(self) -> float:
        """Water and what is dissolved in it [g]."""
        return self.water + self.dissolved

    @property
    def brix(self) -> float:
        """True dissolved solids of the liquid [% w/w]."""
        return 100.0 * self.dissolved / self.liquid if self.liquid > 0 else 0.0

    @property
    def acid_percent(self) -> float:
        """Titratable acidity of the liquid as citric acid [% w/w]."""
        return 100.0 * self.acid / self.liquid if self.liquid > 0 else 0.0

    @property
    def reading_brix(self) -> float:
        """What a refractometer reads at 20 °C [°Bx]: acid and invert low, starch syrup high."""
        if self.liquid <= 0:
            return 0.0
        shift = (
            READS_ACID * self.acid
            + READS_INVERT * (self.glucose + self.fructose)
            + READS_OTHER * self.other_sugars
        )
        return self.brix + 100.0 * shift / self.liquid

    @property
    def density(self) -> float:
        """Density of the liquid at 20 °C [kg/m3], all solids counted as sucrose (0.5 %)."""
        return float(sugar.density(min(self.brix, 100.0)))


@dataclass(frozen=True, slots=True)
class Sweetener:
    """A sweetener and what 100 g of it holds.

    Attributes
    ----------
    name : str
        Pantry id, the key of prices and of household measures.
    water_percent, sucrose_percent, glucose_percent, fructose_percent : float
        % w/w as is.
    other_sugars_percent, polyol_percent, acid_percent, ash_percent : float
        % w/w as is. What is missing to 100 counts as other dissolved solids.
    sweetness_relative : float
        Sweetness of 1 g against 1 g of sucrose.
    kcal_per_100g : float
        Energy.
    """

    name: str
    water_percent: float = 0.0
    sucrose_percent: float = 0.0
    glucose_percent: float = 0.0
    fructose_percent: float = 0.0
    other_sugars_percent: float = 0.0
    polyol_percent: float = 0.0
    acid_percent: float = 0.0
    ash_percent: float = 0.0
    sweetness_relative: float = 1.0
    kcal_per_100g: float = 387.0

    def __post_init__(self) -> None:
        listed = [f.name for f in fields(self) if f.name.endswith("_percent")]
        total = sum(_percent(f"{self.name} {n}", getattr(self, n)) for n in listed)
        if total > 100.5:
            raise PairingError(f"{self.name}: its parts add up to {total:.1f} %, more than 100")
        if not self.sweetness_relative > 0:
            raise PairingError(f"{self.name}: relative sweetness must be above 0")

    def masses(self, grams: float) -> Masses:
        """Return what `grams` of it hold."""
        listed = (
            self.water_percent,
            self.sucrose_percent,
            self.glucose_percent,
            self.fructose_percent,
            self.other_sugars_percent,
            self.polyol_percent,
            self.acid_percent,
            self.ash_percent,
        )
        unit = 100.0 if sum(listed) <= 100.0 else sum(listed)
        return Masses(*listed, soluble=unit - sum(listed)) * (grams / unit)

    @property
    def solids_percent(self) -> float:
        """Dissolved solids [% w/w]."""
        return self.masses(100.0).dissolved


Blend = Sequence[tuple[Sweetener, float]]


@dataclass(frozen=True, slots=True)
class Portion:
    """Fruit, spice or powder that goes into the pot.

    Attributes
    ----------
    name : str
        Pantry id.
    amount : float
        Grams per `per`.
    per : str
        ``batch`` (fixed grams), ``100 g sugar`` or ``kg syrup`` (finished).
    released : Masses
        What 1 g of it gives to the liquid [g/g].
    kept : Masses
        What stays in the pieces [g/g]; `released` and `kept` add up to 1.
    hold_g_per_g : float
        Liquid that the drained pieces soak up and carry off [g/g].
    """

    name: str
    amount: float
    per: Per
    released: Masses
    kept: Masses
    hold_g_per_g: float

    def __post_init__(self) -> None:
        _grams(f"{self.name}", self.amount)
        _grams(f"{self.name}: syrup held per gram", self.hold_g_per_g)
        if self.per not in ("batch", "100 g sugar", "kg syrup"):
            raise PairingError(f"{self.name}: per must be batch, '100 g sugar' or 'kg syrup'")


def fruit(
    name: str,
    amount: float,
    form: Form,
    *,
    water_percent: float,
    brix: float,
    acid_percent: float,
    juice_yield_percent: float | None = None,
    hold_g_per_g: float | None = None,
    per: Per = "batch",
) -> Portion:
    """Return a portion of fruit.

    Parameters
    ----------
    name : str
        Pantry id.
    amount : float
        Grams per `per`.
    form : str
        ``slice``, ``juice``, ``peel`` or ``zest``.
    water_percent : float
        Water of the form as used [% w/w]; not used for juice, whose water is 100 - `brix`.
    brix : float
        Dissolved solids of its juice [% w/w], acid counted in.
    acid_percent : float
        Titratable acidity of its juice as citric acid [% w/w].
    juice_yield_percent : float, optional
        Juice that the pieces give to the pot [% of their mass]; default by form.
    hold_g_per_g : float, optional
        Syrup carried off by the drained pieces [g/g]; default by form.
    per : str
        What the amount is for, see `Portion`.

    Returns
    -------
    Portion

    Raises
    ------
    PairingError
        Percentages that no fruit can have.
    """
    if form not in JUICE_YIELD_PERCENT:
        raise PairingError(f"{name}: form must be slice, juice, peel or zest, got {form!r}")
    b = _percent(f"{name} brix", brix, 85.0) / 100.0
    a = _percent(f"{name} acid", acid_percent) / 100.0
    if a > b:
        raise PairingError(f"{name}: acid {100 * a:g} % is more than its solids, {100 * b:g} °Bx")
    rest = b - a
    sap = Masses(
        water=1.0 - b,
        sucrose=rest * CITRUS_SUGARS[0],
        glucose=rest * CITRUS_SUGARS[1],
        fructose=rest * CITRUS_SUGARS[2],
        acid=a,
        ash=rest * CITRUS_ASH,
        soluble=rest * CITRUS_OTHER_SOLUBLE,
    )
    share = 1.0  # of the form that is sap, the rest is fibre
    if form != "juice":
        share = min(1.0, _percent(f"{name} water", water_percent) / 100.0 / (1.0 - b))
    given = juice_yield_percent
    wanted = JUICE_YIELD_PERCENT[form] if given is None or form == "juice" else given
    out = min(_percent(f"{name} juice yield", wanted) / 100.0, share)
    hold = HOLD_G_PER_G[form] if hold_g_per_g is None else hold_g_per_g
    kept = sap * (share - out) + Masses(insoluble=1.0 - share)
    return Portion(name, amount, per, sap * out, kept, hold)


def spice(
    name: str,
    amount: float,
    cut: Cut = "whole",
    *,
    water_percent: float = SPICE_WATER_PERCENT,
    hold_g_per_g: float | None = None,
    per: Per = "batch",
) -> Portion:
    """Return a portion of spice or herb, which gives aroma and next to no mass to the syrup.

    Parameters
    ----------
    name : str
        Pantry id.
    amount : float
        Grams per `per`.
    cut : str
        ``whole``, ``cracked`` or ``ground``: decides how much syrup it carries off.
    water_percent : float
        Its water [% w/w]; 10 for dried spice, more for fresh herbs and roots. It stays in it.
    hold_g_per_g : float, optional
        Syrup carried off [g/g]; default by cut.
    per : str
        What the amount is for, see `Portion`.

    Returns
    -------
    Portion
    """
    if cut not in SPICE_HOLD_G_PER_G:
        raise PairingError(f"{name}: cut must be whole, cracked or ground, got {cut!r}")
    water = _percent(f"{name} water", water_percent) / 100.0
    hold = SPICE_HOLD_G_PER_G[cut] if hold_g_per_g is None else hold_g_per_g
    return Portion(name, amount, per, Masses(), Masses(water=water, insoluble=1.0 - water), hold)


def acid_powder(
    name: str, amount: float, *, acid_share: float = 1.0, per: Per = "batch"
) -> Portion:
    """Return a portion of acid powder: citric acid, anhydrous 1.0, monohydrate 0.914.

    Parameters
    ----------
    name : str
        Pantry id.
    amount : float
        Grams per `per`.
    acid_share : float
        Citric acid (or its equivalent) in 1 g; the rest is water of crystallisation.
    per : str
        What the amount is for, see `Portion`.

    Returns
    -------
    Portion
    """
    share = _percent(f"{name} acid", 100.0 * acid_share) / 100.0
    return Portion(name, amount, per, Masses(water=1.0 - share, acid=share), Masses(), 0.0)


@dataclass(frozen=True, slots=True)
class Cook:
    """How the pot is cooked: by the clock, by a measured loss, or by a measured weight.

    Attributes
    ----------
    minutes : float
        Time on the heat.
    pan_diameter_cm : float
        Inner diameter.
    pans : int
        How many such pans the batch is cooked in.
    heat : str
        ``steep`` (off the heat), ``gentle``, ``simmer`` or ``boil``.
    lid : bool
        Covered.
    evaporated_g : float, optional
        Water lost, where known; replaces the clock.
    pot_g : float, optional
        What the pot's content weighed after cooking, fruit and all; replaces the clock.
    inverted : float
        Share of the sucrose that acid and heat invert, see `sugar.inversion_fraction`.
    """

    minutes: float = 0.0
    pan_diameter_cm: float = 20.0
    heat: Heat = "simmer"
    lid: bool = False
    evaporated_g: float | None = None
    pot_g: float | None = None
    inverted: float = 0.0
    pans: int = 1

    def __post_init__(self) -> None:
        if self.heat not in EVAPORATION_FLUX:
            raise PairingError(f"heat must be {', '.join(EVAPORATION_FLUX)}, got {self.heat!r}")
        if not 0 <= self.minutes <= 24 * 60:
            raise PairingError(f"cooking time must be 0 to 1440 min, got {self.minutes:g}")
        if not 5 <= self.pan_diameter_cm <= 150:
            raise PairingError(f"pan diameter must be 5 to 150 cm, got {self.pan_diameter_cm:g}")
        if not 0 <= self.inverted <= 1:
            raise PairingError(f"inverted share must be 0 to 1, got {self.inverted:g}")
        if self.evaporated_g is not None and self.pot_g is not None:
            raise PairingError("give the water lost or the weight of the pot, not both")
        _grams("water lost", self.evaporated_g or 0.0)
        _grams("weight of the pot", self.pot_g or 0.0)

    @property
    def grams_per_minute(self) -> float:
        """Water lost by the clock [g/min]."""
        area = self.pans * math.pi / 4 * (self.pan_diameter_cm / 100.0) ** 2
        rate = EVAPORATION_FLUX[self.heat] * area * 1000.0 / 60.0
        return rate * (1.0 - LID_KEEPS) if self.lid else rate

    def loss_g(self, put_in_g: float) -> float:
        """Return the water lost [g] from a pot that `put_in_g` grams went into."""
        if self.evaporated_g is not None:
            return self.evaporated_g
        if self.pot_g is not None:
            if self.pot_g > put_in_g + 1e-9:
                raise PairingError(
                    f"the pot weighed {self.pot_g:g} g after cooking but only {put_in_g:.1f} g "
                    "went in: take the empty pan off, or list what is missing"
                )
            return max(0.0, put_in_g - self.pot_g)
        return self.minutes * self.grams_per_minute


@dataclass(frozen=True, slots=True)
class Pot:
    """A pot and the ledger of every gram that went in or out of it.

    Attributes
    ----------
    liquid, pieces : Masses
        What is in the pot.
    hold_g : float
        Liquid that the pieces will carry off when drained [g].
    put_in, steam, drained, cling : Masses
        The ledger: put in, boiled off, drained pieces with the syrup they hold, left on pan and
        strainer. Always ``put_in = liquid + pieces + steam + drained + cling``.
    """

    liquid: Masses = field(default_factory=Masses)
    pieces: Masses = field(default_factory=Masses)
    hold_g: float = 0.0
    put_in: Masses = field(default_factory=Masses)
    steam: Masses = field(default_factory=Masses)
    drained: Masses = field(default_factory=Masses)
    cling: Masses = field(default_factory=Masses)

    @property
    def weight(self) -> float:
        """What the scale shows for its content [g]."""
        return self.liquid.total + self.pieces.total


def add(pot: Pot, what: Masses) -> Pot:
    """Return the pot after dissolving `what` in its liquid."""
    if min(what._values()) < 0 or what.insoluble > 0:
        raise PairingError("only water and dissolved solids, 0 g or more, go into the liquid")
    return replace(pot, liquid=pot.liquid + what, put_in=pot.put_in + what)


def dilute(pot: Pot, water_g: float) -> Pot:
    """Return the pot after adding water."""
    return add(pot, Masses(water=_grams("water", water_g)))


def add_portion(pot: Pot, portion: Portion, grams: float) -> Pot:
    """Return the pot after adding `grams` of fruit or spice."""
    grams = _grams(portion.name, grams)
    out, kept = portion.released * grams, portion.kept * grams
    return replace(
        pot,
        liquid=pot.liquid + out,
        pieces=pot.pieces + kept,
        hold_g=pot.hold_g + portion.hold_g_per_g * grams,
        put_in=pot.put_in + out + kept,
    )


def evaporate(pot: Pot, grams: float) -> Pot:
    """Return the pot after boiling off `grams` of water."""
    grams = _grams("water boiled off", grams)
    if grams > pot.liquid.water:
        raise PairingError(
            f"cannot boil off {grams:.1f} g: the pot holds {pot.liquid.water:.1f} g of water; "
            "cook for less time, use a lid or a narrower pan"
        )
    gone = Masses(water=grams)
    return replace(pot, liquid=pot.liquid - gone, steam=pot.steam + gone)


def invert(pot: Pot, share: float) -> Pot:
    """Return the pot after a share of its sucrose took up water and became invert sugar.

    The ledger books the change on what was put in, so that it stays exact.
    """
    if not 0 <= share <= 1:
        raise PairingError(f"inverted share must be 0 to 1, got {share:g}")
    sucrose = min(pot.liquid.sucrose * share, pot.liquid.water / INVERSION_WATER)
    half = sucrose * (1.0 + INVERSION_WATER) / 2.0
    change = Masses(-sucrose * INVERSION_WATER, -sucrose, half, half)
    return replace(pot, liquid=pot.liquid + change, put_in=pot.put_in + change)


def strain(pot: Pot, loss_percent: float = STRAIN_LOSS_PERCENT) -> Pot:
    """Return the pot after draining the pieces and losing `loss_percent` of the rest."""
    loss = _percent("straining loss", loss_percent, 99.0) / 100.0
    have = pot.liquid.total
    if pot.hold_g >= have:
        raise PairingError(
            f"fruit and spice would soak up {pot.hold_g:.0f} g of {have:.0f} g of syrup: "
            "use less of them, press them, or make more syrup"
        )
    carried = pot.liquid * (pot.hold_g / have) if have else Masses()
    rest = pot.liquid - carried
    cling = rest * loss
    return replace(
        pot,
        liquid=rest - cling,
        pieces=Masses(),
        hold_g=0.0,
        drained=pot.drained + pot.pieces + carried,
        cling=pot.cling + cling,
    )


def blend(first: Pot, second: Pot) -> Pot:
    """Return both pots poured together."""
    return Pot(
        first.liquid + second.liquid,
        first.pieces + second.pieces,
        first.hold_g + second.hold_g,
        first.put_in + second.put_in,
        first.steam + second.steam,
        first.drained + second.drained,
        first.cling + second.cling,
    )


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch, from what to weigh to what is in the bottle.

    Attributes
    ----------
    sweeteners, portions : tuple of (str, float)
        Name and grams of each.
    sugar_g, water_g : float
        Sweetener in all, added water [g].
    cook : Cook
        How it is cooked.
    put_in_g, evaporated_g, pot_g : float
        All that went in, boiled off, and left in the pot before straining [g].
    drained_g, carried_g, cling_g : float
        Drained pieces, the syrup among it, and syrup left on pan and strainer [g].
    composition : Masses
        The finished syrup [g].
    notes : tuple of str
        What was adjusted and why, in words.
    """

    sweeteners: tuple[tuple[str, float], ...]
    portions: tuple[tuple[str, float], ...]
    sugar_g: float
    water_g: float
    cook: Cook
    put_in_g: float
    evaporated_g: float
    pot_g: float
    drained_g: float
    carried_g: float
    cling_g: float
    composition: Masses
    notes: tuple[str, ...] = ()

    @property
    def yield_g(self) -> float:
        """Finished syrup [g]."""
        return self.composition.total

    @property
    def yield_ml(self) -> float:
        """Finished syrup at 20 °C [ml]."""
        return self.yield_g / self.composition.density * 1000.0

    @property
    def brix(self) -> float:
        """True dissolved solids [% w/w]."""
        return self.composition.brix

    @property
    def reading_brix(self) -> float:
        """What a refractometer reads at 20 °C [°Bx]."""
        return self.composition.reading_brix

    @property
    def strength(self) -> float | None:
        """Sugar : added water by weight; None without added water."""
        return self.sugar_g / self.water_g if self.water_g > 0 else None

    def servings(self, serving_g: float) -> float:
        """Return how many servings of `serving_g` grams it gives."""
        return self.yield_g / _grams("serving", serving_g, 0.01)


def _as_blend(sweetener: Sweetener | Blend) -> tuple[tuple[Sweetener, float], ...]:
    """Return sweeteners with shares that add up to 1."""
    if isinstance(sweetener, Sweetener):
        return ((sweetener, 1.0),)
    parts = tuple((s, _grams(f"share of {s.name}", share)) for s, share in sweetener)
    total = sum(share for _, share in parts)
    if not total > 0:
        raise PairingError("a blend needs at least one sweetener with a share above 0")
    return tuple((s, share / total) for s, share in parts if share > 0)


def _portion_g(portion: Portion, sugar_g: float, yield_g: float) -> float:
    if portion.per == "batch":
        return portion.amount
    if portion.per == "100 g sugar":
        return portion.amount * sugar_g / 100.0
    return portion.amount * yield_g / 1000.0


def batch(
    sweetener: Sweetener | Blend,
    sugar_g: float,
    water_g: float,
    portions: Iterable[Portion] = (),
    cook: Cook | None = None,
    *,
    strain_loss_percent: float = STRAIN_LOSS_PERCENT,
    notes: tuple[str, ...] = (),
) -> Batch:
    """Return the batch that grams in the pot give: dissolve, fruit in, cook, strain.

    Parameters
    ----------
    sweetener : Sweetener or sequence of (Sweetener, share)
        The sweetener, or a blend by mass shares.
    sugar_g, water_g : float
        Sweetener in all and added water [g].
    portions : iterable of Portion
        Fruit, spice, acid; amounts per kg of finished syrup are worked out from the yield.
    cook : Cook, optional
        How it is cooked; default no evaporation.
    strain_loss_percent : float
        Syrup left on pan and strainer [%].
    notes : tuple of str
        Carried into the result.

    Returns
    -------
    Batch

    Raises
    ------
    PairingError
        Impossible amounts, or a syrup that cannot stay dissolved.
    """
    given = tuple(portions)
    cook = cook or Cook()
    s, w = _grams("sugar", sugar_g), _grams("water", water_g)
    if any(p.per == "kg syrup" for p in given):
        return solve(
            sweetener,
            sugar_g=s,
            water_g=w,
            portions=given,
            cook=cook,
            strain_loss_percent=strain_loss_percent,
        )
    parts = _as_blend(sweetener)
    pot = Pot()
    for each, share in parts:
        pot = add(pot, each.masses(s * share))
    pot = dilute(pot, w)
    weighed = tuple((p, _portion_g(p, s, 0.0)) for p in given)
    for portion, grams in weighed:
        pot = add_portion(pot, portion, grams)
    if not pot.put_in.total > 0:
        raise PairingError("nothing is in the pot: give sugar, water or fruit above 0 g")
    pot = evaporate(pot, cook.loss_g(pot.put_in.total))
    pot = invert(pot, cook.inverted)
    weight, pieces, water = pot.weight, pot.pieces.total, pot.liquid.water
    pot = strain(pot, strain_loss_percent)
    _check_solubility(pot.liquid, cook)
    notes = (*notes, *_own_solubility(parts, s, water))
    return Batch(
        sweeteners=tuple((each.name, s * share) for each, share in parts),
        portions=tuple((p.name, grams) for p, grams in weighed),
        sugar_g=s,
        water_g=w,
        cook=cook,
        put_in_g=pot.put_in.total,
        evaporated_g=pot.steam.total,
        pot_g=weight,
        drained_g=pot.drained.total,
        carried_g=pot.drained.total - pieces,
        cling_g=pot.cling.total,
        composition=pot.liquid,
        notes=notes,
    )


def _check_solubility(syrup: Masses, cook: Cook) -> None:
    """Refuse a syrup whose sucrose cannot dissolve in the pot or stay dissolved in the bottle."""
    if not syrup.water > 0:
        raise PairingError("no water is left: a syrup needs water; 2:1 by weight is the usual top")
    other = syrup.dissolved - syrup.sucrose
    hot = 20.0 if cook.heat == "steep" and cook.minutes == 0 else 100.0
    for t, top, where in ((hot, 1.0005, "dissolve"), (20.0, SPONTANEOUS_CRYSTALS, "stay clear")):
        found = sugar.supersaturation(syrup.sucrose, syrup.water, t, other)
        if found > top:
            saturated, most = (
                100.0 * solids / (solids + syrup.water)
                for solids in (x / found * syrup.sucrose + other for x in (1.0, top))
            )
            refused = f" and is refused above {most:.1f} °Bx" if top > 1.1 else ""
            raise PairingError(
                f"{syrup.brix:.1f} °Bx cannot {where} at {t:g} °C: such a syrup is saturated at "
                f"{saturated:.1f} °Bx, can grain above it{refused}; use less sugar, boil off "
                "less or swap part of it for glucose or invert syrup"
            )


def _own_solubility(
    parts: tuple[tuple[Sweetener, float], ...], sugar_g: float, water_g: float
) -> tuple[str, ...]:
    """Refuse a sweetener other than sucrose that crystallises at 20 °C; warn when it is near."""
    notes = []
    for each, share in parts:
        top = OWN_SOLUBILITY_PERCENT.get(each.name)
        if top is None:
            continue
        found = sugar_g * share * each.solids_percent / 100.0 / water_g
        limit = top / (100.0 - top)
        words = (
            f"{each.name} stays dissolved at 20 °C up to {limit:.2f} g per g of water "
            f"({top:g} % by itself) and here it is {found:.2f}"
        )
        if found > SPONTANEOUS_CRYSTALS * limit:
            raise PairingError(f"{words}: add water or blend it with another sweetener")
        if found > limit:
            notes.append(f"{words}: it can crystallise in the bottle")
    return tuple(notes)


Row = NDArray[np.float64]

_ONE, _S, _W, _Y, _E = range(5)  # columns of the affine balance: 1, sugar, water, yield, steam


def _unit(column: int, value: float = 1.0) -> Row:
    vector = np.zeros(5)
    vector[column] = value
    return vector


@dataclass(frozen=True, slots=True)
class _Balance:
    """The batch as affine functions of 1, sugar, water, yield and steam."""

    put_in: Row
    liquid: Row
    dissolved: Row
    yielded: Row
    fruit_juice: Row


def _balance(
    parts: tuple[tuple[Sweetener, float], ...],
    portions: tuple[Portion, ...],
    inverted: float,
    loss: float,
) -> _Balance:
    one_gram = Masses()
    for each, share in parts:
        one_gram = one_gram + each.masses(share)
    gain = INVERSION_WATER * inverted
    put_in, held, juice = _unit(_S) + _unit(_W), np.zeros(5), np.zeros(5)
    dissolved = _unit(_S, one_gram.dissolved + gain * one_gram.sucrose)
    column = {"batch": (_ONE, 1.0), "100 g sugar": (_S, 0.01), "kg syrup": (_Y, 0.001)}
    for p in portions:
        where, factor = column[p.per]
        grams = _unit(where, p.amount * factor)
        put_in = put_in + grams
        held = held + p.hold_g_per_g * grams
        juice = juice + p.released.total * grams
        dissolved = dissolved + (p.released.dissolved + gain * p.released.sucrose) * grams
    liquid = _unit(_S) + _unit(_W) + juice - _unit(_E)
    return _Balance(put_in, liquid, dissolved, (1.0 - loss) * (liquid - held), juice)


def solve(
    sweetener: Sweetener | Blend,
    *,
    strength: float | None = None,
    sugar_g: float | None = None,
    water_g: float | None = None,
    brix: float | None = None,
    yield_g: float | None = None,
    yield_ml: float | None = None,
    servings: float | None = None,
    serving_g: float | None = None,
    portions: Iterable[Portion] = (),
    cook: Cook | None = None,
    strain_loss_percent: float = STRAIN_LOSS_PERCENT,
) -> Batch:
    """Return the batch that fits what is known.

    Two knowns among `strength`, `sugar_g`, `water_g`, `brix` and the yield fix a batch; at least
    one must be an amount. A third one fixes how much water to boil off, and the cooking time is
    worked out instead of taken from `cook`. With `brix` and no `strength` the added water is cut
    to make up for the water of the fruit.

    Parameters
    ----------
    sweetener : Sweetener or sequence of (Sweetener, share)
        The sweetener, or a blend by mass shares.
    strength : float, optional
        Sugar : added water by weight, 2.0 for 2:1; see `parse_strength`.
    sugar_g, water_g : float, optional
        Sweetener in all, added water [g].
    brix : float, optional
        True dissolved solids of the finished syrup [% w/w].
    yield_g, yield_ml : float, optional
        Finished syrup [g] or [ml at 20 °C].
    servings, serving_g : float, optional
        Number of servings and grams of each, instead of the yield.
    portions : iterable of Portion
        Fruit, spice, acid: fixed grams, per 100 g of sugar or per kg of finished syrup.
    cook : Cook, optional
        How it is cooked; default no evaporation.
    strain_loss_percent : float
        Syrup left on pan and strainer [%].

    Returns
    -------
    Batch
        With `notes` that say what was adjusted.

    Raises
    ------
    PairingError
        Too few or contradicting knowns, or an impossible wish, with the nearest possible one.
    """
    given, cook = tuple(portions), cook or Cook()
    parts = _as_blend(sweetener)
    loss = _percent("straining loss", strain_loss_percent, 99.0) / 100.0
    yield_g = _wanted_yield(yield_g, yield_ml, servings, serving_g)
    if strength is not None and not 0 < strength <= 1000:
        raise PairingError(f"strength must be above 0, such as 2:1, got {strength:g}")
    if brix is not None and not 0 < brix < 100:
        raise PairingError(f"finished strength must be between 0 and 100 °Bx, got {brix:g}")
    known = {"sugar": sugar_g, "water": water_g, "yield": yield_g}
    amounts = {k: _grams(k, v) for k, v in known.items() if v is not None}
    if amounts.get("yield") == 0 or amounts.get("sugar") == 0:
        raise PairingError("sugar and yield must be above 0 g")
    if strength is not None and len(amounts) > 1 and {"sugar", "water"} <= set(amounts):
        if abs(amounts["sugar"] - strength * amounts["water"]) > 0.005 * amounts["sugar"]:
            raise PairingError(
                f"{amounts['sugar']:g} g sugar in {amounts['water']:g} g water is not "
                f"{strength:g}:1; leave one of the three out"
            )
        strength = None
    balance = _balance(parts, given, cook.inverted, loss)
    wish = _Wish(strength, brix, amounts, yield_ml, cook)
    solution = _solve_linear(balance, wish)
    if yield_ml is not None:
        solution = _settle_volume(balance, wish, solution)
    _refuse_impossible(balance, wish, solution, given)
    s, w, y, e = (max(0.0, float(v)) for v in solution)
    fixed = tuple(replace(p, amount=_portion_g(p, s, y), per="batch") for p in given)
    done, notes = _cook_for(cook, wish, e, balance, (s, w, y, e))
    return replace(
        batch(
            parts,
            s,
            w,
            fixed,
            replace(done, evaporated_g=e, pot_g=None),
            strain_loss_percent=strain_loss_percent,
            notes=notes,
        ),
        cook=done,
    )


def _wanted_yield(
    yield_g: float | None,
    yield_ml: float | None,
    servings: float | None,
    serving_g: float | None,
) -> float | None:
    """Return the yield asked for in grams; for millilitres a first guess in grams."""
    if (servings is None) != (serving_g is None):
        raise PairingError("servings need both their number and the grams of each")
    if sum(v is not None for v in (yield_g, yield_ml, servings)) > 1:
        raise PairingError("give the yield once: in grams, in millilitres or in servings")
    if servings is not None and serving_g is not None:
        return _grams("servings", servings, 1e-3) * _grams("serving", serving_g, 1e-3)
    if yield_ml is not None:
        return 1.25 * _grams("yield in ml", yield_ml)
    return yield_g


@dataclass(frozen=True, slots=True)
class _Wish:
    strength: float | None
    brix: float | None
    amounts: dict[str, float]
    yield_ml: float | None
    cook: Cook

    @property
    def count(self) -> int:
        return len(self.amounts) + (self.strength is not None) + (self.brix is not None)

    @property
    def frees_steam(self) -> bool:
        return self.count == 3

    def with_amount(self, name: str, grams: float) -> _Wish:
        return replace(self, amounts={**self.amounts, name: grams})


def _solve_linear(balance: _Balance, wish: _Wish) -> Row:
    """Return sugar, water, yield and steam [g] of a wish, which may be impossible."""
    if not wish.amounts:
        raise PairingError("say how much: sugar, water, yield or servings")
    if wish.count < 2:
        raise PairingError("one known is not enough: add a strength such as 2:1, or a °Bx")
    if wish.count > 3:
        raise PairingError("more is given than a batch can obey: two knowns fix it, three at most")
    rows = [_unit(_Y) - balance.yielded]
    if wish.strength is not None:
        rows.append(_unit(_S) - wish.strength * _unit(_W))
    if wish.brix is not None:
        rows.append(balance.dissolved - wish.brix / 100.0 * balance.liquid)
    for name, column in (("sugar", _S), ("water", _W), ("yield", _Y)):
        if name in wish.amounts:
            rows.append(_unit(column) - _unit(_ONE, wish.amounts[name]))
    if not wish.frees_steam:
        if wish.cook.pot_g is not None:
            rows.append(balance.put_in - _unit(_E) - _unit(_ONE, wish.cook.pot_g))
        else:
            rows.append(_unit(_E) - _unit(_ONE, wish.cook.loss_g(math.inf)))
    matrix = np.array(rows)
    try:
        solution: Row = np.asarray(np.linalg.solve(matrix[:, 1:], -matrix[:, _ONE]), np.float64)
    except np.linalg.LinAlgError:
        solution = np.full(4, np.nan)
    if not np.all(np.isfinite(solution)) or np.abs(solution).max() > 1e9:
        raise PairingError("these knowns contradict each other or leave the batch open; change one")
    return solution


def _at(
    row: Row,
    solution: Row,
) -> float:
    return float(row[_ONE] + row[1:] @ solution)


def _brix_of(balance: _Balance, solution: Row) -> float:
    return 100.0 * _at(balance.dissolved, solution) / _at(balance.liquid, solution)


def _settle_volume(
    balance: _Balance,
    wish: _Wish,
    solution: Row,
) -> Row:
    """Solve for a yield in millilitres: density depends on it, weakly, so it settles fast."""
    assert wish.yield_ml is not None
    grams = wish.amounts["yield"]
    for _ in range(60):
        strength = min(max(_brix_of(balance, solution), 0.0), 90.0)
        settled = wish.yield_ml * float(sugar.density(strength)) / 1000.0
        if abs(settled - grams) < 1e-9 * grams:
            break
        grams = settled
        solution = _solve_linear(balance, wish.with_amount("yield", grams))
    return solution


def _refuse_impossible(
    balance: _Balance,
    wish: _Wish,
    solution: Row,
    portions: tuple[Portion, ...],
) -> None:
    """Turn a solution with negative grams into one line that names the nearest possible wish."""
    s, w, y, e = (float(v) for v in solution)
    slack = 1e-7 * max(1.0, abs(s), abs(y))
    juice = _at(balance.fruit_juice, solution)
    if y <= 0 or _at(balance.liquid, solution) <= 0:
        raise PairingError(
            "nothing would be left in the bottle: fruit, spice and steam take more than goes in; "
            "use more sugar and water, or cook for less time"
        )
    if e < -slack:
        raise PairingError(
            f"this would need {-e:.1f} g of water back from the steam: "
            "add water instead of boiling it off, or drop one of the three knowns"
        )
    if w < -slack and wish.brix is not None:
        raise PairingError(_too_wet(balance, wish, juice))
    if s < -slack or w < -slack:
        if any(p.per == "batch" for p in portions) and "yield" in wish.amounts:
            plain = replace(wish, strength=None, brix=None, amounts={"sugar": 0.0, "water": 0.0})
            least = _solve_linear(balance, plain)[2]
            raise PairingError(
                f"{wish.amounts['yield']:.1f} g of syrup is less than fruit and spice alone leave "
                f"({least:.1f} g): make more than that or use less fruit"
            )
        raise PairingError(
            f"these knowns need {s:.1f} g sugar and {w:.1f} g water, and grams cannot be negative: "
            "change one of them"
        )


def _too_wet(balance: _Balance, wish: _Wish, juice: float) -> str:
    """Say that the fruit brings more water than the wanted strength allows, and what is near."""
    assert wish.brix is not None
    amounts = {k: v for k, v in wish.amounts.items() if k != "water"}
    dry = replace(wish, strength=None, brix=None, amounts={**amounts, "water": 0.0})
    line = f"fruit brings {juice:.0f} g of juice, too much water for {wish.brix:g} °Bx"
    try:
        top = _brix_of(balance, _solve_linear(balance, dry))
        steam = _solve_linear(balance, replace(dry, brix=wish.brix))[3]
    except PairingError:
        return line + ": use less fruit or a lower °Bx"
    extra = steam - wish.cook.loss_g(math.inf) if wish.cook.pot_g is None else steam
    return (
        f"{line}: without added water it reaches {top:.1f} °Bx; take that, use less fruit, "
        f"or boil off {extra:.0f} g more"
    )


def _cook_for(
    cook: Cook,
    wish: _Wish,
    steam: float,
    balance: _Balance,
    amounts: tuple[float, float, float, float],
) -> tuple[Cook, tuple[str, ...]]:
    """Return the cooking that loses `steam` grams, and words on what was adjusted."""
    notes = []
    juice = _at(balance.fruit_juice, np.array(amounts))
    if wish.frees_steam:
        rate = cook.grams_per_minute
        minutes = min(steam / rate, 1440.0) if rate > 0 else cook.minutes
        notes.append(
            f"boil off {steam:.0f} g"
            + (f", about {minutes:.0f} min at a {cook.heat}" if rate > 0 else "")
            + "; weigh the pot, the clock is a guide"
        )
        cook = replace(cook, minutes=minutes, evaporated_g=None, pot_g=None)
    elif wish.brix is not None and juice > 0:
        notes.append(
            f"added water is {amounts[1]:.0f} g because the fruit brings {juice:.0f} g of juice; "
            f"without fruit the same sugar would take "
            f"{amounts[0] * (100.0 / wish.brix - 1.0):.0f} g"
        )
    return cook, tuple(notes)


def scale(made: Batch, factor: float) -> Batch:
    """Return the batch with every gram times `factor`.

    Evaporation is scaled as well: in another pan it differs, so weigh the pot.

    Parameters
    ----------
    made : Batch
        The batch.
    factor : float
        Above 0; the result must stay under 10 t.

    Returns
    -------
    Batch
    """
    if not (math.isfinite(factor) and factor > 0):
        raise PairingError(f"scale factor must be above 0, got {factor:g}")
    _grams("scaled batch", made.put_in_g * factor)
    note = f"scaled by {factor:g}: weigh the pot, another pan loses water at another rate"
    return replace(
        made,
        sweeteners=tuple((n, g * factor) for n, g in made.sweeteners),
        portions=tuple((n, g * factor) for n, g in made.portions),
        sugar_g=made.sugar_g * factor,
        water_g=made.water_g * factor,
        put_in_g=made.put_in_g * factor,
        evaporated_g=made.evaporated_g * factor,
        pot_g=made.pot_g * factor,
        drained_g=made.drained_g * factor,
        carried_g=made.carried_g * factor,
        cling_g=made.cling_g * factor,
        composition=made.composition * factor,
        notes=(*made.notes, note) if made.evaporated_g > 0 else made.notes,
    )


def parse_strength(text: str, *, by_volume: bool = False) -> float:
    """Return a strength written the way it is said on the bar.

    Parameters
    ----------
    text : str
        ``2:1``, ``1.5:1`` or a plain number; sugar first.
    by_volume : bool
        Parts are cups or millilitres of granulated sugar and water.

    Returns
    -------
    float
        Sugar : water by weight.

    Raises
    ------
    PairingError
        Anything else, zero, negative.
    """
    sugar_part, _, water_part = text.replace(",", ".").partition(":")
    try:
        value = float(sugar_part) / float(water_part or 1)
    except (ValueError, ZeroDivisionError):
        raise PairingError(
            f"strength must be sugar : water such as 2:1, got {text!r:.40}"
        ) from None
    if not (math.isfinite(value) and value > 0):
        raise PairingError(f"strength must be above 0, such as 2:1, got {text!r:.40}")
    return value * WHITE_SUGAR_G_PER_ML / WATER_G_PER_ML if by_volume else value


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


def correct_to_brix(
    mass_g: float,
    reading: float,
    target: float,
    *,
    temperature_c: float = 20.0,
    acid_percent: float = 0.0,
    compensated: bool = True,
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

    Returns
    -------
    Correction

    Raises
    ------
    PairingError
        A target that sugar cannot dissolve to, or numbers out of range.
    """
    mass = _grams("batch", mass_g, 0.01)
    for what, value in (("reading", reading), ("target", target)):
        if not (math.isfinite(value) and 0 <= value <= 85):
            raise PairingError(f"{what} must be 0 to 85 °Bx, got {value:g}")
    top = float(sugar.solubility(100.0))
    if not 0 < target <= top:
        raise PairingError(f"target must be above 0 and at most {top:.1f} °Bx, got {target:g}")
    now = reading - READS_ACID * _percent("acid", acid_percent)
    if not compensated:
        now += float(sugar.refractometer_correction(reading, temperature_c))
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
    """Return the °Bx of two syrups poured together [% w/w]."""
    a, b = _grams("first syrup", first_g), _grams("second syrup", second_g)
    if not a + b > 0:
        raise PairingError("a blend needs more than 0 g of syrup")
    solids = a * _percent("first °Bx", first_brix) + b * _percent("second °Bx", second_brix)
    return solids / (a + b)


def blend_for(
    total_g: float, target_brix: float, first_brix: float, second_brix: float
) -> tuple[float, float]:
    """Return the grams of two syrups that make `total_g` of a target strength.

    Raises
    ------
    PairingError
        If the target does not lie between the two.
    """
    total = _grams("blend", total_g, 0.01)
    low, high = sorted((_percent("first °Bx", first_brix), _percent("second °Bx", second_brix)))
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
    grams = _grams("syrup", syrup_g)
    b1, b2 = _percent("°Bx", from_brix) / 100.0, _percent("new °Bx", to_brix) / 100.0
    if not (b1 > 0 and b2 > 0):
        raise PairingError("both strengths must be above 0 °Bx")
    new = grams * b1 / b2
    change = grams * (1.0 - b1) - new * (1.0 - b2)
    if drink_water_g is not None and change < -_grams("water", drink_water_g):
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


def swap_sweetener(
    old: Sweetener, grams: float, new: Sweetener, keep: Literal["sweetness", "solids"]
) -> SweetenerSwap:
    """Replace one sweetener by another at equal sweetness or equal dissolved solids.

    Parameters
    ----------
    old, new : Sweetener
        What is replaced, and by what.
    grams : float
        Grams of `old`.
    keep : str
        ``sweetness`` or ``solids``.

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
    old_g = _grams(old.name, grams)
    if keep == "sweetness":
        new_g = old_g * old.sweetness_relative / new.sweetness_relative
    else:
        if not new.solids_percent > 0:
            raise PairingError(f"{new.name} holds no solids")
        new_g = old_g * old.solids_percent / new.solids_percent
    before, after = old.masses(old_g), new.masses(new_g)
    sweet = new_g * new.sweetness_relative / (old_g * old.sweetness_relative) if old_g else 1.0
    return SweetenerSwap(
        new_g, before.water - after.water, sweet - 1.0, after.dissolved - before.dissolved
    )


@dataclass(frozen=True, slots=True)
class Orders:
    """What several sites need of one syrup.

    Attributes
    ----------
    servings : float
        In all, without the spare.
    yield_g : float
        Syrup to make, spare counted in [g].
    per_site_g : tuple of (str, float)
        Site and grams to send.
    """

    servings: float
    yield_g: float
    per_site_g: tuple[tuple[str, float], ...]


def orders(sites: Mapping[str, float], serving_g: float, spare_percent: float = 0.0) -> Orders:
    """Return the syrup that orders of several sites need.

    Parameters
    ----------
    sites : mapping of str to float
        Site and servings.
    serving_g : float
        Syrup in a serving [g].
    spare_percent : float
        Extra for spills and tastings [%].

    Returns
    -------
    Orders
        Pass `yield_g` to `solve`.

    Raises
    ------
    PairingError
        No site, or no serving in all.
    """
    each = _grams("serving", serving_g, 1e-3) * (1.0 + _percent("spare", spare_percent) / 100.0)
    counts = {name: _grams(f"servings of {name}", n) for name, n in sites.items()}
    total = sum(counts.values())
    if not total > 0:
        raise PairingError("no site orders a serving")
    per_site = tuple((name, n * each) for name, n in counts.items())
    return Orders(total, _grams("orders", total * each), per_site)


@dataclass(frozen=True, slots=True)
class Cost:
    """Cost of the ingredients, in the money of the prices.

    Attributes
    ----------
    total, per_kg : float
        Of the batch, of a kilogram of syrup.
    per_serving : float or None
        Of a serving, if its grams were given.
    lines : tuple of (str, float)
        Ingredient and cost.
    missing : tuple of str
        Ingredients without a price, left out of the sums.
    """

    total: float
    per_kg: float
    per_serving: float | None
    lines: tuple[tuple[str, float], ...]
    missing: tuple[str, ...]


def cost(made: Batch, prices_per_kg: Mapping[str, float], serving_g: float | None = None) -> Cost:
    """Return what the ingredients of a batch cost.

    Parameters
    ----------
    made : Batch
        The batch.
    prices_per_kg : mapping of str to float
        Price of a kilogram by pantry id; water is free unless priced.
    serving_g : float, optional
        Syrup in a serving [g].

    Returns
    -------
    Cost

    Raises
    ------
    PairingError
        A negative price.
    """
    used = [*made.sweeteners, *made.portions]
    if "water" in prices_per_kg:
        used.append(("water", made.water_g))
    lines = []
    for name, grams in used:
        if name in prices_per_kg:
            price = prices_per_kg[name]
            if not (math.isfinite(price) and price >= 0):
                raise PairingError(f"price of {name} must be 0 or more a kilogram, got {price:g}")
            lines.append((name, price * grams / 1000.0))
    missing = tuple(name for name, _ in used if name not in prices_per_kg)
    total = math.fsum(c for _, c in lines)
    per_kg = 1000.0 * total / made.yield_g
    serving = None if serving_g is None else per_kg * _grams("serving", serving_g, 1e-3) / 1000.0
    return Cost(total, per_kg, serving, tuple(lines), missing)
