"""When something that is on or off, or a word, became another: a few rows out of thousands of readings."""

import math
import sqlite3

from drydown.store.series import MILLISECONDS

Told = float | str | None

SILENCE = 180.0  # s without a reading after which nothing is known

QUERY = """
SELECT time, CASE WHEN ifnull(quality, 0) < 2 THEN coalesce(text, value) END FROM reading
WHERE time BETWEEN ? AND ? AND series = (SELECT id FROM series WHERE tank = ? AND name = ?) ORDER BY time
"""


def turns(
    connection: sqlite3.Connection, tank: str, name: str, span: tuple[int, int]
) -> list[tuple[float, Told]]:
    """What a series told, each with the Unix time (s) from which on; None where nothing can be told.

    `span` in Unix milliseconds.
    """
    found: list[tuple[float, Told]] = []
    before: Told = None
    earlier = math.inf
    for time, told in connection.execute(QUERY, (*span, tank, name)):
        if before is not None and time - earlier > SILENCE * MILLISECONDS:
            found.append((earlier / MILLISECONDS, None))
            before = None
        if told != before or not found:
            found.append((time / MILLISECONDS, told))
        earlier, before = time, told
    return found
