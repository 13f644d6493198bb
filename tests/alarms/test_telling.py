"""Somebody is told of every cause once, and of its end."""

from dataclasses import replace

from drydown.alarms.telling import Telling
from drydown.effects import AlarmChanged, Change, Priority

HOT = AlarmChanged(5.0, "fuel-hot", Priority.EMERGENCY, Change.RAISED, "value", {"temperature": 335.0})
LOST = replace(HOT, time=9.0, cause="lost", values={"reason": "away"})
OVER = replace(HOT, time=99.0, change=Change.RETURNED)


def test_what_is_urgent_is_told_when_it_comes_and_when_it_is_over() -> None:
    telling = Telling()
    raised, returned = telling.notice(HOT), telling.notice(OVER)
    assert raised is not None and returned is not None
    assert (raised.key, returned.key) == ("alarm/fuel-hot/raised/5.000", "alarm/fuel-hot/returned/99.000")
    assert raised.values == {"alarm": "fuel-hot", "change": "raised", "cause": "value", "temperature": 335.0}
    assert telling.notice(OVER) is None


def test_low_alarms_and_other_changes_are_not_told() -> None:
    telling = Telling()
    assert telling.notice(replace(HOT, priority=Priority.LOW)) is None
    assert telling.notice(replace(HOT, change=Change.ACKNOWLEDGED)) is None
    assert telling.notice(OVER) is None


def test_what_a_probe_fault_tells_is_not_told_twice_and_neither_is_its_end() -> None:
    telling = Telling()
    assert telling.notice(LOST) is None
    assert telling.notice(replace(OVER, cause="lost")) is None
    assert telling.notice(replace(LOST, alarm="probe-fault")) is not None


def test_the_end_of_what_was_told_is_told_though_the_probe_was_lost_meanwhile() -> None:
    telling = Telling()
    assert telling.notice(HOT) is not None
    assert telling.notice(LOST) is None
    assert telling.notice(replace(OVER, cause="lost")) is not None


def test_a_vent_that_nobody_knows_to_be_open_does_not_wait_for_the_probe_fault() -> None:
    assert Telling().notice(replace(LOST, alarm="vent-closed")) is not None
