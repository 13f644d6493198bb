"""Readings, estimates and events as lines of the line protocol: which measurement, tags and fields each has.

Written here and not by the client library, whose points take several times as long; the tests hold the
lines against the library's. Numbers are floats throughout, and what is on or off is 1 or 0, because a field
may have but one type and some servers keep numbers alone. The same reading always gives the same tags and
time, so that sending it twice changes nothing; what may still change of it (its quality) is a field.

Times are nanoseconds. Those of events end in six digits of their own, so that two that happened in the same
millisecond are two points.
"""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from zlib import crc32

READING, ESTIMATE, EVENT = "drydown_reading", "drydown_estimate", "drydown_event"
BEGINS = "estimate/"  # the names of what is estimated
ENDS = ("low", "high")  # of a name: the 5 % and 95 % points, which are fields beside the value
TOLD = ("alarm", "change", "command", "level", "priority", "stage")  # of an event: tags where it has them
UNSURE = ("clock", "unsure")  # the tag of what a clock labelled that nobody had set

MILLISECOND = "000000"  # ns

_TAG = str.maketrans({",": r"\,", "=": r"\=", " ": r"\ ", "\n": r"\ ", "\r": r"\ ", "\t": r"\ "})
_TEXT = str.maketrans({"\\": r"\\", '"': r"\"", "\n": " ", "\r": " "})

Row = tuple[int, float | None, str | None, int | None, str | None]
"""Unix time in milliseconds, value, text, quality (0 good, 1 doubtful, 2 bad, None good), reason"""


@dataclass(frozen=True, slots=True)
class Series:
    """What all points of a series have in common."""

    site: str
    tank: str
    name: str
    unit: str | None


def series_lines(series: Series, rows: Iterable[Row], *, is_sure: bool) -> list[str]:
    """A line for each row that says anything. `is_sure`: somebody had set the clock that labelled them."""
    measurement, name = READING, series.name
    if name.startswith(BEGINS):
        measurement, name = ESTIMATE, name[len(BEGINS) :]
    stem, _, end = name.rpartition("/")
    name, field = (stem, end) if end in ENDS else (name, "value")
    about = [("name", name), ("site", series.site), ("tank", series.tank), ("unit", series.unit or "")]
    head = _head(measurement, about if is_sure else [UNSURE, *about])
    plain = f"{head}{field}="  # nearly all are
    return [
        line
        for row in rows
        if (
            line := f"{plain}{row[1]!r} {row[0]}{MILLISECOND}"
            if row[1] is not None and not row[3]
            else _in_full(head, field, row)
        )
    ]


def _in_full(head: str, field: str, row: Row) -> str:
    """A line with all that a row says; nothing where it says nothing."""
    time, value, text, quality, reason = row
    fields = [f"{field}={value!r}"] if value is not None else []
    if text is not None:
        fields.append(f"text={_text(text)}")
    if quality:
        fields.append(f"quality={quality}.0,reason={_text(reason or '')}")
    return f"{head}{','.join(fields)} {time}{MILLISECOND}" if fields else ""


def event_line(site: str, tank: str, kind: str, time: int, key: str, body: str, *, is_sure: bool) -> str:
    """An event; `time` is Unix time in milliseconds, `key` tells it from every other, `body` is its JSON."""
    about = [("kind", kind), ("site", site), ("tank", tank), *_told(body)]
    head = _head(EVENT, about if is_sure else [UNSURE, *about])
    return f"{head}happened=1.0,body={_text(body)} {time}{crc32(key.encode()) % 1_000_000:06}"


def _told(body: str) -> Iterator[tuple[str, str]]:
    told: Any = json.loads(body)
    for name in TOLD:
        value = told.get(name) if isinstance(told, dict) else None
        if isinstance(value, str):
            yield name, value


def _head(measurement: str, tags: list[tuple[str, str]]) -> str:
    return ",".join([measurement, *(f"{name}={_tag(value)}" for name, value in sorted(tags) if value)]) + " "


def _tag(value: str) -> str:
    told = value.translate(_TAG)
    return f"{told} " if told.endswith("\\") else told


def _text(value: str) -> str:
    return f'"{value.translate(_TEXT)}"'
