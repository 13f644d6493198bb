"""What can be asked of the store: the latest, a stretch of a series, what happened, which runs there were.

Times are Unix seconds, values stand in the unit of their series (SenML symbol). Nothing here can write.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from drydown.store.schema import QUALITIES, open_for_reading
from drydown.store.series import MILLISECONDS, Series, as_json, fingerprint, whole_or_thinned
from drydown.store.turns import Told, turns

_FIRST, _LAST = -1e15, 1e15  # s, before and after everything

EVER = -1e11  # Unix s, before anything that was recorded

_BLOWN_IN = ("bubbling", "paused")

_AS_JSON = """
CASE WHEN s.kind = 'text' THEN r.text
    WHEN s.kind = 'boolean' AND r.value IS NOT NULL THEN json(iif(r.value, 'true', 'false'))
    ELSE r.value END
"""

RUN_OPENS = ("settling", "bubbling", "paused", "resting", "ready")
"""A run lasts while the stage is one of these."""


@dataclass(frozen=True, slots=True)
class Sample:
    """One stored reading. `value` is None when the probe gave none; `reason` then says why."""

    name: str
    unit: str | None
    time: float
    value: float | bool | str | None
    quality: str
    reason: str


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened: a stage, an alarm's change, a notice, a command."""

    id: int
    tank: str
    kind: str
    time: float
    body: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Run:
    """One batch from its first stage to its last. `end` is None while it lasts."""

    tank: str
    start: float
    end: float | None
    stages: tuple[tuple[float, str], ...]

    @property
    def blown(self) -> list[float]:
        """When the blower began to be counted from 0: at each bubbling that goes on from no pause."""
        stages = [stage for _, stage in self.stages]
        before = [None, *stages]
        return [
            time
            for (time, stage), last in zip(self.stages, before, strict=False)
            if stage == "bubbling" and last != "paused"
        ]


class StoreReader:
    """A read-only view of the store; not to be used by two threads at once."""

    def __init__(self, path: Path) -> None:
        """Raises schema.StoreError, with a sentence for the user."""
        self._connection = open_for_reading(path)

    def close(self) -> None:
        """Let the file go."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def tanks(self) -> list[str]:
        """Every tank that anything was recorded of."""
        return [row[0] for row in self._connection.execute("SELECT DISTINCT tank FROM series ORDER BY tank")]

    def names(self, tank: str) -> list[str]:
        """Every series of a tank."""
        rows = self._connection.execute("SELECT name FROM series WHERE tank = ? ORDER BY name", (tank,))
        return [row[0] for row in rows]

    def latest(self, tank: str) -> dict[str, Sample]:
        """The last reading of each series of a tank, by name, good or bad."""
        rows = self._connection.execute(
            "SELECT s.name, s.unit, s.kind, r.time, r.value, r.text, r.quality, r.reason"
            " FROM series s JOIN reading r ON r.series = s.id"
            " AND r.time = (SELECT max(time) FROM reading WHERE series = s.id) WHERE s.tank = ?",
            (tank,),
        )
        return {row[0]: _sample(row) for row in rows}

    def series(self, tank: str, name: str, start: float, end: float, points: int = 2000) -> Series | None:
        """A series between two times with at most `points` points; None if there is no such series."""
        span = _milliseconds(start), _milliseconds(end)
        return whole_or_thinned(self._connection, tank, name, span, points)

    def series_json(self, tank: str, name: str, start: float, end: float, points: int) -> str | None:
        """The same as a JSON object."""
        span = _milliseconds(start), _milliseconds(end)
        return as_json(self._connection, tank, name, span, points)

    def fingerprint(self, tank: str, names: Sequence[str], start: float, end: float) -> tuple[object, ...]:
        """Another one as soon as `series` would give anything else for one of these names."""
        return fingerprint(self._connection, tank, names, (_milliseconds(start), _milliseconds(end)))

    def thinned_until(self, tank: str, name: str) -> float | None:
        """Before which Unix time of a series only the first, lowest and highest reading of each minute is
        kept, as `store/thin.py` says; None where everything is."""
        row = self._connection.execute(
            "SELECT until FROM thinned t JOIN series s ON s.id = t.series WHERE s.tank = ? AND s.name = ?",
            (tank, name),
        ).fetchone()
        return None if row is None else row[0] / MILLISECONDS

    def turns(self, tank: str, name: str, start: float, end: float) -> list[tuple[float, Told]]:
        """When a series that is on or off, or a word, became another; None where nothing can be told."""
        return turns(self._connection, tank, name, (_milliseconds(start), _milliseconds(end)))

    def samples(
        self, tank: str, start: float, end: float, names: Sequence[str] | None = None
    ) -> Iterator[Sample]:
        """Every reading of a tank between two times, in order of time; all series or those named."""
        chosen = self.names(tank) if names is None else list(names)
        marks = ",".join("?" * len(chosen))
        rows = self._connection.execute(
            "SELECT s.name, s.unit, s.kind, r.time, r.value, r.text, r.quality, r.reason"
            f" FROM series s JOIN reading r ON r.series = s.id WHERE s.tank = ? AND s.name IN ({marks})"
            " AND r.time BETWEEN ? AND ? ORDER BY r.time, s.id",
            (tank, *chosen, _milliseconds(start), _milliseconds(end)),
        )
        return map(_sample, rows)

    def together(
        self, tank: str, names: Sequence[str], start: float, end: float
    ) -> Iterator[tuple[float, dict[str, float | bool | str | None]]]:
        """What these series told at each Unix time (s) between two, by name; in order of time. Numbers have
        15 digits, as SQLite writes them."""
        marks = ",".join("?" * len(names))
        rows = self._connection.execute(
            f"SELECT r.time, json_group_object(s.name, {_AS_JSON})"
            f" FROM series s JOIN reading r ON r.series = s.id WHERE s.tank = ? AND s.name IN ({marks})"
            " AND r.time BETWEEN ? AND ? GROUP BY r.time ORDER BY r.time",
            (tank, *names, _milliseconds(start), _milliseconds(end)),
        )
        return ((time / MILLISECONDS, json.loads(told)) for time, told in rows)

    def events(
        self,
        tank: str,
        start: float,
        end: float,
        kinds: Sequence[str] = (),
        limit: int = 1000,
    ) -> list[Event]:
        """What happened between two times, the oldest first; of these kinds, or of all. At most `limit`,
        the newest ones."""
        marks = f" AND kind IN ({','.join('?' * len(kinds))})" if kinds else ""
        rows = self._connection.execute(
            f"SELECT id, tank, kind, time, body FROM event WHERE tank = ? AND time BETWEEN ? AND ?{marks}"
            " ORDER BY time DESC, id DESC LIMIT ?",
            (tank, _milliseconds(start), _milliseconds(end), *kinds, limit),
        ).fetchall()
        return [_event(row) for row in reversed(rows)]

    def entries(self, tank: str, start: float, end: float, limit: int = 1000) -> list[Event]:
        """What people entered into the logbook between two times, as `events`."""
        rows = self._connection.execute(
            "SELECT id, tank, kind, time, body FROM event WHERE tank = ? AND time BETWEEN ? AND ?"
            " AND kind = 'command' AND json_extract(body, '$.command') = 'entry'"
            " ORDER BY time DESC, id DESC LIMIT ?",
            (tank, _milliseconds(start), _milliseconds(end), limit),
        ).fetchall()
        return [_event(row) for row in reversed(rows)]

    def doubted(self, tank: str, start: float, end: float) -> list[tuple[str, str, str, int, float, float]]:
        """What was not good between two times: by series and quality the first reason, how often, the first
        and the last time, in order of the first."""
        rows = self._connection.execute(
            "SELECT s.name, r.quality, count(*), min(r.time), max(r.time), min(printf('%020d', r.time)"
            " || ifnull(r.reason, '')) FROM series s JOIN reading r ON r.series = s.id"
            " WHERE s.tank = ? AND r.time BETWEEN ? AND ? AND r.quality > 0 GROUP BY s.name, r.quality"
            " ORDER BY 4",
            (tank, _milliseconds(start), _milliseconds(end)),
        )
        return [
            (name, QUALITIES[quality], first[20:], count, since / MILLISECONDS, last / MILLISECONDS)
            for name, quality, count, since, last, first in rows
        ]

    def unsure(self, tank: str, start: float, end: float) -> list[tuple[float, float]]:
        """The spans between two times in which readings stand whose clock nobody had set, first to last.

        Their order and lengths are right; when they were is not known.
        """
        rows = self._connection.execute(
            "SELECT min(r.time), max(r.time) FROM clock c JOIN series s ON s.tank = c.tank"
            " JOIN reading r ON r.series = s.id AND r.clock = c.id"
            " WHERE c.tank = ? AND NOT c.sure AND r.time BETWEEN ? AND ? GROUP BY c.id ORDER BY 1",
            (tank, _milliseconds(start), _milliseconds(end)),
        )
        return [(first / MILLISECONDS, last / MILLISECONDS) for first, last in rows]

    def runs(self, tank: str, limit: int = 100) -> list[Run]:
        """The runs of a tank, the newest first."""
        rows = self._connection.execute(
            "SELECT time, json_extract(body, '$.stage') FROM event WHERE tank = ? AND kind = 'stage'"
            " ORDER BY time, id",
            (tank,),
        )
        runs = runs_from_stages(tank, [(time / MILLISECONDS, stage) for time, stage in rows])
        return runs[::-1][:limit]

    def hour_meter(self, tank: str) -> tuple[float, int]:
        """How long the blower of a tank has run in all that was recorded, in s, and how often it started.

        Each run counts its own time from 0, so that the last count of each makes the sum.
        """
        stages = self._stages(tank)
        starts = sum(stage == "bubbling" and by == "drydown" for _, stage, by in stages)
        return self._blown(tank, stages, _FIRST), starts

    def blown_since(self, tank: str, since: float) -> float:
        """How long the blower of a tank has run since a Unix time, in s."""
        return self._blown(tank, self._stages(tank), since)

    def _stages(self, tank: str) -> list[tuple[float, str, str]]:
        rows = self._connection.execute(
            "SELECT time, json_extract(body, '$.stage'), json_extract(body, '$.by') FROM event"
            " WHERE tank = ? AND kind = 'stage' ORDER BY time, id",
            (tank,),
        )
        return [(time / MILLISECONDS, stage, by) for time, stage, by in rows]

    def _blown(self, tank: str, stages: Sequence[tuple[float, str, str]], since: float) -> float:
        whole = Run(tank, _FIRST, None, tuple((time, stage) for time, stage, _ in stages))
        total = 0.0
        for start, end in pairwise([_FIRST, *whole.blown, _LAST]):
            over = next((at for at, stage, _ in stages if at > start and stage not in _BLOWN_IN), end)
            ends = [at for at in (min(over, end), end) if at > since]
            before = self._count(tank, start, since)
            total += max((max(0.0, self._count(tank, start, at) - before) for at in ends), default=0.0)
        return total

    def _count(self, tank: str, start: float, at: float) -> float:
        """The blower's count at a time, s; a watcher that starts anew between runs counts from 0 again."""
        return self.last(tank, "blower/run_time", start, at) or 0.0

    def last(self, tank: str, name: str, start: float, end: float) -> float | None:
        """The last number of a series after `start`, up to `end`; None where there is none."""
        row = self._connection.execute(
            "SELECT value FROM reading WHERE time > ? AND time <= ? AND value IS NOT NULL AND series ="
            " (SELECT id FROM series WHERE tank = ? AND name = ?) ORDER BY time DESC LIMIT 1",
            (_milliseconds(start), _milliseconds(end), tank, name),
        ).fetchone()
        return None if row is None else float(row[0])


def runs_from_stages(tank: str, stages: Sequence[tuple[float, str]]) -> list[Run]:
    """Cut a row of (time, stage), in order of time, into runs. Settling anew is another fuel: another run."""
    runs: list[Run] = []
    current: list[tuple[float, str]] = []
    for time, stage in stages:
        if stage == "settling" and any(before == "bubbling" for _, before in current):
            runs.append(Run(tank, current[0][0], time, tuple(current)))
            current = [(time, stage)]
        elif stage in RUN_OPENS:
            current.append((time, stage))
        elif current:
            current.append((time, stage))
            runs.append(Run(tank, current[0][0], time, tuple(current)))
            current = []
    if current:
        runs.append(Run(tank, current[0][0], None, tuple(current)))
    return runs


def _milliseconds(time: float) -> int:
    return round(time * MILLISECONDS)


def _sample(row: tuple[Any, ...]) -> Sample:
    name, unit, kind, time, value, text, quality, reason = row
    told: float | bool | str | None = value
    if kind == "text":
        told = text
    elif kind == "boolean" and value is not None:
        told = bool(value)
    return Sample(name, unit, time / MILLISECONDS, told, QUALITIES[quality or 0], reason or "")


def _event(row: tuple[Any, ...]) -> Event:
    return Event(row[0], row[1], row[2], row[3] / MILLISECONDS, json.loads(row[4]))


__all__ = ["Event", "Run", "Sample", "Series", "StoreReader", "runs_from_stages"]
