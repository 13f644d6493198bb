"""Times in the store against the truth, whatever the board's clock did and in whatever order it was heard.

Readings and events go as bytes through what the recorder does, on clocks that the test sets.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.bus import wire
from drydown.bus.spool import EVENT, SERIES, Message
from drydown.bus.topics import TankTopics
from drydown.clock import EARLIEST, Clock
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.reading import Reading
from drydown.record import Recorder
from drydown.store.read import StoreReader

TOPICS = TankTopics("boathouse", "heron")
TRUE = 1_789_200_000.0  # Unix s, of the board's first start
SECOND, HOUR, YEAR = 1.0, 3600.0, 31_536_000.0


@dataclass
class Board:
    """A board whose wall clock a test sets; `says` gathers its messages."""

    wrong_by: float = -TRUE + 20.0  # s, of the wall clock: it began in 1970
    kept: bool = False
    boot: float = 5.0
    started: float = TRUE
    name: str = "first"
    number: int = 0
    says: list[tuple[str, bytes]] = field(default_factory=list)
    readings: list[float] = field(default_factory=list)
    events: list[float] = field(default_factory=list)
    clock: Clock = field(init=False)

    def __post_init__(self) -> None:
        self.restart()

    def restart(self) -> None:
        """Another watcher on the same start of the board."""
        self.clock = Clock(
            boot=lambda: self.boot, wall=self.wall, synchronised=lambda: self.kept, name=self.name
        )

    def power_cut(self, gone: float, wrong_by: float) -> None:
        """Another start, so many s later, with the wall clock as wrong as it may be."""
        self.started, self.boot, self.wrong_by = self.truth() + gone, 3.0, wrong_by
        self.name, self.kept = self.name + "+", False
        self.restart()

    def truth(self) -> float:
        return round(self.started + self.boot, 3)

    def wall(self) -> float:
        return self.started + self.boot + self.wrong_by

    def run(self, seconds: int, every: int = 1) -> "Board":
        """A reading each so many s, and an event each tenth time."""
        for i in range(seconds // every):
            self.boot += every
            self.clock.look()
            label, time = self.clock.label, self.clock.now()
            body = wire.readings([Reading("fuel/level", time, 0.5)], label.to_unix, label.mark)
            self._say(TOPICS.readings, body, SERIES)
            self.readings.append(self.truth())
            if i % 10 == 0:
                line = {
                    "kind": "stage",
                    "time": round(label.to_unix(time), 3),
                    "stage": "bubbling",
                    "by": "x",
                }
                self._say(TOPICS.run, wire.event(line, label.mark), EVENT)
                self.events.append(self.truth())
        return self

    def step(self, seconds: float) -> "Board":
        self.wrong_by += seconds
        return self

    def synchronise(self) -> "Board":
        self.wrong_by, self.kept = 0.0, True
        return self

    def _say(self, topic: str, body: bytes, kind: str) -> None:
        self.number += 1
        message = Message(topic, (body,), kind, False, self.number, self.number)
        self.says.append((topic, wire.payload(message, TOPICS.base_name)))


def record(path: Path, messages: list[tuple[str, bytes]], every: int = 7) -> None:
    """Take messages in with commits between, and begin anew after each third commit."""
    recorder = Recorder(path, raw_days=90)
    for i, (topic, payload) in enumerate(messages, 1):
        recorder.take(topic, payload, is_live=True)
        if i % every == 0:
            recorder.commit()
            if i % (3 * every) == 0:
                recorder.close()
                recorder = Recorder(path, raw_days=90)
    recorder.commit()
    recorder.close()


def levels(path: Path) -> list[float]:
    with StoreReader(path) as reader:
        return [sample.time for sample in reader.samples("heron", -1e11, 1e11, ["fuel/level"])]


def stages(path: Path) -> list[float]:
    with StoreReader(path) as reader:
        events = reader.events("heron", -1e11, 1e11, limit=100_000)
        assert all(event.time == event.body["time"] for event in events)
        return [event.time for event in events]


def check(path: Path, board: Board) -> None:
    assert levels(path) == pytest.approx(sorted(board.readings), abs=0.0021)
    assert stages(path) == pytest.approx(sorted(board.events), abs=0.0021)


@pytest.mark.parametrize("step", [-YEAR, -HOUR, -SECOND, SECOND, HOUR, YEAR])
def test_a_step_in_the_middle_of_a_run_leaves_it_whole(tmp_path: Path, step: float) -> None:
    board = Board(wrong_by=-step).run(60).step(step).run(60)
    record(tmp_path / "store", board.says)
    check(tmp_path / "store", board)
    with StoreReader(tmp_path / "store") as reader:
        (run,) = reader.runs("heron")
    assert run.start == pytest.approx(board.events[0], abs=0.002)


def test_like_events_that_are_as_far_apart_as_the_clock_steps_stay_two(tmp_path: Path) -> None:
    board = Board(wrong_by=0.0).run(20)
    board.restart()
    board.run(31).step(-SECOND).run(3).synchronise().run(10)
    record(tmp_path / "store", board.says)
    check(tmp_path / "store", board)


def test_a_board_that_begins_in_1970_is_right_once_it_is_synchronised(tmp_path: Path) -> None:
    board = Board().run(100)
    record(tmp_path / "store", board.says)
    assert max(levels(tmp_path / "store")) < EARLIEST + 1000
    with StoreReader(tmp_path / "store") as reader:
        assert reader.unsure("heron", -1e11, 1e11)
    board.synchronise().run(30)
    record(tmp_path / "store", board.says[-33:])
    check(tmp_path / "store", board)
    with StoreReader(tmp_path / "store") as reader:
        assert not reader.unsure("heron", -1e11, 1e11)


def test_a_clock_that_was_wrong_for_a_while_and_is_put_back_ends_right(tmp_path: Path) -> None:
    board = Board().synchronise().run(50).step(YEAR).run(50).step(-YEAR).run(50)
    record(tmp_path / "store", board.says)
    check(tmp_path / "store", board)


def test_times_that_were_kept_right_for_a_day_stay(tmp_path: Path) -> None:
    board = Board().synchronise()
    board.restart()
    board.run(3 * 86_400, 600)
    settled, gone = len(board.readings), board.readings[-1] - 86_400
    board.step(HOUR).run(30)
    record(tmp_path / "store", board.says)
    told = levels(tmp_path / "store")
    before = [time for time in board.readings[:settled] if time <= gone]
    assert told[: len(before)] == pytest.approx(before, abs=0.002)
    after = [time + HOUR for time in board.readings if time > gone + 600]
    assert told[-len(after) :] == pytest.approx(after, abs=0.002)


def test_two_starts_that_both_begin_in_1970_are_told_apart(tmp_path: Path) -> None:
    board = Board().run(100)
    lost, board.readings, board.events = len(board.readings), [], []
    board.power_cut(gone=500.0, wrong_by=0.0)
    board.wrong_by = -board.started + 20.0 + 2.0  # the same labels once more
    board.restart()
    board.run(50).synchronise().run(50)
    record(tmp_path / "store", board.says)
    told = levels(tmp_path / "store")
    assert len(told) == lost + len(board.readings)
    assert told[lost:] == pytest.approx(board.readings, abs=0.0021)
    with StoreReader(tmp_path / "store") as reader:
        ((start, end),) = reader.unsure("heron", -1e11, 1e11)  # of the first start nobody will ever know
    assert start <= told[0]
    assert told[lost - 1] <= end


def test_a_watcher_begun_anew_on_the_same_start_mends_what_the_one_before_it_said(tmp_path: Path) -> None:
    board = Board().run(40)
    board.synchronise().restart()
    board.run(40)
    record(tmp_path / "store", board.says)
    check(tmp_path / "store", board)


def test_a_leap_over_a_suspend_is_a_gap_and_no_step(tmp_path: Path) -> None:
    board = Board().run(30)
    board.boot += 2 * HOUR
    board.run(30).synchronise().run(10)
    record(tmp_path / "store", board.says)
    check(tmp_path / "store", board)


def test_what_is_predicted_moves_with_the_clock(tmp_path: Path) -> None:
    board = Board(wrong_by=-YEAR)
    label, end = board.clock.label, Spread(7200.0, 3600.0, 9000.0)
    belief = Estimate(5.0, 60.0, None, None, None, None, end, end, False, Verdict.DRYING)
    body = wire.estimate(belief, label.to_unix, label.mark)
    message = Message(TOPICS.estimates, (body,), SERIES, False, 1, 1)
    board.says.append((TOPICS.estimates, wire.payload(message, TOPICS.base_name)))
    board.number = 1
    board.step(YEAR).run(10)
    record(tmp_path / "store", board.says, every=1)
    with StoreReader(tmp_path / "store") as reader:
        found = reader.latest("heron")
    for tail, seconds in (("", 7200.0), ("/low", 3600.0), ("/high", 9000.0)):
        assert found[f"estimate/dry_at{tail}"].value == pytest.approx(TRUE + seconds, abs=0.002)
        assert found[f"estimate/methanol_done_at{tail}"].value == pytest.approx(TRUE + seconds, abs=0.002)
    assert found["estimate/run_time"].value == 60.0


def shuffled(messages: list[tuple[str, bytes]], dice: Random) -> Iterator[tuple[str, bytes]]:
    """Some twice, some late, in windows as they are when everything is sent again."""
    again = [one for one in messages if dice.random() < 0.3]
    whole = messages + again
    for at in range(0, len(whole), 40):
        window = whole[at : at + 40]
        dice.shuffle(window)
        yield from window


MOVES = st.lists(
    st.tuples(
        st.sampled_from(["step", "restart", "suspend", "wrong and back"]),
        st.sampled_from([-YEAR, -HOUR, -SECOND, 0.4, SECOND, 61.0, HOUR, YEAR]),
        st.integers(3, 40),
    ),
    max_size=6,
)


@settings(max_examples=25)
@given(MOVES, st.booleans(), st.integers(0, 10**6))
def test_any_row_of_steps_ends_at_the_truth_in_every_recorder(
    tmp_path_factory: pytest.TempPathFactory, moves: list[tuple[str, float, int]], set_: bool, seed: int
) -> None:
    board = Board(wrong_by=0.0 if set_ else -TRUE + 20.0).run(20)
    for what, seconds, length in moves:
        if what == "step":
            board.step(seconds)
        elif what == "restart":
            board.restart()
        elif what == "suspend":
            board.boot += abs(seconds)
        else:
            board.step(seconds).run(length).step(-seconds)
        board.run(length)
    board.synchronise().run(10)
    folder = tmp_path_factory.mktemp("stores")
    record(folder / "one", board.says)
    record(folder / "other", list(shuffled(board.says, Random(seed))), every=5)
    check(folder / "one", board)
    check(folder / "other", board)
    assert levels(folder / "one") == pytest.approx(levels(folder / "other"), abs=0.0021)


def test_an_event_said_again_with_another_label_is_the_same_happening(tmp_path: Path) -> None:
    board = Board(wrong_by=-HOUR).run(5)
    time = board.clock.now()
    for step in (0.0, HOUR, 0.0):
        board.step(step).run(3)
        label = board.clock.label
        line = {
            "kind": "alarm",
            "time": round(label.to_unix(time), 3),
            "alarm": "fuel-hot",
            "priority": "high",
            "change": "raised",
            "cause": "value",
            "message": "It is hot.",
            "who": "",
            "values": {},
        }
        board.says.append((TOPICS.alarm("fuel-hot"), b"{%b}" % wire.event(line, label.mark)))
    record(tmp_path / "store", board.says, every=2)
    with StoreReader(tmp_path / "store") as reader:
        (event,) = reader.events("heron", 0, 1e11, ["alarm"])
    assert event.time == pytest.approx(TRUE + time, abs=0.002)
    assert json.loads(json.dumps(event.body))["time"] == event.time
