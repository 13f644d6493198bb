"""Room air against the exposure limits and a separate numerical integration."""

import math

import numpy as np
import pytest

from drydown.physics import bubbling, methanol, room, vapour_limits


def test_check_values() -> None:
    # own arithmetic, textbook form (ACGIH, Industrial Ventilation): 1.5 g/s into 60 m³ with 0.5 m³/s
    steady = room.steady_concentration(1.5e-3, 0.5)
    assert steady == pytest.approx(3.0e-3)
    share = methanol.mole_fraction(steady, 298.15)
    assert share * 1e6 == pytest.approx(2290.0, abs=5.0)
    assert bubbling.share_of_lower_limit(share) == pytest.approx(0.038, abs=0.0005)
    half = room.purge_time(2.0, 1.0, 0.5, 60.0)
    assert half == pytest.approx(83.0, abs=0.3)
    assert room.concentration_after(half, steady, 0.0, 0.5, 60.0) == pytest.approx(1.5e-3)


def test_an_open_door_is_not_enough_for_the_exposure_limit() -> None:
    # OSHA PEL of 200 ppm = 0.26 g/m³ (NIOSH Pocket Guide); own arithmetic: 5.8 m³/s against 1.5 g/s
    assert room.fresh_air_needed(1.5e-3, 0.26e-3, 1.0) == pytest.approx(5.8, abs=0.05)


def test_bad_mixing_costs_air() -> None:
    # ACGIH, Industrial Ventilation: mixing factor 3 to 10
    assert room.fresh_air_needed(1.5e-3, 0.26e-3, 3.0) == pytest.approx(17.3, abs=0.05)
    assert room.effective_air(0.5, 10.0) == pytest.approx(0.05)


def test_quarter_of_the_lower_limit() -> None:
    # NFPA 69 and common practice: 25 % of 6 % by volume, 15 000 ppm
    safe = vapour_limits.SAFE_SHARE_OF_LOWER_LIMIT * vapour_limits.LOWER_FLAMMABLE_LIMIT
    assert safe == pytest.approx(15000e-6)


@pytest.mark.parametrize(
    ("start", "emission", "air", "decay"),
    [
        (0.0, 1.5e-3, 0.5, 0.0),
        (5e-3, 2e-4, 0.1, 0.0),
        (1e-3, 1e-3, 0.0, 0.0),
        (0.0, 1.5e-3, 0.5, 8e-4),
        (2e-3, 1e-3, 0.06, 1e-3),  # the room clears as fast as the emission falls
        (2e-3, 1e-3, 0.01, 5e-3),
        (0.0, 1e-3, 0.0, 1e-3),
    ],
)
def test_concentration_solves_the_balance(start: float, emission: float, air: float, decay: float) -> None:
    # the differential equation itself, integrated by Runge and Kutta's fourth-order method
    volume, step, here = 60.0, 5.0, start

    def slope(time: float, concentration: float) -> float:
        return (emission * math.exp(-decay * time) - air * concentration) / volume

    for time in np.arange(120) * step:
        first = slope(time, here)
        second = slope(time + step / 2.0, here + step / 2.0 * first)
        third = slope(time + step / 2.0, here + step / 2.0 * second)
        fourth = slope(time + step, here + step * third)
        here += step / 6.0 * (first + 2.0 * second + 2.0 * third + fourth)
    found = room.concentration_after(600.0, start, emission, air, volume, decay)
    assert found == pytest.approx(here, rel=1e-7)


def test_air_too_little_to_tell_from_none() -> None:
    # the limit of no air: emission · time / volume
    few = room.concentration_after(60.0, 0.0, 1.5e-3, np.array([0.0, 1e-12, 1e-7, 1e-5]), 60.0)
    assert few == pytest.approx(1.5e-3, rel=1e-5)
