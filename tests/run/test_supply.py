"""The relay: an alarm takes the blower's supply away, and only a person gives it back."""

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.alarms.lifecycle import Refusal
from drydown.commands import Acknowledge, RestoreSupply
from drydown.config.model import Tank
from drydown.core import Core
from drydown.effects import AlarmChanged, Change, NoticeDue, Priority, SupplyChanged
from drydown.lines import effect_of, line_of
from drydown.run.supply import Supply
from support.boathouse import AIRY, CELSIUS, at_rest, heron
from support.story import Climbs, Fails, Story

KINDS = (AlarmChanged, NoticeDue, SupplyChanged)


def with_relay(*alarms: str) -> Tank:
    return heron(room=AIRY, relay={"gpio": 24, "cuts_on": alarms})


def bubbling(tank: Tank) -> Story:
    story = Story(tank, at_rest(vent__open=True, fuel__temperature=Climbs(25 + CELSIUS, -0.002)))
    story.at(20, {"blower/running": True})
    return story


def cut_by_the_vent(tank: Tank, lost: bool = False) -> Story:
    story = bubbling(tank)
    story.at(100, {"vent/open": Fails() if lost else False})
    story.want("vent-closed raised", 100, 105)
    story.want("notice vent-closed raised", 100, 105)
    return story


@pytest.mark.parametrize("lost", [False, True])
def test_it_cuts_on_what_it_is_told_to_whether_the_vent_is_closed_or_cannot_be_told(lost: bool) -> None:
    story = cut_by_the_vent(with_relay("vent-closed"), lost)
    story.want("supply cut", 100, 105)
    story.want("notice supply-cut", 100, 105)
    core = story.play(115, KINDS)
    assert core.supply.cut


def test_it_does_nothing_on_other_alarms_and_nothing_where_none_is_configured() -> None:
    for tank in (with_relay("blower-hot"), heron()):
        assert cut_by_the_vent(tank).play(115, KINDS).supply.cut is None


def test_nothing_but_a_person_gives_it_back_and_not_while_the_alarm_stands() -> None:
    story = cut_by_the_vent(with_relay("vent-closed"))
    story.want("supply cut", 100, 105)
    story.want("notice supply-cut", 100, 105)
    story.do(104, Acknowledge("vent-closed", "Wren"))
    story.want("vent-closed acknowledged", 104, 105)
    story.do(105, RestoreSupply("Wren"))  # in vain
    story.at(106, {"blower/running": False, "vent/open": True})
    story.want("vent-closed returned", 106, 125)
    story.want("notice vent-closed returned", 106, 125)
    story.do(180, RestoreSupply("Wren"))
    story.want("supply given back", 180, 181)
    assert story.play(200, KINDS).supply.cut is None


def test_a_fresh_core_knows_that_it_is_cut() -> None:
    tank = with_relay("vent-closed")
    story = cut_by_the_vent(tank)
    story.want("supply cut", 100, 105)
    story.want("notice supply-cut", 100, 105)
    core = story.play(110, KINDS)
    after_restart, after_failure = Core(tank), Core(tank)
    after_restart.recall(core.kept())
    after_failure.go_on_from(core)
    assert after_restart.supply.cut == after_failure.supply.cut == core.supply.cut
    without = Core(heron())
    without.recall(core.kept())
    assert without.supply.cut is None


def test_it_survives_its_way_as_a_line() -> None:
    effect = SupplyChanged(1234.5, True, "fuel-hot", "drydown")
    assert effect_of(line_of(effect, lambda time: time + 1e9), lambda time: time - 1e9) == effect


changes = st.builds(
    AlarmChanged,
    time=st.floats(0, 1e6),
    alarm=st.sampled_from(["fuel-hot", "blower-hot", "vent-closed", "probe-fault"]),
    priority=st.sampled_from(list(Priority)),
    change=st.sampled_from(list(Change)),
    cause=st.just("value"),
)


@given(st.lists(st.one_of(changes, st.booleans()), max_size=30))
def test_once_cut_it_stays_cut_until_somebody_gives_it_back(happenings: list[AlarmChanged | bool]) -> None:
    supply, expected = Supply(["fuel-hot", "vent-closed"]), False
    for one in happenings:
        effects: Iterator[object]
        if isinstance(one, bool):
            standing = ["fuel-hot"] if one else ["probe-fault"]
            refusal = supply.refusal(standing)
            effects = supply.give_back(0.0, "Wren", standing)
            assert bool(list(effects)) is (refusal is None)
            assert (refusal is Refusal.NOT_CUT) is not expected
            expected = expected and one
        else:
            list(supply.look(one))
            expected |= one.change is Change.RAISED and one.alarm in ("fuel-hot", "vent-closed")
        assert (supply.cut is not None) is expected
