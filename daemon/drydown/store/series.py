"""A stretch of one series as columns, thinned so that no extreme is lost."""

import json
import math
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass

from drydown.store.summary import GOOD, PIECE, until

MILLISECONDS = 1000
DIGITS = 7  # that are kept of a mean: more than any probe knows
SOME = 100  # readings that tell how great they are

NO_FRACTION = 1.5 * 2**52  # a float as large as this, or a little larger or smaller, is whole

BETWEEN = f"FROM reading WHERE series = ? AND time >= ? AND time < ? AND {GOOD}"

COLUMNS = f"""
SELECT json_group_array((:anchor + nth * :step) / :second),
    json_group_array((total / count * :scale + {NO_FRACTION} - {NO_FRACTION}) / :scale),
    json_group_array(low), json_group_array(high), json_group_array(count)
FROM (%s)
"""
"""Whole columns in one row, so that Python has little to do, and other threads go on meanwhile.

A mean is rounded by adding what leaves a float no room for fractions, in a fraction of the time that `round`
takes.
"""
TOGETHER = """
SELECT (time - :anchor) / :step AS nth, sum(total) AS total, min(low) AS low, max(high) AS high,
    sum(count) AS count
FROM (%s) GROUP BY nth ORDER BY nth
"""
WITHIN = "WHERE series = :series AND time >= :first AND time < :end"
READINGS = (
    f"SELECT time, value AS total, value AS low, value AS high, 1 AS count FROM reading {WITHIN} AND {GOOD}"
)
OF_READINGS = COLUMNS % TOGETHER % READINGS
OF_SUMMARIES = COLUMNS % TOGETHER % f"SELECT time, total, low, high, count FROM summary {WITHIN}"
OF_EACH_SUMMARY = COLUMNS % (
    f"SELECT (time - :anchor) / :step AS nth, total, low, high, count FROM summary {WITHIN} ORDER BY time"
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
    steps, of whole seconds unless they are shorter, and of whole summaries where it is long; a step that
    holds no reading gives no point.
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


def fingerprint(
    connection: sqlite3.Connection, tank: str, names: Sequence[str], span: tuple[int, int]
) -> tuple[object, ...]:
    """What is another as soon as `whole_or_thinned` would give anything else for one of these series.

    Readings are only added, or judged later; what moves them brings a new clock; thinning makes them fewer.
    """
    marks = ",".join("?" * len(names))
    with _one_moment(connection):
        clocks = connection.execute("SELECT count(*), max(id) FROM clock WHERE tank = ?", (tank,)).fetchone()
        found = connection.execute(
            f"SELECT id FROM series WHERE tank = ? AND name IN ({marks})", (tank, *names)
        ).fetchall()
        return (*clocks, *((series, *_counts(connection, series, *span)) for (series,) in found))


def _counts(connection: sqlite3.Connection, series: int, first: int, last: int) -> list[float]:
    """What is another with every reading and judgement."""
    summed_from, summed_to = _summed_up(connection, series, (first, last + 1), PIECE)
    counts = connection.execute(
        "SELECT total(count), (SELECT renewed FROM summarised WHERE series = ?1) FROM summary"
        " WHERE series = ?1 AND time >= ?2 AND time < ?3",
        (series, summed_from, summed_to),
    ).fetchone()
    for side in (first, summed_from), (summed_to, last + 1):
        counts += connection.execute(
            "SELECT count(*), total(quality) FROM reading WHERE series = ? AND time >= ? AND time < ?",
            (series, *side),
        ).fetchone()
    return list(counts)


def _found(
    connection: sqlite3.Connection, tank: str, name: str, span: tuple[int, int], points: int
) -> Series | _Thinned | None:
    with _one_moment(connection):
        known = connection.execute(
            "SELECT id, unit FROM series WHERE tank = ? AND name = ?", (tank, name)
        ).fetchone()
        if known is None:
            return None
        series, unit = known
        where = (series, span[0], span[1] + 1)
        more = connection.execute(f"SELECT 1 {BETWEEN} ORDER BY time LIMIT 1 OFFSET ?", (*where, points))
        if more.fetchone() is None:
            rows = connection.execute(f"SELECT time, value {BETWEEN} ORDER BY time", where).fetchall()
            times, values = [time / MILLISECONDS for time, _ in rows], [value for _, value in rows]
            return Series(name, unit, 0.0, times, values, values, values, [1] * len(rows))
        first, greatest = connection.execute(
            f"SELECT min(time), max(abs(value)) FROM (SELECT time, value {BETWEEN} ORDER BY time LIMIT ?)",
            (*where, SOME),
        ).fetchone()
        (last,) = connection.execute(f"SELECT max(time) {BETWEEN}", where).fetchone()
        step, columns = _columns(connection, series, (first, last + 1), points, _scale(greatest))
        return _Thinned(name, unit, step / MILLISECONDS, *columns)


def _columns(
    connection: sqlite3.Connection, series: int, span: tuple[int, int], points: int, scale: float
) -> tuple[int, list[str]]:
    """The step (ms), and the columns; `span` is from the first reading to before what follows the last.

    Where a step has room for a summary, its middle is of these, and its ends of the readings beside them.
    """
    first, end = span
    step, anchor = _step(end - first, points), first
    parts = [(OF_READINGS, first, end)]
    if step > PIECE // 2:
        begin, _ = _summed_up(connection, series, span, PIECE)
        step = -(-_step(end - begin, max(points - (first < begin), 1)) // PIECE) * PIECE
        anchor = begin - step
        begin, stop = _summed_up(connection, series, span, step)
        of_summaries = OF_EACH_SUMMARY if step == PIECE else OF_SUMMARIES
        parts = [(OF_READINGS, first, begin), (of_summaries, begin, stop), (OF_READINGS, stop, end)]
    second = MILLISECONDS if anchor % MILLISECONDS == step % MILLISECONDS == 0 else float(MILLISECONDS)
    asked = {"series": series, "anchor": anchor, "step": step, "scale": scale, "second": second}
    found = [
        connection.execute(source, asked | {"first": one, "end": other}).fetchone()
        for source, one, other in parts
    ]
    return step, [_joined(arrays) for arrays in zip(*found, strict=True)]


def _summed_up(
    connection: sqlite3.Connection, series: int, span: tuple[int, int], step: int
) -> tuple[int, int]:
    """From when to before when (Unix ms) summaries stand for all that is in a span, in whole steps."""
    first = min(span[0] + -span[0] % PIECE, span[1])
    end = min(until(connection, series) or first, span[1])
    return first, first + max(end - first, 0) // step * step


def _joined(arrays: Sequence[str]) -> str:
    """JSON arrays as one."""
    return f"[{','.join(inner for one in arrays if (inner := one[1:-1]))}]"


@contextmanager
def _one_moment(connection: sqlite3.Connection) -> Iterator[None]:
    """What is read meanwhile is of one moment, whatever is written."""
    connection.execute("BEGIN")
    try:
        yield
    finally:
        connection.execute("ROLLBACK")


def _step(span: int, points: int) -> int:
    """How many milliseconds a point stands for."""
    step = -(-span // points)
    return step if step <= MILLISECONDS else -(-step // MILLISECONDS) * MILLISECONDS


def _scale(greatest: float) -> float:
    """What to round means by, so that DIGITS of the greatest value stay."""
    places = DIGITS - 1 - math.floor(math.log10(greatest)) if greatest > 0 else DIGITS
    return 10.0 ** min(max(places, -300), 300)
