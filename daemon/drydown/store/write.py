"""Writes the store: rows and events in one transaction, each at most once however often it comes."""

import re
import sqlite3
from collections.abc import Iterable, Mapping
from pathlib import Path
from time import monotonic
from typing import NamedTuple

from drydown.bus.intake import BOOLEAN, LONGEST_NAME, NUMBER, TEXT, Happening, Judgement, Row
from drydown.bus.records import QUANTITIES, SPREADS
from drydown.store import arrived
from drydown.store.clocks import Clocks, Place, as_told, moved, rekeyed
from drydown.store.room import Room, room
from drydown.store.schema import QUALITIES, StoreError, explained, open_for_writing
from drydown.store.summary import Summaries
from drydown.store.thin import Thinned, newest, thin_an_hour
from drydown.timeline import Mark

MOST_SERIES = 1000  # of one tank: what a flood of invented names can't pass

NAME = re.compile(r"[-A-Za-z0-9:./_]+")  # what SenML lets stand in one (RFC 8428 section 4.5.1)
OWN: Mapping[str, str] = {
    **{one.name: BOOLEAN if one.is_boolean else NUMBER for one in QUANTITIES.values()},
    **{name + end: NUMBER for name in SPREADS for end in ("", "/low", "/high")},
    "estimate/run_time": NUMBER,
    "estimate/methanol_done": BOOLEAN,
    "estimate/verdict": TEXT,
}
"""The kind of every series that drydown itself makes."""


class _SeriesKey(NamedTuple):
    id: int
    unit: str | None
    kind: str


Stored = tuple[int, int, int, float | bool | None, str | None]
"""series, clock, Unix time in milliseconds, value, text: a row of the table `reading`"""


class StoreWriter:
    """The one who writes. Collect with `add_…`, then `commit`; nothing is in the file before that."""

    def __init__(self, path: Path) -> None:
        """Open the store, or make it. Raises StoreError."""
        self._path = path
        self._connection = open_for_writing(path)
        self._file = path.stat().st_ino
        self._series: dict[str, dict[str, _SeriesKey]] = {}
        self._rows: list[Stored] = []
        self._judgements: list[tuple[int, int, int, int, str]] = []
        self._events: list[tuple[str, str, int, int, str, str]] = []
        self._written = 0  # of them, and not committed
        self._begun = False
        self._arrivals: arrived.Arrivals | None = None
        self._summaries = Summaries(self._connection)
        with explained(path):
            self._clocks = Clocks(self._connection)
            for id_, tank, name, unit, kind in self._connection.execute(
                "SELECT id, tank, name, unit, kind FROM series"
            ):
                self._series.setdefault(tank, {})[name] = _SeriesKey(id_, unit, kind)

    @property
    def waiting(self) -> int:
        """How many rows and events a commit would write."""
        return self._written + len(self._rows) + len(self._judgements) + len(self._events)

    def list_arrivals(self) -> None:
        """List from now on what comes in, for whoever sends it on. Raises StoreError."""
        with explained(self._path):
            self._arrivals = arrived.Arrivals(self._connection)

    def list_no_arrivals(self) -> None:
        """Nobody sends anything on. Raises StoreError."""
        self._arrivals = None
        with explained(self._path):
            arrived.list_nothing(self._connection)

    def forget_arrivals(self, sent: arrived.Row) -> None:
        """With the next commit, let go what is listed before a row: it was sent on."""
        if self._arrivals:
            self._arrivals.sent = sent

    def add_rows(self, tank: str, rows: Iterable[Row], mark: Mark | None = None) -> list[str]:
        """Take rows in; returns a sentence for each that does not fit its series. Raises StoreError.

        `mark` is that of the clock that labelled them.
        """
        known = self._series.setdefault(tank, {})
        place = self._placing(tank, mark)
        refused: list[str] = []
        before = len(self._rows)
        for name, unit, kind, time, value, text in rows:
            key = known.get(name) or self._new_series(tank, name, unit, kind)
            if key is None or key.unit != unit or key.kind != kind:
                refused.append(_misfit(tank, name, unit, kind, key))
                continue
            self._rows.append((key.id, *place(time), value, text))
        if self._arrivals:
            self._arrivals.note(tank, [row[2] for row in self._rows[before:]])
        return refused

    def add_judgements(self, tank: str, judgements: Iterable[Judgement], mark: Mark | None = None) -> None:
        """Take in which readings are doubtful or bad, and why. Raises StoreError."""
        known = self._series.setdefault(tank, {})
        place = self._placing(tank, mark)
        before = len(self._judgements)
        for judged in judgements:
            quantity = QUANTITIES.get(judged.name)
            unit = quantity.unit if quantity else None
            kind = BOOLEAN if quantity and quantity.is_boolean else NUMBER
            key = known.get(judged.name) or self._new_series(tank, judged.name, unit, kind)
            if key:
                quality = QUALITIES.index(judged.quality)
                self._judgements.append((key.id, *place(judged.time), quality, judged.reason))
        if self._arrivals:
            self._arrivals.note(tank, [row[2] for row in self._judgements[before:]])

    def add_event(self, tank: str, event: Happening) -> None:
        """Take an event in. Raises StoreError."""
        clock, time = self._placing(tank, event.mark)(event.time)
        key, body = rekeyed(event.key, event.time, time), moved(event.body, time - event.time)
        self._events.append((tank, event.kind, clock, time, key, body))
        if self._arrivals:
            self._arrivals.note(tank, [time])

    def cursors(self) -> dict[str, int]:
        """The batch up to which everything of a tank is committed. Raises StoreError."""
        with explained(self._path):
            return dict(self._connection.execute("SELECT tank, batch FROM recorded"))

    def commit(self, cursors: Mapping[str, int]) -> None:
        """Write what was taken in, and how far each tank has come, or nothing. Raises StoreError."""
        self._check_still_there()
        with explained(self._path):
            self._begin()
            self._write()
            self._summaries.write()
            if self._arrivals:
                self._arrivals.write()
            self._connection.executemany(
                "INSERT INTO recorded (tank, batch) VALUES (?, ?)"
                " ON CONFLICT (tank) DO UPDATE SET batch = excluded.batch",
                cursors.items(),
            )
            self._connection.execute("COMMIT")
        self._begun, self._written = False, 0

    def thin(self, before: int, within: float) -> Thinned:
        """Thin raw readings older than `before` (Unix ms) for about `within` s, committed as one.

        Does nothing while anything waits to be committed: that goes first. Raises StoreError.
        """
        if self.waiting or self._begun:
            return Thinned(0, is_done=False)
        deleted, end = 0, monotonic() + within
        with explained(self._path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                while True:
                    step = thin_an_hour(self._connection, before)
                    deleted += step.deleted
                    if step.is_done or monotonic() >= end:
                        break
                self._connection.execute("COMMIT")
            except sqlite3.Error:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")  # so that recording can go on
                raise
        return Thinned(deleted, step.is_done)

    def fold(self) -> None:
        """Take the log into the store now, so that it does not grow. Raises StoreError."""
        with explained(self._path):
            self._connection.execute("PRAGMA wal_checkpoint(PASSIVE)")

    @property
    def newest(self) -> int | None:
        """When the last reading was (Unix ms); None in an empty store. Raises StoreError."""
        with explained(self._path):
            return newest(self._connection)

    @property
    def room(self) -> Room:
        """How much room there is to grow. Raises StoreError."""
        try:
            with explained(self._path):
                return room(self._connection, self._path)
        except OSError as error:
            raise StoreError(f"{self._path}: its disk can't be looked at ({error.strerror}).") from error

    def close(self) -> None:
        """Let the file go. What was not committed is not written."""
        self._connection.close()

    def _check_still_there(self) -> None:
        try:
            if self._path.stat().st_ino == self._file:
                return
        except OSError:
            pass
        raise StoreError(f"{self._path}: the store was moved or removed while in use; a new one is made.")

    def _placing(self, tank: str, mark: Mark | None) -> Place:
        if mark is None:
            return as_told
        if self._clocks.is_news(tank, mark):
            with explained(self._path):
                self._begin()
                self._write()  # what waits may have to be moved too
                self._clocks.learn(tank, mark)
                if self._arrivals:
                    self._arrivals.note_spans(self._clocks.changed)
                self._summaries.note_spans(self._clocks.changed + self._clocks.left)
                self._clocks.changed.clear()
                self._clocks.left.clear()
        return self._clocks.placing(tank, mark)

    def _write(self) -> None:
        many = self._connection.executemany
        many(
            "INSERT INTO reading (series, clock, time, value, text) VALUES (?, ?, ?, ?, ?)"
            " ON CONFLICT (series, time, clock) DO NOTHING",
            self._rows,
        )
        many(
            "INSERT INTO reading (series, clock, time, quality, reason) VALUES (?, ?, ?, ?, ?)"
            " ON CONFLICT (series, time, clock) DO UPDATE"
            " SET quality = excluded.quality, reason = excluded.reason",
            self._judgements,
        )
        many(
            "INSERT INTO event (tank, kind, clock, time, key, body) VALUES (?, ?, ?, ?, ?, ?)"
            " ON CONFLICT (key) DO NOTHING",
            self._events,
        )
        self._summaries.note(self._rows)
        self._summaries.note(self._judgements)
        self._written += len(self._rows) + len(self._judgements) + len(self._events)
        self._rows, self._judgements, self._events = [], [], []

    def _begin(self) -> None:
        if not self._begun:
            self._connection.execute("BEGIN IMMEDIATE")
            self._begun = True

    def _new_series(self, tank: str, name: object, unit: object, kind: str) -> _SeriesKey | None:
        known = self._series[tank]
        named = isinstance(name, str) and len(name) <= LONGEST_NAME and NAME.fullmatch(name)
        measured = unit is None or (isinstance(unit, str) and len(unit) <= 20 and unit.isprintable())
        if not named or not measured or len(known) >= MOST_SERIES or not _is_its_own(name, kind):
            return None
        with explained(self._path):
            self._begin()
            cursor = self._connection.execute(
                "INSERT INTO series (tank, name, unit, kind) VALUES (?, ?, ?, ?)", (tank, name, unit, kind)
            )
        key = _SeriesKey(int(cursor.lastrowid or 0), unit, kind)  # type: ignore[arg-type]
        known[name] = key  # type: ignore[index]
        return key


def _is_its_own(name: object, kind: str) -> bool:
    """Whether a series of ours has its kind, as its readers take for granted."""
    return OWN.get(str(name), kind) == kind


def _misfit(tank: str, name: object, unit: object, kind: str, key: _SeriesKey | None) -> str:
    shown = str(name)[:LONGEST_NAME]
    if key is None:
        return f"{tank}: a reading named {shown!r} can't be kept: its name is no name, or there are too many"
    return f"{tank}: {shown} came as {kind} in {unit}, but it is kept as {key.kind} in {key.unit}"
