"""What goes into a vehicle's tank: never more than it takes, never a blend that may cloud, room kept."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from drydown.blend.cloud import CLOUD_POINTS, measured
from drydown.blend.filling import Filling, VehicleTank, Weather, fill

ZERO = 273.15
OWN = measured(ZERO + 6.0)
DIESEL = measured(ZERO - 15.0)
TANK = VehicleTank(0.060, 0.020, 0.3)


def filled(
    tank: VehicleTank, low: float, margin: float = 3.0, colder: float = 5.0, up_to: float = 0.050
) -> Filling:
    found = fill(tank, up_to, Weather(ZERO + low, margin, colder), OWN, DIESEL)
    assert found is not None
    return found


def test_mild_weather_lets_own_fuel_in_and_keeps_room() -> None:
    found = filled(TANK, 0.0)
    # by hand: five degrees colder (−8 − 2 + 13)/(8 + 13) = 3/21 of the whole tank may be own fuel: 8.57 L
    assert found.own == pytest.approx(0.060 * 3 / 21 - 0.006)
    assert found.diesel == pytest.approx(0.030 - found.own)
    assert found.after.holds == pytest.approx(0.050)
    assert found.is_safe
    assert found.bears == pytest.approx(ZERO - 8.0)


def test_who_fears_no_colder_night_may_take_more() -> None:
    found = filled(TANK, 0.0, colder=0.0)
    assert found.after.share == pytest.approx(8 / 21)  # (−3 − 2 + 13)/(8 + 13)


def test_a_colder_night_is_met_with_diesel_alone() -> None:
    found = filled(TANK, -5.0)
    assert (found.take_out, found.own) == (0.0, 0.0)
    assert found.after.holds == pytest.approx(0.050)
    assert found.is_safe
    just_enough = filled(TANK, -5.0, up_to=0.0)
    assert just_enough.diesel == pytest.approx(0.006 / (3 / 21) - 0.020)
    assert just_enough.is_safe


def test_a_full_tank_has_to_be_drawn_from_first() -> None:
    found = filled(VehicleTank(0.060, 0.060, 0.5), -5.0)
    assert found.take_out == pytest.approx(0.060 - 0.060 * (3 / 21) / 0.5)
    assert found.diesel == pytest.approx(found.take_out)
    assert found.is_safe


def test_warmer_again_lets_more_own_fuel_in_than_the_cold_did() -> None:
    assert filled(TANK, 10.0).own > filled(TANK, 0.0).own
    assert filled(VehicleTank(0.060, 0.0, 0.0), 20.0, colder=0.0).after.share == 1.0


def test_where_diesel_itself_may_cloud_nothing_is_proposed() -> None:
    assert fill(TANK, 0.050, Weather(ZERO - 20.0, 3.0, 5.0), OWN, DIESEL) is None


@given(
    size=st.floats(0.01, 0.2),
    level=st.one_of(st.just(0.0), st.floats(0.001, 1.0)),
    up_to=st.floats(0.01, 1.5),
    share=st.floats(0.0, 1.0),
    low=st.floats(-30.0, 25.0),
    margin=st.floats(0.0, 8.0),
    colder=st.floats(0.0, 15.0),
    feedstock=st.sampled_from(sorted(CLOUD_POINTS)),
    cloud_of_diesel=st.floats(-35.0, 0.0),
)
def test_whatever_is_asked(
    size: float,
    level: float,
    up_to: float,
    share: float,
    low: float,
    margin: float,
    colder: float,
    feedstock: str,
    cloud_of_diesel: float,
) -> None:
    tank = VehicleTank(size, size * level, share)
    own, diesel = CLOUD_POINTS[feedstock], measured(ZERO + cloud_of_diesel)
    found = fill(tank, up_to, Weather(ZERO + low, margin, colder), own, diesel)
    assume(found is not None)
    assert found is not None
    assert min(found.take_out, found.diesel, found.own) >= -1e-9
    assert found.after.holds <= size + 1e-9
    assert found.take_out <= tank.holds + 1e-9
    assert found.is_safe
    assert found.cloud_point.low <= found.cloud_point.median <= found.cloud_point.high
