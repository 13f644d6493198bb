"""Volume from level: shapes, bubbles, and the fuel's own warmth."""

import math

import pytest

from drydown.run.fuel_level import CALM, FuelLevel
from support.boathouse import CELSIUS, heron


def read(level: FuelLevel, since: float, seconds: float, height: float, running: bool) -> float:
    for step in range(int(seconds)):
        level.observe(since + step, height, running)
    return since + seconds


def test_at_rest_the_level_tells_the_volume() -> None:
    level = FuelLevel(heron())
    read(level, 0, 300, 0.50, running=False)
    assert level.volume == pytest.approx(math.pi * 0.30**2 * 0.50)
    assert level.drawable == pytest.approx(math.pi * 0.30**2 * (0.50 - 0.152))
    assert level.is_calm


def test_nothing_below_the_standpipe_can_be_drawn() -> None:
    level = FuelLevel(heron())
    read(level, 0, 300, 0.10, running=False)
    assert level.drawable == 0


def test_bubbles_lift_the_level_but_add_no_fuel() -> None:
    level = FuelLevel(heron())
    now = read(level, 0, 300, 0.50, running=False)
    before = level.volume
    now = read(level, now, 600, 0.56, running=True)
    assert level.volume == pytest.approx(before, rel=1e-6)
    assert not level.is_calm
    read(level, now, 600, 0.56 * 0.9, running=True)  # a tenth was drawn while it bubbled
    assert level.volume == pytest.approx(0.9 * (before or 0), rel=0.01)


def test_a_blower_that_was_running_before_is_corrected_by_the_correlation() -> None:
    level = FuelLevel(heron())
    read(level, 0, 600, 0.56, running=True)
    velocity = 0.015 / (math.pi * 0.30**2)
    share = velocity / (0.3 + 2 * velocity)  # the first cut of bubble-column correlations
    assert level.volume == pytest.approx(math.pi * 0.30**2 * 0.56 * (1 - share), rel=1e-3)


def test_after_the_blower_the_level_has_to_come_to_rest_first() -> None:
    level = FuelLevel(heron())
    now = read(level, 0, 300, 0.50, running=False)
    now = read(level, now, 600, 0.56, running=True)
    now = read(level, now, CALM - 1, 0.52, running=False)
    assert not level.is_calm
    read(level, now, 60, 0.50, running=False)
    assert level.is_calm


def test_volume_at_15_degrees_shrinks_by_the_thermal_expansion() -> None:
    """About 0.00083 per K (physics sheet; from memory of Pratas et al. 2010)."""
    level = FuelLevel(heron())
    assert level.at_standard(0.1, 35 + CELSIUS) == pytest.approx(0.1 * (1 - 0.00082 * 20), rel=1e-4)
    assert level.at_standard(0.1, 15 + CELSIUS) == pytest.approx(0.1)


def test_an_empty_tank_has_no_volume_and_no_bubbles_whatever_the_blower_does() -> None:
    level = FuelLevel(heron())
    now = read(level, 0, 300, 0.0, running=False)
    now = read(level, now, 600, 0.0, running=True)
    assert level.volume == 0.0
    read(level, now, 600, 0.5, running=True)
    assert level.volume is not None
    assert 0.0 < level.volume <= math.pi * 0.30**2 * 0.5
