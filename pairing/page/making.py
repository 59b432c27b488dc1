"""From a coffee to a card: shelves, formula, drink, card, the calculator, the pantry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from pairing.aroma.description import levels
from pairing.cards import html, pictures
from pairing.cards.batch import title_of
from pairing.cards.report import Bullets, number
from pairing.cards.shelves import pantry_report, told
from pairing.cli.asked import report_of
from pairing.errors import PairingError
from pairing.page.forms import (
    MARKETS,
    Answer,
    Asked,
    Bar,
    button,
    clean,
    field,
    hidden,
    link,
    pick,
    shown,
)

__all__ = ["batch_of", "card", "coffee_fields", "coffee_of", "drink", "formula", "front",
           "ingredients_of", "label", "market_field", "names_list", "pairs", "pantry", "ratio",
           "style_field", "suggest"]  # fmt: skip

WORDS = "washed burundi light espresso"
FACTORS = ("origin", "process", "roast", "brew")
COFFEE = ("coffee", *FACTORS, "species", "variety", "notes")
BATCH = ("servings", "yield_g", "yield_ml", "sugar_g", "strength", "brix", "sweetener",
         "serving_g", "style", "milk", "market")  # fmt: skip
GLASS = ("glass", "mixer", "without_coffee")
VERSIONS = (("vegan", "Vegan"), ("half-sweet", "Half as sweet"))
MORE = 4  # lines for what else goes in
CALCULATOR = ("strength", "brix", "sugar_g", "water_g", "yield_g", "yield_ml", "servings",
              "serving_g", "simmer_min", "market")  # fmt: skip
AMOUNTS = (("servings", "drinks"), ("yield_g", "g of syrup"), ("yield_ml", "ml of syrup"))
MOST_DRINKS = 10_000
PARTS = 6  # ingredients of a syrup
SOLD = (("prepacked", "in sealed bottles"), ("premises", "packed here before the order"),
        ("loose", "loose, over the counter"))  # fmt: skip
SHELVES = (("this", "Right for this coffee"), ("most", "Good with most coffees"),
           ("untried", "Nobody is known to serve it yet"))  # fmt: skip


def ingredients_of(asked: Asked) -> list[str]:
    """What goes in, of one to six fields."""
    named = list(dict.fromkeys(asked.all("ingredients")))
    if not named:
        raise PairingError("choose at least one ingredient")
    if len(named) > PARTS:
        raise PairingError(f"{len(named)} ingredients; a syrup takes one to {PARTS}")
    return named


def coffee_of(asked: Asked) -> dict[str, Any]:
    """The coffee, said in one breath or chosen."""
    said: dict[str, Any] = asked.some(COFFEE)
    chosen = [k for k in FACTORS if k in said]
    if "coffee" in said and chosen:
        raise PairingError(
            f"the coffee is said in words and chosen ({', '.join(chosen)}); leave one of them empty"
        )
    return said


def batch_of(asked: Asked) -> dict[str, Any]:
    """Options of a formula: coffee, what goes in, how much, doses."""
    said = {**coffee_of(asked), **asked.some(BATCH), "ingredients": ingredients_of(asked)}
    amount, unit = asked.one("amount"), asked.one("unit", "servings")
    if amount:
        if unit not in dict(AMOUNTS):
            raise PairingError(f"an amount is in {', '.join(w for _, w in AMOUNTS)}")
        said = {k: v for k, v in said.items() if k not in ("sugar_g", *dict(AMOUNTS))}
        said[unit] = amount
    if "servings" in said and said["servings"].isdigit() and len(said["servings"]) > 5:
        raise PairingError(f"how many drinks? give 1 to {MOST_DRINKS:,}")
    doses = [f"{k.removeprefix('dose.')}={v}" for k, v in asked.fields if k.startswith("dose.")]
    if doses := [*asked.all("dose"), *doses]:
        said["dose"] = doses
    return said


def pairs(said: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Options as fields of an address."""
    out = []
    for key, value in said.items():
        out += [(key, v) for v in value] if isinstance(value, list) else [(key, value)]
    return out


def market_field(value: str) -> str:
    """Whose law decides."""
    return pick("Law of", "market", MARKETS, value)


def names_list(bar: Bar) -> str:
    """Names of the catalogue, for fields to complete by."""
    forms = bar.open("").catalog.forms.values()
    told = "".join(
        f'<option value="{clean(f.form_id)}">{clean(f.label)}</option>'
        for f in sorted(forms, key=lambda f: f.label)
    )
    return f'<datalist id="names">{told}</datalist>'


def coffee_fields(bar: Bar, said: Mapping[str, str]) -> str:
    """A coffee in words or chosen, with the words of its bag."""
    catalog = bar.open("").catalog
    chosen = "".join(
        pick(
            word,
            factor,
            [
                ("", "not said"),
                *((n, n.replace("-", " ")) for n in sorted(levels(catalog, factor))),
            ],
            said.get(factor, ""),
        )
        for factor, word in zip(FACTORS, ("Origin", "Process", "Roast", "Brew"), strict=True)
    )
    opened = " open" if any(said.get(f) for f in FACTORS) else ""
    return (
        field("Coffee, in one breath", "coffee", said.get("coffee", ""), hint=WORDS)
        + field("What its bag says it tastes of", "notes", said.get("notes", ""),
                hint="black currant, grapefruit")
        + f"<details{opened}><summary>Or choose origin, process, roast and brew</summary>"
        f'<div class="fields">{chosen}</div></details>'
    )  # fmt: skip


def style_field(bar: Bar, value: str) -> str:
    """Which drink."""
    styles = bar.open("").catalog.styles
    return pick("Drink", "style", [(s, s.replace("-", " ")) for s in styles], value)


def front(bar: Bar, asked: Asked) -> Answer:
    """Where one begins."""
    said = asked.some((*COFFEE, "style", "market"))
    style, market = said.get("style", "iced"), said.get("market", "")
    rows = "".join(
        field(f"{word} ingredient", "ingredients", known="names")
        for word in ("First", "Second", "Third", "Fourth")
    )
    body = (
        "<h1>What goes with this coffee?</h1>"
        f'<form action="/suggest">{coffee_fields(bar, said)}'
        f'<div class="fields">{style_field(bar, style)}{market_field(market)}</div>'
        f"{button('Show the shelves')}</form>"
        f'<h2>I know what goes in</h2><form action="/formula">{names_list(bar)}'
        f'<div class="fields">{rows}</div>{coffee_fields(bar, said)}'
        f'<div class="fields">{amount_fields("24", "servings")}'
        f"{style_field(bar, style)}{market_field(market)}</div>"
        f"{button('Show the formula')}</form>"
    )
    return Answer("What goes with this coffee?", body)


def amount_fields(value: str, unit: str) -> str:
    """How much."""
    return field("How much", "amount", value, number=True) + pick("of", "unit", AMOUNTS, unit)


def suggest(bar: Bar, asked: Asked) -> Answer:
    """Three shelves to tick from, and blends to open."""
    said = {**coffee_of(asked), **asked.some(("style", "market"))}
    report = report_of("suggest", said, bar.open)
    whole = report.whole
    along = [(k, v) for k, v in said.items() if k != "coffee"]
    along += [("coffee", said["coffee"])] if "coffee" in said else []
    along += [("amount", "24"), ("unit", "servings")]
    shelves = ""
    for key, word in SHELVES:
        if held := whole["shelves"][key]:
            taps = "".join(f"<li>{_tick(s)}</li>" for s in held)
            shelves += f"<h2>{word}</h2><ul class=taps>{taps}</ul>"
    blends = "".join(f"<li>{_blend(b, along)}</li>" for b in whole["blends"])
    coffee = whole["coffees"][0]
    open_ = "".join(f'<p class="care"><b>{clean(t)}</b></p>' for t in whole["not_known"])
    drawn = "".join(pictures.pictures_of(whole).values())
    unknown = (
        ""
        if whole["shelves"]["this"]
        else "<p>What is right for this very coffee is not known: give what its bag says.</p>"
    )
    body = (
        f"<h1>{clean(coffee['words'])}</h1>{open_}<p>{clean(coffee['apart'])}</p>{unknown}"
        f"<h2>Blends: tap one for its formula</h2><ul class=taps>{blends}</ul>"
        f'<form action="/formula">{hidden(along)}{shelves}'
        f"<p>{button('Make a syrup of what is ticked')}</p></form>"
        f'<div class="pics">{drawn}</div>' + _keep("suggest", said)
    )
    return Answer(coffee["words"], body, report)


def _tick(record: Mapping[str, Any]) -> str:
    known = [a for a in record["allergens"] if not a.startswith("NOT KNOWN")]
    told = f" <b>contains {clean(', '.join(known))}</b>" if known else ""
    told += " <b>allergens NOT KNOWN</b>" if len(known) < len(record["allergens"]) else ""
    return (
        f'<label><input type="checkbox" name="ingredients" value="{clean(record["id"])}">'
        f"<span>{clean(record['name'])}{told}</span></label>"
    )


def _blend(blend: Mapping[str, Any], along: Sequence[tuple[str, str]]) -> str:
    names = " + ".join(i["name"].split(",")[0] for i in blend["ingredients"])
    ids = [("ingredients", i["id"]) for i in blend["ingredients"]]
    cares = "".join(
        f" <b>{'Allergen: ' if c['level'] == 'allergen' else ''}{clean(c['text'])}.</b>"
        for c in blend["cautions"]
    )
    why = clean("; ".join(blend["reasons"]))
    return f"{link('/formula', [*ids, *along], names)}<p>{why}.{cares}</p>"


def formula(bar: Bar, asked: Asked) -> Answer:
    """What to weigh and do; scaled and changed in place."""
    said = batch_of(asked)
    report = report_of("formula", said, bar.open)
    whole = report.whole
    along = pairs(said)
    ways = " ".join(
        link(path, [*along, *more], word)
        for path, more, word in (
            ("/drink", [], "In the glass"),
            ("/card", [("kind", "prep")], "Card for the wall"),
            ("/card", [("kind", "recipe")], "Card to share"),
            ("/label", [], "Label of the bottle"),
        )
    )
    amount = next((k for k, _ in AMOUNTS if k in said), "yield_g")
    value = float(whole["yield_g"] if amount == "yield_g" else whole[amount])
    fixed = [p for p in along if p[0] not in ("sugar_g", "dose", *dict(AMOUNTS))]
    given = {d.partition("=")[0]: d.partition("=")[2] for d in said.get("dose", ())}
    held = [  # grams in the pot grow with it: as they are in a kilogram
        ("dose", f"{i['id']}={i['dose_g_per_kg']:.6g}g/kg")
        for i in whole["ingredients"]
        if i["id"] in given
    ]
    times = " ".join(
        link("/formula", [*fixed, *held, (amount, f"{factor * value:.6g}")], word)
        for factor, word in ((0.5, "Half"), (2, "Twice"), (4, "Four times"))
    )  # fmt: skip
    doses = "".join(
        field(f"{i['name']}, {number(i['dose_g_per_kg'])} g/kg now", f"dose.{i['id']}",
              given.get(i["id"], ""), hint="5g/kg, 30g or 2 pieces")
        for i in whole["ingredients"]
    )  # fmt: skip
    kept = [p for p in fixed if p[0] not in ("strength", "brix", "sweetener", "style", "market")]
    sweeteners = [(s.sweetener_id, s.name) for s in bar.open("").catalog.sweeteners.values()]
    change = (
        '<details class="screen"><summary>Another amount, strength, sweetener, dose</summary>'
        f'<form action="/formula">{hidden(kept)}<div class="fields">'
        f"{amount_fields(f'{value:.6g}', amount)}"
        f"{field('Sugar : water, by weight', 'strength', said.get('strength', ''), hint='2:1')}"
        f"{pick('Sweetener', 'sweetener', sweeteners, whole['sweetener'])}"
        f"{style_field(bar, whole['style'])}{market_field(said.get('market', ''))}</div>"
        f"<fieldset><legend>Other doses</legend><div class=fields>{doses}</div></fieldset>"
        f"{hidden((f'was.{k}', v) for k, v in along)}{button('Work it out again')}"
        '<button formaction="/compare">Compare the two</button></form></details>'
    )
    title = title_of(whole)
    body = (
        f"<h1>{clean(title)}</h1><p>For {clean(whole['coffee']['words'])}: "
        f"{whole['servings']:,} drinks of {number(whole['serving_g'])} g syrup.</p>"
    )
    tools = f'<p class="screen">{ways}</p><p class="screen">{times}</p>{change}'
    made = html.formula_body(whole)
    # what must not be served, or nobody has assessed, says so before anything
    if whole["stops"]:
        body = f"<h1>{clean(title)}</h1>{made}{change}"
    elif whole["not_known"]:
        body = f"<h1>{clean(title)}</h1>{made}{tools}{_keep('formula', said)}"
    else:
        body += f"{tools}{made}{_keep('formula', said)}"
    return Answer(title, body, report)


def glass_of(asked: Asked) -> dict[str, Any]:
    """What stands in the glass beside the syrup."""
    said: dict[str, Any] = asked.some(GLASS)
    adds = asked.all("add")
    for row in range(MORE):
        name, much = asked.one(f"more.{row}"), asked.one(f"much.{row}")
        if much and not name:
            raise PairingError(f"{much} of what? name what goes in, or leave its amount out")
        if name:
            adds.append(f"{name}={much}" if much else name)
    if adds:
        said["add"] = adds
    if versions := asked.all("as"):
        said["as"] = versions
    return said


def glass_fields(bar: Bar, said: Mapping[str, Any]) -> str:
    """Fields of what stands in the glass beside the syrup."""
    catalog = bar.open("").catalog
    glasses = [("", "the usual one"), *((g, row.name) for g, row in catalog.glasses.items())]
    mixers = [("", "the usual one"), *((m, row.name) for m, row in catalog.mixers.items())]
    known = "".join(
        f'<option value="{clean(e)}">{clean(row.name)}</option>'
        for e, row in catalog.extras.items()
    )
    adds = [tuple(a.partition("=")[::2]) for a in said.get("add", ())]
    lines = "".join(
        f'<div class="fields">{field("What else goes in or on", f"more.{k}", n, known="extras")}'
        f"{field('How much', f'much.{k}', much, hint='the usual, 40ml, 2 dashes')}</div>"
        for k, (n, much) in enumerate([*adds, *[("", "")] * MORE][:MORE])
    )
    ticks = "".join(
        f'<label class="tick"><input type="checkbox" name="{name}" value="{value}"'
        f"{' checked' if on else ''}>{word}</label>"
        for name, value, word, on in (
            *(("as", v, word, v in said.get("as", ())) for v, word in VERSIONS),
            ("without_coffee", "yes", "Without coffee", bool(said.get("without_coffee"))),
        )
    )
    return (
        f'<datalist id="extras">{known}</datalist><div class="fields">'
        f"{pick('Glass', 'glass', glasses, said.get('glass', ''))}"
        f"{pick('What fizzes, in a sparkling drink', 'mixer', mixers, said.get('mixer', ''))}</div>"
        f"{lines}{ticks}"
    )


def drink(bar: Bar, asked: Asked) -> Answer:
    """The syrup in its glass."""
    batch, glass = batch_of(asked), glass_of(asked)
    said = {**batch, **glass}
    every = bool(asked.one("cautions"))
    report = report_of("drink", {**said, "cautions": every}, bar.open)
    whole = report.whole
    along = [p for p in pairs(batch) if p[0] not in ("style", "serving_g", "milk")]
    milks = [(m, row.name) for m, row in bar.open("").catalog.milks.items()]
    change = (
        '<details class="screen"><summary>Another drink, glass, milk, foam, spirit</summary>'
        f'<form action="/drink">{hidden(along)}<div class="fields">'
        f"{style_field(bar, whole['style'])}"
        f"{field('Syrup, g', 'serving_g', number(whole['syrup_g']), number=True)}"
        f"{pick('Milk, in a milk drink', 'milk', milks, said.get('milk', 'dairy'))}</div>"
        f"{glass_fields(bar, glass)}{button('Build it again')}</form></details>"
    )
    ways = " ".join(
        link(path, [*pairs(fields), *more], word)
        for path, fields, more, word in (
            ("/formula", batch, [], "Back to its formula"),
            ("/card", said, [("kind", "prep")], "Card for the wall"),
            ("/card", said, [("kind", "recipe")], "Card to share"),
        )
    )
    more = link("/drink", [*pairs(said), ("cautions", "yes")], "Every caution")
    made = shown(report) + ("" if every else f'<p class="screen">{more}</p>')
    # what must not be served, or nobody has assessed, says so before anything
    tools = f'<p class="screen">{ways}</p>{change}'
    parts = f"{tools}{made}{_keep('drink', said)}"
    if whole["stops"]:  # it is only to be changed
        parts = f"{made}{change}"
    elif whole["not_known"]:
        parts = f"{made}{tools}{_keep('drink', said)}"
    return Answer("In the glass", f"<h1>In the glass</h1>{parts}", report)


def card(bar: Bar, asked: Asked) -> Answer:
    """A card to print."""
    said = {**batch_of(asked), **glass_of(asked), **asked.some(("kind", "paper", "name"))}
    report = report_of("card", said, bar.open)
    return Answer("Card", "", report, whole=report.extra["html"])


def label(bar: Bar, asked: Asked) -> Answer:
    """A draft label for its bottle."""
    batch, own = batch_of(asked), asked.some(("name", "made_on", "sale", "drink_name"))
    said = {**batch, **own}
    report = report_of("label", said, bar.open)
    change = (
        '<details class="screen"><summary>Its name, day, and how it is sold</summary>'
        f'<form action="/label">{hidden(pairs(batch))}<div class="fields">'
        f"{field('Name on the label', 'name', own.get('name', ''))}"
        f"{field('Day it is made', 'made_on', own.get('made_on', ''), hint='2026-11-24')}"
        f"{pick('How it is sold', 'sale', SOLD, own.get('sale', 'prepacked'))}"
        f"{field('Drink on the menu', 'drink_name', own.get('drink_name', ''))}</div>"
        f"{button('Draft it again')}</form></details>"
    )
    back = f'<p class="screen">{link("/formula", pairs(batch), "Back to its formula")}</p>'
    first = report.whole["stops"] or report.whole["not_known"]
    parts = f"{shown(report)}{back}{change}" if first else f"{back}{change}{shown(report)}"
    return Answer("Label", f"<h1>Label, a draft</h1>{parts}", report)


def ratio(bar: Bar, asked: Asked) -> Answer:
    """The calculator: a syrup by its strength and its mass."""
    said: dict[str, Any] = asked.some(CALCULATOR)
    sweeteners = asked.all("sweetener")[:1]
    if sweeteners:
        said["sweetener"] = sweeteners
    fruit = asked.all("fruit")
    for row in range(3):
        name, grams = asked.one(f"fruit.{row}"), asked.one(f"grams.{row}")
        if bool(name) != bool(grams):
            raise PairingError("each fruit or spice needs its amount, such as orange and 200g")
        if name:
            fruit.append(f"{name}={grams}")
    if fruit:
        said["fruit"] = fruit
    worked = bool(set(said) - {"market", "sweetener"})
    report = report_of("ratio", said, bar.open) if worked else None
    answer = shown(report) + _keep("ratio", said) if report is not None else ""
    first = report is not None and (report.document["stops"] or report.document["not_known"])
    catalog = bar.open("").catalog
    choices = [(s.sweetener_id, s.name) for s in catalog.sweeteners.values()]
    lines = [tuple(f.rpartition("=")[::2]) for f in fruit][:3]
    rows = "".join(
        f'<div class="fields">{field("Fruit or spice", f"fruit.{row}", n, known="names")}'
        f"{field('How much of it', f'grams.{row}', g, hint='180g, 22g/kg, 2 pieces')}</div>"
        for row, (n, g) in enumerate([*lines, *[("", "")] * (3 - len(lines))])
    )
    number_fields = "".join(
        field(word, key, said.get(key, ""), number=True)
        for key, word in (
            ("brix", "or °Bx of the syrup"),
            ("yield_g", "Syrup wanted, g"),
            ("yield_ml", "or ml"),
            ("servings", "or drinks"),
            ("sugar_g", "Sugar to use, g"),
            ("water_g", "Water, g"),
            ("simmer_min", "Minutes on the heat"),
        )
    )
    chosen = sweeteners[0] if sweeteners else "white-cane-sugar"
    body = (
        "<h1>Syrup sums</h1>"
        + (answer if first else "")
        + "<p>Two knowns fix a batch, one of them an amount.</p>"
        f'<form action="/ratio">{names_list(bar)}<div class="fields">'
        f"{field('Sugar : water, by weight', 'strength', said.get('strength', ''), hint='2:1')}"
        f"{number_fields}{pick('Sweetener', 'sweetener', choices, chosen)}"
        f"{market_field(said.get('market', ''))}</div>{rows}{button('Work it out')}</form>"
        + ("" if first else answer)
    )
    return Answer("Syrup sums", body, report)


def pantry(bar: Bar, asked: Asked) -> Answer:
    """What is on the shelf, and what it lacks."""
    market = asked.one("market")
    if market not in dict(MARKETS):
        raise PairingError("the law of eu, uk or us; or none, for the strictest")
    report = pantry_report(bar.open(market))
    taps = "".join(
        f"<h2>{clean(w['coffee'])}</h2>" + _taps("Here", w, "here") + _taps("Not here", w, "gaps")
        for w in report.document["coffees"]
    )
    told = replace(report, blocks=[b for b in report.blocks if not isinstance(b, Bullets)])
    body = (
        "<h1>Pantry</h1>"
        f'<form action="/pantry">{market_field(market)}{button("Under this law")}</form>'
        f"{shown(told)}{taps}"
    )
    return Answer("Pantry", body, report)


def _taps(word: str, wanted: Mapping[str, Any], key: str) -> str:
    """What goes with a coffee, each to be tapped for its formula."""
    found = wanted[key]
    if not found:
        return f"<p>{word}: nothing that goes with it.</p>"
    rows = "".join(
        f"<li>{link('/formula', [('ingredients', i['id']), *_cup(wanted)], told(i))}</li>"
        for i in found
    )
    return f"<p>{word}, and goes with it:</p><ul class=taps>{rows}</ul>"


def _cup(wanted: Mapping[str, Any]) -> list[tuple[str, str]]:
    return [(k, str(v)) for k, v in wanted["said"].items()]


def _keep(command: str, said: Mapping[str, Any]) -> str:
    """A form that hands the question out as a file to take up at the command line."""
    fields = [("command", command), *pairs(said)]
    return (
        f'<form action="/keep" class="screen">{hidden(fields)}'
        f"<details><summary>Keep this as a file</summary>"
        f"{field('Name of the file', 'keep_as', hint='autumn')}{button('Hand it out')}</details>"
        "</form>"
    )
