"""Lists which stretches of time came into the store, in order of arrival: for whoever sends it on.

A reading has no order of arrival of its own: it is kept by its time, may come late, be judged later, or be
moved when a clock is set. So each commit adds a row for each tank that something came in of. Only while the
list is not kept it is empty: an empty one shows that something may be missing from it.
"""

import sqlite3
from collections.abc import Iterable

MOST = 500_000  # rows; a longer list is forgotten, and then everything is to be sent anew
NEAR = 60_000  # ms; stretches that lie no farther apart are listed as one

Span = tuple[str, int, int]
"""tank, first and last Unix time in milliseconds, both inside"""
Row = tuple[int, str, int, int]
"""number in the list, and a span"""

BEGINNING = "INSERT INTO arrived (tank, first, last) VALUES ('', 0, -1)"
"""From here on all that comes is listed."""


def merged(spans: Iterable[Span]) -> list[Span]:
    """The same time with as few spans as can be, by tank and time."""
    found: list[Span] = []
    for tank, first, last in sorted(spans):
        if first > last:
            continue
        if found and found[-1][0] == tank and first - found[-1][2] <= NEAR:
            found[-1] = tank, found[-1][1], max(last, found[-1][2])
        else:
            found.append((tank, first, last))
    return found


def list_nothing(connection: sqlite3.Connection) -> None:
    """Keep the list no longer. Raises sqlite3.Error."""
    if connection.execute("SELECT 1 FROM arrived LIMIT 1").fetchone():
        connection.execute("DELETE FROM arrived")


class Arrivals:
    """Keeps the list. `write` happens in the transaction that its owner has begun."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        """Raises sqlite3.Error."""
        self._connection = connection
        self._spans: list[Span] = []
        self.sent: Row | None = None  # up to this row everything was sent on
        if not connection.execute("SELECT 1 FROM arrived LIMIT 1").fetchone():
            connection.execute(BEGINNING)

    def note(self, tank: str, times: Iterable[int]) -> None:
        """What comes with the next commit; times in Unix ms."""
        moments = list(times)
        if moments:
            self._spans.append((tank, min(moments), max(moments)))

    def note_spans(self, spans: Iterable[Span]) -> None:
        """Where something is another with the next commit."""
        self._spans.extend(spans)

    def write(self) -> None:
        """List what was noted, and forget what was sent on. Raises sqlite3.Error."""
        spans = merged(self._spans)
        self._spans = []
        if spans:
            self._connection.executemany("INSERT INTO arrived (tank, first, last) VALUES (?, ?, ?)", spans)
        if self.sent:  # its own row stays: it shows that list and sender speak of the same store
            self._connection.execute(
                "DELETE FROM arrived WHERE id < ?1 AND EXISTS"
                " (SELECT 1 FROM arrived WHERE id = ?1 AND tank = ?2 AND first = ?3 AND last = ?4)",
                self.sent,
            )
            self.sent = None
        first, last = self._connection.execute(
            "SELECT (SELECT min(id) FROM arrived), (SELECT max(id) FROM arrived)"
        ).fetchone()
        if last - first >= MOST:
            self._connection.execute("DELETE FROM arrived")
            self._connection.execute(BEGINNING)
