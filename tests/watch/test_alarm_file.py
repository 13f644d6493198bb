"""What is kept of alarms on the disk comes back as it was, whatever happens to the file."""

import json
import logging
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.alarms.kept import First, Kept, Memory
from drydown.alarms.lifecycle import State
from drydown.alarms.scene import Finding
from drydown.effects import AlarmChanged, Change, NoticeDue, Priority
from drydown.watch.alarm_file import AlarmFile, Page, line_of_page, page_of
from support.broker import until

WALL = 1_789_200_000.0

TIMES = st.integers(-10_000_000, 10_000_000).map(lambda ms: ms / 8)
VALUES = st.dictionaries(st.sampled_from(["temperature", "probe"]), TIMES | st.text(max_size=5), max_size=2)
PRIORITIES = st.sampled_from(Priority)
FINDINGS = st.builds(
    Finding, PRIORITIES, st.text(max_size=5), VALUES, st.frozensets(st.text(max_size=5)), st.text(max_size=5)
)
CHANGES = st.builds(
    AlarmChanged, TIMES, st.text(max_size=5), PRIORITIES, st.sampled_from(Change), st.just(""), VALUES
)
KEPT = st.builds(
    Kept,
    st.sampled_from(State),
    st.booleans(),
    st.booleans(),
    st.booleans(),
    st.none() | FINDINGS,
    st.frozensets(st.text(max_size=5)),
    st.lists(TIMES, max_size=3).map(tuple),
    st.none() | TIMES,
    st.text(max_size=5),
    st.none() | TIMES,
    st.none(),
    st.none(),
)


def to_unix(time: float) -> float:
    return time + WALL


def from_unix(time: float) -> float:
    return time - WALL


RAISED = AlarmChanged(
    70.25, "fuel-hot", Priority.HIGH, Change.RAISED, "value", {"temperature": 340.0, "limit": 333.0}
)
FINDING = Finding(Priority.HIGH, "value", {"temperature": 340.0}, frozenset({"value"}))
ACKNOWLEDGED = Kept(
    State.ACKNOWLEDGED,
    True,
    False,
    False,
    FINDING,
    frozenset({"value"}),
    (70.25,),
    None,
    "Wren",
    80.0,
    RAISED,
    replace(RAISED, time=80.0, change=Change.ACKNOWLEDGED, who="Wren"),
)
NOTICE = NoticeDue(70.25, "alarm/fuel-hot/raised/70.250", "alarm", Priority.HIGH, {"alarm": "fuel-hot"})
PAGE = Page(
    Memory({"fuel-hot": ACKNOWLEDGED}, {"fuel-hot": Priority.HIGH}, first=First("vent-closed", "lost")),
    ((NOTICE, to_unix(70.25) + 5.0),),
)


@given(
    st.dictionaries(st.text(max_size=5), KEPT, max_size=3), st.dictionaries(st.text(max_size=5), PRIORITIES)
)
def test_everything_comes_back(alarms: dict[str, Kept], told: dict[str, Priority]) -> None:
    page = Page(Memory(alarms, told))
    assert page_of(json.loads(json.dumps(line_of_page(page, to_unix))), from_unix) == page


def test_the_file_holds_what_was_kept_last(tmp_path: Path) -> None:
    path = tmp_path / "alarms-heron.json"
    file = AlarmFile(path)
    assert file.read(from_unix) is None
    file.keep(Page(Memory({}, {})), to_unix)
    file.keep(PAGE, to_unix)
    file.close()
    assert AlarmFile(path).read(from_unix) == PAGE
    assert [one.name for one in tmp_path.iterdir()] == [path.name]


def test_after_a_new_start_of_the_board_times_are_those_on_the_wall(tmp_path: Path) -> None:
    path = tmp_path / "alarms-heron.json"
    file = AlarmFile(path)
    file.keep(PAGE, to_unix)
    file.close()
    page = AlarmFile(path).read(lambda unix: unix - WALL - 1000.0)
    assert page and page.memory.alarms["fuel-hot"].acknowledged_at == pytest.approx(-920.0)


@pytest.mark.parametrize(
    "found", ["", "{}", "[1]", '{"alarms": {"fuel-hot": {}}, "told": {}, "notices": []}', "\0"]
)
def test_a_file_that_is_none_of_ours_is_told_and_left_out(
    tmp_path: Path, found: str, caplog: pytest.LogCaptureFixture
) -> None:
    path = tmp_path / "alarms-heron.json"
    path.write_text(found)
    assert AlarmFile(path).read(from_unix) is None
    assert "can't be read" in caplog.text


def test_a_disk_that_takes_nothing_is_told_once_and_alarms_go_on(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    file = AlarmFile(tmp_path / "not-there" / "alarms-heron.json")
    with caplog.at_level(logging.ERROR):
        for _ in range(3):
            file.keep(PAGE, to_unix)
            until(lambda: "can't be written" in caplog.text)
    file.keep(PAGE, to_unix)
    file.close()
    assert caplog.text.count("can't be written") == 1
