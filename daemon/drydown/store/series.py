"""A stretch of one series as columns, thinned so that no extreme is lost."""

import json
import math
import sqlite3
from collections.abc import Sequence
from dataclasses import asdict, dataclass

MILLISECONDS = 1000
DIGITS = 7  # that are kept of a mean: more than any probe knows

NO_FRACTION = 1.5 * 2**52  # a float as large as this, or a little larger or smaller, is whole

GOOD = (
    "FROM reading WHERE series = ? AND time BETWEEN ? AND ? AND value IS NOT NULL AND ifnull(quality, 0) < 2"
)

PIECES = f"""
SELECT json_group_array((:first + nth * :step) / {MILLISECONDS}.0), json_group_array(mean),
    json_group_array(low), json_group_array(high), json_group_array(count)
FROM (
    SELECT nth, (avg(value) * :scale + {NO_FRACTION} - {NO_FRACTION}) / :scale AS mean,
        min(value) AS low, max(value) AS high, count(value) AS count
    FROM piece CROSS JOIN reading
    ON series = :series AND time >= :first + nth * :step AND time < :first + (nth + 1) * :step
        AND time <= :last AND value IS NOT NULL AND quality IS NOT 2
    WHERE nth <= (:last - :first) / :step GROUP BY nth ORDER BY nth
)
"""
"""Whole columns in one row, so that Python has little to do, and other threads go on meanwhile.

Each piece is found by the readings' key; grouped by what is worked out of it, all would be sorted. A mean is
rounded by adding what leaves a float no room for fractions, in a fraction of the time that `round` takes.
"""


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


@dataclass(frozen=True, slots=True)
class _Thinned:
    """The columns of a thinned series as JSON arrays; numbers have 15 digits."""

    name: str
    unit: str | None
    step: float
    time: str
    value: str
    low: str
    high: str
    count: str


def whole_or_thinned(
    connection: sqlite3.Connection, tank: str, name: str, span: tuple[int, int], points: int
) -> Series | None:
    """A series within a span of Unix milliseconds, at most `points` points; None if there is no such series.

    Where there are more readings than that, the time from the first to the last of them is cut into equal
    steps, of whole seconds unless they are shorter; a step that holds no reading gives no point.
    """
    found = _found(connection, tank, name, span, points)
    if not isinstance(found, _Thinned):
        return found
    columns = (found.time, found.value, found.low, found.high, found.count)
    return Series(found.name, found.unit, found.step, *map(json.loads, columns))


def as_json(
    connection: sqlite3.Connection, tank: str, name: str, span: tuple[int, int], points: int
) -> str | None:
    """The same as a JSON object with the fields of `Series`."""
    found = _found(connection, tank, name, span, points)
    if not isinstance(found, _Thinned):
        return None if found is None else json.dumps(asdict(found), separators=(",", ":"))
    about = {"name": found.name, "unit": found.unit, "step": found.step}
    return (
        f'{json.dumps(about)[:-1]},"time":{found.time},"value":{found.value},"low":{found.low},'
        f'"high":{found.high},"count":{found.count}}}'
    )


def _found(
    connection: sqlite3.Connection, tank: str, name: str, span: tuple[int, int], points: int
) -> Series | _Thinned | None:
    known = connection.execute(
        "SELECT id, unit FROM series WHERE tank = ? AND name = ?", (tank, name)
    ).fetchone()
    if known is None:
        return None
    series, unit = known
    where = (series, *span)
    count, first, greatest = connection.execute(
        f"SELECT count(*), min(time), max(abs(value)) FROM (SELECT time, value {GOOD} ORDER BY time LIMIT ?)",
        (*where, points + 1),
    ).fetchone()
    if count <= points:
        rows = connection.execute(f"SELECT time, value {GOOD} ORDER BY time", where).fetchall()
        times, values = [time / MILLISECONDS for time, _ in rows], [value for _, value in rows]
        return Series(name, unit, 0.0, times, values, values, values, [1] * count)
    (last,) = connection.execute(f"SELECT max(time) {GOOD}", where).fetchone()
    step = _step(last - first + 1, points)
    _number_pieces(connection, points)
    asked = {"series": series, "first": first, "last": last, "step": step, "scale": _scale(greatest)}
    return _Thinned(name, unit, step / MILLISECONDS, *connection.execute(PIECES, asked).fetchone())


def _number_pieces(connection: sqlite3.Connection, count: int) -> None:
    """See that the numbers from 0 to below `count` stand in a table of this connection's own, in memory."""
    connection.execute("PRAGMA temp_store = MEMORY")
    connection.execute("CREATE TEMP TABLE IF NOT EXISTS piece (nth INTEGER PRIMARY KEY)")
    (there,) = connection.execute("SELECT ifnull(max(nth) + 1, 0) FROM piece").fetchone()
    if there < count:
        connection.execute(
            "WITH RECURSIVE number (nth) AS (SELECT ? UNION ALL SELECT nth + 1 FROM number WHERE nth + 1 < ?)"
            " INSERT INTO piece SELECT nth FROM number",
            (there, count),
        )


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


def _scale(greatest: float) -> float:
    """What to round means by, so that DIGITS of the greatest value stay."""
    places = DIGITS - 1 - math.floor(math.log10(greatest)) if greatest > 0 else DIGITS
    return 10.0 ** min(max(places, -300), 300)
