"""A content against its limit: where the bar lies, and what is said of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.texts.amounts import methanol_content, water_content
from drydown_pages.scale import DECADE, LIMIT_AT, scale_of


def spread(median: float, low: float, high: float) -> dict[str, float]:
    return {"median": median, "low": low, "high": high}


@pytest.mark.parametrize(
    ("low", "median", "high", "verdict"),
    [
        (0.0003, 0.0006, 0.0012, "within limit"),
        (0.0010, 0.0015, 0.0020, "within limit"),
        (0.0010, 0.0019, 0.0021, "not sure yet"),
        (0.0019, 0.0040, 0.0080, "not sure yet"),
        (0.0021, 0.0040, 0.0080, "above limit"),
    ],
)
def test_the_whole_bar_decides(low: float, median: float, high: float, verdict: str) -> None:
    assert scale_of(spread(median, low, high), 0.002, methanol_content).verdict == verdict


def test_what_stands_there_is_short_and_has_a_unit() -> None:
    scale = scale_of(spread(0.0042, 0.0031, 0.0055), 0.002, methanol_content)
    assert (scale.amount, scale.range, scale.limit) == ("about 0.42 %", "from 0.31 to 0.55 %", "0.20 %")
    scale = scale_of(spread(436e-6, 385e-6, 502e-6), 500e-6, water_content)
    assert (scale.amount, scale.range, scale.limit) == (
        "about 440 mg/kg",
        "from 380 to 500 mg/kg",
        "500 mg/kg",
    )


def test_traces_are_less_than_what_can_be_told() -> None:
    scale = scale_of(spread(2e-5, 1e-5, 4e-5), 0.002, methanol_content)
    assert (scale.amount, scale.range) == ("less than 0.01 %", "")
    scale = scale_of(spread(2e-4, 1e-5, 4e-4), 0.002, methanol_content)
    assert scale.range == "from less than 0.01 % to 0.040 %"


def test_nothing_known_is_said_and_nothing_drawn() -> None:
    scale = scale_of(None, 0.002, methanol_content)
    assert (scale.amount, scale.verdict, scale.range) == ("not known yet", "not known yet", "")
    assert scale.band_width == 0


def test_a_factor_of_ten_is_the_same_way_everywhere() -> None:
    # arithmetic of a logarithmic scale: ten times the limit is one decade above it, a tenth one below
    at = {
        factor: scale_of(spread(*[0.002 * factor] * 3), 0.002, methanol_content).median_at
        for factor in (0.1, 1, 10)
    }
    assert at == {0.1: LIMIT_AT - DECADE, 1: LIMIT_AT, 10: LIMIT_AT + DECADE}


@given(st.lists(st.floats(0, 1), min_size=3, max_size=3), st.floats(1e-5, 0.05))
def test_the_bar_stays_on_its_track_and_around_its_middle(contents: list[float], limit: float) -> None:
    low, median, high = sorted(contents)
    scale = scale_of(spread(median, low, high), limit, water_content)
    assert 0 <= scale.band_from <= scale.median_at <= scale.band_from + scale.band_width + 0.1
    assert scale.band_from + scale.band_width <= 100
    assert scale.band_width >= 1
