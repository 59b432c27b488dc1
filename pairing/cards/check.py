"""A colleague's answer about one ingredient, a pair, or what to use instead: thirty lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pairing.affinity import pool as pools
from pairing.affinity import reasons
from pairing.affinity.practice import practice
from pairing.affinity.search import GAINS, SERVED_PAGES, Single, lawful
from pairing.affinity.verdict import Check, Stand, check
from pairing.aroma import odour as aroma
from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.cup import said
from pairing.aroma.serve import serve_for
from pairing.cards import vocabulary
from pairing.cards.report import Bullets, Report, Table, Text, number
from pairing.cards.suggest import cautions, coffee_flags, may_be_served, watch
from pairing.errors import PairingError
from pairing.evidence import sources as bib
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.words import within
from pairing.safety.allergens import is_unstated
from pairing.safety.plants import identity
from pairing.syrup.dose import Dose, dose_for

__all__ = ["check_report", "instead_report", "pair_report"]

MOST_WATCHED = 3
MEET_WORDS = {"firm": "quite sure", "fair": "fairly sure", "rough": "a rough guess"}


def _because(found: Check) -> str:
    """The sentence of a verdict, from the same total."""
    s = found.single
    if found.verdict == "is not known":
        return "the drinks counted here list aromatic partners only"
    if s.pages == 0:
        if s.this_coffee >= GAINS:
            return "nobody is known to serve it with coffee, but this cup speaks for it"
        return "nobody is known to serve it with coffee, and no cup speaks for it"
    many = s.practice >= 2.0 and s.pages >= SERVED_PAGES
    practice = "people put it into coffee" if many else "few put it into coffee"
    if abs(s.this_coffee) < GAINS:
        return practice
    more = s.this_coffee > 0
    word = "and" if many == more else "but" if more else "though"
    return (
        f"{practice}, {word} tasters find it in this one {'more' if more else 'less'} than in most"
    )


def _sentence(catalog: Catalog, base: CoffeeBase, found: Check) -> str:
    """The verdict in one sentence: what is true of most coffees is not said of this one alone."""
    label = catalog.forms[found.form_id].label
    style = f", {found.style.replace('-', ' ')}" if found.style else ""
    coffee = f"{base.coffee.words}{style}"
    tail = f"{_because(found)} ({MEET_WORDS[found.sure]})."
    if not found.verdict.startswith("suits") or abs(found.single.this_coffee) >= GAINS:
        return f"{label} {found.verdict} with {coffee}: {tail}"
    most = found.verdict.replace("suits it", "suits most coffees")
    if found.moved is None or not found.moved.words:
        return f"{label} {most}; no cup names it in {coffee}: {tail}"
    return f"{label} {most}; tasters find it in {coffee} neither more nor less: {tail}"


def _places(found: Check) -> str:
    if not found.rank:
        return ""
    where = (
        f"place {found.rank}"
        if found.rank == found.last
        else f"places {found.rank} to {found.last} (a tie)"
    )
    return f"{where} of {found.of} in its kind ({found.kind})"


def _dose(catalog: Catalog, form: Form, base: CoffeeBase, style: str) -> Dose:
    """Its dose in the drink; where no drink is named, an iced one."""
    known = style if style in catalog.styles else "iced"
    return dose_for(catalog, form, base, serve_for(catalog, known, base.brew))


def _dose_words(catalog: Catalog, form: Form, base: CoffeeBase, style: str) -> str:
    dose = _dose(catalog, form, base, style)
    whose = "bars use" if identity(catalog, form.ingredient_id).assessed else "your own window"
    usual = (
        f" ({whose} {number(dose.practice_low)}-{number(dose.practice_high)})"
        if dose.practice_low is not None
        else ""
    )
    drink = style.replace("-", " ") if style in catalog.styles else "iced"
    return f"{form.label}: start at {number(dose.g_per_kg, 2)} g per kg of syrup, {drink}{usual}"


def _cited(catalog: Catalog, form: Form, more: Sequence[str]) -> list[Any]:
    found = {s.source_id: s for s in bib.of_form(catalog, form)}
    found |= {i: catalog.sources[i] for i in more if i in catalog.sources}
    return list(found.values())


def check_report(
    catalog: Catalog,
    base: CoffeeBase,
    found: Check,
    *,
    sources: bool = False,
    heard: Sequence[str] = (),
    kept: str = "",
) -> Report:
    """Does this ingredient suit this coffee.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase
    found : Check
    sources : bool
        Whether to print the sources.
    heard : sequence of str
        How names that stand for two things were read.
    kept : str
        Options that the next command needs too, such as ``" --pantry own.toml"``.

    Returns
    -------
    Report
    """
    form, s = catalog.forms[found.form_id], found.single
    own = found.ingredient_id
    described = bool(pools.this_coffee(catalog, base))
    traditions = reasons.traditions_of(catalog, own)
    care = watch(catalog, [found.form_id])
    lines = [*(c for c in care if c.startswith("ALLERGEN"))]
    lines += [
        f"in the cup: {said(catalog, base.coffee).line}",
        f"practice: {reasons.practice_words(catalog, own, found.style)}"
        + (f"; {_places(found)}" if _places(found) else ""),
        f"this coffee: {reasons.cup_words(found.moved, described)}",
    ]
    if traditions:
        first = {t.name or t.region: t for t in reversed(traditions)}  # one line a drink
        who = [reasons.tradition_words(t) for t in reversed(first.values())]
        lines.append(f"who does it: {'; '.join(who[:4])}")
    if found.partners:
        beside = ", ".join(
            f"{reasons.item_words(catalog, item)} ({n})" for item, n in found.partners[:5]
        )
        lines.append(f"stands beside, in so many drinks: {beside}")
    lines.append(_dose_words(catalog, form, base, found.style))
    if found.better:
        lines.append(
            f"better placed in its kind: {', '.join(_name(catalog, b) for b in found.better)}"
        )
    lines += [f"watch: {c}" for c in care if not c.startswith("ALLERGEN")][:MOST_WATCHED]
    cited = _cited(catalog, form, [*(t.source_id for t in traditions), "coffee-drinks-2026"])
    blocks: list[Text | Bullets | Table] = [
        *(Text(text) for text in vocabulary.not_assessed(catalog, [form])),
        *(Text(line) for line in heard),
        Text(_sentence(catalog, base, found)),
        Bullets("", lines),
    ]
    if may_be_served(catalog, [found.form_id], base, found.style):
        then = f" --style {found.style}" if found.style in catalog.styles else ""
        blocks.append(
            Text(f"Next: pairing formula {found.form_id}{coffee_flags(base)}{then}{kept}")
        )
    if sources:
        blocks.append(Bullets("Sources", [f"{c.source_id}: {c.citation}" for c in cited]))
    dose = _dose(catalog, form, base, found.style)
    document = {
        "not_known": vocabulary.not_assessed(catalog, [form]),
        **vocabulary.ingredient(catalog, form),
        "heard": list(heard),
        "coffee": vocabulary.coffee(base),
        "style": found.style,
        "model": vocabulary.model_name(catalog),
        "verdict": found.verdict,
        "because": _because(found),
        "sure": found.sure,
        "score": s.score,
        "practice": s.practice,
        "this_coffee": s.this_coffee,
        "known_from_cups": found.moved is not None,
        "cup_words": list(found.moved.words) if found.moved else [],
        "cups": found.moved.n_cups if found.moved else 0,
        "drinks": s.drinks,
        "pages": s.pages,
        "rank": found.rank or None,
        "last": found.last or None,
        "of": found.of,
        "partners": [{"item": i, "drinks": n} for i, n in found.partners],
        "better": [{"id": b.ingredient_id, "score": b.score} for b in found.better],
        "traditions": [
            vocabulary.tradition(t)
            for t in traditions
        ],
        "allergens": reasons.allergen_words(catalog, [own]),
        "cautions": cautions(care),
        "dose_g_per_kg": dose.g_per_kg,
        "bar_dose_range_g_per_kg": vocabulary.span(dose.practice_low, dose.practice_high),
        "dose_bound": dose.bound,
        "sources": [vocabulary.source(x) for x in cited],
    }  # fmt: skip
    data = Table(
        "",
        ["not_known", "id", "verdict", "score", "practice", "this_coffee", "drinks",
         "dose_g_per_kg"],
        [[" ".join(vocabulary.not_assessed(catalog, [form])), found.form_id, found.verdict, s.score,
          s.practice, s.this_coffee, s.drinks, dose.g_per_kg]],
    )  # fmt: skip
    return Report(document, blocks, data, "check")


def _name(catalog: Catalog, s: Single) -> str:
    return within(reasons.short(catalog.forms[s.form_id]))


def pair_report(
    catalog: Catalog,
    one: str,
    other: str,
    *,
    sources: bool = False,
    heard: Sequence[str] = (),
    base: CoffeeBase | None = None,
    style: str = "",
) -> Report:
    """Do two ingredients go together.

    Parameters
    ----------
    catalog : Catalog
    one, other : str
        Names.
    sources : bool
    heard : sequence of str
        How names that stand for two things were read.
    base : CoffeeBase, optional
        The coffee they go into; each of them is judged with it too.
    style : str
        Style of the drink; any with an empty one.

    Returns
    -------
    Report

    Raises
    ------
    UnknownNameError
    PairingError
        When both are one thing, or one is regulated.
    """
    a, b = (catalog.forms[lawful(catalog, n)] for n in (one, other))
    if a is b:
        raise PairingError(f"{one} and {other} are the same thing; name two")
    pair = reasons.pair_of(catalog, a.ingredient_id, b.ingredient_id)
    care = watch(catalog, [a.form_id, b.form_id])
    known = practice(catalog)
    lines = [c for c in care if c.startswith("ALLERGEN")]
    lines.append(
        f"in coffee drinks: together in {pair.drinks} of {len(known.drinks.numbers)} published; "
        f"chance would give {pair.expected:.1f}"
    )
    if pair.traditions:
        lines.append(
            "tradition: " + "; ".join(reasons.tradition_words(t) for t in pair.traditions[:4])
        )
    if pair.mixes:
        lines.append(f"known mixes that hold both: {', '.join(pair.mixes[:4])}")
    recipes = (
        "more often than chance" if pair.recipes >= 0.2
        else "about as often as chance" if pair.recipes >= -0.2 or not pair.counted
        else "less often than chance, which says little of drinks"
    )  # fmt: skip
    lines.append(
        f"in sweet recipes: {recipes}" if pair.counted
        else "in sweet recipes: no data" if pair.recipes < 0.2
        else "in sweet recipes: no data; a guess from what is like them is favourable"
    )  # fmt: skip
    alike = (
        "alike" if pair.likeness >= 0.7 else "a contrast" if pair.likeness < 0.3 else "partly alike"
    )
    lines.append(f"aroma: {alike} (likeness and contrast both make good partners)")
    lines += [f"watch: {c}" for c in care if not c.startswith("ALLERGEN")][:MOST_WATCHED]
    with_coffee = []
    if base is not None:
        verdicts = [check(catalog, n, base, style=style) for n in (one, other)]
        with_coffee = [
            f"{within(reasons.short(catalog.forms[v.form_id]))} {v.verdict} ({_because(v)})"
            for v in verdicts
        ]
    cited = _cited(catalog, a, [t.source_id for t in pair.traditions]) + bib.of_form(catalog, b)
    cited = list({c.source_id: c for c in cited}.values())
    open_ = vocabulary.not_assessed(catalog, [a, b])
    blocks: list[Text | Bullets | Table] = [
        *(Text(text) for text in open_),
        *(Text(line) for line in heard),
        Text(f"{a.label} and {within(b.label)} {pair.verdict}."),
        Bullets("", lines),
    ]
    if base is not None:
        drink = f", {style.replace('-', ' ')}" if style else ""
        blocks.append(Bullets(f"With {base.coffee.words}{drink}", with_coffee))
    if sources:
        blocks.append(Bullets("Sources", [f"{c.source_id}: {c.citation}" for c in cited]))
    document = {
        "not_known": open_,
        "ingredients": [vocabulary.ingredient(catalog, f) for f in (a, b)],
        "heard": list(heard),
        "verdict": pair.verdict,
        "score": pair.score,
        "drinks": pair.drinks,
        "expected": pair.expected,
        "recipes": pair.recipes if pair.counted else None,
        "likeness": pair.likeness,
        "traditions": [t.tradition_id for t in pair.traditions],
        "mixes": list(pair.mixes),
        "coffee": vocabulary.coffee(base) if base is not None else None,
        "with_coffee": with_coffee,
        "allergens": reasons.allergen_words(catalog, [a.ingredient_id, b.ingredient_id]),
        "cautions": cautions(care),
        "sources": [vocabulary.source(x) for x in cited],
    }
    data = Table(
        "",
        ["not_known", "a", "b", "verdict", "score", "drinks", "expected"],
        [
            [
                " ".join(open_),
                a.form_id,
                b.form_id,
                pair.verdict,
                pair.score,
                pair.drinks,
                pair.expected,
            ]
        ],
    )
    return Report(document, blocks, data, "check", schema="check-pair")


def instead_report(
    catalog: Catalog,
    base: CoffeeBase,
    name: str,
    found: Sequence[Stand],
    style: str,
    heard: Sequence[str] = (),
) -> Report:
    """What does the same job, how much of it, and which allergens change.

    Parameters
    ----------
    catalog : Catalog
    base : CoffeeBase
    name : str
        What is to be replaced.
    found : sequence of Stand
    style : str
    heard : sequence of str

    Returns
    -------
    Report
    """
    own = catalog.forms[lawful(catalog, name)]
    form = pools.best_form(catalog, own.ingredient_id, style) if own.is_default else own
    usual = aroma.usual_dose(form)
    before = set(reasons.allergen_words(catalog, [own.ingredient_id]))
    unstated = is_unstated(catalog, own.ingredient_id)
    same = "no telling: not known" if unstated else "the same by nature"
    before -= {w for w in before if w.startswith("NOT KNOWN")}
    rows, records = [], []
    for stand in found:
        other = catalog.forms[stand.single.form_id]
        dose = aroma.usual_dose(other)
        amount = 10.0 * dose / usual if usual and dose else None
        after = set(reasons.allergen_words(catalog, [other.ingredient_id]))
        change = ["NOT KNOWN"] if is_unstated(catalog, other.ingredient_id) else []
        change += [f"ADDS {w}" for w in sorted(after - before)]
        change += [f"drops {w}" for w in sorted(before - after)] if not change else []
        rows.append(
            [
                reasons.short(other),
                f"{number(amount, 2)} g" if amount else "not known",
                "alike" if stand.likeness >= 0.7 else "near" if stand.likeness >= 0.4 else "other",
                stand.verdict.removeprefix("is "),
                ", ".join(change) or same,
            ]
        )
        records.append(
            {
                **vocabulary.ingredient(catalog, other),
                "instead_of_10_g": amount,
                "likeness": stand.likeness,
                "verdict": stand.verdict,
                "allergens_added": sorted(after - before),
                "allergens_gone": sorted(before - after),
            }
        )
    text = f"Instead of {within(form.label)} with {base.coffee.words}"
    columns = ["use", "for 10 g", "aroma", "with this coffee", "allergens"]
    table = Table("", columns, rows)
    open_ = vocabulary.not_assessed(
        catalog, [form, *(catalog.forms[s.single.form_id] for s in found)]
    )
    blocks: list[Text | Bullets | Table] = [
        *(Text(line) for line in open_),
        *(Text(line) for line in heard),
        Text(f"{text}:"),
        table,
        Text("Amounts follow the middle of usual bar doses (common practice, no source); taste."),
    ]
    document = {
        "not_known": open_,
        "instead_of": vocabulary.ingredient(catalog, form),
        "heard": list(heard),
        "coffee": vocabulary.coffee(base),
        "found": records,
    }
    first = [[line, "", "", "", ""] for line in open_]
    return Report(document, blocks, Table("", columns, [*first, *rows]), "instead")
