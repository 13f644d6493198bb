"""The shape of the SQLite store, and how one is opened: made when absent, refused when it is not ours."""

import errno
import logging
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryFile

from drydown.errors import UserError
from drydown.store.migrate import migrate

VERSION = 5  # `migrate` knows the way from each earlier one
APPLICATION = 0x64727964  # "dryd": marks the file as ours (PRAGMA application_id)

COMMIT_AFTER = 5.0  # s: readings are committed at least this often, which is also what a power cut may cost

PAGE = 1024  # bytes: a commit writes a page for each series, so that small ones spare the SD card by half
LONGEST_LOG = 4000  # pages of the log before they go into the store: many a page is written over meanwhile

QUALITIES = ("good", "doubtful", "bad")
"""`reading.quality` is an index into these; NULL is good, as nearly all are."""

TABLES = """
CREATE TABLE series (
    id INTEGER PRIMARY KEY,
    tank TEXT NOT NULL,
    name TEXT NOT NULL,
    unit TEXT,                      -- SenML symbol; values are kept in the unit they were sent in
    kind TEXT NOT NULL CHECK (kind IN ('number', 'boolean', 'text')),
    UNIQUE (tank, name)
);
CREATE TABLE reading (
    series INTEGER NOT NULL REFERENCES series (id),
    time INTEGER NOT NULL,          -- Unix time in milliseconds
    value REAL,                     -- a boolean is 0 or 1; NULL when the probe gave none
    text TEXT,
    quality INTEGER,
    reason TEXT,
    clock INTEGER NOT NULL DEFAULT 0,   -- that the time is by; two starts of a board may count alike
    PRIMARY KEY (series, time, clock)
) WITHOUT ROWID;
CREATE TABLE event (
    id INTEGER PRIMARY KEY,
    tank TEXT NOT NULL,
    kind TEXT NOT NULL,
    time INTEGER NOT NULL,          -- Unix time in milliseconds
    key TEXT NOT NULL UNIQUE,       -- the same happening has the same key, however often it is sent
    body TEXT NOT NULL,             -- JSON
    clock INTEGER NOT NULL DEFAULT 0    -- that the time is by
);
CREATE INDEX event_when ON event (tank, time);
CREATE TABLE clock (                -- what a board's clock knew of one start of it: see timeline.Mark
    id INTEGER PRIMARY KEY,         -- 0, which stands here never, is a time that nobody doubts
    tank TEXT NOT NULL,
    boot TEXT NOT NULL,
    "offset" INTEGER NOT NULL,      -- milliseconds, as all of these
    at INTEGER NOT NULL,
    since INTEGER NOT NULL,
    sure INTEGER NOT NULL           -- 0: taken before anybody set the clock
);
CREATE TABLE recorded (
    tank TEXT PRIMARY KEY,
    batch INTEGER NOT NULL          -- every batch up to this one is in the store
) WITHOUT ROWID;
CREATE TABLE thinned (              -- see store/thin.py
    series INTEGER PRIMARY KEY REFERENCES series (id),
    until INTEGER NOT NULL          -- Unix time in milliseconds: what is older was thinned once
);
CREATE TABLE arrived (              -- see store/arrived.py
    id INTEGER PRIMARY KEY AUTOINCREMENT,   -- so that a number never comes again
    tank TEXT NOT NULL,
    first INTEGER NOT NULL,         -- Unix time in milliseconds
    last INTEGER NOT NULL
);
CREATE TABLE summary (              -- see store/summary.py
    series INTEGER NOT NULL REFERENCES series (id),
    time INTEGER NOT NULL,          -- Unix time in milliseconds at which its eight seconds begin
    count INTEGER NOT NULL,
    total REAL NOT NULL,
    low REAL NOT NULL,
    high REAL NOT NULL,
    PRIMARY KEY (series, time)
) WITHOUT ROWID;
CREATE TABLE summarised (
    series INTEGER PRIMARY KEY REFERENCES series (id),
    until INTEGER NOT NULL,         -- Unix time in milliseconds: every good reading before it is in `summary`
    renewed INTEGER NOT NULL        -- how often any of it was summed up anew
);
"""


log = logging.getLogger(__name__)


class StoreError(UserError):
    """The store can't be used; the text says which file, why, and what to do."""


def open_for_writing(path: Path) -> sqlite3.Connection:
    """The recorder's connection. Raises StoreError.

    synchronous=FULL: with NORMAL a power cut would take back commits that the watcher was already told of.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(path, isolation_level=None, timeout=10, check_same_thread=False)
    except (OSError, sqlite3.Error) as error:
        raise StoreError(f"{path}: the store can't be opened ({error}); {_mend(path)}") from error
    with _closed_on_trouble(connection, path):
        _prepare(connection, path)
    return connection


def open_for_reading(path: Path) -> sqlite3.Connection:
    """A connection that can't change anything. Raises StoreError."""
    if not path.exists():
        raise StoreError(f"{path}: there is no store yet; it is made when `drydown record` first runs.")
    connection = _read_only(path)
    with _closed_on_trouble(connection, path):
        _check_ours(connection, path)
        version = _pragma(connection, "user_version")
        if version == 0:
            raise StoreError(f"{path}: there is nothing in the store yet; `drydown record` fills it.")
        if version < VERSION:
            raise StoreError(f"{path}: the store is of an older drydown; start `drydown record` once.")
    return connection


def open_to_check(path: Path) -> sqlite3.Connection:
    """As `open_for_reading`, to a store of this version or an older one. Raises StoreError."""
    if not path.is_file():
        raise StoreError(f"{path}: there is no such file.")
    connection = _read_only(path)
    with _closed_on_trouble(connection, path):
        _check_ours(connection, path)
        if _pragma(connection, "user_version") == 0:
            raise StoreError(f"{path}: there is nothing in it, so it is no store of drydown.")
    return connection


def _read_only(path: Path) -> sqlite3.Connection:
    try:
        return sqlite3.connect(
            f"{path.absolute().as_uri()}?mode=ro",
            uri=True,
            isolation_level=None,
            timeout=5,
            check_same_thread=False,
        )
    except sqlite3.Error as error:
        raise StoreError(f"{path}: the store can't be opened ({error}); {_mend(path)}") from error


def explain(error: sqlite3.Error, path: Path) -> str:
    """One sentence for what SQLite said: what happened, and what to do."""
    name = getattr(error, "sqlite_errorname", "")
    if name.startswith("SQLITE_FULL"):
        return f"{path}: the disk is full, so nothing more can be recorded; free some space on it."
    if name.startswith(("SQLITE_READONLY", "SQLITE_IOERR", "SQLITE_CANTOPEN")) and _is_read_only(path.parent):
        return (
            f"{path}: its disk is read-only, so nothing more can be recorded; a card that turned so is mostly"
            " worn out: copy the record from it and replace it."
        )
    if name.startswith(("SQLITE_READONLY", "SQLITE_PERM", "SQLITE_AUTH")):
        return f"{path}: the store can't be written; give this user the right to write it and its folder."
    if name.startswith("SQLITE_NOTADB"):
        return f"{path}: this file is not a drydown store; name another file under [store] path."
    if name.startswith("SQLITE_CORRUPT"):
        return f"{path}: the store is damaged; `drydown record` sets it aside and begins a new one."
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return f"{path}: another program holds the store; end it, or name another file under [store] path."
    return f"{path}: the store does not work ({error}); {_mend(path)}"


def _is_read_only(folder: Path) -> bool:
    """By trying: a file system that turned so after an error does not always say so of itself."""
    try:
        with TemporaryFile(dir=folder):
            return False
    except OSError as error:
        return error.errno == errno.EROFS


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Whatever SQLite finds wrong leaves as a StoreError."""
    try:
        yield
    except sqlite3.Error as error:
        raise StoreError(explain(error, path)) from error


@contextmanager
def _closed_on_trouble(connection: sqlite3.Connection, path: Path) -> Iterator[None]:
    """Whatever SQLite finds wrong leaves as a StoreError, and the connection closed."""
    try:
        with explained(path):
            yield
    except StoreError:
        connection.close()
        raise


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    _check_ours(connection, path)
    connection.execute(f"PRAGMA page_size = {PAGE}")  # of a new store; an older one keeps its own
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute(f"PRAGMA wal_autocheckpoint = {LONGEST_LOG}")
    connection.execute("PRAGMA synchronous = FULL")
    version = _pragma(connection, "user_version")
    if 0 < version < VERSION:
        log.info(
            "%s: brought from version %d to %d of the store; a large one takes minutes",
            path,
            version,
            VERSION,
        )
        migrate(connection, version)
    if version == 0:
        connection.executescript(
            f"BEGIN IMMEDIATE; {TABLES} PRAGMA application_id = {APPLICATION};"
            f" PRAGMA user_version = {VERSION}; COMMIT;"
        )


def _check_ours(connection: sqlite3.Connection, path: Path) -> None:
    version = _pragma(connection, "user_version")
    tables = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    if _pragma(connection, "application_id") != APPLICATION and (version or tables):
        raise StoreError(
            f"{path}: this file is a database, but not a drydown store; name another file under [store] path."
        )
    if version > VERSION:
        raise StoreError(
            f"{path}: the store was made by a newer drydown (version {version}, this one knows {VERSION});"
            " install the newer drydown again."
        )


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def _mend(path: Path) -> str:
    return f"see that the folder {path.parent} exists and that this user may write there."
