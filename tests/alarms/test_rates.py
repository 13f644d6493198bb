"""Rates of temperature: robust, with the lag that they state; and how fast a blower can heat."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.alarms.rates import WINDOW, Rate, blower_warming, fuel_heating
from drydown.alarms.scene import Scene
from support.boathouse import CELSIUS, heron


@pytest.mark.parametrize("every", [1, 5, 10])
@given(slope=st.floats(min_value=-1, max_value=1), start=st.floats(min_value=250, max_value=350))
def test_a_steady_rise_is_seen_in_full_after_a_minute(every: int, slope: float, start: float) -> None:
    rate, seen = Rate(), None
    for time in range(0, int(WINDOW) + 1, every):
        seen = rate.add(time, start + slope * time)
    assert seen == pytest.approx(slope, abs=1e-9)


def test_a_single_wild_value_does_not_move_it() -> None:
    rate = Rate()
    for time in range(61):
        seen = rate.add(time, 400.0 if time == 50 else 300.0)
    assert seen == 0


def test_too_few_points_tell_nothing() -> None:
    rate = Rate()
    assert [rate.add(time, 300.0) for time in (0, 5, 10, 15)] == [None] * 4
    assert rate.add(15, 310.0) is None


def bubbling(fuel: float, **more: float) -> Scene:
    scene = Scene(heron(), volume=0.15)
    scene.values = {"blower/running": True, "fuel/temperature": fuel + CELSIUS}
    scene.values |= {name.replace("__", "/"): value for name, value in more.items()}
    return scene


def test_dry_air_heats_no_more_than_its_own_warmth() -> None:
    """Own arithmetic: 1.6 × 15 L/s of air, 1.2 kg/m³ and 1005 J/(kg K), 20 K above 130 kg at 2 kJ/(kg K)."""
    scene = bubbling(20, air__temperature=20 + CELSIUS, air__humidity=0.05)
    scene.values["blower/discharge_temperature"] = 40 + CELSIUS
    expected = 1.6 * 0.015 * 1.2 * 1005 * 20 / (0.15 * 877 * 1988)
    assert fuel_heating(scene) == pytest.approx(expected, rel=0.05)


def test_damp_air_on_cold_fuel_heats_more_by_what_condenses() -> None:
    dry = fuel_heating(bubbling(5, air__temperature=25 + CELSIUS, air__humidity=0.1))
    damp = fuel_heating(bubbling(5, air__temperature=25 + CELSIUS, air__humidity=0.9))
    assert damp > 1.5 * dry


def test_a_blower_at_rest_and_fuel_hotter_than_the_air_are_not_heated() -> None:
    scene = bubbling(20)
    scene.values["blower/running"] = False
    assert fuel_heating(scene) == 0
    assert fuel_heating(bubbling(60, air__temperature=10 + CELSIUS, air__humidity=0.3)) == 0


@given(st.floats(min_value=300, max_value=1500), st.floats(min_value=0, max_value=7200))
def test_no_sound_blower_warms_faster_than_allowed(time_constant: float, stretch: float) -> None:
    """20 K with time constants of 5 to 25 min, as usual for such blowers (physics sheet, judgement)."""
    slope = 20 / time_constant * math.exp(-stretch / time_constant)
    assert slope < blower_warming("blower/discharge_temperature", stretch)
