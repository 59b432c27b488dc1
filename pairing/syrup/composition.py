"""Grams of what a syrup is made of, and what a sweetener brings of each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

from pairing.errors import PairingError
from pairing.syrup import sugar

__all__ = [
    "Blend",
    "Masses",
    "Sweetening",
    "as_blend",
    "checked_grams",
    "checked_percent",
]

MOST_GRAMS = 1.0e7  # 10 t: more than that in one batch is a slip of the keyboard
INVERSION_WATER = sugar.MOLAR_MASS_WATER / sugar.MOLAR_MASS_SUCROSE  # g water per g sucrose
# What a refractometer reads against true dissolved solids [°Bx per % w/w].
READS_ACID = -0.2  # recalled: juice-type samples read 0.15-0.25 low per 1 % citric acid
READS_INVERT = -0.02  # recalled: invert sugar reads about 0.02 low per 1 %
READS_OTHER = 0.04  # ISO 1743: starch-syrup solids read 2.4 high at 60 %


def checked_grams(what: str, value: float, least: float = 0.0) -> float:
    """Return `value` as float, refusing NaN, text, less than `least` and more than 10 t.

    Parameters
    ----------
    what : str
        What it is, in the error.
    value : float
        The number.
    least : float
        The least that is allowed.

    Returns
    -------
    float

    Raises
    ------
    PairingError
        For what is refused.
    """
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise PairingError(f"{what} must be a number of grams, got {value!r:.40}") from None
    if not math.isfinite(number) or number < least:
        raise PairingError(f"{what} must be at least {least:g}, got {number:g}")
    if number > MOST_GRAMS:
        raise PairingError(f"{what} of {number:g} g is over 10 t: split the batch or mend a slip")
    return number


def checked_percent(what: str, value: float, high: float = 100.0) -> float:
    """Return `value` as float, refusing what is not between 0 and `high` percent.

    Parameters
    ----------
    what : str
        What it is, in the error.
    value : float
        The number.
    high : float
        The most that is allowed.

    Returns
    -------
    float

    Raises
    ------
    PairingError
        For what is refused.
    """
    if not (isinstance(value, (int, float)) and 0.0 <= value <= high):
        raise PairingError(f"{what} must be 0 to {high:g} %, got {value!r:.40}")
    return float(value)


# What the other sugars and polyols are taken for where a sweetener says nothing.
MOLAR_MASS_MALTOSE, MOLAR_MASS_XYLITOL = 342.30, 152.15
SWEET_OTHER = 0.40  # maltose; Belitz et al. (2009)
SWEET_POLYOL = 0.8  # between erythritol 0.65 and xylitol 1.0


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
    other_mol, other_sweet, other_reads : float
        What the other sugars and polyols are like, no mass: their amount [mol], sweetness
        [g sucrose equivalents], and what a refractometer reads high for them [g]. Filled in as
        of maltose and of a polyol between erythritol and xylitol where nothing is said.
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
    other_mol: float = 0.0
    other_sweet: float = 0.0
    other_reads: float = 0.0

    def __post_init__(self) -> None:
        if (self.other_sugars or self.polyols) and not self.other_mol:
            mol = self.other_sugars / MOLAR_MASS_MALTOSE + self.polyols / MOLAR_MASS_XYLITOL
            sweet = SWEET_OTHER * self.other_sugars + SWEET_POLYOL * self.polyols
            object.__setattr__(self, "other_mol", mol)
            object.__setattr__(self, "other_sweet", sweet)
            object.__setattr__(self, "other_reads", READS_OTHER * self.other_sugars)

    def _values(self) -> tuple[float, ...]:
        return tuple(getattr(self, name) for name in _ALL)

    def __add__(self, other: Masses) -> Masses:
        return Masses(*(a + b for a, b in zip(self._values(), other._values(), strict=True)))

    def __sub__(self, other: Masses) -> Masses:
        return Masses(*(a - b for a, b in zip(self._values(), other._values(), strict=True)))

    def __mul__(self, factor: float) -> Masses:
        return Masses(*(a * factor for a in self._values()))

    @property
    def total(self) -> float:
        """All of it [g]."""
        return math.fsum(self._values()[:_WEIGHED])

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
            + self.other_reads
        )
        return self.brix + 100.0 * shift / self.liquid

    @property
    def density(self) -> float:
        """Density of the liquid at 20 °C [kg/m3], all solids counted as sucrose (0.5 %)."""
        return float(sugar.density(min(self.brix, 100.0)))


_ALL = tuple(f.name for f in fields(Masses))
_WEIGHED = _ALL.index("other_mol")


@dataclass(frozen=True, slots=True)
class Sweetening:
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
    other_molar_mass, other_sweetness, other_reading : float, optional
        Of its other sugars or polyols: g/mol, sweetness of 1 g, °Bx read high per percent.
    own_solubility_percent : float, optional
        What 100 g of its saturated solution hold at 20-25 °C, if it crystallises by itself [g].
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
    other_molar_mass: float | None = None
    other_sweetness: float | None = None
    other_reading: float | None = None
    own_solubility_percent: float | None = None

    def __post_init__(self) -> None:
        listed = [n for n in _SHARES if n.endswith("_percent")]
        total = sum(checked_percent(f"{self.name} {n}", getattr(self, n)) for n in listed)
        if total > 100.5:
            raise PairingError(f"{self.name}: its parts add up to {total:.1f} %, more than 100")
        if not self.sweetness_relative > 0:
            raise PairingError(f"{self.name}: relative sweetness must be above 0")

    def masses(self, grams: float) -> Masses:
        """Return what `grams` of it hold.

        Parameters
        ----------
        grams : float
            Its mass [g].

        Returns
        -------
        Masses
        """
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
        other, polyol = self.other_sugars_percent, self.polyol_percent
        special = other + polyol
        mol = sweet = reads = 0.0
        if special and self.other_molar_mass:
            usual = SWEET_OTHER * other + SWEET_POLYOL * polyol
            mol = special / self.other_molar_mass
            sweet = usual if self.other_sweetness is None else self.other_sweetness * special
            high = READS_OTHER * other if self.other_reading is None else None
            reads = high if high is not None else (self.other_reading or 0.0) * special
        made = Masses(*listed, unit - sum(listed), 0.0, mol, sweet, reads)
        return made * (grams / unit)

    @property
    def solids_percent(self) -> float:
        """Dissolved solids [% w/w]."""
        return self.masses(100.0).dissolved


_SHARES = tuple(f.name for f in fields(Sweetening) if f.name != "own_solubility_percent")

Blend = Sequence[tuple[Sweetening, float]]


def as_blend(sweetener: Sweetening | Blend) -> tuple[tuple[Sweetening, float], ...]:
    """Return sweeteners with shares that add up to 1.

    Parameters
    ----------
    sweetener : Sweetening or sequence of (Sweetening, share)
        One, or a blend.

    Returns
    -------
    tuple[tuple[Sweetening, float], ...]

    Raises
    ------
    PairingError
        For a negative share, or none above 0.
    """
    if isinstance(sweetener, Sweetening):
        return ((sweetener, 1.0),)
    parts = tuple((s, checked_grams(f"share of {s.name}", share)) for s, share in sweetener)
    total = sum(share for _, share in parts)
    if not total > 0:
        raise PairingError("a blend needs at least one sweetener with a share above 0")
    return tuple((s, share / total) for s, share in parts if share > 0)
