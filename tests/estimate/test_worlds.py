"""Ranges carried through arithmetic, against what log-normal arithmetic says in closed form."""

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.estimate.result import Spread
from drydown.estimate.worlds import Source, least, spread_of, worlds

ranges = st.tuples(st.floats(0.0, 1e6), st.floats(0.0, 1e6), st.floats(0.0, 1e6)).map(
    lambda ends: Spread(sorted(ends)[1], min(ends), max(ends))
)


@pytest.mark.parametrize("source", Source)
@pytest.mark.parametrize("told", [Spread(1.0, 0.5, 2.0), Spread(3e-4, 1e-5, 4e-4), Spread(0.0, 0.0, 1.0)])
def test_a_range_comes_back_as_it_was(source: Source, told: Spread) -> None:
    back = spread_of(worlds(told, source))
    assert back.median == told.median
    assert (back.low, back.high) == pytest.approx((told.low, told.high), rel=0.001)


@pytest.mark.parametrize(("one", "other"), list(combinations(Source, 2)))
def test_independent_factors_add_in_squares(one: Source, other: Source) -> None:
    """The product of log-normals is log-normal; the variances of the logarithms add up (any textbook)."""
    product = worlds(Spread(1.0, 0.5, 2.0), one) * worlds(Spread(10.0, 10 / 1.5, 15.0), other)
    told, wide = spread_of(product), math.hypot(math.log(2.0), math.log(1.5))
    assert told.median == pytest.approx(10.0, rel=0.1)
    assert math.log(told.high / 10.0) == pytest.approx(wide, rel=0.1)
    assert math.log(10.0 / told.low) == pytest.approx(wide, rel=0.1)


def test_what_is_sure_stays_sure() -> None:
    assert spread_of(worlds(Spread(2.0, 2.0, 2.0), Source.FLOW)) == Spread(2.0, 2.0, 2.0)


def test_what_is_reached_two_times_in_three() -> None:
    """A third of a normal lies more than 0.4307 σ below its middle (table of the normal distribution)."""
    sigma = math.log(2.0) / 1.6449
    found = least(worlds(Spread(1.0, 0.5, 2.0), Source.EMISSION), 2 / 3)
    assert found == pytest.approx(math.exp(-0.4307 * sigma), rel=0.005)


@given(ranges, st.sampled_from(Source))
def test_ranges_stay_in_order_and_finite(told: Spread, source: Source) -> None:
    values = worlds(told, source)
    assert np.isfinite(values).all()
    assert (values >= 0.0).all()
    back = spread_of(values)
    assert back.low <= back.median <= back.high
