"""The catalogue holds together: deadlines can be kept, texts exist, probes are known."""

import pytest

from drydown.alarms.catalogue import ABSENT, KINDS, VITAL, Kind
from drydown.alarms.conditions import PARTS
from drydown.alarms.rates import WINDOW
from drydown.commands import Part
from drydown.effects import Priority
from drydown.quantities import MEASURED
from drydown.texts.alarms import NOT_WATCHED, SHEETS


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_delays_leave_time_to_keep_the_deadline(kind: Kind) -> None:
    assert kind.on_delays.keys() == kind.deadlines.keys()
    for cause, deadline in kind.deadlines.items():
        lag = (
            WINDOW * 2 / 3 if cause == "rate" else 0.0
        )  # a steady rise is seen when most of the window shows it
        assert kind.on_delays[cause] + lag <= deadline, cause
    assert kind.off_delay > 0


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_cause_has_its_sheet_and_every_unwatched_alarm_a_word(kind: Kind) -> None:
    assert all((kind.name, cause) in SHEETS for cause in kind.deadlines)
    assert (kind.name in NOT_WATCHED) == bool(kind.fitted_by)


def test_nothing_in_the_texts_belongs_to_no_alarm() -> None:
    assert {(kind.name, cause) for kind in KINDS for cause in kind.deadlines} == set(SHEETS)


def test_deadlines_are_those_that_were_promised() -> None:
    promised = {
        ("vent-closed", "value"): 5,
        ("vapour-high", "value"): 5,
        ("vapour-high", "estimate"): 60,
        ("fuel-hot", "value"): 5,
        ("fuel-hot", "rate"): 60,
        ("blower-hot", "value"): 5,
        ("blower-hot", "rate"): 60,
        ("blower-overrun", "value"): 5,
        ("probe-fault", "lost"): 30,
        ("watch-degraded", Part.BROKER): 60,
    }
    found = {(kind.name, cause): within for kind in KINDS for cause, within in kind.deadlines.items()}
    assert found | promised == found


def test_names_of_readings_exist() -> None:
    for kind in KINDS:
        assert {*kind.fitted_by, *kind.depends_on} <= MEASURED.keys()
    assert {"fuel/temperature", "vent/open", "blower/running"} <= VITAL
    assert "air/humidity" not in VITAL
    assert ABSENT < 30


def test_every_part_has_a_priority_and_none_is_an_emergency() -> None:
    assert PARTS.keys() == set(Part)
    assert Priority.EMERGENCY not in PARTS.values()
