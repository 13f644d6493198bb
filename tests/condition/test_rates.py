"""Rates that no tank can have, in steps of which each looks innocent."""

import pytest

from drydown.condition import kinds, table
from drydown.condition.judge import condition, new_state
from drydown.quantities import ZERO_CELSIUS
from drydown.reading import Quality, Reading


def ramp(name: str, start: float, rate: float, seconds: int) -> list[Quality]:
    """What becomes of a value that changes evenly, read once a second."""
    state, found = new_state({}), []
    for second in range(seconds):
        reading = Reading(name, float(second), start + rate * second)
        (judged, *_) = condition(float(second), [reading], state)
        found.append(judged.quality)
    return found


@pytest.mark.parametrize(
    ("name", "start", "rate", "doubted_by", "bad_by"),
    [
        ("fuel/temperature", ZERO_CELSIUS + 20, 1.2, 5, 60),
        ("fuel/temperature", ZERO_CELSIUS + 100, -1.5, 5, 60),
        ("air/temperature", ZERO_CELSIUS + 0, 0.8, 10, 60),
        ("blower/motor_temperature", ZERO_CELSIUS - 20, 2.0, 10, 60),
    ],
)
def test_a_ramp_is_doubted_soon_and_bad_within_a_minute(
    name: str, start: float, rate: float, doubted_by: int, bad_by: int
) -> None:
    found = ramp(name, start, rate, 70)
    assert all(quality is not Quality.GOOD for quality in found[doubted_by:])
    assert Quality.BAD in found[: bad_by + 1]


@pytest.mark.parametrize(
    ("name", "start", "rate"),
    [
        (
            "fuel/temperature",
            ZERO_CELSIUS + 20,
            0.09,
        ),  # far faster than any heater: a fire under a small tank
        ("fuel/level", 0.1, 0.01),  # a hose of two inches by gravity
        ("blower/discharge_temperature", ZERO_CELSIUS + 20, 0.4),
    ],
)
def test_what_a_tank_can_do_is_good(name: str, start: float, rate: float) -> None:
    assert set(ramp(name, start, rate, 60)) == {Quality.GOOD}


def test_what_is_kept_of_the_past_is_bounded() -> None:
    state = new_state({})
    for number in range(5000):
        condition(number / 100, [Reading("fuel/temperature", number / 100, 300.0 + number % 2 / 16)], state)
    assert len(state.tracks["fuel/temperature"].past) <= table.PAST_KEPT + 1


def test_every_fault_can_be_told() -> None:
    assert len({fault.title for fault in kinds.FAULTS}) == len(kinds.FAULTS)
    assert all(fault.noticed and fault.within and fault.told for fault in kinds.FAULTS)
