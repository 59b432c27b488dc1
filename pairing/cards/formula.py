"""The document and the short print of a formula: what to weigh, do, expect and watch."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from pairing.aroma import infusion, odour
from pairing.bar.large import large_plan
from pairing.bar.pantry import Pantry
from pairing.bar.shelf import Purchase, Spent, purchases, shelf_of, spend
from pairing.cards import vocabulary
from pairing.cards.report import Bullets, Report, Table, Text, closed, lines_of, number
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.safety_rows import ProcessCaution
from pairing.safety.findings import DEFER, POISON_CENTRE, Finding, first_lines, is_acute
from pairing.syrup import formula as formulas
from pairing.syrup import household as units
from pairing.syrup.held import legal_dose
from pairing.syrup.keeping import Stability, estimate_ph
from pairing.syrup.lighter import sugars_g
from pairing.syrup.prepared import name_of
from pairing.syrup.step import grams_word
from pairing.syrup.stove import boils_at

__all__ = [
    "report",
    "shorter_words",
    "stop_text",
    "top_texts",
    "watch_lines",
]

# what the short print says of making and keeping, beside the steps; --cautions prints all
ALWAYS = ("unattended", "first-aid")  # every plan heats syrup
FIRST_CAUTIONS = (*ALWAYS, "weigh")
TOLD_IN_STEPS = ("spice-salmonella",)  # the plan is the answer to these hazards


def stop_text(findings: Sequence[Finding]) -> list[Text]:
    """The stops, to stand in front of everything else, and whom to call after an acute dose.

    Parameters
    ----------
    findings : sequence of Finding

    Returns
    -------
    list of Text
        Empty without a stop.
    """
    stops = [f for f in findings if f.level == "stop"]
    call = [Text(POISON_CENTRE)] if any(is_acute(f) for f in stops) else []
    return [*(Text(f"STOP: {f.text}") for f in stops), *call]


STOPPED = "STOP: must not be served, see the top."
NOT_KNOWN = vocabulary.NOT_KNOWN


def top_texts(made: formulas.Formula, findings: Sequence[Finding]) -> list[Text]:
    """Stops, what is not known, poison, doses far above the bar's: in front of everything else.

    Parameters
    ----------
    made : Formula
    findings : sequence of Finding

    Returns
    -------
    list of Text
        Empty where there is nothing of the kind.
    """
    return closed(
        [
            *stop_text(findings),
            *(Text(f.text) for f in findings if f.code in NOT_KNOWN),
            *(
                Text(f"LIMIT: {f.text}")
                for f in findings
                if f.code == "poison" and f.level != "stop"
            ),
            *(Text(f"NOTE: {text}.") for text in made.notices),
        ]
    )


def report(
    pantry: Pantry,
    made: formulas.Formula,
    findings: Sequence[Finding],
    all_cautions: bool,
    sites: Mapping[str, float] | None = None,
    spare: float = 0.0,
    *,
    why: bool = False,
    sources: bool = False,
    household: bool = False,
) -> Report:
    """A formula as tables, JSON and CSV.

    Parameters
    ----------
    pantry : Pantry
        Its prices and stock count where it has any.
    made : Formula
    findings : sequence of Finding
        In order of danger.
    all_cautions, why, sources, household : bool
        Every finding and caution; how the doses were set and why it keeps; the sources.
    sites : mapping, optional
        Drinks that each site orders.
    spare : float
        On top of orders [%].

    Returns
    -------
    Report
        Stops stand first, in the tables, the document and the CSV rows.
    """
    catalog = pantry.catalog
    process = made.cautions(catalog)
    keeping = made.keeping(catalog)
    cost, stock = _cost(pantry, made), _stock(pantry, made)
    plan = large_plan(catalog, made, sites, spare)
    word, factor = formulas.other_temperature(catalog, made)
    in_units = units.with_us_units if household else str
    named = [f for f in findings if f.code.startswith("allergen")]
    first_of_all, left = watch_lines(named, False)
    rest = findings if all_cautions else [f for f in findings if f not in named]
    watch, hidden = watch_lines(rest, all_cautions)
    hidden += left
    shown = [c for c in process if all_cautions or c.caution_id in FIRST_CAUTIONS]
    hidden += len(process) - len(shown)
    always = [c for c in catalog.safety.process if c.caution_id in ALWAYS and c not in shown]
    brief = () if all_cautions else ("weigh",)  # which plants are potent is said by --cautions
    weigh = [c.text.partition(":")[0] + "." if c.caution_id in brief else c.text for c in shown]
    stove = [in_units(_boiling_line(made)), *(c.text for c in always), *weigh]
    if not all_cautions:
        stove = [" ".join(stove)]
    title = " + ".join(name_of(d.form, [x.form for x in made.doses]) for d in made.doses)
    words = _keeping_lines(keeping, why or all_cautions)
    before: list[Text | Bullets | Table] = [
        *top_texts(made, findings),
        Text(
            f"Trial syrup: {title}, for {catalog.styles[made.glass.style].phrase} of "
            f"{made.base.coffee.words} "
            f"({made.strength_word})"
        ),
        *(Text(line, close=True) for line in first_of_all),
        _weigh(catalog, made, all_cautions or why, household),
        *([Text(_dose_words(made, all_cautions, word, factor))] if all_cautions or why else []),
        Bullets("Do", [in_units(x) for x in made.steps], numbered=True),
        Bullets(
            "What comes out, and how it keeps",
            [
                *(in_units(x) for x in _yield_lines(made, cost, all_cautions or why)),
                *([stock["text"]] if stock else []),
                *(in_units(w) for w in words),
            ],
        ),
        *([Bullets("A large batch", plan.lines)] if plan else []),
    ]
    after: list[Text | Bullets | Table] = [
        *([_sources(catalog, findings)] if sources else []),
        *([Text(STOPPED)] if made.stops else []),
    ]

    def with_watch(lines: Sequence[str], left_out: int) -> list[Text | Bullets | Table]:
        more = f"{left_out} more: --cautions. " if left_out else ""
        return [*before, Bullets("Watch", [*lines, *stove, more + DEFER]), *after]

    blocks = with_watch(watch, hidden)
    for shorter, dropped in () if all_cautions else _shortened(watch):
        if lines_of(blocks, WIDTH) <= MOST_LINES:
            break
        blocks = with_watch(shorter, hidden + dropped)
    document = _document(catalog, made, findings, process, keeping, cost) | {"stock": stock}
    document["large_batch"] = list(plan.lines) if plan else []
    document["sites"] = [{"site": n, "grams": g} for n, g in plan.sites] if plan else []
    first = [c.text for c in process if c.caution_id in FIRST_CAUTIONS]
    first = [*dict.fromkeys([*first, *(c.text for c in always)])]
    document["watch"] = [*watch_lines(findings, False)[0], _boiling_line(made), *first, DEFER]
    document["dose_factor_other_temperature"] = {"served": word, "factor": factor}
    return Report(document, blocks, _csv(made, findings), "formula")


WIDTH, MOST_LINES = 80, 60  # what is printed without asking fits a phone in one hand


def _shortened(watch: Sequence[str]) -> list[tuple[list[str], int]]:
    """Watch lines ever shorter, and how many are left out: only hints of the shop go.

    Stops, allergens, who asks first, what burns and every figure of a limit stay.
    """
    base = shorter_words(watch)
    first = [_of_shop(w, 1) for w in base]
    none = [w for w in (_of_shop(w, 0) for w in base) if w]
    cut = sum(a != b for a, b in zip(base, first, strict=True))
    return [(base, 0), (first, cut), (none, max(cut, len(base) - len(none)))]


def shorter_words(watch: Sequence[str]) -> list[str]:
    """Watch lines in fewer words: whom to tell in one line, a guidance without its citation.

    Parameters
    ----------
    watch : sequence of str

    Returns
    -------
    list of str
        Nothing is left out but whose guidance a figure is, which --sources says.
    """
    guests = " ".join(w for w in watch if w.startswith(GUESTS))
    rest = [CITED.sub(r"\1", w) for w in watch if not w.startswith(GUESTS)]
    return [*([guests] if guests else []), *rest]


def _of_shop(line: str, keep: int) -> str:
    """Its first so many sentences where it is of the shop, and whatever speaks of poison."""
    if not line.startswith("Buying: "):
        return line
    told = line.removeprefix("Buying: ").rstrip(".").split(". ")
    kept = [s for i, s in enumerate(told) if i < keep or "poison" in s.casefold()]
    return f"Buying: {'. '.join(kept)}." if kept else ""


CITED = re.compile(r"(of intake guidance) \((?:[^()]|\([^()]*\))*\)")
GUESTS = ("On no list, ", "Tell these guests first: ")
DOSE_LEGEND = "bar g/kg: of it alone; level: how loud beside the coffee; more: --why"


# why a syrup keeps no longer, which --why says
REASONS = (
    re.compile(r" \((?:our habit|(?:[^()]*)Food Code 3-501\.17)[^)]*\)"),
    re.compile(r"; the boil does not kill[^.]*"),
    re.compile(r"; label with name and date"),
    re.compile(r" \(US Food Code 3-501\.19; UK once, above 8 °C\)"),
)


TOLD_OF_KEEPING = ("Keep", "Throw", "On the counter", "STOP")


def _keeping_lines(keeping: Stability, every: bool) -> list[str]:
    """How long and where, and when to throw it out; the reasons only where they are asked for."""
    if every:
        return list(keeping.words)
    told = [w for w in keeping.words[1:] if w.startswith(TOLD_OF_KEEPING)]
    said = " ".join([keeping.words[0], *told])
    if keeping.opened_days == keeping.days:
        said = said.replace(f", {keeping.opened_days} at most once opened", "")
    for reason in REASONS:
        said = reason.sub("", said)
    return [said]


def _sources(catalog: Catalog, findings: Sequence[Finding]) -> Bullets:
    ids = dict.fromkeys(s for f in findings for s in f.source_ids if s in catalog.sources)
    return Bullets("Sources", [f"{i}: {catalog.sources[i].citation}" for i in ids])


def _weigh(catalog: Catalog, made: formulas.Formula, every: bool, household: bool = False) -> Table:
    """What to weigh; what the aroma model says of the dose only with every caution."""
    extra = ["aroma g/kg"] if every else []
    blank = [""] * (3 + len(extra))
    sweet = dict(made.batch.sweeteners)
    rows = [
        *([r.name, grams_word(sweet[r.sweetener_id]), *blank] for r in made.sweeteners),
        ["Water", grams_word(made.batch.water_g), *blank],
    ]
    unknown = {f.subject for f in made.findings if f.code == "unknown"}
    for d in made.doses:
        bar = f"{number(d.practice_low)}-{number(d.practice_high)}" if d.practice_low else ""
        if d.form.ingredient_id in unknown:
            bar = f"{bar} (yours)" if bar else ""
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
                *([aroma] if every else []),
                d.level + _bound(d.bound, d.form.ingredient_id in unknown),
            ]
        )
    for p in made.powders:
        usual = f"{number(p.powder.dose_low_g_per_kg)}-{number(p.powder.dose_high_g_per_kg)}"
        number_e = f" (E {p.powder.e_number})" if p.powder.e_number else ""
        rows.append(
            [
                p.name + number_e,
                grams_word(p.grams),
                number(p.g_per_kg, 2),
                usual,
                *([""] if every else []),
                p.words,
            ]
        )
    title = "Weigh" if every else f"Weigh ({DOSE_LEGEND})"
    columns = ["what", "grams", "g/kg", "bar g/kg", *extra, "level"]
    if household:
        table = catalog.household
        about = [
            *(units.measure_of(table, i, sweet[i]) for i in sweet),
            units.measure_of(table, "water", made.batch.water_g),
            *(
                units.measure_of(table, d.form.form_id, made.grams[d.form.form_id], d.form)
                for d in made.doses
            ),
            *(units.measure_of(table, p.powder.powder_id, p.grams) for p in made.powders),
        ]
        columns.insert(2, "household")
        rows = [[*row[:2], said, *row[2:]] for row, said in zip(rows, about, strict=True)]
    return Table(title, columns, rows)


def _bound(words: str, own: bool) -> str:
    """What holds a dose; a bar's own window for a plant nobody knows is not bar practice."""
    if not words:
        return ""
    said = words.removeprefix("; ")
    return "; " + (said.replace("bar practice", "your own window") if own else said)


def _volume(ml: float) -> str:
    """Millilitres, from ten litres on litres."""
    return f"{ml:,.0f} ml" if ml < 10_000 else f"{ml / 1000.0:.3g} l"


def _yield_lines(made: formulas.Formula, cost: dict[str, Any] | None, every: bool) -> list[str]:
    batch, per_drink = made.batch, made.glass.syrup_g
    drinks = "1 drink" if made.servings == 1 else f"{made.servings} drinks"
    sugars = sugars_g(made) / batch.yield_g * per_drink
    out = [
        f"{grams_word(batch.yield_g)} ({_volume(batch.yield_ml)}) of syrup at {batch.brix:.1f} "
        "°Bx: "
        f"{drinks} of {number(per_drink)} g, {sugars:.0f} g sugar each",
    ]
    if any(p.powder.acid_as_citric_percent for p in made.powders):
        out.append(
            f"about pH {estimate_ph(batch.composition):.1f} and "
            f"{batch.composition.acid_percent:.2g} % acid as citric: an estimate, so measure"
        )
    if every:
        out.append(
            f"{grams_word(batch.evaporated_g)} of water boiled off, "
            f"{grams_word(batch.carried_g + batch.cling_g)} of syrup lost with the solids and pan"
        )
    if any(d.form.form in ("slice", "juice") for d in made.doses):  # boiling off is a step
        out += [n for n in batch.notes if not n.startswith("boil off")]
    if every:
        cook = batch.cook
        pans = f"{cook.pans} pans" if cook.pans > 1 else "a pan"
        out.append(
            f"counted for {pans} of {cook.pan_diameter_cm:.0f} cm: another batch size takes "
            "another pan and boils off another share, so ask for that size rather than multiply"
        )
    return [*out, cost["text"]] if cost else out


def _dose_words(made: formulas.Formula, all_cautions: bool, word: str, factor: float) -> str:
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
    if any(d.level != "given" for d in made.doses):
        text += (
            f" The same drink {word} takes about {factor:.1f} of these doses: cold holds aroma "
            "back."
        )
    shared = [d for d in made.doses if d.share < 1.0]
    if shared:
        text += (
            f" {len(made.doses)} share this syrup: each aromatic takes "
            f"{number(min(d.share for d in shared), 2)} to "
            f"{number(max(d.share for d in shared), 2)} of its dose alone (bar g/kg is alone), "
            f"{number(made.shared_g_per_kg, 3)} g/kg in all; a lead keeps more, an accent less."
        )
    silent = [d for d in made.doses if not d.aroma_informs]
    names = {
        why: " and ".join(name_of(d.form, forms) for d in silent if (d.computed_g_per_kg > 0) is on)
        for on, why in (
            (
                True,
                "the aroma model asks for an amount far from what bars use; practice sets the dose",
            ),
            (False, "no aroma data, bar practice sets the dose"),
        )
    }
    return " ".join([text, *(f"{who}: {why}." for why, who in names.items() if who)])


def _boiling_line(made: formulas.Formula) -> str:
    hot = boils_at(min(made.batch.brix, 80.0), made.altitude_m)
    return f"Syrup of {made.batch.brix:.0f} °Bx boils at {hot:.0f} °C and sticks to skin."


def watch_lines(findings: Sequence[Finding], all_cautions: bool) -> tuple[list[str], int]:
    """Findings in the order of danger, at most six lines of them, and how many are left out.

    Parameters
    ----------
    findings : sequence of Finding
        In order of danger; what :func:`top_texts` says is left out here.
    all_cautions : bool
        Every finding, each with its level.

    Returns
    -------
    tuple of (list of str, int)
    """
    kept = [f for f in findings if f.level != "stop" and f.code not in ("poison", *NOT_KNOWN)]
    if all_cautions:
        return [f"{f.level}: {f.text}" for f in kept], 0
    first = first_lines(kept, TOLD_IN_STEPS)
    return list(first.lines), first.left_out


def _bought(pantry: Pantry, made: formulas.Formula) -> tuple[Purchase, ...]:
    needs = {**made.grams, **dict(made.batch.sweeteners)}
    return purchases(pantry.catalog, needs, {**pantry.price_per_kg, **pantry.stock_g})


def cost_text(spent: Spent, per_kg: float, serving_g: float, currency: str) -> str:
    """What a batch costs in words; a sum that leaves something out says that it is partial."""
    if not spent.lines:
        return f"cost not known: no price for {', '.join(spent.missing)}"
    unit = currency or "(no currency given)"
    known = "partial cost" if spent.partial else "cost"
    text = (
        f"{known} {spent.total:.2f} {unit} a batch, {per_kg * serving_g / 1000.0:.3f} {unit} a "
        "drink"
    )
    return text + (f"; no price for {', '.join(spent.missing)}" if spent.missing else "")


def _cost(pantry: Pantry, made: formulas.Formula) -> dict[str, Any] | None:
    if not pantry.price_per_kg:
        return None
    spent = spend(_bought(pantry, made), pantry.price_per_kg)
    per_kg = 1000.0 * spent.total / made.batch.yield_g
    serving_g = made.glass.syrup_g
    return vocabulary.cost(
        pantry.currency,
        spent.total,
        per_kg * serving_g / 1000.0,
        spent.missing,
        cost_text(spent, per_kg, serving_g, pantry.currency),
        per_kg,
    )


def _stock(pantry: Pantry, made: formulas.Formula) -> dict[str, Any] | None:
    """How far the pantry's stock goes; a fruit covers its peel and juice."""
    found = shelf_of(_bought(pantry, made), pantry.stock_g)
    if found is None:
        return None
    text = (
        "stock is short of " + ", ".join(f"{grams_word(g)} {k}" for k, g in found.short_g.items())
        if found.short_g
        else f"stock is enough for {found.times} such batches ({found.first} runs out first)"
    )
    if found.not_counted:
        text += f"; not counted: {', '.join(found.not_counted)}"
    return {
        "text": text,
        "batches": found.times,
        "runs_out_first": found.first,
        "short_g": found.short_g,
    }


def _document(
    catalog: Catalog,
    made: formulas.Formula,
    findings: Sequence[Finding],
    process: Sequence[ProcessCaution],
    keeping: Stability,
    cost: dict[str, Any] | None,
) -> dict[str, Any]:
    batch = made.batch
    return {
        "stops": vocabulary.stops(findings),
        "not_known": vocabulary.not_known(findings),
        "notices": list(made.notices),
        "coffee": vocabulary.coffee(made.base),
        "style": made.glass.style,
        "ingredients": [
            vocabulary.ingredient(
                catalog,
                d.form,
                grams=made.grams[d.form.form_id],
                level=d.level,
                dose_g_per_kg=d.g_per_kg,
                aroma_dose_g_per_kg=d.computed_g_per_kg,
                aroma_dose_range_g_per_kg=vocabulary.span(d.computed_low, d.computed_high),
                bar_dose_range_g_per_kg=vocabulary.span(d.practice_low, d.practice_high),
                bound=d.bound,
                share_of_dose_alone=d.share,
                aroma_informs=d.aroma_informs,
                legal_dose=_legal(catalog, d.form, made),
                method=d.method,
                minutes=d.minutes,
            )
            for d in made.doses
        ],
        "powders": [
            {
                "id": p.powder.powder_id,
                "name": p.powder.name,
                "e_number": p.powder.e_number or None,
                "grams": p.grams,
                "g_per_kg": p.g_per_kg,
                "set_by": p.words,
            }
            for p in made.powders
        ],
        "sweetener": made.sweetener.sweetener_id,
        "sweeteners": [{"id": i, "grams": g} for i, g in batch.sweeteners],
        "caramel": f"{made.caramel.how}, {made.caramel.shade}" if made.caramel else None,
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
        "own_pot": {"boil_off": made.own_pot.boil_off, "straining": made.own_pot.straining},
        "yield_g": batch.yield_g,
        "yield_ml": batch.yield_ml,
        "brix": batch.brix,
        "refractometer_brix": batch.reading_brix,
        "acid_percent_as_citric": batch.composition.acid_percent,
        "servings": made.servings,
        "serving_g": made.glass.syrup_g,
        "sugar_per_serving_g": sugars_g(made) / batch.yield_g * made.glass.syrup_g,
        "steps": list(made.steps),
        "plan": [vocabulary.step(s) for s in made.plan],
        "inverted_percent": 100.0 * made.inverted.best,
        "inverted_range_percent": vocabulary.span(
            100.0 * made.inverted.low, 100.0 * made.inverted.high
        ),
        "aroma": _aroma(catalog, made),
        "keeping": vocabulary.keeping(keeping),
        "cost": cost,
        "findings": [vocabulary.finding(f) for f in findings],
        "cautions": [vocabulary.caution("caution", c.text) for c in process],
    }


def _legal(catalog: Catalog, form: Form, made: formulas.Formula) -> dict[str, Any] | None:
    """Where the law would stop this ingredient alone, in this drink."""
    found = legal_dose(catalog, form, made.glass)
    return {"g_per_kg": found[0], "words": found[1]} if found else None


AROMA_GROUPS = 6  # loudest groups of the syrup, and of the coffee, that are told


def _aroma(catalog: Catalog, made: formulas.Formula) -> list[dict[str, Any]]:
    """Loudness of coffee and syrup in the drink by aroma group, the syrup's own first."""
    per_l = made.glass.syrup_g / made.glass.drink_ml * 1000.0
    base = made.base
    brought = sum(
        infusion.infuse(catalog, d.form, d.g_per_kg, d.method, d.minutes or None).best * per_l
        for d in made.doses
    )
    cup = base.best * min(1.0, base.brew.volume_ml / made.glass.drink_ml)
    with np.errstate(invalid="ignore"):
        syrup, coffee = (
            odour.group_loudness(np.nan_to_num(a / base.axis.glass_best), base.axis)
            for a in (brought, cup)
        )
    told = {int(i) for loud in (syrup, coffee) for i in np.argsort(-loud)[:AROMA_GROUPS]}
    heard = [i for i in told if max(syrup[i], coffee[i]) > 0.05]
    return [
        {
            "group_id": base.axis.groups[i],
            "name": catalog.groups[base.axis.groups[i]].name,
            "coffee": float(coffee[i]),
            "syrup": float(syrup[i]),
        }
        for i in sorted(heard, key=lambda i: float(coffee[i] - syrup[i]))
    ]


def _csv(made: formulas.Formula, findings: Sequence[Finding]) -> Table:
    batch = made.batch
    rows: list[list[Any]] = [["stop", "", "", "", f.text] for f in findings if f.level == "stop"]
    rows += [[f.code, f.subject, "", "", f.text] for f in findings if f.code in NOT_KNOWN]
    tells = [f for f in findings if f.code.startswith("allergen") and f.code not in NOT_KNOWN]
    rows += [[f.code, f.subject, "", "", f.text] for f in tells]
    rows += [["notice", "", "", "", text] for text in made.notices]
    rows += [
        *(["sugar", i, g, "g", ""] for i, g in batch.sweeteners),
        ["water", "water", batch.water_g, "g", ""],
    ]
    rows += [
        ["ingredient", d.form.form_id, made.grams[d.form.form_id], "g", d.level] for d in made.doses
    ]
    rows += [["powder", p.powder.powder_id, p.grams, "g", p.words] for p in made.powders]
    rows += [
        ["yield", "syrup", batch.yield_g, "g", ""],
        ["yield", "syrup", batch.yield_ml, "ml", ""],
        ["yield", "strength", batch.brix, "degBx", made.strength_word],
        ["yield", "servings", made.servings, "drinks", f"{made.glass.syrup_g:g} g each"],
    ]
    rows += [["step", str(i), "", "", s] for i, s in enumerate(made.steps, 1)]
    said = {id(f) for f in tells}
    rows += [
        [f.level, f.subject, f.amount, f.unit, f.text]
        for f in findings
        if f.level != "stop" and id(f) not in said
    ]
    return Table("", ["section", "item", "amount", "unit", "text"], rows)
