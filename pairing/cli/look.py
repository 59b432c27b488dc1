"""``pairing list``, ``pairing show``, ``pairing sources``: what the tables know."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.cards.report import show as print_report
from pairing.cli.options import Month, format_option, open_catalog, pantry_option
from pairing.errors import NothingFoundError, PairingError, UnknownNameError
from pairing.evidence import sources as bib
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Compound, Form, Group, Ingredient, Origin, Source
from pairing.evidence.spelling import normalise
from pairing.evidence.words import SHARED_NAMES

__all__ = ["list_", "show", "sources"]

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WHATS = ("ingredients", "coffees", "compounds", "groups", "sweeteners", "brews", "glasses")


@click.command("list")
@click.argument("what", type=click.Choice(WHATS))
@click.option("--kind", help="Only this kind: citrus, spice, herb, flower, nut, root ...")
@click.option("--month", type=Month(), help="Only what is in season (1-12, N hemisphere).")
@click.option("--group", help="Only what is in this aroma group, or loud in it.")
@format_option()
@pantry_option
def list_(
    what: str,
    kind: str | None,
    month: int | None,
    group: str | None,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """List what the catalogue holds.

    \b
    Examples:
      pairing list ingredients --kind citrus --month 10
      pairing list ingredients --group floral-terpenols
      pairing list coffees --format csv
      pairing list compounds --group roast-pyrazines
    """
    catalog = open_catalog(pantry, data_folder).catalog
    for name, value, fits in (
        ("--kind", kind, ("ingredients",)),
        ("--month", month, ("ingredients",)),
        ("--group", group, ("ingredients", "compounds")),
    ):
        if value is not None and what not in fits:
            raise PairingError(f"{name} does not go with {what}; it filters {' and '.join(fits)}")
    columns, rows = _LISTS[what](catalog, kind, month, group)
    if not rows:
        raise NothingFoundError(f"no {what} fit; widen the filter")
    table = Table("", columns, rows)
    keys = [c.lower().replace(" ", "_").replace(",", "").replace("/", "_per_") for c in columns]
    document = {what: [dict(zip(keys, row, strict=True)) for row in rows]}
    if what == "ingredients":
        for record in document[what]:
            forms = catalog.forms_of.get(record["ingredient"], ())
            record["form_ids"] = [f.form_id for f in forms]
    count = Text(f"{len(rows)} {what if len(rows) != 1 else what.removesuffix('s')}")
    print_report(Report(document, [table, count], table, "list"), how)


def _ingredients(
    catalog: Catalog, kind: str | None, month: int | None, group: str | None
) -> tuple[list[str], list[list[Any]]]:
    kinds = sorted({i.kind for i in catalog.ingredients.values()})
    if kind is not None and kind not in kinds:
        from difflib import get_close_matches

        near = get_close_matches(kind, kinds, 3, 0.4) or kinds
        raise UnknownNameError("kind", kind, near)
    loud = _loud_in(catalog, catalog.group(group).group_id) if group is not None else None
    rows = []
    for ingredient in sorted(catalog.ingredients.values(), key=lambda i: (i.kind, i.ingredient_id)):
        forms = catalog.forms_of.get(ingredient.ingredient_id, ())
        if kind and ingredient.kind != kind:
            continue
        if month and ingredient.season_months and month not in ingredient.season_months:
            continue
        if loud is not None and not any(f.form_id in loud for f in forms):
            continue
        rows.append(
            [
                ingredient.ingredient_id,
                ingredient.kind,
                ", ".join(f.form for f in forms),
                season_word(ingredient.season_months),
                _caution_word(ingredient),
            ]
        )
    return ["ingredient", "kind", "forms", "season", "caution"], rows


def _caution_word(ingredient: Ingredient) -> str:
    """The gravest caution on file: ``not suggested``, ``limit``, ``allergen`` or nothing."""
    from pairing.safety import assess as safety

    if ingredient.regulated == "yes":
        return "not suggested"
    hazards = safety.hazards_for(ingredient.ingredient_id, "", ingredient.kind)
    if any(h.severity in ("stop", "limit") for h in hazards):
        return "limit"
    return "allergen" if safety.allergens_for(ingredient.ingredient_id) else ""


def _loud_in(catalog: Catalog, group_id: str) -> set[str]:
    """Forms in which a group is one of the three loudest at the usual dose."""
    from pairing.aroma import odour as aroma

    held = aroma.profiles(catalog)
    out = set()
    for form_id, oav in zip(held.ids, held.oav(10.0), strict=True):
        leading = [g for g, _ in aroma.leading_groups(held.axis, oav, 3)]
        if group_id in leading:
            out.add(form_id)
    return out


def _coffees(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    rows = [
        [
            o.origin_id,
            o.usual_species,
            o.usual_process,
            o.acidity,
            o.body,
            ", ".join(o.cup_notes),
        ]
        for o in sorted(catalog.origins.values(), key=lambda o: o.origin_id)
    ]
    return ["origin", "species", "process", "acidity", "body", "in the cup"], rows


def _compounds(
    catalog: Catalog, _kind: Any, _month: Any, group: str | None
) -> tuple[list[str], list[list[Any]]]:
    wanted = catalog.group(group).group_id if group is not None else None
    rows = []
    for c in sorted(catalog.compounds.values(), key=lambda c: c.compound_id):
        if wanted and c.group_id != wanted:
            continue
        low, high = threshold_span(catalog, c)
        rows.append([c.compound_id, c.cas, c.group_id, low, high, ", ".join(c.odour)])
    return ["compound", "CAS", "group", "threshold low, ug/l", "high, ug/l", "odour"], rows


def _groups(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    counts: dict[str, int] = {}
    for c in catalog.compounds.values():
        counts[c.group_id] = counts.get(c.group_id, 0) + 1
    rows = [[g.group_id, counts.get(g.group_id, 0), g.words] for g in catalog.groups.values()]
    return ["group", "compounds", "smells of"], rows


def _sweeteners(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    rows = [
        [
            s.sweetener_id,
            100.0 - s.water_percent,
            s.sweetness_relative,
            s.kcal_per_100g,
            s.colour,
        ]
        for s in catalog.sweeteners.values()
    ]
    return ["sweetener", "solids, %", "sweetness", "kcal/100 g", "colour"], rows


def _brews(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    rows = [
        [
            b.brew_id,
            b.dose_g,
            b.volume_ml,
            b.tds_percent,
            f"{number(b.caffeine_low_mg)}-{number(b.caffeine_high_mg)}",
            b.temperature_c,
        ]
        for b in catalog.brews.values()
    ]
    return ["brew", "coffee, g", "in the cup, ml", "TDS, %", "caffeine, mg", "poured at, C"], rows


def _glasses(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    rows = [
        [g.glass_id, g.name, g.volume_ml, "yes" if g.heat_resistant else "no"]
        for g in catalog.glasses.values()
    ]
    return ["glass", "name", "ml to the brim", "for hot drinks"], rows


_LISTS = {
    "ingredients": _ingredients,
    "coffees": _coffees,
    "compounds": _compounds,
    "groups": _groups,
    "sweeteners": _sweeteners,
    "brews": _brews,
    "glasses": _glasses,
}


def season_word(months: tuple[int, ...]) -> str:
    """Months as a span, such as ``Oct-Jan``; ``all year`` when empty."""
    if not months or len(months) == 12:
        return "all year"
    present = set(months)
    starts = [m for m in range(1, 13) if m in present and (m - 2) % 12 + 1 not in present]
    spans = []
    for start in starts:
        end = start
        while end % 12 + 1 in present:
            end = end % 12 + 1
        spans.append(
            MONTHS[start - 1] if start == end else f"{MONTHS[start - 1]}-{MONTHS[end - 1]}"
        )
    return ", ".join(spans)


def threshold_span(catalog: Catalog, compound: Compound) -> tuple[float | None, float | None]:
    """Lowest and highest threshold in water, ug/l."""
    rows = catalog.thresholds.get(compound.compound_id, ())
    if not rows:
        return None, None
    return min(r.low_ug_per_l for r in rows), max(r.high_ug_per_l for r in rows)


# --- show ---------------------------------------------------------------------------------


@click.command()
@click.argument("name")
@click.option(
    "--top", type=click.IntRange(1, 200), default=12, show_default=True, help="How many odorants."
)
@format_option()
@pantry_option
def show(name: str, top: int, how: str, pantry: Path | None, data_folder: Path | None) -> None:
    """What is known of an ingredient, coffee origin, compound or aroma group.

    \b
    Examples:
      pairing show green-cardamom
      pairing show "mandarin peel"
      pairing show burundi
      pairing show linalool
      pairing show roast-pyrazines
    """
    catalog = open_catalog(pantry, data_folder).catalog
    print_report(_describe(catalog, name, top), how)


def _describe(catalog: Catalog, name: str, top: int) -> Report:
    try:
        return _show_form(catalog, catalog.form(name), top)
    except UnknownNameError as err:
        if normalise(name) in SHARED_NAMES:
            raise
        first = err
    from pairing.safety import assess as safety

    rule = safety.rule_for(name)
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
        raise first from None


def oav_span(low: float, high: float) -> str:
    """A range of OAVs as people read it."""
    return f"{number(low, 2)}-{number(high, 2)}"


def citations(found: list[Source]) -> Bullets:
    """The sources of a report."""
    return Bullets("Sources", [f"{s.source_id}: {s.citation}" for s in found])


def source_records(found: list[Source]) -> list[dict[str, str]]:
    """The sources for JSON."""
    return [
        {"source_id": s.source_id, "citation": s.citation, "year": s.year, "url": s.url}
        for s in found
    ]


def _show_form(catalog: Catalog, form: Form, top: int) -> Report:
    from pairing.aroma import odour as aroma
    from pairing.safety import assess as safety

    ingredient = catalog.ingredients[form.ingredient_id]
    usual = aroma.usual_dose(form)
    per_l = aroma.drink_g_per_l(usual or 10.0)
    odours = aroma.form_odours(catalog, form, per_l)
    hazards = safety.hazards_for(form.ingredient_id, form.form, ingredient.kind)
    allergens = safety.allergens_for(form.ingredient_id)
    evidence = bib.evidence_word(catalog, form)
    groups: dict[str, float] = {}
    for o in odours:
        groups[o.group_id] = groups.get(o.group_id, 0.0) + o.oav
    ranked = [g for g in sorted(groups, key=lambda g: -groups[g]) if groups[g] >= 1][:5]
    shown = [o for o in odours if o.oav > 0][:top]
    table = Table(
        "Key odorants (OAV in a 300 ml drink with 20 g of syrup at the usual dose)",
        ["odorant", "smells of", "mg/kg", "OAV", "OAV range"],
        [
            [
                catalog.compounds[o.compound_id].name + ("" if o.threshold_measured else " *"),
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
        facts.append(
            f"usual dose {number(form.dose_low_g_per_kg)}-{number(form.dose_high_g_per_kg)} g per "
            f"kg of finished syrup; {form.method.replace('-', ' ')}{minutes}"
        )
    if form.unit_mass_g:
        facts.append(f"{form.unit_name}: about {number(form.unit_mass_g)} g")
    if form.brix_low is not None and form.acid_percent_low is not None:
        facts.append(
            f"juice {number(form.brix_low)}-{number(form.brix_high)} °Bx, acid "
            f"{number(form.acid_percent_low)}-{number(form.acid_percent_high)} % as citric"
        )
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
    rule = safety.rule_for(form.ingredient_id)
    if rule is not None and ingredient.regulated == "yes":
        blocks.insert(0, Text(f"{rule.level.upper()}: {rule.text}"))
    blocks += [Bullets("", facts)]
    if ranked:
        blocks.append(
            Bullets(
                "Leading aroma groups",
                [f"{catalog.groups[g].name}: {catalog.groups[g].words}" for g in ranked],
            )
        )
    if shown:
        blocks.append(table)
        if not all(o.threshold_measured for o in shown):
            blocks.append(Text("* threshold estimated from measured members of the same group"))
    silent = len(odours) - sum(o.oav > 0 for o in odours)
    if silent:
        blocks.append(Text(f"{silent} more compounds have an amount but no known threshold."))
    cautions = [f"{h.severity}: {h.text} [{h.who}]" for h in hazards]
    if allergens:
        cautions.insert(0, "allergen: " + ", ".join(a.word for a in allergens))
    if cautions:
        blocks.append(Bullets("Cautions", cautions))
    blocks.append(citations(found))
    document = {
        "id": form.form_id,
        "ingredient_id": form.ingredient_id,
        "label": form.label,
        "kind": ingredient.kind,
        "form": form.form,
        "botanical_name": ingredient.botanical_name,
        "aliases": list(ingredient.aliases),
        "season_months": list(ingredient.season_months),
        "regulated": ingredient.regulated,
        "evidence": evidence,
        "dose_g_per_kg_syrup": [form.dose_low_g_per_kg, form.dose_high_g_per_kg],
        "method": form.method,
        "minutes": [form.minutes_low, form.minutes_high],
        "aroma_groups": ranked,
        "odorants": [
            {
                "compound_id": o.compound_id,
                "group_id": o.group_id,
                "mg_per_kg": [o.mg_per_kg_low, o.mg_per_kg_high],
                "oav": o.oav,
                "oav_range": [o.oav_low, o.oav_high],
                "threshold": "measured" if o.threshold_measured else "estimated",
                "sources": list(o.source_ids),
            }
            for o in shown
        ],
        "cautions": [
            {"severity": h.severity, "who": h.who, "text": h.text, "source": h.source_id}
            for h in hazards
        ],
        "allergens": [a.word for a in allergens],
        "sources": source_records(found),
    }
    return Report(document, blocks, table, "show")


def _show_rule(catalog: Catalog, rule: Any) -> Report:
    lines = [f"{h.severity}: {h.text} [{h.who}]" for h in rule.hazards]
    blocks: list[Text | Bullets | Table] = [Text(f"{rule.level.upper()}: {rule.text}")]
    if lines:
        blocks.append(Bullets("Cautions", lines))
    document = {
        "rule": {"level": rule.level, "text": rule.text},
        "cautions": [
            {"severity": h.severity, "who": h.who, "text": h.text, "source": h.source_id}
            for h in rule.hazards
        ],
    }
    data = Table(
        "",
        ["level", "text"],
        [[rule.level, rule.text], *[[h.severity, h.text] for h in rule.hazards]],
    )
    return Report(document, blocks, data, "show")


def _show_origin(catalog: Catalog, origin: Origin, top: int) -> Report:
    from pairing.affinity import reasons
    from pairing.aroma import coffee
    from pairing.aroma import odour as aroma

    base = coffee.base(catalog, coffee.describe(catalog, origin.origin_id))
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
                "in the cup: " + ", ".join(origin.cup_notes),
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
        "sources": source_records(found),
    }
    return Report(document, blocks, table, "show")


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
    return Report(document, blocks, table, "show")


def _show_compound(catalog: Catalog, compound: Compound) -> Report:
    rows = catalog.thresholds.get(compound.compound_id, ())
    thresholds = Table(
        "Thresholds in water",
        ["low, ug/l", "high, ug/l", "kind", "evidence", "source"],
        [
            [number(r.low_ug_per_l), number(r.high_ug_per_l), r.kind, r.evidence, r.source_id]
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
    blocks: list[Text | Bullets | Table] = [
        Text(f"{compound.name} ({compound.compound_id})"),
        Bullets("", facts),
        thresholds if rows else Text("No threshold in water is known: it counts as silent."),
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
            {"low": r.low_ug_per_l, "high": r.high_ug_per_l, "kind": r.kind, "source": r.source_id}
            for r in rows
        ],
        "found_in": where,
        "sources": source_records(found),
    }
    return Report(document, blocks, thresholds, "show")


# --- sources ------------------------------------------------------------------------------


@click.command()
@click.argument("name", required=False)
@click.option(
    "--audit",
    "audited",
    is_flag=True,
    help="Audit the data instead: how much is read, what is thin, what disagrees.",
)
@click.option("--all", "every", is_flag=True, help="The whole audit, not the worst of it.")
@format_option("bibtex")
@pantry_option
def sources(
    name: str | None,
    audited: bool,
    every: bool,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """Where the numbers come from: all sources, or those of one ingredient or compound.

    \b
    Examples:
      pairing sources green-cardamom
      pairing sources linalool --format bibtex
      pairing sources --audit
    """
    if every and not audited:
        raise PairingError("--all goes with --audit; without it every source is listed")
    catalog = open_catalog(pantry, data_folder).catalog
    if audited:
        if how == "bibtex":
            raise PairingError("an audit has no BibTeX; give table, json, csv or markdown")
        print_report(_audit_report(bib.audit(catalog), every), how)
        return
    if name is None:
        found = bib.bibliography(catalog)
    else:
        try:
            found = bib.of_form(catalog, catalog.form(name))
        except UnknownNameError as err:
            try:
                found = bib.of_compound(catalog, catalog.compound(name))
            except UnknownNameError:
                raise err from None
    table = Table(
        "",
        ["source", "year", "kind", "licence", "citation"],
        [[s.source_id, s.year, s.kind, s.licence, s.citation] for s in found],
    )
    document = {
        "sources": [
            {**record, "kind": s.kind, "licence": s.licence}
            for record, s in zip(source_records(found), found, strict=True)
        ]
    }
    report = Report(document, [table], table, "sources", {"bibtex": bib.bibtex(found)})
    print_report(report, how)


WORST, FIRST = 20, 10  # how much of an audit the short print shows


def _audit_report(found: bib.Audit, every: bool) -> Report:
    words = ("read", "computed", "memory")

    def shares(counts: dict[str, int]) -> list[Any]:
        total = sum(counts.values())
        return [total, *(f"{100 * counts.get(w, 0) / max(total, 1):.0f} %" for w in words)]

    rows, *parts = shares(found.total)
    said = ", ".join(f"{part} {word}" for part, word in zip(parts, words, strict=True))
    columns = ["rows", *words]
    worst = found.least_read if every else found.least_read[:WORST]
    tables = Table(
        "Evidence by table", ["table", *columns], [[t, *shares(c)] for t, c in found.tables.items()]
    )
    ingredients = Table(
        f"Evidence by ingredient (composition rows), least read first: {len(worst)} of "
        f"{len(found.ingredients)}",
        ["ingredient", *columns],
        [[i, *shares(found.ingredients[i])] for i in worst],
    )
    total = Text(f"{rows:,} rows with evidence in all, fitted coefficients not counted: {said}.")
    blocks: list[Text | Bullets | Table] = [total, tables, ingredients]
    for title, items in (
        ("Ids that point nowhere, and rows that nothing uses", found.orphans),
        (
            "Oils whose best estimates do not add up to 60-115 %",
            [f"{k}: {v:g} %" for k, v in found.oil_sums.items()],
        ),
        ("A source ten times away from every other", found.outliers),
        ("Thresholds that disagree by more than ten times", found.thresholds),
        ("Ingredients with thin evidence", found.thin),
    ):
        shown = items if every else items[:FIRST]
        cut = f", the first {len(shown)} here" if len(shown) < len(items) else ""
        blocks.append(Bullets(f"{title}: {len(items)}{cut}", shown))
    if not every:
        blocks.append(Text("--all shows the rest."))
    return Report(found.as_dict(), blocks, tables, "sources")
