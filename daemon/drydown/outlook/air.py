"""The air of the hours ahead, as it may be: one course or several that are equally likely."""

from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import NamedTuple

HOUR = 3600.0  # s
STARTS = 24  # hours at which a start is thought of
HOURS = 32  # that a course holds at most: the last start's eight hours too
MOST_COURSES = 7
COLDEST, HOTTEST = 233.15, 333.15  # K, of air that is believed
DRIEST = 0.02  # of one


class Hour(NamedTuple):
    """Air at a full hour: temperature (K) and relative humidity (of one)."""

    temperature: float
    humidity: float


@dataclass(frozen=True, slots=True)
class AirAhead:
    """Courses of one length, an hour's air after the other; after the last hour the air stays as it is.

    `first` is in how many seconds the first hour is. `doubt` has one number for each hour: how far the air
    may be from what a course says, as the hours in which unwatched air wanders so far.
    """

    first: float
    courses: tuple[tuple[Hour, ...], ...]
    doubt: tuple[float, ...]

    @property
    def starts(self) -> tuple[float, ...]:
        """In how many seconds each start is that is thought of."""
        return tuple(self.first + HOUR * k for k in range(min(STARTS, len(self.doubt))))


@dataclass(frozen=True, slots=True)
class Foreseen:
    """The air ahead and where it is known from; times in Unix s.

    `first` is the first hour. Out of the record: `days` tells when each of the days began that it was taken
    from, the newest first. Out of a table: `last` is the last hour that it tells of.
    """

    air: AirAhead
    first: float
    days: tuple[float, ...] = ()
    last: float | None = None


def next_full_hour(now: float, zone: tzinfo) -> float:
    """When the clock on the wall next shows a full hour; Unix s."""
    then = datetime.fromtimestamp(now, zone)
    past = then.minute * 60 + then.second + then.microsecond * 1e-6
    return now - past + HOUR if past else now


def between(before: Hour, after: Hour, share: float) -> Hour:
    """A share of the way from one to the other."""
    return Hour(
        (1.0 - share) * before.temperature + share * after.temperature,
        (1.0 - share) * before.humidity + share * after.humidity,
    )
