"""When something that is on or off, or a word, became another: a few rows out of thousands of readings."""

import sqlite3

from drydown.store.series import MILLISECONDS

Told = float | str | None

SILENCE = 180.0  # s without a reading after which nothing is known

QUERY = """
SELECT time, told, earlier, before FROM (
    SELECT time, told, lag(time) OVER past AS earlier, lag(told) OVER past AS before FROM (
        SELECT time, CASE WHEN ifnull(quality, 0) < 2 THEN coalesce(text, value) END AS told FROM reading
        WHERE time BETWEEN ? AND ? AND series = (SELECT id FROM series WHERE tank = ? AND name = ?)
    ) WINDOW past AS (ORDER BY time)
) WHERE earlier IS NULL OR told IS NOT before OR time - earlier > ? ORDER BY time
"""


def turns(
    connection: sqlite3.Connection, tank: str, name: str, span: tuple[int, int]
) -> list[tuple[float, Told]]:
    """What a series told, each with the Unix time (s) from which on; None where nothing can be told.

    `span` in Unix milliseconds.
    """
    found: list[tuple[float, Told]] = []
    rows = connection.execute(QUERY, (*span, tank, name, SILENCE * MILLISECONDS))
    for time, told, earlier, before in rows:
        if earlier is not None and before is not None and time - earlier > SILENCE * MILLISECONDS:
            found.append((earlier / MILLISECONDS, None))
        if not found or found[-1][1] != told:
            found.append((time / MILLISECONDS, told))
    return found
