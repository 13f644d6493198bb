"""A small chart of numbers by day, as places to draw: no script, no library, and it prints."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo

from drydown.texts.amounts import short_date
from drydown.trend import Line

WIDTH, HEIGHT = 340, 170
LEFT, RIGHT, TOP, BOTTOM = 42, 8, 26, 26
TICKS = 4  # steps between the lowest and the highest line of the grid, about
STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Point:
    """A number of a day (Unix s), with its range where there is one."""

    time: float
    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """Where a point is drawn, and between which heights its range."""

    x: float
    y: float
    top: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Chart:
    """Everything to draw; `rule` is the trend's line as x1, y1, x2, y2 or nothing."""

    marks: tuple[Mark, ...]
    rule: tuple[float, float, float, float] | None
    ticks: tuple[tuple[float, str], ...]
    first_day: str
    last_day: str
    unit: str
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    foot: int = HEIGHT - BOTTOM


@dataclass(frozen=True, slots=True)
class Unit:
    """What heights are labelled in: values times `factor`."""

    name: str
    factor: float


def chart_of(points: Sequence[Point], line: Line | None, unit: Unit, zone: tzinfo) -> Chart:
    """Points in order of time, at least two; `line` is drawn if given."""
    begin, end = points[0].time, points[-1].time
    ends = [one for point in points for one in (point.value, point.low, point.high) if one is not None]
    marked = steps(min(0.0, *ends) * unit.factor, max(ends) * unit.factor)
    grid = [one / unit.factor for one in marked]

    def across(time: float) -> float:
        share = (time - begin) / (end - begin) if end > begin else 0.5
        return round(LEFT + share * (WIDTH - LEFT - RIGHT), 1)

    def up(value: float) -> float:
        share = (value - grid[0]) / (grid[-1] - grid[0])
        return round(HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM), 1)

    def mark(point: Point) -> Mark:
        low = point.value if point.low is None else point.low
        high = point.value if point.high is None else point.high
        return Mark(across(point.time), up(point.value), up(high), up(low))

    rule = None
    if line is not None:
        rule = across(begin), up(line.at(begin)), across(end), up(line.at(end))
    return Chart(
        marks=tuple(map(mark, points)),
        rule=rule,
        ticks=tuple((up(value), f"{one:g}") for value, one in zip(grid, marked, strict=True)),
        first_day=short_date(begin, zone),
        last_day=short_date(end, zone),
        unit=unit.name,
    )


def steps(low: float, high: float) -> list[float]:
    """Round numbers, evenly spaced, from at most `low` to at least `high`."""
    span = (high - low) or abs(high) or 1.0
    power = 10.0 ** math.floor(math.log10(span / TICKS))
    step = next(power * one for one in STEPS if power * one >= span / TICKS * 0.999)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [float(f"{i * step:.12g}") for i in range(first, max(last, first + 1) + 1)]
