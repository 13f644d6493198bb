"""What each eight seconds of a series came to, so that hours of it are thinned without reading each second.

Every good reading before a series' `until` counts in its summaries, and none after it. Whatever adds, judges,
moves or thins readings renews them in the same transaction. Words have none, and neither have estimates,
which come once a minute.
"""

import sqlite3
from collections.abc import Iterable, Sequence
from typing import Any

PIECE = 8_000  # ms that one summary stands for
STRETCH = 8 * PIECE  # ms: summed up whole, so that no page of the store is written anew with each commit
AT_ONCE = 6 * 3_600_000  # ms of a series that one commit sums up at most: an older store has none of it

GOOD = "value IS NOT NULL AND quality IS NOT 2"

SUM_UP = f"""
INSERT INTO summary (series, time, count, total, low, high)
SELECT :series, piece, count(value), sum(value), min(value), max(value) FROM (
    SELECT time - (time % {PIECE} + {PIECE}) % {PIECE} AS piece, value FROM reading
    WHERE series = :series AND time >= :first AND time < :end AND {GOOD}
) GROUP BY piece
"""
HAVE_ONE = "SELECT id FROM series WHERE kind <> 'text' AND name NOT LIKE 'estimate/%'"


def until(connection: sqlite3.Connection, series: int) -> int | None:
    """Before which Unix time (ms) a series is summed up; None where it is not."""
    found = connection.execute("SELECT until FROM summarised WHERE series = ?", (series,)).fetchone()
    return None if found is None else int(found[0])


def renew(connection: sqlite3.Connection, series: int, first: int, last: int) -> None:
    """Sum up anew what was summed up already from `first` to `last` (Unix ms, both inside)."""
    summed_up = until(connection, series)
    first -= first % PIECE
    end = min(last - last % PIECE + PIECE, first if summed_up is None else summed_up)
    if first < end:
        span = {"series": series, "first": first, "end": end}
        connection.execute(
            "DELETE FROM summary WHERE series = :series AND time >= :first AND time < :end", span
        )
        connection.execute(SUM_UP, span)
        connection.execute("UPDATE summarised SET renewed = renewed + 1 WHERE series = ?", (series,))


class Summaries:
    """Keeps them. `write` happens in the transaction that its owner has begun."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._stretches: set[tuple[int, int]] = set()
        self._spans: list[tuple[str, int, int]] = []

    def note(self, rows: Iterable[Sequence[Any]]) -> None:
        """What is another after this transaction: rows that begin with series, clock and Unix time in ms."""
        self._stretches.update((row[0], row[2] // STRETCH) for row in rows)

    def note_spans(self, spans: Iterable[tuple[str, int, int]]) -> None:
        """Where all of a tank may be another: tank, first and last Unix time in ms."""
        self._spans.extend(spans)

    def write(self) -> None:
        """Bring the summaries up to what was noted. Raises sqlite3.Error."""
        have_one = {series for (series,) in self._connection.execute(HAVE_ONE)}
        for tank, first, last in self._spans:
            for (series,) in self._connection.execute(f"{HAVE_ONE} AND tank = ?", (tank,)).fetchall():
                renew(self._connection, series, first, last)
        stretches = sorted(one for one in self._stretches if one[0] in have_one)
        for series, nth in stretches:
            renew(self._connection, series, nth * STRETCH, (nth + 1) * STRETCH - 1)
        for series in {series for series, _ in stretches}:
            self._go_on(series)
        self._stretches.clear()
        self._spans.clear()

    def _go_on(self, series: int) -> None:
        """Sum up the whole stretches that came; take back what a clock that ran ahead had come to."""
        (newest,) = self._connection.execute(
            "SELECT max(time) FROM reading WHERE series = ?", (series,)
        ).fetchone()
        if newest is None:
            return
        summed_up, end = until(self._connection, series), newest - newest % STRETCH
        if summed_up is not None and end < summed_up:
            self._connection.execute("DELETE FROM summary WHERE series = ? AND time >= ?", (series, end))
        elif summed_up is None or summed_up < end:
            (oldest,) = self._connection.execute(
                "SELECT min(time) FROM reading WHERE series = ? AND time >= ?",
                (series, -(2**62) if summed_up is None else summed_up),
            ).fetchone()
            first = oldest - oldest % STRETCH
            end = min(end, first + AT_ONCE)
            self._connection.execute(SUM_UP, {"series": series, "first": first, "end": end})
        self._connection.execute(
            "INSERT INTO summarised (series, until, renewed) VALUES (?, ?, 0)"
            " ON CONFLICT (series) DO UPDATE SET until = excluded.until WHERE until <> excluded.until",
            (series, end),
        )
