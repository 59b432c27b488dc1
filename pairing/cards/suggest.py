"""Suggestions on paper: three shelves, ranked blends, and what to watch."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from typing import Any

from pairing.affinity import pool as pools
from pairing.affinity import reasons
from pairing.affinity.practice import practice
from pairing.affinity.search import Blend, Shelves, Single
from pairing.aroma.coffee import CoffeeBase
from pairing.aroma.cup import said as said_of
from pairing.aroma.description import GESHA_TASTED_AS
from pairing.cards import vocabulary
from pairing.cards.report import Bullets, Report, Table, Text
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.safety.answers import hazards_for

__all__ = ["coffee_flags", "may_be_served", "report", "watch"]

ON_A_SHELF = 5  # of each shelf, in the short print
SHORT_DETAILS = 1  # blends whose reasons the short print gives
SHELF_WORDS = {
    "this": "within what is right for this coffee",
    "most": "within what is good with most coffees",
    "untried": "with one partner that nobody is known to serve",
}
WATCH_WORDS = {
    "dose": "weigh it, the dose has a limit",
    "toxic": "poisonous in the wrong part or amount",
    "look-alike": "has a poisonous or worthless look-alike: buy it by its botanical name",
    "interaction": "interacts with medicines",
    "allergy": "some people react to it",
}


def may_be_served(catalog: Catalog, form_ids: Sequence[str], base: CoffeeBase, style: str) -> bool:
    """Whether the formula of a blend ends in no stop: no other is ever a next step.

    The doses of shipped ingredients are held below every stop (tests/reference); a pantry may
    bring a window, an analysis or a law of its own.

    Parameters
    ----------
    catalog : Catalog
    form_ids : sequence of str
    base : CoffeeBase
    style : str
        Any word where it is no style of a drink.

    Returns
    -------
    bool
    """
    if not catalog.overlay:
        return True
    from pairing.syrup import formula

    try:
        drink = style if style in catalog.styles else "iced"
        return not formula.make(catalog, tuple(form_ids), base, style=drink).stops
    except PairingError:
        return False


def names_of(catalog: Catalog, form_ids: Sequence[str]) -> str:
    """A blend in words: ``Mandarin peel + Green cardamom``."""
    return " + ".join(reasons.short(catalog.forms[f]) for f in form_ids)


def watch(catalog: Catalog, form_ids: Sequence[str]) -> list[str]:
    """What to watch in a drink, allergens first and never cut.

    Parameters
    ----------
    catalog : Catalog
    form_ids : sequence of str

    Returns
    -------
    list of str
    """
    owners = [catalog.forms[f].ingredient_id for f in form_ids]
    out = [f"ALLERGEN: {word}" for word in reasons.allergen_words(catalog, owners)]
    for form_id in form_ids:
        form = catalog.forms[form_id]
        grave = [
            h
            for h in hazards_for(catalog, form.ingredient_id, form.form, catalog.kind(form))
            if h.topic in WATCH_WORDS and h.severity in ("stop", "limit", "caution")
        ]
        if grave:
            out.append(f"{reasons.short(form)}: {WATCH_WORDS[grave[0].topic]}")
    return out


def coffee_flags(base: CoffeeBase) -> str:
    """The options that name a coffee.

    Parameters
    ----------
    base : CoffeeBase

    Returns
    -------
    str
    """
    c = base.coffee
    notes = f" --notes '{', '.join(c.notes)}'" if c.notes else ""
    if c.parts or c.decaf:
        return f" --coffee '{c.spoken}'{notes}"
    text = f" --origin {c.origin}" if c.origin else ""
    text += f" --process {c.process} --roast {c.roast} --brew {shlex.quote(c.called or c.brew)}"
    text += "" if c.species == "arabica" else f" --species {c.species}"
    text += f" --variety {c.variety}" if c.variety and c.origin != GESHA_TASTED_AS else ""
    return text + notes


def _listed(catalog: Catalog, found: Sequence[Single]) -> str:
    return ", ".join(reasons.single_words(catalog, s) for s in found[:ON_A_SHELF])


def _place(blend: Blend, n: int) -> str:
    """Its place, or the places that cannot be told apart."""
    return str(n) if blend.place == blend.last else f"{blend.place} to {blend.last}"


def cautions(care: Sequence[str]) -> list[dict[str, Any]]:
    """The lines of :func:`watch`, for JSON."""
    return [
        vocabulary.caution("allergen", line.removeprefix("ALLERGEN: "))
        if line.startswith("ALLERGEN: ")
        else vocabulary.caution("caution", line)
        for line in care
    ]


def _record(catalog: Catalog, s: Single) -> dict[str, Any]:
    return vocabulary.ingredient(
        catalog,
        catalog.forms[s.form_id],
        score=s.score,
        practice=s.practice,
        this_coffee=s.this_coffee,
        drinks=s.drinks,
        pages=s.pages,
        why=s.why,
        allergens=reasons.allergen_words(catalog, [s.ingredient_id]),
    )


def report(
    catalog: Catalog,
    bases: Sequence[CoffeeBase],
    found: Sequence[Blend],
    shelves: Shelves,
    asked: Mapping[str, Any],
    menu: Sequence[Blend] = (),
) -> Report:
    """The card of :func:`pairing.affinity.search.suggest`.

    Parameters
    ----------
    catalog : Catalog
    bases : sequence of CoffeeBase
    found : sequence of Blend
        Best first.
    shelves : Shelves
    asked : mapping
        ``style``, ``shelf``, ``average``, ``top``, ``plain``, ``why`` as they were asked for, and
        ``heard``: how names were read.
    menu : sequence of Blend
        A drink of its own for each coffee, from :func:`pairing.affinity.search.menu`.

    Returns
    -------
    Report
    """
    moved = {b.coffee.words: pools.this_coffee(catalog, b) for b in bases}
    rows: list[list[Any]] = []
    details: list[Bullets] = []
    records: list[dict[str, Any]] = []
    for n, blend in enumerate(found, 1):
        base = reasons.weakest(bases, blend)
        why = reasons.blend_reasons(catalog, blend, moved[base.coffee.words])
        care = watch(catalog, blend.form_ids)
        lead = reasons.leads(catalog, blend.form_ids)
        allergens = [c.removeprefix("ALLERGEN: ") for c in care if c.startswith("ALLERGEN")]
        rows.append(
            [
                _place(blend, n),
                names_of(catalog, blend.form_ids),
                blend.confidence,
                ", ".join(allergens),
            ]
        )
        lines = [*(c for c in care if c.startswith("ALLERGEN")), *why]
        lines += [f"watch: {c}" for c in care if not c.startswith("ALLERGEN")]
        if len(bases) > 1:
            lines.append(f"decided by {base.coffee.words}, which it serves worst")
        if asked["why"]:
            lines.append(
                f"total {blend.score:+.2f} = practice {blend.practice:+.2f}, this coffee "
                f"{blend.this_coffee:+.2f}, together {blend.together:+.2f}; "
                f"{reasons.short(catalog.forms[lead])} leads"
            )
        if n <= SHORT_DETAILS or asked["why"]:
            details.append(Bullets(f"{n}. {names_of(catalog, blend.form_ids)}", lines))
        records.append(
            {
                "ingredients": [
                    vocabulary.ingredient(catalog, catalog.forms[f]) for f in blend.form_ids
                ],
                "place": blend.place,
                "last_place": blend.last,
                "score": blend.score,
                "practice": blend.practice,
                "this_coffee": blend.this_coffee,
                "together": blend.together,
                "doubt": blend.doubt,
                "confidence": blend.confidence,
                "leads": lead,
                "reasons": why,
                "allergens": allergens,
                "cautions": cautions(care),
                "per_coffee": [
                    {"coffee": b.coffee.words, "score": v}
                    for b, v in zip(bases, blend.per_coffee, strict=True)
                ],
            }
        )
    ranked = "by the mean over the coffees" if asked["average"] else "by the worst served coffee"
    title = f"Blends {SHELF_WORDS[asked['shelf']]}"
    if asked["shelf"] == "this" and not shelves.this:
        title = "Blends of what people serve (nothing here is known to be this coffee's own)"
    if len(bases) > 1:
        title += f", ranked {ranked}"
    table = Table(title, ["place", "blend", "sure", "allergens"], rows)
    named = [f for blend in found for f in blend.form_ids]
    named += [s.form_id for s in (*shelves.most, *shelves.this, *shelves.untried)]
    open_ = vocabulary.not_assessed(catalog, [catalog.forms[f] for f in dict.fromkeys(named)])
    blocks: list[Text | Bullets | Table] = [
        *(Text(line) for line in open_),
        *_heads(catalog, bases, shelves, asked),
        table,
    ]
    blocks += details
    if menu:
        own = [
            [b.coffee.words, names_of(catalog, drink.form_ids)]
            for b, drink in zip(bases, menu, strict=True)
        ]
        blocks.append(Table("Or a drink for each, unlike each other", ["coffee", "drink"], own))
    notes = []
    if found[0].last > 1:
        notes.append(f"1 to {found[0].last} are a tie: let the guests decide.")
    if len(found) < asked["top"] and not asked["plain"]:
        notes.append(f"{len(found)} differ enough to be worth reading; --all prints the rest.")
    if not asked["why"]:
        notes.append("--why: the reasons of every blend.")
    if notes:
        blocks.append(Text(" ".join(notes)))
    style = f" --style {asked['style']}" if asked["style"] in catalog.styles else ""
    for best in found:
        base = reasons.weakest(bases, best)
        if may_be_served(catalog, best.form_ids, base, asked["style"]):
            then = " ".join(best.form_ids) + coffee_flags(base) + style + asked.get("kept", "")
            blocks.append(Text(f"Next: pairing formula {then}"))
            break
    document = {
        "not_known": open_,
        "coffees": [
            {**vocabulary.coffee(b), "apart": said_of(catalog, b.coffee).line} for b in bases
        ],
        "style": asked["style"],
        "shelf": asked["shelf"],
        "model": vocabulary.model_name(catalog),
        "shelves": {
            "most": [_record(catalog, s) for s in shelves.most],
            "this": [_record(catalog, s) for s in shelves.this],
            "untried": [_record(catalog, s) for s in shelves.untried],
        },
        "drinks_counted": len(practice(catalog).drinks.numbers),
        "heard": list(asked["heard"]),
        "blends": records,
        "menu": [
            {"coffee": b.coffee.words, "ingredients": list(drink.form_ids)}
            for b, drink in zip(bases, menu, strict=False)
        ],
    }
    data = Table(
        "",
        ["place", "ingredients", "score", "practice", "this_coffee", "together", "confidence",
         "allergens", "reasons"],
        [[line, *[""] * 8] for line in open_] + [
            [r["place"], ";".join(i["id"] for i in r["ingredients"]),
             r["score"], r["practice"], r["this_coffee"],
             r["together"], r["confidence"], ";".join(r["allergens"]), "; ".join(r["reasons"])]
            for r in records
        ],
    )  # fmt: skip
    return Report(document, blocks, data, "suggest")


def _heads(
    catalog: Catalog, bases: Sequence[CoffeeBase], shelves: Shelves, asked: Mapping[str, Any]
) -> list[Text | Bullets | Table]:
    """The coffee in words and the three shelves."""
    style = f", {asked['style'].replace('-', ' ')}" if asked["style"] else ""
    coffee = "; ".join(b.coffee.words for b in bases)
    lines = [f"For {coffee}{style}."]
    for b in bases:
        which = f" ({b.coffee.beans})" if len(bases) > 1 else ""
        lines.append(f"In the cup{which}: {said_of(catalog, b.coffee).line}")
    out: list[Text | Bullets | Table] = [Text(line) for line in (*asked["heard"], *lines)]
    shelved = [f"good with most coffees: {_listed(catalog, shelves.most)}"] if shelves.most else []
    if shelves.this:
        shelved.append(f"right for this coffee: {_listed(catalog, shelves.this)}")
    else:
        shelved.append(
            "right for this coffee: not known, it is answered like a plain one"
            " (give its notes with --notes)"
        )
    if shelves.untried:
        shelved.append(f"nobody is known to serve it yet: {_listed(catalog, shelves.untried)}")
    out.append(Bullets("", shelved))
    return out
