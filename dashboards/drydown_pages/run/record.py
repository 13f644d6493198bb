"""What was recorded of one run, as far as its page tells of it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from drydown.config.model import Tank
from drydown.estimate.result import Spread

Line = Mapping[str, Any]
"""An estimate or an event, as `drydown.lines` has it."""

UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Stretch:
    """Something that held from one Unix time to another (s)."""

    start: float
    end: float
    what: str


@dataclass(frozen=True, slots=True)
class Range:
    """A quantity over a run, in the unit it is sent in: where it began and ended, its extremes, and when."""

    first: float
    last: float
    least: float
    least_at: float
    most: float
    most_at: float


@dataclass(frozen=True, slots=True)
class RunRecord:
    """One run. Times in Unix s, volume in m³ at 15 °C, `driven_off` in kg of methanol, run time in s.

    `until` is its end, or while it lasts the last moment that was recorded. `ranges` are by series, from the
    blower's first start to its last stop; `estimates` and `events` are in order of time.
    """

    tank: Tank
    name: str
    start: float
    until: float
    ended: bool
    stages: Sequence[tuple[float, str]]
    run_time: float
    volume: float | None = None
    driven_off: Spread | None = None
    blower: Sequence[Stretch] = ()
    vent: Sequence[Stretch] = ()
    ranges: Mapping[str, Range] = field(default_factory=dict)
    estimates: Sequence[Line] = ()
    events: Sequence[Line] = ()

    @property
    def believed(self) -> list[Line]:
        """The estimates that tell how much is left."""
        return [one for one in self.estimates if one["methanol"] is not None and one["water"] is not None]

    @property
    def ran(self) -> list[Stretch]:
        """When the blower is known to have run."""
        return [one for one in self.blower if one.what == "on"]


def stretches(turns: Iterable[tuple[float, str]], until: float) -> tuple[Stretch, ...]:
    """What held until the next turn, the same once where it is said twice."""
    said = list(turns)
    ends = [time for time, _ in said[1:]] + [until]
    whole = [Stretch(time, end, what) for (time, what), end in zip(said, ends, strict=False) if end > time]
    found = []
    for what, same in groupby(whole, key=lambda one: one.what):
        several = list(same)
        found.append(Stretch(several[0].start, several[-1].end, what))
    return tuple(found)
