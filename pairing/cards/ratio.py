"""The document and the short print of the syrup calculator and of its four small sums."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from pairing.aroma.serve import SYRUP_G
from pairing.bar.pantry import Pantry
from pairing.bar.shelf import purchases, spend
from pairing.cards import vocabulary
from pairing.cards.formula import NOT_KNOWN, cost_text
from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form, Powder
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.safety import amounts
from pairing.safety.allergens import allergens_for
from pairing.safety.answers import hazards_for
from pairing.safety.assess import assess
from pairing.safety.findings import Finding, first_lines
from pairing.syrup import balance as balancing
from pairing.syrup import corrections, pot, sugar
from pairing.syrup import household as units
from pairing.syrup import keeping as stability
from pairing.syrup import orders as ordering
from pairing.syrup.acidity import Acidified
from pairing.syrup.brought import sweetener_of
from pairing.syrup.cooked import granulates
from pairing.syrup.powders import acidified_plants_g
from pairing.syrup.sweetness import COLD_C, HOT_C, sucrose_equivalent

__all__ = [
    "Calculation",
    "acidified",
    "correction",
    "poured",
    "report",
    "swapped_strength",
    "swapped_sweetener",
]

READS_WITHIN = 0.2  # °Bx, what a hand refractometer can tell apart: common practice, no source
MOSTLY_SUCROSE = 90.0  # % of a sweetener that sweetens as white sugar does
WORTH_TELLING = 0.05  # share by which spice thins
USUAL_RATIO = 1.5  # sugar : water of a syrup of which nobody said the water: common practice
DRINK_ML = 240.0  # a 12 fl oz iced drink without its ice: common practice, no source


@dataclass(frozen=True)
class Calculation:
    """A batch with the rows of the catalogue that it is made from.

    Attributes
    ----------
    made : Batch
    sweeteners : tuple of Sweetener
        Rows of the catalogue, as in ``made``.
    forms : tuple of Form
        Fruit and spice in it.
    serving_g : float
        Syrup in a serving [g].
    orders : Orders or None
    hints : tuple of str
        What to mind of the way it was asked.
    """

    made: balancing.Batch
    sweeteners: tuple[SweetenerRow, ...]
    forms: tuple[Form, ...]
    serving_g: float
    orders: ordering.Orders | None
    hints: tuple[str, ...]

    @property
    def servings(self) -> int:
        """Whole servings in the batch."""
        return math.floor(self.made.servings(self.serving_g) + 1e-6)


def _by_form(answer: Calculation) -> list[tuple[Form, tuple[str, float]]]:
    """Forms with what is weighed of them; powders are no plants."""
    grams = dict(answer.made.portions)
    return [(f, (f.form_id, grams[f.form_id])) for f in answer.forms]


def _g(grams: float) -> str:
    """Grams to 0.1 g, below 1 g to 0.01 g."""
    return f"{grams:.2f}" if 0 < grams < 0.995 else f"{grams:,.1f}"


def _weighed(catalog: Catalog, answer: Calculation) -> list[tuple[str, str, float, str]]:
    """(id, label, grams, household measure) of all that is weighed."""
    made, table = answer.made, catalog.household
    rows = [
        (
            row.sweetener_id,
            row.name,
            grams,
            units.measure_of(table, row.sweetener_id, grams),
        )
        for row, (_, grams) in zip(answer.sweeteners, made.sweeteners, strict=True)
    ]
    rows.append(("water", "Water", made.water_g, units.measure_of(table, "water", made.water_g)))
    forms = {f.form_id: f for f in answer.forms}
    for name, grams in made.portions:
        form = forms.get(name)
        label = form.label if form is not None else catalog.powders[name].name
        rows.append((name, label, grams, units.measure_of(table, name, grams, form)))
    return rows


def report(pantry: Pantry, answer: Calculation, household: bool) -> Report:
    """A calculated batch as tables, JSON and CSV.

    Parameters
    ----------
    pantry : Pantry
        Its prices count where it has any.
    answer : Calculation
    household : bool
        Spoons and pieces beside the grams, where somebody weighed one.

    Returns
    -------
    Report
    """
    catalog, made = pantry.catalog, answer.made
    weighed = _weighed(catalog, answer)
    columns = ["what", "grams", *(["household"] if household else [])]
    rows = [[label, _g(g), *([about] if household else [])] for _, label, g, about in weighed]
    keeping = stability.of_syrup(
        catalog,
        made.composition,
        answer.forms,
        [i for i, _ in made.sweeteners],
        acidified_plants_g=acidified_plants_g(catalog, dict(made.portions)),
    )
    found = _findings(catalog, answer)
    stops = [f.text for f in found if f.level == "stop"]
    kept = [f for f in found if f.level != "stop" and f.code not in NOT_KNOWN]
    watch = list(first_lines(kept).lines)
    cost = _cost(pantry, answer)
    blocks: list[Text | Bullets | Table] = [
        *(Text(f"STOP: {text}") for text in stops),
        *(Text(f.text) for f in found if f.code in NOT_KNOWN),
        Table("Weigh", columns, rows),
        Bullets("What comes out", _outcome(answer, cost)),
        Bullets("On the way", _losses(answer)),
    ]
    if answer.orders is not None:
        blocks.append(_sites_table(answer, made.composition.density))
    blocks.append(Bullets("Keeping", _keeping_words(keeping)))
    if watch:
        blocks.append(Bullets("Watch", watch))
    blocks.append(Bullets("Hot sugar", pot.CAUTIONS))
    document = _document(catalog, answer, weighed, keeping, cost, found, household)
    return Report(document, blocks, _csv(answer, weighed, found, household), "ratio")


def _outcome(answer: Calculation, cost: dict[str, Any] | None) -> list[str]:
    made = answer.made
    sugars = made.composition.sugars / made.yield_g * answer.serving_g
    weighed = f"weighed as {number(made.strength)}:1; " if made.strength else ""
    solids = made.composition.dissolved / made.composition.water
    lines = [
        f"{_g(made.yield_g)} g of syrup, {made.yield_ml:,.0f} ml at 20 °C",
        f"{made.brix:.1f} °Bx true; a refractometer reads about {made.reading_brix:.1f}",
        f"{weighed}finished it holds {number(solids)} g of solids to 1 g of water",
        f"{answer.servings:,} servings of {number(answer.serving_g)} g, "
        f"{number(sugars, 2)} g sugar in each",
    ]
    as_sweet = _as_sweet(answer)
    if as_sweet:
        lines.append(as_sweet)
    if made.cook.inverted > 0.005:
        lines.append(
            f"about {100 * made.cook.inverted:.0f} % of the sucrose is inverted by acid and heat: "
            "it reads low and grains less"
        )
    grains = granulates(made.composition)
    if grains:
        lines.append(grains)
    if made.composition.acid > 0:
        lines.append(f"acid {number(made.composition.acid_percent, 2)} % as citric")
    if cost:
        lines.append(cost["text"])
    return lines


def _as_sweet(answer: Calculation) -> str:
    """How much of another sweetener's syrup is as sweet as the same ratio of white sugar."""
    made, each = answer.made, answer.serving_g
    if all(r.sucrose_percent >= MOSTLY_SUCROSE for r in answer.sweeteners) or not made.strength:
        return ""
    sugar_g = each * made.strength / (1.0 + made.strength)
    cold, hot = (
        sugar_g * made.composition.total / sucrose_equivalent(made.composition, t)
        for t in (COLD_C, HOT_C)
    )
    takes = f"{cold:.3g} g" if abs(cold - hot) < 0.5 else f"{cold:.3g} g cold, {hot:.3g} g hot"
    return (
        f"as sweet as {number(each)} g of {number(made.strength)}:1 white sugar syrup: take {takes}"
    )


def _losses(answer: Calculation) -> list[str]:
    made = answer.made
    lines = []
    cook = made.cook
    if any(note.startswith("boil off") for note in made.notes):
        pass  # the note says how much and how long
    elif made.evaporated_g > 0:
        by_clock = cook.minutes and cook.evaporated_g is None and cook.pot_g is None
        how = f" in {number(cook.minutes, 2)} min ({cook.heat})" if by_clock else ""
        lines.append(f"{_g(made.evaporated_g)} g of water boils off{how}")
    else:
        lines.append("no water is counted as boiled off; say --simmer-min, or weigh: --pot-g")
    if made.drained_g > 0:
        lines.append(f"before straining the pot holds {_g(made.pot_g)} g")
        lines.append(
            f"the drained pieces weigh {_g(made.drained_g)} g, of which {_g(made.carried_g)} g is "
            "syrup carried off"
        )
    if made.cling_g > 0:
        lines.append(f"{_g(made.cling_g)} g stays on pan and strainer")
    return [*lines, *made.notes, *answer.hints]


def _keeping_words(keeping: stability.Stability) -> list[str]:
    """The first word of advice, what the fridge does, and the deferral."""
    crystals = [w for w in keeping.words if w.startswith("In the fridge it holds")]
    first = keeping.words[: 2 if keeping.low_acid else 1]
    return [*first, *crystals[:1], stability.DISCLAIMER]


def _sites_table(answer: Calculation, density: float) -> Table:
    assert answer.orders is not None
    rows = [
        [name, _g(grams), f"{grams / density * 1000.0:,.0f}"]
        for name, grams in answer.orders.per_site_g
    ]
    return Table("Send", ["site", "grams", "ml"], rows)


def _findings(catalog: Catalog, answer: Calculation) -> Sequence[Finding]:
    """Stops, and other limits and cautions, of what goes in, in a usual drink."""
    used = [amounts.portion(catalog, f, grams) for f, (_, grams) in _by_form(answer)]
    used += [amounts.sweetener_portion(catalog, i, g) for i, g in answer.made.sweeteners]
    drink = max(DRINK_ML, answer.serving_g)
    serving = amounts.Serving(answer.made.yield_g, answer.serving_g, drink)
    # sweeteners alone need no composition table, which takes longer to read than all the rest
    plain = amounts.contents_from(catalog, _no_aroma)
    contents = amounts.contents_of(catalog) if answer.forms else plain
    return assess(catalog, used, serving, contents)


def _no_aroma(ingredient_id: str, form: str) -> dict[str, float]:
    return {}


def _cost(pantry: Pantry, answer: Calculation) -> dict[str, Any] | None:
    if not pantry.price_per_kg:
        return None
    needs = dict([*answer.made.sweeteners, *answer.made.portions])
    bought = purchases(pantry.catalog, needs, {**pantry.price_per_kg, **pantry.stock_g})
    spent = spend(bought, pantry.price_per_kg)
    per_kg = 1000.0 * spent.total / answer.made.yield_g
    each = per_kg * answer.serving_g / 1000.0
    text = cost_text(spent, per_kg, answer.serving_g, pantry.currency)
    return vocabulary.cost(pantry.currency, spent.total, each, spent.missing, text, per_kg)


def _document(
    catalog: Catalog,
    answer: Calculation,
    weighed: Sequence[tuple[str, str, float, str]],
    keeping: stability.Stability,
    cost: dict[str, Any] | None,
    found: Sequence[Finding],
    household: bool,
) -> dict[str, Any]:
    made = answer.made
    measured = made.cook.pot_g is not None or made.cook.evaporated_g is not None
    document: dict[str, Any] = {
        "stops": vocabulary.stops(found),
        "not_known": vocabulary.not_known(found),
        "strength_g_sugar_per_g_water": made.strength,
        "sugar_g": made.sugar_g,
        "water_g": made.water_g,
        "sweeteners": [{"id": i, "grams": g} for i, g in made.sweeteners],
        "ingredients": [
            vocabulary.ingredient(catalog, form, grams=g) for form, (_, g) in _by_form(answer)
        ],
        "powders": [
            {"id": i, "name": catalog.powders[i].name, "grams": g}
            for i, g in made.portions
            if i in catalog.powders and i not in {f.form_id for f in answer.forms}
        ],
        "put_in_g": made.put_in_g,
        "simmer_min": None if measured else made.cook.minutes,
        "evaporated_g": made.evaporated_g,
        "pot_before_straining_g": made.pot_g,
        "drained_g": made.drained_g,
        "carried_off_g": made.carried_g,
        "left_on_pan_g": made.cling_g,
        "yield_g": made.yield_g,
        "yield_ml": made.yield_ml,
        "brix": made.brix,
        "refractometer_brix": made.reading_brix,
        "acid_percent_as_citric": made.composition.acid_percent,
        "servings": answer.servings,
        "serving_g": answer.serving_g,
        "sugar_per_serving_g": made.composition.sugars / made.yield_g * answer.serving_g,
        "keeping": vocabulary.keeping(keeping),
        "cost": cost,
        "notes": [*made.notes, *answer.hints],
        "findings": [vocabulary.finding(f) for f in found],
        "cautions": [vocabulary.caution("caution", text) for text in pot.CAUTIONS],
    }
    if answer.orders is not None:
        document["sites"] = [{"site": n, "grams": g} for n, g in answer.orders.per_site_g]
    if household:
        document["household"] = [{"id": i, "about": about} for i, _, _, about in weighed]
    return document


def _csv(
    answer: Calculation,
    weighed: Sequence[tuple[str, str, float, str]],
    found: Sequence[Finding],
    household: bool,
) -> Table:
    made = answer.made
    rows: list[list[Any]] = [["stop", None, text, ""] for text in vocabulary.stops(found)]
    rows += [["not known", None, text, ""] for text in vocabulary.not_known(found)]
    rows += [[i, g, "weigh", about] for i, _, g, about in weighed]
    rows += [
        ["boiled off", made.evaporated_g, "lost", ""],
        ["drained pieces with their syrup", made.drained_g, "lost", ""],
        ["left on pan and strainer", made.cling_g, "lost", ""],
        ["syrup", made.yield_g, "yield", ""],
    ]
    if answer.orders is not None:
        rows += [[name, grams, "send", ""] for name, grams in answer.orders.per_site_g]
    width = 4 if household else 3
    columns = ["item", "grams", "what", "household"][:width]
    return Table("", columns, [row[:width] for row in rows])


# --- the four small sums ------------------------------------------------------------------


def _small(command: str, document: dict[str, Any], table: Table, notes: Sequence[str]) -> Report:
    blocks: list[Text | Bullets | Table] = [table]
    if notes:
        blocks.append(Bullets("", notes))
    data = Table("", table.columns, table.rows)
    return Report({**document, "notes": list(notes)}, blocks, data, f"ratio {command}")


def correction(batch_g: float, found: corrections.Correction, target: float) -> Report:
    """Sugar or water to add, or water to boil off.

    Parameters
    ----------
    batch_g : float
        Syrup in the pot [g].
    found : Correction
    target : float
        True strength wanted [°Bx].

    Returns
    -------
    Report
        Ways to choose one of; empty where the batch is there already.
    """
    ways = [
        ("add sugar", found.add_sugar_g, found.mass_after_sugar_g),
        ("boil off water", found.boil_off_g, found.mass_after_boil_g),
        ("add water", found.add_water_g, found.mass_after_water_g),
    ]
    near = abs(found.brix_now - target) < READS_WITHIN
    rows = [
        [way, _g(grams), _g(after)] for way, grams, after in ways if grams >= 0.005 and not near
    ]
    title = f"From {found.brix_now:.1f} to {target:.1f} °Bx (true): do one of"
    notes = [] if rows else [f"it is at {found.brix_now:.1f} °Bx (true): nothing to do"]
    room = float(sugar.solubility(20.0))
    if target > room:
        notes.append(
            f"above {room:.1f} °Bx plain sugar syrup crystallises at 20 °C; swap part of the sugar "
            "for glucose or invert syrup"
        )
    for way, added, after in ways:
        if way != "boil off water" and added >= 0.005 and not near:
            thin = corrections.thinned_by(batch_g, after)
            if thin >= WORTH_TELLING:
                other = "boil off instead, or steep" if way == "add sugar" else "steep"
                notes.append(
                    f"to {way} thins spice, acid and aroma by {100 * thin:.0f} %: {other} "
                    f"{100 * thin / (1.0 - thin):.0f} % of the spice again in it"
                )
    if any(way != "add water" for way, _, _ in rows):
        notes += ["stir until clear, cool a sample, read again", *pot.CAUTIONS[:3]]
    document = {
        "batch_g": batch_g,
        "brix_now": found.brix_now,
        "brix_wanted": target,
        "add_sugar_g": found.add_sugar_g,
        "boil_off_g": found.boil_off_g,
        "add_water_g": found.add_water_g,
        "cautions": [vocabulary.caution("caution", text) for text in pot.CAUTIONS],
    }
    table = Table(title, ["way", "grams", "batch then, g"], rows)
    return _small("correct", document, table, notes)


def poured(first: tuple[float, float], second: tuple[float, float], brix: float) -> Report:
    """Two syrups, each grams and °Bx, and what they give together.

    Parameters
    ----------
    first, second : tuple of (float, float)
        Grams and °Bx.
    brix : float
        Of both together [°Bx].

    Returns
    -------
    Report
    """
    (first_g, first_bx), (second_g, second_bx) = first, second
    total = first_g + second_g
    rows = [
        ["first", _g(first_g), f"{first_bx:.1f}"],
        ["second", _g(second_g), f"{second_bx:.1f}"],
        ["together", _g(total), f"{brix:.1f}"],
    ]
    document = {
        "first": {"grams": first_g, "brix": first_bx},
        "second": {"grams": second_g, "brix": second_bx},
        "yield_g": total,
        "yield_ml": total / float(sugar.density(brix)) * 1000.0,
        "brix": brix,
    }
    notes = ["the blend keeps no longer than the older of the two: carry over the earlier date"]
    return _small("blend", document, Table("Pour", ["syrup", "grams", "brix"], rows), notes)


def acidified(batch_g: float, row: Powder, wanted_ph: float, found: Acidified) -> Report:
    """Acid that brings a syrup to a pH.

    Parameters
    ----------
    batch_g : float
        Syrup in the pot [g].
    row : Powder
    wanted_ph : float
        pH asked for.
    found : Acidified

    Returns
    -------
    Report
    """
    rows = [
        [f"{row.name} to add", _g(found.grams)],
        ["of it at first, then measure", _g(0.75 * found.grams)],
    ]
    notes = [
        f"from about pH {found.ph_now:.1f} to {found.ph_then:.1f}; acid then "
        f"{found.acid_percent:.2f} % as citric",
        "an estimate, good to 0.3 of a pH: measure with a meter where it must hold germs back",
        f"{row.name}: {row.use}",
    ]
    if row.acid_as_citric_percent and row.powder_id.split("-")[0] not in ("citric", "ascorbic"):
        notes.append("its own strength differs from citric acid's: the meter decides")
    document = {
        "batch_g": batch_g,
        "powder": row.powder_id,
        "grams": found.grams,
        "ph_now": found.ph_now,
        "ph_wanted": wanted_ph,
        "acid_percent_as_citric": found.acid_percent,
    }
    return _small("acidify", document, Table("", ["what", "grams"], rows), notes)


def swapped_strength(
    syrup_g: float,
    before: float,
    after: float,
    found: corrections.StrengthSwap,
    drink_water_g: float | None,
) -> Report:
    """Another strength of syrup, °Bx before and after.

    Parameters
    ----------
    syrup_g : float
        Syrup in the drink now [g].
    before, after : float
        Strengths [°Bx].
    found : StrengthSwap
    drink_water_g : float, optional
        Water in the drink that can be left out [g]; None when nobody said.

    Returns
    -------
    Report
    """
    change = found.drink_water_change_g
    rows = [
        ["syrup now", _g(syrup_g), f"{before:.1f}"],
        ["syrup in its place", _g(found.syrup_g), f"{after:.1f}"],
        [f"water to {'add to' if change >= 0 else 'leave out of'} the drink", _g(abs(change)), ""],
    ]
    document = {
        "syrup_g": found.syrup_g,
        "drink_water_change_g": change,
        "sugar_g": syrup_g * before / 100.0,
        "brix_before": before,
        "brix_after": after,
    }
    notes = []
    if change < 0 and drink_water_g is None:
        notes.append("the drink must have that much water or soda to leave out")
    return _small("swap-strength", document, Table("", ["what", "grams", "brix"], rows), notes)


def swapped_sweetener(
    catalog: Catalog,
    before: SweetenerRow,
    grams: float,
    after: SweetenerRow,
    found: corrections.SweetenerSwap,
    keep: str,
    at_c: float = 20.0,
    made: balancing.Batch | None = None,
) -> Report:
    """Another sweetener in place of so many grams.

    Parameters
    ----------
    catalog : Catalog
    before : Sweetener
        Row of the catalogue.
    grams : float
        Of it [g].
    after : Sweetener
        Row of the catalogue.
    found : SweetenerSwap
    keep : str
        What the swap kept: ``"sweetness"``, or else the dissolved solids.
    at_c : float
        Temperature of the drink at which sweetness is counted [°C].
    made : Batch, optional
        The batch with the new sweetener, for its strength and keeping.

    Returns
    -------
    Report
        With the hazards and allergens of the new one.
    """
    change = found.water_change_g
    rows = [
        [f"{before.name} now", _g(grams)],
        [f"{after.name} in its place", _g(found.grams)],
        [f"water to {'add' if change >= 0 else 'leave out'}", _g(abs(change))],
    ]
    notes = (
        [f"dissolved solids change by {found.solids_change_g:+.1f} g: the °Bx moves with them"]
        if keep == "sweetness"
        else [f"sweetness changes by {100 * found.sweetness_change:+.0f} %"]
    )
    new = sweetener_of(after)
    now = corrections.sweetness_at(new, at_c)
    cold, hot = (corrections.sweetness_at(new, t) for t in (COLD_C, HOT_C))
    if abs(cold - hot) > 0.05:
        notes.append(
            f"a gram of {after.name} is as sweet as {cold:.2f} g of sugar cold, {hot:.2f} g hot; "
            f"counted as {now:.2f}"
            + ("" if at_c in (COLD_C, HOT_C) else ": say --served cold or hot")
        )
    clear = corrections.water_to_stay_clear(new, found.grams)
    met = _met(catalog, after, found.grams, made)
    if clear > 0 and made is None:
        notes.append(
            f"{_g(found.grams)} g of it needs {_g(clear)} g of water to stay dissolved at 20 °C by "
            f"itself ({new.own_solubility_percent:g} %): with less it crystallises"
        )
    if made is not None:
        kept = stability.of_syrup(catalog, made.composition, (), [after.sweetener_id])
        notes += [*made.notes, f"{made.brix:.1f} °Bx then"]
        notes += kept.words[: 2 if kept.low_acid else 1]
        grains = granulates(made.composition)
        notes += [grains] if grains else []
    notes.append("relative sweetness shifts with strength and temperature: taste before the batch")
    said = {f.text for f in met if f.level == "stop"}
    notes += [
        f"{h.severity}: {h.text}"
        for h in hazards_for(catalog, after.sweetener_id)
        if h.severity != "note" and h.text not in said
    ]
    notes += [f"allergen: {a.word}" for a in allergens_for(catalog, after.sweetener_id)]
    document = {
        "stops": vocabulary.stops(met),
        "old": {"id": before.sweetener_id, "grams": grams},
        "new": {"id": after.sweetener_id, "grams": found.grams},
        "water_change_g": change,
        "sweetness_change_percent": 100.0 * found.sweetness_change,
        "solids_change_g": found.solids_change_g,
    }
    answer = _small("swap-sweetener", document, Table("", ["what", "grams"], rows), notes)
    stops: list[Text | Bullets | Table] = [Text(f"STOP: {t}") for t in vocabulary.stops(met)]
    return replace(answer, blocks=[*stops, *answer.blocks])


def _met(
    catalog: Catalog, row: SweetenerRow, grams: float, made: balancing.Batch | None
) -> Sequence[Finding]:
    """What a swapped sweetener meets in a usual drink; in a 1.5:1 syrup where no water is said."""
    yield_g = made.yield_g if made is not None else grams * (1.0 + 1.0 / USUAL_RATIO)
    serving = amounts.Serving(yield_g, min(SYRUP_G, yield_g), DRINK_ML)
    used = [amounts.sweetener_portion(catalog, row.sweetener_id, grams)]
    return assess(catalog, used, serving, amounts.contents_from(catalog, _no_aroma))
