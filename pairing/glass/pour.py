"""A syrup poured with its coffee: which glass, what is in it, and which dangers it touches."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.serve import COFFEE, SYRUP_G, milk_of, mixer_of, style_of
from pairing.errors import PairingError, quoted
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Milk
from pairing.glass import added
from pairing.glass import drink as drinks
from pairing.glass.advice import Advice, advise
from pairing.glass.loudness import spice_share
from pairing.glass.solve import syrup_for_brix
from pairing.glass.spec import AnyGlass, DrinkSpec, SyrupSpec, coffee_of, glass_of
from pairing.safety import amounts
from pairing.safety.assess import assess
from pairing.safety.bought import bought_portion
from pairing.safety.findings import Finding
from pairing.syrup.composition import Masses
from pairing.syrup.dose import fat_holds
from pairing.syrup.formula import Formula
from pairing.values import Value

__all__ = ["PLAIN_BRIX", "VERSIONS", "Poured", "pour"]

HOT_FROM_C = 30.0
PLAIN_BRIX = 66.7  # a plain 2:1 syrup
ML_PER_OZ = 29.5735  # US fluid ounce, NIST HB 44
VERSIONS = ("vegan", "half-sweet")
WORTH_TELLING = 1.2  # times the dose without fat: common practice, no source
VEGAN_MILK = "oat"
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
    told : tuple of str
        What a version changed, and what fat holds back, in words.
    """

    base: CoffeeBase
    made: Formula | None
    drink: drinks.Drink
    spice_share: float | None
    findings: tuple[Finding, ...]
    told: tuple[str, ...] = ()

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
            for sweet, grams in self.made.batch.sweeteners:
                needs[sweet] = needs.get(sweet, 0.0) + grams * part
        else:
            needs["white-cane-sugar"] = spec.syrup.masses().sugars
        brew = self.base.brew
        needs[COFFEE] = brew.dose_g * self.drink.coffee_g / brew.beverage_g
        if spec.has_milk and spec.milk is not None:
            needs[spec.milk.milk_id] = self.drink.filler_g
        if spec.is_fizzy and spec.mixer is not None:
            needs[spec.mixer.mixer_id] = self.drink.filler_g
        for a in spec.added:
            needs[a.ident] = needs.get(a.ident, 0.0) + a.grams
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
    add: Mapping[str, str] | None = None,
    versions: Collection[str] = (),
    foraged: Collection[str] = (),
    alcohol_percent: float = 0.0,
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
        Syrup in the drink [g]; as the formula is meant, else what the style usually takes.
    plain_brix : float
        Strength of the plain syrup [°Bx].
    for_brix : float, optional
        Strength wanted in the glass [°Bx]: the syrup is worked out.
    ice_g, coffee_g, filler_g : float, optional
        Amounts that you set yourself [g]; coffee 0 for a drink without.
    milk : str
        The milk of a milk drink.
    mixer : str, optional
        What a sparkling drink is filled up with; that of its style when not given.
    add : mapping of str to str, optional
        Amount by name of what else goes in or on, see `added.add`; what the style adds when not
        given.
    versions : collection of str
        Of `VERSIONS`.
    foraged : collection of str
        Ingredient ids gathered, or bought without a named species.
    alcohol_percent : float
        Alcohol of the drink by the bar's own reckoning [% vol]; with spirits it is worked out.

    Returns
    -------
    Poured

    Raises
    ------
    PairingError
        For an unknown style, glass or milk, and a drink that cannot be.
    """
    own = milk_of(catalog, milk)  # refuses an unknown one, whether or not the drink takes milk
    if unknown := set(versions) - set(VERSIONS):
        raise PairingError(f"unknown version {quoted(min(unknown))}; one of {', '.join(VERSIONS)}")
    told: list[str] = []
    named = style or (made.glass.style if made else "iced")
    row = style_of(catalog, named)
    grams = made.glass.syrup_g if made else (row.syrup_g or SYRUP_G)
    if syrup_g is not None:
        grams = syrup_g
    if made is not None:
        syrup = SyrupSpec(grams, made.batch.composition, name="syrup")
    else:
        plain = Masses(water=100.0 - plain_brix, sucrose=plain_brix)
        syrup = SyrupSpec(grams, plain, name="plain syrup")
    if "vegan" in versions and not own.vegan:
        if row.has_milk:
            told.append(f"vegan: {VEGAN_MILK} drink instead of {own.name.lower()}")
        own = milk_of(catalog, VEGAN_MILK)
    wishes = add if add is not None else dict.fromkeys(row.adds, "")
    extras = added.add(catalog, wishes, own)
    if "vegan" in versions:
        told += _only_vegan(catalog, made, extras)
    usual_g = syrup.grams
    if "half-sweet" in versions:
        syrup = replace(syrup, grams=usual_g / 2.0)
    spec = DrinkSpec(
        style=row,
        syrup=syrup,
        coffee=replace(coffee_of(base.brew), caffeine_mg=base.caffeine_mg),
        glass=glass_named(catalog, glass, named),
        ice_g=ice_g,
        coffee_g=coffee_g,
        filler_g=filler_g,
        milk=own if row.has_milk else None,
        mixer=mixer_of(catalog, mixer or row.mixer_id) if row.filler == "mixer" else None,
        added=extras,
    )
    built = drinks.build(spec) if for_brix is None else syrup_for_brix(spec, for_brix)
    if "half-sweet" in versions:
        told.append(_less_sugar(spec, built, usual_g, made is not None))
    share = spice_share(catalog, base, made, built)
    told += _held_by_fat(catalog, base, built)
    if built.served.alcohol_g > 0 and alcohol_percent > 0:
        raise PairingError("alcohol is said twice: the drink's spirits are counted already")
    findings = _findings(catalog, made, built, own, foraged, alcohol_percent)
    return Poured(base, made, built, share, findings, tuple(told))


def _only_vegan(
    catalog: Catalog, made: Formula | None, extras: Sequence[added.Added]
) -> Iterator[str]:
    """Refuse what is of an animal; say what only a maker knows."""
    if made is not None:
        names = [d.form.ingredient_id for d in made.doses] + [i for i, _ in made.batch.sweeteners]
        for name in names:
            if not added.is_vegan(catalog, name):
                raise PairingError(f"{name.replace('-', ' ')} is not vegan: leave it out")
    for a in extras:
        if a.vegan == "no":
            instead = ": cold foam is made of the drink's own milk" if a.place == "top" else ""
            raise PairingError(f"{a.name} is not vegan{instead}")
        if a.vegan == "by-maker":
            yield f"vegan: ask the maker of the {a.name}"


def _less_sugar(spec: DrinkSpec, built: drinks.Drink, usual_g: float, spiced: bool) -> str:
    """Half the syrup against the usual drink."""
    usual = drinks.build(replace(spec, syrup=replace(spec.syrup, grams=usual_g)))
    less = 100.0 * (1.0 - built.sugar_g / usual.sugar_g) if usual.sugar_g else 0.0
    claim = (
        "'reduced sugars' may be said in the EU from 30 %"
        if less >= 30.0
        else "too little to say 'reduced sugars' (30 % in the EU): what else is in it is sweet"
    )
    text = (
        f"half the syrup: {built.sugar_g:.0f} g sugar instead of {usual.sugar_g:.0f} g "
        f"({less:.0f} % less; {claim})"
    )
    if spiced:
        text += f"; the spice halves too: make the syrup for {spec.syrup.grams:g} g a drink"
    return text


def _held_by_fat(catalog: Catalog, base: CoffeeBase, built: drinks.Drink) -> Iterator[str]:
    """How much more a plant steeped in milk needs than the same in skimmed milk."""
    spec = built.spec
    for a in spec.added:
        if a.place != "milk" or a.form is None or spec.milk is None:
            continue
        fat = spec.milk.fat_percent * built.filler_g / built.served.liquid_g
        more = fat_holds(catalog, a.form, fat)
        if more >= WORTH_TELLING:
            yield (
                f"{a.name} in {spec.filler}: {fat:.1f} % fat in the drink lets go of about "
                f"1/{more:.1f} of its aroma, so it takes {more:.1f} times as much as without fat"
            )


def _findings(
    catalog: Catalog,
    made: Formula | None,
    built: drinks.Drink,
    own: Milk,
    foraged: Collection[str],
    alcohol_percent: float,
) -> tuple[Finding, ...]:
    """Findings of the drink as built: its own syrup, volume, coffee, and all that is added."""
    spec = built.spec
    said = made.said if made else amounts.Said()
    worked_out = round(built.served.alcohol_percent, 1)
    serving = amounts.Serving(
        yield_g=made.batch.yield_g if made else max(spec.syrup.grams, 1.0),
        serving_g=spec.syrup.grams,
        drink_ml=built.served.volume_ml,
        caffeine_low_mg=built.caffeine_mg[0],
        caffeine_high_mg=built.caffeine_mg[1],
        milk=own.allergen_id if spec.has_milk else "",
        alcohol_percent=worked_out or alcohol_percent or said.alcohol_percent,
    )
    extras = [p for a in spec.added for p in a.portions]
    if spec.mixer is not None and built.quinine_mg[1] > 0:
        extras.append(bought_portion(spec.mixer, built.filler_g))
    return assess(
        catalog,
        (*(made.portions(catalog) if made else ()), *extras),
        serving,
        foraged=frozenset(foraged),
        flavourings_added=said.flavourings_added,
        unsulphured=said.unsulphured,
    )
