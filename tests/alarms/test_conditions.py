"""What is wrong with a tank at one moment, from what is known of it."""

from collections.abc import Mapping
from typing import Any

import pytest

from drydown.alarms import conditions
from drydown.alarms.scene import Finding, Loss, Scene
from drydown.commands import Part
from support.boathouse import CELSIUS, heron

RUNS, RESTS = {"blower/running": True}, {"blower/running": False}
OPEN, CLOSED = {"vent/open": True}, {"vent/open": False}
LOST = Loss(0.0, "no answer")


def scene(values: Mapping[str, float | bool], *lost: str, **more: Any) -> Scene:
    return Scene(heron(), values=dict(values), lost=dict.fromkeys(lost, LOST), **more)


def kind(finding: Finding | None) -> tuple[str, str] | None:
    return None if finding is None else (str(finding.priority), finding.cause)


@pytest.mark.parametrize(
    ("known", "lost", "expected"),
    [
        (RUNS | CLOSED, (), ("emergency", "value")),
        (RUNS | OPEN, (), None),
        (RESTS | CLOSED, (), None),
        (RUNS, ("vent/open",), ("emergency", "lost")),
        (RESTS, ("vent/open",), None),
        (CLOSED, ("blower/running",), ("emergency", "lost")),
        (OPEN, ("blower/running",), None),
        ({}, ("vent/open", "blower/running"), ("emergency", "lost")),
        (RUNS, (), None),  # the contact has not said anything yet
        ({}, (), None),
    ],
)
def test_vent_closed(known: dict[str, float | bool], lost: tuple[str, ...], expected: object) -> None:
    assert kind(conditions.vent_closed(scene(known, *lost), 0.0)) == expected


@pytest.mark.parametrize(
    ("best", "likely", "expected"),
    [
        (0.0061, 0.0059, None),
        (0.0065, 0.0061, ("high", "estimate")),
        (0.0160, 0.0149, ("high", "estimate")),
        (0.0160, 0.0151, ("emergency", "estimate")),
        (None, None, None),
    ],
)
def test_vapour_by_reckoning_has_to_be_likely(best: float, likely: float, expected: object) -> None:
    """Thresholds: 10 % and 25 % of the lower flammable limit, 6 % by volume (NIOSH Pocket Guide; NFPA 69)."""
    found = conditions.vapour_high(scene(RUNS, room_methanol=best, room_methanol_likely=likely), 0.0)
    assert kind(found) == expected
    if found:
        assert found.values["share"] == pytest.approx(best / 0.06)


def test_measured_vapour_counts_for_more_than_reckoning() -> None:
    fouled_air = {"room_methanol": 0.02, "room_methanol_likely": 0.02}
    assert conditions.vapour_high(scene(RUNS | {"vapour/methanol": 0.001}, **fouled_air), 0.0) is None
    found = conditions.vapour_high(scene(RUNS, "vapour/methanol", **fouled_air), 0.0)
    assert kind(found) == ("emergency", "estimate")


def test_vapour_that_nothing_can_tell_is_told() -> None:
    assert kind(conditions.vapour_high(scene(RESTS, "vapour/methanol"), 0.0)) == ("emergency", "lost")
    assert kind(conditions.vapour_high(scene(RUNS, "fuel/temperature"), 0.0)) == ("emergency", "lost")
    assert conditions.vapour_high(scene(RESTS, "fuel/temperature"), 0.0) is None


def test_the_deadband_keeps_an_alarm_standing() -> None:
    warm = scene({"fuel/temperature": 59.5 + CELSIUS})
    assert conditions.fuel_hot(warm, 0.0) is None
    assert kind(conditions.fuel_hot(warm, 1.0)) == ("emergency", "value")


def test_both_hot_parts_of_a_blower_are_subjects() -> None:
    hot = {"blower/motor_temperature": 95 + CELSIUS, "blower/discharge_temperature": 85 + CELSIUS}
    found = conditions.blower_hot(scene(hot), 0.0)
    assert found is not None
    assert found.values["probe"] == "blower/motor_temperature"
    assert len(found.subjects) == 2


def test_a_lost_probe_is_an_emergency_where_an_alarm_depends_on_it() -> None:
    needs = {"fuel-hot": frozenset({"fuel/temperature"}), "vent-closed": frozenset[str]()}
    assert kind(conditions.probe_fault(scene({}, "air/humidity", needs=needs), 0.0)) == ("high", "lost")
    both = conditions.probe_fault(scene({}, "air/humidity", "fuel/temperature", needs=needs), 0.0)
    assert kind(both) == ("emergency", "lost")
    assert both is not None
    assert both.values["probes"] == "air/humidity, fuel/temperature"
    assert both.values["blind"] == "fuel-hot"


def test_the_worst_part_gives_the_priority() -> None:
    degraded = scene({})
    degraded.degraded = {Part.BROKER: "away", Part.DISK: "full"}
    found = conditions.watch_degraded(degraded, 0.0)
    assert kind(found) == ("high", "disk")
    assert found is not None
    assert found.values == {"parts": "disk, broker", "reason": "full"}
