"""How a tank empties, against worked examples of textbooks, `fluids`, and its own inverse."""

from math import pi, sqrt
from random import Random

import pytest
from fluids.core import dP_from_K
from fluids.geometry import TANK
from hypothesis import given
from hypothesis import strategies as st

from drydown.drawing.descent import Descent, Shape, fit
from support.drawn import AREA, DRUM, falling

G = 9.80665  # m/s², standard gravity


@pytest.mark.parametrize(("until", "seconds"), [(2.0, 39.58), (0.0, 107.7)])
def test_a_worked_example_of_a_tank_with_an_orifice(until: float, seconds: float) -> None:
    # R. K. Bansal, A Textbook of Fluid Mechanics, chapter on orifices: a tank 4 m wide, 5 m full, an orifice
    # of 0.5 m in its bottom with Cd = 0.6, g = 9.81 m/s²; from memory, and the same by hand
    tank = Shape((0.0, 5.0), (0.0, 5.0 * pi * 4.0))
    k = 0.6 * pi * 0.25**2 * sqrt(2.0 * 9.81)
    descent = Descent(tank, 0.0)
    assert (descent.way(5.0) - descent.way(until)) / k == pytest.approx(seconds, rel=1e-3)


def strapped(tank: TANK) -> Shape:
    levels = [tank.h_max * i / 400 for i in range(401)]
    return Shape(tuple(levels), tuple(map(tank.V_from_h, levels)))


def test_a_drum_on_its_side_against_the_closed_form() -> None:
    # textbook form: T = 4 L ((2 R − h2)^1.5 − (2 R − h1)^1.5) / (3 Cd a √(2 g)); outlet at the lowest point
    descent = Descent(strapped(TANK(D=0.6, L=1.0, horizontal=True)), 0.0)
    way = 4.0 * 1.0 * ((0.6 - 0.15) ** 1.5 - (0.6 - 0.5) ** 1.5) / 3.0
    assert descent.way(0.5) - descent.way(0.15) == pytest.approx(way, rel=1e-3)


def test_a_cone_below_a_hose_against_fluids_step_by_step() -> None:
    # fluids: K of a loss from dP_from_K, the tank from geometry.TANK; summed in small steps of volume
    tank, outlet, k = TANK(D=0.6, L=0.66, horizontal=False, sideA="conical", sideA_a=0.25), -0.4, 4e-4
    density, bore = 880.0, 2e-4  # any: they fall out again
    loss = 2.0 * G * bore**2 / k**2  # K of tap, filter and hose by the velocity in that bore
    steps, top, bottom = 2000, 0.7, 0.16
    before, seconds = tank.V_from_h(top), 0.0
    for i in range(1, steps + 1):
        low = top + (bottom - top) * i / steps
        head = low + 0.5 * (top - bottom) / steps - outlet
        velocity = sqrt(density * G * head / dP_from_K(K=loss, rho=density, V=1.0))
        volume = tank.V_from_h(low)
        seconds += (before - volume) / (velocity * bore)
        before = volume
    descent = Descent(strapped(tank), outlet)
    assert (descent.way(top) - descent.way(bottom)) / k == pytest.approx(seconds, rel=1e-3)


@given(st.floats(1e-4, 8e-4), st.floats(-1.2, 0.15), st.integers(0, 1000))
def test_the_coefficient_of_a_made_draw_is_found_again(k: float, outlet: float, seed: int) -> None:
    points = list(falling(0.8, 0.3, outlet, k, 0.0015, Random(f"fit {seed}")))
    found = fit(points, Descent(DRUM, outlet))
    assert found is not None
    assert abs(found.coefficient - k) < 4.5 * found.error  # one in 150 000 lies farther off
    assert found.error < 0.02 * k


@given(st.floats(0.0, 0.9), st.floats(0.0, 0.9), st.floats(-1.0, 0.3))
def test_the_higher_the_surface_the_longer_its_way(one: float, other: float, outlet: float) -> None:
    descent = Descent(DRUM, outlet)
    low, high = sorted((one, other))
    assert 0.0 <= descent.way(low) <= descent.way(high)


@given(st.floats(0.0, 0.9))
def test_level_and_volume_are_inverse(level: float) -> None:
    assert DRUM.level(DRUM.volume(level)) == pytest.approx(level, abs=1e-12)
    assert DRUM.surface(level) == pytest.approx(AREA)


def test_a_surface_that_rises_has_no_coefficient() -> None:
    assert fit([(0.0, 0.3), (10.0, 0.4), (20.0, 0.5)], Descent(DRUM, 0.0)) is None
