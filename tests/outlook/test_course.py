"""The day's course out of the record: which days count, what fills a gap, how today leads into it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.outlook.air import COLDEST, DRIEST, HOTTEST, HOURS, MOST_COURSES, Hour
from drydown.outlook.course import by_days, hourly

FIRST = 1_767_290_400.0  # Unix s, 1 January 2026, 18:00 UTC
NOW = FIRST - 1200.0
DAY = 24


def known(hours: int, warmer_a_day: float = 0.0) -> dict[int, Hour]:
    """So many hours until the last full one; warm in the afternoon, each day before cooler by so many K."""
    return {
        -k: Hour(280.0 + 5.0 * math.sin(2 * math.pi * -k / DAY) - warmer_a_day * ((k - 1) // DAY), 0.7)
        for k in range(1, hours + 1)
    }


def test_readings_become_the_means_about_full_hours() -> None:
    warm = [(FIRST - 3600.0 + after, 280.0 + after / 600.0) for after in (-600.0, 0.0, 600.0, 1900.0)]
    damp = [(FIRST - 3600.0, 0.6), (FIRST - 7200.0, 0.9)]
    found = hourly(warm, damp, FIRST)
    assert found.keys() == {-1}
    assert found[-1] == pytest.approx((280.0, 0.6))


def test_less_than_a_day_is_no_course() -> None:
    assert by_days(known(22), FIRST, NOW) is None
    assert by_days({}, FIRST, NOW) is None


def test_a_day_repeats_itself() -> None:
    found = by_days(known(DAY + 1), FIRST, NOW)
    assert found
    assert found.days == (FIRST - 86_400.0,)
    assert found.air.first == 1200.0
    (course,) = found.air.courses
    assert len(course) == len(found.air.doubt) == HOURS
    for k in range(HOURS):
        assert course[k].temperature == pytest.approx(280.0 + 5.0 * math.sin(2 * math.pi * k / DAY))
    assert 0.0 < found.air.doubt[0] < found.air.doubt[-1] < 3.0


def test_each_day_begins_where_the_air_is_now_and_then_goes_its_own_way() -> None:
    """Three days, each 4 K cooler than the next; worked out by hand: what is off fades as exp(−h/6)."""
    found = by_days(known(3 * DAY + 1, warmer_a_day=4.0), FIRST, NOW)
    assert found
    assert len(found.days) == 3
    newest, oldest = found.air.courses[0], found.air.courses[2]
    assert newest[0].temperature - oldest[0].temperature == pytest.approx(8.0 * (1.0 - math.exp(-1 / 6)))
    assert newest[20].temperature - oldest[20].temperature == pytest.approx(8.0 * (1.0 - math.exp(-21 / 6)))


def test_a_short_gap_is_bridged_and_a_long_one_costs_the_day() -> None:
    hours = known(2 * DAY + 1)
    for at in (-30, -31):
        del hours[at]
    found = by_days(hours, FIRST, NOW)
    assert found
    assert len(found.days) == 2
    before, after = hours[-32].temperature, hours[-29].temperature
    assert found.air.courses[1][2 * DAY - 31].temperature == pytest.approx(before + (after - before) / 3)
    del hours[-32]
    found = by_days(hours, FIRST, NOW)
    assert found
    assert found.days == (FIRST - 86_400.0,)


def test_where_nothing_is_known_of_today_older_days_stand_for_themselves() -> None:
    hours = {at: hour for at, hour in known(3 * DAY + 1).items() if at < -DAY}
    found = by_days(hours, FIRST, NOW)
    assert found
    assert found.days == (FIRST - 2 * 86_400.0, FIRST - 3 * 86_400.0)
    assert found.air.courses[0][0].temperature == pytest.approx(hours[-2 * DAY].temperature)


airs = st.builds(Hour, st.floats(COLDEST, HOTTEST), st.floats(DRIEST, 1.0))


@given(st.lists(airs, min_size=1, max_size=30), st.sets(st.integers(-250, -1), max_size=15))
def test_whatever_was_recorded_the_air_can_be(seen: list[Hour], missing: set[int]) -> None:
    hours = {at: seen[at % len(seen)] for at in range(-250, 0) if at not in missing}
    found = by_days(hours, FIRST, NOW)
    if found is None:
        return
    assert 1 <= len(found.air.courses) == len(found.days) <= MOST_COURSES
    for course in found.air.courses:
        assert len(course) == HOURS
        assert all(COLDEST <= warm <= HOTTEST and DRIEST <= damp <= 1.0 for warm, damp in course)
