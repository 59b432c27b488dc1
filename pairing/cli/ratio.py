"""``pairing ratio``: the calculator alone, and the four small sums of a syrup bench."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, get_args

import click

from pairing.aroma.serve import SYRUP_G
from pairing.bar.pantry import Pantry
from pairing.cards import ratio as cards
from pairing.cards.report import Report, show
from pairing.cli.options import (
    Amount,
    answer,
    format_option,
    open_catalog,
    pantry_option,
    picture_option,
)
from pairing.cli.saved import saved_options
from pairing.errors import PairingError
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.evidence.rows import Sweetener as SweetenerRow
from pairing.syrup import addition, composition, cooked, corrections, pot
from pairing.syrup import balance as balancing
from pairing.syrup import orders as ordering
from pairing.syrup.acidity import acidify as acid_for
from pairing.syrup.acidity import find_powder, powder_portion
from pairing.syrup.asked import SMALLEST_SERVING_G, refuse_regulated_form, refuse_tiny
from pairing.syrup.brought import portion_of, sweetener_of
from pairing.syrup.quantities import grams_of, parse_quantity
from pairing.syrup.strength import by_weight, parse_strength
from pairing.syrup.sweetness import COLD_C, HOT_C

__all__ = ["ratio", "ratio_report"]

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
    (
        "How to print it",
        (
            "household",
            "how",
            "picture",
            "save",
            "force",
            "from_file",
            "market",
            "pantry",
            "data_folder",
            "help",
        ),
    ),
)
SCALE_WARNS_G = 1.0  # below it a 1 g or 0.1 g scale is out by a tenth or more
DEFAULT_SWEETENER = "white-cane-sugar"
GRAMS = Amount(0.1, composition.MOST_GRAMS, open_low=False)  # from what a kitchen scale can weigh


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
    subcommand_metavar="[correct|blend|acidify|swap-... ...]",
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
    metavar="NAME=180g",
    help="Fruit, juice, peel, herb, spice or acid powder: 180g in the pot, 22g/kg of finished "
    "syrup, 2 sticks, 1 tbsp. Repeat.",
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
    type=click.Choice(get_args(pot.Heat)),
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
    default=pot.STRAIN_LOSS_PERCENT,
    show_default=True,
    help="Syrup left on pan and strainer, %.",
)
@click.option("--household", is_flag=True, help="US cups, spoons and pieces beside the grams.")
@format_option()
@picture_option
@saved_options
@pantry_option
@click.pass_context
def ratio(
    ctx: click.Context, /, how: str, pantry: Path | None, data_folder: Path | None, **options: Any
) -> None:
    """The syrup calculator: what to weigh, what comes out, what boils off and stays in the sieve.

    Two knowns fix a batch, one of them an amount: strength or °Bx, sugar, water, yield. A third
    one sets how much to boil off. Fruit counts with its own juice, sugar and acid.

    A batch that must not be served begins with STOP and exits with 3.

    \b
    Examples:
      pairing ratio --strength 2:1 --yield-g 500
      pairing ratio --strength 2:1 --sugar-g 250 --fruit orange=200g
      pairing ratio --brix 64 --yield-ml 750 --fruit mandarin=300g --spice mace=1g
      pairing ratio --sugar-g 500 --water-g 250 --fruit lime-peel=30g --pot-g 760
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
    answer(ratio_report(open_catalog(pantry, data_folder), options), how)


def ratio_report(opened: Pantry, options: dict[str, Any]) -> Report:
    """The card of the batch that the options of :func:`ratio` ask for."""
    found = _calculate(opened.catalog, options)
    return cards.report(opened, found, options["household"])


# --- from options to a batch --------------------------------------------------------------


def _calculate(catalog: Catalog, options: dict[str, Any]) -> cards.Calculation:
    blend = _blend(catalog, options["sweeteners"])
    minutes = options["simmer_min"]
    stages = ((minutes, cooked.HEAT_C[options["heat"]]),) if minutes else None
    forms, portions = _portions(catalog, options["portions"], stages)
    orders = _orders(options)
    strength = _strength(catalog, options, [row for row, _ in blend])
    yield_g = options["yield_g"] if orders is None else orders.yield_g
    servings = options["servings"]
    amounts = (options["sugar_g"], options["water_g"])
    yields = [options[k] for k in ("yield_g", "yield_ml", "servings", "sites") if options[k]]
    known = sum(v is not None for v in (strength, options["brix"], *amounts)) + bool(yields)
    known -= strength is not None and None not in amounts  # both amounts say the strength
    _refuse_double(options, known, len(yields))
    cook = pot.Cook(
        minutes=options["simmer_min"] or 0.0,
        pan_diameter_cm=options["pan_cm"],
        heat=options["heat"],
        lid=options["lid"],
        evaporated_g=options["evaporated_g"],
        pot_g=options["pot_g"],
    )
    made, _ = cooked.solve_cooked(
        [(sweetener_of(row), share) for row, share in blend],
        stages or (),
        cook,
        strength=strength,
        sugar_g=options["sugar_g"],
        water_g=options["water_g"],
        brix=options["brix"],
        yield_g=yield_g,
        yield_ml=options["yield_ml"],
        servings=servings,
        serving_g=None if servings is None else options["serving_g"],
        portions=portions,
        strain_loss_percent=options["strain_loss"],
    )
    if options["factor"] is not None:
        made = balancing.scale(made, options["factor"])
    refuse_tiny(made.yield_g)
    hints = []
    light = [name for name, grams in made.portions if 0 < grams < SCALE_WARNS_G]
    if light:
        hints.append(f"less than 1 g of {' and '.join(light)}: weigh it on a 0.01 g scale")
    if options["simmer_min"] and (options["pot_g"] or options["evaporated_g"] is not None):
        hints.append("what was measured counts, not the minutes")
    rows = tuple(row for row, _ in blend)
    return cards.Calculation(made, rows, tuple(forms), options["serving_g"], orders, tuple(hints))


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
        raise PairingError(f"{what}: {text!r:.40} should be more than 0 and at most {high:,.10g}")
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


def _portions(
    catalog: Catalog, texts: Sequence[str], stages: tuple[tuple[float, float], ...] | None
) -> tuple[list[Form], list[addition.Addition]]:
    """Fruit, spice and powders of ``--fruit``."""
    forms, portions, powders = [], [], []
    for name, value in _named(texts, "--fruit", "orange=200g or orange=400g/kg"):
        said = parse_quantity(value, f"--fruit {name}")
        per: addition.Per = "kg syrup" if said.per_kg else "batch"
        powder = find_powder(catalog, name)
        if powder is not None:
            grams = grams_of(said, [powder.powder_id], catalog.household)
            powders.append(powder_portion(powder, grams, per))
            continue
        form = catalog.form(name)
        refuse_regulated_form(catalog, form)
        ids = [form.form_id, form.ingredient_id]
        grams = grams_of(said, ids, catalog.household, form)
        forms.append(form)
        portions.append(portion_of(catalog, form, grams, per, stages=stages))
    _refuse_twice("--fruit", [f.form_id for f in forms])
    _refuse_twice("--fruit", [p.name for p in powders])
    return forms, [*portions, *powders]


def _refuse_twice(option: str, ids: Sequence[str]) -> None:
    for i, ident in enumerate(ids):
        if ident in ids[:i]:
            raise PairingError(f"{option} names {ident} twice; add the amounts up")


def _orders(options: dict[str, Any]) -> ordering.Orders | None:
    if not options["sites"]:
        return None
    sites = {
        name: _positive(value, f"--site {name}", 1e6)
        for name, value in _named(options["sites"], "--site", "harbour=120")
    }
    return ordering.orders(sites, options["serving_g"], options["spare"] or 0.0)


def _strength(
    catalog: Catalog, options: dict[str, Any], sweeteners: Sequence[SweetenerRow]
) -> float | None:
    """Strength by weight."""
    if options["strength"] is None:
        return None
    ids = [row.sweetener_id for row in sweeteners]
    return by_weight(options["strength"], options["by_volume"], ids, catalog.household)


# --- the four small sums ------------------------------------------------------------------


def _brix_of(text: str, what: str) -> float:
    """A strength written as °Bx or as sugar : water."""
    if ":" in text:
        parts = parse_strength(text)
        return 100.0 * parts / (1.0 + parts)
    return _positive(text, f"{what} as °Bx (or sugar : water as in 2:1)", 85.0)


@ratio.command(short_help="It reads this, I want that.")
@click.option("--batch-g", type=GRAMS, required=True, help="Syrup in the pot, g.")
@click.option("--reads", required=True, metavar="58|1:1", help="It reads, °Bx or sugar : water.")
@click.option(
    "--sweetener", default=DEFAULT_SWEETENER, metavar="NAME", help="What it is of: honey reads low."
)
@click.option(
    "--inverted",
    type=Amount(0, 100, open_low=False),
    default=0.0,
    help="Sucrose that acid and heat split, %, as `formula` says: it reads low.",
)
@click.option("--want", required=True, metavar="64|2:1", help="Wanted, °Bx or sugar : water.")
@click.option(
    "--acid",
    type=Amount(0, 20, open_low=False),
    default=0.0,
    help="Acid of a fruit syrup as citric, %: it makes the reading low.",
)
@click.option(
    "--sample-c",
    type=Amount(10, 30, open_low=False),
    help="Temperature of the sample, °C, if the refractometer does not correct for it by itself.",
)
@format_option()
@pantry_option
def correct(
    batch_g: float,
    reads: str,
    sweetener: str,
    inverted: float,
    want: str,
    acid: float,
    sample_c: float | None,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """It reads this, I want that: sugar or water to add, or water to boil off.

    \b
    Examples:
      pairing ratio correct --batch-g 480 --reads 58 --want 64
      pairing ratio correct --batch-g 900 --reads 68.5 --want 2:1 --sample-c 26
      pairing ratio correct --batch-g 600 --reads 1:1 --want 2:1 --sweetener honey
    """
    row = open_catalog(pantry, data_folder).catalog.sweetener(sweetener)
    target = _brix_of(want, "--want")
    true = ":" in reads  # a ratio is what was weighed, not what an instrument shows
    found = corrections.correct_to_brix(
        batch_g,
        _brix_of(reads, "--reads"),
        target,
        temperature_c=20.0 if sample_c is None else sample_c,
        acid_percent=0.0 if true else acid,
        compensated=true or sample_c is None,
        reads_low=0.0 if true else corrections.reads_low_by(sweetener_of(row), inverted / 100.0),
    )
    show(cards.correction(batch_g, found, target), how)


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
        brix = corrections.blend_syrups(first_g, first_bx, second_g, second_bx)
    else:
        if "@" in first + second:
            raise PairingError("with --want the grams are worked out; give strengths alone")
        brix = _brix_of(want, "--want")
        first_bx, second_bx = _brix_of(first, "FIRST"), _brix_of(second, "SECOND")
        first_g, second_g = corrections.blend_for(make_g, brix, first_bx, second_bx)
    show(cards.poured((first_g, first_bx), (second_g, second_bx), brix), how)


def _poured(text: str) -> tuple[float, float]:
    """``300@2:1`` as grams and °Bx."""
    grams, at, strength = text.partition("@")
    if not at:
        raise PairingError(
            f"{text!r:.40} should be grams@strength such as 300@2:1 or 300@66.7; "
            "for strengths alone give --want and --make-g"
        )
    where = f"{text!r:.40}"
    return _positive(grams, f"{where} grams", composition.MOST_GRAMS), _brix_of(strength, where)


@ratio.command("acidify", short_help="How much acid brings it to a pH.")
@click.option("--batch-g", type=GRAMS, required=True, help="Syrup in the pot, g.")
@click.option("--strength", "said", metavar="60|1.5:1", required=True, help="Its °Bx or ratio.")
@click.option("--to-ph", type=Amount(2, 6.5, open_low=False), required=True, help="Wanted pH.")
@click.option(
    "--with",
    "name",
    default="citric-acid",
    show_default=True,
    metavar="POWDER",
    help="Which acid, see `pairing list powders`.",
)
@click.option(
    "--acid",
    type=Amount(0, 20, open_low=False),
    default=0.0,
    help="Acid that is in it already, as citric, %.",
)
@format_option()
@pantry_option
def acidify(
    batch_g: float,
    said: str,
    to_ph: float,
    name: str,
    acid: float,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """How much acid brings a syrup to a pH: for taste, colour, and for what holds germs back.

    \b
    Examples:
      pairing ratio acidify --batch-g 500 --strength 1.5:1 --to-ph 3.8
      pairing ratio acidify --batch-g 900 --strength 62 --to-ph 3.2 --acid 0.3
    """
    catalog = open_catalog(pantry, data_folder).catalog
    row = find_powder(catalog, name)
    if row is None:
        raise PairingError(f"unknown powder {name!r:.40}; one of {', '.join(catalog.powders)}")
    brix = _brix_of(said, "--strength")
    made = composition.Masses(
        water=batch_g * (1.0 - brix / 100.0),
        sucrose=batch_g * (brix - min(acid, brix)) / 100.0,
        acid=batch_g * min(acid, brix) / 100.0,
    )
    show(cards.acidified(batch_g, row, to_ph, acid_for(made, to_ph, row)), how)


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
    found = corrections.swap_strength(syrup_g, before, after, drink_water_g)
    show(cards.swapped_strength(syrup_g, before, after, found, drink_water_g), how)


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
@click.option(
    "--served",
    type=click.Choice(["cold", "hot"]),
    help="Drunk cold or hot: fructose is sweeter cold.",
)
@click.option("--water-g", type=GRAMS, help="Water of the syrup, g: checks that it stays clear.")
@format_option()
@pantry_option
def swap_sweetener(
    old: str,
    new: str,
    grams: float,
    keep: Any,
    served: str | None,
    water_g: float | None,
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
    at_c = {"cold": COLD_C, "hot": HOT_C}.get(served or "", 20.0)
    into = sweetener_of(after)
    found = corrections.swap_sweetener(sweetener_of(before), grams, into, keep, at_c)
    made = None
    if water_g is not None:
        water = max(0.0, water_g + found.water_change_g)
        made = balancing.batch(into, found.grams, water, strain_loss_percent=0.0)
    answer(cards.swapped_sweetener(catalog, before, grams, after, found, keep, at_c, made), how)
