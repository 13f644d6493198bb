"""Axes: where values stand, and ticks at round numbers and times of day."""

import math
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.plot import scales

OSLO = ZoneInfo("Europe/Oslo")


def labels(scale: scales.Scale) -> list[str]:
    return [label for _, label in scale.ticks]


def test_a_level_axis_ends_at_round_numbers() -> None:
    scale = scales.linear(-3.0, 22.0, 100.0, 0.0)
    assert labels(scale) == ["−5", "0", "5", "10", "15", "20", "25"]
    assert (scale.at(-5.0), scale.at(25.0), scale.at(10.0)) == (100.0, 0.0, 50.0)


def test_a_fine_axis_tells_its_decimals() -> None:
    assert labels(scales.linear(0.0, 0.2, 0.0, 1.0, most=4)) == ["0.00", "0.05", "0.10", "0.15", "0.20"]


def test_equal_factors_are_equal_ways() -> None:
    scale = scales.logarithmic(0.01, 3.9, 200.0, 0.0)
    assert labels(scale) == ["0.01", "0.02", "0.05", "0.1", "0.2", "0.5", "1", "2", "5"]
    assert scale.at(0.02) - scale.at(0.2) == pytest.approx(scale.at(0.2) - scale.at(2.0))


def test_a_crowded_axis_names_powers_of_ten_alone() -> None:
    assert labels(scales.logarithmic(10, 20000, 120.0, 0.0)) == ["10", "100", "1000", "10000"]


def test_nothing_has_a_place_on_a_logarithmic_axis_too() -> None:
    scale = scales.logarithmic(0.01, 1.0, 100.0, 0.0)
    assert math.isfinite(scale.at(0.0))
    assert scale.held(0.0) == 100.0
    assert scale.held(50.0) == 0.0


def test_times_are_those_of_the_place() -> None:
    """Oslo is two hours ahead of UTC in September 2026 (tz database)."""
    first = datetime(2026, 9, 14, 6, 5, tzinfo=UTC).timestamp()
    scale = scales.time(first, first + 3 * 3600, OSLO, 0.0, 100.0)
    assert labels(scale)[:3] == ["08:15", "08:30", "08:45"]
    assert scale.at(first + 1.5 * 3600) == pytest.approx(50.0)


def test_midnight_names_the_day() -> None:
    first = datetime(2026, 9, 14, 20, 0, tzinfo=UTC).timestamp()
    assert "15 Sep" in labels(scales.time(first, first + 4 * 3600, OSLO, 0.0, 100.0))


@given(st.floats(1.0, 4e9), st.floats(0.0, 3e6), st.sampled_from([UTC, OSLO, ZoneInfo("Asia/Kathmandu")]))
def test_there_are_never_too_many_times(first: float, span: float, zone: ZoneInfo) -> None:
    scale = scales.time(first, first + span, zone, 0.0, 100.0)
    assert len(scale.ticks) <= 13
    assert all(-1e-6 <= scale.at(value) <= 100.0 + 1e-6 for value, _ in scale.ticks)


@given(st.floats(-200.0, 200.0), st.floats(1e-3, 1e4))
def test_values_lie_within_their_axis(low: float, span: float) -> None:
    scale = scales.linear(low, low + span, 300.0, 0.0)
    assert scale.low <= low + 1e-6 * span
    assert scale.high >= low + span - 1e-6 * span
    assert 2 <= len(scale.ticks) <= 9
