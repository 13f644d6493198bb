"""The daily course of the air from its record: each whole day that was seen is one the next may be like.

Whole days are taken rather than means and deviations hour by hour, because warm hours are dry ones and a damp
day stays damp: what belongs together stays together.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping

from drydown.outlook.air import (
    COLDEST,
    DRIEST,
    HOTTEST,
    HOUR,
    HOURS,
    MOST_COURSES,
    AirAhead,
    Foreseen,
    Hour,
    between,
)

LOOK_BACK = 10 * 24  # h within which days are looked for
LONGEST_GAP = 3  # h between two hours that are known, across which a straight line is drawn
FADING = 6.0  # h in which what today is unlike a day of the record fades; judgement
WANDERING = 3.0  # h of wandering by which the next day may differ from a single day of record; judgement

Points = Iterable[tuple[float, float]]
"""Times (Unix s) and values, in SI."""


def hourly(temperatures: Points, humidities: Points, first: float) -> dict[int, Hour]:
    """Means over the hour about each full hour, counted from `first` (Unix s): −1 is an hour before it."""
    warm, damp = _means(temperatures, first), _means(humidities, first)
    return {at: Hour(warm[at], damp[at]) for at in warm.keys() & damp.keys()}


def by_days(hours: Mapping[int, Hour], first: float, now: float) -> Foreseen | None:
    """The hours from `first` on, `now` both Unix s; None where no whole day is known.

    Where it is known what the air is like now, each day is moved to begin there; that fades in hours.
    """
    known = {at: hour for at, hour in hours.items() if at < 0}
    found = [(-24 * back, _day(known, -24 * back)) for back in range(1, LOOK_BACK // 24 + 1)]
    days = [(at, day) for at, day in found if day is not None][:MOST_COURSES]
    if not days:
        return None
    present = known.get(-1)
    courses = tuple(_moved(day, _at(known, at - 1), present) for at, day in days)
    most = WANDERING / len(days)
    doubt = tuple(most * (1.0 - _fading(k)) for k in range(HOURS))
    return Foreseen(AirAhead(first - now, courses, doubt), first, tuple(first + HOUR * at for at, _ in days))


def _means(points: Points, first: float) -> dict[int, float]:
    found: dict[int, list[float]] = defaultdict(list)
    for time, value in points:
        found[math.floor((time - first) / HOUR + 0.5)].append(value)
    return {at: sum(values) / len(values) for at, values in found.items()}


def _day(known: Mapping[int, Hour], begin: int) -> list[Hour] | None:
    """A day's 24 hours; None where too many are unknown."""
    hours = [_at(known, at) for at in range(begin, begin + 24)]
    return [hour for hour in hours if hour is not None] if None not in hours else None


def _at(known: Mapping[int, Hour], at: int) -> Hour | None:
    """What it was at an hour, between hours that are known if need be, or an hour before or after."""
    before = next((at - k for k in range(LONGEST_GAP) if at - k in known), None)
    after = next((at + k for k in range(LONGEST_GAP) if at + k in known), None)
    if before is not None and after is not None and after - before <= LONGEST_GAP:
        share = (at - before) / (after - before) if after > before else 0.0
        return between(known[before], known[after], share)
    return next((known[near] for near in (at - 1, at + 1) if near in known), None)


def _moved(day: list[Hour], then: Hour | None, present: Hour | None) -> tuple[Hour, ...]:
    """A day's course over all hours ahead, begun where the air is now instead of where it was `then`."""
    off = Hour(0.0, 0.0)
    if then is not None and present is not None:
        off = Hour(present.temperature - then.temperature, present.humidity - then.humidity)
    return tuple(
        Hour(
            _held(day[k % 24].temperature + _fading(k) * off.temperature, COLDEST, HOTTEST),
            _held(day[k % 24].humidity + _fading(k) * off.humidity, DRIEST, 1.0),
        )
        for k in range(HOURS)
    )


def _fading(hour: int) -> float:
    """What is left, at the k-th hour ahead, of what the last hour was off by."""
    return math.exp(-(hour + 1) / FADING)


def _held(value: float, least: float, most: float) -> float:
    return min(max(value, least), most)
