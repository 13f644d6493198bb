"""Puts the times of what is stored right: by the best that is known of the clock that labelled it.

Marks may come in any order, twice, or late; what is stored comes to the same times.
"""

import json
import math
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise, product, takewhile
from typing import Any

from drydown.timeline import Mark, is_same

AHEAD = 60_000  # ms by which what was labelled may be later than the moment at which the label was given up
TIMES = ("estimate/methanol_done_at", "estimate/dry_at")
"""Series whose values are Unix times, in s, and so are those of their ends."""
INSIDE = ("time", "start")
"""What an event's body has of Unix times, in s."""

Place = Callable[[int], tuple[int, int]]
"""From a label (Unix ms) to the clock's number and the time as it is now known (Unix ms)."""


@dataclass(frozen=True, slots=True)
class _Known:
    id: int
    mark: Mark


@dataclass(frozen=True, slots=True)
class _Span:
    """Counts of a start, from `first` to before `end` (ms), and the clock that they are placed by."""

    first: float
    end: float
    by: _Known


def as_told(label: int) -> tuple[int, int]:
    """Where a label says nothing of its clock, it stays."""
    return 0, label


class Clocks:
    """All that a store knows of clocks. Everything happens in the transaction that its owner has begun."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._known: dict[tuple[str, str], list[_Known]] = {}
        rows = connection.execute('SELECT id, tank, boot, "offset", at, since, sure FROM clock ORDER BY id')
        for id_, tank, boot, offset, at, since, sure in rows:
            one = _Known(id_, Mark(boot, offset, at, since, bool(sure)))
            self._known.setdefault((tank, boot), []).append(one)
        self._taken: set[tuple[str, Mark]] = set()
        self.changed: list[tuple[str, int, int]] = []
        """Tank, first and last Unix ms of what was moved or turned out to be right; its reader empties it."""
        self.left: list[tuple[str, int, int]] = []
        """The same of where something was before it was moved."""
        self._places: dict[tuple[str, Mark], Place] = {}

    def is_news(self, tank: str, mark: Mark) -> bool:
        """Whether this mark was not taken in yet, as far as is remembered."""
        return (tank, mark) not in self._taken

    def learn(self, tank: str, mark: Mark) -> None:
        """Take in a mark, and move what it knows better."""
        self._taken.add((tank, mark))
        self._places.clear()
        known = self._known.setdefault((tank, mark.boot), [])
        if not any(replace(one.mark, sure=mark.sure) == mark for one in known):
            before = _spans(known)
            known.append(_Known(self._insert(tank, mark), mark))
            is_newest = mark.at == max(one.mark.at for one in known)
            last = mark.at + AHEAD if is_newest else math.inf
            for old, new in product(before, _spans(known)):
                self._move(tank, old, new, last)
        if mark.sure:
            likes = {_alike(known, one).id for one in known if replace(one.mark, sure=True) == mark}
            for id_ in likes:
                self._be_sure(tank, known, id_)

    def placing(self, tank: str, mark: Mark) -> Place:
        """Where what this mark labelled belongs; the mark must have been learned."""
        if (tank, mark) not in self._places:
            self._places[tank, mark] = _place(_spans(self._known[tank, mark.boot]), mark)
        return self._places[tank, mark]

    def _insert(self, tank: str, mark: Mark) -> int:
        cursor = self._connection.execute(
            'INSERT INTO clock (tank, boot, "offset", at, since, sure) VALUES (?, ?, ?, ?, ?, ?)',
            (tank, mark.boot, mark.offset, mark.at, mark.since, mark.sure),
        )
        return int(cursor.lastrowid or 0)

    def _be_sure(self, tank: str, known: list[_Known], id_: int) -> None:
        """A clock was right after all, and so is all that it labelled."""
        found = self._connection.execute("UPDATE clock SET sure = 1 WHERE id = ? AND NOT sure", (id_,))
        if found.rowcount:
            for span in _spans(known):
                if span.by.id == id_:
                    self.changed.append(self._when(tank, span.first, span.end, span.by.mark.offset))

    def _when(self, tank: str, first: float, end: float, offset: int) -> tuple[str, int, int]:
        """Counts of a start from `first` to before `end`, which began at `offset` (Unix ms)."""
        begin = offset + (0 if first == -math.inf else round(first))
        return tank, begin, self._newest(tank) if end == math.inf else offset + round(end) - 1

    def _newest(self, tank: str) -> int:
        """When the last was that is stored of a tank (Unix ms)."""
        (newest,) = self._connection.execute(
            "SELECT max(ifnull((SELECT max((SELECT max(time) FROM reading WHERE series = id)) FROM series"
            " WHERE tank = ?1), -9e15), ifnull((SELECT max(time) FROM event WHERE tank = ?1), -9e15))",
            (tank,),
        ).fetchone()
        return int(newest)

    def _move(self, tank: str, old: _Span, new: _Span, last: float) -> None:
        """Give what was placed by a span and belongs to another its right time, up to the count `last`."""
        first, end = max(old.first, new.first), min(old.end, new.end, last)
        if old.by.id == new.by.id or first >= end:
            return
        was, shift = old.by.mark.offset, new.by.mark.offset - old.by.mark.offset
        span = first + was, end + was
        self.left.append(self._when(tank, first, end, was))
        series = self._connection.execute("SELECT id, name FROM series WHERE tank = ?", (tank,)).fetchall()
        for id_, name in series:
            later = shift / 1000 if name.startswith(TIMES) else 0.0
            self._connection.execute(
                "UPDATE reading SET time = time + ?, clock = ?, value = value + ?"
                " WHERE series = ? AND time >= ? AND time < ? AND clock = ?",
                (shift, new.by.id, later, id_, *span, old.by.id),
            )
        events = self._connection.execute(
            "SELECT id, time, key, body FROM event WHERE tank = ? AND clock = ? AND time >= ? AND time < ?",
            (tank, old.by.id, *span),
        ).fetchall()
        events.sort(key=lambda row: row[1], reverse=shift > 0)  # none comes upon one that has yet to move
        self._connection.executemany(  # where it stands there already, it is the same happening
            "UPDATE OR REPLACE event SET time = ?, clock = ?, key = ?, body = ? WHERE id = ?",
            [
                (time + shift, new.by.id, rekeyed(key, time, time + shift), moved(body, shift), id_)
                for id_, time, key, body in events
            ],
        )
        self.changed.append(self._when(tank, first, end, was + shift))


def _place(spans: list[_Span], mark: Mark) -> Place:
    newest, shift = spans[0], spans[0].by.mark.offset - mark.offset
    if newest.first <= 0:
        return lambda label: (newest.by.id, label + shift)

    def place(label: int) -> tuple[int, int]:
        count = label - mark.offset
        by = next(span.by for span in spans if span.first <= count < span.end)
        return by.id, count + by.mark.offset

    return place


def _spans(known: list[_Known]) -> list[_Span]:
    """What each count of a start is placed by: the latest mark that speaks of it, or else the first one."""
    edges = [-math.inf, *sorted({one.mark.since for one in known}), math.inf]
    spans: list[_Span] = []
    for first, end in pairwise(edges if known else []):
        about = [one for one in known if one.mark.since <= first]
        best = max(about, key=_rank) if about else min(known, key=_rank)
        by = _alike(known, best)
        if spans and spans[-1].by == by:
            first = spans.pop().first
        spans.append(_Span(first, end, by))
    return spans[::-1]  # what comes now is looked for most often


def _alike(known: list[_Known], one: _Known) -> _Known:
    """The first that was learned of those that say the same, with none between them that says another."""
    ordered = sorted(known, key=_rank)
    at = ordered.index(one)
    group = [one]
    for side in (reversed(ordered[:at]), iter(ordered[at + 1 :])):
        group += takewhile(lambda other: is_same(other.mark, one.mark), side)
    return min(group, key=lambda other: other.id)


def _rank(one: _Known) -> tuple[int, int]:
    return one.mark.at, one.mark.offset


def rekeyed(key: str, before: int, after: int) -> str:
    """An event's key when its time (Unix ms) turns out to be another."""
    parts = key.split("/")
    if str(before) in parts:
        parts[parts.index(str(before))] = str(after)
    return "/".join(parts)


def moved(body: str, shift: int) -> str:
    """An event's body with its times moved by so many ms."""
    if not shift:
        return body
    told: dict[str, Any] = json.loads(body)
    for name in INSIDE:
        if isinstance(told.get(name), int | float):
            told[name] = round(told[name] + shift / 1000, 3)
    return json.dumps(told)
