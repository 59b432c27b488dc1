"""What goes into which glass."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from pairing.errors import PairingError
from pairing.evidence.rows import Milk, Mixer, Style
from pairing.glass.liquids import coffee_density
from pairing.syrup import sugar
from pairing.syrup.composition import Masses

if TYPE_CHECKING:
    from pairing.evidence.rows import Brew
    from pairing.glass.added import Added

__all__ = [
    "AnyGlass",
    "DrinkSpec",
    "PouredCoffee",
    "SyrupSpec",
    "checked",
    "coffee_of",
    "glass_of",
    "within",
]

ICE_G_PER_ML = 0.917  # CRC Handbook
LONG_COFFEE_TDS = 2.5  # below it a coffee is drunk as brewed and fills the glass itself
ROOM_C, WARMED_CUP_C, CHILLED_GLASS_C = (
    22.0,
    50.0,
    5.0,
)  # a glass from the shelf; a cup rinsed with hot water


class AnyGlass(Protocol):
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


def glass_of(volume_ml: float, *, heat_resistant: bool = False, name: str = "") -> AnyGlass:
    """Return a glass of a volume [ml, 60 to 1000]; it weighs about a gram per millilitre.

    Parameters
    ----------
    volume_ml : float
        To the brim [ml], 60 to 1000.
    heat_resistant : bool
        Takes hot coffee on ice.
    name : str
        What it is called.

    Returns
    -------
    Glass

    Raises
    ------
    PairingError
        For a volume out of range.
    """
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
class PouredCoffee:
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


def coffee_of(brew: Brew) -> PouredCoffee:
    """Return the coffee of a row of the brews table.

    Parameters
    ----------
    brew : Brew
        A row of the brews table.

    Returns
    -------
    Coffee
    """
    scale = brew.tds_percent / 1.3  # where the table is silent: as filter coffee of that strength
    acid = 4.4 * scale if brew.acid_mmol_per_l is None else brew.acid_mmol_per_l
    buffer = 3.5 * scale if brew.buffer_mmol_per_l_ph is None else brew.buffer_mmol_per_l_ph
    return PouredCoffee(
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
    style : Style
        A row of the styles table.
    syrup : SyrupSpec
    coffee : PouredCoffee
    glass : AnyGlass
    milk : Milk, optional
        A row of the milks table; a milk style needs it.
    mixer : Mixer, optional
        A row of the mixers table; a style that is filled up with one needs it.
    ice_g : float, optional
        Ice [g]; 0 for styles without.
    coffee_g : float, optional
        Coffee [g]; one brew of a short coffee, or as much as fits of a long one; 0 for a drink
        without, such as a hot chocolate.
    filler_g : float, optional
        Water, mixer or milk, before it is steamed [g].
    ice_temperature_c, room_temperature_c : float
        Temperatures [°C].
    glass_temperature_c : float, optional
        Temperature of the glass [°C]; a cup for a hot style is warmed, a glass for fizz chilled.
    added : tuple of Added
        What else goes in or on, from `added.add`.
    """

    style: Style
    syrup: SyrupSpec
    coffee: PouredCoffee
    glass: AnyGlass
    milk: Milk | None = None
    mixer: Mixer | None = None
    ice_g: float | None = None
    coffee_g: float | None = None
    filler_g: float | None = None
    ice_temperature_c: float = -2.0
    glass_temperature_c: float | None = None
    room_temperature_c: float = 22.0
    added: tuple[Added, ...] = ()

    def __post_init__(self) -> None:
        if self.has_milk and self.milk is None:
            raise PairingError(f"{self.style.phrase} needs a milk of the milks table")
        if self.style.filler == "mixer" and self.mixer is None:
            raise PairingError(f"{self.style.phrase} needs a mixer of the mixers table")
        if not self.has_coffee and (self.is_short or self.style.style_id == "cold-brew"):
            raise PairingError(
                f"{self.style.phrase} is made of its coffee; without it take latte, iced-milk, "
                "sparkling, hot, iced or shaken"
            )

    @property
    def is_cold(self) -> bool:
        """Served cold."""
        return self.style.temperature_c < 30.0

    @property
    def has_coffee(self) -> bool:
        """Coffee goes in."""
        return self.coffee_g != 0

    @property
    def is_iced(self) -> bool:
        """Served over ice."""
        return self.style.iced

    @property
    def is_long(self) -> bool:
        """The coffee is drunk as brewed."""
        return self.coffee.tds_percent < LONG_COFFEE_TDS

    @property
    def has_milk(self) -> bool:
        """Filled up with milk."""
        return self.style.filler == "milk"

    @property
    def is_steamed(self) -> bool:
        """The milk is steamed."""
        return self.style.build == "steamed"

    @property
    def is_strained(self) -> bool:
        """Shaken on ice that stays in the shaker."""
        return self.style.build == "strained"

    @property
    def is_short(self) -> bool:
        """Meant to be as strong as its coffee: a macchiato, a cocktail, a scoop."""
        return self.style.filler_ml is not None or not self.filler

    @property
    def stirred_in(self) -> tuple[Added, ...]:
        """What is added to the liquid."""
        return tuple(a for a in self.added if a.place == "in")

    @property
    def on_top(self) -> tuple[Added, ...]:
        """Foam, cream and dust on the drink, in the order in which they go on."""
        return tuple(
            sorted((a for a in self.added if a.place == "top"), key=lambda a: a.kind == "dust")
        )

    @property
    def milks(self) -> tuple[Milk, ...]:
        """Every milk that meets the coffee, the filler first."""
        filler = (self.milk,) if self.has_milk and self.milk is not None else ()
        return (*filler, *(a.milk for a in self.stirred_in if a.milk is not None))

    @property
    def is_fizzy(self) -> bool:
        """Filled up with something sparkling."""
        return self.style.filler == "mixer"

    @property
    def filler(self) -> str:
        """What the glass is filled up with."""
        if self.milk is not None and self.has_milk:
            return "milk" if self.milk.milk_id == "dairy" else self.milk.name.lower()
        if self.mixer is not None and self.is_fizzy:
            return self.mixer.name.split(",")[0].lower()
        return "water" if self.style.filler == "water" else ""

    @property
    def filler_g_per_ml(self) -> float:
        """Density of the filler as it is poured cold [g/ml]."""
        if self.has_milk and self.milk is not None:
            return self.milk.g_per_ml
        if self.is_fizzy and self.mixer is not None:
            return float(sugar.density(self.mixer.sugar_percent + self.mixer.acid_percent)) / 1000.0
        return 0.999

    @property
    def glass_c(self) -> float:
        """Temperature of the glass [°C]."""
        if self.glass_temperature_c is not None:
            return self.glass_temperature_c
        if not self.is_cold:
            return WARMED_CUP_C
        return CHILLED_GLASS_C if self.is_fizzy or self.is_strained else ROOM_C

    @property
    def coffee_kg_per_m3(self) -> float:
        """Density of the coffee, crema apart, as it is poured [kg/m3]."""
        return coffee_density(
            min(self.coffee.tds_percent, 30.0), min(max(self.coffee.temperature_c, 0.0), 100.0)
        )


def within(what: str, value: float, low: float, high: float, unit: str) -> float:
    """Return a number, refusing what is outside its range.

    Parameters
    ----------
    what : str
        What it is, in the error.
    value, low, high : float
        The number, and the least and most that are allowed [unit].
    unit : str
        Named in the error.

    Returns
    -------
    float

    Raises
    ------
    PairingError
        Outside the range.
    """
    if not (math.isfinite(value) and low <= value <= high):
        raise PairingError(f"{what} must be {low:g} to {high:g} {unit}, got {value:g}")
    return float(value)


def checked(spec: DrinkSpec) -> None:
    """Refuse a spec with numbers that no drink has.

    Parameters
    ----------
    spec : DrinkSpec

    Returns
    -------
    None

    Raises
    ------
    PairingError
        With the number and its range.
    """
    within("syrup", spec.syrup.grams, 0, 500, "g")
    if not spec.syrup.composition.liquid > 0:
        raise PairingError("the syrup has no composition: give one above 0 g")
    within("glass", spec.glass.volume_ml, 60, 1000, "ml")
    within("coffee", spec.coffee.grams, 1, 1000, "g")
    for what, value in (("ice", spec.ice_g), ("coffee", spec.coffee_g), ("filler", spec.filler_g)):
        if value is not None:
            within(what, value, 0, 1000, "g")
    within("ice temperature", spec.ice_temperature_c, -30, 0, "°C")
    within("glass temperature", spec.glass_c, -20, 90, "°C")
    within("room temperature", spec.room_temperature_c, 0, 45, "°C")
    for a in spec.added:
        if a.ice_g and not spec.is_cold:
            raise PairingError(f"{a.name} melts in {spec.style.phrase}: use a cold style")
        if a.place == "milk" and not spec.has_milk:
            raise PairingError(f"{spec.style.phrase} has no milk to steep {a.name} in")
    if not spec.is_iced and spec.ice_g:
        raise PairingError(f"{spec.style.phrase} takes no ice: use an iced style")
