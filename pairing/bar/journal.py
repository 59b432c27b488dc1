"""The bar's notebook: batches, tastings and ingredient lots in one SQLite file.

Every write is one transaction, flushed to the disk before it is answered (write-ahead log,
``synchronous=FULL``): a power cut or a killed program loses nothing that was said to be kept.
Nothing leaves the file; names of people are optional and can be forgotten.
"""

from __future__ import annotations

import json
import os
import sqlite3
import uuid
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

from pairing.bar.journal_file import connect, in_words
from pairing.bar.journal_records import KINDS, as_json, checked, number_of, ordered
from pairing.bar.journal_records import day as checked_day
from pairing.bar.journal_records import text as checked_text
from pairing.errors import NothingFoundError, PairingError, quoted

__all__ = ["Journal", "open_journal"]


def open_journal(path: str | os.PathLike[str] | None = None, *, write: bool = True) -> Journal:
    """Open the journal, made anew when written to for the first time.

    Parameters
    ----------
    path : path-like, optional
        :func:`pairing.bar.journal_file.default_path` when not given.
    write : bool
        False opens for reading alone, which also works on a read-only file.

    Returns
    -------
    Journal
        Close it, or use it in ``with``.

    Raises
    ------
    NothingFoundError
        When there is nothing to read yet.
    PairingError
        When it cannot be opened, is another file, or was written by a newer version.
    """
    return Journal(*connect(path, write), write)


class Journal:
    """An open journal; :func:`open_journal` makes it."""

    def __init__(self, connection: sqlite3.Connection, path: Path, writable: bool) -> None:
        self._db = connection
        self.path = path
        self.writable = writable

    def __enter__(self) -> Journal:
        """Use in ``with``."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close."""
        self.close()

    def __repr__(self) -> str:
        """One line."""
        return f"Journal({str(self.path)!r})"

    def close(self) -> None:
        """Close the file."""
        self._db.close()

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: everything in it is kept, or nothing.

        Yields
        ------
        sqlite3.Connection
            Inside the transaction.

        Raises
        ------
        PairingError
            When the journal was opened for reading alone, or SQLite refuses.
        """
        if not self.writable:
            raise PairingError("this journal was opened for reading alone; open it for writing")
        with in_words(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield self._db
                self._db.execute("COMMIT")
            except BaseException:
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
                raise

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[sqlite3.Row]:
        """What a query finds.

        Parameters
        ----------
        sql : str
        values : sequence
            For the question marks.

        Returns
        -------
        list of sqlite3.Row

        Raises
        ------
        PairingError
            In place of any error of SQLite.
        """
        with in_words(self.path):
            return self._db.execute(sql, values).fetchall()

    # --- writing --------------------------------------------------------------------------

    def add_batch(
        self,
        name: str,
        *,
        formula: Mapping[str, Any] | None = None,
        lots: Sequence[str] = (),
        photos: Sequence[str] = (),
        **given: Any,
    ) -> int:
        """Keep a batch: what was weighed, measured and poured.

        Parameters
        ----------
        name : str
        formula : mapping, optional
            The document of the formula it was made by, with what it predicted.
        lots : sequence of str
            Codes of lots in the journal.
        photos : sequence of str
            Paths; the files stay where they are.
        **given
            ``made_on, site, who, put_in_g, pot_g, yield_g, brix, ph, bottles, note``: ``put_in_g``
            is everything weighed into the pot, ``pot_g`` the pot's content before straining,
            ``yield_g`` the syrup in the bottle.

        Returns
        -------
        int
            Its number.

        Raises
        ------
        NothingFoundError
            When the journal has no such lot.
        PairingError
            For fields that are refused, and a yield above what went in.
        """
        record = checked("batch", {"name": name, **given})
        ordered(record)
        with self.writing() as db:
            number = self.insert_batch(db, record, formula, lots, photos)
        return number

    def insert_batch(
        self,
        db: sqlite3.Connection,
        record: Mapping[str, Any],
        formula: Mapping[str, Any] | None,
        lots: Sequence[str],
        photos: Sequence[str],
        uid: str = "",
    ) -> int:
        """Write a checked batch inside :meth:`writing`.

        Parameters
        ----------
        db : sqlite3.Connection
            Of :meth:`writing`.
        record : mapping
            Checked.
        formula : mapping or None
        lots : sequence of str
            Codes.
        photos : sequence of str
            Paths.
        uid : str
            Kept when given; a new one else.

        Returns
        -------
        int
            Its number.

        Raises
        ------
        NothingFoundError
            When the journal has no such lot.
        PairingError
            For a lot code that several ingredients share, and a formula that JSON cannot hold.
        """
        found = [self._lot_id(db, code) for code in lots]
        who = self._taster_id(db, record.get("who"))
        row = {**record, "who": who, "formula": as_json(formula), "uid": uid or uuid.uuid4().hex}
        row.setdefault("made_on", date.today().isoformat())
        number = insert(db, "batch", row)
        db.executemany(
            "INSERT OR IGNORE INTO batch_lot VALUES (?, ?)", [(number, lot) for lot in found]
        )
        db.executemany(
            "INSERT INTO photo (batch_id, path) VALUES (?, ?)",
            [(number, checked_text("photo", p)) for p in photos],
        )
        return number

    def add_tastings(self, records: Sequence[Mapping[str, Any]]) -> list[int]:
        """Keep tastings, all or none.

        Parameters
        ----------
        records : sequence of mapping
            ``trial`` and any of ``tasted_on, taster, batch, protocol, panel, sitting, liking,
            answer, doses, marks, photos, note``; ``batch`` is a batch's number.

        Returns
        -------
        list of int
            Their numbers.

        Raises
        ------
        NothingFoundError
            When the journal has no such batch.
        PairingError
            For fields that are refused; nothing is kept.
        """
        ready = []
        for i, record in enumerate(records, 1):
            rest = {k: v for k, v in record.items()
                    if k not in ("batch", "doses", "marks", "photos", "uid")}  # fmt: skip
            where = f"tasting {i}" if len(records) > 1 else "tasting"
            ready.append((checked("tasting", rest, where), record))
        numbers = []
        with self.writing() as db:
            for row, record in ready:
                numbers.append(self.insert_tasting(db, row, record))
        return numbers

    def insert_tasting(
        self, db: sqlite3.Connection, row: dict[str, Any], record: Mapping[str, Any]
    ) -> int:
        """Write a checked tasting inside :meth:`writing`.

        Parameters
        ----------
        db : sqlite3.Connection
            Of :meth:`writing`.
        row : dict
            Checked.
        record : mapping
            With ``batch``, ``doses``, ``marks``, ``photos`` and ``uid`` where given.

        Returns
        -------
        int
            Its number.

        Raises
        ------
        NothingFoundError
            When the journal has no such batch.
        PairingError
            For a batch number, doses, marks or photos that are none.
        """
        taster = self._taster_id(db, row.pop("taster", None))
        batch = record.get("batch")
        if (
            batch is not None
            and not db.execute("SELECT 1 FROM batch WHERE id = ?", (number_of(batch),)).fetchone()
        ):
            raise NothingFoundError(f"the journal has no batch {quoted(batch)}")
        row.setdefault("tasted_on", date.today().isoformat())
        number = insert(
            db,
            "tasting",
            {
                **row,
                "uid": record.get("uid") or uuid.uuid4().hex,
                "taster_id": taster,
                "batch_id": None if batch is None else number_of(batch),
                "doses": as_json(record.get("doses")),
                "marks": as_json(record.get("marks")),
            },
        )
        db.executemany(
            "INSERT INTO photo (tasting_id, path) VALUES (?, ?)",
            [(number, checked_text("photo", p)) for p in record.get("photos", ())],
        )
        return number

    def add_lot(self, ingredient: str, code: str, **given: Any) -> int:
        """Keep a lot of an ingredient as it came in.

        Parameters
        ----------
        ingredient, code : str
            The code as printed on the bag.
        **given
            ``supplier, received_on, use_by, note``.

        Returns
        -------
        int
            Its number.

        Raises
        ------
        PairingError
            Without a code, for one that is kept already, and for fields that are refused.
        """
        record = checked("lot", {"ingredient": ingredient, "code": code, **given})
        if not record.get("code"):
            raise PairingError("a lot needs its code, as printed on the bag")
        with self.writing() as db:
            if db.execute(
                "SELECT 1 FROM lot WHERE ingredient = ? AND code = ?",
                (record["ingredient"], record["code"]),
            ).fetchone():
                raise PairingError(
                    f"lot {quoted(code)} of {quoted(ingredient)} is in the journal already"
                )
            return insert(db, "lot", {**record, "uid": uuid.uuid4().hex})

    def measure(self, batch: int, **given: Any) -> None:
        """Add what was measured of a batch afterwards; what is not given stays.

        Parameters
        ----------
        batch : int
        **given
            As for :meth:`add_batch`.

        Raises
        ------
        NothingFoundError
            When there is no such batch.
        """
        record = checked("batch", {"name": "x", **given})
        del record["name"]
        if not record:
            raise PairingError("nothing to add; give a weight, °Bx, pH or a note")
        with self.writing() as db:
            old = db.execute("SELECT * FROM batch WHERE id = ?", (batch,)).fetchone()
            if old is None:
                raise NothingFoundError(f"the journal has no batch {batch}")
            ordered({**dict(old), **record})
            if "who" in record:
                record["who"] = self._taster_id(db, record["who"])
            names = ", ".join(f"{k} = ?" for k in record)
            db.execute(f"UPDATE batch SET {names} WHERE id = ?", [*record.values(), batch])

    def forget(self, taster: str, *, answers: bool = False) -> tuple[int, int]:
        """Forget a person: the name goes for good, from the file and its log.

        Parameters
        ----------
        taster : str
        answers : bool
            Remove what they answered too; else it stays without a name.

        Returns
        -------
        (int, int)
            Tastings that were theirs, and notes that still hold the name (a person wrote those; a
            person must change them).

        Raises
        ------
        NothingFoundError
            When nobody has this name.
        """
        name = checked_text("taster", taster)
        with self.writing() as db:
            row = db.execute("SELECT id FROM taster WHERE name = ?", (name,)).fetchone()
            if row is None:
                raise NothingFoundError(f"the journal knows no taster {quoted(name)}")
            theirs = int(
                db.execute("SELECT count(*) FROM tasting WHERE taster_id = ?", row[:]).fetchone()[0]
            )
            if answers:
                db.execute("DELETE FROM tasting WHERE taster_id = ?", row[:])
            db.execute("UPDATE taster SET name = NULL WHERE id = ?", row[:])
            like = f"%{_escaped(name)}%"
            left = sum(
                int(db.execute(
                    f"SELECT count(*) FROM {t} WHERE note LIKE ? ESCAPE '!'", (like,)
                ).fetchone()[0])
                for t in KINDS
            )  # fmt: skip
        with in_words(self.path):
            self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            self._db.execute("VACUUM")
            self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return theirs, left

    @staticmethod
    def _taster_id(db: sqlite3.Connection, name: str | None) -> int | None:
        if not name:
            return None
        row = db.execute("SELECT id FROM taster WHERE name = ?", (name,)).fetchone()
        return int(row[0]) if row else insert(db, "taster", {"name": name})

    @staticmethod
    def _lot_id(db: sqlite3.Connection, code: str) -> int:
        rows = db.execute(
            "SELECT id, ingredient FROM lot WHERE code = ? OR ingredient || ':' || code = ?",
            (code, code),
        ).fetchall()
        if not rows:
            raise NothingFoundError(
                f"the journal has no lot {quoted(code)}; add it: pairing journal add lot"
            )
        if len(rows) > 1:
            names = ", ".join(f"{r['ingredient']}:{code}" for r in rows)
            raise PairingError(f"lot {quoted(code)} is one of several; say {names}")
        return int(rows[0]["id"])

    # --- reading --------------------------------------------------------------------------

    def search(
        self,
        text: str = "",
        *,
        kind: str | None = None,
        since: str | None = None,
        until: str | None = None,
        limit: int = 50,
    ) -> list[dict[str, Any]]:
        """Records that hold every word of a text, newest first.

        Parameters
        ----------
        text : str
        kind : str, optional
            ``batch``, ``tasting`` or ``lot``.
        since, until : str, optional
            Days, YYYY-MM-DD, both included.
        limit : int
            Most records.

        Returns
        -------
        list of dict
            With ``kind``, ``number`` and ``day``.

        Raises
        ------
        PairingError
            For an unknown kind, a limit outside 1 to 100000, or a day that is none.
        """
        if kind is not None and kind not in KINDS:
            raise PairingError(f"unknown kind {quoted(kind)}; one of {', '.join(KINDS)}")
        if not 1 <= limit <= 100_000:
            raise PairingError(f"a limit of {limit}; give 1 to 100000")
        words = [f"%{_escaped(w)}%" for w in text.split()]
        low, high = checked_day("since", since) or "", checked_day("until", until) or "9999"
        found: list[dict[str, Any]] = []
        for one in KINDS if kind is None else (kind,):
            table, day, haystack = VIEWS[one]
            where = [f"({haystack}) LIKE ? ESCAPE '!'"] * len(words)
            where += [f"coalesce({day}, '') >= ?", f"coalesce({day}, '') <= ?"]
            rows = self.rows(
                f"{table} WHERE {' AND '.join(where)} ORDER BY {day} DESC, x.id DESC LIMIT ?",
                [*words, low, high, limit],
            )
            found += [record_of(one, r) for r in rows]
        found.sort(key=lambda r: (r.get("day") or "", r["number"]), reverse=True)
        return found[:limit]

    def show(self, kind: str, number: int) -> dict[str, Any]:
        """Everything about one record.

        Parameters
        ----------
        kind : str
            ``batch``, ``tasting`` or ``lot``.
        number : int

        Returns
        -------
        dict

        Raises
        ------
        NothingFoundError
            When there is none.
        """
        if kind not in KINDS:
            raise PairingError(f"unknown kind {quoted(kind)}; one of {', '.join(KINDS)}")
        rows = self.rows(f"{VIEWS[kind][0]} WHERE x.id = ?", (number,))
        if not rows:
            raise NothingFoundError(f"the journal has no {kind} {number}")
        out = record_of(kind, rows[0])
        if kind == "batch":
            out["lots"] = [
                dict(r)
                for r in self.rows(
                    "SELECT ingredient, code, supplier, received_on, use_by FROM lot "
                    "JOIN batch_lot ON lot.id = lot_id WHERE batch_id = ? ORDER BY ingredient",
                    (number,),
                )
            ]
            out["tastings"] = [
                r["id"] for r in self.rows("SELECT id FROM tasting WHERE batch_id = ?", (number,))
            ]
        if kind != "lot":
            column = f"{kind}_id"
            out["photos"] = [
                r["path"]
                for r in self.rows(f"SELECT path FROM photo WHERE {column} = ?", (number,))
            ]
        return out

    def trace(self, code: str) -> dict[str, Any]:
        """From a lot to every batch and bottle that holds it.

        Parameters
        ----------
        code : str
            Of the lot.

        Returns
        -------
        dict
            ``code`` and ``lots``, each with its ``batches``.

        Raises
        ------
        NothingFoundError
            When no lot has this code.
        """
        lots = self.rows(
            "SELECT * FROM lot WHERE code = ? OR ingredient || ':' || code = ? ORDER BY ingredient",
            (code, code),
        )
        if not lots:
            raise NothingFoundError(f"the journal has no lot {quoted(code)}")
        out = []
        for lot in lots:
            batches = self.rows(
                "SELECT batch.id AS number, name, made_on, site, yield_g, bottles FROM batch "
                "JOIN batch_lot ON batch.id = batch_id WHERE lot_id = ? ORDER BY made_on, batch.id",
                (lot["id"],),
            )
            fields = {
                k: lot[k] for k in ("ingredient", "code", "supplier", "received_on", "use_by")
            }
            out.append({**fields, "batches": [dict(b) for b in batches]})
        return {"code": code, "lots": out}

    def tastings_of(
        self, batch: int | None = None, panel: str | None = None
    ) -> list[dict[str, Any]]:
        """Tastings with their doses, oldest first, for learning.

        Parameters
        ----------
        batch : int, optional
        panel : str, optional

        Returns
        -------
        list of dict
        """
        where: list[str] = ["1"]
        values: list[str | int] = []
        if batch is not None:
            where.append("x.batch_id = ?")
            values.append(batch)
        if panel is not None:
            where.append("x.panel = ?")
            values.append(panel)
        sql = f"{VIEWS['tasting'][0]} WHERE {' AND '.join(where)} ORDER BY x.tasted_on, x.id"
        return [record_of("tasting", r) for r in self.rows(sql, values)]

    def counts(self) -> dict[str, int]:
        """How many records of each kind.

        Returns
        -------
        dict of str to int
        """
        return {k: int(self.rows(f"SELECT count(*) FROM {k}")[0][0]) for k in KINDS}

    def sound(self) -> bool:
        """Whether SQLite finds the file whole."""
        return bool(self.rows("PRAGMA integrity_check")[0][0] == "ok")


# for each kind: the rows, the column of the day, and what a search looks through
VIEWS = {
    "batch": (
        "SELECT x.id, x.made_on AS day, x.uid, x.made_on, x.name, x.site, t.name AS who, x.formula,"
        " x.put_in_g, x.pot_g, x.yield_g, x.brix, x.ph, x.bottles, x.note FROM batch x"
        " LEFT JOIN taster t ON t.id = x.who",
        "x.made_on",
        "x.name || ' ' || coalesce(x.site, '') || ' ' || coalesce(t.name, '') || ' ' ||"
        " coalesce(x.note, '') || ' ' || coalesce(x.bottles, '') || ' ' || x.made_on",
    ),
    "tasting": (
        "SELECT x.id, x.tasted_on AS day, x.uid, x.tasted_on, x.trial, t.name AS taster,"
        " x.taster_id AS taster_number, x.batch_id AS batch, x.protocol, x.panel,"
        " x.sitting, x.liking, x.answer, x.doses, x.marks, x.note FROM tasting x"
        " LEFT JOIN taster t ON t.id = x.taster_id",
        "x.tasted_on",
        "x.trial || ' ' || coalesce(t.name, '') || ' ' || coalesce(x.protocol, '') || ' ' ||"
        " coalesce(x.panel, '') || ' ' || coalesce(x.doses, '') || ' ' || coalesce(x.note, '')"
        " || ' ' || x.tasted_on",
    ),
    "lot": (
        "SELECT x.id, x.received_on AS day, x.uid, x.ingredient, x.code, x.supplier,"
        " x.received_on, x.use_by, x.note FROM lot x",
        "x.received_on",
        "x.ingredient || ' ' || x.code || ' ' || coalesce(x.supplier, '') || ' ' ||"
        " coalesce(x.note, '')",
    ),
}


def insert(db: sqlite3.Connection, table: str, row: Mapping[str, Any]) -> int:
    """Insert a row; its number."""
    names = ", ".join(row)
    marks = ", ".join("?" * len(row))
    done = db.execute(f"INSERT INTO {table} ({names}) VALUES ({marks})", list(row.values()))
    assert done.lastrowid is not None
    return done.lastrowid


def _escaped(word: str) -> str:
    return word.replace("!", "!!").replace("%", "!%").replace("_", "!_")


def record_of(kind: str, row: sqlite3.Row) -> dict[str, Any]:
    """A row of :data:`VIEWS` as a record."""
    out = {"kind": kind, "number": row["id"], **dict(row)}
    del out["id"]
    for key in ("doses", "marks", "formula"):
        if out.get(key):
            out[key] = json.loads(out[key])
    return out
