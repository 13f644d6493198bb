"""What is to be looked after, how often, and what is due: a table, held against the logbook."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

HOUR, DAY = 3600.0, 86_400.0  # s


@dataclass(frozen=True, slots=True)
class Interval:
    """After so many s of the blower's running, or so many s at all, whichever comes first; None: not so."""

    blown: float | None
    lasted: float | None


INTERVALS: Mapping[str, Interval] = {
    "filter": Interval(None, 365.0 * DAY),
    "cover-cloth": Interval(20.0 * HOUR, 180.0 * DAY),
    "air-filter": Interval(25.0 * HOUR, 90.0 * DAY),
    "bubbler": Interval(50.0 * HOUR, 365.0 * DAY),
    "hoses": Interval(None, 180.0 * DAY),
    "blower": Interval(200.0 * HOUR, 365.0 * DAY),
}
"""By the parts that an entry "upkeep" of the logbook can name; all common practice, no source."""


@dataclass(frozen=True, slots=True)
class Done:
    """When (Unix s) and by whom it was last done."""

    time: float
    who: str


@dataclass(frozen=True, slots=True)
class Upkeep:
    """A part now. Without `last` it is counted from the first run on record. `blown`, `lasted` in s.

    `worn`: by its use it has to be changed, whatever the time.
    """

    part: str
    last: Done | None
    blown: float
    lasted: float
    worn: bool = False

    @property
    def interval(self) -> Interval:
        """How often it is to be done."""
        return INTERVALS[self.part]

    @property
    def used(self) -> float:
        """The share of its interval that is over; 1 and more is due."""
        counts = ((self.blown, self.interval.blown), (self.lasted, self.interval.lasted))
        return max(count / most for count, most in counts if most is not None)

    @property
    def is_due(self) -> bool:
        """Whether it should be done by now."""
        return self.worn or self.used >= 1.0


def last_done(entries: Iterable[Mapping[str, Any]]) -> dict[str, Done]:
    """By part, from the lines of the logbook in order of time."""
    return {
        line["values"]["part"]: Done(line["time"], line["who"])
        for line in entries
        if line["entry"] == "upkeep"
    }
