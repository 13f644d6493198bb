"""Thins old raw readings to one a minute and its extremes; events and estimates are never touched.

Of a minute the first reading stays, and with it the lowest and the highest where they are others: no value is
made up, and no extreme is lost. Of what is on or off, or a word, every change stays too. Readings that are
doubtful or bad are thinned apart from good ones, so that each minute still says so. What a clock labelled
that nobody had set yet is left alone: how old it is is not known.

Thinned anew, the same rows stay. How far each series has come is committed with what was deleted.
"""

import sqlite3
from dataclasses import dataclass

from drydown.store.summary import renew

HOUR, DAY = 3_600_000, 86_400_000  # ms
KEPT_WHOLE = "estimate/"  # what these begin with is said once a minute as it is

UNDOUBTED = "clock NOT IN (SELECT id FROM clock WHERE NOT sure)"
ALIKE = "PARTITION BY time / 60000, clock, quality, reason, value IS NULL"

NUMBERS = f"""
DELETE FROM reading WHERE series = :series AND time >= :first AND time < :end AND (time, clock) IN (
    SELECT time, clock FROM (
        SELECT time, clock, row_number() OVER ({ALIKE} ORDER BY time) AS nth,
            row_number() OVER ({ALIKE} ORDER BY value, time) AS lowest,
            row_number() OVER ({ALIKE} ORDER BY value DESC, time) AS highest
        FROM reading WHERE series = :series AND time >= :first AND time < :end AND {UNDOUBTED}
    ) WHERE nth > 1 AND lowest > 1 AND highest > 1
)
"""
STATES = f"""
DELETE FROM reading WHERE series = :series AND time >= :first AND time < :end AND (time, clock) IN (
    SELECT time, clock FROM (
        SELECT time, clock, value, text, quality, reason, row_number() OVER ({ALIKE} ORDER BY time) AS nth,
            lag(value) OVER past AS value_before, lag(text) OVER past AS text_before,
            lag(quality) OVER past AS quality_before
        FROM reading WHERE series = :series AND time >= :first AND time < :end AND {UNDOUBTED}
        WINDOW past AS (ORDER BY time, clock)
    ) WHERE nth > 1 AND value IS value_before AND text IS text_before AND quality IS quality_before
)
"""
NEXT = f"""
SELECT s.id, s.kind, (
    SELECT min(time) FROM reading WHERE series = s.id AND time >= ifnull(t.until, -9e15)
) AS oldest
FROM series s LEFT JOIN thinned t ON t.series = s.id
WHERE s.name NOT LIKE '{KEPT_WHOLE}%' AND oldest < ? ORDER BY oldest LIMIT 1
"""


@dataclass(frozen=True, slots=True)
class Thinned:
    """What one step did: how many readings went, and whether any older ones are left to be thinned."""

    deleted: int
    is_done: bool


def thin_an_hour(connection: sqlite3.Connection, before: int) -> Thinned:
    """Thin the oldest whole hour of one series that ends by `before` (Unix ms), inside an open transaction.

    Raises sqlite3.Error.
    """
    before -= before % HOUR
    found = connection.execute(NEXT, (before,)).fetchone()
    if found is None:
        return Thinned(0, is_done=True)
    series, kind, oldest = found
    first = oldest - oldest % HOUR
    span = {"series": series, "first": first, "end": first + HOUR}
    deleted = connection.execute(NUMBERS if kind == "number" else STATES, span).rowcount
    renew(connection, series, first, first + HOUR - 1)
    connection.execute(
        "INSERT INTO thinned (series, until) VALUES (?, ?)"
        " ON CONFLICT (series) DO UPDATE SET until = excluded.until",
        (series, first + HOUR),
    )
    return Thinned(deleted, is_done=False)


def newest(connection: sqlite3.Connection) -> int | None:
    """When the last reading was by the clocks that labelled them (Unix ms). Raises sqlite3.Error."""
    (time,) = connection.execute(
        "SELECT max((SELECT max(time) FROM reading WHERE series = series.id)) FROM series"
    ).fetchone()
    return None if time is None else int(time)
