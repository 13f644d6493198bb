"""How a level moves: readings gathered into points, and straight lines through them."""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, nan, sqrt
from statistics import median

GATHERED = 10.0  # s of readings that make one point
KEPT = 120  # points
SCATTERED = 4  # points, from which their scatter about a line can be told

Point = tuple[float, float]
"""A time in s and a volume in m³."""


class Points:
    """The last minutes of a volume: one point for every ten seconds, or every reading if there are fewer."""

    def __init__(self) -> None:
        self._kept: deque[Point] = deque(maxlen=KEPT)
        self._gathering: list[Point] = []
        self._closed: float | None = None

    def __len__(self) -> int:
        return len(self._kept)

    @property
    def gathers(self) -> bool:
        """Whether a point has been begun."""
        return bool(self._gathering)

    def add(self, time: float, volume: float) -> bool:
        """Take in a reading; whether it completes a point."""
        if self._closed is None:
            self._closed = time
        self._gathering.append((time, volume))
        if time < self._closed + GATHERED:
            return False
        self._closed = time
        mean = sum(t for t, _ in self._gathering) / len(self._gathering)
        self._kept.append((mean, median(v for _, v in self._gathering)))
        self._gathering.clear()
        return True

    def keep(self, count: int) -> None:
        """Forget all but the newest so many."""
        while len(self._kept) > count:
            self._kept.popleft()
        if count == 0:
            self._gathering.clear()
            self._closed = None

    def last(self, count: int) -> list[Point]:
        """The newest so many, the oldest first."""
        return list(self._kept)[-count:]

    def since(self, time: float) -> list[Point]:
        """Those from a time on."""
        return [point for point in self._kept if point[0] >= time]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line through points, by least squares.

    `slope` and its standard `error` are in m³/s; `scatter` is the standard deviation about it (m³), NaN where
    too few points tell; `squares` the sum of the squared distances.
    """

    slope: float
    error: float
    scatter: float
    squares: float
    beginning: float  # its value at the first point, m³


def line_through(points: Sequence[Point], noise: float) -> Line:
    """Through two points or more; `noise` (m³) is the least scatter of a point that is assumed."""
    count = len(points)
    mean_t = sum(t for t, _ in points) / count
    mean_v = sum(v for _, v in points) / count
    spread = sum((t - mean_t) ** 2 for t, _ in points)
    slope = sum((t - mean_t) * (v - mean_v) for t, v in points) / spread
    squares = sum((v - mean_v - slope * (t - mean_t)) ** 2 for t, v in points)
    scatter = sqrt(squares / (count - 2)) if count >= SCATTERED else nan
    assumed = max(noise, scatter) if count >= SCATTERED else noise
    return Line(slope, assumed / sqrt(spread), scatter, squares, mean_v + slope * (points[0][0] - mean_t))


def is_step(points: Sequence[Point], line: Line) -> bool:
    """Whether two levels with a step between them fit better than the line: it moved, and moves no more."""
    offset = points[0][1]
    volumes = [v - offset for _, v in points]
    count, total, squares = len(volumes), sum(volumes), sum(v * v for v in volumes)
    best, left = inf, volumes[0]
    for i in range(2, count - 1):
        left += volumes[i - 1]
        right = total - left
        best = min(best, squares - left * left / i - right * right / (count - i))
    return best < line.squares
