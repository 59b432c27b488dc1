"""A syrup poured with its coffee: which glass, what is in it, and which dangers it touches."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.serve import COFFEE, milk_of, mixer_of, style_of
from pairing.errors import PairingError, quoted
from pairing.evidence.catalog import Catalog
from pairing.glass import drink as drinks
from pairing.glass.advice import Advice, advise
from pairing.glass.solve import syrup_for_brix
from pairing.glass.spec import AnyGlass, DrinkSpec, SyrupSpec, coffee_of, glass_of
from pairing.safety import amounts
from pairing.safety.assess import assess
from pairing.safety.findings import Finding
from pairing.syrup.composition import Masses
from pairing.syrup.formula import Formula, spice_share
from pairing.values import Value

__all__ = ["PLAIN_BRIX", "Poured", "pour"]

HOT_FROM_C = 30.0
PLAIN_BRIX = 66.7  # a plain 2:1 syrup
ML_PER_OZ = 29.5735  # US fluid ounce, NIST HB 44
SAME_GLASS_ML = 3.0  # a size this near to a listed glass is that glass


@dataclass(frozen=True, eq=False, repr=False)
class Poured(Value):
    """A drink as poured.

    Attributes
    ----------
    base : CoffeeBase
    made : Formula or None
        The syrup's formula; None for a plain sugar syrup.
    drink : Drink
        What fits, how cold, how sweet.
    spice_share : float or None
        Share of the aroma loudness that is the syrup's, 0 to 1.
    findings : tuple of Finding
        In the order of danger, stops first.
    """

    base: CoffeeBase
    made: Formula | None
    drink: drinks.Drink
    spice_share: float | None
    findings: tuple[Finding, ...]

    def __str__(self) -> str:
        """Stops first, then the drink in one line."""
        spec, now = self.drink.spec, self.drink.served
        stop = "STOP, must not be served: " if self.stops else ""
        glass = spec.glass.name.lower()
        return (
            f"{stop}{spec.style.style_id} drink, {spec.syrup.grams:g} g of "
            f"{spec.syrup.name} in a {glass}: "
            f"{self.drink.volume_ml:.0f} ml, {now.temperature_c:.1f} °C, {now.sweetness_word}"
        )

    @property
    def stops(self) -> tuple[Finding, ...]:
        """Why it must not be served; empty where nothing known forbids it."""
        return tuple(f for f in self.findings if f.level == "stop")

    @property
    def needs_g(self) -> dict[str, float]:
        """What one drink takes, by id [g]: its part of the batch, coffee, milk or mixer."""
        spec, needs = self.drink.spec, dict[str, float]()
        if self.made is not None:
            part = spec.syrup.grams / self.made.batch.yield_g
            needs = {k: g * part for k, g in self.made.grams.items()}
            sweet = self.made.sweetener.sweetener_id
            needs[sweet] = needs.get(sweet, 0.0) + self.made.batch.sugar_g * part
        else:
            needs["white-cane-sugar"] = spec.syrup.masses().sugars
        brew = self.base.brew
        needs[COFFEE] = brew.dose_g * self.drink.coffee_g / brew.beverage_g
        if spec.has_milk and spec.milk is not None:
            needs[spec.milk.milk_id] = self.drink.filler_g
        if spec.is_fizzy and spec.mixer is not None:
            needs[spec.mixer.mixer_id] = self.drink.filler_g
        return {k: g for k, g in needs.items() if g > 0}

    @property
    def advice(self) -> tuple[Advice, ...]:
        """What to change."""
        return advise(self.drink, self.spice_share)


def glass_named(catalog: Catalog, name: str | None, style: str) -> AnyGlass:
    """A glass by its name or size, or the usual one of a style.

    Parameters
    ----------
    catalog : Catalog
    name : str or None
        A row of the glassware table, or a size such as ``12oz`` or ``350ml``.
    style : str

    Returns
    -------
    Glass

    Raises
    ------
    PairingError
        For an unknown name.
    """
    row = style_of(catalog, style)
    hot = row.temperature_c > HOT_FROM_C
    if name is None:
        return catalog.glasses[row.glass_id]
    if name in catalog.glasses:
        return catalog.glasses[name]
    text = name.lower().replace(" ", "").removesuffix("ml")
    ounces = text.endswith(("floz", "oz"))
    text = text.removesuffix("floz").removesuffix("oz")
    try:
        said = float(text)
    except ValueError:
        raise PairingError(
            f"unknown glass {quoted(name)}; one of {', '.join(catalog.glasses)}, or a size such as "
            "12oz"
        ) from None
    size = said * (ML_PER_OZ if ounces else 1.0)
    near = [g for g in catalog.glasses.values() if abs(g.volume_ml - size) <= SAME_GLASS_ML]
    near = [g for g in near if g.heat_resistant or not hot]
    if near:
        return min(near, key=lambda g: (g.heat_resistant != hot, abs(g.volume_ml - size)))
    called = f"{said:g} {'oz' if ounces else 'ml'} {'cup' if hot else 'glass'}"
    return glass_of(size, heat_resistant=hot, name=called)


def pour(
    catalog: Catalog,
    base: CoffeeBase,
    made: Formula | None = None,
    *,
    style: str | None = None,
    glass: str | None = None,
    syrup_g: float | None = None,
    plain_brix: float = PLAIN_BRIX,
    for_brix: float | None = None,
    ice_g: float | None = None,
    coffee_g: float | None = None,
    filler_g: float | None = None,
    milk: str = "dairy",
    mixer: str | None = None,
    foraged: Collection[str] = (),
) -> Poured:
    """Pour a syrup with its coffee.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase
    made : Formula, optional
        The syrup; a plain sugar syrup when not given.
    style : str, optional
        A row of the styles table; that of the formula, or iced.
    glass : str, optional
        A glass or a size; the usual one of the style when not given.
    syrup_g : float, optional
        Syrup in the drink [g]; as the formula is meant, else 20.
    plain_brix : float
        Strength of the plain syrup [°Bx].
    for_brix : float, optional
        Strength wanted in the glass [°Bx]: the syrup is worked out.
    ice_g, coffee_g, filler_g : float, optional
        Amounts that you set yourself [g].
    milk : str
        The milk of a milk drink.
    mixer : str, optional
        What a sparkling drink is filled up with; that of its style when not given.
    foraged : collection of str
        Ingredient ids gathered, or bought without a named species.

    Returns
    -------
    Poured

    Raises
    ------
    PairingError
        For an unknown style, glass or milk, and a drink that cannot be.
    """
    milk_of(catalog, milk)  # refuses an unknown one, whether or not the drink takes milk
    named = style or (made.glass.style if made else "iced")
    grams = syrup_g if syrup_g is not None else (made.glass.syrup_g if made else 20.0)
    if made is not None:
        syrup = SyrupSpec(grams, made.batch.composition, name="syrup")
    else:
        plain = Masses(water=100.0 - plain_brix, sucrose=plain_brix)
        syrup = SyrupSpec(grams, plain, name="plain syrup")
    row = style_of(catalog, named)
    spec = DrinkSpec(
        style=row,
        syrup=syrup,
        coffee=replace(coffee_of(base.brew), caffeine_mg=base.caffeine_mg),
        glass=glass_named(catalog, glass, named),
        ice_g=ice_g,
        coffee_g=coffee_g,
        filler_g=filler_g,
        milk=milk_of(catalog, milk) if row.has_milk else None,
        mixer=mixer_of(catalog, mixer or row.mixer_id) if row.filler == "mixer" else None,
    )
    built = drinks.build(spec) if for_brix is None else syrup_for_brix(spec, for_brix)
    share = spice_share(catalog, made) if made else None
    return Poured(base, made, built, share, _findings(catalog, made, built, milk, foraged))


def _findings(
    catalog: Catalog,
    made: Formula | None,
    built: drinks.Drink,
    milk: str,
    foraged: Collection[str],
) -> tuple[Finding, ...]:
    """Findings of the drink as built: its own syrup, volume and coffee."""
    spec = built.spec
    volume = built.served.liquid_g / built.served.density_kg_per_m3 * 1000.0
    if made is not None:
        served = replace(
            made, glass=replace(made.glass, syrup_g=spec.syrup.grams, style=spec.style.style_id)
        )
        return served.assessed(
            catalog, milk=milk, foraged=foraged, drink_ml=volume, caffeine_mg=built.caffeine_mg
        )
    serving = amounts.Serving(
        yield_g=spec.syrup.grams,
        serving_g=spec.syrup.grams,
        drink_ml=volume,
        caffeine_low_mg=built.caffeine_mg[0],
        caffeine_high_mg=built.caffeine_mg[1],
        milk=milk_of(catalog, milk).allergen_id if spec.has_milk else "",
    )
    return assess(catalog, (), serving, contents=lambda _ingredient, _form: {})
