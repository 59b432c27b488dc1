"""Formula: a blend becomes doses, a batch, and a plan that a person can follow."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.serve import SYRUP_G, Serve, milk_of, serve_for
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.ranges import median
from pairing.evidence.rows import Form
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.evidence.safety_rows import ProcessCaution
from pairing.safety import amounts
from pairing.safety.assess import assess
from pairing.safety.findings import Finding
from pairing.safety.process import process_cautions, situations_of
from pairing.syrup import keeping as stability
from pairing.syrup.addition import Addition
from pairing.syrup.asked import (
    SMALLEST_SERVING_G,
    Asked,
    by_form,
    dose_quantity,
    form_of,
    forms_of,
    in_pot_g,
    refuse_tiny,
    weight_g,
)
from pairing.syrup.balance import Batch
from pairing.syrup.brought import acid_not_known, portion_of, stages_of, sweetener_of
from pairing.syrup.caramel import Caramel, split_caramel
from pairing.syrup.composition import Sweetening
from pairing.syrup.cooked import granulates, solve_cooked
from pairing.syrup.cooking import KILL_STEP, USUAL_POT, OwnPot, cook_of, hot_together
from pairing.syrup.dose import Dose, dose_for, shares
from pairing.syrup.held import within_limits
from pairing.syrup.inversion import Inverted
from pairing.syrup.lighter import AsSweet, ask_if_vegan, lighter_notes, refuse_animal
from pairing.syrup.pot import STRAIN_LOSS_PERCENT, Cook
from pairing.syrup.powders import (
    PowderDose,
    acidified_plants_g,
    powder_wishes,
    settle,
    weighed,
)
from pairing.syrup.strength import by_weight
from pairing.syrup.technique import method_for, minutes_for
from pairing.values import Value

if TYPE_CHECKING:
    from pairing.syrup.step import Step

__all__ = ["Formula", "make", "other_temperature"]

FAR_ABOVE_BAR = 3.0  # times the high end of bar practice from which a dose of your own is named
THIN_BRIX = 30.0  # flavoured water rather than syrup: common practice, no source


HOT_C, COLD_C = 60.0, 3.0  # where a hot and an iced drink are drunk: common practice, no source


def other_temperature(catalog: Catalog, made: Formula) -> tuple[str, float]:
    """How the doses change if the same drink is served hot instead of cold, or the reverse.

    Parameters
    ----------
    catalog : Catalog
    made : Formula

    Returns
    -------
    (word, factor)
        ``hot`` or ``iced``, and the median ratio of the doses that would be chosen there.
    """
    cold = made.glass.temperature_c < (HOT_C + COLD_C) / 2
    word = "hot" if cold else "iced"
    there = made.glass._replace(style=word, temperature_c=HOT_C if cold else COLD_C)
    moved = [
        dose_for(
            catalog,
            d.form,
            made.base,
            there,
            d.level,
            method=d.method,
            minutes=d.minutes,
            share=d.share,
        ).g_per_kg
        / d.g_per_kg
        for d in made.doses
        if d.level != "given"
    ]
    return word, median(moved) if moved else 1.0


NOT_INVERTED = Inverted(0.0, 0.0, 0.0, 7.0)


@dataclass(frozen=True, eq=False, repr=False)
class Formula(Value):
    """A trial formula; what must not be served is in its ``stops`` from the start.

    Attributes
    ----------
    base : CoffeeBase
    doses : tuple of Dose
    sweetener : SweetenerRow
    batch : Batch
    glass : Serve
    strength_word : str
        Strength and why.
    plan : tuple of Step
        What to do, as records.
    grams : dict
        Grams of each form in the batch.
    inverted : Inverted
        Share of the sucrose that acid and heat split.
    told : tuple of str
        What was chosen for the cook and why, in words.
    altitude_m : float
        Where it is cooked, above the sea [m].
    counted_as : dict
        Plant whose worst case counts for a form whose jar was not named, by form.
    measured_ph, measured_aw : float or None
        By the bar's own meters, of the finished syrup.
    said : amounts.Said
        What only the bar knows: alcohol, extracts, sulphites.
    findings : tuple of Finding
        Limits, rules, hazards and allergens it touches in its drink, stops first.
    own_pot : OwnPot
        What the bar's own pot does beside what is usual.
    powders : tuple of PowderDose
        Acids, glycerol and gums.
    sweeteners : tuple of Sweetener
        Rows of all that sweetens it, as in ``batch``; ``sweetener`` is the one there is most of.
    caramel : Caramel or None
        How its sugar was browned.
    as_sweet : AsSweet or None
        The sugar syrup that it is as sweet as, where that was asked, see `lighter`.
    """

    base: CoffeeBase
    doses: tuple[Dose, ...]
    sweetener: SweetenerRow
    batch: Batch
    glass: Serve
    strength_word: str
    plan: tuple[Step, ...]
    grams: dict[str, float] = field(default_factory=dict)
    inverted: Inverted = NOT_INVERTED
    told: tuple[str, ...] = ()
    altitude_m: float = 0.0
    counted_as: dict[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    measured_ph: float | None = None
    measured_aw: float | None = None
    said: amounts.Said = field(default_factory=amounts.Said)
    own_pot: OwnPot = USUAL_POT
    powders: tuple[PowderDose, ...] = ()
    sweeteners: tuple[SweetenerRow, ...] = ()
    caramel: Caramel | None = None
    as_sweet: AsSweet | None = None

    def __str__(self) -> str:
        """Stops first, then what it is and how much, in one line."""
        names = " + ".join(d.form.form_id for d in self.doses)
        stop = "STOP, must not be served: " if self.stops else ""
        return (
            f"{stop}{self.batch.yield_g:.0f} g of {names} syrup, {self.batch.brix:.0f} °Bx, "
            f"for {self.servings} {self.glass.style} drinks of {self.base.coffee.words}"
        )

    @property
    def stops(self) -> tuple[Finding, ...]:
        """Why it must not be served; empty where nothing known forbids it."""
        return tuple(f for f in self.findings if f.level == "stop")

    @property
    def steps(self) -> tuple[str, ...]:
        """What to do, in sentences."""
        return tuple(str(step) for step in self.plan)

    @property
    def shared_g_per_kg(self) -> float:
        """All aromatics together, fruit and juice not counted [g/kg of syrup]."""
        return sum(d.g_per_kg for d in self.doses if not _is_fruit(d.form))

    @property
    def servings(self) -> int:
        """Whole servings in the batch."""
        return math.floor(self.batch.servings(self.glass.syrup_g) + 1e-6)

    def portions(self, catalog: Catalog) -> tuple[amounts.Portion, ...]:
        """Everything in the pot, as the safety engine takes it.

        Parameters
        ----------
        catalog : Catalog

        Returns
        -------
        tuple[amounts.Portion, ...]
        """
        out = []
        for dose in self.doses:
            form_id = dose.form.form_id
            held = amounts.portion(catalog, dose.form, self.grams[form_id])
            if form_id in self.counted_as:
                held = replace(held, plants=(*held.plants, self.counted_as[form_id]))
            out.append(held)
        out += [amounts.sweetener_portion(catalog, i, g) for i, g in self.batch.sweeteners]
        return tuple(out)

    def assessed(
        self,
        catalog: Catalog,
        *,
        milk: str = "dairy",
        foraged: Collection[str] = (),
        drink_ml: float | None = None,
        caffeine_mg: tuple[float, float] | None = None,
    ) -> tuple[Finding, ...]:
        """What it touches in a drink as it is really poured; as ``findings``.

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

        Returns
        -------
        tuple[Finding, ...]

        Raises
        ------
        PairingError
            For an unknown milk, or amounts that are none.
        """
        low, high = caffeine_mg or self.base.caffeine_mg
        serving = amounts.Serving(
            yield_g=self.batch.yield_g,
            serving_g=self.glass.syrup_g,
            drink_ml=drink_ml or self.glass.drink_ml,
            caffeine_low_mg=low,
            caffeine_high_mg=high,
            milk=milk_of(catalog, milk).allergen_id
            if catalog.styles[self.glass.style].has_milk
            else "",
            alcohol_percent=self.said.alcohol_percent,
        )
        return assess(
            catalog,
            self.portions(catalog),
            serving,
            foraged=frozenset(foraged),
            flavourings_added=self.said.flavourings_added,
            unsulphured=self.said.unsulphured,
        )

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
        out += self.told
        if self.caramel:
            sugar = sweetener_of(self.sweetener)
            out.append(
                f"{self.caramel.shade} caramel is about {100 * self.caramel.less_sweet(sugar):.0f} "
                f"% less sweet than its sugar and loses {100 * self.caramel.colour.lost:.0f} % of "
                "its weight: estimates"
            )
        out += lighter_notes(self)
        for p in self.powders:
            told = [p.powder.caution] if p.powder.caution else []
            told += ["how it then pours and pumps is not known"] if p.is_gum else []
            if told:
                each = p.g_per_kg * self.glass.syrup_g / 1000.0
                out.append(f"{p.name}, {each:.2g} g in a drink: {'; '.join(told)}")
        grains = granulates(self.batch.composition)
        return tuple([*out, *([grains] if grains else [])])

    def cautions(self, catalog: Catalog) -> tuple[ProcessCaution, ...]:
        """Cautions of making and keeping it.

        Parameters
        ----------
        catalog : Catalog

        Returns
        -------
        tuple[ProcessCaution, ...]
        """
        situations = situations_of(
            catalog, self.portions(catalog), {d.method for d in self.doses}, "", ""
        )
        return process_cautions(catalog, situations)

    def keeping(self, catalog: Catalog) -> stability.Stability:
        """How it keeps.

        Parameters
        ----------
        catalog : Catalog

        Returns
        -------
        stability.Stability
        """
        return stability.of_syrup(
            catalog,
            self.batch.composition,
            [d.form for d in self.doses],
            [i for i, _ in self.batch.sweeteners],
            acidified_plants_g=acidified_plants_g(catalog, self.grams),
            measured_ph=self.measured_ph,
            measured_aw=self.measured_aw,
        )


def make(
    catalog: Catalog,
    names: Sequence[str],
    base: CoffeeBase,
    *,
    style: str = "iced",
    serving_g: float = SYRUP_G,
    sweetener: str | Mapping[str, float] = "white-cane-sugar",
    vegan: bool = False,
    strength: str | None = None,
    by_volume: bool = False,
    brix: float | None = None,
    yield_g: float | None = None,
    yield_ml: float | None = None,
    servings: float | None = None,
    sugar_g: float | None = None,
    levels: Mapping[str, str] | None = None,
    doses: Mapping[str, float | str] | None = None,
    techniques: Mapping[str, str] | None = None,
    minutes: Mapping[str, float] | None = None,
    altitude_m: float = 0.0,
    milk: str = "dairy",
    foraged: Collection[str] = (),
    said: amounts.Said | None = None,
    measured_ph: float | None = None,
    measured_aw: float | None = None,
    own_pot: OwnPot | None = None,
) -> Formula:
    """A trial formula for a blend over a coffee.

    Parameters
    ----------
    catalog : Catalog
    names : sequence of str
        One to six ingredients, by id, name or alias; acid powders, glycerol and gums beside them.
    base : CoffeeBase
    style : str
        Drink it is for; a cold drink needs a larger dose than a hot one.
    serving_g : float
        Grams of syrup in a drink.
    sweetener : str or mapping of str to float
        One, or several with their shares.
    vegan : bool
        Refuse what comes from animals.
    strength : str, optional
        Sugar : added water, such as ``"2:1"``; by weight unless ``by_volume``. When not given,
        2:1 with fruit slices or juice (their water thins it), else 1.5:1.
    brix : float, optional
        Finished strength instead of a strength.
    yield_g, yield_ml, servings, sugar_g : float, optional
        How much to make; 500 g when none is given.
    levels : mapping of str to str, optional
        ``accent``, ``balanced`` or ``lead`` by ingredient name.
    doses : mapping of str to float or str, optional
        Doses that you set yourself: a number of grams per kg of finished syrup, or a quantity
        such as ``180g`` (in the pot), ``22g/kg``, ``2 sticks``; of an acid powder also
        ``pH 3.4`` or ``0.6% acid`` of the finished syrup.
    techniques : mapping of str to str, optional
        How an ingredient is infused, a key of `technique.TECHNIQUES`, by ingredient name; of
        ``sugar``, a key of `caramel.CARAMELS`.
    minutes : mapping of str to float, optional
        How long, by ingredient name.
    altitude_m : float
        Where it is cooked, above the sea [m].
    milk : str
        Milk of a milk drink; its fat holds aroma back.

    foraged : collection of str, optional
        Ingredient ids gathered, or bought without a named species.
    said : amounts.Said, optional
        What only the bar knows: alcohol, extracts, sulphites.
    measured_ph, measured_aw : float, optional
        By the bar's own meters, of the finished syrup.
    own_pot : OwnPot, optional
        What this bar's pot does beside what is usual.
    by_volume : bool
        The strength is by volume.

    Returns
    -------
    Formula

    Raises
    ------
    PairingError
        For unknown names, a repeated ingredient, a batch under 20 g, a part of a serving, or a
        batch that cannot be.
    """
    names, doses, wishes = powder_wishes(catalog, catalog.opened(names), doses)
    if not names and wishes:
        raise PairingError(f"{wishes[0].powder.name} alone is no flavour; name a plant beside it")
    forms, read = forms_of(catalog, names)
    if not serving_g >= SMALLEST_SERVING_G:
        raise PairingError(
            f"{serving_g:g} g of syrup in a drink; give {SMALLEST_SERVING_G:g} or more"
        )
    glass = serve_for(catalog, style, base.brew, serving_g, milk)
    if servings is not None and not (servings >= 1 and servings == int(servings)):
        raise PairingError(f"{servings:g} servings; give whole servings, 1 or more")
    blend = _blend(catalog, sweetener)
    row = max(blend, key=lambda part: part[1])[0]
    caramel, techniques = split_caramel(catalog, row, techniques)
    if caramel and len(blend) > 1:
        raise PairingError("a caramel is made of one sugar; leave the other sweeteners out")
    if vegan:
        refuse_animal(catalog, forms, [r for r, _ in blend], style, milk)
    asked = Asked(
        by_form(catalog, forms, levels, "level"),
        {k: dose_quantity(k, v) for k, v in by_form(catalog, forms, doses, "dose").items()},
        by_form(catalog, forms, techniques, "technique"),
        by_form(catalog, forms, minutes, "number of minutes"),
    )
    if yield_g is yield_ml is servings is sugar_g is None:
        in_pot = [q for q in asked.doses.values() if not q.per_kg]
        yield_g = 500.0 if not in_pot else None
        if in_pot:
            raise PairingError(
                "grams in the pot need the size of the batch: say how much sugar there is, or how "
                "much syrup you want (or say the dose per kg of syrup, such as 5g/kg)"
            )
    batch_g = yield_g or yield_ml or (servings or 0) * serving_g or (sugar_g or 0) * 2
    refuse_tiny(batch_g or math.inf)
    chosen, told = _doses(catalog, forms, base, glass, row, asked, batch_g)
    chosen = within_limits(catalog, chosen, glass)
    wish = _Amount(yield_g, yield_ml, servings, serving_g, sugar_g)
    portions = [
        portion_of(
            catalog,
            d.form,
            in_pot_g(catalog, d.form, asked) or d.g_per_kg,
            "batch" if in_pot_g(catalog, d.form, asked) else "kg syrup",
            method=d.method,
            stages=None
            if d.method == "stir-in"
            else stages_of(catalog, d.form, d.method, d.minutes),
        )
        for d in chosen
    ]
    cook = cook_of(catalog, chosen, batch_g)
    pot = own_pot or USUAL_POT
    cook = replace(cook, evaporated_g=(cook.evaporated_g or 0.0) * pot.boil_off)
    portions = [replace(p, hold_g_per_g=p.hold_g_per_g * pot.straining) for p in portions]
    stages = hot_together(catalog, chosen)

    def solved(powders: Sequence[Addition]) -> tuple[Batch, Inverted, str]:
        return _batch(
            catalog, blend, caramel, portions, powders, cook, stages, wish, strength, by_volume,
            brix, forms, pot,
        )  # fmt: skip

    if caramel:
        _fits_caramel(chosen)
    batch, inverted, word = solved(settle(catalog, wishes, lambda p: solved(p)[0].composition))
    refuse_tiny(batch.yield_g)
    from pairing.syrup.plan import steps

    grams = dict(batch.portions)
    powders = weighed(wishes, grams, batch.yield_g)
    chosen = [
        replace(d, g_per_kg=1000.0 * grams[d.form.form_id] / batch.yield_g)
        if in_pot_g(catalog, d.form, asked)
        else d
        for d in chosen
    ]
    plan = tuple(
        steps(
            catalog,
            chosen,
            batch,
            row,
            grams,
            (cook.evaporated_g or 0.0) + _browned_off_g(caramel, row, batch),
            altitude_m=altitude_m,
            powders=powders,
            caramel=caramel,
            names={r.sweetener_id: r.name.lower() for r, _ in blend},
        )
    )
    heard = [line for n in names if (line := catalog.heard(n))]
    counted = {form_of(catalog, n)[0].form_id: p for n in names if (p := catalog.counted_as(n))}
    made = Formula(
        base,
        tuple(chosen),
        row,
        batch,
        glass,
        word,
        plan,
        grams,
        inverted,
        (
            *heard,
            *read,
            *told,
            *(ask_if_vegan(forms) if vegan else ()),
            *([str(own_pot)] if own_pot else []),
        ),
        altitude_m,
        counted,
        own_pot=pot,
        powders=powders,
        sweeteners=tuple(r for r, _ in blend),
        caramel=caramel,
    )
    made = replace(
        made, said=said or amounts.Said(), measured_ph=measured_ph, measured_aw=measured_aw
    )
    return replace(made, findings=made.assessed(catalog, milk=milk, foraged=foraged))


def _is_fruit(form: Form) -> bool:
    """Fruit that is the body of a syrup; it is a partner, but gives nothing of its own away."""
    body = form.form in ("slice", "juice", "juice-for-water", "sugared")
    return body or (form.form == "fresh" and form.brix_low is not None)


def _is_partner(catalog: Catalog, form: Form) -> bool:
    """What shares the loudness: the survey counts no juice (a liquid), sweetener or salt."""
    return "juice" not in form.form and catalog.kind(form) not in ("sweetener", "seasoning")


def _doses(
    catalog: Catalog,
    forms: Sequence[Form],
    base: CoffeeBase,
    glass: Serve,
    row: SweetenerRow,
    asked: Asked,
    batch_g: float,
) -> tuple[list[Dose], tuple[str, ...]]:
    """The dose of each, what partners share counted, and what was decided for the cook."""
    told: list[str] = []
    for form in forms:
        if acid_not_known(catalog, form):
            told.append(
                f"{form.label} is sour and nobody gave its acid: pH and curdling are not known, "
                "measure the pH"
            )
    free = [
        f
        for f in forms
        if f.form_id not in asked.doses and not _is_fruit(f) and _is_partner(catalog, f)
    ]
    levels = [asked.levels.get(f.form_id, "balanced") for f in free]
    partners = sum(_is_partner(catalog, f) for f in forms)
    share = dict(zip((f.form_id for f in free), shares(levels, partners), strict=True))
    chosen = []
    for f in forms:
        said = asked.doses.get(f.form_id)
        weighed = weight_g(catalog, f, said) if said is not None else None
        given = weighed
        if weighed is not None and said is not None and not said.per_kg:
            given = 1000.0 * weighed / batch_g  # a first guess; the yield settles it
        method, why = method_for(catalog, f, row, asked.techniques.get(f.form_id))
        told += [why] if why else []
        chosen.append(
            dose_for(
                catalog,
                f,
                base,
                glass,
                asked.levels.get(f.form_id, "balanced"),
                given,
                method,
                minutes_for(f, method, asked.minutes.get(f.form_id)),
                share.get(f.form_id, 1.0),
            )
        )
    return chosen, tuple(told)


def _blend(
    catalog: Catalog, said: str | Mapping[str, float]
) -> tuple[tuple[SweetenerRow, float], ...]:
    """Sweeteners with their shares."""
    if isinstance(said, str):
        return ((catalog.sweetener(said), 1.0),)
    rows = tuple((catalog.sweetener(name), share) for name, share in said.items())
    ids = [row.sweetener_id for row, _ in rows]
    for ident in ids:
        if ids.count(ident) > 1:
            raise PairingError(f"{ident} is named twice; add the shares up")
    if not rows or not all(share > 0 for _, share in rows):
        raise PairingError("a blend takes one sweetener at least, each with a share above 0")
    return rows


def _fits_caramel(doses: Sequence[Dose]) -> None:
    """Refuse what cannot be done with a caramel."""
    rubbed = [d for d in doses if d.method == "maceration"]
    if rubbed:
        raise PairingError(
            f"{rubbed[0].form.label} is rubbed into the sugar, which then cannot be browned; "
            "infuse it another way"
        )


def _browned_off_g(caramel: Caramel | None, row: SweetenerRow, batch: Batch) -> float:
    """Water that the sugar of a batch lost by browning [g]."""
    return caramel.steam_g(sweetener_of(row), batch.sugar_g) if caramel else 0.0


KEEPS_CLEAR_BRIX = 64.5  # a sucrose syrup above 64.8 can grain at 4 C (ICUMSA SPS-2, Vavrinecz)


class _Amount(NamedTuple):
    yield_g: float | None
    yield_ml: float | None
    servings: float | None
    serving_g: float
    sugar_g: float | None


def _batch(
    catalog: Catalog,
    blend: Sequence[tuple[SweetenerRow, float]],
    caramel: Caramel | None,
    portions: Sequence[Addition],
    powders: Sequence[Addition],
    cook: Cook,
    stages: Sequence[tuple[float, float]],
    wish: _Amount,
    strength: str | None,
    by_volume: bool,
    brix: float | None,
    forms: Sequence[Form],
    pot: OwnPot,
) -> tuple[Batch, Inverted, str]:
    """The batch and the word for its strength; the tool's own choice keeps clear in the fridge."""
    sweet: list[tuple[Sweetening, float]] = [
        (caramel.of(sweetener_of(r)) if caramel else sweetener_of(r), share) for r, share in blend
    ]

    def solved(
        strength: float | None, brix: float | None, water_g: float | None = None
    ) -> tuple[Batch, Inverted]:
        found = cooked_by(cook, strength, brix, water_g)
        if caramel:  # browning drives water off, as much as there is sugar
            for _ in range(3):
                gone = (cook.evaporated_g or 0.0) + _browned_off_g(caramel, blend[0][0], found[0])
                found = cooked_by(replace(cook, evaporated_g=gone), strength, brix, water_g)
        return found

    def cooked_by(
        cook: Cook, strength: float | None, brix: float | None, water_g: float | None
    ) -> tuple[Batch, Inverted]:
        return solve_cooked(
            sweet,
            stages,
            cook,
            late=[p.name for p in powders],
            late_stages=KILL_STEP,
            strength=strength,
            brix=brix,
            water_g=water_g,
            sugar_g=wish.sugar_g,
            yield_g=wish.yield_g,
            yield_ml=wish.yield_ml,
            servings=wish.servings,
            serving_g=wish.serving_g if wish.servings is not None else None,
            portions=[*portions, *powders],
            strain_loss_percent=STRAIN_LOSS_PERCENT * pot.straining,
        )

    if strength is not None:
        ids = [r.sweetener_id for r, _ in blend]
        value = by_weight(strength, by_volume, ids, catalog.household)
        said = strength if ":" in strength else f"{strength}:1"
        return (*solved(value, brix), f"{said} by {'volume' if by_volume else 'weight'}")
    if brix is not None:
        return (*solved(None, brix), f"{brix:g} °Bx when finished")
    if any(f.form == "juice-for-water" for f in forms):
        return (*solved(None, None, 0.0), "the juice is all its water")
    wet = any(f.form in ("slice", "juice") for f in forms)
    chosen, why = (
        (2.0, "2:1 by weight; the fruit thins it")
        if wet
        else (1.5, "1.5:1 by weight; keeps clear in the fridge")
    )
    try:
        found = solved(chosen, None)
    except PairingError:
        found = None
    if found is None or found[0].brix > KEEPS_CLEAR_BRIX:
        found = solved(None, KEEPS_CLEAR_BRIX)
        why = f"{KEEPS_CLEAR_BRIX:g} °Bx when finished, so that no sugar grains in the fridge"
    return (*found, why)
