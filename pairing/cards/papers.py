"""Operator's papers: allergen matrix, lot trace, guest card, supplier questions, kitchen rules.

Each is a document of its own, to print or to keep beside the batch; the batch sheet is in
:mod:`pairing.cards.batch`. Hold: "-" in a matrix means no listed allergen by nature, never
none: supplier specifications and shared equipment decide.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pairing.cards.report import Bullets, Report, Table, Text
from pairing.cards.vocabulary import NOT_KNOWN, not_assessed, not_known
from pairing.errors import NothingFoundError, PairingError, quoted
from pairing.evidence.catalog import Catalog
from pairing.evidence.rows import Form
from pairing.files import read_text
from pairing.safety.allergens import unknown_allergens
from pairing.safety.amounts import portion, sweetener_portion
from pairing.safety.assess import assess
from pairing.safety.findings import DEFER, POISON_CENTRE, Finding
from pairing.safety.plants import refuse_plant
from pairing.safety.process import process_cautions
from pairing.syrup.formula import Formula

__all__ = [
    "Lot",
    "guest_card",
    "kitchen_rules",
    "matrix",
    "read_lots",
    "standing_words",
    "supplier_questions",
    "trace",
]

# Regulation (EU) No 1169/2011, Annex II (UK alike); Food Allergy Safety, Treatment, Education and
# Research Act of 2021 for the US list of nine.
EU_LIST = (
    *("gluten-cereals", "crustaceans", "eggs", "fish", "peanuts", "soybeans", "milk"),
    *("tree-nuts", "celery", "mustard", "sesame", "sulphites", "lupin", "molluscs"),
)
US_LIST = (
    *("milk", "eggs", "fish", "crustaceans", "tree-nuts"),
    *("peanuts", "wheat", "soybeans", "sesame"),
)
LEGEND = (
    "X = contains; ? = NOT KNOWN, ask the supplier; - = no listed allergen by nature: supplier "
    "specifications and shared equipment decide, it is never 'free from'."
)
SHARED = (
    "Shared equipment (tick what touches more than one syrup): pans __ sieves __ funnels __ jugs "
    "__ shaker __ blender __ steam wand __"
)
MOST_BYTES = 5_000_000


def _column(finding: Finding, columns: Sequence[str]) -> str | None:
    group = finding.row_id.partition(":")[0]
    if group in columns:
        return group
    if group == "gluten-cereals" and "wheat" in columns and "wheat" in " ".join(finding.words):
        return "wheat"
    return None


def matrix(catalog: Catalog, menu: Sequence[tuple[str, Sequence[Form], Sequence[str]]]) -> Report:
    """Which syrup of a menu holds which listed allergen.

    Parameters
    ----------
    catalog : Catalog
        Its ``market`` decides the list: the US nine, else the fourteen of the EU and UK.
    menu : sequence of (name, forms, sweetener ids)

    Returns
    -------
    Report
        Cells are ``X`` contains, ``?`` not known, ``-`` no listed allergen by nature (never "free
        from").

    Raises
    ------
    RefusedError
        For a plant that no drink may hold.
    PairingError
        For an empty menu.
    """
    if not menu:
        raise PairingError("a matrix needs a menu: name at least one syrup")
    columns = list(US_LIST if catalog.market == "us" else EU_LIST)
    rows, open_ = [], []
    for name, forms, sweeteners in menu:
        for form in forms:
            refuse_plant(catalog, form.ingredient_id)
        used = [portion(catalog, f) for f in forms]
        used += [sweetener_portion(catalog, s) for s in sweeteners]
        found = assess(catalog, used)
        held = {_column(f, columns): f for f in found if f.code == "allergen"}
        unknown = unknown_allergens(found)
        open_ += [f.text for f in found if f.code in (*NOT_KNOWN, "allergen-maybe")]
        sulphites = any(f.row_id == "sulphites:open" for f in found)
        cells = [
            "X" if c in held else "?" if unknown or (c == "sulphites" and sulphites) else "-"
            for c in columns
        ]
        rows.append([name, *cells])
    table = Table("Allergen matrix", ["syrup", *columns], rows)
    long = Table(
        "Allergens by syrup",
        ["syrup", "contains", "not known"],
        [
            [
                r[0],
                ", ".join(c for c, x in zip(columns, r[1:], strict=True) if x == "X") or "-",
                ", ".join(c for c, x in zip(columns, r[1:], strict=True) if x == "?") or "",
            ]
            for r in rows
        ],
    )
    open_ = list(dict.fromkeys(open_))
    document = {
        "not_known": open_,
        "columns": columns,
        "rows": [{"syrup": r[0], "cells": r[1:]} for r in rows],
        "legend": LEGEND,
    }
    blocks: list[Text | Bullets | Table] = [Text(t) for t in open_]
    blocks += [long, Text(LEGEND), Text(SHARED), Text(DEFER)]
    data = Table("", table.columns, [*_first(open_, len(columns)), *rows])
    return Report(document, blocks, data, "papers matrix")


def _first(lines: Sequence[str], cells: int) -> list[list[str]]:
    """Lines that stand before the rows of a CSV table, each with so many empty cells."""
    return [[line, *[""] * cells] for line in lines]


def guest_line(findings: Sequence[Finding], caffeine_mg: tuple[float, float] | None = None) -> str:
    """What a guest reads, in one line: allergens, who asks first, caffeine.

    Parameters
    ----------
    findings : sequence of Finding
    caffeine_mg : (float, float), optional
        Low and high of one drink.
    """
    words = dict.fromkeys(w for f in findings if f.code == "allergen" for w in _legal(f))
    unknown = dict.fromkeys(f.spoken for f in findings if f.code == "allergen-unknown")
    relatives = dict.fromkeys(
        f"{f.spoken} ({f.words[0]})"
        for f in findings
        if f.code == "allergen" and f.words and not _legal(f)
    )
    medicines = dict.fromkeys(
        f.spoken
        for f in findings
        if f.code == "hazard"
        and f.basis == "interaction"
        and f.level in ("stop", "limit", "caution")
    )
    who = dict.fromkeys(
        f.who for f in findings if f.code == "hazard" and f.basis == "group" and f.level != "note"
    )
    parts = []
    if unknown:
        parts.append(f"ALLERGENS NOT KNOWN: {', '.join(unknown)}")
    if words:
        parts.append(f"Contains {', '.join(words)}")
    if relatives:
        parts.append(f"Also {', '.join(relatives)}")
    if medicines:
        parts.append(
            f"{', '.join(medicines).capitalize()}: ask your pharmacist if you take medicines"
        )
    if who:
        parts.append(f"Not for: {'; '.join(who)}")
    if caffeine_mg and caffeine_mg[1] > 0:
        parts.append(f"{caffeine_mg[0]:.0f} to {caffeine_mg[1]:.0f} mg caffeine")
    parts.append("tell us of any allergy")
    return ". ".join(p[:1].upper() + p[1:] for p in parts) + "."


def _legal(finding: Finding) -> tuple[str, ...]:
    return finding.words if {"EU14", "US9"} & set(finding.lists) else ()


def guest_card(catalog: Catalog, made: Formula) -> Report:
    """One line for the menu or the counter.

    Parameters
    ----------
    catalog : Catalog
    made : Formula

    Returns
    -------
    Report
    """
    line = guest_line(made.findings, made.base.caffeine_mg)
    stops = [f.text for f in made.stops]
    document = {"stops": stops, "not_known": not_known(made.findings), "line": line}
    open_ = [f.text for f in made.findings if f.code in ("unknown", "loosened")]  # for the staff
    first = [*(f"STOP: {s}" for s in stops), *open_]
    blocks: list[Text | Bullets | Table] = [*map(Text, first), Text(line)]
    data = Table("", ["line"], [*([text] for text in first), [line]])
    return Report(document, blocks, data, "papers guest")


QUESTIONS = {
    "every": "Which listed allergens does it hold, and what else is handled on the line? "
    "(specification, dated)",
    "species": "Which species and part of the plant is it ({botanical}), from where, which lot?",
    "citrus": "Is the fruit untreated and unwaxed (imazalil, thiabendazole, shellac)?",
    "dried": "Is it unsulphured? If not, how much SO2 (mg/kg)?",
    "lead": "What are lead and other metals of this lot (mg/kg)?",
    "spice": "Was it treated (steam, ethylene oxide, irradiation)? Salmonella, aflatoxin and "
    "ochratoxin of this lot?",
    "herb": "Pyrrolizidine alkaloids of this lot (ug/kg)?",
    "coumarin": "Coumarin of this lot (mg/kg)?",
}


def supplier_questions(catalog: Catalog, forms: Sequence[Form]) -> Report:
    """What to ask the supplier of each ingredient, once, in writing.

    Parameters
    ----------
    catalog : Catalog
    forms : sequence of Form

    Returns
    -------
    Report
    """
    rows = []
    for form in forms:
        refuse_plant(catalog, form.ingredient_id)
        ingredient = catalog.ingredients[form.ingredient_id]
        kind, dry = ingredient.kind, (form.water_percent or 0.0) < 40.0
        keys = ["every", "species"]
        keys += ["citrus"] if kind == "citrus" else []
        keys += ["dried"] if dry and kind in ("citrus", "fruit") else []
        keys += ["spice"] if dry and kind in ("spice", "seed", "root", "herb", "flower") else []
        keys += ["herb"] if dry and kind in ("herb", "tea", "spice") else []
        held = {
            h.hazard_id for h in catalog.safety.hazards if form.ingredient_id in h.ingredient_ids
        }
        keys += ["lead"] if any("lead" in h for h in held) or kind == "root" else []
        holds = {c.substance for c in catalog.safety.constituents.get(form.ingredient_id, ())}
        keys += ["coumarin"] if "coumarin" in holds else []
        botanical = ingredient.botanical_name or "botanical name"
        rows += [[form.label, QUESTIONS[k].format(botanical=botanical)] for k in keys]
    table = Table("Ask the supplier", ["ingredient", "question"], rows)
    open_ = not_assessed(catalog, forms)
    document = {
        "not_known": open_,
        "questions": [{"ingredient": a, "question": b} for a, b in rows],
    }
    data = Table("", table.columns, [*_first(open_, 1), *rows])
    return Report(document, [*map(Text, open_), table, Text(DEFER)], data, "papers supplier")


# --- house rules --------------------------------------------------------------------------


def standing_words(catalog: Catalog) -> str:
    """How much of the safety tables was read, and how much is to be confirmed.

    Parameters
    ----------
    catalog : Catalog

    Returns
    -------
    str
        One sentence.
    """
    rows = catalog.safety.standing
    total = sum(rows.values())
    shares = ", ".join(f"{n} {STANDING.get(how, how)}" for how, n in rows.items())
    return f"Behind the safety answers stand {total} rows of law, hazard and content: {shares}."


STANDING = {"memory": "from memory (to be confirmed)", "read": "read in the source"}


WALL = frozenset({"formula", "hot-steep", "simmer", "cold-steep", "bottle", "store", "citrus"})


def kitchen_rules(catalog: Catalog) -> Report:
    """House rules that are the same for every batch, once, for the wall.

    Parameters
    ----------
    catalog : Catalog
        Its ``market`` leaves out the temperatures of other markets.

    Returns
    -------
    Report
    """
    rows = process_cautions(catalog, WALL)
    other = {"us": "-uk", "eu": "-uk"}.get(catalog.market, "-none")
    kept = [r for r in rows if not r.caution_id.endswith(other)]
    order = dict.fromkeys(r.hazard for r in kept)
    table = Table("Kitchen rules", ["about", "rule"], [[r.hazard, r.text] for r in kept])
    blocks: list[Text | Bullets | Table] = [
        Bullets(hazard.capitalize(), [r.text for r in kept if r.hazard == hazard])
        for hazard in order
    ]
    blocks += [Text(POISON_CENTRE), Text(standing_words(catalog)), Text(DEFER)]
    document = {
        "rules": [{"about": r.hazard, "text": r.text, "source_id": r.source_id} for r in kept]
    }
    return Report(document, blocks, table, "kitchen-rules")


# --- lots ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Lot:
    """One ingredient lot that went into one batch, and the bottles of the batch.

    Attributes
    ----------
    batch, ingredient, lot : str
    supplier : str
        Empty when not noted.
    bottles : str
        Numbers with ``;`` between; empty when not noted.
    """

    batch: str
    ingredient: str
    lot: str
    supplier: str
    bottles: str


LOT_COLUMNS = ("batch", "ingredient", "lot", "supplier", "bottles")


def read_lots(path: Path) -> tuple[Lot, ...]:
    """Read a CSV file of lots: batch, ingredient, lot, supplier, bottles.

    Parameters
    ----------
    path : Path

    Returns
    -------
    tuple of Lot
        In the order of the file.

    Raises
    ------
    PairingError
        With the line, for a missing column or an empty batch, ingredient or lot.
    """
    reader = csv.reader(io.StringIO(read_text(path, MOST_BYTES), newline=""))
    try:
        rows = [r for r in reader if any(c.strip() for c in r)]
    except csv.Error as err:
        raise PairingError(f"{path.name} line {reader.line_num}: not CSV ({err})") from None
    header = [c.strip() for c in rows[0]] if rows else []
    missing = [c for c in LOT_COLUMNS[:3] if c not in header]
    if missing:
        raise PairingError(
            f"{path.name}: lacks the column {missing[0]!r}; it has {', '.join(LOT_COLUMNS)}"
        )
    out = []
    for number, row in enumerate(rows[1:], 2):
        cells = dict(zip(header, (c.strip() for c in row), strict=False))
        for need in LOT_COLUMNS[:3]:
            if not cells.get(need):
                raise PairingError(f"{path.name} line {number}: {need} is empty; fill it in")
        out.append(Lot(*(cells.get(c, "") for c in LOT_COLUMNS)))
    return tuple(out)


def trace(lots: Sequence[Lot], wanted: str) -> Report:
    """From a lot to the bottles that hold it, or from a batch or bottle back to its lots.

    Parameters
    ----------
    lots : sequence of Lot
    wanted : str
        A lot, a batch or a bottle number.

    Returns
    -------
    Report

    Raises
    ------
    NothingFoundError
        When no row names it.
    """
    batches = dict.fromkeys(
        r.batch
        for r in lots
        if wanted in (r.lot, r.batch) or wanted in (b.strip() for b in r.bottles.split(";"))
    )
    if not batches:
        raise NothingFoundError(f"no lot, batch or bottle {quoted(wanted)} in the file")
    rows = [r for r in lots if r.batch in batches]
    bottles = dict.fromkeys(b.strip() for r in rows for b in r.bottles.split(";") if b.strip())
    table = Table(
        f"Touched by {wanted}",
        list(LOT_COLUMNS),
        [[r.batch, r.ingredient, r.lot, r.supplier, r.bottles] for r in rows],
    )
    recall = f"Recall: batches {', '.join(batches)}; bottles {', '.join(bottles) or 'not noted'}."
    document = {
        "wanted": wanted,
        "batches": list(batches),
        "bottles": list(bottles),
        "lots": [{c: getattr(r, c) for c in LOT_COLUMNS} for r in rows],
    }
    return Report(
        document, [Text(recall), table, Text(DEFER)], table, "papers lots", schema="paper"
    )
