"""One draw as the level recorded it: its readings gathered, and what of its time the fuel really ran."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from statistics import median

from drydown.drawing.descent import Point

GATHERED, MOST_POINTS = 10.0, 60  # s of readings that make a point, or more in a long draw
EDGE = 0.05  # of the fall at either end, where the tap is opened and closed
NEAR = 7  # steps to either side, among which one that does not fall is a pause
PLAIN = 0.006  # m that it falls in a step, from which on a pause can be told from the gauge's noise
HALTED = 0.25  # of what the steps near it fall
LEAST, ENOUGH = 0.005, 6  # m³ and points, from which on a draw tells how fast it runs


@dataclass(frozen=True, slots=True)
class Draw:
    """From `start` to `end` (Unix s), `volume` in m³ at 15 °C.

    `points` are of the time in which the fuel ran; none where too few tell.
    """

    start: float
    end: float
    volume: float
    points: tuple[Point, ...] = ()


def draw_of(start: float, end: float, volume: float, readings: Iterable[Point]) -> Draw:
    """A draw that was recorded; `readings` are the levels in that time, in its order."""
    points = _inside(_gathered(start, end, readings))
    tells = volume >= LEAST and len(points) >= ENOUGH
    return Draw(start, end, volume, tuple(_without_pauses(points)) if tells else ())


def _gathered(start: float, end: float, readings: Iterable[Point]) -> list[Point]:
    step = max(GATHERED, (end - start) / MOST_POINTS)
    groups = (list(group) for _, group in groupby(readings, lambda one: (one[0] - start) // step))
    return [(sum(t for t, _ in group) / len(group), median(h for _, h in group)) for group in groups]


def _inside(points: Sequence[Point]) -> list[Point]:
    """Those between the edges: the tap is neither being opened nor closed."""
    if not points:
        return []
    top, bottom = points[0][1], points[-1][1]
    edge = EDGE * (top - bottom)
    return [point for point in points if bottom + edge <= point[1] <= top - edge]


def _without_pauses(points: Sequence[Point]) -> list[Point]:
    """The same with later times moved up by what a full can took to be put away."""
    rates = [(before[1] - after[1]) / (after[0] - before[0]) for before, after in pairwise(points)]
    moved, found = 0.0, [points[0]]
    for i, (before, after) in enumerate(pairwise(points)):
        usual, lasted = median(rates[max(0, i - NEAR) : i + NEAR + 1]), after[0] - before[0]
        if usual * lasted >= PLAIN and rates[i] < HALTED * usual:
            moved += lasted * (1.0 - max(rates[i], 0.0) / usual)
        found.append((after[0] - moved, after[1]))
    return found
