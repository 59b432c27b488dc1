"""``pairing trials sheet`` and ``read``: the blind tasting, and what the panel says."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

import click

from pairing.cards.report import Report, Table, Text, render, show
from pairing.cli.options import Amount, format_option, picture_option
from pairing.errors import PairingError, RefusedError, quoted
from pairing.files import read_text, write_atomically

__all__ = ["Tasting", "allergens_of", "json_text", "read", "read_json", "reading_of",
           "save_option", "sheet", "tasting"]  # fmt: skip

F = TypeVar("F", bound=Callable[..., Any])
LARGEST_FILE = 20_000_000


def save_option(help_text: str) -> Callable[[F], F]:
    """``--save``."""
    return click.option("--save", type=click.Path(path_type=Path), metavar="NAME", help=help_text)


def json_text(command: str, document: Mapping[str, Any]) -> str:
    """A document as the file of its command."""
    return render(Report(document, [], Table("", [], []), command), "json")


def read_json(path: Path, command: str) -> dict[str, Any]:
    """A document that this program wrote.

    Raises
    ------
    PairingError
        When it is none, or of another command.
    """
    try:
        found = json.loads(read_text(path, LARGEST_FILE))
    except (ValueError, RecursionError) as err:
        if isinstance(err, PairingError):
            raise
        raise PairingError(f"{path.name} is not JSON; give the file of pairing {command}") from None
    if not isinstance(found, dict) or found.get("command") != command:
        raise PairingError(f"{path.name} is no file of pairing {command}")
    return found


# --- sheet --------------------------------------------------------------------------------


@click.command("sheet")
@click.argument("plan_file", metavar="[PLAN.json]", required=False,
                type=click.Path(path_type=Path))  # fmt: skip
@click.option("--protocol", "protocol_name", default="liking", show_default=True, metavar="WORD",
              help="triangle, duo-trio, paired, pairs, ranking, liking or just-right.")  # fmt: skip
@click.option("--tasters", type=click.IntRange(1, 200), help="How many (named T1, T2 ...).")
@click.option("--taster", "named", multiple=True, metavar="NAME", help="A taster by name.")
@click.option("--only", metavar="A,B", help="Which trials; all when not said.")
@click.option("--trial", "loose", multiple=True, metavar="NAME",
              help="A trial that is in no plan.")  # fmt: skip
@click.option("--quality", "qualities", multiple=True, metavar="WORD",
              help="For just-right: sweet, cardamom ...")  # fmt: skip
@click.option("--cups", type=click.IntRange(2, 20), default=6, show_default=True,
              help="Most cups a taster has at a sitting.")  # fmt: skip
@click.option("--portion-ml", type=Amount(5, 250, open_low=False), default=30.0, show_default=True,
              help="Drink in a cup.")  # fmt: skip
@click.option("--decaf", is_flag=True, help="The cups are poured over decaf.")
@click.option("--in-order", is_flag=True,
              help="For ranking: the trials are in an order settled before tasting.")  # fmt: skip
@click.option("--seed", type=click.IntRange(0, 2**31 - 1), help="To get the same codes again.")
@save_option("Write NAME.json (key), NAME.csv (to fill in), NAME.html (cards to print).")
@format_option("html")
def sheet(plan_file: Path | None, save: Path | None, how: str, **options: Any) -> None:
    """Blind sheets: codes, balanced orders, cards to print, a file to fill in.

    \b
    Examples:
      pairing trials sheet autumn.json --protocol triangle --only A,C --tasters 18 --save duel
      pairing trials sheet autumn.json --taster Ana --taster Bo --taster Cy --save first
      pairing trials sheet --trial old --trial new --protocol paired --tasters 16

    The cards print one to a page (A5); save them as PDF from the print dialogue.
    """
    if (plan_file is None) == (not options["loose"]):
        raise PairingError("give the file of a plan, or each trial with --trial")
    if (options["tasters"] is None) == (not options["named"]):
        raise PairingError("say --tasters 12, or each one with --taster NAME")
    made = tasting(read_json(plan_file, "trials plan") if plan_file else {}, options)
    saved = []
    if save:
        stem = save.with_suffix("") if save.suffix in (".json", ".csv", ".html") else save
        files = made.keep(stem)
        saved = [
            f"{files[0]}: the key, for the kitchen",
            f"{files[1]}: to fill in ({made.sheet.protocol.answer})",
            f"{files[2]}: cards to print",
            f"then: pairing trials read {files[0]} {files[1]}",
        ]
    show(made.report(saved), how)


@dataclass(frozen=True)
class Tasting:
    """A sheet with what belongs on its cards.

    Attributes
    ----------
    sheet : Sheet
    document : mapping
        With the key: kitchen only.
    caffeine : Caffeine or None
    allergens : str
        A sentence.
    """

    sheet: Any
    document: Mapping[str, Any]
    caffeine: Any
    allergens: str

    def report(self, saved: Sequence[str] = ()) -> Report:
        """The report for the kitchen, the cards to print among its formats."""
        from pairing.cards.trials import sheet_report

        made = sheet_report(self.sheet, self.document, self.caffeine, self.allergens, saved)
        return replace(made, extra={"html": self.cards()})

    def cards(self) -> str:
        """Cards to print."""
        from pairing.cards.trials import cards_html

        return cards_html(self.sheet, self.caffeine, self.allergens)

    def keep(self, stem: Path) -> tuple[Path, Path, Path]:
        """Write key, file to fill in, and cards.

        Raises
        ------
        PairingError
            When one of them is there already.
        """
        from pairing.trials.sheets import to_csv

        key, blank, cards = (Path(f"{stem}{end}") for end in (".json", ".csv", ".html"))
        there = next((f for f in (key, blank, cards) if f.exists()), None)
        if there is not None:
            raise PairingError(
                f"{there.name} is there already, and a key is never overwritten; save another"
            )
        write_atomically(key, json_text("trials sheet", self.document))
        write_atomically(blank, to_csv(self.sheet))
        write_atomically(cards, self.cards())
        return key, blank, cards


def tasting(plan: Mapping[str, Any], options: Mapping[str, Any]) -> Tasting:
    """The tasting of a plan (empty for loose trials) that the options of :func:`sheet` ask for.

    Raises
    ------
    PairingError
        When trials, tasters and protocol do not fit together.
    """
    from pairing.trials import sheets

    try:
        trials = list(plan.get("trials", ()))
        names = [str(t["trial"]) for t in trials] or list(options["loose"])
        doses = {str(t["trial"]): _whole(t) for t in trials}
        stops = {str(t["trial"]): t.get("formula", {}).get("stops") for t in trials}
        sure = allergens_of([f for t in trials for f in t.get("formula", {}).get("findings", ())])
        mg = float(plan["caffeine_mg_per_drink"][1]) if plan else 0.0
        drink_ml = float(plan["drink_ml"]) if plan else 0.0
        if not all(
            0 <= x < math.inf for x in (mg, *(g for d in doses.values() for g in d.values()))
        ):
            raise ValueError
    except (KeyError, TypeError, ValueError, IndexError, AttributeError):
        raise PairingError("the plan lacks parts; make it anew: pairing trials plan") from None
    if options["only"]:
        wanted = [w.strip() for w in options["only"].split(",") if w.strip()]
        strange = [w for w in wanted if w not in names]
        if strange:
            raise PairingError(f"--only {quoted(strange[0])}: the trials are {', '.join(names)}")
        names = wanted
    _refuse_barred([i for n in names for i in doses.get(n, ())])
    for name in names:
        if stops.get(name):
            raise RefusedError(f"trial {name} must not be served: {quoted(stops[name][0], 200)}")
    count = options["tasters"]
    made = sheets.make_sheet(
        options["protocol_name"], names, count if count is not None else list(options["named"]),
        cups=options["cups"], qualities=options["qualities"], portion_ml=options["portion_ml"],
        order=names if options["in_order"] else (), seed=options["seed"],
    )  # fmt: skip
    decaf = options["decaf"]
    if decaf and plan:
        made = replace(made, notes=(*made.notes, "poured over decaf: the aroma is a little weaker"))
    caffeine = None
    if plan:
        single, day = _guidance()
        high = mg * (_decaf_share() if decaf else 1.0)
        caffeine = sheets.caffeine(made, high, drink_ml, single, day)
    allergens = "Allergens: not known here; ask the kitchen about each cup before you taste."
    if plan:  # what its formulas say counts, whatever somebody wrote over it
        said = str(plan.get("allergens"))
        allergens = said if sure in said else sure
    document = {
        **made.to_dict(),
        "doses": {n: doses.get(n, {}) for n in names},
        "allergens": allergens,
        "caffeine": None
        if caffeine is None
        else {
            "per_sitting_mg": caffeine.sitting_mg,
            "all_sittings_mg": caffeine.whole_mg,
            "guidance_at_once_mg": caffeine.single_mg,
            "guidance_a_day_mg": caffeine.day_mg,
            "warning": caffeine.warning,
        },
        "power": sheets.strength_words(made),
    }
    return Tasting(made, document, caffeine, allergens)


def allergens_of(findings: Sequence[Mapping[str, Any]]) -> str:
    """Allergens as the safety engine has them, for tasters; what it does not know is said.

    Parameters
    ----------
    findings : sequence of mapping
        Of the documents of formulas.

    Returns
    -------
    str
    """
    open_ = dict.fromkeys(str(f["text"]) for f in findings if f["code"] in ("unknown", "loosened"))
    found = [f for f in findings if str(f["code"]).startswith("allergen")]
    if not found and not open_:
        return (
            "Allergens: no specification was given; check those of your suppliers and what "
            "else your bench touches, and ask every taster before the first cup."
        )
    texts = list(dict.fromkeys(str(f["text"]) for f in found))
    head = [] if texts and texts[0].startswith("Allergens") else ["Allergens:"]
    told = " ".join([*open_, *head, *texts])
    return f"{told} Ask every taster first."


def _refuse_barred(names: Sequence[str]) -> None:
    """Refuse what has become barred since a plan was kept, or was written into it by hand.

    The law of the plan's market is not kept with it: what any market allows is left to the plan.
    """
    from pairing.evidence.catalog import Catalog, load
    from pairing.safety.plants import MARKETS, is_refused, refuse_plant

    shipped = load()
    for name in dict.fromkeys(names):
        try:
            ident = shipped.form(name).ingredient_id
        except RefusedError:
            raise
        except PairingError:
            continue  # a bar's own
        if is_refused(shipped, ident) and all(
            is_refused(Catalog(shipped.folder, market=m), ident) for m in MARKETS
        ):
            refuse_plant(shipped, ident)


def _whole(trial: Mapping[str, Any]) -> dict[str, float]:
    """Doses of everything in a trial: what was varied as planned, the rest by the formula."""
    inside = trial.get("formula", {}).get("ingredients", ())
    return {i["id"]: float(i["dose_g_per_kg"]) for i in inside} | dict(trial["doses"])


def _guidance() -> tuple[float, float]:
    """Caffeine for a healthy adult at once and a day, mg."""
    from pairing.evidence.catalog import load

    rows = {g.guidance_id: g.value for g in load().safety.caffeine}
    return rows["efsa-adult-single"], rows["efsa-adult-day"]


def _decaf_share() -> float:
    """Most caffeine that decaf keeps, as a share."""
    from pairing.evidence.catalog import load

    shares = [r.ratio_high for r in load().caffeine if r.level == "decaffeinated"]
    return max(shares, default=1.0)


# --- read ---------------------------------------------------------------------------------


@click.command("read")
@click.argument("files", nargs=-1, metavar="[SHEET.json ANSWERS.csv]",
                type=click.Path(path_type=Path))  # fmt: skip
@click.option("--protocol", "protocol_name", metavar="WORD",
              help="With --count: triangle, duo-trio or paired.")  # fmt: skip
@click.option("--count", metavar="9/12", help="Correct answers of how many, without a sheet.")
@click.option("--one-sided", is_flag=True,
              help="Paired: settled before tasting that only the second can win.")  # fmt: skip
@click.option("--alpha", type=Amount(0, 0.5), default=0.05, show_default=True,
              help="How often luck may be called a result.")  # fmt: skip
@click.option("--keep", is_flag=True, help="Put the tastings into the journal.")
@click.option("--file", "journal_file", type=click.Path(path_type=Path),
              help="Which journal; the usual one when not said.")  # fmt: skip
@format_option()
@picture_option
def read(
    files: tuple[Path, ...],
    protocol_name: str | None,
    count: str | None,
    one_sided: bool,
    alpha: float,
    keep: bool,
    journal_file: Path | None,
    how: str,
) -> None:
    """What the panel says: a plain sentence, then the numbers.

    \b
    Examples:
      pairing trials read autumn-1.json autumn-1.csv --keep
      pairing trials read --protocol triangle --count 9/12
    """
    if count is not None:
        if files or keep or not protocol_name:
            raise PairingError("say --protocol triangle --count 9/12, without files")
        show(count_report(protocol_name, count, alpha, one_sided), how)
        return
    if len(files) != 2:
        raise PairingError("give the sheet's JSON and the filled-in CSV, or --count 9/12")
    document = read_json(files[0], "trials sheet")
    text = read_text(files[1], LARGEST_FILE)
    made, given = reading_of(document, text, (files[0], files[1]), alpha, one_sided)
    if keep:
        kept = _keep(document, given, files[0].stem, journal_file)
        then = f"{kept} tastings are in the journal; pairing journal search {files[0].stem}"
        said = [b for b in made.blocks if not (isinstance(b, Text) and b.text.startswith("Next: "))]
        made = replace(made, blocks=[*said, Text(f"Next: {then}")])
    show(made, how)


def count_report(protocol: str, count: str, alpha: float, one_sided: bool) -> Report:
    """What a bare count says, such as 9 right of 12.

    Raises
    ------
    PairingError
        For what is no count, and a protocol that is not read from one.
    """
    from pairing.cards.trials import reading_report
    from pairing.trials import discrimination

    correct, of, all_ = count.partition("/")
    if not (of and correct.strip().isdigit() and all_.strip().isdigit()):
        raise PairingError(f"--count {quoted(count)} should look like 9/12")
    reading = discrimination.read_count(
        protocol, int(correct), int(all_), alpha=alpha, one_sided=one_sided
    )
    return reading_report(reading, {**reading.to_dict(), "left_out": []}, (), "")


def reading_of(
    document: Mapping[str, Any],
    text: str,
    files: tuple[Path, Path],
    alpha: float = 0.05,
    one_sided: bool = False,
) -> tuple[Report, Sequence[Any]]:
    """What a filled-in sheet says, and the answers it was read from.

    Raises
    ------
    PairingError
        For what is no sheet, and answers that do not belong to it.
    """
    from pairing.cards.trials import reading_report
    from pairing.trials import sheets

    sheet_ = sheets.from_dict(document)
    given = sheets.answers(sheet_, text, files[1].name)
    reading, left = sheets.read_answers(sheet_, given, alpha=alpha, one_sided=one_sided)
    then = ""
    if reading.numbers["protocol"] in ("liking", "just-right") and any(
        document.get("doses", {}).values()
    ):
        then = f"pairing trials next PLAN.json --answers {files[0]} {files[1]}"
    record = {**reading.to_dict(), "left_out": list(left)}
    return reading_report(reading, record, left, then), given


def _keep(document: Mapping[str, Any], given: Sequence[Any], panel: str, path: Path | None) -> int:
    from pairing.bar.journal import open_journal
    from pairing.trials.sheets import from_dict

    sheet = from_dict(document)

    likes = sheet.protocol.protocol_id in ("liking", "just-right")
    records = []
    for a in given:
        if not (a.value or any(a.marks.values()) or a.note):
            continue
        liking = float(a.value.replace(",", ".")) if likes and a.value else None
        records.append(
            {
                "trial": a.cup.trial,
                "taster": a.cup.taster,
                "protocol": sheet.protocol.protocol_id,
                "panel": panel,
                "sitting": a.cup.sitting,
                "liking": liking,
                "answer": None if likes else a.value,
                "marks": {q: float(v) for q, v in a.marks.items() if v},
                "doses": document.get("doses", {}).get(a.cup.trial) or None,
                "note": a.note,
                "uid": f"{sheet.seed}-{sheet.cups.index(a.cup)}-{panel}"[:64],
            }
        )
    with open_journal(path) as book:
        known = {r["uid"] for r in book.tastings_of(panel=panel)}
        new = [r for r in records if r["uid"] not in known]
        book.add_tastings(new)
    return len(new)
