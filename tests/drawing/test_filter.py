"""What the filter's element has let through since it was changed, and how its flow fades."""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.drawing.draws import Draw
from drydown.drawing.filter import Element, Reason, compared, element
from drydown.estimate.result import Spread
from support.drawn import DRUM, STANDPIPE, drawn


def faded(shares: Sequence[float]) -> Element:
    draws = [drawn(1000.0 * i, 0.8, 0.6, -0.3, 3e-4 * share) for i, share in enumerate(shares)]
    return element(DRUM, STANDPIPE, draws, *compared(draws, 0.0))


def test_a_new_element_need_not_be_changed() -> None:
    found = faded((1.0, 0.98))
    assert (found.reasons, found.may_have_faded) == ((), False)
    assert found.drawn == pytest.approx(2 * 0.0565, rel=0.01)  # two falls of 0.2 m in a drum of 0.60 m
    assert found.draws == 2


def test_one_that_lets_less_than_three_fifths_through_should() -> None:
    assert faded((1.0, 1.0, 0.9, 0.6, 0.5, 0.5)).reasons == (Reason.FADED,)


def test_in_between_it_says_that_it_may() -> None:
    assert faded((1.0, 1.0, 0.65, 0.65)).may_have_faded


def test_many_litres_are_a_reason_by_themselves() -> None:
    assert Element(1.2, 3600.0, 30, None).reasons == (Reason.LITRES,)
    assert Element(0.0, 0.0, 0, None).reasons == ()


@given(st.lists(st.floats(0.0, 0.02), max_size=12))
def test_no_draw_is_compared_with_itself(volumes: list[float]) -> None:
    draws = [Draw(float(i), float(i) + 0.5, volume) for i, volume in enumerate(volumes)]
    first, last = compared(draws, 0.0)
    assert len(first) == len(last) <= 3
    assert not {one.start for one in first} & {one.start for one in last}
    assert all(one.end <= other.start for one in first for other in last)


def test_draws_from_before_the_levels_were_thinned_are_left_out() -> None:
    draws = [Draw(float(i), float(i) + 0.5, 0.02) for i in range(5)]
    assert compared(draws, 2.5) == ([draws[3]], [draws[4]])
    assert compared(draws, 4.0) == ([], [])


def test_draws_whose_levels_are_lost_leave_it_open() -> None:
    draws = [Draw(0.0, 60.0, 0.02), Draw(100.0, 160.0, 0.02)]
    assert element(DRUM, STANDPIPE, draws, *compared(draws, 0.0)).left is None


def test_what_is_left_is_a_share_with_its_range() -> None:
    left = faded((1.0, 1.0, 1.0, 0.8, 0.8, 0.8)).left
    assert isinstance(left, Spread)
    assert left.low < 0.8 < left.high
    assert left.high - left.low < 0.2
