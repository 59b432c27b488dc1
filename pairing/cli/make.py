"""``pairing formula`` and ``pairing label``: from a blend to what to weigh, and its draft label."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click

from pairing.bar.pantry import Pantry
from pairing.cards.report import Bullets, Report, Table, Text, number, show
from pairing.cli.options import (
    Amount,
    coffee_of,
    coffee_option,
    coffee_options,
    format_option,
    open_catalog,
    pantry_option,
)
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.safety import assess as safety
from pairing.syrup import formula as formulas
from pairing.syrup.keeping import Stability
from pairing.syrup.plan import grams_word, name_of

__all__ = ["formula", "label"]

MILKS = ("dairy", "oat", "soya", "almond", "hazelnut", "cashew", "coconut")

# what the short print says of making and keeping, beside the steps; --cautions prints all
ALWAYS = ("unattended", "first-aid")  # every plan heats syrup
FIRST_CAUTIONS = (*ALWAYS, "weigh")
TOLD_IN_STEPS = ("spice-salmonella",)  # the plan is the answer to these hazards
DRINKS = {
    "iced": "an iced drink",
    "sparkling": "a sparkling drink",
    "hot": "a hot drink",
    "milk": "a steamed-milk drink",
    "iced-milk": "an iced milk drink",
    "cold-brew": "a cold-brew drink",
}
# Watch: what a guest can be harmed by first, the limits of law and guidance before the rest
FIRST_TOPICS = {"allergen-unknown": -1, "allergen": 0, "allergy": 0, "group": 1,
                "interaction": 1, "poison": 2, "dose": 2,
                "toxic": 2, "look-alike": 2, "limit": 3}  # fmt: skip


def batch_options(function: Any) -> Any:
    """Options that say how much to make and how strong."""
    for decorate in (
        click.option("--sweetener", default="white-cane-sugar", show_default=True, metavar="NAME",
                     help="What to sweeten with."),
        click.option("--serving-g", default=formulas.SYRUP_G, show_default=True,
                     type=Amount(formulas.SMALLEST_SERVING_G, 500, open_low=False),
                     help="Grams of syrup in a drink."),
        click.option("--style", type=click.Choice(list(formulas.STYLES)), default="iced",
                     show_default=True, help="The drink it is for."),
        click.option("--milk", type=click.Choice(MILKS), default="dairy", show_default=True,
                     help="Which milk, in a milk drink."),
        click.option("--foraged", multiple=True, metavar="NAME",
                     help="Gathered, or bought without a named species: look-alikes then stop it."),
        click.option("--dose", "doses", multiple=True, metavar="NAME=G",
                     help="Set a dose yourself: grams per kg of finished syrup."),
        click.option("--level", "levels", multiple=True, metavar="NAME=LEVEL",
                     help="How loud: accent, balanced or lead."),
        click.option("--brix", type=Amount(0, 90), help="Finished °Bx, in place of a strength."),
        click.option("--by-volume", is_flag=True, help="The strength is by volume, not weight."),
        click.option("--strength", metavar="2:1", help="Sugar : added water by weight."),
        click.option("--sugar-g", type=Amount(), help="How much sugar there is to use up."),
        click.option("--servings", type=Amount(0, 1e6), help="How many drinks it is for."),
        click.option("--yield-ml", type=Amount(), help="Wanted syrup, ml."),
        click.option("--yield-g", type=Amount(), help="Wanted syrup, g (500 when not said)."),
    ):  # fmt: skip
        function = decorate(function)
    return function


def pairs(texts: Sequence[str], option: str, example: str) -> dict[str, str]:
    """``NAME=VALUE`` options as a dictionary."""
    out: dict[str, str] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not (equals and name.strip() and value.strip()):
            raise PairingError(f"{option} {text!r} should look like {example}")
        if name.strip() in out:
            raise PairingError(f"{option} names {name.strip()!r} twice")
        out[name.strip()] = value.strip()
    return out


def numbers(texts: Sequence[str], option: str, example: str, high: float) -> dict[str, float]:
    """``NAME=NUMBER`` options as a dictionary; numbers above 0 and at most ``high``."""
    out = {}
    for name, value in pairs(texts, option, example).items():
        try:
            amount = float(value)
        except ValueError:
            raise PairingError(f"{option} {name}={value}: {value!r} is not a number") from None
        if not 0 < amount <= high:
            raise PairingError(f"{option} {name}={value}: give more than 0 and at most {high:g}")
        out[name] = amount
    return out


def build(pantry: Pantry, names: Sequence[str], options: dict[str, Any]) -> formulas.Formula:
    """The formula that the options ask for."""
    wanted = [k for k in ("yield_g", "yield_ml", "servings", "sugar_g") if options[k] is not None]
    if len(wanted) > 1:
        said = " and ".join("--" + k.replace("_", "-") for k in wanted)
        raise PairingError(f"{said} say the amount twice; give one of them")
    catalog = pantry.catalog
    return formulas.make(
        catalog,
        names,
        coffee_of(catalog, options),
        style=options["style"],
        serving_g=options["serving_g"],
        sweetener=options["sweetener"],
        strength=options["strength"],
        by_volume=options["by_volume"],
        brix=options["brix"],
        yield_g=options["yield_g"],
        yield_ml=options["yield_ml"],
        servings=options["servings"],
        sugar_g=options["sugar_g"],
        levels=pairs(options["levels"], "--level", "green-cardamom=accent"),
        doses=numbers(options["doses"], "--dose", "green-cardamom=5", 2000),
    )


@click.command()
@click.argument("ingredients", nargs=-1, required=True)
@coffee_options
@coffee_option
@batch_options
@click.option(
    "--cautions", "all_cautions", is_flag=True, help="Print every caution, not the first."
)
@format_option()
@pantry_option
def formula(
    ingredients: tuple[str, ...],
    all_cautions: bool,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
    **options: Any,
) -> None:
    """A trial syrup formula: what to weigh, in what order, for how long, what comes out.

    \b
    Examples:
      pairing formula mandarin green-cardamom black-pepper --origin burundi
      pairing formula "orange peel" star-anise --origin brazil --servings 24
      pairing formula lemon-peel ginger-fresh --brew cold-brew --style cold-brew --sugar-g 250
      pairing formula mandarin clove --level clove=accent --strength 1:1 --format json

    \b
    A formula that must not be served begins and ends with STOP and exits with 1.
    """
    opened = open_catalog(pantry, data_folder)
    made = build(opened, ingredients, options)
    findings = findings_of(opened.catalog, made, options)
    show(report(opened, made, findings, all_cautions), how)
    if safety.has_stop(findings):
        click.get_current_context().exit(1)


def findings_of(
    catalog: Catalog, made: formulas.Formula, options: dict[str, Any], **more: Any
) -> tuple[safety.Finding, ...]:
    """Findings of a formula with the milk and the foraged plants of the options."""
    foraged = [catalog.form(n).ingredient_id for n in options["foraged"]]
    return made.findings(catalog, milk=options["milk"], foraged=foraged, **more)


def finding_record(f: safety.Finding) -> dict[str, Any]:
    """A finding for JSON."""
    return {
        "level": f.level,
        "code": f.code,
        "subject": f.subject,
        "amount": f.amount,
        "limit": f.limit,
        "unit": f.unit,
        "basis": f.basis,
        "jurisdiction": f.jurisdiction,
        "who": f.who,
        "text": f.text,
        "sources": list(f.source_ids),
    }


def stop_text(findings: Sequence[safety.Finding]) -> list[Text]:
    """The stops, to stand in front of everything else."""
    return [Text(f"STOP: {f.text}") for f in findings if f.level == "stop"]


def top_texts(made: formulas.Formula, findings: Sequence[safety.Finding]) -> list[Text]:
    """Stops, reported poison and doses far above the bar's: in front of everything else."""
    return [
        *stop_text(findings),
        *(Text(f"LIMIT: {f.text}") for f in findings if f.code == "poison" and f.level != "stop"),
        *(Text(f"NOTE: {text}.") for text in made.notices),
    ]


def report(
    pantry: Pantry,
    made: formulas.Formula,
    findings: Sequence[safety.Finding],
    all_cautions: bool,
) -> Report:
    """A formula as tables, JSON and CSV."""
    catalog = pantry.catalog
    process = made.cautions(catalog)
    keeping = made.keeping(catalog)
    cost, stock = _cost(pantry, made), _stock(pantry, made)
    watch, hidden = watch_lines(findings, all_cautions)
    shown = [c for c in process if all_cautions or c.caution_id in FIRST_CAUTIONS]
    hidden += len(process) - len(shown)
    always = [c for c in safety.tables().process if c.caution_id in ALWAYS and c not in shown]
    stove = [_boiling_line(made), *(c.text for c in [*always, *shown])]
    watch += stove if all_cautions else [" ".join(stove)]
    more = f"{hidden} more notes and cautions with --cautions. " if hidden else ""
    watch.append(more + safety.DEFER)
    title = " + ".join(name_of(d.form, [x.form for x in made.doses]) for d in made.doses)
    words = keeping.words if all_cautions else keeping.words[:-1]
    blocks: list[Text | Bullets | Table] = [
        *top_texts(made, findings),
        Text(
            f"Trial syrup: {title}, for {DRINKS[made.glass.style]} of {made.base.coffee.words} "
            f"({made.strength_word})"
        ),
        _weigh(made, all_cautions),
        Text(_dose_words(catalog, made, all_cautions)),
        Bullets("Do", made.steps, numbered=True),
        Bullets(
            "What comes out",
            [*_yield_lines(made, cost, all_cautions), *([stock["text"]] if stock else [])],
        ),
        Bullets("Keeping", words),
        Bullets("Watch", watch),
        *stop_text(findings),
    ]
    document = _document(catalog, made, findings, process, keeping, cost) | {"stock": stock}
    word, factor = formulas.other_temperature(catalog, made)
    document |= {f"dose_factor_if_{word}": factor}
    return Report(document, blocks, _csv(made, findings), "formula")


def _weigh(made: formulas.Formula, all_cautions: bool) -> Table:
    """What to weigh; what the aroma model says of the dose only with every caution."""
    extra = ["aroma g/kg"] if all_cautions else []
    blank = [""] * (3 + len(extra))
    rows = [
        [made.sweetener.name, grams_word(made.batch.sugar_g), *blank],
        ["Water", grams_word(made.batch.water_g), *blank],
    ]
    for d in made.doses:
        bar = f"{number(d.practice_low)}-{number(d.practice_high)}" if d.practice_low else ""
        aroma = (
            f"{number(d.computed_low, 2)}-{number(d.computed_high, 2)}"
            if d.aroma_informs
            else "no say"
        )
        rows.append(
            [
                name_of(d.form, [x.form for x in made.doses]),
                grams_word(made.grams[d.form.form_id]),
                number(d.g_per_kg, 2),
                bar,
                *([aroma] if all_cautions else []),
                d.level + (f"; {d.bound}" if d.bound else ""),
            ]
        )
    return Table("Weigh", ["what", "grams", "g/kg", "bar g/kg", *extra, "level"], rows)


def _yield_lines(
    made: formulas.Formula, cost: dict[str, Any] | None, all_cautions: bool
) -> list[str]:
    batch, per_drink = made.batch, made.glass.syrup_g
    drinks = "1 drink" if made.servings == 1 else f"{made.servings} drinks"
    sugars = batch.composition.sugars / batch.yield_g * per_drink
    out = [
        f"{grams_word(batch.yield_g)} ({batch.yield_ml:,.0f} ml) of syrup at {batch.brix:.1f} °Bx: "
        f"{drinks} of {number(per_drink)} g, {sugars:.0f} g sugar each",
        f"{grams_word(batch.evaporated_g)} of water boiled off, "
        f"{grams_word(batch.carried_g + batch.cling_g)} of syrup lost with the solids and the pan",
    ]
    if any(d.form.form in ("slice", "juice") for d in made.doses):  # boiling off is a step
        out += [n for n in batch.notes if not n.startswith("boil off")]
    if all_cautions:
        cook = batch.cook
        pans = f"{cook.pans} pans" if cook.pans > 1 else "a pan"
        out.append(
            f"counted for {pans} of {cook.pan_diameter_cm:.0f} cm: another batch size takes "
            "another pan and boils off another share, so ask for that size rather than multiply"
        )
    return [*out, cost["text"]] if cost else out


def _dose_words(catalog: Catalog, made: formulas.Formula, all_cautions: bool) -> str:
    """What the dose columns mean, and where the aroma model has no say."""
    forms = [d.form for d in made.doses]
    text = (
        "Level is how loud beside the coffee: accent half of balanced, lead twice. g/kg of "
        "finished syrup"
    )
    text += (
        "; bar practice decides where the aroma model differs."
        if all_cautions
        else "; bar g/kg is usual practice."
    )
    word, factor = formulas.other_temperature(catalog, made)
    text += (
        f" The same drink {word} takes about {factor:.1f} of these doses: cold holds aroma back."
    )
    silent = [d for d in made.doses if not d.aroma_informs]
    names = {
        why: " and ".join(name_of(d.form, forms) for d in silent if (d.computed_g_per_kg > 0) is on)
        for on, why in (
            (True, "works by taste, acid or colour; the aroma model does not set this dose"),
            (False, "no aroma data, bar practice sets the dose"),
        )
    }
    return " ".join([text, *(f"{who}: {why}." for why, who in names.items() if who)])


def _boiling_line(made: formulas.Formula) -> str:
    from pairing.syrup import sugar

    hot = float(sugar.boiling_point(min(made.batch.brix, 80.0)))
    return f"Syrup of {made.batch.brix:.0f} °Bx boils at {hot:.0f} °C and sticks to skin."


def watch_lines(findings: Sequence[safety.Finding], all_cautions: bool) -> tuple[list[str], int]:
    """Findings for people, what harms guests first and caffeine last, and how many are left out."""
    kept = [f for f in findings if f.level != "stop" and f.code != "poison"]
    if not all_cautions:
        kept = [f for f in kept if f.level != "note" and f.row_id not in TOLD_IN_STEPS]
    plain = [f for f in kept if f.code != "caffeine"]
    plain.sort(
        key=lambda f: (
            FIRST_TOPICS.get(f.basis if f.code == "hazard" else f.code, 4),
            safety.LEVELS.index(f.level),
        )
    )
    lines = [f"{f.level}: {f.text}" for f in plain]
    caffeine = [f for f in findings if f.code == "caffeine" and f.level != "stop"]
    if all_cautions:
        lines += [f"{f.level}: {f.text}" for f in caffeine]
    elif any(f.level != "note" for f in caffeine):
        lines.append(_caffeine_line(caffeine))
    told = (
        len(plain) + len(caffeine) + sum(f.level == "stop" or f.code == "poison" for f in findings)
    )
    return lines, len(findings) - told


def _caffeine_line(caffeine: Sequence[safety.Finding]) -> str:
    """One line of the caffeine guidance that a drink meets."""
    level = next(x for x in safety.LEVELS if any(f.level == x for f in caffeine))
    amount = max(f.amount or 0.0 for f in caffeine)
    adults = {f.row_id: f for f in caffeine}
    parts = [
        f"{adults[row].limit:.0f} mg {when}"
        for row, when in (
            ("efsa-adult-single", "at once"),
            ("efsa-adult-day", "a day"),
            ("efsa-pregnancy-day", "a day in pregnancy or when breast-feeding"),
        )
        if row in adults
    ]
    return (
        f"{level}: up to {amount:.0f} mg caffeine a drink; EFSA gives adults {', '.join(parts)}; "
        "not for children"
    )


def _cost(pantry: Pantry, made: formulas.Formula) -> dict[str, Any] | None:
    if not pantry.price_per_kg:
        return None
    from pairing.syrup import ratio

    spent = ratio.cost(made.batch, pantry.price_per_kg, made.glass.syrup_g)
    unit = pantry.currency or "(no currency given)"
    text = (
        f"cost {spent.total:.2f} {unit} a batch, {spent.per_serving:.3f} {unit} a drink"
        if spent.per_serving is not None
        else f"cost {spent.total:.2f} {unit} a batch"
    )
    if spent.missing:
        text += f"; no price for {', '.join(spent.missing)}"
    return {
        "text": text,
        "currency": pantry.currency,
        "batch": spent.total,
        "per_serving": spent.per_serving,
        "no_price_for": list(spent.missing),
    }


def _stock(pantry: Pantry, made: formulas.Formula) -> dict[str, Any] | None:
    """How far the pantry's stock goes."""
    needs = {**made.grams, made.sweetener.sweetener_id: made.batch.sugar_g}
    counted = {k: pantry.stock_g[k] / g for k, g in needs.items() if k in pantry.stock_g and g > 0}
    if not counted:
        return None
    least = min(counted, key=lambda k: counted[k])
    batches = int(counted[least])
    missing = {k: needs[k] - pantry.stock_g[k] for k, n in counted.items() if n < 1}
    text = (
        "stock is short of " + ", ".join(f"{grams_word(g)} {k}" for k, g in missing.items())
        if missing
        else f"stock is enough for {batches} such batches ({least} runs out first)"
    )
    return {"text": text, "batches": batches, "runs_out_first": least, "short_g": missing}


def _document(
    catalog: Catalog,
    made: formulas.Formula,
    findings: Sequence[safety.Finding],
    process: Sequence[safety.ProcessCaution],
    keeping: Stability,
    cost: dict[str, Any] | None,
) -> dict[str, Any]:
    batch = made.batch
    return {
        "stop": [f.text for f in findings if f.level == "stop"],
        "notices": list(made.notices),
        "coffee": {
            "origin": made.base.coffee.origin,
            "process": made.base.coffee.process,
            "roast": made.base.coffee.roast,
            "brew": made.base.coffee.brew,
            "species": made.base.coffee.species,
        },
        "style": made.glass.style,
        "ingredients": [
            {
                "id": d.form.form_id,
                "grams": made.grams[d.form.form_id],
                "label": d.form.label,
                "level": d.level,
                "dose_g_per_kg": d.g_per_kg,
                "dose_from_aroma_g_per_kg": d.computed_g_per_kg,
                "dose_from_aroma_range_g_per_kg": [d.computed_low, d.computed_high],
                "bar_practice_g_per_kg": [d.practice_low, d.practice_high],
                "bound": d.bound,
                "aroma_informs": d.aroma_informs,
                "method": d.method,
                "minutes": d.minutes,
            }
            for d in made.doses
        ],
        "sweetener": made.sweetener.sweetener_id,
        "strength": made.strength_word,
        "sugar_g": batch.sugar_g,
        "water_g": batch.water_g,
        "put_in_g": batch.put_in_g,
        "pan_cm": batch.cook.pan_diameter_cm,
        "pans": batch.cook.pans,
        "evaporated_g": batch.evaporated_g,
        "pot_before_straining_g": batch.pot_g,
        "drained_g": batch.drained_g,
        "left_on_pan_g": batch.cling_g,
        "lost_with_solids_g": batch.carried_g + batch.cling_g,
        "yield_g": batch.yield_g,
        "yield_ml": batch.yield_ml,
        "brix": batch.brix,
        "refractometer_brix": batch.reading_brix,
        "acid_percent_as_citric": batch.composition.acid_percent,
        "servings": made.servings,
        "serving_g": made.glass.syrup_g,
        "sugar_per_serving_g": batch.composition.sugars / batch.yield_g * made.glass.syrup_g,
        "steps": list(made.steps),
        "keeping": keeping_record(keeping),
        "cost": cost,
        "findings": [finding_record(f) for f in findings],
        "cautions": [f.text for f in findings if f.level != "note"] + [c.text for c in process],
    }


def keeping_record(keeping: Stability) -> dict[str, Any]:
    """How it keeps, for JSON."""
    return {
        "storage": keeping.storage,
        "days": keeping.days,
        "water_activity": keeping.water_activity,
        "ph_estimate": keeping.ph,
        "ph_uncertainty": keeping.ph_uncertainty,
        "crystallises_below_c": keeping.crystallisation_temperature_c,
        "viscosity_4c_mpa_s": keeping.fridge.viscosity_mpa_s,
        "viscosity_20c_mpa_s": keeping.room.viscosity_mpa_s,
        "words": list(keeping.words),
    }


def _csv(made: formulas.Formula, findings: Sequence[safety.Finding]) -> Table:
    batch = made.batch
    rows: list[list[Any]] = [["stop", "", "", "", f.text] for f in findings if f.level == "stop"]
    rows += [["notice", "", "", "", text] for text in made.notices]
    rows += [
        ["sugar", made.sweetener.sweetener_id, batch.sugar_g, "g", ""],
        ["water", "water", batch.water_g, "g", ""],
    ]
    rows += [
        ["ingredient", d.form.form_id, made.grams[d.form.form_id], "g", d.level] for d in made.doses
    ]
    rows += [
        ["yield", "syrup", batch.yield_g, "g", ""],
        ["yield", "syrup", batch.yield_ml, "ml", ""],
        ["yield", "strength", batch.brix, "degBx", made.strength_word],
        ["yield", "servings", made.servings, "drinks", f"{made.glass.syrup_g:g} g each"],
    ]
    rows += [["step", str(i), "", "", s] for i, s in enumerate(made.steps, 1)]
    rows += [[f.level, f.subject, f.amount, f.unit, f.text] for f in findings if f.level != "stop"]
    return Table("", ["section", "item", "amount", "unit", "text"], rows)


# --- label --------------------------------------------------------------------------------


class Day(click.ParamType[date]):
    """A day, YYYY-MM-DD."""

    name = "date"

    def convert(self, value: Any, param: Any, ctx: Any) -> date:
        """Check the day."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(str(value))
        except ValueError:
            self.fail(f"{value!r} is not a day; write it as 2026-11-24", param, ctx)


@click.command()
@click.argument("ingredients", nargs=-1, required=True)
@click.option("--name", default=None, help="Name on the label.")
@click.option("--made-on", type=Day(), default=None, help="Day it was made, for the use-by line.")
@coffee_options
@coffee_option
@batch_options
@format_option()
@pantry_option
def label(
    ingredients: tuple[str, ...],
    name: str | None,
    made_on: date | None,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
    **options: Any,
) -> None:
    """A draft label for a bottle: ingredients by weight, allergens, energy, sugar, use-by.

    \b
    Examples:
      pairing label mandarin green-cardamom black-pepper --origin burundi
      pairing label hazelnut-roasted sweet-orange-peel --made-on 2026-11-24 --format json
    """
    from pairing.cards import label as labels

    opened = open_catalog(pantry, data_folder)
    catalog = opened.catalog
    made = build(opened, ingredients, options)
    findings = findings_of(catalog, made, options)
    batch = made.batch
    names = {d.form.form_id: labels.plain_name(catalog, d.form) for d in made.doses}
    items = [
        labels.LabelItem(made.sweetener.name, batch.sugar_g, made.sweetener.sweetener_id),
        labels.LabelItem("Water", batch.water_g),
        *(
            labels.LabelItem(
                names[form_id], made.grams[form_id], catalog.form(form_id).ingredient_id
            )
            for form_id in names
        ),
    ]
    low, high = made.base.caffeine_mg  # of the coffee; a finding counts tea and cacao too
    high = max([high, *(f.amount or 0.0 for f in findings if f.code == "caffeine")])
    syrup = batch.composition * (100.0 / batch.yield_g)
    keep_days = made.keeping(catalog).days
    drafted = labels.draft_label(
        name or labels.product_name(list(names.values())),
        items,
        serving_g=made.glass.syrup_g,
        nutrition=labels.Nutrition(syrup.sugars, syrup.polyols, syrup.acid),
        findings=findings,
        caffeine_low_mg=low,
        caffeine_high_mg=high,
        drink_ml=made.glass.drink_ml,
        milk=options["milk"] if made.glass.style in formulas.MILK_STYLES else "",
        keep_days=keep_days,
        made_on=made_on,
    )
    text = drafted.to_text()
    lines = [line for line in text.splitlines() if line.strip()]
    table = Table("", ["line"], [[line] for line in lines])
    used = sorted((i for i in items if i.grams > 0), key=lambda i: -i.grams)
    total = sum(i.grams for i in used)
    document = {
        "stop": list(drafted.stops),
        "name": drafted.name,
        "ingredients": [
            {
                "id": i.ingredient_id,
                "name": i.name,
                "declared_as": declared,
                "grams": i.grams,
                "percent_of_put_in": 100.0 * i.grams / total,
            }
            for i, declared in zip(used, drafted.ingredients, strict=True)
        ],
        "contains": list(drafted.contains),
        "allergens_not_known": list(drafted.unknown),
        "warnings": list(drafted.warnings),
        "per_100_g": drafted.nutrition.record(100.0),
        "per_serving": drafted.nutrition.record(drafted.serving_g),
        "caffeine_mg_in_the_drink": [low, high],
        "statements": list(drafted.statements),
        "storage": drafted.keep,
        "keep_days": keep_days,
        "made_on": made_on.isoformat() if made_on else None,
        "use_by": drafted.use_by,
        "in_the_drink": list(drafted.in_the_drink),
        "lines": lines,
    }
    show(Report(document, [Text(line) for line in lines], table, "label"), how)
    if safety.has_stop(findings):
        click.get_current_context().exit(1)
