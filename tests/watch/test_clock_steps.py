"""The board's clock through the whole path: probes, a real broker, the recorder, the store, and back."""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import pytest

from drydown.clock import Clock
from drydown.record import RecordService
from drydown.store.read import StoreReader
from drydown.watch.service import WatchService
from support.broker import Mosquitto, until
from support.watched_place import Place, place

TRUE = 1_789_200_000.0  # Unix s when the board was started
SECOND, HOUR, YEAR = 1.0, 3600.0, 31_536_000.0
NEVER_SET = -TRUE

pytestmark = pytest.mark.broker


@dataclass
class Board:
    """A board that a test sets the clock of, and suspends, while real time goes by."""

    wrong_by: float = 0.0
    kept: bool = False
    name: str = "first"
    started: float = TRUE
    _slept: float = 0.0
    _began: float = field(default_factory=time.monotonic)

    def boot(self) -> float:
        return 10.0 + time.monotonic() - self._began + self._slept

    def wall(self) -> float:
        return self.started + self.boot() + self.wrong_by

    def truth(self) -> float:
        return self.started + self.boot()

    def suspend(self, seconds: float) -> None:
        self._slept += seconds

    def clock(self) -> Clock:
        return Clock(boot=self.boot, wall=self.wall, synchronised=lambda: self.kept, name=self.name)


@contextmanager
def watching(made: Place, board: Board, monkeypatch: pytest.MonkeyPatch) -> Iterator[WatchService]:
    monkeypatch.setenv("DRYDOWN_SYSFS", str(made.folder / "sys"))
    service = WatchService(made.site, clock=board.clock())
    thread = threading.Thread(target=service.run)
    thread.start()
    try:
        made.wait_for_readings()
        yield service
    finally:
        service.stop()
        thread.join(10)


@contextmanager
def recording(made: Place) -> Iterator[None]:
    service = RecordService(made.site, commit_after=0.2)
    thread = threading.Thread(target=service.run)
    thread.start()
    try:
        yield
    finally:
        service.stop()
        thread.join(10)


def levels(made: Place) -> list[float]:
    with StoreReader(made.site.store_path) as reader:
        return [sample.time for sample in reader.samples("heron", -1e11, 1e11, ["fuel/level"])]


def latest(made: Place, board: Board) -> bool:
    """Whether what was read in the last moments stands in the store at its right time."""
    found = levels(made)
    return bool(found) and abs(found[-1] - board.truth()) < 3.0


def check(made: Place, since: float, until_: float, gap: float = 0.0) -> None:
    """A reading each second from the first to the last, each once; `gap` s were slept through."""
    found = levels(made)
    assert since <= found[0] < since + 5.0
    assert until_ - 6.0 < found[-1] <= until_
    steps = sorted(after - before for before, after in pairwise(found))
    assert steps[0] > 0.05
    longest = steps.pop() if gap else 0.0
    assert gap <= longest < gap + 8.0
    assert steps[-1] < 4.0  # however busy the machine is: none is lost over a step


@pytest.mark.parametrize("step", [SECOND, -SECOND, HOUR, -HOUR, YEAR, -YEAR])
def test_a_step_in_the_middle_of_a_run(
    broker: Mosquitto, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: float
) -> None:
    board = Board(wrong_by=-step)
    with place(tmp_path, broker.port) as made, recording(made):
        since = board.truth()
        with watching(made, board, monkeypatch):
            made.switch(True)
            until(lambda: levels(made))
            board.wrong_by = 0.0
            until(lambda: latest(made, board), 20)
            time.sleep(2)
        end = board.truth()
        until(lambda: levels(made)[-1] > end - 6.0)
        check(made, since, end)
        with StoreReader(made.site.store_path) as reader:
            for event in reader.events("heron", 0, 1e11):
                assert since <= event.time <= end
                assert event.body["time"] == event.time
            (told,) = (e for e in reader.events("heron", 0, 1e11, ["notice"]) if e.body["notice"] == "clock")
            assert told.body["values"]["wrong_by"] == pytest.approx(step, abs=0.05)


def test_a_board_that_begins_in_1970_loses_power_and_is_set_at_last(
    broker: Mosquitto, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    board = Board(wrong_by=NEVER_SET)
    with place(tmp_path, broker.port) as made:
        with recording(made), watching(made, board, monkeypatch):
            until(lambda: len(levels(made)) > 3)
        lost = levels(made)
        second = Board(wrong_by=-TRUE - 600.0, name="second", started=TRUE + 600.0)
        since = second.truth()
        with watching(made, second, monkeypatch):
            with recording(made):
                until(lambda: len(levels(made)) > len(lost) + 3)
            second.wrong_by, second.kept = 0.0, True
            time.sleep(2)  # while nobody records
            with recording(made):
                until(lambda: latest(made, second), 20)
                end = second.truth()
        found = levels(made)
        assert found[: len(lost)] == pytest.approx(lost)  # when that was nobody will ever know
        told = found[len(lost) :]
        assert since <= told[0]
        assert max(after - before for before, after in pairwise(told)) < 4.0
        assert told[-1] > end - 6.0
        with StoreReader(made.site.store_path) as reader:
            ((_, unsure),) = reader.unsure("heron", -1e11, 1e11)
            assert unsure < since


def test_a_suspend_is_a_gap(broker: Mosquitto, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    board = Board(wrong_by=-HOUR)
    with place(tmp_path, broker.port) as made, recording(made):
        since = board.truth()
        with watching(made, board, monkeypatch):
            until(lambda: len(levels(made)) > 2)
            board.suspend(2 * HOUR)
            time.sleep(2)
            board.wrong_by = 0.0
            until(lambda: latest(made, board), 20)
        end = board.truth()
        until(lambda: levels(made)[-1] > end - 6.0)
        check(made, since, end, gap=2 * HOUR)
