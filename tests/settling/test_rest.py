"""When fuel has rested: by Stokes where it can be reckoned, from two hours to a week, else after a day."""

import pytest
from fluids.drag import v_terminal
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.physics import fuel, settling
from drydown.physics.plain import FEEDSTOCKS
from drydown.settling.fall import fall_of
from drydown.settling.rest import DAY, LEAST, MOST, Rest
from support.boathouse import resting

HOUR, ZERO, MINUTE = 3600.0, 273.15, 60.0
SURFACE, STANDPIPE = 0.60, 0.152


def still(celsius: float, drop: float = 15e-6) -> Rest:
    rest = resting(drop)
    rest.feel(0.0, celsius + ZERO)
    rest.see(0.0, SURFACE)
    rest.begin(0.0)
    return rest


def ended(rest: Rest) -> float:
    """When it is over, to the minute, s."""
    return next(i * MINUTE for i in range(round(MOST / MINUTE) + 1) if rest.is_over(i * MINUTE))


def test_it_is_over_when_the_drag_curve_of_others_says_so() -> None:
    # fluids: terminal velocity by the drag curve of Clift, over all Reynolds numbers
    oil, kelvin = fuel.FEEDSTOCKS["used-cooking-oil"], 25.0 + ZERO
    density = float(fuel.density(kelvin, oil.density))
    viscosity = float(fuel.dynamic_viscosity(kelvin, oil.density, oil.viscosity))
    speed = v_terminal(D=15e-6, rhop=settling.GLYCEROL_DENSITY, rho=density, mu=viscosity, Method="Clift")
    rest = still(25.0)
    assert ended(rest) == pytest.approx((SURFACE - STANDPIPE) / float(speed), rel=0.01)
    assert rest.settled(ended(rest)) == 15e-6
    assert rest.settled(HOUR) is None


def test_it_lasts_two_hours_at_the_least_and_a_week_at_the_most() -> None:
    assert ended(still(40.0, drop=100e-6)) == LEAST
    cold = still(0.0, drop=5e-6)
    assert ended(cold) == MOST
    assert cold.settled(MOST) is None


def test_where_nothing_can_be_reckoned_a_day_is_left() -> None:
    unfelt, unseen, low = resting(), resting(), resting()
    unfelt.see(0.0, SURFACE)
    unseen.feel(0.0, 298.15)
    low.feel(0.0, 298.15)
    low.see(0.0, STANDPIPE - 0.01)
    for rest in (unfelt, unseen, low):
        assert not rest.is_over(DAY)
        rest.begin(0.0)
        assert ended(rest) == DAY
        assert rest.settled(DAY) is None


def test_stirring_and_what_comes_in_begin_it_anew() -> None:
    rest = still(25.0)
    end = ended(rest)
    rest.begin(HOUR)
    assert ended(rest) == pytest.approx(end + HOUR, abs=MINUTE)
    rest.begin(0.5 * HOUR)  # what is older than it is nothing new
    assert rest.length(2 * HOUR) == HOUR
    rest.end()
    assert not rest.is_over(MOST)


@settings(max_examples=30)
@given(st.lists(st.floats(ZERO, ZERO + 60.0), min_size=2, max_size=30), st.floats(MINUTE, HOUR))
def test_the_page_and_the_core_agree(kelvins: list[float], step: float) -> None:
    warmth = [(i * step, kelvin) for i, kelvin in enumerate(kelvins)]
    end = len(kelvins) * step
    fall = fall_of(0.0, end, warmth, FEEDSTOCKS["used-cooking-oil"], (SURFACE, STANDPIPE))
    smallest = fall.smallest(fall.height)
    assert smallest is not None
    for share, is_down in ((0.999, False), (1.001, True)):
        rest = resting(smallest.median * share)
        rest.begin(0.0)
        rest.see(0.0, SURFACE)
        for time, kelvin in warmth:
            rest.feel(time, kelvin)
        assert (rest.settled(end) is not None) is is_down


def test_a_gap_counts_with_what_was_last_known() -> None:
    gap, whole = still(25.0), still(25.0)
    for minute in range(600):
        whole.feel(minute * MINUTE, 25.0 + ZERO)
    assert ended(gap) == ended(whole)
    whole.feel(10 * HOUR, 10.0 + ZERO)
    assert ended(whole) > ended(gap)


def test_a_level_that_flickers_moves_the_end_little() -> None:
    calm, rough = still(25.0), still(25.0)
    for second in range(0, 14 * 3600, 30):
        rough.see(float(second), SURFACE + (0.01 if second % 60 else -0.01))
    assert ended(rough) == pytest.approx(ended(calm), rel=0.003)
