"""What bubbles alone do to a level, and what they cannot do."""

import math

import pytest

from drydown.alarms.wander import FOAM, LATELY, LIFTED, MOST, SEEN, STANDS, Crest, Wander

GAS = 0.020  # m³


def explained(until: float, swing: float, leak: float = 0.0) -> float:
    """After so many s of bubbling; the volume swings by so much (m³), and from SEEN on it leaks (m³/s)."""
    wander, told = Wander(), 0.0
    for second in range(0, int(until), 10):
        volume = 0.170 + swing / 2 * math.sin(second / 100) - leak * max(0.0, second - SEEN)
        told = wander.explained(float(second), True, volume, GAS)
    return told


def test_until_it_is_known_how_it_wanders_much_of_the_gas_may_be_behind_a_fall() -> None:
    assert explained(SEEN / 2, 0.001) == MOST * GAS


@pytest.mark.parametrize("swing", [0.001, 0.002])
def test_then_it_is_more_than_what_it_wandered_so_far(swing: float) -> None:
    assert 2 * swing < explained(2 * SEEN, swing) <= 3 * swing


def test_a_leak_does_not_explain_itself_away() -> None:
    before = explained(SEEN, 0.001)
    assert explained(SEEN + 300, 0.001, leak=1e-3 / 60) <= max(before, MOST * GAS / 2)


def test_at_rest_nothing_is_explained_and_all_is_forgotten() -> None:
    wander = Wander()
    for second in range(0, 3000, 10):
        wander.explained(float(second), True, 0.170 - second * 1e-6, GAS)
    assert wander.explained(3000.0, False, 0.150, 0.0) == 0.0
    assert wander.explained(3010.0, True, 0.150, GAS) == MOST * GAS


def rises(levels: list[tuple[float, float]]) -> list[float]:
    crest = Crest()
    return [crest.rise(time, True, level) for time, level in levels]


def test_foam_shows_however_slowly_it_rises_within_minutes() -> None:
    level = [(float(t), 0.80 + max(0.0, t - 600) * 0.06 / LATELY) for t in range(0, 1000, 5)]
    told = rises(level)
    assert told[120] == pytest.approx(0.0, abs=1e-9)
    assert max(told[: int((600 + LATELY) / 5)]) > FOAM


def test_the_lift_of_the_bubbles_and_their_wandering_is_no_foam() -> None:
    lift = [
        (float(t), 0.70 + 0.08 * min(1.0, t / LIFTED) + 0.01 * math.sin(t / 90)) for t in range(0, 9000, 5)
    ]
    assert max(rises(lift)) < FOAM


def test_what_stands_higher_for_long_was_poured_in() -> None:
    poured = [(float(t), 0.80 if t < 1000 else 0.87) for t in range(0, int(1000 + STANDS + LATELY + 60), 5)]
    told = rises(poured)
    assert max(told) == pytest.approx(0.07)
    assert told[-1] == 0.0
