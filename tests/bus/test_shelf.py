"""What waits on the disk: all of it after a restart, readings thinned when it is too much, events never."""

import logging
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

import pytest

from drydown.bus import shelf
from drydown.bus.shelf import THINNED, DiskShelf
from drydown.bus.spool import EVENT, SERIES, Entry
from support.broker import until

PLENTY = 1e8


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "waiting.sqlite3"


@contextmanager
def opened(file: Path, most: float = PLENTY) -> Iterator[DiskShelf]:
    made = DiskShelf(file, most)
    try:
        yield made
    finally:
        made.close()


def readings(count: int, size: int = 10) -> list[Entry]:
    return [Entry("shed/heron/readings", b"%d " % i + b"x" * size, SERIES) for i in range(count)]


def put(on: DiskShelf, first: int, entries: Sequence[Entry]) -> None:
    on.put(first, entries)
    until(lambda: on.safe == first + len(entries) - 1)


def numbers(on: DiskShelf, start: int = 0) -> list[int]:
    found: list[int] = []
    while some := on.window(found[-1] + 1 if found else start):
        found += [number for number, _ in some]
    return found


def test_all_of_it_is_there_after_a_restart_and_what_is_let_go_is_gone(file: Path) -> None:
    told = [*readings(300), Entry("run", b"{}", EVENT)]
    with opened(file) as first:
        assert first.oldest is None
        put(first, 5, told)
    with opened(file) as second:
        assert (second.oldest, second.newest) == (5, 305)
        assert second.window(304) == [(304, told[-2]), (305, told[-1])]
        assert numbers(second) == list(range(5, 306))
        second.let_go(100)
        second.renumber(1000)
        until(lambda: second.window(0) is not None)
        assert numbers(second) == list(range(1101, 1306))
        second.let_go(1305)
    with opened(file) as third:
        assert third.oldest is None


def test_when_too_much_waits_the_oldest_readings_are_thinned_and_all_else_stays(
    file: Path, caplog: pytest.LogCaptureFixture
) -> None:
    with opened(file, most=400_000) as made:
        events = [Entry("run", b"e" * 1000, EVENT)] * 25
        estimates = [Entry("shed/heron/estimates", b"e" * 1000, SERIES)] * 25
        put(made, 1, events + estimates)
        for first in range(51, 2051, 500):
            put(made, first, readings(500, size=1000))
        until(lambda: len(numbers(made)) < 400)
        left = numbers(made)
    assert left[:50] == list(range(1, 51))
    gaps = {after - before for before, after in pairwise(left[50:])}
    assert THINNED in gaps
    assert "the oldest readings are thinned" in caplog.text


def test_a_damaged_file_is_set_aside_and_told_of(file: Path, caplog: pytest.LogCaptureFixture) -> None:
    file.write_bytes(b"no database " * 1000)
    with caplog.at_level(logging.ERROR), opened(file) as made:
        put(made, 1, readings(3))
        assert numbers(made) == [1, 2, 3]
    assert "was damaged" in caplog.text
    assert [one.name.startswith("waiting.damaged-") for one in file.parent.glob("*damaged*")] == [True]


def test_a_disk_that_takes_nothing_is_told_of_and_tried_again(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shelf, "RETRY", 0.05)
    file.mkdir()
    with opened(file) as made:
        made.put(1, readings(3))
        until(lambda: "can't be kept in" in made.trouble)
        assert made.window(1) is None
        assert made.safe == 0
        file.rmdir()
        until(lambda: made.safe == 3)
        assert made.trouble == ""
        assert numbers(made) == [1, 2, 3]
    with sqlite3.connect(file) as there:
        assert there.execute("PRAGMA integrity_check").fetchone() == ("ok",)
