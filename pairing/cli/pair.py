"""``suggest``, ``check``, ``score`` and ``validate``: what goes with a coffee, and why."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import click

from pairing.affinity import model as affinity
from pairing.affinity import reasons, search
from pairing.aroma.coffee import CoffeeBase, brewed
from pairing.bar.pantry import Pantry
from pairing.cards.lists import citations, source_records
from pairing.cards.report import Bullets, Report, Table, Text, number, show
from pairing.cli.options import (
    Month,
    coffee_from_words,
    coffee_of,
    coffee_option,
    coffee_options,
    format_option,
    open_catalog,
    pantry_option,
)
from pairing.errors import PairingError, UnknownNameError, quoted
from pairing.evidence.catalog import Catalog
from pairing.evidence.spelling import normalise
from pairing.files import read_text, write_atomically

__all__ = ["check", "score", "suggest", "validate"]

MAX_SCORE_ROWS = 2_000_000
MAX_SCORE_BYTES = 200_000_000


def _bases(
    pantry: Pantry, coffees: tuple[str, ...], menu: str | None, words: dict[str, Any]
) -> list[CoffeeBase]:
    catalog = pantry.catalog
    if coffees and menu:
        raise PairingError("give --coffee or --menu, not both")
    if (coffees or menu) and any(
        v is not None for k, v in words.items() if k in ("origin", "process", "species")
    ):
        raise PairingError(
            "with --coffee or --menu say the whole coffee there, not in --origin ..."
        )
    if menu is not None:
        key = normalise(menu)
        if not pantry.menus:
            raise PairingError("there is no menu: give a pantry with [[menus]], or --coffee")
        if key not in pantry.menus:
            raise UnknownNameError(
                "menu of the pantry", menu, [m.name for m in pantry.menus.values()]
            )
        return [brewed(catalog, **c) for c in pantry.menus[key].coffees]
    if coffees:
        return [coffee_from_words(catalog, c) for c in coffees]
    return [brewed(catalog, **words)]


@click.command()
@coffee_options
@click.option(
    "--coffee",
    "coffees",
    multiple=True,
    metavar="WORDS",
    help='A coffee in one breath, such as "washed burundi light espresso"; repeat it for '
    "one syrup that serves several.",
)
@click.option("--menu", metavar="NAME", help="The coffees of a menu in the pantry.")
@click.option(
    "--citrus",
    metavar="NAME",
    help="The citrus to build on, in any form; none for a blend without.",
)
@click.option("--with", "with_", multiple=True, metavar="NAME", help="Must be in the blend.")
@click.option(
    "--kind",
    "kinds",
    multiple=True,
    metavar="KIND",
    help="Kind of the other partners: spice, herb, flower, nut, root ...; repeat it.",
)
@click.option(
    "--size", type=click.IntRange(1, 4), default=3, show_default=True, help="Partners in a blend."
)
@click.option("--month", type=Month(), help="Only what is in season (1-12, N hemisphere).")
@click.option(
    "--top", type=click.IntRange(1, 100), default=10, show_default=True, help="How many blends."
)
@click.option("--familiar", is_flag=True, help="Weigh precedent more.")
@click.option("--surprising", is_flag=True, help="Weigh precedent against.")
@click.option("--aroma-only", is_flag=True, help="Leave precedent out.")
@click.option("--why", is_flag=True, help="Reasons and points of every blend, not of the first.")
@click.option(
    "--average",
    is_flag=True,
    help="With several coffees: rank by the mean, not by the worst served.",
)
@click.option(
    "--all", "plain", is_flag=True, help="The bare ranking, however often an ingredient comes back."
)
@click.option(
    "--draws",
    type=click.IntRange(100, 20000),
    default=search.DRAWS,
    show_default=True,
    help="Draws behind the intervals.",
)
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=search.SEED,
    show_default=True,
    help="Same seed, same answer.",
)
@format_option()
@pantry_option
def suggest(
    coffees: tuple[str, ...],
    menu: str | None,
    citrus: str | None,
    with_: tuple[str, ...],
    kinds: tuple[str, ...],
    size: int,
    month: int | None,
    top: int,
    familiar: bool,
    surprising: bool,
    aroma_only: bool,
    why: bool,
    average: bool,
    plain: bool,
    draws: int,
    seed: int,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
    **words: Any,
) -> None:
    """Ranked blends for a coffee, with reasons, what leads and what to watch.

    \b
    Examples:
      pairing suggest --origin burundi --process washed --roast light --brew espresso
      pairing suggest --origin brazil --citrus mandarin --month 11 --top 5
      pairing suggest --origin kenya --kind spice --size 1
      pairing suggest --with green-cardamom --citrus none --size 2 --surprising
      pairing suggest --coffee "washed burundi light" --coffee "natural brazil dark"
    """
    opened = open_catalog(pantry, data_folder)
    catalog = opened.catalog
    bases = _bases(opened, coffees, menu, words)
    chosen = [
        name
        for name, on in (
            ("familiar", familiar), ("surprising", surprising), ("aroma-only", aroma_only)
        )
        if on
    ]  # fmt: skip
    if len(chosen) > 1:
        raise PairingError(f"--{' and --'.join(chosen)} pull against each other; give one")
    taste = chosen[0] if chosen else "both"
    found = search.suggest(
        catalog,
        bases,
        citrus=citrus,
        with_=with_,
        kinds=kinds,
        size=size,
        month=month,
        top=top,
        taste=taste,
        average=average,
        plain=plain,
        draws=draws,
        seed=seed,
    )
    asked = {"taste": taste, "average": average, "plain": plain, "top": top, "month": month,
             "why": why}  # fmt: skip
    show(_suggest_report(catalog, bases, found, asked), how)


def _names(catalog: Catalog, form_ids: tuple[str, ...]) -> str:
    return " + ".join(reasons.short(catalog.forms[f]) for f in form_ids)


TASTE_WORDS = {
    "both": "precedent is one part of the score",
    "familiar": "precedent weighs more",
    "surprising": "precedent weighs against",
    "aroma-only": "precedent is left out of the score",
}


def _suggest_report(
    catalog: Catalog,
    bases: list[CoffeeBase],
    found: list[search.Blend],
    asked: dict[str, Any],
) -> Report:
    rows: list[list[Any]] = []
    details: list[Bullets] = []
    records: list[dict[str, Any]] = []
    for place, blend in enumerate(found, 1):
        base = _weakest(bases, blend)
        why = reasons.blend_reasons(catalog, base, blend)
        watch = [*reasons.blend_watch(catalog, blend), *_out_of_season(catalog, blend, asked)]
        lead = reasons.leader(catalog, blend.form_ids)
        counts = [search.tradition_count(catalog, f) for f in blend.form_ids]
        rows.append(
            [
                place,
                _names(catalog, blend.form_ids),
                f"{blend.score:.0f}",
                f"{blend.low:.0f}-{blend.high:.0f}",
                f"{100 * blend.top_ten:.0f} %",
                "+".join(str(c) for c in counts),
                blend.confidence,
            ]
        )
        lines = [f"{reasons.short(catalog.forms[lead])} leads", *why] if len(counts) > 1 else [*why]
        lines += [f"watch: {w}" for w in watch]
        if len(bases) > 1:
            lines.append(
                f"weakest with {base.coffee.words} ({min(blend.per_coffee):.0f}), best "
                f"{max(blend.per_coffee):.0f}"
            )
        if asked["why"]:
            lines.append(_points(blend))
        if place <= SHORT_DETAILS or asked["why"]:
            details.append(Bullets(f"{place}. {_names(catalog, blend.form_ids)}", lines))
        records.append(
            {
                "ingredients": list(blend.form_ids),
                "labels": [catalog.forms[f].label for f in blend.form_ids],
                "score": blend.score,
                "low": blend.low,
                "high": blend.high,
                "probability_top_ten": blend.top_ten,
                "confidence": blend.confidence,
                "parts": {p.key: p.points for p in blend.parts},
                "traditions": dict(zip(blend.form_ids, counts, strict=True)),
                "leads": lead,
                "reasons": list(why),
                "watch": watch,
                "per_coffee": [
                    {"coffee": b.coffee.words, "score": v}
                    for b, v in zip(bases, blend.per_coffee, strict=True)
                ],
            }
        )
    taste = asked["taste"]
    heads = [Text(line) for b in bases for line in _coffee_lines(catalog, b, asked["month"])]
    ranked = "by the mean over the coffees" if asked["average"] else "by the worst served coffee"
    table = Table(
        f"Score: 50 is neutral; {f'ranked {ranked}; ' if len(bases) > 1 else ''}"
        f"{TASTE_WORDS[taste]}",
        ["", "blend", "score", "range", "top ten", "traditions", "confidence"],
        rows,
    )
    blocks: list[Text | Bullets | Table] = [*heads, table, *details]
    if len(found) > SHORT_DETAILS and not asked["why"]:
        blocks.append(Text("--why prints the reasons and points of every blend."))
    if len(found) < asked["top"] and not asked["plain"]:
        blocks.append(
            Text(f"{len(found)} blends differ enough to be worth reading; --all prints the rest.")
        )
    blocks.append(Text(LEGEND))
    note = kind_note(
        catalog, bases[0], {catalog.kind(catalog.forms[f]) for b in found for f in b.form_ids}
    )
    if note:
        blocks.append(Text(note))
    best = found[0]
    flags = _coffee_flags(_weakest(bases, best))
    blocks.append(Text("Next: pairing formula " + " ".join(best.form_ids) + flags))
    document = {
        "coffees": [
            {
                "origin": b.coffee.origin,
                "process": b.coffee.process,
                "roast": b.coffee.roast,
                "brew": b.coffee.brew,
                "species": b.coffee.species,
                "apart": reasons.coffee_words(catalog, b),
                "favours": search.favours(catalog, b, asked["month"])[0],
                "disfavours": search.favours(catalog, b, asked["month"])[1],
            }
            for b in bases
        ],
        "taste": taste,
        "score_neutral": search.MIDDLE,
        "range_percentiles": [5, 95],
        "blends": records,
        "note": note,
    }
    data = Table(
        "",
        ["place", "ingredients", "score", "low", "high", "probability_top_ten", "traditions",
         "confidence", "reasons"],
        [
            [n, ";".join(r["ingredients"]), r["score"], r["low"], r["high"],
             r["probability_top_ten"], ";".join(str(v) for v in r["traditions"].values()),
             r["confidence"], "; ".join(r["reasons"])]
            for n, r in enumerate(records, 1)
        ],
    )  # fmt: skip
    return Report(document, blocks, data, "suggest")


SHORT_DETAILS = 3  # blends whose reasons the short print gives
LEGEND = (
    "range: 5-95 % of the draws over what is known of amounts and thresholds; top ten: in how many "
    "draws it is among the ten best of all, listed here or not; traditions: coffee traditions on "
    "file for each partner. The model itself can be wrong by more than the range: taste it."
)


def _coffee_lines(catalog: Catalog, base: CoffeeBase, month: int | None) -> list[str]:
    """What a coffee is like, and what it asks for more or less than a plain one."""
    out = [f"For {base.coffee.words}: {reasons.coffee_words(catalog, base)}."]
    gains, losses = search.favours(catalog, base, month)

    def names(ids: list[str]) -> str:
        return ", ".join(reasons.short(catalog.forms[f]).lower() for f in ids)

    if gains or losses:
        bits = [f"more: {names(gains)}"] if gains else []
        bits += [f"less: {names(losses)}"] if losses else []
        out.append(f"Than a plain arabica it takes {'; '.join(bits)}.")
    return out


def _weakest(bases: list[CoffeeBase], blend: search.Blend) -> CoffeeBase:
    """The coffee that a blend serves worst."""
    return bases[min(range(len(bases)), key=lambda m: blend.per_coffee[m])]


def _points(blend: search.Blend) -> str:
    said = [f"{p.points:+.1f} {p.words}" for p in blend.parts if abs(p.points) >= 0.05]
    return f"points: {search.MIDDLE:.0f} {'; '.join(said)}"


def _out_of_season(catalog: Catalog, blend: search.Blend, asked: dict[str, Any]) -> list[str]:
    """Named ingredients that are out of season in the month that was asked for."""
    from pairing.cards.lists import season_word

    month = asked["month"]
    out = []
    for form_id in blend.form_ids:
        form = catalog.forms[form_id]
        months = catalog.ingredients[form.ingredient_id].season_months
        if month and months and month not in months:
            out.append(f"{reasons.short(form)}: out of season (in season {season_word(months)})")
    return out


def _coffee_flags(base: CoffeeBase) -> str:
    c = base.coffee
    text = f" --origin {c.origin}" if c.origin else ""
    text += f" --process {c.process} --roast {c.roast} --brew {c.brew}"
    return text if c.species == "arabica" else f"{text} --species {c.species}"


def known_word(count: int) -> str:
    """How many coffee traditions know it, in a word."""
    if count == 0:
        return "new to coffee"
    if count < 3:
        return "little known with coffee"
    return "known with coffee" if count < 10 else "well known with coffee"


def kind_note(catalog: Catalog, base: CoffeeBase, kinds: set[str]) -> str:
    """Says plainly when a whole kind is unusual with coffee, and what makes it work."""
    fitted, rows = affinity.model(catalog), affinity.bench(catalog)
    cup = affinity.coffee_features(catalog, base)
    unusual = [
        k for k in sorted(kinds)
        if k in rows.kind_means and float(fitted.score(rows.kind_means[k], cup)[0]) < -0.9
    ]  # fmt: skip
    if not unusual:
        return ""
    text = f"{' and '.join(unusual).capitalize()} is unusual with coffee in recipes as a kind"
    if "citrus" in unusual:
        text += (
            "; what makes it work is peel rather than juice, little acid, and an aroma bridge "
            "(blossom, spice or cacao)"
        )
    return text + (". Its rank is within its kind." if len(kinds) == 1 else ".")


# --- check --------------------------------------------------------------------------------


@click.command()
@click.argument("ingredient")
@click.option("--with", "other", metavar="NAME", help="Another ingredient, in place of a coffee.")
@coffee_options
@coffee_option
@click.option(
    "--style",
    type=click.Choice(["iced", "sparkling", "hot", "milk", "iced-milk", "cold-brew"]),
    default="iced",
    show_default=True,
    help="The drink the dose is for.",
)
@click.option(
    "--draws",
    type=click.IntRange(100, 20000),
    default=search.DRAWS,
    show_default=True,
    help="Draws behind the interval.",
)
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=search.SEED,
    show_default=True,
    help="Same seed, same answer.",
)
@format_option()
@pantry_option
def check(
    ingredient: str,
    other: str | None,
    style: str,
    draws: int,
    seed: int,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
    **words: Any,
) -> None:
    """Does this ingredient suit this coffee: verdict, why, dose window, better alternatives.

    \b
    Examples:
      pairing check green-cardamom --origin kenya
      pairing check "orange peel" --origin vietnam --roast dark --style hot
      pairing check clove --with sweet-orange-peel
    """
    catalog = open_catalog(pantry, data_folder).catalog
    if other is not None:
        show(_pair_report(catalog, ingredient, other), how)
        return
    base = coffee_of(catalog, words)
    found = search.check(catalog, ingredient, base, draws=draws, seed=seed)
    show(_check_report(catalog, base, found, style), how)


BY_WORDS = {
    "aroma and precedent": "aroma and precedent agree",
    "aroma": "the aroma says so; precedent is thin",
    "precedent": "precedent carries it; the aromas contrast more than they agree",
    "": "neither aroma nor precedent speaks for it",
}


def _check_report(catalog: Catalog, base: CoffeeBase, found: search.Check, style: str) -> Report:
    from pairing.aroma.serve import serve_for
    from pairing.evidence import sources as bib
    from pairing.safety import assess as safety
    from pairing.syrup.dose import dose_for

    form, blend = found.form, found.blend
    kind = catalog.kind(form)
    evidence = bib.evidence_word(catalog, form)
    good = reasons.main_reasons(catalog, base, form, found.contributions)[:4]
    bad = [c for c in found.contributions if c.value < -reasons.SMALL][:3]

    def say(c: search.Contribution) -> str:
        return f"{reasons.contribution_words(catalog, base, form, c)} ({c.value:+.2f})"

    dose = dose_for(catalog, form, base, serve_for(catalog, style, base.brew))
    window = (
        f"{number(dose.practice_low)}-{number(dose.practice_high)} g per kg of syrup is bar "
        f"practice; for this coffee, {style}, start at {number(dose.g_per_kg, 2)} g/kg"
        if dose.practice_low is not None
        else f"start at {number(dose.g_per_kg, 2)} g per kg of syrup"
    )
    shown = sum(c.value for c in (*good, *bad))
    rest = found.harmony - shown
    hazards = [
        h for h in safety.hazards_for(form.ingredient_id, form.form, kind)
        if h.severity in ("stop", "limit", "caution")
    ]  # fmt: skip
    cited = bib.of_form(catalog, form)
    cited_ids = {s.source_id for s in cited}
    more = [
        catalog.sources[i]
        for i in (*base.source_ids, *(t.source_id for t in found.traditions))
        if i in catalog.sources and i not in cited_ids
    ]
    cited += list({s.source_id: s for s in more}.values())
    traditions = [f"{reasons.tradition_words(t)}: {t.how}" for t in found.traditions]
    blocks: list[Text | Bullets | Table] = [
        Text(f"{form.label}: {found.verdict} (with {base.coffee.words})."),
        Bullets(
            "",
            [
                f"score {blend.score:.0f} ({blend.low:.0f}-{blend.high:.0f}; 50 is neutral), place "
                f"{found.rank} of {found.of} in its kind ({kind}); by harmony alone "
                f"{found.harmony_rank}",
                f"{BY_WORDS[found.by]}; {known_word(found.tradition_count)} (traditions on file: "
                f"{found.tradition_count})",
                f"confidence {blend.confidence}; evidence on its aroma is {evidence}",
                f"this coffee: {reasons.coffee_words(catalog, base)}",
            ],
        ),
        Bullets("Why it works", [say(c) for c in good])
        if good
        else Text("No aroma reason for it."),
    ]
    if bad:
        blocks.append(Bullets("Why it does not", [say(c) for c in bad]))
    blocks.append(
        Text(
            f"Harmony is {found.harmony:+.2f} in all (0 is as most of its kind, +1 twice as often "
            f"together): these {shown:+.2f}, everything smaller {rest:+.2f}."
        )
    )
    parts = Table(
        "Points",
        ["part", "points"],
        [["neutral", f"{search.MIDDLE:.1f}"],
         *([p.words, f"{p.points:+.1f}"] for p in blend.parts if p.points),
         ["score", f"{blend.score:.1f}"]],
    )  # fmt: skip
    blocks += [parts, Bullets("Dose", [window, *([dose.bound] if dose.bound else [])])]
    if traditions:
        blocks.append(Bullets("Precedent", traditions))
    if found.alternatives:
        blocks.append(
            Bullets(
                f"Better placed among {kind} for this coffee",
                [f"{catalog.forms[f].label} ({v:.0f})" for f, v in found.alternatives],
            )
        )
    note = kind_note(catalog, base, {kind})
    if note:
        blocks.append(Text(note))
    if hazards:
        blocks.append(Bullets("Watch", [f"{h.severity}: {h.text} [{h.who}]" for h in hazards]))
    blocks.append(citations(cited))
    document = {
        "id": form.form_id,
        "label": form.label,
        "coffee": base.coffee.words,
        "verdict": found.verdict,
        "carried_by": found.by,
        "score": blend.score,
        "low": blend.low,
        "high": blend.high,
        "rank": found.rank,
        "of": found.of,
        "kind": kind,
        "harmony": found.harmony,
        "harmony_rank": found.harmony_rank,
        "tradition_count": found.tradition_count,
        "traditions": [
            {"id": t.tradition_id, "region": t.region, "name": t.name, "how": t.how,
             "source": t.source_id}
            for t in found.traditions
        ],
        "parts": {p.key: p.points for p in blend.parts},
        "contributions": [
            {"feature": c.feature, "partner": c.partner, "value": c.value}
            for c in found.contributions
        ],
        "reasons": [say(c) for c in good],
        "against": [say(c) for c in bad],
        "dose_g_per_kg": dose.g_per_kg,
        "dose_window_g_per_kg": [dose.practice_low, dose.practice_high],
        "dose_bound": dose.bound,
        "alternatives": [{"id": f, "score": v} for f, v in found.alternatives],
        "confidence": blend.confidence,
        "evidence": evidence,
        "note": note,
        "cautions": [h.text for h in hazards],
        "sources": source_records(cited),
    }  # fmt: skip
    data = Table(
        "",
        ["id", "verdict", "score", "low", "high", "rank", "of", "harmony", "dose_g_per_kg"],
        [[form.form_id, found.verdict, blend.score, blend.low, blend.high, found.rank, found.of,
          found.harmony, dose.g_per_kg]],
    )  # fmt: skip
    return Report(document, blocks, data, "check")


def _pair_report(catalog: Catalog, one: str, other: str) -> Report:
    """Any two ingredients."""
    from pairing.evidence import sources as bib

    a, b = (catalog.forms[search._lawful(catalog, n)] for n in (one, other))
    if a is b:
        raise PairingError(f"{one} and {other} are the same thing; name two")
    fitted, rows = affinity.model(catalog), affinity.bench(catalog)
    xa, xb = (rows.features[rows.position[f.form_id]] for f in (a, b))
    ma, mb = (rows.kind_means[catalog.kind(f)] for f in (a, b))
    plain = float(fitted.score(xa, xb)[0])
    harmony = float(fitted.harmony(xa, xb, ma, mb)[0])
    habit = float(fitted.habit(xa, xb)[0])
    every = fitted.explain(xa, xb)
    # x'Hy - mean(x)'H mean(y) = (x - mean(x))'Hy + mean(x)'H(y - mean(y)): both sides' shares
    said = [
        (c, f"{reasons.short(f)}: {reasons.contribution_words(catalog, None, f, c, other)}")
        for f, x, mean, y, other in (
            (a, xa, ma, xb, reasons.short(b)), (b, xb, mb, ma, reasons.short(a))
        )
        for c in search.contributions(fitted, x, mean, y)
    ]  # fmt: skip
    said.sort(key=lambda pair: -abs(pair[0].value))
    verdict = (
        "go together well" if harmony > 0.3 else "go together" if harmony > 0.05
        else "neither help nor hurt each other" if harmony > -0.15 else "contrast"
    )  # fmt: skip
    shown = [(c.value, words) for c, words in said if abs(c.value) > reasons.SMALL][:6]
    table = Table(
        f"What makes the harmony (everything smaller {harmony - sum(v for v, _ in shown):+.2f})",
        ["what", "value"],
        [[words, f"{v:+.2f}"] for v, words in shown],
    )
    known = [
        t for t in catalog.traditions
        if search.uses(catalog, t, a) and search.uses(catalog, t, b)
    ]  # fmt: skip
    cited = bib.of_form(catalog, a) + bib.of_form(catalog, b)
    cited = list({s.source_id: s for s in cited}.values())
    blocks: list[Text | Bullets | Table] = [
        Text(
            f"{a.label} and {b.label} {verdict}"
            + (" by aroma, and tradition puts them together." if known else ".")
        ),
        Bullets(
            "",
            [
                f"harmony {harmony:+.2f}: 0 is as most of their kinds, +1 twice as often together",
                f"habit {habit:+.2f}: cooks find it "
                + ("usual" if habit > 0.2 else "unusual" if habit < -0.2 else "neither usual nor "
                   "unusual"),
                f"plain score {plain:+.2f}: all terms added, 0 is as often together as chance",
            ],
        ),
        table,
    ]  # fmt: skip
    if known:
        lines = [f"{reasons.tradition_words(t)}: {t.how}" for t in known[:4]]
        blocks.append(Bullets("Precedent", lines))
    blocks.append(citations(cited))
    document = {
        "ingredients": [a.form_id, b.form_id],
        "verdict": verdict,
        "score": plain,
        "harmony": harmony,
        "habit": habit,
        "terms": [
            {"part": t.part, "label": t.label, "a": t.a, "b": t.b, "value": t.value} for t in every
        ],
        "traditions": [t.tradition_id for t in known],
        "sources": source_records(cited),
    }
    data = Table("", ["part", "label", "a", "b", "value"],
                 [[t.part, t.label, t.a, t.b, t.value] for t in every])  # fmt: skip
    return Report(document, blocks, data, "check")


# --- score --------------------------------------------------------------------------------

COLUMNS = ("score", "harmony", "low", "high")


@click.command()
@click.argument("pairs", type=click.Path(path_type=Path))
@click.option("--to", type=click.Path(path_type=Path), help="File to write instead of the screen.")
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=search.SEED,
    show_default=True,
    help="Same seed, same answer.",
)
@click.option(
    "--format",
    "how",
    type=click.Choice(["csv", "json", "table", "markdown"]),
    default="csv",
    show_default=True,
    help="How to print it.",
)
@pantry_option
def score(
    pairs: Path, to: Path | None, seed: int, how: str, pantry: Path | None, data_folder: Path | None
) -> None:
    """Score a CSV file of pairs: the same rows plus score, harmony, low and high.

    Columns ingredient_a and ingredient_b hold ids, names or aliases; the word coffee is allowed,
    cinnamon and ginger mean the mean of their kinds. Unknown names are reported and left empty.
    score is comparable across kinds, harmony is within the kind, low and high are the 5th and
    95th percentile of the score.

    \b
    Example:
      pairing score pairs.csv --to scored.csv
    """
    catalog = open_catalog(pantry, data_folder).catalog
    header, rows = _read_pairs(pairs)
    a, b = header.index("ingredient_a"), header.index("ingredient_b")
    columns, unknown = affinity.score_rows(catalog, [(r[a], r[b]) for r in rows], seed=seed)
    kept = [i for i, name in enumerate(header) if name not in COLUMNS]
    values = zip(*(columns[c].tolist() for c in COLUMNS), strict=True)
    out = [
        [*(row[i] for i in kept), *(None if v != v else v for v in scored)]
        for row, scored in zip(rows, values, strict=True)
    ]
    names = [*(header[i] for i in kept), *COLUMNS]
    table = Table("", names, out)
    document = {"pairs": [dict(zip(names, row, strict=True)) for row in out], "unknown": unknown}
    report = Report(document, [table], table, "score")
    if to is not None:
        from pairing.cards.report import render

        write_atomically(to, render(report, how))
        click.echo(f"wrote {len(out):,} rows to {to.name}", err=True)
    else:
        show(report, how)
    if unknown:
        shown = ", ".join(repr(u[:40]) for u in unknown[:10])
        more = f" and {len(unknown) - 10} more" if len(unknown) > 10 else ""
        click.echo(f"pairing: {len(unknown)} unknown names left empty: {shown}{more}", err=True)


def _read_pairs(path: Path) -> tuple[list[str], list[list[str]]]:
    """Header and rows of a pairs file; the header is checked before the rest is parsed."""
    text = read_text(path, MAX_SCORE_BYTES)
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    too_many = f"{path.name} has more than {MAX_SCORE_ROWS:,} pairs, the most that are scored"
    try:
        header = [h.strip() for h in next((row for row in reader if row), [])]
        if not header:
            raise PairingError(f"{path.name} is empty; give columns ingredient_a and ingredient_b")
        for wanted in ("ingredient_a", "ingredient_b"):
            if wanted not in header:
                raise PairingError(
                    f"{path.name} lacks the column {wanted!r}; it has {quoted(', '.join(header))}"
                )
        if len(set(header)) != len(header):
            raise PairingError(f"{path.name} names a column twice")
        # without quotes a line is a row, blank lines apart: counting is quicker than parsing
        if '"' not in text and text.count("\n") - text.count("\n\n") > MAX_SCORE_ROWS + 1:
            raise PairingError(too_many)
        body: list[list[str]] = []
        for row in reader:
            if not row:
                continue
            if len(row) != len(header):
                raise PairingError(
                    f"{path.name} line {reader.line_num}: {len(row)} cells, the header has "
                    f"{len(header)}"
                )
            if len(body) == MAX_SCORE_ROWS:
                raise PairingError(too_many)
            body.append(row)
    except csv.Error as err:
        raise PairingError(f"{path.name} line {reader.line_num}: not CSV ({err})") from None
    if not body:
        raise PairingError(f"{path.name} has a header but no pairs")
    return header, body


# --- validate -----------------------------------------------------------------------------


@click.command()
@click.option(
    "--validation",
    type=click.Path(path_type=Path),
    required=True,
    help="Folder with recipe_pairs.csv and recipe_sets.txt (not shipped).",
)
@click.option(
    "--network",
    type=click.Path(path_type=Path),
    help="Folder of an open ingredient-compound network, for the shared-compound rule.",
)
@click.option("--quick", is_flag=True, help="Leave out the slow rows.")
@format_option()
@pantry_option
def validate(
    validation: Path,
    network: Path | None,
    quick: bool,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """The score card: does the affinity predict what cooks combine, and better than what else.

    \b
    Example:
      pairing validate --validation ../shared/validation --quick
    """
    from dataclasses import asdict

    from pairing.affinity import scorecard

    catalog = open_catalog(pantry, data_folder).catalog
    card = scorecard.run(validation, network, catalog, quick=quick)
    rows = [asdict(m) for m in card.rows]
    columns = list(rows[0])
    table = Table("", columns, [[r[c] for c in columns] for r in rows])
    show(Report({"rows": rows}, [table], table, "validate"), how)
