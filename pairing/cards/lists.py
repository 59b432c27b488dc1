"""Documents and short prints of what the catalogue holds: lists, bibliography, audit."""

from __future__ import annotations

from typing import Any

from pairing.cards import vocabulary
from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.errors import NothingFoundError, UnknownNameError
from pairing.evidence import sources as bib
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Compound, Ingredient, Source
from pairing.evidence.words import OTHER_USES

__all__ = [
    "WHATS",
    "audit",
    "bibliography",
    "citations",
    "listing",
    "season_word",
]

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
WHATS = ("ingredients", "coffees", "compounds", "groups", "sweeteners", "brews", "glasses",
         "styles", "milks", "mixers", "extras", "powders")  # fmt: skip


def listing(
    catalog: Catalog, what: str, kind: str | None, month: int | None, group: str | None
) -> Report:
    """One list of :data:`WHATS`, filtered by kind, month and aroma group.

    Parameters
    ----------
    catalog : Catalog
    what : str
        One of :data:`WHATS`.
    kind : str, optional
        Kind of ingredient.
    month : int, optional
        1 to 12: what is in season.
    group : str, optional
        Aroma group.

    Returns
    -------
    Report

    Raises
    ------
    NothingFoundError
        When nothing fits.
    UnknownNameError
        For an unknown kind or group.
    """
    columns, rows = LISTS[what](catalog, kind, month, group)
    if not rows:
        raise NothingFoundError(f"no {what} fit; widen the filter")
    table = Table("", columns, rows)
    document = {"what": what, what: [_record(catalog, what, row[0]) for row in rows]}
    count = Text(f"{len(rows)} {what if len(rows) != 1 else what.removesuffix('s')}")
    return Report(document, [table, count], table, "list", schema=f"list-{what}")


def _record(catalog: Catalog, what: str, ident: str) -> dict[str, Any]:
    """One line of a list, for JSON."""
    if what == "ingredients":
        i = catalog.ingredients[ident]
        return {
            "id": ident,
            "name": i.name,
            "kind": i.kind,
            "forms": [{"id": f.form_id, "form": f.form} for f in catalog.forms_of.get(ident, ())],
            "season_months": list(i.season_months),
            "caution": _caution_word(catalog, i),
        }
    if what == "coffees":
        o = catalog.origins[ident]
        return {
            "id": ident,
            "name": o.name,
            "usual_species": o.usual_species,
            "usual_process": o.usual_process,
            "acidity": o.acidity,
            "body": o.body,
            "cup_notes": list(o.cup_notes),
        }
    if what == "compounds":
        c = catalog.compounds[ident]
        return {
            "id": ident,
            "name": c.name,
            "cas": c.cas,
            "group_id": c.group_id,
            "threshold_range_ug_per_l": vocabulary.span(*threshold_span(catalog, c)),
            "odour": list(c.odour),
        }
    if what == "groups":
        g = catalog.groups[ident]
        held = sum(c.group_id == ident for c in catalog.compounds.values())
        return {"id": ident, "name": g.name, "compounds": held, "words": g.words}
    if what == "sweeteners":
        s = catalog.sweeteners[ident]
        return {
            "id": ident,
            "name": s.name,
            "solids_percent": 100.0 - s.water_percent,
            "sweetness_relative": s.sweetness_relative,
            "energy_kcal_per_100_g": s.kcal_per_100g,
            "colour": s.colour,
        }
    if what == "brews":
        b = catalog.brews[ident]
        return {
            "id": ident,
            "name": b.name,
            "coffee_g": b.dose_g,
            "volume_ml": b.volume_ml,
            "tds_percent": b.tds_percent,
            "caffeine_range_mg": vocabulary.span(b.caffeine_low_mg, b.caffeine_high_mg),
            "temperature_c": b.temperature_c,
        }
    if what == "styles":
        style = catalog.styles[ident]
        return {
            "id": ident,
            "name": style.phrase,
            "build": style.build,
            "filler": style.mixer_id or style.filler,
            "volume_ml": style.volume_ml,
            "temperature_c": style.temperature_c,
        }
    if what == "milks":
        milk = catalog.milks[ident]
        return {
            "id": ident,
            "name": milk.name,
            "fat_percent": milk.fat_percent,
            "sugar_percent": milk.sugar_percent,
            "vegan": milk.vegan,
            "allergen_id": milk.allergen_id,
        }
    if what == "mixers":
        mixer = catalog.mixers[ident]
        return {
            "id": ident,
            "name": mixer.name,
            "sugar_percent": mixer.sugar_percent,
            "acid_percent_as_citric": mixer.acid_percent,
            "co2_volumes": mixer.co2_volumes,
        }
    if what == "extras":
        extra = catalog.extras[ident]
        return {
            "id": ident,
            "name": extra.name,
            "kind": extra.kind,
            "place": extra.place,
            "alcohol_percent": extra.alcohol_percent,
            "sugar_percent": extra.sugar_percent,
            "usual_g": extra.usual_g,
            "allergens": list(extra.allergens),
            "allergens_known": extra.allergens_known,
            "vegan": extra.vegan,
        }
    if what == "powders":
        powder = catalog.powders[ident]
        return {
            "id": powder.powder_id,
            "name": powder.name,
            "acid_percent_as_citric": powder.acid_as_citric_percent,
            "e_number": powder.e_number or None,
            "dose_range_g_per_kg": vocabulary.span(
                powder.dose_low_g_per_kg, powder.dose_high_g_per_kg
            ),
            "use": powder.use,
            "published_use": powder.published_use,
            "caution": powder.caution,
        }
    glass = catalog.glasses[ident]
    return {
        "id": ident,
        "name": glass.name,
        "volume_ml": glass.volume_ml,
        "heat_resistant": glass.heat_resistant,
    }


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
                ", ".join(f.form for f in forms if f.form not in OTHER_USES),
                season_word(ingredient.season_months),
                _caution_word(catalog, ingredient),
            ]
        )
    return ["ingredient", "kind", "forms", "season", "caution"], rows


def _caution_word(catalog: Catalog, ingredient: Ingredient) -> str:
    """The gravest caution on file: ``not suggested``, ``limit``, ``allergen`` or nothing."""
    from pairing.safety.allergens import allergens_for
    from pairing.safety.answers import hazards_for
    from pairing.safety.plants import identity

    if ingredient.regulated == "yes":
        return "not suggested"
    known = identity(catalog, ingredient.ingredient_id)
    if not known.assessed:
        return "not assessed"
    if known.own and ingredient.ingredient_id not in catalog.safety.stated:
        return "allergens not known"
    ids = (ingredient.ingredient_id, *known.plants)
    stated = catalog.safety.stated.get(ingredient.ingredient_id)
    if any(allergens_for(catalog, i) for i in ids) or (stated and stated.allergens):
        return "allergen"
    hazards = [h for i in ids for h in hazards_for(catalog, i, "", ingredient.kind)]
    return "limit" if any(h.severity in ("stop", "limit") for h in hazards) else ""


def _loud_in(catalog: Catalog, group_id: str) -> set[str]:
    """Forms in which a group is one of the three loudest in the glass at the usual dose."""
    from pairing.aroma.served import led_by

    return {
        form.form_id
        for form in catalog.forms.values()
        if group_id in [g for g, _ in led_by(catalog, form, 3)]
    }


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


def _styles(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    rows = [
        [s.style_id, s.phrase, s.mixer_id or s.filler, s.volume_ml] for s in catalog.styles.values()
    ]
    return ["style", "makes", "filled up with", "ml"], rows


def _milks(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    rows = [
        [m.milk_id, m.name, m.fat_percent, m.sugar_percent, "yes" if m.vegan else "no"]
        for m in catalog.milks.values()
    ]
    return ["milk", "name", "fat, %", "sugar, %", "vegan"], rows


def _mixers(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    rows = [
        [m.mixer_id, m.name, m.sugar_percent, m.acid_percent, m.co2_volumes]
        for m in catalog.mixers.values()
    ]
    return ["mixer", "name", "sugar, %", "acid as citric, %", "volumes of CO2"], rows


def _extras(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    rows = [
        [x.extra_id, x.name, x.place, x.alcohol_percent, x.sugar_percent, number(x.usual_g)]
        for x in catalog.extras.values()
    ]
    return ["extra", "name", "goes", "alcohol, % vol", "sugar, %", "usual, g"], rows


def _powders(catalog: Catalog, *_: Any) -> tuple[list[str], list[list[Any]]]:
    rows = [
        [
            p.powder_id,
            p.name,
            f"E {p.e_number}" if p.e_number else "",
            f"{number(p.dose_low_g_per_kg)}-{number(p.dose_high_g_per_kg)}",
            p.use,
        ]
        for p in catalog.powders.values()
    ]
    return ["powder", "name", "EU, UK", "g/kg of syrup", "use"], rows


LISTS = {
    "ingredients": _ingredients,
    "coffees": _coffees,
    "compounds": _compounds,
    "groups": _groups,
    "sweeteners": _sweeteners,
    "brews": _brews,
    "glasses": _glasses,
    "styles": _styles,
    "milks": _milks,
    "mixers": _mixers,
    "extras": _extras,
    "powders": _powders,
}


def season_word(months: tuple[int, ...]) -> str:
    """Months as a span, such as ``Oct-Jan``; ``all year`` when empty.

    Parameters
    ----------
    months : tuple of int
        1 to 12; a season may go round the turn of the year.

    Returns
    -------
    str
    """
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


def citations(found: list[Source]) -> Bullets:
    """The sources of a report.

    Parameters
    ----------
    found : list of Source

    Returns
    -------
    Bullets
    """
    return Bullets("Sources", [f"{s.source_id}: {s.citation}" for s in found])


def bibliography(found: list[Source]) -> Report:
    """Sources with their citations; BibTeX as an extra format.

    Parameters
    ----------
    found : list of Source

    Returns
    -------
    Report
    """
    table = Table(
        "",
        ["source", "year", "kind", "licence", "citation"],
        [[s.source_id, s.year, s.kind, s.licence, s.citation] for s in found],
    )
    document = {"sources": [vocabulary.source(s) for s in found]}
    return Report(document, [table], table, "sources", {"bibtex": bib.bibtex(found)})


WORST, FIRST = 20, 10  # how much of an audit the short print shows


def audit(found: bib.Audit, every: bool) -> Report:
    """The audit of the data: its total first, then the worst of it, or all.

    Parameters
    ----------
    found : Audit
    every : bool
        All rows and ingredients; otherwise the first of each.

    Returns
    -------
    Report
    """
    words = ("read", "second-hand", "computed", "memory")

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
    total = Text(
        f"{rows:,} rows with evidence in all, fitted coefficients and counts of cup notes left "
        f"out: {said}."
    )
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
    return Report(found.as_dict(), blocks, tables, "sources", schema="sources-audit")
