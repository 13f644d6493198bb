"""How old a happening is: by the boot clock within a start of the board, never news by a doubtful clock."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.clock import UNKNOWN_BOOT, Moment
from drydown.notices.age import age, counted_age
from drydown.notices.turn import EXPIRES, FRESH

DAY = 86_400.0
NOON = 1_789_200_000.0  # Unix s

uptimes = st.floats(0.0, 400 * DAY)
walls = st.floats(0.0, 4e9)


@given(walls, walls, uptimes, st.floats(0.0, 30 * DAY), st.booleans(), st.booleans())
def test_within_one_start_no_wall_clock_matters(
    then: float, now: float, uptime: float, passed: float, kept: bool, kept_now: bool
) -> None:
    happened = Moment("one", uptime, then, kept)
    assert age(happened, Moment("one", uptime + passed, now, kept_now)) == pytest.approx(passed, abs=1e-6)


@given(walls, walls, uptimes, uptimes, st.booleans(), st.booleans())
def test_what_is_of_an_earlier_start_is_as_old_as_the_present_one_at_least(
    then: float, now: float, uptime: float, uptime_now: float, kept: bool, kept_now: bool
) -> None:
    found = age(Moment("one", uptime, then, kept), Moment("two", uptime_now, now, kept_now))
    assert found >= uptime_now
    assert found > FRESH or (kept and kept_now and found == now - then)


@pytest.mark.parametrize(
    ("passed", "kept", "uptime", "kept_now", "least", "most"),
    [
        (120.0, True, 40.0, True, 120.0, 120.0),  # a quick restart with a clock that runs on: news still
        (120.0, True, 40.0, False, FRESH, 2 * FRESH),  # nobody has set the clock yet
        (120.0, False, 40.0, True, FRESH, 2 * FRESH),  # nobody had set it then
        (-DAY, True, 40.0, True, FRESH, 2 * FRESH),  # it is behind all the same
        (20.0, True, 40.0, True, FRESH, 2 * FRESH),  # since before the start: it can't be
        (-DAY, True, 2 * DAY, False, 2 * DAY, 2 * DAY),
        (2 * DAY, True, 40.0, True, 2 * DAY, 2 * DAY),
        (30 * DAY, True, 40.0, True, 30 * DAY, 30 * DAY),
        (600 * DAY, False, 40.0, True, FRESH, EXPIRES),  # a clock that was never set makes nobody forget it
    ],
)
def test_of_an_earlier_start(
    passed: float, kept: bool, uptime: float, kept_now: bool, least: float, most: float
) -> None:
    happened = Moment("one", 5000.0, NOON, kept)
    assert least <= age(happened, Moment("two", uptime, NOON + passed, kept_now)) <= most


@pytest.mark.parametrize(("boot", "uptime"), [(UNKNOWN_BOOT, 10.0), ("one", 5000.0)])
def test_a_start_without_a_name_or_with_a_count_that_went_back_is_another(boot: str, uptime: float) -> None:
    happened = Moment(boot, uptime, NOON, False)
    assert age(happened, Moment(boot, 40.0, NOON, False)) > FRESH


@pytest.mark.parametrize(
    ("happened", "kept", "least", "most"),
    [
        (30.0, False, 10.0, 10.0),
        (-20.0, True, 60.0, 60.0),
        (-20.0, False, FRESH, 2 * FRESH),
        (DAY, True, FRESH, 2 * FRESH),  # a clock that is behind puts it after now
        (-300 * DAY, False, FRESH, EXPIRES),
    ],
)
def test_counted_from_the_start_of_the_board(happened: float, kept: bool, least: float, most: float) -> None:
    assert least <= counted_age(happened, 40.0, kept) <= most
