"""What heat and current say of a blower's air, against an energy balance that the test works out itself."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.estimate.blower_load import IDLE_MOST, LEAST_RISE, WARM, BlowerLoad
from drydown.estimate.result import Spread

CP, DENSITY = 1005.0, 1.2  # J/(kg K), kg/m³: air at 20 °C (Incropera, Fundamentals of Heat and Mass Transfer)
POWER, FLOW = 180.0, 0.012  # W into the air, m³/s


def rise(share: float, power: float = 1.0, casing: float = 1.0) -> float:
    """K, with a share of the flow and of the power; `casing` in W/K."""
    return power * POWER / (share * FLOW * DENSITY * CP + casing)


def run(*minutes: tuple[int, float | None, float | None]) -> BlowerLoad:
    """So many minutes with a rise and a current each."""
    load = BlowerLoad()
    for count, kelvin, amperes in minutes:
        for _ in range(count):
            load.note(kelvin, amperes)
    return load


def told(load: BlowerLoad) -> Spread:
    found = load.share()
    assert found
    assert 0.0 <= found.low <= found.median <= found.high
    return found


@given(st.floats(0.15, 1.0), st.floats(0.6, 1.6), st.floats(0.0, 4.0))
def test_air_that_comes_hotter_is_less_of_it(share: float, power: float, casing: float) -> None:
    before, after = rise(1.0, 1.0, casing), rise(share, power, casing)
    load = run((WARM + 20, before, None), (30, after, None))
    if after < before:
        return
    found = told(load)
    assert found.low <= share <= found.high


@given(st.floats(0.15, 1.0), st.floats(0.6, 1.6), st.floats(0.9, 1.8))
def test_a_current_that_goes_with_power_tells_the_same(share: float, power: float, follows: float) -> None:
    before, after = rise(1.0), rise(share, power)
    amperes = 2.0 * power ** (1.0 / follows)
    if after >= before:
        found = told(run((WARM + 20, before, 2.0), (30, after, amperes)))
        assert found.low <= share <= found.high


@given(st.floats(0.15, 1.0))
def test_a_current_that_stays_narrows_it(share: float) -> None:
    known = told(run((WARM + 20, rise(1.0), 2.0), (30, rise(share), 2.0)))
    blind = told(run((WARM + 20, rise(1.0), None), (30, rise(share), None)))
    assert known.high < blind.high
    assert known.low >= blind.low


def test_a_starved_blower_is_known_by_heat_and_current_alone() -> None:
    found = told(run((WARM + 20, rise(1.0), 2.0), (30, rise(0.3), 2.0)))
    assert found.high < 0.5
    assert found.low <= 0.3


@pytest.mark.parametrize("speed", [0.0, 0.2, 0.4])
def test_air_that_comes_cold_comes_from_one_that_hardly_turns(speed: float) -> None:
    """The affinity laws: flow goes with speed, power with its cube."""
    after = rise(speed, speed**3, casing=0.0) if speed else 0.0
    found = told(run((WARM + 20, rise(1.0, casing=0.0), None), (30, after, None)))
    assert found.low <= speed <= found.high
    assert found.high < 0.8


def test_a_motor_without_current_gives_no_air() -> None:
    assert run((10, None, 2.0), (2, None, 0.1)).share() == Spread(0.0, 0.0, IDLE_MOST)
    assert run((10, None, 2.0), (1, None, 0.1)).share() is None, "one minute proves nothing"
    assert run((10, None, 2.0), (10, None, 1.0)).share() is None, "half the current may be any flow"


@pytest.mark.parametrize(
    "minutes",
    [
        ((WARM + 5, 10.0, None),),
        ((WARM + 60, LEAST_RISE - 0.1, None),),
        ((WARM + 20, 10.0, None), (30, 7.0, None)),
        ((WARM + 20, 6.0, None), (30, 0.0, None)),
        ((WARM + 20, 10.0, None), (30, None, None)),
        ((WARM + 20, 10.0, None), (30, 20.0, None), (12, 12.0, None)),
    ],
    ids=["not yet warm", "hardly warmer", "a little colder", "the sun", "no probe", "cools still"],
)
def test_where_physics_does_not_support_it_nothing_is_told(
    minutes: tuple[tuple[int, float | None, float | None], ...],
) -> None:
    assert run(*minutes).share() is None


def test_after_a_pause_it_is_held_against_how_the_run_began() -> None:
    load = run((WARM + 20, rise(1.0), 2.0))
    load.stop()
    assert load.share() is None
    for minute in range(WARM + 15):
        load.note(rise(0.3) * (1.0 - math.exp(-minute / 8.0)), 2.0)
    assert told(load).high < 0.5
