"""The life of an alarm: the table, and what no path through it may do."""

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from drydown.alarms.lifecycle import (
    ENDING,
    LATCHING,
    TRANSITIONS,
    UNASKING,
    Event,
    Life,
    State,
    diagram,
)
from drydown.effects import Change

QUIET = (State.SHELVED, State.SUPPRESSED, State.OUT_OF_SERVICE)


@pytest.mark.parametrize(
    ("events", "state"),
    [
        # The paths of the alarm state transition diagram of IEC 62682 / ANSI/ISA-18.2, from memory.
        ([Event.ACKNOWLEDGE, Event.RETURN], State.NORMAL),
        ([Event.RETURN], State.RETURNED),
        ([Event.RETURN, Event.ACKNOWLEDGE], State.NORMAL),
        ([Event.ACKNOWLEDGE], State.ACKNOWLEDGED),
        ([Event.SHELVE], State.SHELVED),
        ([Event.SHELVE, Event.UNSHELVE], State.UNACKNOWLEDGED),
        ([Event.SHELVE, Event.RETURN, Event.UNSHELVE], State.NORMAL),
        ([Event.SUPPRESS], State.SUPPRESSED),
        ([Event.SUPPRESS, Event.UNSUPPRESS], State.UNACKNOWLEDGED),
    ],
)
def test_paths_of_the_standard(events: list[Event], state: State) -> None:
    life = Life()
    assert life.rise(emergency=False) == [Change.RAISED]
    for event in events:
        life.happen(event)
    assert life.state is state


@pytest.mark.parametrize("events", [[Event.ACKNOWLEDGE, Event.RETURN], [Event.RETURN, Event.ACKNOWLEDGE]])
def test_a_latching_alarm_waits_to_be_reset(events: list[Event]) -> None:
    life = Life()
    life.rise(emergency=True, latching=True)
    for event in events:
        life.happen(event)
    assert str(life.state) == "latched"
    assert life.happen(Event.ACKNOWLEDGE) == []
    assert life.happen(Event.RESET) == [Change.RESET]
    assert str(life.state) == "normal"


@pytest.mark.parametrize(
    ("begin", "end"), [(Event.SHELVE, Event.UNSHELVE), (Event.SUPPRESS, Event.UNSUPPRESS)]
)
def test_quiet_drops_no_latch_and_makes_none(begin: Event, end: Event) -> None:
    life = Life()
    life.rise(emergency=False, latching=True)
    for event in (Event.RETURN, Event.ACKNOWLEDGE, begin, end):
        life.happen(event)
    assert life.state is State.LATCHED
    for event in (Event.RESET, begin, end):
        life.happen(event)
    assert str(life.state) == "normal"


def test_an_alarm_that_gets_worse_has_to_be_acknowledged_again() -> None:
    life = Life()
    life.rise(emergency=False)
    life.happen(Event.ACKNOWLEDGE)
    assert life.rise(emergency=True) == [Change.RAISED]
    assert life.state is State.UNACKNOWLEDGED


def test_an_emergency_breaks_through_a_shelf() -> None:
    life = Life()
    life.rise(emergency=False)
    life.happen(Event.SHELVE)
    assert life.rise(emergency=True) == [Change.UNSHELVED, Change.RAISED]


def test_what_is_always_an_emergency_is_never_shelved() -> None:
    assert Life(shelvable=False).happen(Event.SHELVE) == []


def test_a_low_alarm_that_is_over_asks_for_nothing() -> None:
    life = Life()
    life.rise(emergency=False)
    life.asks = False
    assert life.happen(Event.RETURN) == [Change.RETURNED]
    assert life.state is State.NORMAL


def test_every_state_can_be_reached_and_left() -> None:
    reached = {after for after, _ in TRANSITIONS.values()} | set(LATCHING.values())
    assert reached == set(State)
    assert {state for state, _ in TRANSITIONS} == set(State)


def test_the_diagram_draws_every_transition() -> None:
    drawn = diagram()
    assert drawn.startswith("stateDiagram-v2")
    assert drawn.count("-->") == 1 + len(TRANSITIONS) + len(LATCHING) + len(UNASKING)
    assert "unacknowledged --> acknowledged: acknowledge" in drawn


class AnyLife(RuleBasedStateMachine):
    """Random events in random order; the model remembers what a person would."""

    @initialize(latching=st.booleans(), shelvable=st.booleans())
    def begin(self, latching: bool, shelvable: bool) -> None:
        self.life = Life(shelvable=shelvable)
        self.latching, self.shelvable = latching, shelvable
        self.unseen_emergency = False

    @rule(emergency=st.booleans())
    def rise(self, emergency: bool) -> None:
        emergency = emergency or not self.shelvable
        was = self.life.state
        changes = self.life.rise(emergency=emergency, latching=self.latching)
        out = was is State.OUT_OF_SERVICE
        assert (Change.RAISED in changes) == (not out and (emergency or was not in QUIET))
        self.unseen_emergency = emergency and not out

    @rule(event=st.sampled_from([event for event in Event if event is not Event.RAISE]))
    def happen(self, event: Event) -> None:
        was = self.life.state
        changes = self.life.happen(event)
        if event is Event.ACKNOWLEDGE:
            self.unseen_emergency = False
        if was in QUIET and event is ENDING[was]:
            at_rest = State.LATCHED if self.life.latching else State.NORMAL
            assert self.life.state is (State.UNACKNOWLEDGED if self.life.standing else at_rest)
            self.unseen_emergency = self.life.standing and self.life.emergency
        if event is Event.RETURN and was in QUIET:
            assert changes == []

    @invariant()
    def no_unacknowledged_emergency_is_lost(self) -> None:
        if self.unseen_emergency:
            assert self.life.state in (State.UNACKNOWLEDGED, State.RETURNED)

    @invariant()
    def normal_means_that_nothing_is_wrong(self) -> None:
        if self.life.state in (State.NORMAL, State.RETURNED, State.LATCHED):
            assert not self.life.standing
        if self.life.state in (State.UNACKNOWLEDGED, State.ACKNOWLEDGED):
            assert self.life.standing

    @invariant()
    def quiet_always_ends(self) -> None:
        if self.life.state in QUIET:
            assert (self.life.state, ENDING[self.life.state]) in TRANSITIONS


AnyLife.TestCase.settings = settings(max_examples=200, stateful_step_count=40)
TestAnyLife = AnyLife.TestCase
