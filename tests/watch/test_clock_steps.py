"""The board's clock through the whole path: probes, a real broker, the recorder, the store, and back."""

import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import pytest

from drydown.clock import Clock
from drydown.record import RecordService
from drydown.store.read import StoreReader
from drydown.watch.service import WatchService
from support.broker import Mosquitto, until
from support.on_thread import on_thread
from support.watched_place import Place, place

TRUE = 1_789_200_000.0  # Unix s when the board was started
SECOND, HOUR, YEAR = 1.0, 3600.0, 31_536_000.0
NEVER_SET = -TRUE
PATIENCE = 120.0  # s: however busy the machine is
LATE = 30.0  # s by which a busy machine may be late; far below the steps that would be seen as gaps

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
    with on_thread(WatchService(made.site, clock=board.clock())) as service:
        made.wait_for_readings()
        yield service


def recording(made: Place) -> AbstractContextManager[RecordService]:
    return on_thread(RecordService(made.site, commit_after=0.2))


def levels(made: Place) -> list[float]:
    with StoreReader(made.site.store_path) as reader:
        return [sample.time for sample in reader.samples("heron", -1e11, 1e11, ["fuel/level"])]


def is_mended(made: Place, board: Board, stepped: float) -> bool:
    """Whether something read since a moment (truth) stands last in the store, and nothing ahead of now."""
    found = levels(made)
    return bool(found) and stepped < found[-1] <= board.truth()


def told_of_clock(made: Place) -> list[float]:
    """By how much the clock was wrong, as notices told it."""
    with StoreReader(made.site.store_path) as reader:
        notices = [event.body for event in reader.events("heron", 0, 1e11, ["notice"])]
    return [body["values"]["wrong_by"] for body in notices if body["notice"] == "clock"]


def check(made: Place, since: float, until_: float, gap: float = 0.0) -> None:
    """Readings from the first to the last, each once and in order; `gap` s were slept through."""
    found = levels(made)
    assert since <= found[0] < since + LATE
    assert until_ - LATE < found[-1] <= until_
    steps = sorted(after - before for before, after in pairwise(found))
    assert steps[0] > 0.0
    longest = steps.pop() if gap else 0.0
    assert gap <= longest < gap + LATE
    assert steps[-1] < LATE


@pytest.mark.parametrize("step", [SECOND, -SECOND, HOUR, -HOUR, YEAR, -YEAR])
def test_a_step_in_the_middle_of_a_run(
    broker: Mosquitto, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: float
) -> None:
    board = Board(wrong_by=-step)
    with place(tmp_path, broker.port) as made, recording(made):
        since = board.truth()
        with watching(made, board, monkeypatch):
            made.switch(True)
            until(lambda: levels(made), PATIENCE)
            board.wrong_by, stepped = 0.0, board.truth()
            until(lambda: told_of_clock(made), PATIENCE)
            until(lambda: is_mended(made, board, stepped), PATIENCE)
        end = board.truth()
        until(lambda: levels(made)[-1] > end - LATE, PATIENCE)
        check(made, since, end)
        with StoreReader(made.site.store_path) as reader:
            for event in reader.events("heron", 0, 1e11):
                assert since <= event.time <= end
                assert event.body["time"] == event.time
        assert told_of_clock(made) == [pytest.approx(step, abs=0.05)]


def test_a_board_that_begins_in_1970_loses_power_and_is_set_at_last(
    broker: Mosquitto, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    board = Board(wrong_by=NEVER_SET)
    with place(tmp_path, broker.port) as made:
        with recording(made), watching(made, board, monkeypatch):
            until(lambda: len(levels(made)) > 3, PATIENCE)
        lost = levels(made)
        second = Board(wrong_by=-TRUE - 600.0, name="second", started=TRUE + 600.0)
        since = second.truth()
        with watching(made, second, monkeypatch):
            with recording(made):
                until(lambda: len(levels(made)) > len(lost) + 3, PATIENCE)
            second.wrong_by, second.kept, stepped = 0.0, True, second.truth()
            time.sleep(2)  # while nobody records
            with recording(made):
                until(lambda: is_mended(made, second, stepped), PATIENCE)
                end = second.truth()
        found = levels(made)
        assert found[: len(lost)] == pytest.approx(lost)  # when that was nobody will ever know
        told = found[len(lost) :]
        assert since <= told[0]
        assert max(after - before for before, after in pairwise(told)) < LATE
        assert told[-1] > end - LATE
        with StoreReader(made.site.store_path) as reader:
            ((_, unsure),) = reader.unsure("heron", -1e11, 1e11)
            assert unsure < since


def test_a_suspend_is_a_gap(broker: Mosquitto, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    board = Board(wrong_by=-HOUR)
    with place(tmp_path, broker.port) as made, recording(made):
        since = board.truth()
        with watching(made, board, monkeypatch):
            until(lambda: len(levels(made)) > 2, PATIENCE)
            board.suspend(2 * HOUR)
            time.sleep(2)
            board.wrong_by, stepped = 0.0, board.truth()
            until(lambda: is_mended(made, board, stepped), PATIENCE)
        end = board.truth()
        until(lambda: levels(made)[-1] > end - LATE, PATIENCE)
        check(made, since, end, gap=2 * HOUR)
