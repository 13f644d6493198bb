"""A stretch of one series as columns, thinned so that no extreme is lost."""

import math
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

MILLISECONDS = 1000
DIGITS = 7  # that are kept of a mean: more than any probe knows

NO_FRACTION = 1.5 * 2**52  # a float as large as this, or a little larger or smaller, is whole

GOOD = (
    "FROM reading WHERE series = ? AND time BETWEEN ? AND ? AND value IS NOT NULL AND ifnull(quality, 0) < 2"
)


@dataclass(frozen=True, slots=True)
class Series:
    """A stretch of one numeric or boolean series, bad readings left out; columns of the same length.

    `step` is 0 when every reading is there. Otherwise each point stands for the readings of so many seconds
    from its `time` (Unix s): `count` of them, with their mean (`value`) and their extremes.
    """

    name: str
    unit: str | None
    step: float
    time: Sequence[float]
    value: Sequence[float]
    low: Sequence[float]
    high: Sequence[float]
    count: Sequence[int]


def whole_or_thinned(
    connection: sqlite3.Connection, tank: str, name: str, span: tuple[int, int], points: int
) -> Series | None:
    """A series within a span of Unix milliseconds, at most `points` points; None if there is no such series.

    Where there are more readings than that, the time from the first to the last of them is cut into equal
    steps, of whole seconds unless they are shorter; a step that holds no reading gives no point.
    """
    found = connection.execute(
        "SELECT id, unit FROM series WHERE tank = ? AND name = ?", (tank, name)
    ).fetchone()
    if found is None:
        return None
    series, unit = found
    where = (series, *span)
    count, first = connection.execute(
        f"SELECT count(*), min(time) FROM (SELECT time {GOOD} ORDER BY time LIMIT ?)", (*where, points + 1)
    ).fetchone()
    if count <= points:
        rows = connection.execute(f"SELECT time, value {GOOD} ORDER BY time", where).fetchall()
        times, values = [time / MILLISECONDS for time, _ in rows], [value for _, value in rows]
        return Series(name, unit, 0.0, times, values, values, values, [1] * count)
    (last,) = connection.execute(f"SELECT max(time) {GOOD}", where).fetchone()
    step = _step(last - first + 1, points)
    # Ordered by what it is grouped by: ordered by the first time of each group, it would sort twice.
    groups = connection.execute(
        f"SELECT (time - ?) / ?, avg(value), min(value), max(value), count(*) {GOOD} GROUP BY 1 ORDER BY 1",
        (first, step, *where),
    ).fetchall()
    at, means, lows, highs, counts = zip(*groups, strict=True)
    times = [(first + one * step) / MILLISECONDS for one in at]
    values = _rounded(means, _places(max(-min(lows), max(highs))))
    return Series(name, unit, step / MILLISECONDS, times, values, lows, highs, counts)


def fingerprint(
    connection: sqlite3.Connection, tank: str, names: Sequence[str], span: tuple[int, int]
) -> tuple[object, ...]:
    """What is another as soon as `whole_or_thinned` would give anything else for one of these series.

    Readings are only added, or judged later; what moves them brings a new clock; thinning makes them fewer.
    """
    marks = ",".join("?" * len(names))
    clocks = connection.execute("SELECT count(*), max(id) FROM clock WHERE tank = ?", (tank,)).fetchone()
    found = connection.execute(f"SELECT id FROM series WHERE tank = ? AND name IN ({marks})", (tank, *names))
    return tuple(clocks) + tuple(
        (
            series,
            *connection.execute(
                "SELECT count(*), total(quality) FROM reading WHERE series = ? AND time BETWEEN ? AND ?",
                (series, *span),
            ).fetchone(),
        )
        for (series,) in found.fetchall()
    )


def _step(span: int, points: int) -> int:
    """How many milliseconds a point stands for."""
    step = -(-span // points)
    return step if step <= MILLISECONDS else -(-step // MILLISECONDS) * MILLISECONDS


def _rounded(values: Sequence[float], places: int) -> list[float]:
    """As `round` does it, in a fraction of its time: adding what leaves a float no room for fractions."""
    scale = 10.0**places
    if not 1e-300 < scale < 1e300:
        return list(values)
    return [(value * scale + NO_FRACTION - NO_FRACTION) / scale for value in values]


def _places(greatest: float) -> int:
    """Decimal places that leave so many digits of the greatest value."""
    return DIGITS - 1 - math.floor(math.log10(greatest)) if greatest > 0 else DIGITS
