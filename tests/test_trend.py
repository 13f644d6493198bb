"""Trends against a certified data set, against numpy, and against chance."""

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.trend import line_through, student

# Norris, NIST Statistical Reference Datasets (StRD), linear regression, lower level of difficulty: x and y
NORRIS_X = [0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5,
            666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2,
            999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5]  # fmt: skip
NORRIS_Y = [0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1,
            668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0,
            998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2]  # fmt: skip


def test_the_certified_line_of_nist() -> None:
    line = line_through(list(zip(NORRIS_X, NORRIS_Y, strict=True)))
    assert line is not None
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)  # certified, NIST StRD Norris
    assert line.error == pytest.approx(0.429796848199937e-3, rel=1e-10)
    assert line.at(0.0) == pytest.approx(-0.262323073774029, rel=1e-10)


@given(
    st.lists(st.tuples(st.floats(0, 1000), st.floats(-50, 50)), min_size=4, max_size=60).filter(
        lambda points: np.ptp([x for x, _ in points]) > 1.0
    )
)
def test_it_agrees_with_numpy(points: list[tuple[float, float]]) -> None:
    line = line_through(points)
    x, y = np.array(points).T
    (slope, height), covariance = np.polyfit(x - x.mean(), y, 1, cov=True)
    assert line is not None
    assert line.slope == pytest.approx(slope, abs=1e-6)
    assert line.height == pytest.approx(height, abs=1e-6)
    assert line.error == pytest.approx(float(np.sqrt(covariance[0, 0])), rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("count", [5, 12, 52, 200])
def test_chance_alone_is_called_a_trend_once_in_twenty_times(count: int) -> None:
    dice = random.Random(f"chance {count}")
    called = 0
    for _ in range(2000):
        line = line_through([(i, dice.gauss(0, 1)) for i in range(count)])
        called += line is not None and line.is_trend
    assert 0.037 < called / 2000 < 0.064  # 0.05 ± 2.7 σ of a binomial


def test_a_real_trend_is_seen_through_the_noise() -> None:
    dice = random.Random("fading")
    line = line_through([(i, 1.0 - 0.005 * i + dice.gauss(0, 0.05)) for i in range(52)])
    assert line is not None
    assert line.is_trend
    assert abs(line.slope + 0.005) < line.margin


@pytest.mark.parametrize("points", [[], [(1.0, 2.0)], [(1.0, 2.0), (2.0, 3.0)], [(1.0, 2.0)] * 5])
def test_too_little_for_a_line(points: list[tuple[float, float]]) -> None:
    assert line_through(points) is None


def test_few_points_are_no_trend_however_straight() -> None:
    line = line_through([(0, 0), (1, 1.0001), (2, 2), (3, 3)])
    assert line is not None
    assert not line.is_trend


@pytest.mark.parametrize(("freedom", "t"), [(40, 2.021), (60, 2.000), (100, 1.984)])
def test_student_beyond_the_table(freedom: int, t: float) -> None:
    # NIST/SEMATECH e-Handbook of Statistical Methods, table 1.3.6.7.2
    assert student(freedom) == pytest.approx(t, abs=0.0015)
