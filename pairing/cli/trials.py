"""``pairing trials``: plan formulas to taste, blind sheets, the panel read, what to try next."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from pairing.bar.pantry import Pantry
from pairing.cards.report import Report, show
from pairing.cards.vocabulary import NOT_KNOWN
from pairing.cli.make import batch_options, build, numbers
from pairing.cli.options import (
    Amount,
    coffee_option,
    coffee_options,
    format_option,
    open_catalog,
    pantry_option,
)
from pairing.cli.saved import from_option, kept_text, path_of, refuse_overwriting
from pairing.cli.shell import INGREDIENTS
from pairing.cli.tasting import (
    LARGEST_FILE,
    allergens_of,
    json_text,
    read,
    read_json,
    save_option,
    sheet,
)
from pairing.errors import PairingError, quoted
from pairing.files import read_text, write_atomically
from pairing.syrup.asked import form_of
from pairing.syrup.powders import powder_wishes

__all__ = ["trials"]

GUESTS = ("On no list", "Tell these guests")  # lines of the safety engine for people who taste
SMALLEST_MIX_G = 50.0  # common practice, no source: less sticks to the jug
PLAN_OPTIONS = ("ingredients", "vary", "kind", "steps", "count", "total", "tasters", "portion_ml",
                "balance_g", "seed")  # fmt: skip
SPARE = 1.3  # syrup that stays in jugs and jiggers; common practice, no source


@click.group()
def trials() -> None:
    """Trial formulas: plan them, taste them blind, read the panel, choose the next.

    \b
    In this order:
      pairing trials plan mandarin green-cardamom --vary green-cardamom --save autumn.json
      pairing trials sheet autumn.json --protocol liking --tasters 12 --save autumn-1
      pairing trials read autumn-1.json autumn-1.csv --keep
      pairing trials next autumn.json --answers autumn-1.json autumn-1.csv
    """


trials.add_command(sheet)
trials.add_command(read)


# --- plan ---------------------------------------------------------------------------------


@trials.command("plan")
@click.argument("ingredients", nargs=-1, required=True, shell_complete=INGREDIENTS)
@click.option("--vary", multiple=True, metavar="NAME[=LOW..HIGH]",
              help="What to vary, in g per kg of syrup; its bar practice when no range is given. "
              "Everything when not said.")  # fmt: skip
@click.option("--design", "kind", metavar="WORD",
              help="ladder, factorial, fraction, composite, mixture or spread; a ladder for one "
              "thing, else a spread.")  # fmt: skip
@click.option("--steps", type=click.IntRange(2, 9), default=5, show_default=True,
              help="Rungs of a ladder.")  # fmt: skip
@click.option("--trials", "count", type=click.IntRange(2, 26), help="Trials of a spread (six).")
@click.option("--total", type=Amount(), help="Total dose that a mixture shares, g per kg.")
@click.option("--tasters", type=click.IntRange(1, 200), default=12, show_default=True,
              help="How many will taste: decides the pot.")  # fmt: skip
@click.option("--portion-ml", type=Amount(5, 250, open_low=False), default=30.0, show_default=True,
              help="Drink in a tasting cup.")  # fmt: skip
@click.option("--balance-g", type=Amount(0.001, 5, open_low=False), default=0.1, show_default=True,
              help="One step of your balance.")  # fmt: skip
@click.option("--seed", type=click.IntRange(0, 2**31 - 1), default=1, show_default=True,
              help="For a spread.")  # fmt: skip
@coffee_options
@coffee_option
@batch_options
@click.option("--save", metavar="NAME",
              help="Keep the plan as NAME.json, and what was asked as NAME.toml (NAME.json: the "
              "plan alone).")  # fmt: skip
@click.option("--force", is_flag=True, help="Write over what is kept as NAME.")
@from_option
@format_option()
@pantry_option
def plan_(
    save: str | None,
    force: bool,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
    **options: Any,
) -> None:
    """A few formulas around one, inside law and dose windows, with the bench work.

    \b
    Examples:
      pairing trials plan mandarin green-cardamom --vary green-cardamom --save autumn.json
      pairing trials plan mandarin clove --vary clove=0.3..2 --vary mandarin --design composite
      pairing trials plan mandarin lemon-peel --design mixture --total 300
      pairing trials plan --from autumn.toml --vary green-cardamom --save tasting

    No dose outside law or window is proposed; what was left out, and why, is said.
    """
    files = kept_files(save, force)
    name = str(files[0][0]) if files else ""
    report = trials_plan_report(open_catalog(pantry, data_folder), options, name)
    for path, text in files:
        write_atomically(path, text or json_text("trials plan", report.document))
        click.echo(f"kept as {path}", err=True)
    show(report, how)


def kept_files(save: str | None, force: bool) -> list[tuple[Path, str]]:
    """Files of a plan that is kept: the plan itself (still without its text), the question.

    Raises
    ------
    PairingError
        When one of them is there already, before anything is worked out.
    """
    if save is None:
        return []
    if save.endswith(".json"):
        plan, files = Path(save), [(Path(save), "")]
    else:
        question = path_of(save)
        plan = question.with_suffix(".json")
        files = [(plan, ""), (question, kept_text(question.name))]
        refuse_overwriting(*files[1], force)
    refuse_overwriting(plan, "", force)
    return files


def trials_plan_report(opened: Pantry, options: dict[str, Any], name: str = "") -> Report:
    """The plan that the options of :func:`plan_` ask for; ``name`` is the file it is kept in."""
    from dataclasses import replace

    from pairing.cards.trials import plan_report
    from pairing.trials import design

    of_plan = {k: options[k] for k in PLAN_OPTIONS}
    options = {k: v for k, v in options.items() if k not in PLAN_OPTIONS}
    ingredients, tasters, balance_g = (
        of_plan["ingredients"],
        of_plan["tasters"],
        of_plan["balance_g"],
    )
    kind, portion_ml = of_plan["kind"], of_plan["portion_ml"]
    kitchen = Kitchen(opened, ingredients, options)
    factors = kitchen.factors(of_plan["vary"])
    kind = kind or ("ladder" if len(factors) == 1 else "spread")
    made = design.plan(kind, factors, kitchen.checked, steps=of_plan["steps"],
                       trials=of_plan["count"], total=of_plan["total"],
                       seed=of_plan["seed"])  # fmt: skip
    drink_ml = kitchen.centre.glass.drink_ml
    needed = SPARE * tasters * portion_ml * kitchen.centre.glass.syrup_g / drink_ml
    doses = [x for t in made.trials for x in kitchen.all_doses(t.doses).values()]
    pot_g, weighed = design.honest_pot_g(doses, needed, balance_g)
    mix_g = math.ceil(max(needed, SMALLEST_MIX_G) / 10) * 10.0
    shared = design.pots(made, kitchen.checked, mix_g)
    if shared is not None:  # a pot is large enough to weigh its least dose; a mix need not be
        shared = (
            tuple(
                replace(p, grams=design.honest_pot_g(list(kitchen.all_doses(p.doses).values()),
                                                     p.grams, balance_g)[0])
                for p in shared[0]
            ),
            shared[1],
        )  # fmt: skip
    full = design.Plan(
        made.kind,
        made.factors,
        tuple(design.Trial(t.name, t.doses, kitchen.document(t.doses, pot_g)) for t in made.trials),
        made.left_out,
        made.notes,
    )
    bench = [
        f"all at {kitchen.brix:.1f} °Bx and the same sweetener, so that only the dose differs",
        f"{number(mix_g if shared else pot_g)} g of each is enough for {tasters} tasters"
        + ("" if shared else ", and the smallest honest pot")
        + ("" if weighed else "; the smallest dose is below what your balance weighs to 5 %"),
    ]
    bench += kitchen.notes
    if shared is not None:
        bench.append(
            "mixed trials find the dose; cook the winner as one pot before it goes on the menu"
        )
    low, high = kitchen.caffeine()
    strongest = max(full.trials, key=lambda t: sum(t.doses.values()))
    watch = kitchen.watch(strongest.doses)
    told = [w for w in watch if w.startswith(GUESTS)]  # stands on the tasters' cards too
    allergens = " ".join([allergens_of(strongest.document["findings"]), *told])
    # what is not known stands first, and not again below
    known = [f for f in strongest.document["findings"] if f["code"] not in NOT_KNOWN]
    document: dict[str, Any] = {
        "not_known": list(strongest.document["not_known"]),
        "design": made.kind,
        "ingredients": [d.form.form_id for d in kitchen.centre.doses],
        "coffee": kitchen.centre.base.coffee.words,
        "options": {
            **{k: list(v) if isinstance(v, tuple) else v for k, v in options.items()},
            "names": list(ingredients),
        },
        "factors": [
            {"name": f.name, "low": f.low, "high": f.high, "unit": f.unit, "centre": f.middle}
            for f in made.factors
        ],
        "brix": kitchen.brix,
        "pot_g": pot_g,
        "drink_ml": drink_ml,
        "caffeine_mg_per_drink": [low, high],
        "allergens": allergens,
        "trials": [
            {"trial": t.name, "doses": dict(t.doses), "formula": t.document} for t in full.trials
        ],
        "left_out": [{"doses": dict(d), "why": why} for d, why in made.left_out],
        "pots": None
        if shared is None
        else {
            "cook": [
                {
                    "pot": p.name,
                    "doses": dict(p.doses),
                    "grams": p.grams,
                    "formula": kitchen.document(p.doses, p.grams),
                }
                for p in shared[0]
            ],
            "mix_g": shared[1],
        },
        "bench": bench,
        "stops": [],
    }
    named = " + ".join(d.form.label for d in kitchen.centre.doses)
    title = f"{len(full.trials)} trials of {named} ({made.kind}), for {document['coffee']}."
    return plan_report(
        full,
        document,
        title=title,
        watch=[" ".join([allergens_of(known), *told]), *(w for w in watch if w not in told)],
        defer=_defer(),
        shared=shared,
        then=f"pairing trials sheet {name or 'PLAN.json'} --protocol liking --tasters {tasters}"
        + ("" if name else "   (keep the plan first: --save PLAN.json)"),
    )


def number(value: float) -> str:
    """A number as reports print it."""
    from pairing.cards import report

    return report.number(value)


def _defer() -> str:
    from pairing.safety.findings import DEFER

    return DEFER


class Kitchen:
    """What the options say of a syrup, and the formula that a set of doses makes of it."""

    def __init__(self, opened: Pantry, names: Sequence[str], options: dict[str, Any]) -> None:
        self.opened = opened
        self.names = list(names)
        self.options = {k: v for k, v in options.items()
                        if k not in ("yield_g", "yield_ml", "servings", "sugar_g")}  # fmt: skip
        said = [k for k in ("yield_g", "yield_ml", "servings", "sugar_g") if options.get(k)]
        if said:
            raise PairingError(
                f"--{said[0].replace('_', '-')}: the pot of a trial follows from the tasters; use "
                "--tasters and --balance-g"
            )
        self.nothing = dict.fromkeys(("yield_g", "yield_ml", "servings", "sugar_g"))
        self.centre = build(opened, names, {**self.options, **self.nothing})
        self.brix = round(self.centre.batch.brix, 1)
        self.base = {d.form.form_id: d.g_per_kg for d in self.centre.doses}
        # as they were said: what "cinnamon" might be counts until the jar is named
        self.powders = {p.powder.powder_id: p.g_per_kg for p in self.centre.powders}
        plants, _, _ = powder_wishes(opened.catalog, opened.catalog.opened(names), None)
        self.said = {form_of(opened.catalog, n)[0].form_id: n for n in plants}
        self.notes = [line for n in dict.fromkeys(names) if (line := opened.catalog.heard(n))]

    def factors(self, vary: Sequence[str]) -> list[Any]:
        """What is varied, with its window."""
        from pairing.trials.design import Factor

        said: dict[str, tuple[float, float] | None] = {}
        for text in vary:
            name, equals, window = text.partition("=")
            form = self.opened.catalog.form(name.strip()).form_id
            if form not in self.base:
                form = form_of(self.opened.catalog, name.strip())[0].form_id
            if form not in self.base:
                raise PairingError(f"--vary {quoted(name)}: it is not in the formula; add it")
            if form in said:
                raise PairingError(f"--vary names {quoted(form)} twice")
            said[form] = _window(name.strip(), window) if equals else None
        out = []
        for d in self.centre.doses:
            form = d.form.form_id
            if said and form not in said:
                continue
            # partners share the loudness of a syrup, so that the window of a blend is a share of
            # bar practice alone; where the formula stands is always in it
            alone = (d.practice_low or 0.0, d.practice_high or 0.0)
            shared = (min(alone[0] * d.share, d.g_per_kg), max(alone[1] * d.share, d.g_per_kg))
            low, high = said.get(form) or shared
            if d.share < 1 and not said.get(form):
                unknown = {f.subject for f in self.centre.findings if f.code == "unknown"}
                own = d.form.ingredient_id in unknown
                whose = "your own window" if own else "bar practice alone"
                self.notes.append(f"{form}: {number(d.share)} of {whose}, since partners share")
            if not said.get(form) and not alone[1]:
                low, high = d.g_per_kg / 2, d.g_per_kg * 2
                self.notes.append(f"{form}: no bar practice is known; half to twice the formula's")
            out.append(Factor(form, low, high, "g/kg", min(max(d.g_per_kg, low), high)))
        return out

    def all_doses(self, doses: Mapping[str, float]) -> dict[str, float]:
        """Doses of everything: those given, the others as the formula has them."""
        return {**self.base, **doses}

    def make(self, doses: Mapping[str, float], grams: float = 500.0) -> Any:
        """The formula of a set of doses."""
        every = {n: g for n, g in {**self.all_doses(doses), **self.powders}.items() if g > 0}
        whole = tuple(f"{n}={g:.9g}g/kg" for n, g in every.items())
        names = [self.said.get(n, n) for n in every]
        options = {
            **self.options, **self.nothing, "doses": whole, "levels": (), "strength": None,
            "by_volume": False, "brix": self.brix, "yield_g": grams,
        }  # fmt: skip
        return build(self.opened, names, options)

    def checked(self, doses: Mapping[str, float]) -> Mapping[str, Any]:
        """The stops of a set of doses, with the least of a document that a design needs."""
        found = self.make(doses).findings
        return {"stops": [f.text for f in found if f.level == "stop"]}

    def document(self, doses: Mapping[str, float], grams: float) -> Mapping[str, Any]:
        """The whole formula with its batch sheet."""
        from pairing.cards.formula import report

        made = self.make(doses, grams)
        found = made.findings
        return report(self.opened, made, found, False).document

    def watch(self, doses: Mapping[str, float]) -> list[str]:
        """What to watch with the strongest trial."""
        from pairing.cards.formula import watch_lines

        made = self.make(doses)
        lines: list[str] = watch_lines(made.findings, False)[0]
        return [line for line in lines if not line.startswith("Contains ")]  # said before

    def caffeine(self) -> tuple[float, float]:
        """Caffeine of a full drink, mg: of the coffee, and of tea or cacao in the syrup."""
        low, high = self.centre.base.caffeine_mg
        found = self.centre.findings
        return low, max([high, *(f.amount or 0.0 for f in found if f.code == "caffeine")])


def _window(name: str, text: str) -> tuple[float, float]:
    low, dots, high = text.partition("..")
    if not dots:
        raise PairingError(f"--vary {name}={text} should look like {name}=2..8")
    both = numbers((f"low={low.strip() or 0}", f"high={high.strip() or 0}"), "--vary", "2..8", 2000)
    return both["low"], both["high"]


# --- next ---------------------------------------------------------------------------------


@trials.command("next")
@click.argument("plan_file", metavar="PLAN.json", type=click.Path(path_type=Path))
@click.option("--answers", "tasted", nargs=2, multiple=True, metavar="SHEET.json ANSWERS.csv",
              type=click.Path(path_type=Path), help="A tasting; again for each.")  # fmt: skip
@click.option("--journal", "from_journal", is_flag=True,
              help="Learn from the journal's tastings of these ingredients.")  # fmt: skip
@click.option("--file", "journal_file", type=click.Path(path_type=Path),
              help="Which journal; the usual one when not said.")  # fmt: skip
@click.option("--count", type=click.IntRange(1, 8), default=5, show_default=True,
              help="How many next trials.")  # fmt: skip
@click.option("--no-practice", is_flag=True, help="Do not start from the formula's own doses.")
@click.option("--seed", type=click.IntRange(0, 2**31 - 1), default=1, show_default=True,
              help="For the search.")  # fmt: skip
@save_option("Keep the next trials as a plan, in this JSON file.")
@format_option()
@pantry_option
def next_(
    plan_file: Path,
    tasted: tuple[tuple[Path, Path], ...],
    from_journal: bool,
    journal_file: Path | None,
    count: int,
    no_practice: bool,
    seed: int,
    save: Path | None,
    how: str,
    pantry: Path | None,
    data_folder: Path | None,
) -> None:
    """What to taste next, learned from what your guests liked so far.

    \b
    Examples:
      pairing trials next autumn.json --answers autumn-1.json autumn-1.csv --save autumn-2.json
      pairing trials next autumn.json --journal --count 3

    The best trial so far comes along, so that panels can be compared.
    """
    from pairing.cards.trials import next_report

    plan = read_json(plan_file, "trials plan")
    if save:
        refuse_overwriting(save, "", False)
    if not tasted and not from_journal:
        raise PairingError("give --answers SHEET.json ANSWERS.csv, or --journal")
    opened = open_catalog(pantry, data_folder)
    names = _factor_names(plan, plan_file.name)
    panels = [panel_of(*files, names) for files in tasted]
    if from_journal:
        panels += _panels_of_journal(journal_file, names)
    learned, forecasts, document, kitchen = learned_next(
        opened, plan, plan_file.name, panels, practice=not no_practice, count=count, seed=seed
    )
    then = "add --save NEXT.json, then: pairing trials sheet NEXT.json"
    if save:
        write_atomically(save, json_text("trials plan", next_plan(plan, kitchen, document)))
        then = f"pairing trials sheet {save} --protocol liking --tasters 12"
    show(next_report(learned, forecasts, document, then), how)


def _factor_names(plan: Mapping[str, Any], name: str) -> list[str]:
    """What a plan varies.

    Raises
    ------
    PairingError
        For what is no whole plan.
    """
    try:
        return [str(f["name"]) for f in plan["factors"]]
    except (KeyError, TypeError):
        raise PairingError(f"{name} lacks parts of a plan; make it anew") from None


def learned_next(
    opened: Pantry,
    plan: Mapping[str, Any],
    name: str,
    panels: Sequence[Panel],
    *,
    practice: bool = True,
    count: int = 5,
    seed: int = 1,
) -> tuple[Any, Sequence[Any], dict[str, Any], Kitchen]:
    """What a plan's panels liked, the next trials, their document, and what makes them.

    Raises
    ------
    PairingError
        For what is no whole plan.
    """
    from pairing.cards.vocabulary import not_known
    from pairing.trials import palate
    from pairing.trials.design import Factor

    try:
        factors = tuple(
            Factor(f["name"], f["low"], f["high"], f["unit"], f["centre"]) for f in plan["factors"]
        )
        options = {k: tuple(v) if isinstance(v, list) else v for k, v in plan["options"].items()}
        names = list(options.pop("names"))
    except (KeyError, TypeError, AttributeError):
        raise PairingError(f"{name} lacks parts of a plan; make it anew") from None
    kitchen = Kitchen(opened, names, options)
    prior = _practice(factors) if practice else None
    learned = palate.learn(factors, palate.from_panels(panels), prior=prior)
    forecasts = palate.next_trials(learned, kitchen.checked, count=count, seed=seed)
    best, liking, spread = learned.best()
    document: dict[str, Any] = {
        "not_known": not_known(kitchen.centre.findings),
        "plan": name,
        "tastings": sum(len(scores) for _, scores in panels),
        "prior": "practice" if practice else "none",
        "best_so_far": {"doses": dict(best), "liking": liking, "spread": spread},
        "next": [
            {
                "doses": dict(f.doses),
                "expected_liking": f.liking,
                "spread": f.spread,
                "expected_gain": f.gain,
                "chance_better": f.better,
            }
            for f in forecasts
        ],
    }
    return learned, forecasts, document, kitchen


Panel = tuple[list[Mapping[str, float]], list[list[float | None]]]


def panel_of(sheet_file: Path, answers_file: Path, names: Sequence[str]) -> Panel:
    """Liking of one tasting: doses by trial, tasters x trials."""
    from pairing.trials import sheets

    document = read_json(sheet_file, "trials sheet")
    sheet = sheets.from_dict(document)
    doses = document.get("doses") or {}
    if not all(set(names) <= set(doses.get(t) or {}) for t in sheet.trials):
        raise PairingError(
            f"{sheet_file.name} does not say the doses of {', '.join(names)}; make it from the plan"
        )
    given = sheets.answers(sheet, read_text(answers_file, LARGEST_FILE), answers_file.name)
    kept: list[Mapping[str, float]] = [{n: doses[t][n] for n in names} for t in sheet.trials]
    return kept, sheets.liking_table(sheet, given)


def _panels_of_journal(path: Path | None, names: Sequence[str]) -> list[Panel]:
    """Panels of the journal whose tastings say a dose of each of these."""
    from pairing.bar.journal import open_journal
    from pairing.errors import NothingFoundError

    groups: dict[str, list[dict[str, Any]]] = {}
    with open_journal(path, write=False) as book:
        for r in book.tastings_of():
            if r["liking"] is not None and set(names) <= set(r["doses"] or {}):
                groups.setdefault(r["panel"] or "", []).append(r)
    out: list[Panel] = []
    for rows in groups.values():
        for r in rows:
            r["doses"] = {n: r["doses"][n] for n in names}
        doses = [dict(zip(names, d, strict=True))
                 for d in sorted({tuple(r["doses"].values()) for r in rows})]  # fmt: skip
        flights: dict[Any, list[float | None]] = {}
        for r in rows:
            who = (r["taster_number"] or f"#{r['number']}", r["sitting"])
            row = flights.setdefault(who, [None] * len(doses))
            row[doses.index(r["doses"])] = r["liking"]
        if sum(sum(x is not None for x in f) >= 2 for f in flights.values()):
            out.append((list(doses), list(flights.values())))
    if not out:
        raise NothingFoundError(
            f"the journal has no liking of trials with doses of {', '.join(names)}; keep a panel: "
            "pairing trials read SHEET.json ANSWERS.csv --keep"
        )
    return out


def _practice(factors: Sequence[Any]) -> Any:
    """Liking that practice expects: best where the formula stands, a point less at a window's end.

    The formula's own doses come from bar practice and the aroma in the cup.
    """

    def expect(doses: Mapping[str, float]) -> float:
        return -float(sum((f.coded(doses[f.name]) - f.coded(f.middle)) ** 2 for f in factors))

    return expect


def next_plan(
    plan: Mapping[str, Any], kitchen: Kitchen, found: Mapping[str, Any]
) -> dict[str, Any]:
    """The next trials of :func:`learned_next` as a plan of their own, the best so far first."""
    doses = [found["best_so_far"]["doses"], *(f["doses"] for f in found["next"])]
    kept = {k: v for k, v in plan.items() if k not in ("schema_version", "command")}
    letters = [chr(ord("A") + i) for i in range(len(doses))]
    documents = [kitchen.document(d, float(plan["pot_g"])) for d in doses]
    return kept | {
        "design": "next",
        "trials": [
            {"trial": n, "doses": d, "formula": f}
            for n, d, f in zip(letters, doses, documents, strict=True)
        ],
        "allergens": allergens_of(documents[0]["findings"]),
        "not_known": list(dict.fromkeys(s for f in documents for s in f["not_known"])),
        "left_out": [],
        "pots": None,
        "stops": [s for f in documents for s in f["stops"]],
    }
