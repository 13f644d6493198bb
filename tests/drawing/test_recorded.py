"""A draw as the level's watch finds it, read back from the levels of that time."""

from math import sqrt
from random import Random

import pytest

from drydown.drawing.descent import Point
from drydown.drawing.draws import Draw, draw_of
from drydown.drawing.hose import Hose
from drydown.effects import LevelEvent
from drydown.run.fuel_level import FuelLevel
from drydown.run.level_watch import LevelWatch
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage
from support.boathouse import heron
from support.drawn import AREA, DRUM, STANDPIPE, falling

K, OUTLET = 2.5e-4, -0.4
QUIET, NOISE = 600.0, 0.0015  # s before and after; m


def told_by(levels: list[Point]) -> LevelEvent:
    gauge, watch = FuelLevel(heron()), LevelWatch(heron())
    events: list[LevelEvent] = []
    for time, level in levels:
        gauge.observe(time, level, False)
        events += watch.observe(time, level, gauge, 288.15, Stage.READY)
    (event,) = events
    assert event.kind is LevelKind.DRAW
    return event


def an_hour_of(swap: float) -> list[Point]:
    """At rest, a draw from 0.7 to 0.4 m that halts for `swap` seconds after every 20 L, and at rest again."""
    dice = Random(f"swap {swap}")
    rest = [(2.0 * i, 0.7 + dice.gauss(0.0, NOISE)) for i in range(int(QUIET / 2))]
    moved, can, levels = QUIET, 0.0, rest
    for after, level in falling(0.7, 0.4, OUTLET, K, 0.0, dice):
        if (0.7 - level) * AREA - can > 0.020:
            can += 0.020
            levels += [
                (moved + after + 2.0 * i, level + dice.gauss(0.0, NOISE)) for i in range(int(swap / 2))
            ]
            moved += swap
        levels.append((moved + after, level + dice.gauss(0.0, NOISE)))
    last = levels[-1][0]
    return levels + [(last + 2.0 * i, 0.4 + dice.gauss(0.0, NOISE)) for i in range(1, int(QUIET / 2))]


def recorded(levels: list[Point], event: LevelEvent) -> Draw:
    inside = [point for point in levels if event.start <= point[0] <= event.time]
    return draw_of(event.start, event.time, event.volume.median, inside)


@pytest.mark.parametrize("swap", [0.0, 20.0])
def test_the_flow_is_found_again(swap: float) -> None:
    levels = an_hour_of(swap)
    event = told_by(levels)
    flow = Hose(DRUM, STANDPIPE, [recorded(levels, event)]).flow(0.55)
    truth = K * sqrt(0.55 - OUTLET)
    assert flow.low < truth < flow.high
    assert flow.median == pytest.approx(truth, rel=0.05)
