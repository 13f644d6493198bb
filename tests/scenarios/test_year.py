"""Some weeks of the year that `year_false_alarms` measures whole: no false alarm, and few of any kind."""

import pytest

from support.year import Week, week

SEEDS = (105, 112, 150, 207)


@pytest.fixture(scope="module")
def weeks() -> list[Week]:
    return [week(seed) for seed in SEEDS]


def test_no_high_or_emergency_alarm_is_false(weeks: list[Week]) -> None:
    assert [(one.seed, alarm.alarm, alarm.cause) for one in weeks for alarm in one.false] == []


def test_alarms_of_any_kind_are_few(weeks: list[Week]) -> None:
    """At most two a run on average, in the spirit of EEMUA 191 (from memory)."""
    raised = [len(one.raised) for one in weeks]
    assert 0 < sum(raised) <= 2 * len(weeks)
