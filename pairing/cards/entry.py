"""Document and print of one entry of the catalogue: ingredient, coffee, compound, group."""

from __future__ import annotations

from typing import Any

from pairing.aroma.description import FACTORS, level_of
from pairing.cards import vocabulary
from pairing.cards.lists import citations, season_word
from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.errors import UnknownNameError, quoted
from pairing.evidence import sources as bib
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Compound, Form, Group, Origin
from pairing.evidence.spelling import normalise
from pairing.safety.plants import identity

__all__ = ["report"]


def report(catalog: Catalog, name: str, top: int = 12) -> Report:
    """What is known of an ingredient, plant, coffee origin, compound or aroma group.

    Parameters
    ----------
    catalog : Catalog
    name : str
    top : int
        How many odorants or groups.

    Returns
    -------
    Report

    Raises
    ------
    UnknownNameError
        When no table knows the name.
    """
    try:
        return _show_form(catalog, catalog.form(name), top)
    except UnknownNameError as err:
        if normalise(name) in catalog.shared_names:
            raise
        first = err
    from pairing.safety.answers import rule_for

    rule = rule_for(catalog, name)
    if rule is not None:
        return _show_rule(catalog, rule)
    try:
        return _show_origin(catalog, catalog.origin(name), top)
    except UnknownNameError:
        pass
    try:
        return _show_group(catalog, catalog.group(name))
    except UnknownNameError:
        pass
    try:
        return _show_compound(catalog, catalog.compound(name))
    except UnknownNameError:
        if any(level_of(catalog, factor, name) for factor in FACTORS):
            said = f"{quoted(name)} is a word for a coffee, no ingredient; ask what goes with it"
            raise UnknownNameError("ingredient", name, message=said) from None
        raise first from None


def oav_span(low: float, high: float) -> str:
    """A range of OAVs as people read it."""
    return f"{number(low, 2)}-{number(high, 2)}"


ROUTE_WORDS = {"odour-orthonasal": "nose", "odour-retronasal": "mouth", "pungency": "felt"}
THRESHOLD_MARKS = {"measured": "", "other medium": " ~", "bounded": " ^", "estimate": " *"}
THRESHOLD_WORDS = (
    ("other medium", "~ threshold measured in another medium, less what that medium raises"),
    ("bounded", "^ threshold bounded by a published ranking, not measured"),
    ("estimate", "* threshold estimated from the chemical family: never leads, may be far off"),
)


def known_for(catalog: Catalog, form: Form) -> str:
    """What the literature knows an ingredient for, with source and evidence; empty if nothing."""
    row = catalog.known_for.get(form.ingredient_id)
    if row is None:
        return ""
    said = " or ".join(catalog.groups[g].name.lower() for g in row.group_ids) or "taste, not smell"
    names = [catalog.compounds[c].name for c in row.compound_ids[:4]]
    by = f" ({', '.join(names)})" if names else ""
    note = f"; {row.note[0].lower() + row.note[1:]}" if row.note else ""
    return f"known for: {said}{by}{note} [{row.source_id}, {row.evidence}]"


def against_known(catalog: Catalog, form: Form, leading: str) -> str:
    """What to go by where the reckoning and the literature put different groups first.

    Empty where they agree, or where nothing is known or heard.
    """
    row = catalog.known_for.get(form.ingredient_id)
    if row is None or not row.group_ids or not leading or leading in row.group_ids:
        return ""
    return (
        f"The reckoning puts {catalog.groups[leading].name.lower()} first: some of its amounts or "
        "thresholds are recalled. Go by what it is known for, and taste."
    )


def known_record(catalog: Catalog, form: Form) -> dict[str, Any] | None:
    """The same for JSON."""
    row = catalog.known_for.get(form.ingredient_id)
    if row is None:
        return None
    return {
        "aroma_groups": list(row.group_ids),
        "compound_ids": list(row.compound_ids),
        "basis": row.basis,
        "source_ids": [row.source_id],
        "evidence": row.evidence,
    }


def _show_form(catalog: Catalog, form: Form, top: int) -> Report:
    from pairing.aroma import odour as aroma
    from pairing.aroma.served import AUDIBLE_LOUDNESS, NO_DOSE_G_PER_KG, led_by, served
    from pairing.safety import amounts
    from pairing.safety.answers import hazards_for, rule_for
    from pairing.safety.assess import assess
    from pairing.safety.plants import is_refused, refusal

    ingredient = catalog.ingredients[form.ingredient_id]
    usual = aroma.usual_dose(form)
    odours = served(catalog, form)
    portion = amounts.portion(catalog, form)
    found_safety = assess(catalog, [portion])
    rows = [h for i in portion.ids for h in hazards_for(catalog, i, form.form, ingredient.kind)]
    hazards = list({h.hazard_id: h for h in rows}.values())
    allergens = [w for f in found_safety if f.code == "allergen" for w in f.words]
    open_ = [f.text for f in found_safety if f.code in ("unknown", "allergen-unknown")]
    held = [f for f in found_safety if f.code == "limit"]
    stops = (
        [refusal(catalog, form.ingredient_id)] if is_refused(catalog, form.ingredient_id) else []
    )
    evidence = bib.evidence_word(catalog, form)
    leading = led_by(catalog, form, 5)
    heard = [(g, v) for g, v in leading if v >= AUDIBLE_LOUDNESS]
    ranked = [g for g, _ in heard or leading[:1]]
    shown = [o for o in odours if o.oav > 0][:top]
    table = Table(
        f"Key odorants by mouth ({usual or NO_DOSE_G_PER_KG:.3g} g infused in a kg of syrup, 20 g "
        "of it in a 300 ml drink)",
        ["odorant", "smells of", "mg/kg syrup", "OAV", "OAV range"],
        [
            [
                catalog.compounds[o.compound_id].name + THRESHOLD_MARKS.get(o.standing, ""),
                ", ".join(catalog.compounds[o.compound_id].odour[:2]),
                oav_span(o.mg_per_kg_low, o.mg_per_kg_high),
                number(o.oav, 2),
                oav_span(o.oav_low, o.oav_high),
            ]
            for o in shown
        ],
    )
    others = [f.form_id for f in catalog.forms_of[form.ingredient_id] if f is not form]
    facts = [
        f"{ingredient.botanical_name}; {ingredient.kind}; season: "
        f"{season_word(ingredient.season_months)}"
    ]
    if form.dose_low_g_per_kg is not None and form.dose_high_g_per_kg is not None:
        minutes = (
            f", {number(form.minutes_low)}-{number(form.minutes_high)} min"
            if form.minutes_low and form.minutes_high
            else ""
        )
        shared = (
            ""
            if form.brix_low is not None
            # fruit, juice, honey are the body of it
            else (" alone (0.42 of it beside one other, 0.24 beside more)")
        )
        bars = identity(catalog, ingredient.ingredient_id).assessed
        facts.append(
            f"{'usual dose' if bars else 'your own window'} "
            f"{number(form.dose_low_g_per_kg)}-{number(form.dose_high_g_per_kg)} g per kg of "
            f"finished syrup{shared}; "
            f"{form.method.replace('-', ' ')}{minutes}"
        )
        if form.dose_held_by:
            facts.append(f"recipes go higher; held here by {form.dose_held_by}")
    if form.unit_mass_g:
        facts.append(f"{form.unit_name}: about {number(form.unit_mass_g)} g")
    if form.brix_low is not None and form.acid_percent_low is not None:
        facts.append(
            f"juice {number(form.brix_low)}-{number(form.brix_high)} °Bx, acid "
            f"{number(form.acid_percent_low)}-{number(form.acid_percent_high)} % as citric"
        )
    elif form.acid_percent_low:
        facts.append(
            f"acid {number(form.acid_percent_low)}-{number(form.acid_percent_high)} % as citric"
        )
    if form.bitterness:
        facts.append(f"bitterness: {form.bitterness}")
    if ingredient.taste:
        facts.append("taste: " + ", ".join(ingredient.taste))
    if ingredient.price_band:
        facts.append(f"price band {ingredient.price_band} of 5 (1 cheap, 5 dear)")
    if ingredient.colour:
        facts.append(f"colour: {ingredient.colour}")
    if others:
        facts.append("other forms: " + ", ".join(others))
    facts.append(
        {"thin": "evidence is thin: few odorants are documented, read the ranking with care",
         "fair": "evidence is fair: mostly recalled from named publications",
         "solid": "evidence is solid: many odorants, a good part seen in text"}[evidence]
    )  # fmt: skip
    found = bib.of_form(catalog, form)
    blocks: list[Text | Bullets | Table] = [Text(f"{form.label} ({form.form_id})")]
    rule = rule_for(catalog, form.ingredient_id)
    if rule is not None and stops:
        blocks.insert(0, Text(f"{rule.level.upper()}: {rule.text}"))
    blocks[:0] = [Text(text) for text in open_]
    blocks += [Bullets("", facts)]
    if ranked:
        blocks.append(
            Bullets(
                "Leading aroma groups",
                [f"{catalog.groups[g].name}: {catalog.groups[g].words}" for g in ranked]
                + ([] if heard else ["all of it below its threshold at the usual dose"]),
            )
        )
    literature = known_for(catalog, form)
    if literature:
        blocks.append(Text(literature[0].upper() + literature[1:]))
        quarrel = against_known(catalog, form, ranked[0] if ranked else "")
        blocks += [Text(quarrel)] if quarrel else []
    if shown:
        blocks.append(table)
        blocks += [
            Text(words) for kind, words in THRESHOLD_WORDS if any(o.standing == kind for o in shown)
        ]
    silent = len(odours) - sum(o.oav > 0 for o in odours)
    if silent:
        blocks.append(Text(f"{silent} more compounds have an amount but no known threshold."))
    cautions = [f"{f.level}: {f.text} [{f.who}]" for f in held]
    cautions += [f"{h.severity}: {h.text} [{h.who}]" for h in hazards]
    if allergens:
        cautions.insert(0, "allergen: " + ", ".join(allergens))
    if cautions:
        blocks.append(Bullets("Cautions", cautions))
    blocks.append(citations(found))
    document = {
        "stops": stops,
        "not_known": open_,
        **vocabulary.ingredient(catalog, form),
        "form": form.form,
        "botanical_name": ingredient.botanical_name,
        "aliases": list(ingredient.aliases),
        "season_months": list(ingredient.season_months),
        "regulated": ingredient.regulated == "yes",
        "evidence": evidence,
        "bar_dose_range_g_per_kg": vocabulary.span(form.dose_low_g_per_kg, form.dose_high_g_per_kg),
        "dose_held_by": form.dose_held_by,
        "acid_range_percent_as_citric": vocabulary.span(
            form.acid_percent_low, form.acid_percent_high
        ),
        "ph_range": vocabulary.span(form.ph_low, form.ph_high),
        "soluble_range_percent": vocabulary.span(
            form.soluble_percent_low, form.soluble_percent_high
        ),
        "bitterness": form.bitterness,
        "method": form.method,
        "minutes_range": vocabulary.span(form.minutes_low, form.minutes_high),
        "aroma_groups": ranked,
        "known_for": known_record(catalog, form),
        "odorants": [
            {
                "compound_id": o.compound_id,
                "group_id": o.group_id,
                "range_mg_per_kg_syrup": vocabulary.span(o.mg_per_kg_low, o.mg_per_kg_high),
                "oav": o.oav,
                "oav_range": vocabulary.span(o.oav_low, o.oav_high),
                "threshold": o.standing,
                "source_ids": list(o.source_ids),
            }
            for o in shown
        ],
        "cautions": [
            *(vocabulary.caution(f.level, f.text, f.who, f.source_ids) for f in held),
            *(vocabulary.caution(h.severity, h.text, h.who, [h.source_id]) for h in hazards),
        ],
        "allergens": allergens,
        "sources": [vocabulary.source(s) for s in found],
    }
    first = [[f"STOP: {s}", "", "", "", ""] for s in stops]
    first += [[text, "", "", "", ""] for text in open_]
    first += [[f"Allergens: {', '.join(allergens)}", "", "", "", ""]] if allergens else []
    data = Table("", table.columns, [*first, *table.rows])
    return Report(document, blocks, data, "show", schema="show-ingredient")


def _show_rule(catalog: Catalog, rule: Any) -> Report:
    lines = [f"{h.severity}: {h.text} [{h.who}]" for h in rule.hazards]
    blocks: list[Text | Bullets | Table] = [Text(f"{rule.level.upper()}: {rule.text}")]
    if lines:
        blocks.append(Bullets("Cautions", lines))
    document = {
        "stops": [rule.text] if rule.level == "stop" else [],
        "rule": {"level": rule.level, "text": rule.text},
        "cautions": [
            vocabulary.caution(h.severity, h.text, h.who, [h.source_id]) for h in rule.hazards
        ],
    }
    data = Table(
        "",
        ["level", "text"],
        [[rule.level, rule.text], *[[h.severity, h.text] for h in rule.hazards]],
    )
    return Report(document, blocks, data, "show", schema="show-rule")


def _show_origin(catalog: Catalog, origin: Origin, top: int) -> Report:
    from pairing.affinity import reasons
    from pairing.aroma import coffee, description
    from pairing.aroma import odour as aroma
    from pairing.aroma.cup import said

    base = coffee.base(catalog, description.describe(catalog, origin.origin_id))
    apart = reasons.sets_apart(catalog, base)
    loud = aroma.group_loudness(base.oav, base.axis)
    order = sorted(range(len(apart)), key=lambda i: -abs(float(apart[i])))
    order = [i for i in order if loud[i] > 0]
    groups = [catalog.groups[base.axis.groups[i]] for i in order]
    table = Table(
        f"Aroma groups of a {base.coffee.words}, most unlike a plain medium washed arabica first "
        "(loudness = log10 of 1 + OAV)",
        ["group", "loudness", "against plain", "smells of"],
        [
            [g.name, f"{loud[i]:.2f}", f"{apart[i]:+.2f}", g.words]
            for g, i in list(zip(groups, order, strict=True))[:top]
        ],
    )
    moved = [m for m in catalog.modifiers if m.factor == "origin" and m.level == origin.origin_id]
    moves = Table(
        "What this origin does to the base coffee",
        ["target", "ratio", "evidence", "source"],
        [
            [m.target_id, f"{number(m.ratio_low)}-{number(m.ratio_high)}", m.evidence, m.source_id]
            for m in moved
        ],
    )
    ids = dict.fromkeys([origin.source_id, *(m.source_id for m in moved), *base.source_ids])
    found = [catalog.sources[i] for i in ids if i in catalog.sources]
    blocks: list[Text | Bullets | Table] = [
        Text(f"{origin.name} ({origin.origin_id})"),
        Bullets(
            "",
            [
                f"{origin.region.replace('-', ' ')}; usually {origin.usual_process} "
                f"{origin.usual_species}",
                f"acidity {origin.acidity or 'not known'}, body {origin.body or 'not known'}",
                "in the cup: " + said(catalog, base.coffee).line,
                "in the trade's words (recalled): " + ", ".join(origin.cup_notes),
                "sets it apart: " + reasons.coffee_words(catalog, base),
            ],
        ),
        table,
        moves,
        citations(found),
    ]
    document = {
        "id": origin.origin_id,
        "name": origin.name,
        "aliases": list(origin.aliases),
        "usual_species": origin.usual_species,
        "usual_process": origin.usual_process,
        "cup_notes": list(origin.cup_notes),
        "taste_ratio": base.taste,
        "aroma_groups": [
            {
                "group_id": g.group_id,
                "loudness": float(loud[i]),
                "against_plain": float(apart[i]),
            }
            for g, i in zip(groups, order, strict=True)
        ],
        "sources": [vocabulary.source(s) for s in found],
    }
    return Report(document, blocks, table, "show", schema="show-coffee")


def _show_group(catalog: Catalog, group: Group) -> Report:
    from pairing.aroma import odour as aroma

    held = aroma.profiles(catalog)
    member = held.axis.membership[:, held.axis.groups.index(group.group_id)]
    strength = aroma.loudness(held.oav(1.0) @ member)
    order = sorted(range(len(held.ids)), key=lambda i: -strength[i])
    best: dict[str, tuple[str, float]] = {}
    for i in order:
        form = catalog.forms[held.ids[i]]
        if strength[i] > 0 and form.ingredient_id not in best:
            best[form.ingredient_id] = (form.form_id, float(strength[i]))
    table = Table(
        "Loudest in (at 1 g per litre; loudness = log10 of 1 + OAV)",
        ["ingredient", "loudness"],
        [[f, round(v, 2)] for f, v in list(best.values())[:12]],
    )
    members = [c for c in catalog.compounds.values() if c.group_id == group.group_id]
    blocks: list[Text | Bullets | Table] = [
        Text(f"{group.name} ({group.group_id}): {group.words}"),
        Text("Compounds: " + ", ".join(sorted(c.name for c in members))),
        table,
    ]
    document = {
        "id": group.group_id,
        "words": group.words,
        "compounds": [c.compound_id for c in members],
        "loudest_in": [{"id": f, "loudness": v} for f, v in list(best.values())[:12]],
    }
    return Report(document, blocks, table, "show", schema="show-group")


def _show_compound(catalog: Catalog, compound: Compound) -> Report:
    rows = catalog.thresholds.get(compound.compound_id, ())
    from pairing.aroma import odour as aroma

    ax = aroma.axis(catalog)
    at = ax.position[compound.compound_id]
    thresholds = Table(
        "Thresholds",
        ["low, ug/l", "high, ug/l", "how", "medium", "counted", "evidence", "source"],
        [
            [
                number(r.low_ug_per_l),
                number(r.high_ug_per_l),
                ROUTE_WORDS.get(r.kind, r.kind),
                r.medium,
                "yes" if r.counted else r.why_not,
                r.evidence,
                r.source_id,
            ]
            for r in rows
        ],
    )
    where = sorted(
        {
            i
            for i, amounts in catalog.composition.items()
            if any(a.compound_id == compound.compound_id for a in amounts)
        }
    )
    found = bib.of_compound(catalog, compound)
    facts = [
        f"CAS {compound.cas}; {number(compound.molar_mass_g_per_mol, 5)} g/mol",
        f"boils at {number(compound.boiling_point_c, 4)} °C"
        if compound.boiling_point_c
        else "boiling point not known",
        f"log P {compound.log_p:g}" if compound.log_p is not None else "log P not known",
        f"aroma group {compound.group_id}; smells of {', '.join(compound.odour)}",
    ]
    if ax.standing[at]:
        facts.append(
            f"threshold in water {number(float(ax.threshold_best[at]), 2)} ug/l "
            f"({oav_span(float(ax.threshold_low[at]), float(ax.threshold_high[at]))}; "
            f"{ax.standing[at]}), by mouth in a sweet citrus drink "
            f"{number(float(ax.glass_best[at]), 2)}"
        )
    blocks: list[Text | Bullets | Table] = [
        Text(f"{compound.name} ({compound.compound_id})"),
        Bullets("", facts),
        thresholds if rows else Text("No threshold is known: it counts as silent."),
        Text(
            f"Found in {len(where)} ingredients: {', '.join(where)}"
            if where
            else "In no ingredient of the catalogue."
        ),
        citations(found),
    ]
    document = {
        "id": compound.compound_id,
        "name": compound.name,
        "cas": compound.cas,
        "molar_mass_g_per_mol": compound.molar_mass_g_per_mol,
        "boiling_point_c": compound.boiling_point_c,
        "log_p": compound.log_p,
        "group_id": compound.group_id,
        "odour": list(compound.odour),
        "thresholds_ug_per_l": [
            {
                **vocabulary.span(r.low_ug_per_l, r.high_ug_per_l),
                "kind": r.kind,
                "medium": r.medium,
                "counted": r.counted,
                "source_ids": [r.source_id],
            }
            for r in rows
        ],
        "found_in": where,
        "sources": [vocabulary.source(s) for s in found],
    }
    return Report(document, blocks, thresholds, "show", schema="show-compound")
