"""How much fuel there is, and how the blower's flow changes, from a level alone."""

import pytest

from drydown.estimate.fuel_amount import FuelAmount
from drydown.estimate.gathering import Minute
from drydown.estimate.inputs import TankPriors
from drydown.physics import bubbling, fuel

TANK = TankPriors(0.25, 0.015, "soy", 0.0020, 0.000500)
VELOCITY = 0.06  # m/s
WARM = 298.15  # K
NAN = float("nan")


def minute(running: bool, volume: float, temperature: float = WARM) -> Minute:
    return Minute(0.0, 60.0, running, temperature, volume, NAN, NAN, NAN)


def bubbling_volume(volume: float, velocity: float) -> float:
    return volume / (1.0 - float(bubbling.gas_holdup(velocity)))


def bubble(amount: FuelAmount, volume: float, velocity: float, minutes: int) -> list[bool]:
    return [
        amount.take(minute(True, bubbling_volume(volume, velocity)), 0.0, 600.0 + 60.0 * i)
        for i in range(minutes)
    ]


@pytest.fixture
def amount() -> FuelAmount:
    amount = FuelAmount(TANK)
    for i in range(5):
        assert not amount.take(minute(False, 0.16), 60.0 * (i + 1), 0.0)
    return amount


def test_the_amount_at_rest_is_in_kilograms(amount: FuelAmount) -> None:
    soy = fuel.FEEDSTOCKS["soy"].density
    assert amount.mass == pytest.approx(0.16 * float(fuel.density(WARM, soy)))
    warmed = 0.16 * float(fuel.density(WARM, soy) / fuel.density(WARM + 30.0, soy))
    assert not amount.take(minute(False, warmed, WARM + 30.0), 600.0, 0.0)


def test_steady_bubbling_changes_nothing(amount: FuelAmount) -> None:
    assert not any(bubble(amount, 0.16, VELOCITY, 60))
    assert amount.flow == 1.0


@pytest.mark.parametrize("share", [0.3, 0.5])
def test_a_blocked_intake_is_seen_as_its_share_of_the_flow(amount: FuelAmount, share: float) -> None:
    bubble(amount, 0.16, VELOCITY, 20)
    assert not any(bubble(amount, 0.16, share * VELOCITY, 10))
    assert amount.flow == pytest.approx(share, rel=0.1)
    bubble(amount, 0.16, VELOCITY, 10)
    assert amount.flow == pytest.approx(1.0, rel=0.1)


def test_a_blower_that_comes_weaker_out_of_a_pause(amount: FuelAmount) -> None:
    bubble(amount, 0.16, VELOCITY, 20)
    for i in range(10):
        amount.take(minute(False, 0.158), 60.0 * (i + 1), 0.0)
    bubble(amount, 0.158, 0.4 * VELOCITY, 10)
    assert amount.flow == pytest.approx(0.4, rel=0.15)


def test_a_slow_drift_of_the_hold_up_is_no_change_of_flow(amount: FuelAmount) -> None:
    for i in range(240):
        bubble(amount, 0.16, VELOCITY * (1.0 - 0.4 * i / 240), 1)
    assert amount.flow == 1.0


@pytest.mark.parametrize("after", [0.11, 0.25])
def test_drawing_and_pouring_while_it_bubbles(amount: FuelAmount, after: float) -> None:
    bubble(amount, 0.16, VELOCITY, 20)
    before = amount.mass
    changed = bubble(amount, after, VELOCITY, 20)
    assert any(changed)
    assert amount.mass == pytest.approx((before or 0.0) * after / 0.16, rel=0.05)
    assert amount.flow == 1.0


def test_a_bucket_at_rest_is_noticed_and_noise_is_not(amount: FuelAmount) -> None:
    assert not amount.take(minute(False, 0.162), 600.0, 0.0)
    assert amount.take(minute(False, 0.172), 660.0, 0.0)


def test_the_hold_up_tells_the_flow_within_its_spread(amount: FuelAmount) -> None:
    assert amount.flow_told() is None
    bubble(amount, 0.16, TANK.rated_flow / TANK.cross_section, 10)
    told = amount.flow_told()
    assert told is not None
    assert abs(told[0]) < told[1]
