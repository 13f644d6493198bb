"""When the air is likely dry enough: only told where its own record shows it."""

import math
from random import Random

import pytest

from drydown.estimate.air_record import LONGEST, AirRecord

HOUR = 3600.0


def record(hours: float, slope: float, noise: float, seed: int = 0, wander: float = 0.0) -> AirRecord:
    """A record a minute of air at 1500 Pa now; slope, noise, and wander in an hour as shares."""
    dice, found, off = Random(seed), AirRecord(), 0.0
    minutes = int(hours * 60)
    for minute in range(minutes + 1):
        ahead = (minute - minutes) / 60.0
        off += dice.gauss(0.0, wander / math.sqrt(60.0))
        found.add(minute * 60.0, 1500.0 * math.exp(slope * ahead + off + dice.gauss(0.0, noise)))
    return found


def test_air_that_dries_steadily_is_told_of() -> None:
    """15 % an hour down: a tenth less (−0.105 in the logarithm) is there in 42 min, likely a little later."""
    after = record(3, -0.15, 0.005).falls_below(1350.0, 3 * HOUR)
    assert after is not None
    assert 42 * 60 <= after <= 75 * 60


@pytest.mark.parametrize(
    ("hours", "slope", "noise", "wander"),
    [
        (1.0, -0.15, 0.005, 0.0),  # too short
        (3.0, 0.0, 0.005, 0.0),  # steady
        (3.0, 0.05, 0.005, 0.0),  # damper
        (3.0, -0.02, 0.01, 0.0),  # would take longer than the record is
        (2.0, -0.06, 0.01, 0.25),  # restless
    ],
)
def test_silence_where_the_data_do_not_allow_it(
    hours: float, slope: float, noise: float, wander: float
) -> None:
    assert record(hours, slope, noise, 3, wander).falls_below(1350.0, hours * HOUR) is None


def test_a_stale_record_says_nothing() -> None:
    assert record(3, -0.15, 0.005).falls_below(1350.0, 3 * HOUR + 400.0) is None


def test_air_that_is_dry_enough_already() -> None:
    assert record(3, -0.15, 0.005).falls_below(1700.0, 3 * HOUR) == 0.0


def test_an_empty_record_says_nothing() -> None:
    assert AirRecord().falls_below(1000.0, 0.0) is None


def test_what_is_told_comes_true_nine_times_in_ten() -> None:
    """Air that goes down by 12 % an hour with a wandering of 3 % in an hour, own simulation."""
    kept = told = 0
    for seed in range(300):
        dice = Random(seed)
        logs, found, off = [], AirRecord(), 0.0
        for minute in range(361):
            off += dice.gauss(0.0, 0.03 / math.sqrt(60.0))
            logs.append(math.log(1500.0) - 0.12 * minute / 60 + off)
        for minute in range(181):
            found.add(minute * 60.0, math.exp(logs[minute] + dice.gauss(0.0, 0.005)))
        goal = logs[180] - 0.12
        after = found.falls_below(math.exp(goal), 180 * 60.0)
        if after is not None and 180 + after / 60 <= 360:
            told += 1
            kept += logs[180 + round(after / 60)] <= goal
    assert told >= 60
    assert kept / told >= 0.88


def test_it_looks_back_no_further_than_a_days_bend() -> None:
    """What was longer ago than the longest look back changes nothing."""
    dice = Random(5)
    whole, late = AirRecord(), AirRecord()
    for minute in range(600):
        pressure = 1500.0 * math.exp(-0.1 * minute / 60 + dice.gauss(0.0, 0.01))
        whole.add(minute * 60.0, pressure if (599 - minute) * 60.0 <= LONGEST else 2 * pressure)
        if (599 - minute) * 60.0 <= LONGEST:
            late.add(minute * 60.0, pressure)
    now = 599 * 60.0
    assert whole.falls_below(500.0, now) == late.falls_below(500.0, now)
