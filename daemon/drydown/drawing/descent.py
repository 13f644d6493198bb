"""How a tank empties by the fuel's own weight, and what a draw tells of tap, filter and hose.

Torricelli's law, any textbook of hydraulics: the flow is k √(h − z), where h − z is the height of the surface
above the hose's outlet and k = Cd a √(2 g) stands for all that the fuel runs through. So with a surface of A
A dh = −k √(h − z) dt: the integral of A/√(h − z) over the levels, here called the way of the surface, falls
evenly with time, and its slope is k. Thick fuel in a thin hose runs by another law in part; see `hose`.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from math import inf, sqrt

Point = tuple[float, float]
"""A time in s and a level in m above the tank's lowest point."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A strapping table: rising levels (m above the lowest point) and the volumes up to them (m³)."""

    levels: tuple[float, ...]
    volumes: tuple[float, ...]

    def volume(self, level: float) -> float:
        """m³ up to a level; one outside the table counts as its nearest end."""
        return _between(level, self.levels, self.volumes)

    def level(self, volume: float) -> float:
        """The level in m that a volume reaches."""
        return _between(volume, self.volumes, self.levels)

    def surface(self, level: float) -> float:
        """The area of the surface in m²."""
        cell = min(max(bisect_right(self.levels, level), 1), len(self.levels) - 1)
        rise = self.volumes[cell] - self.volumes[cell - 1]
        return rise / (self.levels[cell] - self.levels[cell - 1])


class Descent:
    """A tank whose hose ends `outlet` m above its lowest point, or below it where that is less than zero."""

    def __init__(self, shape: Shape, outlet: float) -> None:
        self.outlet = outlet
        self._shape = shape
        self._levels = [max(shape.levels[0], outlet), *(one for one in shape.levels if one > outlet)]
        self._ways = list(accumulate(map(self._cell, pairwise(self._levels)), initial=0.0))

    def way(self, level: float) -> float:
        """What the surface has before it from a level (m) down to outlet or bottom, in m^2.5."""
        inside = min(max(level, self._levels[0]), self._levels[-1])
        cell = bisect_right(self._levels, inside) - 1
        return self._ways[cell] + self._cell((self._levels[cell], inside))

    def weight(self, level: float) -> float:
        """By what a squared error of the way is to be multiplied to be one of the level, in m^-3."""
        return max(level - self.outlet, 0.0) / self._shape.surface(level) ** 2

    def _cell(self, ends: tuple[float, float]) -> float:
        low, high = ends
        if high <= low:
            return 0.0
        area = self._shape.surface(0.5 * (low + high))
        return 2.0 * area * (sqrt(high - self.outlet) - sqrt(low - self.outlet))


@dataclass(frozen=True, slots=True)
class Fit:
    """`coefficient` k in m^2.5/s with its standard `error`; `squares` (m²) is how far the levels lie off."""

    coefficient: float
    error: float
    squares: float


def fit(points: Sequence[Point], descent: Descent) -> Fit | None:
    """By least squares in the level, from three points or more; None where these do not fall."""
    weights = [descent.weight(level) for _, level in points]
    ways = [descent.way(level) for _, level in points]
    times = [time - points[0][0] for time, _ in points]
    total = sum(weights)
    if total <= 0.0:
        return None
    mean_t = sum(w * t for w, t in zip(weights, times, strict=True)) / total
    mean_y = sum(w * y for w, y in zip(weights, ways, strict=True)) / total
    trio = list(zip(weights, times, ways, strict=True))
    spread = sum(w * (t - mean_t) ** 2 for w, t, _ in trio)
    falling = -sum(w * (t - mean_t) * (y - mean_y) for w, t, y in trio)
    if spread <= 0.0 or falling <= 0.0:
        return None
    coefficient = falling / spread
    squares = sum(w * (y - mean_y + coefficient * (t - mean_t)) ** 2 for w, t, y in trio)
    error = sqrt(squares / (len(points) - 2) / spread) if len(points) > 2 else inf
    return Fit(coefficient, error, squares)


def _between(value: float, known: Sequence[float], wanted: Sequence[float]) -> float:
    if value <= known[0]:
        return wanted[0]
    if value >= known[-1]:
        return wanted[-1]
    cell = bisect_right(known, value)
    share = (value - known[cell - 1]) / (known[cell] - known[cell - 1])
    return wanted[cell - 1] + share * (wanted[cell] - wanted[cell - 1])
