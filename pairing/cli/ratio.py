"""``pairing ratio``: the calculator alone, and the four small sums of a syrup bench."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

import click

from pairing.bar.pantry import Pantry
from pairing.cards.report import Bullets, Report, Table, Text, number, show
from pairing.cli.make import keeping_record
from pairing.cli.options import Amount, format_option, open_catalog, pantry_option
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.safety import assess as safety
from pairing.syrup import household as units
from pairing.syrup import keeping as stability
from pairing.syrup import ratio as ratios
from pairing.syrup import sugar
from pairing.syrup.formula import (
    SMALLEST_SERVING_G,
    SYRUP_G,
    portion_of,
    refuse_regulated_form,
    sweetener_of,
)

__all__ = ["ratio"]

SECTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("How strong (one, or let the amounts say it)", ("strength", "by_volume", "brix")),
    ("What goes in", ("sugar_g", "water_g", "sweeteners", "portions")),
    (
        "How much",
        ("yield_g", "yield_ml", "servings", "sites", "spare", "serving_g", "factor"),
    ),
    (
        "On the stove and in the sieve",
        ("simmer_min", "heat", "pan_cm", "lid", "pot_g", "evaporated_g", "strain_loss"),
    ),
    ("How to print it", ("household", "how", "pantry", "data_folder", "help")),
)
DEFAULT_SWEETENER = "white-cane-sugar"
CUP_ML = 236.588  # US cup; NIST Handbook 44, Appendix C
TEASPOONS = {"cup": 48, "tablespoon": 3, "teaspoon": 1}  # NIST Handbook 44, Appendix C
DRINK_ML = 240.0  # a 12 fl oz iced drink without its ice: common practice, no source
FRESH_WATER_PERCENT = 40.0  # from here a plant counts as fresh, as in pairing.formula
GRAMS = Amount(0.1, ratios.MOST_GRAMS, open_low=False)  # from what a kitchen scale can weigh
_STRENGTH = re.compile(r"\s*\d+(?:[.,]\d+)?\s*:\s*\d+(?:[.,]\d+)?\s*", re.ASCII)


class Calculator(click.Group):
    """A command that calculates by itself and has four more sums; its help comes in sections."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write options by what they are about, then the other sums."""
        records = {p.name: p.get_help_record(ctx) for p in self.get_params(ctx)}
        for title, names in SECTIONS:
            with formatter.section(title):
                formatter.write_dl([r for n in names if (r := records.get(n)) is not None])
        self.format_commands(ctx, formatter)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Say what would be right where a word is none of the sums."""
        if args and args[0] not in self.commands and not args[0].startswith("-"):
            known = ", ".join(self.commands)
            example = f"--strength {args[0]}" if ":" in args[0] else "--strength 2:1 --yield-g 500"
            raise click.UsageError(
                f"{args[0]!r} is none of {known}; the calculator takes options, such as {example}",
                ctx,
            )
        return super().resolve_command(ctx, args)


@click.group(
    cls=Calculator,
    invoke_without_command=True,
    subcommand_metavar="[correct|blend|swap-strength|swap-sweetener ...]",
)
@click.option("--strength", metavar="2:1", help="Sugar : added water, by weight.")
@click.option("--by-volume", is_flag=True, help="The strength is in cups, not by weight.")
@click.option("--brix", type=Amount(0, 100), help="True °Bx of the finished syrup.")
@click.option("--sugar-g", type=GRAMS, help="Sweetener to use, g.")
@click.option("--water-g", type=Amount(open_low=False), help="Added water, g.")
@click.option(
    "--sweetener",
    "sweeteners",
    multiple=True,
    metavar="NAME[=SHARE]",
    help="What to sweeten with (white cane sugar when not said); repeat with shares for a blend.",
)
@click.option(
    "--fruit",
    "--spice",
    "portions",
    multiple=True,
    metavar="NAME=GRAMS[/kg]",
    help="Fruit, juice, peel, herb or spice in the pot; with /kg per kg of finished syrup. Repeat.",
)
@click.option("--yield-g", type=GRAMS, help="Wanted syrup, g.")
@click.option("--yield-ml", type=GRAMS, help="Wanted syrup, ml at 20 °C.")
@click.option("--servings", type=Amount(0, 1e6), help="Wanted servings.")
@click.option(
    "--site",
    "sites",
    multiple=True,
    metavar="NAME=SERVINGS",
    help="What a site orders; repeat for each site.",
)
@click.option(
    "--serving-g",
    type=Amount(SMALLEST_SERVING_G, 500, open_low=False),
    default=SYRUP_G,
    show_default=True,
    help="Syrup in a drink, g.",
)
@click.option("--spare", type=Amount(0, 100, open_low=False), help="Extra on top of orders, %.")
@click.option("--scale", "factor", type=Amount(0, 1e4), help="Multiply the batch by this.")
@click.option("--simmer-min", type=Amount(0, 1440, open_low=False), help="Minutes on the heat.")
@click.option(
    "--heat",
    type=click.Choice(get_args(ratios.Heat)),
    default="simmer",
    show_default=True,
    help="How hard it cooks.",
)
@click.option(
    "--pan-cm",
    type=Amount(5, 150, open_low=False),
    default=20.0,
    show_default=True,
    help="Inner diameter, cm.",
)
@click.option("--lid", is_flag=True, help="Covered.")
@click.option(
    "--pot-g", type=GRAMS, help="What the pot weighed after cooking, fruit in, pan taken off, g."
)
@click.option("--evaporated-g", type=Amount(open_low=False), help="Water lost, where known, g.")
@click.option(
    "--strain-loss",
    type=Amount(0, 50, open_low=False),
    default=ratios.STRAIN_LOSS_PERCENT,
    show_default=True,
    help="Syrup left on pan and strainer, %.",
)
@click.option("--household", is_flag=True, help="US cups, spoons and pieces beside the grams.")
@format_option()
@pantry_option
@click.pass_context
def ratio(
    ctx: click.Context, /, how: str, pantry: Path | None, data_folder: Path | None, **options: Any
) -> None:
    """The syrup calculator: what to weigh, what comes out, what boils off and stays in the sieve.

    Two knowns fix a batch, one of them an amount: strength or °Bx, sugar, water, yield. A third
    one sets how much to boil off. Fruit counts with its own juice, sugar and acid.

    A batch that must not be served begins with STOP and exits with 1.

    \b
    Examples:
      pairing ratio --strength 2:1 --yield-g 500
      pairing ratio --strength 2:1 --sugar-g 250 --fruit orange=200 --simmer-min 9
      pairing ratio --brix 64 --yield-ml 750 --fruit mandarin=300 --spice clove=1
      pairing ratio --sugar-g 500 --water-g 250 --fruit "lime peel"=30 --pot-g 760
      pairing ratio --strength 1.5:1 --site harbour=120 --site station=80
      pairing ratio --strength 1:1 --by-volume --sweetener honey --servings 24
      pairing ratio correct --batch-g 480 --reads 58 --want 64
      pairing ratio blend 300@1:1 200@2:1
    """
    if ctx.invoked_subcommand is not None:
        given = [
            p.opts[0]
            for p in ctx.command.params
            if p.name and ctx.get_parameter_source(p.name) is click.core.ParameterSource.COMMANDLINE
        ]
        if given:
            raise click.UsageError(
                f"{given[0]} stands before {ctx.invoked_subcommand}; put its options after it", ctx
            )
        return
    opened = open_catalog(pantry, data_folder)
    answer = _calculate(opened.catalog, options)
    made = _report(opened, answer, options["household"])
    show(made, how)
    if made.document["stop"]:
        ctx.exit(1)


# --- from options to a batch --------------------------------------------------------------


@dataclass(frozen=True)
class _Answer:
    """A batch with the rows of the catalogue that it is made from."""

    made: ratios.Batch
    sweeteners: tuple[SweetenerRow, ...]
    forms: tuple[Form, ...]
    serving_g: float
    orders: ratios.Orders | None
    hints: tuple[str, ...]

    @property
    def servings(self) -> int:
        return math.floor(self.made.servings(self.serving_g) + 1e-6)


def _calculate(catalog: Catalog, options: dict[str, Any]) -> _Answer:
    blend = _blend(catalog, options["sweeteners"])
    forms, portions = _portions(catalog, options["portions"])
    orders = _orders(options)
    strength = _strength(catalog, options, [row for row, _ in blend])
    yield_g = options["yield_g"] if orders is None else orders.yield_g
    servings = options["servings"]
    amounts = (options["sugar_g"], options["water_g"])
    yields = [options[k] for k in ("yield_g", "yield_ml", "servings", "sites") if options[k]]
    known = sum(v is not None for v in (strength, options["brix"], *amounts)) + bool(yields)
    known -= strength is not None and None not in amounts  # both amounts say the strength
    _refuse_double(options, known, len(yields))
    cook = ratios.Cook(
        minutes=options["simmer_min"] or 0.0,
        pan_diameter_cm=options["pan_cm"],
        heat=options["heat"],
        lid=options["lid"],
        evaporated_g=options["evaporated_g"],
        pot_g=options["pot_g"],
    )
    made = ratios.solve(
        [(sweetener_of(row), share) for row, share in blend],
        strength=strength,
        sugar_g=options["sugar_g"],
        water_g=options["water_g"],
        brix=options["brix"],
        yield_g=yield_g,
        yield_ml=options["yield_ml"],
        servings=servings,
        serving_g=None if servings is None else options["serving_g"],
        portions=portions,
        cook=cook,
        strain_loss_percent=options["strain_loss"],
    )
    if options["factor"] is not None:
        made = ratios.scale(made, options["factor"])
    hints = []
    if options["simmer_min"] and (options["pot_g"] or options["evaporated_g"] is not None):
        hints.append("what was measured counts, not the minutes")
    rows = tuple(row for row, _ in blend)
    return _Answer(made, rows, tuple(forms), options["serving_g"], orders, tuple(hints))


def _refuse_double(options: dict[str, Any], known: int, yields: int) -> None:
    """Refuse what the calculator would have to ignore."""
    if yields > 1:
        raise PairingError(
            "the amount is said twice; give one of --yield-g, --yield-ml, --servings and --site"
        )
    if options["spare"] is not None and not options["sites"]:
        raise PairingError("--spare goes on top of orders; give them with --site NAME=SERVINGS")
    if options["factor"] is not None and options["sites"]:
        raise PairingError("orders set the batch; leave --scale out, or use --spare")
    if options["by_volume"] and options["strength"] is None:
        raise PairingError("--by-volume needs a strength, such as --strength 1:1")
    measured = [o for o in ("simmer_min", "pot_g", "evaporated_g") if options[o] is not None]
    if known == 3 and measured:
        raise PairingError(
            "three knowns set how much to boil off; leave one of them out, or "
            f"--{measured[0].replace('_', '-')}"
        )


def _named(texts: Sequence[str], option: str, example: str) -> list[tuple[str, str]]:
    """``NAME=VALUE`` options, each name once."""
    out: dict[str, str] = {}
    for text in texts:
        name, _, value = (part.strip() for part in text.rpartition("="))
        if not (name and value and name.isprintable()):
            raise PairingError(f"{option} {text!r:.60} should look like {example}")
        if name in out:
            raise PairingError(f"{option} names {name!r:.60} twice; add the amounts up")
        out[name] = value
    return list(out.items())


def _positive(text: str, what: str, high: float) -> float:
    """A number above 0."""
    try:
        value = float(text)
    except ValueError:
        raise PairingError(f"{what}: {text!r:.40} is not a number") from None
    if not 0 < value <= high:
        raise PairingError(f"{what}: {text!r:.40} should be more than 0 and at most {high:g}")
    return value


def _blend(catalog: Catalog, texts: Sequence[str]) -> list[tuple[SweetenerRow, float]]:
    """Sweeteners and their shares."""
    if len(texts) <= 1 and "=" not in "".join(texts):
        return [(catalog.sweetener(texts[0] if texts else DEFAULT_SWEETENER), 1.0)]
    rows = [
        (catalog.sweetener(name), _positive(share, f"--sweetener {name}", 1e6))
        for name, share in _named(texts, "--sweetener", "honey=20, each with its share of a blend")
    ]
    _refuse_twice("--sweetener", [row.sweetener_id for row, _ in rows])
    return rows


def _portions(catalog: Catalog, texts: Sequence[str]) -> tuple[list[Form], list[ratios.Portion]]:
    """Fruit and spice of ``--fruit``."""
    forms, portions = [], []
    for name, value in _named(texts, "--fruit", "orange=200 or orange=400/kg"):
        amount, slash, unit = value.partition("/")
        if slash and unit.strip().casefold() != "kg":
            raise PairingError(
                f"--fruit {name}={value}: say grams as in {name}=200, or per kg of finished syrup "
                f"as in {name}=400/kg"
            )
        grams = _positive(amount, f"--fruit {name}", ratios.MOST_GRAMS)
        form = catalog.form(name)
        refuse_regulated_form(catalog, form)
        forms.append(form)
        portions.append(portion_of(catalog, form, grams, "kg syrup" if slash else "batch"))
    _refuse_twice("--fruit", [f.form_id for f in forms])
    return forms, portions


def _refuse_twice(option: str, ids: Sequence[str]) -> None:
    for i, ident in enumerate(ids):
        if ident in ids[:i]:
            raise PairingError(f"{option} names {ident} twice; add the amounts up")


def _orders(options: dict[str, Any]) -> ratios.Orders | None:
    if not options["sites"]:
        return None
    sites = {
        name: _positive(value, f"--site {name}", 1e6)
        for name, value in _named(options["sites"], "--site", "harbour=120")
    }
    return ratios.orders(sites, options["serving_g"], options["spare"] or 0.0)


def _parse(text: str) -> float:
    """``2:1`` as sugar over water."""
    if not _STRENGTH.fullmatch(text):
        raise PairingError(f"strength must be sugar : water such as 2:1, got {text!r:.40}")
    return ratios.parse_strength(text)


def _strength(
    catalog: Catalog, options: dict[str, Any], sweeteners: Sequence[SweetenerRow]
) -> float | None:
    """Strength by weight; by volume it takes what a cup of the sweetener weighs."""
    if options["strength"] is None:
        return None
    parts = _parse(options["strength"])
    if not options["by_volume"]:
        return parts
    if len(sweeteners) > 1:
        raise PairingError("a blend has no weight of a cup; give the strength by weight")
    cup = _cup_g(catalog, sweeteners[0].sweetener_id)
    if cup is None:
        raise PairingError(
            f"nobody has weighed a cup of {sweeteners[0].sweetener_id}; give the strength by weight"
        )
    return parts * cup / (ratios.WATER_G_PER_ML * CUP_ML)


# --- household measures -------------------------------------------------------------------


def _cup_g(catalog: Catalog, item_id: str) -> float | None:
    """Grams in a cup, from the largest measure that was weighed."""
    weighed = {m.measure: m.grams for m in catalog.household if m.item_id == item_id}
    for measure, teaspoons in TEASPOONS.items():
        if measure in weighed:
            return weighed[measure] * TEASPOONS["cup"] / teaspoons
    return None


def _household(catalog: Catalog, item_id: str, grams: float, form: Form | None = None) -> str:
    """A household measure, or nothing where nobody weighed one."""
    about = units.household(item_id, grams, catalog.household)
    if about is None and form is not None and form.unit_mass_g:
        about = units.pieces(grams, form.unit_mass_g, form.unit_name.removeprefix("one "))
    return about or ""


# --- printing -----------------------------------------------------------------------------


def _g(grams: float) -> str:
    """Grams to 0.1 g, below 1 g to 0.01 g."""
    return f"{grams:.2f}" if 0 < grams < 0.995 else f"{grams:,.1f}"


def _weighed(catalog: Catalog, answer: _Answer) -> list[tuple[str, str, float, str]]:
    """(id, label, grams, household measure) of all that is weighed."""
    made = answer.made
    rows = [
        (row.sweetener_id, row.name, grams, _household(catalog, row.sweetener_id, grams))
        for row, (_, grams) in zip(answer.sweeteners, made.sweeteners, strict=True)
    ]
    rows.append(("water", "Water", made.water_g, _household(catalog, "water", made.water_g)))
    rows += [
        (form.form_id, form.label, grams, _household(catalog, form.form_id, grams, form))
        for form, (_, grams) in zip(answer.forms, made.portions, strict=True)
    ]
    return rows


def _report(pantry: Pantry, answer: _Answer, household: bool) -> Report:
    catalog, made = pantry.catalog, answer.made
    weighed = _weighed(catalog, answer)
    columns = ["what", "grams", *(["household"] if household else [])]
    rows = [[label, _g(g), *([about] if household else [])] for _, label, g, about in weighed]
    keeping = stability.assess(
        made.composition,
        _kind(catalog, answer.forms),
        needs_control=safety.needs_control,
    )
    stops, watch = _findings(catalog, answer)
    cost = _cost(pantry, answer)
    blocks: list[Text | Bullets | Table] = [
        *(Text(f"STOP: {text}") for text in stops),
        Table("Weigh", columns, rows),
        Bullets("What comes out", _outcome(answer, cost)),
        Bullets("On the way", _losses(answer)),
    ]
    if answer.orders is not None:
        blocks.append(_sites_table(answer, made.composition.density))
    blocks.append(Bullets("Keeping", _keeping_words(keeping)))
    if watch:
        blocks.append(Bullets("Watch", watch))
    blocks.append(Bullets("Hot sugar", ratios.CAUTIONS))
    document = _document(answer, weighed, keeping, cost, stops, watch, household)
    return Report(document, blocks, _csv(answer, weighed, stops, household), "ratio")


def _kind(catalog: Catalog, forms: Sequence[Form]) -> stability.Kind:
    """How careful to be with it: as :meth:`pairing.syrup.formula.Formula.keeping`."""
    if not forms:
        return "plain"
    fresh = any(
        catalog.kind(f) == "citrus" or (f.water_percent or 0) > FRESH_WATER_PERCENT for f in forms
    )
    return "fruit" if fresh else "spice"


def _outcome(answer: _Answer, cost: dict[str, Any] | None) -> list[str]:
    made = answer.made
    sugars = made.composition.sugars / made.yield_g * answer.serving_g
    weighed = f"weighed as {number(made.strength)}:1; " if made.strength else ""
    solids = made.composition.dissolved / made.composition.water
    lines = [
        f"{_g(made.yield_g)} g of syrup, {made.yield_ml:,.0f} ml at 20 °C",
        f"{made.brix:.1f} °Bx true; a refractometer reads about {made.reading_brix:.1f}",
        f"{weighed}finished it holds {number(solids)} g of solids to 1 g of water",
        f"{answer.servings:,} servings of {number(answer.serving_g)} g, "
        f"{number(sugars, 2)} g sugar in each",
    ]
    if made.composition.acid > 0:
        lines.append(f"acid {number(made.composition.acid_percent, 2)} % as citric")
    if cost:
        lines.append(cost["text"])
    return lines


def _losses(answer: _Answer) -> list[str]:
    made = answer.made
    lines = []
    cook = made.cook
    if any(note.startswith("boil off") for note in made.notes):
        pass  # the note says how much and how long
    elif made.evaporated_g > 0:
        by_clock = cook.minutes and cook.evaporated_g is None and cook.pot_g is None
        how = f" in {number(cook.minutes, 2)} min ({cook.heat})" if by_clock else ""
        lines.append(f"{_g(made.evaporated_g)} g of water boils off{how}")
    else:
        lines.append("no water is counted as boiled off; say --simmer-min, or weigh: --pot-g")
    if made.drained_g > 0:
        lines.append(f"before straining the pot holds {_g(made.pot_g)} g")
        lines.append(
            f"the drained pieces weigh {_g(made.drained_g)} g, of which {_g(made.carried_g)} g is "
            "syrup carried off"
        )
    if made.cling_g > 0:
        lines.append(f"{_g(made.cling_g)} g stays on pan and strainer")
    return [*lines, *made.notes, *answer.hints]


def _keeping_words(keeping: stability.Stability) -> list[str]:
    """The first word of advice, what the fridge does, and the deferral."""
    crystals = [w for w in keeping.words[2:-2] if w.startswith("In the fridge it holds")]
    return [keeping.words[0], *crystals[:1], stability.DISCLAIMER]


def _sites_table(answer: _Answer, density: float) -> Table:
    assert answer.orders is not None
    rows = [
        [name, _g(grams), f"{grams / density * 1000.0:,.0f}"]
        for name, grams in answer.orders.per_site_g
    ]
    return Table("Send", ["site", "grams", "ml"], rows)


def _findings(catalog: Catalog, answer: _Answer) -> tuple[list[str], list[str]]:
    """Stops, and other limits and cautions, of what goes in, in a usual drink."""
    used = [
        safety.portion(catalog, f, grams)
        for f, (_, grams) in zip(answer.forms, answer.made.portions, strict=True)
    ]
    used += [safety.Portion(i, "syrup", grams, "sweetener") for i, grams in answer.made.sweeteners]
    drink = max(DRINK_ML, answer.serving_g)
    serving = safety.Serving(answer.made.yield_g, answer.serving_g, drink)
    # sweeteners alone need no composition table, which takes longer to read than all the rest
    contents = safety.contents_of(catalog) if answer.forms else safety.contents_from(_no_aroma)
    found = safety.assess(used, serving, contents)
    stops = [f.text for f in found if f.level == "stop"]
    watch = [
        f"{f.level}: {f.text}" + ("" if f.who in ("", "everyone") else f" [{f.who}]")
        for f in found
        if f.level in ("limit", "caution") or (f.level, f.code) == ("note", "allergen")
    ]
    return stops, watch


def _no_aroma(ingredient_id: str, form: str) -> dict[str, float]:
    return {}


def _cost(pantry: Pantry, answer: _Answer) -> dict[str, Any] | None:
    if not pantry.price_per_kg:
        return None
    spent = ratios.cost(answer.made, pantry.price_per_kg, answer.serving_g)
    assert spent.per_serving is not None
    unit = f" {pantry.currency}" if pantry.currency else ""
    text = f"costs {spent.total:.2f}{unit} a batch, {spent.per_serving:.3f}{unit} a serving"
    if spent.missing:
        text += f"; no price for {', '.join(spent.missing)}"
    return {
        "text": text,
        "currency": pantry.currency,
        "batch": spent.total,
        "per_kg": spent.per_kg,
        "per_serving": spent.per_serving,
        "no_price_for": list(spent.missing),
    }


def _document(
    answer: _Answer,
    weighed: Sequence[tuple[str, str, float, str]],
    keeping: stability.Stability,
    cost: dict[str, Any] | None,
    stops: Sequence[str],
    watch: Sequence[str],
    household: bool,
) -> dict[str, Any]:
    made = answer.made
    measured = made.cook.pot_g is not None or made.cook.evaporated_g is not None
    document: dict[str, Any] = {
        "stop": list(stops),
        "strength_g_sugar_per_g_water": made.strength,
        "sugar_g": made.sugar_g,
        "water_g": made.water_g,
        "sweeteners": [{"id": i, "grams": g} for i, g in made.sweeteners],
        "fruit": [{"id": i, "grams": g} for i, g in made.portions],
        "put_in_g": made.put_in_g,
        "simmer_min": None if measured else made.cook.minutes,
        "evaporated_g": made.evaporated_g,
        "pot_before_straining_g": made.pot_g,
        "drained_g": made.drained_g,
        "carried_off_g": made.carried_g,
        "left_on_pan_g": made.cling_g,
        "yield_g": made.yield_g,
        "yield_ml": made.yield_ml,
        "brix": made.brix,
        "refractometer_brix": made.reading_brix,
        "acid_percent_as_citric": made.composition.acid_percent,
        "servings": answer.servings,
        "serving_g": answer.serving_g,
        "sugar_per_serving_g": made.composition.sugars / made.yield_g * answer.serving_g,
        "keeping": keeping_record(keeping),
        "cost": cost,
        "notes": [*made.notes, *answer.hints],
        "cautions": [*stops, *watch, *ratios.CAUTIONS],
    }
    if answer.orders is not None:
        document["sites"] = [{"site": n, "grams": g} for n, g in answer.orders.per_site_g]
    if household:
        document["household"] = [{"id": i, "about": about} for i, _, _, about in weighed]
    return document


def _csv(
    answer: _Answer,
    weighed: Sequence[tuple[str, str, float, str]],
    stops: Sequence[str],
    household: bool,
) -> Table:
    made = answer.made
    rows: list[list[Any]] = [["stop", None, text, ""] for text in stops]
    rows += [[i, g, "weigh", about] for i, _, g, about in weighed]
    rows += [
        ["boiled off", made.evaporated_g, "lost", ""],
        ["drained pieces with their syrup", made.drained_g, "lost", ""],
        ["left on pan and strainer", made.cling_g, "lost", ""],
        ["syrup", made.yield_g, "yield", ""],
    ]
    if answer.orders is not None:
        rows += [[name, grams, "send", ""] for name, grams in answer.orders.per_site_g]
    width = 4 if household else 3
    columns = ["item", "grams", "what", "household"][:width]
    return Table("", columns, [row[:width] for row in rows])


# --- the four small sums ------------------------------------------------------------------


def _brix_of(text: str, what: str) -> float:
    """A strength written as °Bx or as sugar : water."""
    if ":" in text:
        parts = _parse(text)
        return 100.0 * parts / (1.0 + parts)
    return _positive(text, f"{what} as °Bx (or sugar : water as in 2:1)", 85.0)


def _small(
    command: str, document: dict[str, Any], table: Table, notes: Sequence[str], how: str
) -> None:
    """Print a small sum."""
    blocks: list[Text | Bullets | Table] = [table]
    if notes:
        blocks.append(Bullets("", notes))
    data = Table("", table.columns, table.rows)
    show(Report({**document, "notes": list(notes)}, blocks, data, f"ratio {command}"), how)


@ratio.command(short_help="It reads this, I want that.")
@click.option("--batch-g", type=GRAMS, required=True, help="Syrup in the pot, g.")
@click.option("--reads", type=Amount(0, 85, open_low=False), required=True, help="It reads, °Bx.")
@click.option("--want", required=True, metavar="64|2:1", help="Wanted, °Bx or sugar : water.")
@click.option(
    "--acid",
    type=Amount(0, 20, open_low=False),
    default=0.0,
    help="Acid of a fruit syrup as citric, %: it makes the reading low.",
)
@click.option(
    "--sample-c",
    type=Amount(0, 60, open_low=False),
    help="Temperature of the sample, °C, if the refractometer does not correct for it by itself.",
)
@format_option()
def correct(
    batch_g: float, reads: float, want: str, acid: float, sample_c: float | None, how: str
) -> None:
    """It reads this, I want that: sugar or water to add, or water to boil off.

    \b
    Examples:
      pairing ratio correct --batch-g 480 --reads 58 --want 64
      pairing ratio correct --batch-g 900 --reads 68.5 --want 2:1 --sample-c 26
    """
    target = _brix_of(want, "--want")
    found = ratios.correct_to_brix(
        batch_g,
        reads,
        target,
        temperature_c=20.0 if sample_c is None else sample_c,
        acid_percent=acid,
        compensated=sample_c is None,
    )
    ways = [
        ("add sugar", found.add_sugar_g, found.mass_after_sugar_g),
        ("boil off water", found.boil_off_g, found.mass_after_boil_g),
        ("add water", found.add_water_g, found.mass_after_water_g),
    ]
    rows = [[way, _g(grams), _g(after)] for way, grams, after in ways if grams >= 0.005]
    title = f"From {found.brix_now:.1f} to {target:.1f} °Bx (true): do one of"
    notes = [] if rows else [f"it is at {found.brix_now:.1f} °Bx (true): nothing to do"]
    room = float(sugar.solubility(20.0))
    if target > room:
        notes.append(
            f"above {room:.1f} °Bx plain sugar syrup crystallises at 20 °C; swap part of the sugar "
            "for glucose or invert syrup"
        )
    if any(way != "add water" for way, _, _ in rows):
        notes += ["stir until clear, cool a sample, read again", *ratios.CAUTIONS[:3]]
    document = {
        "batch_g": batch_g,
        "brix_now": found.brix_now,
        "brix_wanted": target,
        "add_sugar_g": found.add_sugar_g,
        "boil_off_g": found.boil_off_g,
        "add_water_g": found.add_water_g,
        "cautions": list(ratios.CAUTIONS),
    }
    table = Table(title, ["way", "grams", "batch_then_g"], rows)
    _small("correct", document, table, notes, how)


@ratio.command(short_help="Pour two syrups together, or make a strength of two.")
@click.argument("first", metavar="FIRST")
@click.argument("second", metavar="SECOND")
@click.option("--want", metavar="60|1.5:1", help="Wanted, °Bx or sugar : water.")
@click.option("--make-g", type=GRAMS, help="How much of it, g.")
@format_option()
def blend(first: str, second: str, want: str | None, make_g: float | None, how: str) -> None:
    """Pour two syrups together, or find how much of each makes a wanted strength.

    FIRST and SECOND are GRAMS@STRENGTH, or STRENGTH alone with --want and --make-g. A strength
    is °Bx (66.7) or sugar : water by weight (2:1).

    \b
    Examples:
      pairing ratio blend 300@1:1 200@2:1
      pairing ratio blend 50 2:1 --want 60 --make-g 500
    """
    if (want is None) != (make_g is None):
        raise PairingError("give --want and --make-g together, or neither and GRAMS@STRENGTH")
    if want is None or make_g is None:
        (first_g, first_bx), (second_g, second_bx) = _poured(first), _poured(second)
        brix = ratios.blend_syrups(first_g, first_bx, second_g, second_bx)
    else:
        if "@" in first + second:
            raise PairingError("with --want the grams are worked out; give strengths alone")
        brix = _brix_of(want, "--want")
        first_bx, second_bx = _brix_of(first, "FIRST"), _brix_of(second, "SECOND")
        first_g, second_g = ratios.blend_for(make_g, brix, first_bx, second_bx)
    total = first_g + second_g
    rows = [
        ["first", _g(first_g), f"{first_bx:.1f}"],
        ["second", _g(second_g), f"{second_bx:.1f}"],
        ["together", _g(total), f"{brix:.1f}"],
    ]
    document = {
        "first": {"grams": first_g, "brix": first_bx},
        "second": {"grams": second_g, "brix": second_bx},
        "yield_g": total,
        "yield_ml": total / float(sugar.density(brix)) * 1000.0,
        "brix": brix,
    }
    notes = ["the blend keeps no longer than the older of the two: carry over the earlier date"]
    _small("blend", document, Table("Pour", ["syrup", "grams", "brix"], rows), notes, how)


def _poured(text: str) -> tuple[float, float]:
    """``300@2:1`` as grams and °Bx."""
    grams, at, strength = text.partition("@")
    if not at:
        raise PairingError(
            f"{text!r:.40} should be grams@strength such as 300@2:1 or 300@66.7; "
            "for strengths alone give --want and --make-g"
        )
    where = f"{text!r:.40}"
    return _positive(grams, f"{where} grams", ratios.MOST_GRAMS), _brix_of(strength, where)


@ratio.command("swap-strength", short_help="Another strength in a drink.")
@click.option("--syrup-g", type=GRAMS, required=True, help="Syrup in the drink now, g.")
@click.option("--from", "old", required=True, metavar="1:1", help="Its strength.")
@click.option("--to", "new", required=True, metavar="2:1", help="Strength to use in its place.")
@click.option(
    "--drink-water-g",
    type=Amount(open_low=False),
    help="Water or soda of the drink that may be left out, g.",
)
@format_option()
def swap_strength(
    syrup_g: float, old: str, new: str, drink_water_g: float | None, how: str
) -> None:
    """Use another strength of syrup in a drink, its sugar and its water kept.

    A strength is sugar : water by weight (2:1) or °Bx (66.7).

    \b
    Examples:
      pairing ratio swap-strength --syrup-g 20 --from 1:1 --to 2:1
      pairing ratio swap-strength --syrup-g 20 --from 66.7 --to 50
    """
    before, after = _brix_of(old, "--from"), _brix_of(new, "--to")
    found = ratios.swap_strength(syrup_g, before, after, drink_water_g)
    change = found.drink_water_change_g
    rows = [
        ["syrup now", _g(syrup_g), f"{before:.1f}"],
        ["syrup in its place", _g(found.syrup_g), f"{after:.1f}"],
        [f"water to {'add to' if change >= 0 else 'leave out of'} the drink", _g(abs(change)), ""],
    ]
    document = {
        "syrup_g": found.syrup_g,
        "drink_water_change_g": change,
        "sugar_g": syrup_g * before / 100.0,
        "brix_before": before,
        "brix_after": after,
    }
    notes = []
    if change < 0 and drink_water_g is None:
        notes.append("the drink must have that much water or soda to leave out")
    _small("swap-strength", document, Table("", ["what", "grams", "brix"], rows), notes, how)


@ratio.command("swap-sweetener", short_help="Another sweetener in a syrup.")
@click.argument("old", metavar="OLD")
@click.argument("new", metavar="NEW")
@click.option("--grams", type=GRAMS, required=True, help="Grams of OLD.")
@click.option(
    "--keep",
    type=click.Choice(["sweetness", "solids"]),
    default="sweetness",
    show_default=True,
    help="What must stay the same.",
)
@format_option()
@pantry_option
def swap_sweetener(
    old: str,
    new: str,
    grams: float,
    keep: Any,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """Use another sweetener, as sweet as before or with the same solids.

    \b
    Examples:
      pairing ratio swap-sweetener sugar honey --grams 250
      pairing ratio swap-sweetener sugar "glucose syrup" --grams 250 --keep solids
    """
    catalog = open_catalog(pantry, data_folder).catalog
    before, after = catalog.sweetener(old), catalog.sweetener(new)
    found = ratios.swap_sweetener(sweetener_of(before), grams, sweetener_of(after), keep)
    change = found.water_change_g
    rows = [
        [f"{before.name} now", _g(grams)],
        [f"{after.name} in its place", _g(found.grams)],
        [f"water to {'add' if change >= 0 else 'leave out'}", _g(abs(change))],
    ]
    notes = (
        [f"dissolved solids change by {found.solids_change_g:+.1f} g: the °Bx moves with them"]
        if keep == "sweetness"
        else [f"sweetness changes by {100 * found.sweetness_change:+.0f} %"]
    )
    notes.append("relative sweetness shifts with strength and temperature: taste before the batch")
    notes += [
        f"{h.severity}: {h.text}"
        for h in safety.hazards_for(after.sweetener_id)
        if h.severity != "note"
    ]
    notes += [f"allergen: {a.word}" for a in safety.allergens_for(after.sweetener_id)]
    document = {
        "old": {"id": before.sweetener_id, "grams": grams},
        "new": {"id": after.sweetener_id, "grams": found.grams},
        "water_change_g": change,
        "sweetness_change_percent": 100.0 * found.sweetness_change,
        "solids_change_g": found.solids_change_g,
    }
    _small("swap-sweetener", document, Table("", ["what", "grams"], rows), notes, how)
