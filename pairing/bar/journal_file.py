"""The journal's file: where it lives, its schema and migrations, and what SQLite says in words."""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from pairing.errors import NothingFoundError, PairingError, quoted

__all__ = ["MIGRATIONS", "VERSION", "connect", "default_path", "in_words"]

VERSION = 2
APPLICATION = 0x53595231  # of PRAGMA application_id: tells this file from other SQLite files
WAIT_MS = 5000  # for another writer
ENVIRONMENT = "PAIRING_JOURNAL"

MIGRATIONS = (
    # 1: batches and tastings
    """
    CREATE TABLE taster (id INTEGER PRIMARY KEY, name TEXT UNIQUE);
    CREATE TABLE batch (
        id INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE, made_on TEXT NOT NULL,
        name TEXT NOT NULL, site TEXT, who INTEGER REFERENCES taster(id),
        formula TEXT, put_in_g REAL, pot_g REAL, yield_g REAL, brix REAL, ph REAL, note TEXT);
    CREATE TABLE tasting (
        id INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE, tasted_on TEXT NOT NULL,
        batch_id INTEGER REFERENCES batch(id) ON DELETE SET NULL,
        trial TEXT NOT NULL, taster_id INTEGER REFERENCES taster(id),
        protocol TEXT, panel TEXT, sitting INTEGER, liking REAL, answer TEXT,
        doses TEXT, marks TEXT, note TEXT);
    CREATE TABLE photo (
        id INTEGER PRIMARY KEY, batch_id INTEGER REFERENCES batch(id) ON DELETE CASCADE,
        tasting_id INTEGER REFERENCES tasting(id) ON DELETE CASCADE, path TEXT NOT NULL);
    CREATE INDEX tasting_by_day ON tasting(tasted_on);
    CREATE INDEX tasting_by_batch ON tasting(batch_id);
    """,
    # 2: lots of ingredients, traced to batches and bottles
    """
    CREATE TABLE lot (
        id INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE, ingredient TEXT NOT NULL,
        code TEXT NOT NULL, supplier TEXT, received_on TEXT, use_by TEXT, note TEXT,
        UNIQUE (ingredient, code));
    CREATE TABLE batch_lot (
        batch_id INTEGER NOT NULL REFERENCES batch(id) ON DELETE CASCADE,
        lot_id INTEGER NOT NULL REFERENCES lot(id), PRIMARY KEY (batch_id, lot_id));
    ALTER TABLE batch ADD COLUMN bottles TEXT;
    CREATE INDEX tasting_by_panel ON tasting(panel);
    CREATE INDEX batch_by_lot ON batch_lot(lot_id);
    """,
)


def default_path() -> Path:
    """Where the journal lives: ``PAIRING_JOURNAL``, else the user's data folder."""
    said = os.environ.get(ENVIRONMENT)
    if said:
        return Path(said)
    import platformdirs

    return platformdirs.user_data_path("coffee-syrup-pairing", appauthor=False) / "journal.sqlite"


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """What SQLite says, in one line that tells what to do.

    Parameters
    ----------
    path : Path
        Named in the line.

    Returns
    -------
    None
        Nothing; errors of SQLite become a PairingError.

    Raises
    ------
    PairingError
        In place of any error of SQLite.
    """
    try:
        yield
    except sqlite3.Error as err:
        said = str(err)
        name = quoted(path.name or str(path))
        if "locked" in said or "busy" in said:
            line = f"journal {name} is in use by another program; nothing was written, try again"
        elif "full" in said:
            line = (
                f"no room left for journal {name}: nothing was written; free room and say it again"
            )
        elif "readonly" in said or "read-only" in said:
            line = f"journal {name} is read-only: nothing was written; free it or name another"
        elif "not a database" in said or "malformed" in said or "encrypted" in said:
            line = f"{name} is no journal, or is damaged; keep it, and name another or a copy"
        elif "unable to open" in said:
            line = f"cannot open journal {name}: its folder cannot be read or written"
        elif "disk I/O" in said:
            line = (
                f"the disk refused journal {name}: nothing was written; check its room and health"
            )
        else:
            line = f"journal {name}: {said}; nothing was written"
        raise PairingError(line) from None


def connect(path: str | os.PathLike[str] | None, write: bool) -> tuple[sqlite3.Connection, Path]:
    """The open file, of the newest schema.

    Parameters
    ----------
    path : path-like or None
        None: :func:`default_path`.
    write : bool
        False opens for reading alone, which also works on a read-only file.

    Returns
    -------
    (sqlite3.Connection, Path)

    Raises
    ------
    NothingFoundError
        When there is nothing to read yet.
    PairingError
        When it cannot be opened, is another file, or was written by a newer version.
    """
    place = Path(path) if path is not None else default_path()
    try:
        mode = place.stat().st_mode if place.exists() else None
        if mode is not None and not stat.S_ISREG(mode):
            raise PairingError(f"{quoted(place.name)} is a folder or device; name a file")
        if mode is None and not write:
            raise NothingFoundError(
                f"no journal at {quoted(place)} yet; begin it with: pairing journal add"
            )
        if mode is None:
            place.parent.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as err:
        if isinstance(err, PairingError):
            raise
        said = getattr(err, "strerror", None) or str(err)
        raise PairingError(f"cannot open journal {quoted(place)}: {said}") from None
    with in_words(place):
        connection = _connect(place, write)
        try:
            _ready(connection, place, write)
        except BaseException:
            connection.close()
            raise
    return connection, place


def _connect(place: Path, write: bool) -> sqlite3.Connection:
    address = place.absolute().as_uri()
    if write:
        return sqlite3.connect(place, isolation_level=None, timeout=WAIT_MS / 1000)
    try:
        found = sqlite3.connect(f"{address}?mode=ro", uri=True, isolation_level=None)
        found.execute("PRAGMA user_version").fetchone()
        found.execute("SELECT count(*) FROM sqlite_master").fetchone()
        return found
    except sqlite3.OperationalError as err:
        if "locked" in str(err):
            raise
        # a write-ahead log needs its side files; where none can be made, the file stands still
        return sqlite3.connect(f"{address}?immutable=1", uri=True, isolation_level=None)


def _ready(connection: sqlite3.Connection, place: Path, write: bool) -> None:
    """Settings, recognition and migrations."""
    connection.row_factory = sqlite3.Row
    connection.execute(f"PRAGMA busy_timeout = {WAIT_MS}")
    connection.execute("PRAGMA foreign_keys = ON")
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    ours = int(connection.execute("PRAGMA application_id").fetchone()[0]) == APPLICATION
    holds = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] > 0
    if holds and not ours:
        raise PairingError(f"{quoted(place.name)} is another program's file; name another one")
    if version > VERSION:
        raise PairingError(
            f"journal {quoted(place.name)} was written by a newer version ({version}, this one "
            f"knows {VERSION}); update this program"
        )
    if not write:
        if version < VERSION:
            raise PairingError(
                f"journal {quoted(place.name)} is of version {version} and needs to be brought to "
                f"{VERSION}; write to it once"
            )
        return
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA secure_delete = ON")
    if version < VERSION:
        connection.execute("BEGIN IMMEDIATE")
        try:
            version = int(connection.execute("PRAGMA user_version").fetchone()[0])
            for step in MIGRATIONS[version:]:
                for statement in step.split(";"):
                    if statement.strip():
                        connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {APPLICATION}")
            connection.execute(f"PRAGMA user_version = {VERSION}")
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise
