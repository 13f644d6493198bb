"""The blower's fading, from the level: against the hold-up that the physics gives for a flow."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.estimate.blower_fade import BlowerFade
from drydown.physics import bubbling, fuel

KILOGRAMS, AREA = 150.0, 0.283  # of fuel, and of a tank 0.6 m wide
WARM, COOL = 308.15, 294.15  # K


def play(flows: list[float], noise: float = 0.001, draw: float = 0.0) -> BlowerFade:
    """Ten minutes of rest, then the flows (m³/s), one a minute, as the fuel cools by 14 K and 1.2 % leaves.

    `draw` (kg a minute) begins after half of it and lasts ten minutes. Noise in m³.
    """
    dice, found = Random(7), BlowerFade()
    for minute in range(10):
        found.note(minute * 60.0, False, KILOGRAMS / float(fuel.density(WARM)), WARM, 0.012)
    half, kilograms = len(flows) // 2, KILOGRAMS
    for i, flow in enumerate(flows):
        kilograms -= draw if half <= i < half + 10 else 0.0
        part = min(i / 40.0, 1.0)
        warm, methanol = WARM + part * (COOL - WARM), 0.012 * (1.0 - part)
        still = kilograms / float(fuel.density(warm)) - KILOGRAMS * (0.012 - methanol) / 787.0
        held = float(bubbling.gas_holdup(flow / AREA))
        found.note((10 + i) * 60.0, True, still / (1.0 - held) + dice.gauss(0.0, noise), warm, methanol)
    return found


@given(st.floats(0.3, 1.0), st.floats(0.008, 0.03))
def test_the_share_is_that_of_the_flow(share: float, flow: float) -> None:
    found = play([flow] * 30 + [share * flow] * 30, noise=0.0003).share()
    if found is None:
        assert float(bubbling.gas_holdup(flow / AREA)) < 0.1
        return
    assert found.median == pytest.approx(share, rel=0.12)
    assert found.low <= share <= found.high


@given(st.floats(0.008, 0.03))
def test_a_blower_that_gives_nothing_any_more_is_told_as_such(flow: float) -> None:
    found = play([flow] * 30 + [0.0] * 30, noise=0.0003).share()
    if found is not None:
        assert found.low == 0.0
        assert found.median < 0.05
        assert found.high < 0.5


def test_one_that_came_weak_from_the_start_is_known_by_the_little_that_it_lifts() -> None:
    rated = 0.015 / AREA
    weak, sound = play([0.002] * 5).share_of(rated), play([0.015] * 5).share_of(rated)
    assert weak
    assert weak.high < 0.6
    assert sound
    assert sound.low < 1.0 < sound.high
    assert play([0.015] * 2).share_of(rated) is None


def test_too_early_or_never_at_rest_tells_nothing() -> None:
    assert play([0.015] * 15).share() is None
    joined = BlowerFade()
    for minute in range(60):
        joined.note(minute * 60.0, True, 0.19, WARM, 0.012)
    assert joined.share() is None


def test_drawing_and_filling_are_no_fading() -> None:
    assert play([0.015] * 60, draw=2.0).share() is None
    assert play([0.015] * 60, draw=-2.0).share() is None


def test_a_pause_shows_the_level_again() -> None:
    found = play([0.015] * 60, draw=2.0)
    for minute in range(70, 80):
        found.note(minute * 60.0, False, 0.150, COOL, 0.0)
    held = float(bubbling.gas_holdup(0.015 / AREA))
    for minute in range(80, 110):
        found.note(minute * 60.0, True, 0.150 / (1.0 - held), COOL, 0.0)
    told = found.share()
    assert told
    assert told.median == pytest.approx(1.0)
