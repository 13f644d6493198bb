"""The catalogue holds together: deadlines can be kept, texts exist, probes are known."""

import pytest

from drydown.alarms.catalogue import ABSENT, KINDS, Kind, dependents
from drydown.alarms.conditions import PARTS
from drydown.alarms.rates import WINDOW
from drydown.commands import Part
from drydown.effects import Priority
from drydown.quantities import MEASURED
from drydown.texts.alarms import NOT_WATCHED
from drydown.texts.sheets import SHEETS


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
        ("probe-fault", "board"): 5,
        ("level-falling", "rate"): 180,
        ("level-falling", "bubbling"): 300,
        ("level-high", "value"): 5,
        ("level-high", "foam"): 5,
        ("keep-out", "value"): 60,
        ("keep-out", "estimate"): 60,
        ("blower-weak", "estimate"): 300,
        ("air-damp", "estimate"): 900,
        ("watch-degraded", Part.BROKER): 60,
    }
    found = {(kind.name, cause): within for kind in KINDS for cause, within in kind.deadlines.items()}
    assert found | promised == found


def test_names_of_readings_exist() -> None:
    for kind in KINDS:
        assert {*kind.fitted_by, *kind.depends_on, *kind.worked_out_from} <= MEASURED.keys()
    assert ABSENT < 30


def test_every_part_has_a_priority_and_none_is_an_emergency() -> None:
    assert PARTS.keys() == set(Part)
    assert Priority.EMERGENCY not in PARTS.values()


def test_which_alarms_depend_on_a_reading_goes_by_what_is_fitted() -> None:
    least = dependents({"fuel/temperature", "fuel/level", "blower/running"})
    assert least["vapour-high"] == {"fuel/temperature", "blower/running"}
    assert least["vent-closed"] == least["blower-hot"] == frozenset()
    assert least["fuel-hot"] == {"fuel/temperature"}
    every = dependents(MEASURED.keys())
    assert every["vapour-high"] == {"vapour/methanol"}
    assert every["vent-closed"] == {"vent/open", "blower/running"}
    assert not any("air/humidity" in needs for needs in every.values())
