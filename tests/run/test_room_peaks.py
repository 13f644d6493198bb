"""What a run did to the room, gathered from its readings."""

from itertools import permutations

import pytest

from drydown.estimate.result import Spread
from drydown.reading import Reading
from drydown.run.room_peaks import NEEDED, OFF_GAS, PRESENT, ROOM, Peak, RoomPeaks


def told(name: str, time: float, median: float) -> list[Reading]:
    ends = {"": median, "/low": median / 2, "/high": median * 2}
    return [Reading(name + end, time, value) for end, value in ends.items()]


def around(median: float) -> Spread:
    return Spread(median, median / 2, median * 2)


def fed(*readings: Reading) -> RoomPeaks:
    peaks = RoomPeaks()
    for reading in readings:
        peaks.take(reading)
    return peaks


ON, OFF = Reading("blower/running", 0.0, True), Reading("blower/running", 0.0, False)


def test_the_greatest_counts_with_its_range_and_time() -> None:
    peaks = fed(ON, *told(ROOM, 60.0, 1e-3), *told(ROOM, 120.0, 3e-3), *told(ROOM, 180.0, 2e-3))
    assert peaks.peaks == {ROOM: Peak(120.0, around(3e-3))}
    assert peaks.above_until == 180.0


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_the_ends_of_a_range_come_in_any_order(order: tuple[int, ...]) -> None:
    readings = told(PRESENT, 60.0, 0.5)
    assert fed(*(readings[i] for i in order)).present == around(0.5)


def test_a_range_is_made_of_one_moment() -> None:
    mixed = [*told(ROOM, 60.0, 1e-3)[:2], told(ROOM, 120.0, 1e-3)[2]]
    assert fed(*mixed).peaks == {}


@pytest.mark.parametrize("name", [OFF_GAS, NEEDED])
def test_what_would_be_if_the_blower_started_is_no_peak(name: str) -> None:
    assert fed(OFF, *told(name, 60.0, 9.0)).peaks == {}
    assert fed(OFF, *told(name, 60.0, 9.0), ON, *told(name, 120.0, 2.0)).peaks == {
        name: Peak(120.0, around(2.0))
    }


def test_nothing_told_is_nothing_kept() -> None:
    peaks = fed(ON, Reading(ROOM, 1.0, None), Reading("fuel/level", 1.0, 0.6))
    assert (peaks.peaks, peaks.present, peaks.above_until) == ({}, None, None)
