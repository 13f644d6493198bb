"""Drops that fall through fuel at rest: against the drag curve of others, and what holds for all of them."""

from datetime import UTC
from itertools import pairwise

import pytest
from fluids.drag import v_terminal
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.physics import fuel, settling
from drydown.physics.plain import FEEDSTOCKS
from drydown.settling.fall import TYPICAL, Fall, fall_of, pace_of
from drydown.texts import settling as texts

HOUR, ZERO = 3600.0, 273.15
OIL = FEEDSTOCKS["used-cooking-oil"]
SURFACE, STANDPIPE = 0.60, 0.152

warmths = st.floats(ZERO, ZERO + 60.0)
sizes = st.floats(5e-6, 150e-6)
lengths = st.floats(60.0, 4e5)  # s


def fell(length: float, *kelvins: float) -> Fall:
    step = length / len(kelvins)
    warmth = [(i * step, kelvin) for i, kelvin in enumerate(kelvins)]
    return fall_of(0.0, length, warmth, OIL, (SURFACE, STANDPIPE))


@pytest.mark.parametrize("micrometre", [15, 30, 100])
@pytest.mark.parametrize("celsius", [5.0, 25.0, 45.0])
def test_the_drag_curve_of_others_agrees(micrometre: float, celsius: float) -> None:
    size, kelvin = micrometre * 1e-6, ZERO + celsius
    density = float(fuel.density(kelvin, OIL.density))
    viscosity = float(fuel.dynamic_viscosity(kelvin, OIL.density, OIL.viscosity))
    # fluids: terminal velocity by the drag curve of Clift, over all Reynolds numbers
    reference = v_terminal(D=size, rhop=settling.GLYCEROL_DENSITY, rho=density, mu=viscosity, Method="Clift")
    assert pace_of(kelvin, OIL) * size * size == pytest.approx(reference, rel=0.04)
    difference = settling.GLYCEROL_DENSITY - density
    ours = settling.stokes_velocity(size, difference, viscosity)  # the house's own, for arrays
    assert pace_of(kelvin, OIL) * size * size == pytest.approx(float(ours), rel=1e-12)


def test_a_day_leaves_drops_of_about_twelve_micrometres() -> None:
    # own arithmetic, Stokes with Δρ = 385 kg/m³ and μ = 6.5 mPa s as of fuel near 23 °C: 12.7 µm fall 0.448 m
    smallest = fell(24 * HOUR, ZERO + 23.0).smallest(SURFACE - STANDPIPE)
    assert smallest is not None
    assert smallest.median == pytest.approx(12.7e-6, rel=0.05)


@settings(max_examples=40)
@given(lengths, st.lists(warmths, min_size=1, max_size=9), st.floats(0.5, 30.0), sizes)
def test_warmer_is_faster(length: float, kelvins: list[float], more: float, size: float) -> None:
    cooler, warmer = fell(length, *kelvins), fell(length, *(kelvin + more for kelvin in kelvins))
    assert warmer.course[-1][1] > cooler.course[-1][1]
    assert warmer.reached(size, 0.4).median < cooler.reached(size, 0.4).median


@settings(max_examples=40)
@given(lengths, st.lists(warmths, min_size=1, max_size=9), sizes, st.floats(1.05, 3.0))
def test_larger_drops_fall_faster(length: float, kelvins: list[float], size: float, times: float) -> None:
    fall = fell(length, *kelvins)
    assert fall.reached(size * times, 0.4).median < fall.reached(size, 0.4).median
    assert fall.fallen(size * times).median >= fall.fallen(size).median


@settings(max_examples=40)
@given(lengths, st.lists(warmths, min_size=1, max_size=9), st.floats(60.0, 1e5))
def test_it_only_ever_falls(length: float, kelvins: list[float], more: float) -> None:
    earlier = fell(length, *kelvins)
    warmth = [(i * length / len(kelvins), kelvin) for i, kelvin in enumerate(kelvins)]
    later = fall_of(0.0, length + more, warmth, OIL, (SURFACE, STANDPIPE))
    small, smaller = earlier.smallest(0.4), later.smallest(0.4)
    assert small is not None
    assert smaller is not None
    assert smaller.median < small.median
    assert small.low < small.median < small.high
    assert all(before[1] < after[1] for before, after in pairwise(later.course))


@settings(max_examples=40)
@given(lengths, st.lists(warmths, min_size=1, max_size=9), sizes)
def test_when_a_size_is_down_agrees_with_which_are(length: float, kelvins: list[float], size: float) -> None:
    fall = fell(length, *kelvins)
    end, smallest = fall.reached(size, fall.height), fall.smallest(fall.height)
    assert smallest is not None
    assert (end.median <= fall.now) == (smallest.median <= size) or smallest.median == pytest.approx(size)
    assert fall.since <= end.low <= end.median <= end.high


def test_an_end_in_the_past_is_found_in_the_course() -> None:
    # cold, then warm: the end lies where the sum of both stretches says, by hand
    cold, warm = pace_of(ZERO + 10.0, OIL), pace_of(ZERO + 40.0, OIL)
    warmth = [(0.0, ZERO + 10.0), (4 * HOUR, ZERO + 10.0), (4 * HOUR + 1e-6, ZERO + 40.0)]
    fall = fall_of(0.0, 20 * HOUR, warmth, OIL, (SURFACE, STANDPIPE))
    height = TYPICAL**2 * (4 * HOUR * cold + 2 * HOUR * warm)
    assert fall.reached(TYPICAL, height).median == pytest.approx(6 * HOUR, abs=1.0)


def test_the_later_end_has_the_fuel_as_cold_as_the_room() -> None:
    kelvin, room = ZERO + 37.0, ZERO + 10.0
    warm, cooling = (
        fall_of(0.0, HOUR, [(0.0, kelvin)], OIL, (SURFACE, STANDPIPE), air) for air in (None, room)
    )
    height = warm.height
    assert cooling.reached(TYPICAL, height).median == warm.reached(TYPICAL, height).median
    # by hand: what is left to fall after the first hour, at the slowest
    left = height / TYPICAL**2 / 0.6 - HOUR * pace_of(kelvin, OIL)
    late = HOUR + left / pace_of(room, OIL)
    assert cooling.reached(TYPICAL, height).high == pytest.approx(late)
    assert late > warm.reached(TYPICAL, height).high
    warmed = fall_of(0.0, HOUR, [(0.0, room)], OIL, (SURFACE, STANDPIPE), kelvin)
    assert warmed.slow == warmed.pace  # a warmer room makes no end later


def test_told_in_the_order_in_which_it_happens() -> None:
    kelvin = ZERO + 25.0
    assert texts.told(fell(60.0, kelvin), 15e-6, None, UTC)[0].startswith("It has only begun to settle")
    down, follows, drain = texts.told(fell(3 * HOUR, kelvin), 15e-6, None, UTC)
    assert down == "Drops of 34 µm (32 to 43 µm) and more have fallen below the standpipe."
    assert follows == "Those of 15 µm are down by about 14:47 (12:51 to 00:38 tomorrow)."
    assert drain.startswith("Drain first at about 04:57 (04:18 to 08:15)")
    chosen = texts.told(fell(3 * HOUR, kelvin), 20e-6, None, UTC)[1]
    assert chosen == "Those of 20 µm are down by about 08:19 (07:13 to 13:51)."
    down, follows, drain = texts.told(fell(40 * HOUR, kelvin), 15e-6, None, UTC)
    assert follows == "Those of 15 µm were down at about 14:47 yesterday."
    assert drain == "Drain what settled: drops of 30 µm have sunk to the bottom."
    low = fall_of(0.0, HOUR, [(0.0, kelvin)], OIL, (0.1, STANDPIPE))
    assert texts.told(low, 15e-6, None, UTC) == ("No fuel stands above the standpipe.",)
