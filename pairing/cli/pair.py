"""``suggest``, ``check``, ``instead``, ``score``, ``validate``: what goes with a coffee, why."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import click

from pairing.affinity import model as affinity
from pairing.affinity import reasons, search, verdict
from pairing.affinity.pool import KINDS
from pairing.affinity.score import MOST_PARTNERS, score_blends
from pairing.aroma.coffee import CoffeeBase, brewed
from pairing.aroma.description import FACTORS
from pairing.bar.own_palate import OwnPalate, own_palate
from pairing.bar.pantry import Pantry
from pairing.cards import check as check_card
from pairing.cards import suggest as suggest_card
from pairing.cards import vocabulary
from pairing.cards.report import Bullets, Report, Table, Text, show
from pairing.cli.options import (
    Month,
    answer,
    coffee_from_words,
    coffee_of,
    coffee_option,
    coffee_options,
    coffee_was_said,
    format_option,
    kept_options,
    open_catalog,
    pantry_option,
    picture_option,
)
from pairing.cli.progress import waiting
from pairing.cli.saved import saved_options
from pairing.cli.shell import names_of
from pairing.errors import PairingError, RefusedError, UnknownNameError, quoted
from pairing.evidence.catalog import Catalog
from pairing.evidence.spelling import normalise
from pairing.files import read_text, write_atomically
from pairing.safety.allergens import allergen_names_of, is_unstated
from pairing.safety.plants import is_refused, refusal

__all__ = [
    "check",
    "check_report",
    "instead",
    "instead_report",
    "score",
    "suggest",
    "suggest_report",
    "validate",
]

MAX_SCORE_ROWS = 2_000_000
MAX_SCORE_BYTES = 200_000_000
SEED = 1


def style_option(function: Any) -> Any:
    """``--style``."""
    return click.option(
        "--style",
        metavar="NAME",
        shell_complete=names_of(lambda c: (*c.styles, "cocktail", "dessert")),
        help="The style of drink: iced, hot, milk, latte, sparkling, tonic, cocktail, dessert "
        "...; any when not given.",
    )(function)


def avoid_option(function: Any) -> Any:
    """``--avoid``."""
    return click.option(
        "--avoid",
        metavar="NAMES",
        help="What must not be in: ingredients, kinds or allergens, such as nuts,sesame.",
    )(function)


def bases_of_menu(pantry: Pantry, menu: str) -> list[CoffeeBase]:
    """The coffees of a menu of the pantry."""
    key = normalise(menu)
    if not pantry.menus:
        raise PairingError("there is no menu: give a pantry with [[menus]], or --coffee")
    if key not in pantry.menus:
        raise UnknownNameError("menu of the pantry", menu, [m.name for m in pantry.menus.values()])
    return [brewed(pantry.catalog, **c) for c in pantry.menus[key].coffees]


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
        return bases_of_menu(pantry, menu)
    if coffees:
        return [coffee_from_words(catalog, c, words["notes"]) for c in coffees]
    return [brewed(catalog, **words)]


def _own_palate(catalog: Catalog) -> OwnPalate:
    """What the journal's tastings say of ingredients."""
    from pairing.bar.journal import open_journal

    def ingredient_of(name: str) -> str | None:
        return catalog.forms[name].ingredient_id if name in catalog.forms else None

    with open_journal(write=False) as book:
        return own_palate(book, ingredient_of)


def heard_of(catalog: Catalog, names: Iterable[str]) -> list[str]:
    """How names that stand for two things were read, a line each."""
    return [line for n in dict.fromkeys(names) if (line := catalog.heard(n))]


def avoided(catalog: Catalog, said: str | None) -> frozenset[str]:
    """Ingredient ids that a list of ingredients, kinds and allergens rules out."""
    out: set[str] = set()
    for word in (w.strip() for w in (said or "").split(",")):
        if not word:
            continue
        key = normalise(word)
        stem = key.removesuffix("s")
        found = {i for i, g in catalog.ingredients.items() if g.kind in (key, stem)}
        found |= {
            i
            for i in catalog.ingredients
            for name in allergen_names_of(catalog, i)
            if stem == name.removesuffix("s") or (stem == "nut" and "nut" in name)
        }
        if found:  # what nobody has stated may hold it
            found |= {i for i in catalog.ingredients if is_unstated(catalog, i)}
        if not found:
            found = {catalog.form(word).ingredient_id}
        out |= found
    return frozenset(out)


def _limits(opened: Pantry, options: dict[str, Any]) -> search.Limits:
    """What may be suggested."""
    only, kinds = options["only"], options["kinds"]
    catalog = opened.catalog
    ids: set[str] | None = None
    if only:
        names = [n for text in only for n in text.split(",") if n.strip()]
        ids = {catalog.form(n.strip()).ingredient_id for n in names}
    if options["from_stock"]:
        held = {
            catalog.forms[f].ingredient_id
            for f, grams in opened.stock_g.items()
            if grams > 0 and f in catalog.forms
        }
        if not held:
            raise PairingError(
                "nothing is in stock: give a pantry with [[stock]], or --only NAME ..."
            )
        ids = held if ids is None else ids & held
    out = avoided(catalog, options["avoid"])
    return search.Limits(ids, out, kinds, options["month"], options["budget"])


def _named(_ctx: click.Context, _param: click.Parameter, loose: tuple[str, ...]) -> None:
    """Words without an option get the option they want."""
    if loose:
        text = " ".join(loose)
        raise PairingError(
            f"say what {quoted(text)} is: --coffee {quoted(text)}, or --with NAME for an ingredient"
        )


@click.command()
@click.argument("loose", nargs=-1, metavar="", expose_value=False, callback=_named)
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
@style_option
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
    shell_complete=names_of(lambda _: KINDS),
)
@click.option("--only", multiple=True, metavar="NAMES", help="Nothing but these; repeat it.")
@click.option("--from-stock", is_flag=True, help="Nothing but what the pantry has in stock.")
@avoid_option
@click.option(
    "--budget",
    type=click.IntRange(1, 5),
    help="Nothing above this price band, 1 (cheap) to 5 (dear).",
)
@click.option(
    "--size", type=click.IntRange(1, 4), default=3, show_default=True, help="Partners in a blend."
)
@click.option("--month", type=Month(), help="Only what is in season (1-12, N hemisphere).")
@click.option(
    "--mood",
    type=click.Choice(["warm", "fresh"]),
    help="Lean to what warm (hot, milk) or fresh (iced, sparkling) drinks use.",
)
@click.option(
    "--top", type=click.IntRange(1, 100), default=8, show_default=True, help="How many blends."
)
@click.option("--familiar", is_flag=True, help="Blends of what is good with most coffees.")
@click.option("--surprising", is_flag=True, help="One partner that nobody is known to serve.")
@click.option("--why", is_flag=True, help="Reasons and totals of every blend.")
@click.option(
    "--average",
    is_flag=True,
    help="With several coffees: rank by the mean, not by the worst served.",
)
@click.option(
    "--all", "plain", is_flag=True, help="The bare ranking, however often an ingredient comes back."
)
@click.option(
    "--own-palate",
    "own_taste",
    is_flag=True,
    help="Count what your journal's tastings liked, and say so.",
)
@format_option()
@picture_option
@saved_options
@pantry_option
def suggest(how: str, pantry: Path | None, data_folder: Path | None, **options: Any) -> None:
    """What goes with a coffee: three shelves, and blends ranked within the second.

    \b
    Examples:
      pairing suggest --origin burundi --process washed --roast light --brew espresso
      pairing suggest --origin brazil --citrus mandarin --style milk --top 5
      pairing suggest --origin kenya --kind spice --size 1
      pairing suggest --only orange,cinnamon,ginger,clove --size 2
      pairing suggest --with green-cardamom --citrus none --size 2
      pairing suggest --coffee "washed burundi light" --coffee "natural brazil dark"
    """
    answer(suggest_report(open_catalog(pantry, data_folder), options), how)


def suggest_report(opened: Pantry, options: dict[str, Any]) -> Report:
    """The card of the blends that the options of :func:`suggest` ask for."""
    catalog = opened.catalog
    style, citrus, with_ = options["style"] or "", options["citrus"], options["with_"]
    bases = _bases(
        opened, options["coffees"], options["menu"], {k: options[k] for k in (*FACTORS, "notes")}
    )
    if options["familiar"] and options["surprising"]:
        raise PairingError("--familiar and --surprising pull against each other; give one")
    shelf = "most" if options["familiar"] else "untried" if options["surprising"] else "this"
    limits = _limits(opened, options)
    warm = None if options["mood"] is None else options["mood"] == "warm"
    palate = _own_palate(catalog) if options["own_taste"] else None
    found = search.suggest(
        catalog,
        bases,
        style=style,
        shelf=shelf,
        limits=limits,
        citrus=citrus,
        with_=with_,
        size=options["size"],
        top=options["top"],
        average=options["average"],
        plain=options["plain"],
        warm=warm,
        own=palate.log_odds if palate else None,
    )
    shelved = search.shelves(catalog, bases, style, limits, warm=warm)
    names = [*with_, *([citrus] if citrus and citrus != "none" else [])]
    heard = [*heard_of(catalog, names), *([str(palate)] if palate else [])]
    kept = {k: options[k] for k in ("average", "plain", "top", "why", "month")}
    asked = {"style": style, "shelf": shelf, "heard": heard, "kept": kept_options(), **kept}
    own = (
        search.menu(catalog, bases, style=style, limits=limits, size=options["size"])
        if options["menu"] is not None and len(bases) > 1
        else []
    )
    return suggest_card.report(catalog, bases, found, shelved, asked, own)


# --- check --------------------------------------------------------------------------------


@click.command()
@click.argument("ingredient", shell_complete=names_of(lambda c: c.forms))
@click.option("--with", "other", metavar="NAME", help="Another ingredient: do the two go together?")
@coffee_options
@coffee_option
@style_option
@click.option("--sources", is_flag=True, help="Print where it comes from, too.")
@format_option()
@picture_option
@saved_options
@pantry_option
def check(how: str, pantry: Path | None, data_folder: Path | None, **options: Any) -> None:
    """Does this ingredient suit this coffee: verdict, who does it, dose, what is better.

    \b
    Examples:
      pairing check green-cardamom --origin kenya
      pairing check "orange peel" --origin vietnam --roast dark --style hot
      pairing check clove --with sweet-orange-peel
    """
    answer(check_report(open_catalog(pantry, data_folder), options), how)


def check_report(opened: Pantry, options: dict[str, Any]) -> Report:
    """The card of the verdict that the options of :func:`check` ask for."""
    catalog = opened.catalog
    name, other, sources = options["ingredient"], options["other"], options["sources"]
    if other is not None:
        heard = heard_of(catalog, (name, other))
        base = coffee_of(catalog, options) if coffee_was_said(options) else None
        return check_card.pair_report(
            catalog,
            name,
            other,
            sources=sources,
            heard=heard,
            base=base,
            style=options["style"] or "",
        )
    base = coffee_of(catalog, options)
    found = verdict.check(catalog, name, base, style=options["style"] or "")
    heard = heard_of(catalog, (name,))
    return check_card.check_report(
        catalog, base, found, sources=sources, heard=heard, kept=kept_options()
    )


@click.command()
@click.argument("ingredient", shell_complete=names_of(lambda c: c.forms))
@coffee_options
@coffee_option
@style_option
@avoid_option
@format_option()
@saved_options
@pantry_option
def instead(how: str, pantry: Path | None, data_folder: Path | None, **options: Any) -> None:
    """What does the same job for this coffee, how much of it, which allergens change.

    \b
    Examples:
      pairing instead hazelnut-roasted --origin brazil --style milk
      pairing instead hazelnut-roasted --avoid nuts
    """
    answer(instead_report(open_catalog(pantry, data_folder), options), how)


def instead_report(opened: Pantry, options: dict[str, Any]) -> Report:
    """The card of the stand-ins that the options of :func:`instead` ask for."""
    catalog, name, style = opened.catalog, options["ingredient"], options["style"] or ""
    base = coffee_of(catalog, options)
    limits = search.Limits(avoid=avoided(catalog, options["avoid"]))
    found = verdict.instead(catalog, name, base, style=style, limits=limits)
    heard = heard_of(catalog, (name,))
    return check_card.instead_report(catalog, base, name, found, style, heard)


# --- score --------------------------------------------------------------------------------

PAIR_COLUMNS = ("score", "harmony", "low", "high")
BLEND_COLUMNS = ("score", "practice", "this_coffee", "together", "stop")
INGREDIENT_COLUMNS = tuple(f"ingredient_{letter}" for letter in "abcd")


@click.command()
@click.argument("blends", type=click.Path(path_type=Path))
@coffee_option
@click.option("--notes", metavar="WORDS", help="What its bag says it tastes of.")
@style_option
@click.option("--to", type=click.Path(path_type=Path), help="File to write instead of the screen.")
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=SEED,
    show_default=True,
    help="Same seed, same interval (pairs without a coffee).",
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
    blends: Path,
    coffee_words: str | None,
    notes: str | None,
    style: str | None,
    to: Path | None,
    seed: int,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """Score a CSV file of blends with a coffee, or of pairs with each other.

    Columns ingredient_a to ingredient_d hold ids, names or aliases; empty cells are allowed.
    With --coffee every row comes back with score, the total that ranks blends of one size, and
    what it is made of: practice, this_coffee (0 for a plain coffee), together (natural log units
    a partner). Without --coffee each row is a pair and comes back with score, harmony, low and
    high. Both say stop where a plant must not be served, what is not_known of your own, and
    allergens. Unknown names are reported, left empty.

    \b
    Examples:
      pairing score blends.csv --coffee "washed burundi light espresso" --style milk
      pairing score pairs.csv --to scored.csv
    """
    catalog = open_catalog(pantry, data_folder).catalog
    if coffee_words is None and (style is not None or notes is not None):
        option = "--style" if style is not None else "--notes"
        raise PairingError(f"{option} belongs to a drink with coffee: give --coffee, too")
    header, rows = _read_blends(blends, 1 if coffee_words is not None else 2)
    given = [header.index(c) for c in INGREDIENT_COLUMNS if c in header]
    if coffee_words is None:
        if len(given) > 2:
            raise PairingError(
                f"{blends.name} holds more than pairs; give --coffee to score blends"
            )
        pairs = [(r[given[0]], r[given[1]]) for r in rows]
        with waiting(f"scoring {len(pairs):,} pairs"):
            columns, unknown = affinity.score_rows(catalog, pairs, seed=seed)
        names: tuple[str, ...] = (*PAIR_COLUMNS, "stop")
        values: list[list[Any]] = [columns[c].tolist() for c in PAIR_COLUMNS]
        values.append(_stops(catalog, pairs))
        held: Sequence[Sequence[str]] = pairs
    else:
        base = coffee_from_words(catalog, coffee_words, notes)
        blended = [[r[i] for i in given] for r in rows]
        with waiting(f"scoring {len(rows):,} blends"):
            scored = score_blends(catalog, blended, base, style or "")
        names, unknown = BLEND_COLUMNS, scored.unknown
        values = [getattr(scored, c).tolist() for c in names[:-1]]
        values.append(list(scored.stop))
        held = blended
    names = (*names, *CARE_COLUMNS)
    values += _cares(catalog, held)
    kept = [i for i, name in enumerate(header) if name not in names]
    out = [
        [*(row[i] for i in kept), *(None if v != v else v for v in found)]
        for row, found in zip(rows, zip(*values, strict=True), strict=True)
    ]
    columns_out = [*(header[i] for i in kept), *names]
    table = Table("", columns_out, out)
    key = "pairs" if coffee_words is None else "blends"
    document = {
        key: [dict(zip(columns_out, row, strict=True)) for row in out],
        "unknown": list(unknown),
    }
    schema = "" if coffee_words is None else "score-blends"
    report = Report(document, _score_blocks(columns_out, out), table, "score", schema=schema)
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


CARE_COLUMNS = ("not_known", "allergens")


def _score_blocks(columns: list[str], rows: list[list[Any]]) -> list[Text | Bullets | Table]:
    """Rows for people: what must not be served and what is not known in full above them."""
    stop, open_ = columns.index("stop"), columns.index("not_known")
    told = [*dict.fromkeys(f"STOP: {r[stop]}" for r in rows if r[stop])]
    told += dict.fromkeys(r[open_] for r in rows if r[open_])
    last = columns.index("allergens")
    bare = {stop, open_} if any(r[last] for r in rows) else {stop, open_, last}
    kept = [i for i in range(len(columns)) if i not in bare]
    table = Table("", [columns[i] for i in kept], [[r[i] for i in kept] for r in rows])
    return [*map(Text, told), table]


def _cares(catalog: Catalog, rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """What nobody has assessed of each row, and its allergens: worked out once a name."""
    told: dict[str, tuple[list[str], list[str]]] = {}
    for name in {n for row in rows for n in row}:
        try:
            form = catalog.form(name)
        except PairingError:
            continue
        words = reasons.allergen_words(catalog, [form.form_id])
        if open_ := vocabulary.not_assessed(catalog, [form]):
            words = [w for w in words if not w.startswith("NOT KNOWN")]  # said in full beside it
        told[name] = (open_, words)
    texts = [[told[n] for n in dict.fromkeys(row) if n in told] for row in rows]
    return [
        [joint.join(dict.fromkeys(t for pair in row for t in pair[k])) for row in texts]
        for k, joint in ((0, " "), (1, ", "))
    ]


def _stops(catalog: Catalog, pairs: list[tuple[str, str]]) -> list[str]:
    """Why a pair must not be served; empty where nothing is known against it."""
    why: dict[str, str] = {}
    for name in {n for pair in pairs for n in pair}:
        try:
            ident = catalog.form(name).ingredient_id
        except RefusedError as err:
            why[name] = str(err).removeprefix("STOP: ")
            continue
        except PairingError:
            continue
        if is_refused(catalog, ident):
            why[name] = refusal(catalog, ident)
    if not why:
        return [""] * len(pairs)
    return ["; ".join(dict.fromkeys(why[n] for n in pair if n in why)) for pair in pairs]


def _read_blends(path: Path, least: int) -> tuple[list[str], list[list[str]]]:
    """Header and rows of a file of blends; the header is checked before the rest is parsed."""
    text = read_text(path, MAX_SCORE_BYTES)
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    too_many = f"{path.name} has more than {MAX_SCORE_ROWS:,} rows, the most that are scored"
    try:
        header = [h.strip() for h in next((row for row in reader if row), [])]
        if not header:
            raise PairingError(f"{path.name} is empty; give columns ingredient_a and ingredient_b")
        for wanted in INGREDIENT_COLUMNS[:least]:
            if wanted not in header:
                raise PairingError(
                    f"{path.name} lacks the column {wanted!r}; it has {quoted(', '.join(header))}"
                )
        for name in header:
            if name.startswith("ingredient_") and name not in INGREDIENT_COLUMNS:
                raise PairingError(
                    f"{path.name} has a column {quoted(name)}; a blend holds "
                    f"{MOST_PARTNERS} at most, ingredient_a to ingredient_d"
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
        raise PairingError(f"{path.name} has a header but no rows")
    return header, body


# --- validate -----------------------------------------------------------------------------


@click.command()
@click.option(
    "--validation",
    type=click.Path(path_type=Path),
    required=True,
    help="Folder with coffee_drinks.csv, recipe_pairs.csv and recipe_sets.txt (not shipped).",
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
    """The score card: completing published drinks, and what cooks combine, beside simpler rules.

    \b
    Example:
      pairing validate --validation ../shared/validation --quick
    """
    from dataclasses import asdict

    from pairing.affinity import scorecard

    catalog = open_catalog(pantry, data_folder).catalog
    with waiting("the score card"):
        card = scorecard.run(validation, network, catalog, quick=quick)
        first = scorecard.drinks_card(validation, catalog)
    rows = [asdict(m) for m in (*first, *card.rows)]
    columns = list(rows[0])
    table = Table("", columns, [[r[c] for c in columns] for r in rows])
    show(Report({"rows": rows}, [table], table, "validate"), how)
