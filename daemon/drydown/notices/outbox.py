"""The notices that must reach somebody, on disk before anything is sent, so that none is lost or sent twice.

A notice is one happening (its key); a delivery is one notice on one route. Not to be used by two threads at
once.
"""

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from drydown.effects import Priority
from drydown.errors import UserError

VERSION = 1
APPLICATION = 0x6472796E  # "dryn": marks the file as ours (PRAGMA application_id)

KEPT = 30 * 86_400.0  # s that finished notices are kept, so that they are known should they come again

TABLES = """
CREATE TABLE notice (
    key TEXT PRIMARY KEY,
    time REAL NOT NULL,         -- Unix s
    priority TEXT NOT NULL,
    title TEXT NOT NULL,
    body TEXT NOT NULL
) WITHOUT ROWID;
CREATE TABLE delivery (
    key TEXT NOT NULL REFERENCES notice (key),
    route TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'sent', 'expired')),
    PRIMARY KEY (key, route)
) WITHOUT ROWID;
"""


class OutboxError(UserError):
    """The outbox can't be used; the text says which file, why, and what to do."""


@dataclass(frozen=True, slots=True)
class Notice:
    """A message to somebody, in words. The same key is the same happening."""

    key: str
    time: float
    priority: Priority
    title: str
    body: str


class Outbox:
    """A small SQLite file of its own, so that a full or broken store can't stop a notice."""

    def __init__(self, path: Path) -> None:
        """Open it, or make it. Raises OutboxError."""
        self._path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._connection = sqlite3.connect(path, isolation_level=None, timeout=5, check_same_thread=False)
            self._prepare()
        except (OSError, sqlite3.Error) as error:
            raise self._failed(error) from error

    def close(self) -> None:
        """Let the file go."""
        self._connection.close()

    def add(self, notice: Notice, routes: Iterable[str]) -> bool:
        """Commit a notice and the routes that it must go. Returns False if its key is known already.

        Raises OutboxError.
        """
        try:
            with self._connection:
                self._connection.execute("BEGIN IMMEDIATE")
                known = self._connection.execute(
                    "INSERT INTO notice VALUES (?, ?, ?, ?, ?) ON CONFLICT (key) DO NOTHING",
                    (notice.key, notice.time, notice.priority, notice.title, notice.body),
                )
                if not known.rowcount:
                    return False
                self._connection.executemany(
                    "INSERT INTO delivery VALUES (?, ?, 'waiting')", [(notice.key, name) for name in routes]
                )
        except sqlite3.Error as error:
            raise self._failed(error) from error
        return True

    def waiting(self) -> list[tuple[str, Notice]]:
        """What is still to be sent: (route, notice), the oldest first. Raises OutboxError."""
        try:
            rows = self._connection.execute(
                "SELECT d.route, n.* FROM delivery d JOIN notice n USING (key) WHERE d.state = 'waiting'"
                " ORDER BY n.time, n.key"
            ).fetchall()
        except sqlite3.Error as error:
            raise self._failed(error) from error
        return [
            (route, Notice(key, time, Priority(priority), title, body))
            for route, key, time, priority, title, body in rows
        ]

    def finish(self, key: str, route: str, state: str) -> None:
        """A delivery is "sent" or "expired". Raises OutboxError."""
        try:
            self._connection.execute(
                "UPDATE delivery SET state = ? WHERE key = ? AND route = ?", (state, key, route)
            )
        except sqlite3.Error as error:
            raise self._failed(error) from error

    def forget_before(self, unix_time: float) -> None:
        """Drop notices of which nothing is waiting and that are older than this. Raises OutboxError."""
        try:
            with self._connection:
                self._connection.execute("BEGIN IMMEDIATE")
                old = (
                    "SELECT key FROM notice WHERE time < ?"
                    " AND key NOT IN (SELECT key FROM delivery WHERE state = 'waiting')"
                )
                self._connection.execute(f"DELETE FROM delivery WHERE key IN ({old})", (unix_time,))
                old = "time < ? AND key NOT IN (SELECT key FROM delivery)"
                self._connection.execute(f"DELETE FROM notice WHERE {old}", (unix_time,))
        except sqlite3.Error as error:
            raise self._failed(error) from error

    def _prepare(self) -> None:
        tables = self._connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
        application = self._connection.execute("PRAGMA application_id").fetchone()[0]
        version = self._connection.execute("PRAGMA user_version").fetchone()[0]
        if (tables and application != APPLICATION) or version > VERSION:
            raise OutboxError(
                f"{self._path}: this file is not an outbox of this drydown; move it aside, and a new one is"
                " made."
            )
        self._connection.execute("PRAGMA journal_mode = WAL")
        self._connection.execute("PRAGMA synchronous = FULL")
        if not tables:
            self._connection.executescript(
                f"BEGIN IMMEDIATE; {TABLES} PRAGMA application_id = {APPLICATION};"
                f" PRAGMA user_version = {VERSION}; COMMIT;"
            )

    def _failed(self, error: Exception) -> OutboxError:
        return OutboxError(
            f"{self._path}: the outbox can't be used ({error}); see that this user may write there and that"
            " the disk is not full."
        )
