"""Formula: a blend becomes doses, a batch, and a plan that a person can follow."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from pairing.aroma import infusion
from pairing.aroma import odour as aroma
from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.serve import SYRUP_G, Serve, serve_for
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.safety import assess as safety
from pairing.syrup import keeping as stability
from pairing.syrup.addition import Portion
from pairing.syrup.balance import Batch, solve
from pairing.syrup.brought import portion_of, sweetener_of
from pairing.syrup.dose import COLD_MADE_UP, Dose, dose_for
from pairing.syrup.pot import Cook
from pairing.syrup.strength import by_weight

__all__ = ["Formula", "make", "other_temperature", "refuse_regulated_form", "spice_share"]

FAR_ABOVE_BAR = 3.0  # times the high end of bar practice from which a dose of your own is named
SMALLEST_BATCH_G = 20.0  # below it the pan loses more than it holds
SMALLEST_SERVING_G = 1.0  # of syrup in a drink; below it nobody can dose
THIN_BRIX = 30.0  # flavoured water rather than syrup: common practice, no source


HOT_C, COLD_C = 60.0, 3.0  # where a hot and an iced drink are drunk: common practice, no source


def other_temperature(catalog: Catalog, made: Formula) -> tuple[str, float]:
    """How the doses change if the same drink is served hot instead of cold, or the reverse.

    Cold holds aroma back: by the Henry constants of ``volatility.csv`` (Sander 2023 and others) at
    the warmth of a sip. How much of that a dose makes up is :data:`COLD_MADE_UP`.

    Parameters
    ----------
    catalog : Catalog
    made : Formula

    Returns
    -------
    (word, factor)
        ``hot`` or ``iced``, and the median ratio of the doses.
    """
    cold = made.glass.temperature_c < (HOT_C + COLD_C) / 2
    there = HOT_C if cold else COLD_C
    held = aroma.profiles(catalog, [d.form.form_id for d in made.doses])
    usual = np.array([d.g_per_kg for d in made.doses])
    weight = held.oav(usual)  # what is loud decides
    here_release = infusion.mouth_release(catalog, made.glass.temperature_c) ** COLD_MADE_UP
    there_release = infusion.mouth_release(catalog, there) ** COLD_MADE_UP
    with np.errstate(invalid="ignore", divide="ignore"):
        ratios = (weight @ here_release) / (weight @ there_release)
    ratios = ratios[np.isfinite(ratios)]
    return ("hot" if cold else "iced"), float(np.median(ratios)) if len(ratios) else 1.0


@dataclass(frozen=True)
class Formula:
    """A trial formula.

    Attributes
    ----------
    base : CoffeeBase
    doses : tuple of Dose
    sweetener : SweetenerRow
    batch : Batch
    glass : Serve
    strength_word : str
        Strength and why.
    steps : tuple of str
    grams : dict
        Grams of each form in the batch.
    """

    base: CoffeeBase
    doses: tuple[Dose, ...]
    sweetener: SweetenerRow
    batch: Batch
    glass: Serve
    strength_word: str
    steps: tuple[str, ...]
    grams: dict[str, float] = field(default_factory=dict)

    @property
    def servings(self) -> int:
        """Whole servings in the batch."""
        return math.floor(self.batch.servings(self.glass.syrup_g) + 1e-6)

    def portions(self, catalog: Catalog) -> tuple[safety.Portion, ...]:
        """Everything in the pot, as the safety engine takes it."""
        out = [safety.portion(catalog, d.form, self.grams[d.form.form_id]) for d in self.doses]
        out.append(
            safety.Portion(self.sweetener.sweetener_id, "syrup", self.batch.sugar_g, "sweetener")
        )
        return tuple(out)

    def findings(
        self,
        catalog: Catalog,
        *,
        milk: str = "dairy",
        foraged: Collection[str] = (),
        drink_ml: float | None = None,
        caffeine_mg: tuple[float, float] | None = None,
    ) -> tuple[safety.Finding, ...]:
        """Limits, rules, hazards and allergens it touches in its drink, stops first.

        Parameters
        ----------
        catalog : Catalog
        milk : str
            The milk of a milk drink.
        foraged : collection of str
            Ingredient ids gathered, or bought without a named species.
        drink_ml : float, optional
            The drink as served; the usual one of the style when not given.
        caffeine_mg : (float, float), optional
            Low and high of the coffee poured; one brew when not given.
        """
        low, high = caffeine_mg or self.base.caffeine_mg
        serving = safety.Serving(
            yield_g=self.batch.yield_g,
            serving_g=self.glass.syrup_g,
            drink_ml=drink_ml or self.glass.drink_ml,
            caffeine_low_mg=low,
            caffeine_high_mg=high,
            milk=milk if catalog.styles[self.glass.style].has_milk else "",
        )
        found = safety.assess(
            self.portions(catalog),
            serving,
            safety.contents_of(catalog),
            foraged=frozenset(foraged),
        )
        stops = [f for f in found if f.level == "stop"]
        rest = [f for f in found if f.level != "stop"]
        return tuple([*stops, *sorted(rest, key=lambda f: f.code != "poison")])

    @property
    def notices(self) -> tuple[str, ...]:
        """What stands on top of the print: doses far above the bar's, a syrup that is none."""
        out = [
            f"{d.form.label}: {d.g_per_kg:g} g/kg is {d.times_bar_high:.0f} times the high end of "
            "bar practice"
            for d in self.doses
            if d.times_bar_high > FAR_ABOVE_BAR
        ]
        if self.batch.brix < THIN_BRIX:
            out.append(
                f"{self.batch.brix:.0f} °Bx is flavoured water, not a syrup: it spoils like juice "
                "and thins the drink; 50 °Bx and up keeps and sweetens as a syrup does"
            )
        return tuple(out)

    def cautions(self, catalog: Catalog) -> tuple[safety.ProcessCaution, ...]:
        """Cautions of making and keeping it."""
        situations = safety.situations_of(
            self.portions(catalog), {d.method for d in self.doses}, "", ""
        )
        return safety.process_cautions(situations)

    def keeping(self, catalog: Catalog) -> stability.Stability:
        """How it keeps."""
        kinds = {catalog.kind(d.form) for d in self.doses}
        fresh = "citrus" in kinds or any((d.form.water_percent or 0) > 40 for d in self.doses)
        return stability.assess(
            self.batch.composition,
            "fruit" if fresh else "spice",
            needs_control=safety.needs_control,
        )


# Pan that a batch fits in, half full: (up to grams, diameter cm). Common practice, no source.
PANS = ((120.0, 9.0), (350.0, 14.0), (800.0, 16.0), (2000.0, 20.0), (4000.0, 24.0), (12000.0, 32.0))
WIDEST_PAN_CM, WIDEST_PAN_G = 45.0, 30_000.0  # about 23 l; more syrup takes more pans


def cook_of(catalog: Catalog, doses: Sequence[Dose], batch_g: float) -> Cook:
    """How the pot is cooked for these doses, with the water that each stage of the plan loses.

    Parameters
    ----------
    catalog : Catalog
    doses : sequence of Dose
    batch_g : float
        Rough size of the batch, g.

    Returns
    -------
    Cook
        An open simmer (the rate of any boiling down) with the known loss of the other stages:
        warming 3 min, simmer under a lid, the minute at the boil; a lid keeps the rest in.
    """
    pan = next((cm for grams, cm in PANS if batch_g <= grams), WIDEST_PAN_CM)
    pans = math.ceil(batch_g / WIDEST_PAN_G) if WIDEST_PAN_G < batch_g < math.inf else 1
    simmer = max((d.minutes for d in doses if d.method == "simmer"), default=0.0)
    boiled = any(infusion.boiled_first(catalog, d.form, d.method) for d in doses)
    ajar = infusion.BOIL_MIN / 2.0 if boiled else 0.0  # a lid ajar loses the mean of open and shut
    stages = (
        Cook(minutes=3.0, heat="gentle", pan_diameter_cm=pan),
        Cook(minutes=simmer, heat="simmer", lid=True, pan_diameter_cm=pan),
        Cook(minutes=ajar, heat="boil", pan_diameter_cm=pan),
        Cook(minutes=ajar, heat="boil", lid=True, pan_diameter_cm=pan),
    )
    lost = pans * sum(c.minutes * c.grams_per_minute for c in stages)
    return Cook(heat="simmer", pan_diameter_cm=pan, pans=pans, evaporated_g=lost)


def make(
    catalog: Catalog,
    names: Sequence[str],
    base: CoffeeBase,
    *,
    style: str = "iced",
    serving_g: float = SYRUP_G,
    sweetener: str = "white-cane-sugar",
    strength: str | None = None,
    by_volume: bool = False,
    brix: float | None = None,
    yield_g: float | None = None,
    yield_ml: float | None = None,
    servings: float | None = None,
    sugar_g: float | None = None,
    levels: Mapping[str, str] | None = None,
    doses: Mapping[str, float] | None = None,
) -> Formula:
    """A trial formula for a blend over a coffee.

    Parameters
    ----------
    catalog : Catalog
    names : sequence of str
        One to six ingredients, by id, name or alias.
    base : CoffeeBase
    style : str
        Drink it is for; a cold drink needs a larger dose than a hot one.
    serving_g : float
        Grams of syrup in a drink.
    sweetener : str
    strength : str, optional
        Sugar : added water, such as ``"2:1"``; by weight unless ``by_volume``. When not given,
        2:1 with fruit slices or juice (their water thins it), else 1.5:1.
    brix : float, optional
        Finished strength instead of a strength.
    yield_g, yield_ml, servings, sugar_g : float, optional
        How much to make; 500 g when none is given.
    levels : mapping of str to str, optional
        ``accent``, ``balanced`` or ``lead`` by ingredient name.
    doses : mapping of str to float, optional
        Doses that you set yourself, g per kg of finished syrup.

    Raises
    ------
    PairingError
        For unknown names, a repeated ingredient, a batch under 20 g, a part of a serving, or a
        batch that cannot be.
    """
    forms = _forms(catalog, names)
    if not serving_g >= SMALLEST_SERVING_G:
        raise PairingError(
            f"{serving_g:g} g of syrup in a drink; give {SMALLEST_SERVING_G:g} or more"
        )
    glass = serve_for(catalog, style, base.brew, serving_g)
    wanted = {catalog.form(n).form_id: v for n, v in (levels or {}).items()}
    given = {catalog.form(n).form_id: v for n, v in (doses or {}).items()}
    for stray in (set(wanted) | set(given)) - {f.form_id for f in forms}:
        raise PairingError(f"{stray} has a level or dose but is not in the formula; add it")
    chosen = [
        dose_for(catalog, f, base, glass, wanted.get(f.form_id, "balanced"), given.get(f.form_id))
        for f in forms
    ]
    row = catalog.sweetener(sweetener)
    if servings is not None and not (servings >= 1 and servings == int(servings)):
        raise PairingError(f"{servings:g} servings; give whole servings, 1 or more")
    chosen = _within_limits(catalog, chosen, base, glass)
    if yield_g is yield_ml is servings is sugar_g is None:
        yield_g = 500.0
    batch_g = yield_g or yield_ml or (servings or 0) * serving_g or (sugar_g or 0) * 2
    wish = _Amount(yield_g, yield_ml, servings, serving_g, sugar_g)
    portions = [portion_of(catalog, d.form, d.g_per_kg) for d in chosen]
    cook = cook_of(catalog, chosen, batch_g)
    if 0 < batch_g < SMALLEST_BATCH_G:
        raise _too_small(batch_g)
    batch, word = _batch(catalog, row, portions, cook, wish, strength, by_volume, brix, forms)
    if batch.yield_g < SMALLEST_BATCH_G:
        raise _too_small(batch.yield_g)
    from pairing.syrup.plan import steps

    grams = dict(batch.portions)
    plan = tuple(steps(catalog, chosen, batch, row, grams, cook.evaporated_g or 0.0))
    return Formula(base, tuple(chosen), row, batch, glass, word, plan, grams)


def _too_small(grams: float) -> PairingError:
    return PairingError(
        f"a batch of {grams:.3g} g; the smallest yield is {SMALLEST_BATCH_G:g} g, a pan loses more"
    )


def _within_limits(
    catalog: Catalog, doses: Sequence[Dose], base: CoffeeBase, glass: Serve
) -> list[Dose]:
    """Doses that the tool chose, held so that a drink stops at no limit; given doses stay."""
    held = list(doses)
    contents = safety.contents_of(catalog)
    names = safety.tables().substances
    content = {
        d.form.form_id: safety.highest(contents, safety.portion(catalog, d.form, d.g_per_kg))
        for d in doses
    }
    for _ in range(len(names)):  # each pass ends one stop, a substance can meet several limits
        stop = next(
            (
                f
                for f in safety.assess(
                    [safety.portion(catalog, d.form, d.g_per_kg) for d in held],
                    safety.Serving(1000.0, glass.syrup_g, glass.drink_ml),
                    contents,
                )
                if f.level == "stop" and f.code == "limit" and f.limit and f.amount
                and any(
                    d.level != "given" and content[d.form.form_id].get(f.subject) for d in held
                )
            ),
            None,
        )  # fmt: skip
        if stop is None:
            return held
        loads = [d.g_per_kg * content[d.form.form_id].get(stop.subject, 0.0) for d in held]
        fixed = sum(x for x, d in zip(loads, held, strict=True) if d.level == "given")
        free = sum(loads) - fixed
        room = sum(loads) / stop.ratio - fixed
        if room <= 0:  # the doses that you gave pass it alone: the stop is told, not hidden
            return held
        factor = 0.999 * room / free
        body = stop.jurisdiction
        word = f"held at the limit for {names[stop.subject].name} ({body})"
        held = [
            replace(d, g_per_kg=d.g_per_kg * factor, bound=word)
            if d.level != "given" and x > 0
            else d
            for d, x in zip(held, loads, strict=True)
        ]
    return held


KEEPS_CLEAR_BRIX = 64.5  # a sucrose syrup above 64.8 can grain at 4 C (ICUMSA SPS-2, Vavrinecz)


@dataclass(frozen=True, slots=True)
class _Amount:
    yield_g: float | None
    yield_ml: float | None
    servings: float | None
    serving_g: float
    sugar_g: float | None


def _batch(
    catalog: Catalog,
    row: SweetenerRow,
    portions: Sequence[Portion],
    cook: Cook,
    wish: _Amount,
    strength: str | None,
    by_volume: bool,
    brix: float | None,
    forms: Sequence[Form],
) -> tuple[Batch, str]:
    """The batch and the word for its strength; the tool's own choice keeps clear in the fridge."""

    def solved(strength: float | None, brix: float | None) -> Batch:
        return solve(
            sweetener_of(row),
            strength=strength,
            brix=brix,
            sugar_g=wish.sugar_g,
            yield_g=wish.yield_g,
            yield_ml=wish.yield_ml,
            servings=wish.servings,
            serving_g=wish.serving_g if wish.servings is not None else None,
            portions=portions,
            cook=cook,
        )

    if strength is not None:
        value = by_weight(strength, by_volume, (row.sweetener_id,), catalog.household)
        said = strength if ":" in strength else f"{strength}:1"
        return solved(value, brix), f"{said} by {'volume' if by_volume else 'weight'}"
    if brix is not None:
        return solved(None, brix), f"{brix:g} °Bx when finished"
    wet = any(f.form in ("slice", "juice") for f in forms)
    chosen, why = (
        (2.0, "2:1 by weight; the fruit thins it")
        if wet
        else (1.5, "1.5:1 by weight; keeps clear in the fridge")
    )
    try:
        made = solved(chosen, None)
    except PairingError:
        made = None
    if made is None or made.brix > KEEPS_CLEAR_BRIX:
        made = solved(None, KEEPS_CLEAR_BRIX)
        why = f"{KEEPS_CLEAR_BRIX:g} °Bx when finished, so that no sugar grains in the fridge"
    return made, why


def spice_share(catalog: Catalog, made: Formula) -> float:
    """Share of a drink's aroma loudness that is the syrup's, 0 to 1.

    Parameters
    ----------
    catalog : Catalog
    made : Formula
    """
    per_l = made.glass.syrup_g / made.glass.drink_ml * 1000.0
    amounts = sum(
        infusion.infuse(catalog, d.form, d.g_per_kg, d.method, d.minutes or None).best * per_l
        for d in made.doses
    )
    base = made.base
    coffee = base.best * min(1.0, base.brew.volume_ml / made.glass.drink_ml)
    with np.errstate(invalid="ignore"):
        loud_syrup, loud_coffee = (
            float(aroma.loudness(np.nan_to_num(a / base.axis.threshold_best).sum()))
            for a in (amounts, coffee)
        )
    return loud_syrup / (loud_syrup + loud_coffee) if loud_syrup else 0.0


def _forms(catalog: Catalog, names: Sequence[str]) -> list[Form]:
    if not 1 <= len(names) <= 6:
        raise PairingError(f"{len(names)} ingredients; a syrup takes one to six")
    names = catalog.opened(names)
    forms = [catalog.form(n) for n in names]
    seen: dict[str, str] = {}
    for name, form in zip(names, forms, strict=True):
        if form.form_id in seen:
            raise PairingError(f"{seen[form.form_id]} and {name} are the same thing; name it once")
        seen[form.form_id] = name
        refuse_regulated_form(catalog, form)
    return forms


def refuse_regulated_form(catalog: Catalog, form: Form) -> None:
    """Refuse a form of a regulated plant.

    Raises
    ------
    PairingError
        With the law and its number.
    """
    if catalog.ingredients[form.ingredient_id].regulated == "yes":
        why = safety.refusal(form.ingredient_id)
        raise PairingError(f"{form.form_id} goes into no formula here: {why}")
