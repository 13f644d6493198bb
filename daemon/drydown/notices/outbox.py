"""The notices that must reach somebody, on disk before anything is sent, so that none is lost or sent twice.

A notice is one happening (its key); a delivery is one notice on one route. That a delivery is being sent is
written down before it is: one found so after a restart may have arrived, or not. Threads may share an outbox.
"""

import sqlite3
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from drydown.clock import UNKNOWN_BOOT, Moment
from drydown.effects import Priority
from drydown.errors import UserError

VERSION = 3
APPLICATION = 0x6472796E  # "dryn": marks the file as ours (PRAGMA application_id)

KEPT = 30 * 86_400.0  # s that finished notices are kept, so that they are known should they come again

TABLES = """
CREATE TABLE notice (
    key TEXT PRIMARY KEY,
    time REAL NOT NULL,         -- Unix s
    priority TEXT NOT NULL,
    title TEXT NOT NULL,
    body TEXT NOT NULL,
    about TEXT NOT NULL,        -- TANK/ALARM, or empty
    repeats INTEGER NOT NULL,   -- until it is settled
    settled INTEGER NOT NULL,   -- what it is about has changed, or somebody has seen it
    boot TEXT NOT NULL,         -- the start of the board in which it happened
    uptime REAL NOT NULL,       -- s from that start
    kept INTEGER NOT NULL       -- somebody kept the wall clock right
) WITHOUT ROWID;
CREATE TABLE delivery (
    key TEXT NOT NULL REFERENCES notice (key),
    route TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'sending', 'sent', 'expired')),
    times INTEGER NOT NULL,     -- that it was taken
    PRIMARY KEY (key, route)
) WITHOUT ROWID;
"""

# Version 2 had no boot clock, version 1 neither subjects nor repeats
SUBJECT = {1: "'', 0, 0", 2: "about, repeats, settled"}
TIMES = {1: "state = 'sent'", 2: "times"}


def _from(version: int) -> str:
    """The step from an older shape."""
    return f"""
ALTER TABLE notice RENAME TO old_notice;
ALTER TABLE delivery RENAME TO old_delivery;
{TABLES}
INSERT INTO notice
    SELECT key, time, priority, title, body, {SUBJECT[version]}, '{UNKNOWN_BOOT}', 0, 0 FROM old_notice;
INSERT INTO delivery SELECT key, route, state, {TIMES[version]} FROM old_delivery;
DROP TABLE old_delivery;
DROP TABLE old_notice;
"""


OPEN = "(d.state IN ('waiting', 'sending') OR (d.state = 'sent' AND n.repeats AND NOT n.settled))"


class OutboxError(UserError):
    """The outbox can't be used; the text says which file, why, and what to do."""


@dataclass(frozen=True, slots=True)
class Notice:
    """A message to somebody, in words. The same key is the same happening.

    `about` is TANK/ALARM: a newer notice about the same settles this one. One that `repeats` is sent again
    and again until it is settled.
    """

    key: str
    time: float
    priority: Priority
    title: str
    body: str
    about: str = ""
    repeats: bool = False


@dataclass(frozen=True, slots=True)
class Delivery:
    """A notice that is still to be sent on a route, and what is known of it."""

    route: str
    notice: Notice
    times: int  # that it was taken
    unsure: bool  # it was being sent when the watcher ended, or its answer was lost
    settled: bool
    happened: Moment


class Outbox:
    """A small SQLite file of its own, so that a full or broken store can't stop a notice.

    Every method may raise OutboxError.
    """

    def __init__(self, path: Path) -> None:
        """Open it, or make it."""
        self._path = path
        self._lock = threading.Lock()
        self._connection: sqlite3.Connection | None = None
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._connect()
        except (OSError, sqlite3.Error) as error:
            raise self._failed(error) from error

    def close(self) -> None:
        """Let the file go."""
        with self._lock:
            self._disconnect()

    def add(self, notice: Notice, routes: Iterable[str], happened: Moment) -> bool:
        """Commit a notice and the routes that it must go. Returns False if its key is known already."""
        row = (notice.key, notice.time, notice.priority, notice.title, notice.body, notice.about)
        clocks = (happened.boot, happened.uptime, happened.kept)
        with self._transaction() as connection:
            known = connection.execute(
                "INSERT INTO notice VALUES (?, ?, ?, ?, ?, ?, ?, 0, ?, ?, ?) ON CONFLICT (key) DO NOTHING",
                (*row, notice.repeats, *clocks),
            )
            if not known.rowcount:
                return False
            connection.execute(
                "UPDATE notice SET settled = 1 WHERE about = ? AND about != '' AND key != ?",
                (notice.about, notice.key),
            )
            connection.executemany(
                "INSERT INTO delivery VALUES (?, ?, 'waiting', 0)", [(notice.key, name) for name in routes]
            )
        return True

    def knows(self, subject: str, time: float, within: float) -> bool:
        """Whether a notice is known whose key is SUBJECT/TIME, with a time no further off than that (s)."""
        with self._transaction() as connection:
            keys = connection.execute(
                "SELECT key FROM notice WHERE key > ? AND key < ?", (f"{subject}/", f"{subject}0")
            ).fetchall()  # "0" comes after "/"
        times = [key.removeprefix(f"{subject}/") for (key,) in keys]
        return any(abs(float(at) - time) <= within for at in times if "/" not in at)

    def settle(self, about: str) -> None:
        """Nothing is to be said any more of what was told about this."""
        with self._transaction() as connection:
            connection.execute("UPDATE notice SET settled = 1 WHERE about = ? AND NOT settled", (about,))

    def unsettled(self) -> list[str]:
        """What repeated notices are about that nothing has settled."""
        with self._transaction() as connection:
            rows = connection.execute("SELECT about FROM notice WHERE repeats AND NOT settled").fetchall()
        return [about for (about,) in rows]

    def open(self) -> list[Delivery]:
        """What is still to be sent, the oldest first."""
        with self._transaction() as connection:
            rows = connection.execute(
                "SELECT d.route, d.times, d.state, n.key, n.time, n.priority, n.title, n.body, n.about,"
                " n.repeats, n.settled, n.boot, n.uptime, n.kept"
                f" FROM delivery d JOIN notice n USING (key) WHERE {OPEN}"
                " ORDER BY n.time, n.key"
            ).fetchall()
        return [
            Delivery(
                route,
                Notice(key, time, Priority(priority), title, body, about, bool(repeats)),
                times,
                state == "sending",
                bool(settled),
                Moment(boot, uptime, time, bool(kept)),
            )
            for (
                route,
                times,
                state,
                key,
                time,
                priority,
                title,
                body,
                about,
                repeats,
                settled,
                boot,
                uptime,
                kept,
            ) in rows
        ]

    def begin(self, keys: Iterable[str], route: str) -> None:
        """These are about to be sent."""
        self._set("state = 'sending'", keys, route)

    def refused(self, keys: Iterable[str], route: str) -> None:
        """They certainly have not arrived."""
        self._set("state = 'waiting'", keys, route)

    def sent(self, keys: Iterable[str], route: str) -> None:
        """They were taken."""
        self._set("state = 'sent', times = times + 1", keys, route)

    def expired(self, keys: Iterable[str], route: str) -> None:
        """They will not be sent."""
        self._set("state = 'expired'", keys, route)

    def forget_before(self, unix_time: float) -> None:
        """Drop notices of which nothing is to be sent and that are older than this."""
        with self._transaction() as connection:
            old = (
                "SELECT n.key FROM notice n WHERE n.time < ? AND n.key NOT IN"
                f" (SELECT d.key FROM delivery d JOIN notice n USING (key) WHERE {OPEN})"
            )
            connection.execute(f"DELETE FROM delivery WHERE key IN ({old})", (unix_time,))
            unsent = "time < ? AND key NOT IN (SELECT key FROM delivery)"
            connection.execute(f"DELETE FROM notice WHERE {unsent}", (unix_time,))

    def _set(self, what: str, keys: Iterable[str], route: str) -> None:
        with self._transaction() as connection:
            connection.executemany(
                f"UPDATE delivery SET {what} WHERE key = ? AND route = ?", [(key, route) for key in keys]
            )

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        with self._lock:
            try:
                with self._connect() as connection:
                    connection.execute("BEGIN IMMEDIATE")
                    yield connection
            except sqlite3.Error as error:
                self._disconnect()  # where the file could only be opened for reading, say, it stays so
                raise self._failed(error) from error

    def _connect(self) -> sqlite3.Connection:
        """The file, opened anew after trouble."""
        if self._connection is None:
            self._connection = sqlite3.connect(
                self._path, isolation_level=None, timeout=5, check_same_thread=False
            )
            try:
                self._prepare(self._connection)
            except (OutboxError, sqlite3.Error):
                self._disconnect()
                raise
        return self._connection

    def _disconnect(self) -> None:
        if self._connection:
            self._connection.close()
        self._connection = None

    def _prepare(self, connection: sqlite3.Connection) -> None:
        tables = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
        application = connection.execute("PRAGMA application_id").fetchone()[0]
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        if (tables and application != APPLICATION) or version > VERSION:
            raise OutboxError(
                f"{self._path}: this file is not an outbox of this drydown; move it aside, and a new one is"
                " made."
            )
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        if version < VERSION:
            connection.executescript(
                f"BEGIN IMMEDIATE; {_from(version) if tables else TABLES}"
                f" PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {VERSION}; COMMIT;"
            )

    def _failed(self, error: Exception) -> OutboxError:
        return OutboxError(
            f"{self._path}: the outbox can't be used ({error}); see that this user may write there and that"
            " the disk is not full."
        )
