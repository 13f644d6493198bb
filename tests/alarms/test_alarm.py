"""One alarm: delays, deadband, getting worse, shelves; in virtual time."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.alarms.alarm import LONGEST_SHELF, Alarm
from drydown.alarms.catalogue import Kind
from drydown.alarms.lifecycle import State
from drydown.alarms.scene import Finding, Scene
from drydown.effects import AlarmChanged, Priority
from support.boathouse import heron

NAME = "fuel/temperature"


def over_ten(scene: Scene, deadband: float) -> Finding | None:
    """Above 10 it is high, above 20 an emergency."""
    value = scene.number(NAME) or 0.0
    if value <= 10 - deadband:
        return None
    priority = Priority.EMERGENCY if value > 20 else Priority.HIGH
    return Finding(priority, "value", {"value": value}, frozenset({"value"}))


KIND = Kind(
    name="over-ten",
    find=over_ten,
    least=Priority.HIGH,
    deadlines={"value": 5},
    on_delays={"value": 3},
    off_delay=10,
    deadband=2.0,
)


class Watched:
    """The alarm, a scene, and the time."""

    def __init__(self, kind: Kind = KIND) -> None:
        self.alarm, self.scene = Alarm(kind), Scene(heron(), fitted={NAME})

    def look(self, now: float, value: float) -> list[str]:
        self.scene.now = now
        self.scene.values[NAME] = value
        return [str(changed.change) for changed in self.alarm.look(self.scene)]


def test_it_is_raised_after_the_on_delay_and_returns_after_the_off_delay() -> None:
    watched = Watched()
    assert watched.look(0, 11) == []
    assert watched.alarm.due == 3
    assert watched.look(2.9, 11) == []
    assert watched.look(3, 11) == ["raised"]
    assert watched.look(10, 7) == []
    assert watched.alarm.due == 20
    assert watched.look(19.9, 7) == []
    assert watched.look(20, 7) == ["returned"]
    assert watched.alarm.state is State.RETURNED


def test_what_is_over_before_the_delay_raises_nothing() -> None:
    watched = Watched()
    assert watched.look(0, 11) == watched.look(2, 9) == watched.look(4, 11) == watched.look(6, 11) == []


def test_within_the_deadband_it_stands() -> None:
    watched = Watched()
    watched.look(0, 11)
    watched.look(3, 11)
    for now in range(4, 100):
        assert watched.look(now, 8.5 if now % 2 else 10.5) == []
    assert watched.alarm.standing


def test_getting_worse_raises_it_anew() -> None:
    watched = Watched()
    watched.look(0, 11)
    watched.look(3, 11)
    assert [changed.change for changed in watched.alarm.acknowledge(4, "Ada")] == ["acknowledged"]
    assert watched.alarm.acknowledged_by == "Ada"
    assert watched.look(5, 21) == []
    assert watched.look(8, 21) == ["raised"]
    assert watched.alarm.priority is Priority.EMERGENCY
    assert watched.alarm.acknowledged_by == ""
    assert watched.look(9, 11) == []  # less bad is no news
    assert watched.alarm.priority is Priority.EMERGENCY


def over_ten_or_lost(scene: Scene, deadband: float) -> Finding | None:
    """The same, and high while the value is lost, which 0 stands for."""
    lost = Finding(Priority.HIGH, "lost", {}, frozenset({"lost"}))
    return over_ten(scene, deadband) if scene.number(NAME) else lost


def test_losing_the_probe_makes_neither_emergency_nor_latch_go_away() -> None:
    kind = replace(
        KIND, find=over_ten_or_lost, deadlines={}, on_delays={"value": 3, "lost": 3}, latching=True
    )
    watched = Watched(kind)
    watched.look(0, 21)
    watched.look(3, 21)
    watched.look(4, 0)
    assert watched.look(7, 0) == ["raised"]
    assert watched.alarm.finding and watched.alarm.finding.cause == "lost"
    assert watched.alarm.priority is Priority.EMERGENCY
    assert not watched.alarm.can_be_shelved
    watched.look(8, 5)
    assert watched.look(18, 5) == ["returned"]
    list(watched.alarm.acknowledge(19, "Ada"))
    assert watched.alarm.state is State.LATCHED
    list(watched.alarm.reset(20, "Ada"))
    watched.look(21, 0)
    assert watched.look(24, 0) == ["raised"]
    assert str(watched.alarm.priority) == "high"  # what is over is over


def test_a_shelf_ends_at_the_latest_after_a_day() -> None:
    watched = Watched()
    assert [changed.change for changed in watched.alarm.shelve(0, "Ada", 1e9)] == ["shelved"]
    assert watched.alarm.due == LONGEST_SHELF
    assert watched.look(100, 11) == watched.look(LONGEST_SHELF - 1, 11) == []
    assert watched.look(LONGEST_SHELF, 11) == ["unshelved", "raised"]


def test_an_emergency_ends_its_shelf() -> None:
    watched = Watched()
    list(watched.alarm.shelve(0, "Ada", 3600))
    watched.look(1, 21)
    assert watched.look(4, 21) == ["unshelved", "raised"]
    assert watched.alarm.shelved_until is None
    assert list(watched.alarm.shelve(5, "Ada", 3600)) == []


def test_without_a_probe_it_is_out_of_service_until_one_comes() -> None:
    kind = replace(KIND, deadband=0.0, fitted_by=("vapour/methanol",))
    watched = Watched(kind)
    assert watched.look(0, 99) == ["removed"]
    assert watched.look(50, 99) == []
    watched.scene.fitted.add("vapour/methanol")
    assert watched.look(60, 99) == ["restored"]
    assert watched.look(63, 99) == ["raised"]


VALUES = st.lists(st.floats(min_value=0, max_value=30), min_size=1, max_size=80)


@given(VALUES)
def test_it_follows_the_value_whatever_it_does(values: list[float]) -> None:
    """Held against the rule in words, by an independent walk over the same values, one a second."""
    watched = Watched()
    changes: list[AlarmChanged] = []
    for now, value in enumerate(values):
        watched.scene.now, watched.scene.values[NAME] = float(now), value
        changes += watched.alarm.look(watched.scene)
    raised = [int(change.time) for change in changes if change.change == "raised"]
    for time in raised:
        assert min(values[time - 3 : time + 1]) > 8  # it was up for the whole delay, at least at the deadband
    for change in changes:
        if change.change == "returned":
            assert max(values[int(change.time) - 10 : int(change.time) + 1]) <= 10
    longest = 0
    for value in values:
        longest = longest + 1 if value > 10 else 0
        if longest > 3:
            assert raised


@pytest.mark.parametrize("every", [1.0, 10.0])
def test_asked_when_it_is_due_it_is_in_time_however_seldom_readings_come(every: float) -> None:
    watched, now, times = Watched(), 0.0, []
    while now < 100:
        while watched.alarm.due < now:
            due = watched.alarm.due
            times += [due for _ in watched.look(due, 11)]
        times += [now for _ in watched.look(now, 11)]
        now += every
    assert times == [3.0]
