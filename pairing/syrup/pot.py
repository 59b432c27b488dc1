"""The pot: a ledger of every gram that goes in, boils off, is drained or stays on the pan."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Literal

from pairing.errors import PairingError
from pairing.syrup.addition import Addition
from pairing.syrup.composition import (
    _WEIGHED,
    INVERSION_WATER,
    Masses,
    checked_grams,
    checked_percent,
)

__all__ = [
    "CAUTIONS",
    "Cook",
    "Heat",
    "Pot",
    "add",
    "add_portion",
    "blend",
    "dilute",
    "evaporate",
    "invert",
    "strain",
]

Heat = Literal["steep", "gentle", "simmer", "boil"]
# Water lost from an open pan of syrup [kg/(m2 h)].  # common practice, no source
# Gentle is a still surface near 90 °C, simmer 92-98 °C (1 l in a 20 cm pan loses 3-8 % in 10
# min), boil a rolling boil on a 1.2-2 kW ring (10-25 % in 10 min).
EVAPORATION_FLUX: dict[str, float] = {"steep": 0.0, "gentle": 3.5, "simmer": 10.0, "boil": 30.0}
LID_KEEPS = 0.9  # share of the steam that a lid returns  # common practice, no source
STRAIN_LOSS_PERCENT = 2.0  # fine mesh and pan, 1-3 %  # common practice, no source
CAUTIONS: tuple[str, ...] = (
    "Boiling sugar sticks and burns deeper than water: long sleeves, no bare hands, no children.",
    "Steam burns: open the lid away from you; add fruit and water slowly, off the boil.",
    "Never leave the pot; use one that is at most half full.",
    "Pour hot syrup only into heat-proof, warm, dry glass; cold glass can crack.",
    "Clean, scalded bottles; cool fast (ice bath), refrigerate, label with name and date.",
)


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
        checked_grams("water lost", self.evaporated_g or 0.0)
        checked_grams("weight of the pot", self.pot_g or 0.0)

    @property
    def grams_per_minute(self) -> float:
        """Water lost by the clock [g/min]."""
        area = self.pans * math.pi / 4 * (self.pan_diameter_cm / 100.0) ** 2
        rate = EVAPORATION_FLUX[self.heat] * area * 1000.0 / 60.0
        return rate * (1.0 - LID_KEEPS) if self.lid else rate

    def loss_g(self, put_in_g: float) -> float:
        """Return the water lost [g] from a pot that `put_in_g` grams went into.

        Parameters
        ----------
        put_in_g : float
            All that went in [g].

        Returns
        -------
        float

        Raises
        ------
        PairingError
            When the pot weighed more than went in.
        """
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
    """Return the pot after dissolving `what` in its liquid.

    Parameters
    ----------
    pot : Pot
        The pot.
    what : Masses
        What dissolves in it [g].

    Returns
    -------
    Pot

    Raises
    ------
    PairingError
        For less than 0 g of anything, and for what does not dissolve.
    """
    if min(what._values()[:_WEIGHED]) < 0 or what.insoluble > 0:
        raise PairingError("only water and dissolved solids, 0 g or more, go into the liquid")
    return replace(pot, liquid=pot.liquid + what, put_in=pot.put_in + what)


def dilute(pot: Pot, water_g: float) -> Pot:
    """Return the pot after adding water.

    Parameters
    ----------
    pot : Pot
        The pot.
    water_g : float
        Water [g].

    Returns
    -------
    Pot

    Raises
    ------
    PairingError
        For a mass that is none.
    """
    return add(pot, Masses(water=checked_grams("water", water_g)))


def add_portion(pot: Pot, portion: Addition, grams: float) -> Pot:
    """Return the pot after adding `grams` of fruit or spice.

    Parameters
    ----------
    pot : Pot
        The pot.
    portion : Addition
        What goes in.
    grams : float
        Its mass [g].

    Returns
    -------
    Pot

    Raises
    ------
    PairingError
        For a mass that is none.
    """
    grams = checked_grams(portion.name, grams)
    out, kept = portion.released * grams, portion.kept * grams
    if pot.liquid.water + out.water < 0:
        raise PairingError(
            f"{grams:.0f} g of {portion.name} would drink up all the water: use less of it, or "
            "more water"
        )
    return replace(
        pot,
        liquid=pot.liquid + out,
        pieces=pot.pieces + kept,
        hold_g=pot.hold_g + portion.hold_g_per_g * grams,
        put_in=pot.put_in + out + kept,
    )


def evaporate(pot: Pot, grams: float) -> Pot:
    """Return the pot after boiling off `grams` of water.

    Parameters
    ----------
    pot : Pot
        The pot.
    grams : float
        Water boiled off [g].

    Returns
    -------
    Pot

    Raises
    ------
    PairingError
        For more water than the pot holds.
    """
    grams = checked_grams("water boiled off", grams)
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

    Parameters
    ----------
    pot : Pot
        The pot.
    share : float
        Share of the sucrose, 0 to 1.

    Returns
    -------
    Pot

    Raises
    ------
    PairingError
        For a share outside 0 to 1.
    """
    if not 0 <= share <= 1:
        raise PairingError(f"inverted share must be 0 to 1, got {share:g}")
    sucrose = min(pot.liquid.sucrose * share, pot.liquid.water / INVERSION_WATER)
    half = sucrose * (1.0 + INVERSION_WATER) / 2.0
    change = Masses(-sucrose * INVERSION_WATER, -sucrose, half, half)
    return replace(pot, liquid=pot.liquid + change, put_in=pot.put_in + change)


def strain(pot: Pot, loss_percent: float = STRAIN_LOSS_PERCENT) -> Pot:
    """Return the pot after draining the pieces and losing `loss_percent` of the rest.

    Parameters
    ----------
    pot : Pot
        The pot.
    loss_percent : float
        Left on pan and strainer [%].

    Returns
    -------
    Pot

    Raises
    ------
    PairingError
        When the pieces soak up all the syrup, or for a loss outside 0 to 99 %.
    """
    loss = checked_percent("straining loss", loss_percent, 99.0) / 100.0
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
    """Return both pots poured together.

    Parameters
    ----------
    first : Pot
        One pot.
    second : Pot
        The other.

    Returns
    -------
    Pot
    """
    return Pot(
        first.liquid + second.liquid,
        first.pieces + second.pieces,
        first.hold_g + second.hold_g,
        first.put_in + second.put_in,
        first.steam + second.steam,
        first.drained + second.drained,
        first.cling + second.cling,
    )
