"""The document and the short print of a drink: what goes in, how to build it, what to change."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pairing.bar.pantry import Pantry
from pairing.bar.shelf import purchases, shelf_of, spend
from pairing.cards import vocabulary
from pairing.cards.formula import (
    NOT_KNOWN,
    STOPPED,
    shorter_words,
    stop_text,
    top_texts,
    watch_lines,
)
from pairing.cards.report import Bullets, Report, Table, Text, closed, lines_of, number
from pairing.evidence.catalog import Catalog
from pairing.glass import drink as drinks
from pairing.glass.added import Added
from pairing.glass.building import layers_of
from pairing.glass.colour import colour_words
from pairing.glass.pour import Poured
from pairing.glass.solve import drinks_per_bottle
from pairing.glass.spec import AnyGlass, DrinkSpec
from pairing.safety.findings import DEFER, Finding, has_stop
from pairing.safety.process import process_cautions, situations_of
from pairing.syrup.prepared import name_of

__all__ = ["report"]

TELLS = ("allergen", "allergen-maybe", "allergen-stated")  # for guests, in every format
WITH_MILK = ("citrus-milk",)  # notes that matter once milk is in the drink


def _into(glass: AnyGlass) -> str:
    """The glass and its size, once."""
    name = glass.name[:1].lower() + glass.name[1:]
    size = f"{glass.volume_ml:.0f} ml"
    an = "an" if name.startswith(("8", "11 ", "18 ", "espresso")) else "a"
    return f"Into {an} {name}" if size in name else f"Into {an} {name} ({size} to the brim)"


def _situation(spec: DrinkSpec) -> str:
    """What the cautions of making call such a drink."""
    if spec.is_steamed:
        return "milk"
    if spec.is_fizzy:
        return "sparkling"
    return spec.style.style_id if spec.style.style_id == "cold-brew" or not spec.is_cold else "iced"


MOST_CARE = 3
WIDTH = 80
MOST_PRINTED = 45  # lines; general care makes room, never a stop, an allergen or a guest
MAY_GO = ("Buying: ", "Kitchen: ")
FIRST_FIGURES = ("temperature, °C", "sugar, %", "coffee solids, %")
OF_COFFEE = ("decaffeinated", "Espresso", "crema")  # cautions that a drink without it has not
HURTS = ("burn", "crack", "hot ", "steam", "pressure", "erupt", "curdle")


def _first_care(care: Sequence[str], findings: Sequence[Finding]) -> list[str]:
    """What a hand can be hurt by comes first; caffeine is not said twice."""
    said = any(f.code == "caffeine" for f in findings)
    fresh = [c for c in care if not (said and "decaffeinated" in c)]
    grave = [c for c in fresh if any(w in c.lower() for w in HURTS)]
    return [*grave, *(c for c in fresh if c not in grave)][: max(2, min(len(grave), MOST_CARE))]


def _moments(built: drinks.Drink, every: bool) -> Table:
    now, later = built.served, built.after_ten_minutes
    rows: list[tuple[str, float, float, int]] = [
        ("temperature, °C", now.temperature_c, later.temperature_c, 1),
        ("ice melted, g", now.melted_g, later.melted_g, 0),
        ("liquid, g", now.liquid_g, later.liquid_g, 0),
        ("°Bx (all solids)", now.brix, later.brix, 1),
        ("sugar, %", now.sugar_percent, later.sugar_percent, 1),
        ("coffee solids, %", now.tds_percent, later.tds_percent, 1),
        ("acid as citric, %", now.acid_percent, later.acid_percent, 2),
        ("pH, estimated", now.ph, later.ph, 1),
    ]
    shown = [[name, f"{a:.{places}f}", f"{b:.{places}f}"] for name, a, b, places in rows]
    shown = [row for row in shown if every or row[0] in FIRST_FIGURES]
    if not built.spec.has_coffee:
        shown = [row for row in shown if row[0] != "coffee solids, %"]
    shown.append(["taste", now.sweetness_word, later.sweetness_word])
    return Table("", ["", "served", "after 10 minutes"], shown)


def _in_a_line(built: drinks.Drink) -> Text:
    """The two moments as a sentence, where a table takes too much room."""
    told = []
    for when, m in (("served", built.served), ("after 10 minutes", built.after_ten_minutes)):
        coffee = f", {m.tds_percent:.1f} % coffee" if built.spec.has_coffee else ""
        told.append(
            f"{when} {m.temperature_c:.0f} °C, {m.sweetness_word}, {m.sugar_percent:.1f} % sugar"
            f"{coffee}"
        )
    said = "; ".join(told)
    return Text(f"{said[:1].upper()}{said[1:]}.")


def report(
    catalog: Catalog,
    poured: Poured,
    *,
    bottle_ml: float | None = None,
    pantry: Pantry | None = None,
    price: float | None = None,
    why: bool = False,
    all_cautions: bool = False,
) -> Report:
    """A drink as tables, JSON and CSV.

    Parameters
    ----------
    catalog : Catalog
    poured : Poured
    bottle_ml : float, optional
        Syrup in a bottle [ml], to count its drinks.
    pantry : Pantry, optional
        For what the drink costs, where it has prices.
    price : float, optional
        What the drink sells at, in the pantry's currency.
    why, all_cautions : bool
        Print every figure, every caution.

    Returns
    -------
    Report
        Stops stand first, in the tables, the document and the CSV rows.
    """
    base, made, built = poured.base, poured.made, poured.drink
    share, findings, spec = poured.spice_share, poured.findings, built.spec
    milk = spec.milk.allergen_id if spec.milk is not None else ""
    situations = situations_of(catalog, (), (), _situation(spec), milk)
    process = process_cautions(catalog, situations)
    coffee_ml = built.coffee_g / spec.coffee.density_kg_per_m3 * 1000
    crema = f" ({coffee_ml + built.crema_ml:.0f} with crema)" if built.crema_ml >= 1 else ""
    parts = [
        [spec.syrup.name, number(spec.syrup.grams), f"{spec.syrup.volume_ml:.0f}"],
    ]
    if spec.has_coffee:
        parts.append([base.brew.name, number(built.coffee_g), f"{coffee_ml:.0f}{crema}"])
    if built.ice_g:
        parts.append(["ice", number(built.ice_g), f"{built.ice_g / 0.917:.0f}"])
    filler_ml = built.filler_g / spec.filler_g_per_ml
    if built.filler_g:
        parts.append([spec.filler, number(built.filler_g), f"{filler_ml:.0f}"])
    parts += [[a.name, _small(a.grams), _small(a.volume_ml)] for a in spec.added]
    if built.steam_g >= 0.5:
        parts.append(["water from the steam", number(built.steam_g), f"{built.steam_g:.0f}"])
    recipe = Table(
        _into(spec.glass),
        ["what", "grams", "ml"],
        parts,
    )
    low, high = built.caffeine_mg
    high = max([high, *(f.amount or 0.0 for f in findings if f.code == "caffeine")])  # tea's too
    facts = [
        f"fills {built.volume_ml:.0f} ml, leaves {built.headspace_ml:.0f} ml; it needs "
        f"{built.headspace_needed_ml:.0f} ml",
        f"sugar {built.sugar_g:.1f} g, energy {built.energy_kcal:.0f} kcal"
        + (f", caffeine {low:.0f}-{high:.0f} mg" if high >= 0.5 else ""),
    ]
    if built.served.alcohol_g > 0:
        facts.append(
            f"alcohol {built.served.alcohol_percent:.1f} % vol ({built.served.alcohol_g:.2g} g): "
            "name it on the menu, check age as your law says"
        )
    if built.thrown_g >= 0.5:
        facts.append(f"about {built.thrown_g:.0f} g of ice stays in the shaker")
    lying = layers_of(built)
    facts += poured.told
    spare = []  # figures that make room where the print is long
    if spec.on_top:
        spare.append(f"from the top: {', '.join(lying)}")
    if built.foam_ml >= 1:
        spare.append(f"about {built.foam_ml:.0f} ml of it is foam")
    if spec.is_fizzy:
        facts.append(f"{built.co2_volumes:.1f} volumes of CO2 left after mixing")
    if share is not None:
        spare.append(f"spice and citrus are about {100 * share:.0f} % of the aroma loudness")
    count = None
    if bottle_ml is not None:
        density = spec.syrup.composition.density
        count = drinks_per_bottle(bottle_ml, spec.syrup.grams, density)
        facts.append(f"a bottle of {number(bottle_ml)} ml gives {count} drinks")
    cost = _cost(pantry, poured, price)
    if cost:
        facts.append(cost["text"])
    advice = poured.advice
    if not advice and not has_stop(findings):
        facts.append("nothing to change")
    named = [f for f in findings if f.code.startswith("allergen")]
    first_of_all, _ = watch_lines(named, False)
    serious, left = watch_lines([f for f in findings if f not in named], all_cautions)
    care = [*built.cautions, *(c.text for c in process)]
    care += [f.text for f in findings if f.row_id in WITH_MILK and spec.has_milk]
    care = [c for c in care if spec.has_coffee or not any(w in c for w in OF_COFFEE)]
    words, dropped = base.coffee.words, set[str]()
    colour = colour_words(catalog, [d.form for d in made.doses], built) if made else ""
    if colour:
        spare.append(colour)
    name = (
        " + ".join(name_of(d.form, [x.form for x in made.doses]) for d in made.doses)
        if made
        else "plain syrup"
    )
    phrase = spec.style.phrase if spec.has_coffee else spec.style.phrase_without_coffee
    called = phrase.split(maxsplit=1)[1].capitalize()
    head: list[Text | Bullets | Table] = [
        *(top_texts(made, findings) if made else _first_of_all(findings)),
        Text(f"{called}: {name} {f'with {words}' if spec.has_coffee else 'without coffee'}"),
        *(Text(line, close=True) for line in first_of_all),
        recipe,
    ]
    if not has_stop(findings):  # what must not be served is not built
        head.append(Bullets("Build", built.steps, numbered=True))
    moments: Table | Text = _moments(built, why)
    changes = [f"{a.problem}: {a.words} {a.change}" for a in advice]
    shown = care if all_cautions else _first_care(care, findings)
    left += len(care) - len(shown)
    may_go = (
        []
        if all_cautions
        else [w for w in serious if w.startswith(MAY_GO)]
        + [w for i, w in enumerate(shown) if i > 0 or not any(h in w.lower() for h in HURTS)]
    )
    merged = False
    while True:
        more = f"{left} more: --cautions. " if left > 0 else ""
        watch = [w for w in (*serious, *shown) if w not in dropped]
        top = [*head, *([] if has_stop(findings) else [moments])]
        blocks = [*top, *([] if has_stop(findings) else [Text("; ".join((*facts, *spare)) + ".")])]
        blocks += [Bullets("What to change", changes)] if changes and not has_stop(findings) else []
        blocks.append(Bullets("Watch", [*watch, more + DEFER]))
        blocks += [Text(STOPPED)] if has_stop(findings) else []
        if all_cautions or why or merged or lines_of(blocks, WIDTH) <= MOST_PRINTED:
            break
        if may_go:
            dropped.add(may_go.pop())
            left += 1
        elif spare:
            spare.pop()
        elif isinstance(moments, Table):
            moments = _in_a_line(built)
        else:
            serious = shorter_words(serious)
            merged = True
    document = {
        "stops": vocabulary.stops(findings),
        "not_known": vocabulary.not_known(findings),
        "coffee": vocabulary.coffee(base),
        "style": spec.style.style_id,
        "glass_ml": spec.glass.volume_ml,
        "ingredients": [vocabulary.ingredient(catalog, d.form) for d in made.doses] if made else [],
        "syrup_g": spec.syrup.grams,
        "syrup_ml": spec.syrup.volume_ml,
        "coffee_g": built.coffee_g,
        "coffee_ml": coffee_ml,
        "coffee_c": built.coffee_c,
        "ice_g": built.ice_g,
        "filler": spec.filler if built.filler_g else "",
        "filler_g": built.filler_g,
        "filler_ml": filler_ml,
        "filler_c": built.filler_c,
        "steam_g": built.steam_g,
        "foam_ml": built.foam_ml,
        "quinine_range_mg": vocabulary.span(*built.quinine_mg),
        "colour": colour,
        "volume_ml": built.volume_ml,
        "headspace_ml": built.headspace_ml,
        "headspace_needed_ml": built.headspace_needed_ml,
        "served": _moment_record(built.served),
        "after_ten_minutes": _moment_record(built.after_ten_minutes),
        "sugar_g": built.sugar_g,
        "added_sugar_g": built.added_sugar_g,
        "energy_kcal": built.energy_kcal,
        "caffeine_range_mg": vocabulary.span(*built.caffeine_mg),
        "co2_volumes": built.co2_volumes,
        "spice_share_of_loudness": share,
        "drinks_per_bottle": count,
        "cost": cost,
        "added": [_added_record(a) for a in spec.added],
        "alcohol_g": built.served.alcohol_g,
        "alcohol_percent": built.served.alcohol_percent,
        "thrown_ice_g": built.thrown_g,
        "layers": list(lying),
        "told": list(poured.told),
        "steps": list(built.steps),
        "advice": [{"problem": a.problem, "words": a.words, "change": a.change} for a in advice],
        "findings": [vocabulary.finding(f) for f in findings],
        "cautions": [vocabulary.caution("caution", text) for text in care],
        "watch": [*watch_lines(findings, False)[0], *_first_care(care, findings), DEFER],
    }
    rows: list[list[Any]] = [["stop", "", "", f.text] for f in findings if f.level == "stop"]
    rows += [[f.code, f.subject, "", f.text] for f in findings if f.code in NOT_KNOWN]
    rows += [[f.code, f.subject, "", f.text] for f in findings if f.code in TELLS]
    rows += [["build", p[0], p[1], "g"] for p in parts]
    for when, moment in (("served", built.served), ("after 10 minutes", built.after_ten_minutes)):
        rows += [[when, k, v, ""] for k, v in _moment_record(moment).items()]
    rows += [["advice", a.problem, "", f"{a.words} {a.change}"] for a in advice]
    data = Table("", ["section", "item", "amount", "text"], rows)
    return Report(document, blocks, data, "drink")


def _first_of_all(findings: Sequence[Finding]) -> list[Text]:
    """Stops and what is not known, of a drink with plain syrup."""
    unknown = [Text(f.text) for f in findings if f.code in NOT_KNOWN]
    return closed([*stop_text(findings), *unknown])


def _small(value: float) -> str:
    """An amount, small ones with their digits."""
    return f"{value:.2g}" if 0 < value < 1 else number(value)


def _added_record(a: Added) -> dict[str, Any]:
    return {
        "id": a.ident,
        "name": a.name,
        "kind": a.kind,
        "place": a.place,
        "said": a.said,
        "grams": a.grams,
        "ml": a.volume_ml,
        "sugar_g": a.sugar_g,
        "acid_g": a.masses.acid,
        "alcohol_g": a.alcohol_g,
        "energy_kcal": a.kcal,
        "vegan": a.vegan,
    }


def _cost(pantry: Pantry | None, poured: Poured, price: float | None) -> dict[str, Any] | None:
    """What one drink costs with its coffee and milk, what runs out first, and the margin."""
    if pantry is None or not (pantry.price_per_kg or pantry.stock_g):
        return None
    known = {**pantry.price_per_kg, **pantry.stock_g}
    bought = purchases(pantry.catalog, poured.needs_g, known)
    spent = spend(bought, pantry.price_per_kg)
    unit = pantry.currency or "(no currency given)"
    word = "partial cost" if spent.partial else "costs"
    text = f"{word} {spent.total:.2f} {unit} a drink" if spent.lines else "cost not known"
    if spent.missing:
        text += f"{';' if spent.lines else ':'} no price for {', '.join(spent.missing)}"
    if price is not None and spent.lines:
        margin = price - spent.total
        share = 100.0 * margin / price
        at_most = "at most " if spent.partial else ""
        text += f"; sold at {price:.2f} {unit}: {at_most}{margin:.2f} ({share:.0f} %) over goods"
    shelf = shelf_of(bought, pantry.stock_g)
    if shelf is not None:
        text += f"; stock for {shelf.times} drinks, {shelf.first} runs out first"
    return {
        "text": text,
        "currency": pantry.currency,
        "per_drink": spent.total,
        "partial": spent.partial,
        "no_price_for": list(spent.missing),
        "price": price,
        "drinks_in_stock": shelf.times if shelf else None,
        "runs_out_first": shelf.first if shelf else None,
    }


def _moment_record(m: drinks.Moment) -> dict[str, Any]:
    return {
        "temperature_c": m.temperature_c,
        "melted_g": m.melted_g,
        "liquid_g": m.liquid_g,
        "brix": m.brix,
        "sugar_percent": m.sugar_percent,
        "sweetness_percent": m.sweetness_percent,
        "perceived_sweetness_percent": m.perceived_sweetness_percent,
        "sweetness_word": m.sweetness_word,
        "tds_percent": m.tds_percent,
        "acid_percent_as_citric": m.acid_percent,
        "ph_estimate": m.ph,
    }
