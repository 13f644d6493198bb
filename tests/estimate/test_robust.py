"""Whatever the readings do: no exception, no NaN, no negative content, ordered ranges, bounded work."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.estimate.estimator import Estimator
from drydown.estimate.inputs import Sample, TankPriors
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.estimate.smoother import MOST

TANK = TankPriors(0.28, 0.015, "used-cooking-oil", 0.0020, 0.000500)

temperatures = st.one_of(
    st.none(), st.floats(230.0, 350.0), st.sampled_from([358.15, 0.0, -1.0, 1e9, math.nan, math.inf])
)
samples = st.builds(
    Sample,
    fuel_temperature=temperatures,
    level_volume=st.one_of(st.none(), st.floats(-0.1, 0.5), st.sampled_from([math.nan, math.inf])),
    running=st.one_of(st.none(), st.booleans()),
    discharge_temperature=temperatures,
    air_temperature=temperatures,
    air_humidity=st.one_of(st.none(), st.floats(-0.2, 1.5)),
)
spans = st.sampled_from([0.0, 1.0, 5.0, 10.0, 60.0, 400.0, 1000.0, 4000.0, 90000.0, -30.0])
stories = st.lists(st.tuples(spans, samples, st.integers(1, 12)), min_size=1, max_size=25)


def check(estimate: Estimate) -> None:
    """What holds of every estimate."""
    for spread in (estimate.methanol, estimate.water, estimate.water_floor, estimate.emission):
        if spread is not None:
            in_order(spread)
            assert spread.low >= 0.0
    for spread in (estimate.methanol, estimate.water, estimate.water_floor):
        assert spread is None or spread.high <= 1.0
    for spread in (estimate.methanol_done_at, estimate.dry_at):
        if spread is not None:
            in_order(spread)
    assert estimate.run_time >= 0.0
    assert estimate.verdict is not Verdict.DRY or estimate.methanol_done


def in_order(spread: Spread) -> None:
    assert all(map(math.isfinite, (spread.low, spread.median, spread.high)))
    assert spread.low <= spread.median <= spread.high


@pytest.mark.filterwarnings("error")
@settings(max_examples=60)
@given(stories)
def test_any_readings(story: list[tuple[float, Sample, int]]) -> None:
    estimator, now = Estimator(TANK), 0.0
    for span, sample, times in story:
        for _ in range(times):
            now += span
            estimator.observe(now, sample)
        check(estimator.estimate(now))
    estimator.bench_test(now, "water", 0.0, 0.0001)
    estimator.bench_test(now - 300.0, "methanol", 0.004, 0.001)
    check(estimator.estimate(now + 60.0))
    check(Estimator(TANK, estimator.learned()).estimate(now))


def plausible(minute: int, fuel: float) -> Sample:
    return Sample(fuel, 0.17 if minute > 10 else 0.16, minute > 10, fuel - 2.0, 290.0, 0.5)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("start", [253.15, 272.15, 333.15])
def test_frost_and_heat(start: float) -> None:
    estimator = Estimator(TANK)
    for i in range(120 * 6):
        now, minute = 10.0 * i, i // 6
        fuel = start + (290.0 - start) * (1.0 - math.exp(-max(minute - 10, 0) / 60.0))
        estimator.observe(now, plausible(minute, fuel))
        if i % 6 == 0:
            check(estimator.estimate(now))


@pytest.mark.filterwarnings("error")
def test_twelve_hours_take_no_more_memory_than_three() -> None:
    estimator = Estimator(TANK)
    for minute in range(720):
        estimator.observe(60.0 * minute, plausible(minute, 292.0 + 6.0 * math.exp(-minute / 40.0)))
        check(estimator.estimate(60.0 * minute))
    assert estimator.intervals <= MOST


def test_without_what_it_needs_it_says_nothing() -> None:
    whole = plausible(30, 295.0)
    for missing in (
        Sample(None, whole.level_volume, True),
        Sample(whole.fuel_temperature, None, True),
        Sample(whole.fuel_temperature, whole.level_volume, None),
        Sample(358.15, whole.level_volume, True),
    ):
        estimator = Estimator(TANK)
        for i in range(240):
            estimator.observe(10.0 * i, missing)
            if i % 6 == 0:
                assert estimator.estimate(10.0 * i).verdict is Verdict.UNKNOWN
