"""From values to places on the paper, and where the ticks of an axis stand."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, tzinfo

CLOSE = 18.0  # between ticks
NOTHING = 1e-30
MINUTE = 60.0
STEPS = [minutes * MINUTE for minutes in (1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080)]
"""What the ticks of a time axis may stand apart, in s."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Places between `start` and `end` for values between `low` and `high`, and beyond them for others.

    `ticks` are values with their labels.
    """

    low: float
    high: float
    start: float
    end: float
    ticks: tuple[tuple[float, str], ...] = ()
    is_log: bool = False

    def at(self, value: float) -> float:
        """The place of a value."""
        measure: Callable[[float], float] = _log if self.is_log else float
        share = (measure(value) - measure(self.low)) / (measure(self.high) - measure(self.low))
        return self.start + share * (self.end - self.start)

    def held(self, value: float) -> float:
        """The place of a value, or the rim where it lies beyond."""
        return self.at(min(max(value, self.low), self.high))


def linear(low: float, high: float, start: float, end: float, most: int = 6) -> Scale:
    """A scale from a round number at or below `low` to one at or above `high`."""
    step = _round_step((high - low) / most)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    places = max(0, -math.floor(math.log10(step)))
    ticks = tuple((n * step, f"{n * step:.{places}f}".replace("-", "−")) for n in range(first, last + 1))
    return Scale(first * step, last * step, start, end, ticks)


def logarithmic(low: float, high: float, start: float, end: float) -> Scale:
    """A scale between numbers that begin with 1, 2 or 5; ticks at each, or at 1 alone where they are many."""
    rounds = [m * 10.0**e for e in range(-12, 13) for m in (1, 2, 5)]
    first = max(i for i, value in enumerate(rounds) if value <= low * 1.000001)
    last = min(i for i, value in enumerate(rounds) if value >= high * 0.999999)
    chosen = rounds[first : last + 1]
    crowded = abs(end - start) < CLOSE * (len(chosen) - 1)
    shown = [value for value in chosen if not crowded or _begins_with_one(value)]
    ticks = tuple((value, f"{value:.10f}".rstrip("0").rstrip(".")) for value in shown)
    return Scale(chosen[0], chosen[-1], start, end, ticks, is_log=True)


def time(first: float, last: float, zone: tzinfo, start: float, end: float, most: int = 12) -> Scale:
    """A scale of Unix times (s) with ticks at round times of the day in the zone; at midnight the date."""
    last = max(last, first + MINUTE)
    step = next((step for step in STEPS if (last - first) / step <= most), STEPS[-1])
    offset = datetime.fromtimestamp(first, zone).utcoffset()
    ahead = offset.total_seconds() if offset else 0.0
    marks = range(math.ceil((first + ahead) / step), math.floor((last + ahead) / step) + 1)
    ticks = tuple((mark * step - ahead, _time_of_day(mark * step - ahead, zone)) for mark in marks)
    return Scale(first, last, start, end, ticks)


def _time_of_day(unix_time: float, zone: tzinfo) -> str:
    when = datetime.fromtimestamp(unix_time, zone)
    return when.strftime("%-d %b") if (when.hour, when.minute) == (0, 0) else when.strftime("%H:%M")


def _log(value: float) -> float:
    return math.log(max(value, NOTHING))


def _round_step(least: float) -> float:
    power = 10.0 ** math.floor(math.log10(least))
    return next(factor * power for factor in (1, 2, 5, 10) if factor * power >= least * 0.999999)


def _begins_with_one(value: float) -> bool:
    return f"{value:e}".startswith("1")
