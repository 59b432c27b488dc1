"""Fruit, spice and powders: what each gives to the pot, and what it keeps and carries off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pairing.errors import PairingError
from pairing.syrup.composition import Masses, checked_grams, checked_percent

__all__ = [
    "Addition",
    "Cut",
    "Form",
    "Per",
    "acid_powder",
    "fruit",
    "spice",
    "steeped",
]

Form = Literal["slice", "juice", "peel", "zest"]
Cut = Literal["whole", "cracked", "ground"]
Per = Literal["batch", "100 g sugar", "kg syrup"]
# Juice that a piece gives to the pot [% of its mass] where the pantry does not say, and syrup
# that a drained piece carries off [g/g].  # common practice, no source
JUICE_YIELD_PERCENT: dict[str, float] = {"slice": 42.0, "juice": 100.0, "peel": 12.0, "zest": 12.0}
HOLD_G_PER_G: dict[str, float] = {"slice": 0.40, "juice": 0.0, "peel": 0.5, "zest": 1.1}
SPICE_HOLD_G_PER_G: dict[str, float] = {"whole": 0.8, "cracked": 1.0, "ground": 2.2}
SPICE_WATER_PERCENT = 10.0  # dried spice  # common practice, no source
# Acid-free solids of citrus juice: sucrose, glucose and fructose near 2:1:1, a tenth is not
# sugar, of which minerals are 0.4 g in 100 g of juice.  # recalled from Kimball (1999), Citrus
# Processing, and USDA SR28 (ash of orange juice)
CITRUS_SUGARS = (0.45, 0.225, 0.225)
CITRUS_ASH = 0.04
CITRUS_OTHER_SOLUBLE = 0.06


@dataclass(frozen=True, slots=True)
class Addition:
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
        checked_grams(f"{self.name}", self.amount)
        checked_grams(f"{self.name}: syrup held per gram", self.hold_g_per_g)
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
) -> Addition:
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
        What the amount is for, see `Addition`.

    Returns
    -------
    Addition

    Raises
    ------
    PairingError
        Percentages that no fruit can have.
    """
    if form not in JUICE_YIELD_PERCENT:
        raise PairingError(f"{name}: form must be slice, juice, peel or zest, got {form!r}")
    b = checked_percent(f"{name} brix", brix, 85.0) / 100.0
    a = checked_percent(f"{name} acid", acid_percent) / 100.0
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
        share = min(1.0, checked_percent(f"{name} water", water_percent) / 100.0 / (1.0 - b))
    given = juice_yield_percent
    wanted = JUICE_YIELD_PERCENT[form] if given is None or form == "juice" else given
    out = min(checked_percent(f"{name} juice yield", wanted) / 100.0, share)
    hold = HOLD_G_PER_G[form] if hold_g_per_g is None else hold_g_per_g
    kept = sap * (share - out) + Masses(insoluble=1.0 - share)
    return Addition(name, amount, per, sap * out, kept, hold)


def spice(
    name: str,
    amount: float,
    cut: Cut = "whole",
    *,
    water_percent: float = SPICE_WATER_PERCENT,
    hold_g_per_g: float | None = None,
    per: Per = "batch",
) -> Addition:
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
        What the amount is for, see `Addition`.

    Returns
    -------
    Addition

    Raises
    ------
    PairingError
        For an unknown cut, or a water that is no percentage.
    """
    if cut not in SPICE_HOLD_G_PER_G:
        raise PairingError(f"{name}: cut must be whole, cracked or ground, got {cut!r}")
    water = checked_percent(f"{name} water", water_percent) / 100.0
    hold = SPICE_HOLD_G_PER_G[cut] if hold_g_per_g is None else hold_g_per_g
    return Addition(name, amount, per, Masses(), Masses(water=water, insoluble=1.0 - water), hold)


def steeped(
    name: str,
    amount: float,
    sap: Masses,
    *,
    share: float,
    hold_g_per_g: float,
    drinks_water_g_per_g: float = 0.0,
    per: Per = "batch",
) -> Addition:
    """Return a portion of plant that gives part of its sap or solubles to the pot.

    Parameters
    ----------
    name : str
        Pantry id.
    amount : float
        Grams per `per`.
    sap : Masses
        What can come out of 1 g of it; the rest is fibre that stays.
    share : float
        Share of it that comes out, 0 to 1, see `exchange.exchanged_share`.
    hold_g_per_g : float
        Liquid that the drained pieces carry off [g/g].
    drinks_water_g_per_g : float
        Water that it soaks up before there is sugar in the pot [g/g].
    per : str
        What the amount is for, see `Addition`.

    Returns
    -------
    Addition

    Raises
    ------
    PairingError
        A share outside 0 to 1, or more sap than plant.
    """
    if not 0.0 <= share <= 1.0 or sap.total > 1.0 + 1e-9:
        raise PairingError(f"{name}: a share of its sap must be 0 to 1, and its sap at most all")
    drunk = Masses(water=drinks_water_g_per_g)
    kept = sap * (1.0 - share) + Masses(insoluble=1.0 - sap.total) + drunk
    return Addition(name, amount, per, sap * share - drunk, kept, hold_g_per_g)


def acid_powder(
    name: str, amount: float, *, acid_share: float = 1.0, per: Per = "batch"
) -> Addition:
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
        What the amount is for, see `Addition`.

    Returns
    -------
    Addition

    Raises
    ------
    PairingError
        For an amount that is none, or a share outside 0 to 1.
    """
    share = checked_percent(f"{name} acid", 100.0 * acid_share) / 100.0
    return Addition(name, amount, per, Masses(water=1.0 - share, acid=share), Masses(), 0.0)
