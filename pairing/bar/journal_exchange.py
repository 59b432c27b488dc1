"""The journal out and in: one JSON document for everything, CSV for tastings."""

from __future__ import annotations

import csv
import io
import json
import uuid
from collections.abc import Mapping
from typing import Any

from pairing.bar.journal import VIEWS, Journal, insert, record_of
from pairing.bar.journal_file import VERSION
from pairing.bar.journal_records import FIELDS, checked, number_of, ordered, parsed
from pairing.errors import PairingError, quoted

__all__ = ["CSV_COLUMNS", "export", "take_in", "take_in_csv", "tastings_csv"]

CSV_COLUMNS = ("number", "uid", "tasted_on", "trial", "taster", "batch", "protocol", "panel",
               "sitting", "liking", "answer", "doses", "marks", "note")  # fmt: skip


def export(journal: Journal) -> dict[str, Any]:
    """Everything, as one JSON document that :func:`take_in` reads back.

    Parameters
    ----------
    journal : Journal

    Returns
    -------
    dict
    """
    out: dict[str, Any] = {"schema_version": 1, "journal": VERSION}
    out["lots"] = [
        {k: r[k] for k in r.keys() if k != "id"}  # noqa: SIM118
        for r in journal.rows("SELECT * FROM lot ORDER BY id")
    ]
    batches = []
    for r in journal.rows("SELECT id FROM batch ORDER BY id"):
        one = journal.show("batch", r["id"])
        one["lots"] = [f"{x['ingredient']}:{x['code']}" for x in one["lots"]]
        batches.append({k: v for k, v in one.items() if k not in ("kind", "day", "tastings")})
    out["batches"] = batches
    photos: dict[int, list[str]] = {}
    for r in journal.rows("SELECT tasting_id, path FROM photo WHERE tasting_id IS NOT NULL"):
        photos.setdefault(r["tasting_id"], []).append(r["path"])
    rows = journal.rows(f"{VIEWS['tasting'][0]} ORDER BY x.id")
    out["tastings"] = [
        {
            **{
                k: v
                for k, v in record_of("tasting", r).items()
                if k not in ("kind", "day", "taster_number")
            },
            "photos": photos.get(r["id"], []),
        }
        for r in rows
    ]
    return out


def tastings_csv(journal: Journal) -> str:
    """All tastings as CSV that :func:`take_in_csv` reads back; formulas inert.

    Parameters
    ----------
    journal : Journal

    Returns
    -------
    str
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_COLUMNS)
    for record in journal.tastings_of():
        row = []
        for column in CSV_COLUMNS:
            value = record.get(column)
            if isinstance(value, dict):
                value = json.dumps(value, ensure_ascii=False)
            text = "" if value is None else str(value)
            row.append("'" + text if text[:1] in ("=", "+", "-", "@") else text)
        writer.writerow(row)
    return out.getvalue()


def take_in(journal: Journal, document: Mapping[str, Any]) -> tuple[int, int]:
    """Take in an exported document, all or nothing; what is here already is passed over.

    Parameters
    ----------
    journal : Journal
    document : mapping
        Of :func:`export`.

    Returns
    -------
    (int, int)
        Records taken in, and passed over.

    Raises
    ------
    PairingError
        For what is no exported journal, and records that :func:`checked` refuses; nothing is kept.
    """
    if (
        not isinstance(document, Mapping)
        or document.get("schema_version") != 1
        or not (
            isinstance(document.get("tastings"), list) and isinstance(document.get("batches"), list)
        )
    ):
        raise PairingError("this is no exported journal; give the JSON of: pairing journal export")
    new = old = 0
    with journal.writing() as db:
        for i, lot in enumerate(_maps(document.get("lots", []), "lots"), 1):
            row = checked("lot", {k: lot.get(k) for k in FIELDS["lot"]}, f"lot {i}")
            known = db.execute(
                "SELECT 1 FROM lot WHERE uid = ? OR (ingredient = ? AND code = ?)",
                (_uid(lot), row["ingredient"], row.get("code")),
            ).fetchone()
            if not known:
                insert(db, "lot", {**row, "uid": _uid(lot)})
            new, old = new + (not known), old + bool(known)
        numbers: dict[int, int] = {}
        for i, batch in enumerate(_maps(document["batches"], "batches"), 1):
            row = checked("batch", {k: batch.get(k) for k in FIELDS["batch"]}, f"batch {i}")
            ordered(row)
            found = db.execute("SELECT id FROM batch WHERE uid = ?", (_uid(batch),)).fetchone()
            here = (
                int(found[0])
                if found
                else journal.insert_batch(
                    db, row, batch.get("formula"), batch.get("lots") or [],
                    batch.get("photos") or [], _uid(batch),
                )
            )  # fmt: skip
            numbers[int(batch.get("number") or 0)] = here
            new, old = new + (not found), old + bool(found)
        for i, tasting in enumerate(_maps(document["tastings"], "tastings"), 1):
            uid = _uid(tasting)
            if db.execute("SELECT 1 FROM tasting WHERE uid = ?", (uid,)).fetchone():
                old += 1
                continue
            row = checked("tasting", {k: tasting.get(k) for k in FIELDS["tasting"]}, f"tasting {i}")
            batch_number = tasting.get("batch")
            record = {**tasting, "uid": uid}
            record["batch"] = None if batch_number is None else numbers.get(number_of(batch_number))
            journal.insert_tasting(db, row, record)
            new += 1
    return new, old


def take_in_csv(journal: Journal, text: str, where: str = "file") -> int:
    """Take in tastings from CSV, all or nothing.

    Parameters
    ----------
    journal : Journal
    text : str
        With a column ``trial`` and any of :data:`CSV_COLUMNS`.
    where : str
        Named in errors.

    Returns
    -------
    int
        Tastings taken in; lines with a ``uid`` that is here already are passed over.

    Raises
    ------
    PairingError
        For a missing or unknown column, or a cell that is refused, with its line; nothing is kept.
    """
    first = text.partition("\n")[0]
    mark = ";" if first.count(";") > first.count(",") else ","
    rows = list(csv.DictReader(io.StringIO(text), delimiter=mark))
    if not rows or "trial" not in rows[0]:
        raise PairingError(f"{where} has no column 'trial' or no line; see: journal export")
    unknown = [c for c in rows[0] if c not in CSV_COLUMNS]
    if unknown:
        raise PairingError(
            f"{where}: unknown column {quoted(unknown[0])}; one of {', '.join(CSV_COLUMNS)}"
        )
    ready: list[tuple[dict[str, Any], dict[str, Any]]] = []
    for line, row in enumerate(rows, 2):
        place = f"{where}, line {line}"
        cells: dict[str, Any] = {
            k: v.removeprefix("'") for k, v in row.items() if isinstance(v, str) and v
        }
        record: dict[str, Any] = {"uid": cells.pop("uid", "")}
        if "batch" in cells:
            record["batch"] = number_of(cells.pop("batch"))
        for key in ("doses", "marks"):
            if key in cells:
                record[key] = parsed(cells.pop(key), f"{place}, {key}")
        cells.pop("number", None)
        ready.append((checked("tasting", cells, place), record))
    taken = 0
    with journal.writing() as db:
        for ready_row, record in ready:
            if (
                record["uid"]
                and db.execute("SELECT 1 FROM tasting WHERE uid = ?", (record["uid"],)).fetchone()
            ):
                continue
            journal.insert_tasting(db, ready_row, record)
            taken += 1
    return taken


def _uid(record: Mapping[str, Any]) -> str:
    uid = record.get("uid")
    return uid if isinstance(uid, str) and 0 < len(uid) <= 64 else uuid.uuid4().hex


def _maps(value: Any, what: str) -> list[Mapping[str, Any]]:
    if not isinstance(value, list) or not all(isinstance(v, Mapping) for v in value):
        raise PairingError(f"{what}: give a list of objects")
    return value
