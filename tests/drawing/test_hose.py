"""What draws tell together: times with ranges that hold the truth, pauses left out, a filter that fades."""

from math import sqrt
from random import Random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from drydown.drawing.draws import Draw, draw_of
from drydown.drawing.hose import Hose
from support.drawn import AREA, DRUM, STANDPIPE, drawn, falling

K, OUTLET = 3e-4, -0.35  # m^2.5/s, m: some 18 L a minute from a full drum


@pytest.fixture(scope="module")
def hose() -> Hose:
    draws = [drawn(1000.0 * i, 0.8 - 0.1 * i, 0.7 - 0.1 * i, OUTLET, K) for i in range(4)]
    return Hose(DRUM, STANDPIPE, draws)


def test_flow_and_time_hold_the_truth(hose: Hose) -> None:
    flow = hose.flow(0.6)
    assert flow.low < K * sqrt(0.6 - OUTLET) < flow.high
    time = hose.time(0.8, STANDPIPE)
    truth = 2.0 * AREA * (sqrt(0.8 - OUTLET) - sqrt(STANDPIPE - OUTLET)) / K
    assert time.low < truth < time.high < 1.3 * time.low


@given(st.floats(0.16, 0.85), st.floats(0.0, 0.7), st.floats(0.001, 0.1))
@example(0.16, 1e-17, 0.001)
def test_more_litres_take_longer(level: float, fall: float, more: float) -> None:
    less = HOSE.time(level, max(level - fall, 0.152))
    longer = HOSE.time(level, max(level - fall - more, 0.152))
    assert less.low <= less.median <= less.high
    assert less.median <= longer.median


HOSE = Hose(DRUM, STANDPIPE, [drawn(5.0, 0.8, 0.3, OUTLET, K)])


def test_of_many_made_draws_nine_in_ten_lie_in_the_range() -> None:
    dice, inside = Random("drawn at random"), 0
    for i in range(30):
        outlet, k = dice.uniform(-1.1, 0.1), dice.uniform(1e-4, 5e-4)
        draws = [
            drawn(10_000.0 * i + 1000.0 * n, 0.75, 0.55, outlet, k * dice.gauss(1.0, 0.05)) for n in range(3)
        ]
        flow = Hose(DRUM, STANDPIPE, draws).flow(0.4)
        inside += flow.low < k * sqrt(0.4 - outlet) < flow.high
    assert inside >= 26


def test_a_can_that_is_put_away_makes_the_flow_no_smaller() -> None:
    whole = [(t, h) for t, h in falling(0.8, 0.5, OUTLET, K, 0.001, Random("cans"))]
    halves = [(t, h) for t, h in whole if t < 100.0]
    put_away = [(100.0 + 2.0 * i, halves[-1][1]) for i in range(25)]
    broken = halves + put_away + [(t + 50.0, h) for t, h in whole if t >= 100.0]
    first = Hose(DRUM, STANDPIPE, [draw_of(0.0, whole[-1][0], 0.08, whole)]).flow(0.6)
    second = Hose(DRUM, STANDPIPE, [draw_of(0.0, broken[-1][0], 0.08, broken)]).flow(0.6)
    assert second.median == pytest.approx(first.median, rel=0.06)


def test_a_filter_that_lets_half_through() -> None:
    draws = [
        drawn(1000.0 * i, 0.8, 0.6, OUTLET, K * share) for i, share in enumerate((1, 1, 1, 0.5, 0.5, 0.5))
    ]
    left = Hose(DRUM, STANDPIPE, draws).left(3, 3)
    assert left is not None
    assert left.low < 0.5 < left.high < 0.6
    assert Hose(DRUM, STANDPIPE, draws[:1]).left(1, 1) is None


def test_what_tells_nothing_is_said_to() -> None:
    little = draw_of(0.0, 20.0, 0.004, [(0.0, 0.5), (20.0, 0.49)])
    assert little == Draw(0.0, 20.0, 0.004)
    assert draw_of(0.0, 60.0, 0.02, []).points == ()
    with pytest.raises(ValueError, match="no draw tells"):
        Hose(DRUM, STANDPIPE, [little])
