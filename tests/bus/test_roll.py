"""Who is waited for: by live words alone, through restarts, and not for ever."""

from hypothesis import given
from hypothesis import strategies as st

from drydown.bus.roll import DAY, HOUR, Roll


def test_a_recorder_that_is_silent_for_too_long_is_told_of_and_then_given_up() -> None:
    roll = Roll({}, days=30)
    assert roll.hear("store", is_live=True)
    assert roll.wait(HOUR - 1) == frozenset()
    assert roll.trouble == ""
    roll.wait(4 * HOUR + 1)
    assert "the recorder store was not heard for 5 h" in roll.trouble
    assert "after 30 days of silence" in roll.trouble
    assert roll.wait(30 * DAY) == {"store"}
    assert roll.awaited == frozenset()
    assert roll.trouble == ""


def test_what_the_broker_retained_is_no_sign_of_life() -> None:
    roll = Roll({}, days=2)
    assert roll.hear("store", is_live=False)  # but it is one more to wait for
    roll.wait(DAY)
    assert roll.hear("store", is_live=False)
    assert roll.wait(DAY) == {"store"}
    assert not roll.hear("store", is_live=False)
    assert roll.hear("store", is_live=True)
    assert roll.awaited == {"store"}


def test_one_that_was_taken_off_the_broker_is_forgotten_at_once() -> None:
    roll = Roll({"gone": 3, "store": 0}, days=30)
    roll.strike("gone")
    roll.strike("never known")
    assert roll.hours == {"store": 0}


@given(st.lists(st.floats(0, 2 * DAY), max_size=30))
def test_restarts_delay_the_giving_up_by_an_hour_each_at_most(stretches: list[float]) -> None:
    roll = Roll({"store": 0}, days=10)
    for stretch in stretches:
        roll.wait(stretch)
        roll = Roll(roll.hours, days=10)
    if "store" in roll.awaited:
        assert sum(stretches) < 10 * DAY + HOUR * (len(stretches) + 1)
    else:
        assert sum(stretches) >= 10 * DAY - 1
