"""The hour meter's file: what is in it, how seldom it is written, and whatever happens to it."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.run.blower_timer import BlowerTimer, Meter
from drydown.watch.hours_file import HoursFile
from support.broker import until

WALL = 1_789_200_000.0
METER = Meter(70.0, 3600.0, 4, running=True, stretch=600.0)


def to_unix(time: float) -> float:
    return time + WALL


def from_unix(time: float) -> float:
    return time - WALL


def test_it_is_written_once_a_minute_while_it_runs_and_when_it_stops(tmp_path: Path) -> None:
    path = tmp_path / "hours-heron.json"
    file, timer, written = HoursFile(path), BlowerTimer(), []
    for second in range(400):
        running = 10 <= second < 225
        timer.observe(second, running)
        file.look(timer.meter(second), to_unix)
        if second in (10, 70, 130, 190, 225):
            until(lambda second=second: (HoursFile(path).read(from_unix) or METER).time == second, 30)  # type: ignore[misc]
            written.append(path.stat().st_mtime_ns)
        elif path.exists():
            assert path.stat().st_mtime_ns == written[-1], f"written at {second} s too"
    file.close()
    assert HoursFile(path).read(from_unix) == Meter(225.0, 215.0, 1, running=False, stretch=215.0)


def test_what_it_began_with_is_not_written_again(tmp_path: Path) -> None:
    path = tmp_path / "hours-heron.json"
    first = HoursFile(path)
    first.look(METER, to_unix)
    first.close()
    before = path.stat().st_mtime_ns
    second, timer = HoursFile(path), BlowerTimer()
    kept = second.read(from_unix)
    assert kept == METER
    timer.recall(kept)
    second.look(timer.meter(5000.0), to_unix)
    second.close()
    assert path.stat().st_mtime_ns == before


@pytest.mark.parametrize("damage", [b"", b"{", b"[]", b"null", b'{"total": 5}', b"\xff", "negative"])
def test_a_file_that_cannot_be_read_is_told_of_and_no_obstacle(
    tmp_path: Path, damage: bytes | str, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "hours-heron.json"
    if isinstance(damage, bytes):
        path.write_bytes(damage)
    else:
        bad = HoursFile(path)
        bad.look(replace(METER, total=-5.0), to_unix)
        bad.close()
    file = HoursFile(path)
    assert file.read(from_unix) is None
    assert "can't be read: the blower's hours go on from what was recorded" in caplog.text
    file.look(METER, to_unix)
    file.close()
    assert HoursFile(path).read(from_unix) == METER


@given(st.binary(max_size=60))
def test_no_bytes_break_it(tmp_path_factory: pytest.TempPathFactory, damage: bytes) -> None:
    path = tmp_path_factory.mktemp("hours") / "hours-heron.json"
    path.write_bytes(damage)
    file = HoursFile(path)
    file.read(from_unix)
    file.close()
