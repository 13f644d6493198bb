"""What conditioning remembers of the readings of one tank."""

import math
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field

from drydown.condition import table
from drydown.condition.pairs import Pairs
from drydown.config import model


@dataclass(slots=True)
class Track:
    """What is remembered of one quantity. Times are on the core's clock, in s."""

    name: str
    sensor: table.Sensor
    habit: table.Habit
    range: table.Range | None
    patience: float = table.SILENCE  # s without a word until it is absent, at the least
    time: float | None = None  # of the latest reading
    interval: float = 0.0  # that readings usually keep
    told_silent: float | None = None
    value: float | bool | None = None  # the latest that was believed
    believed: float = 0.0  # when that was
    past: deque[tuple[float, float]] = field(
        default_factory=deque
    )  # some of the last minute's, time and value
    doubted: float | None = None  # a value that changed by more than is possible
    confirmed_by: int = 0
    changed: float = 0.0  # when its digits last changed
    changes: int = 0
    digit: float = math.inf  # the smallest change so far
    usual_stillness: float = 0.0  # s between two changes, a running mean
    moves_then: int = 0  # of all probes, when it last changed


@dataclass(slots=True)
class State:
    """What conditioning remembers of one tank from step to step."""

    tracks: dict[str, Track]
    pairs: Pairs
    moves: int = 0  # changes of digits of all probes so far
    blowing_since: float | None = None

    def listen_anew(self, now: float) -> None:
        """Nobody could have been heard before now: silence counts from here."""
        for track in self.tracks.values():
            if track.time is not None:
                track.told_silent = now


def new_state(probes: Mapping[str, model.Probe]) -> State:
    """Nothing remembered yet. `probes` are the tank's configured ones; others count as of unknown kind."""
    return State({name: new_track(name, config) for name, config in probes.items()}, Pairs(probes))


def new_track(name: str, config: model.Probe | None) -> Track:
    """Nothing remembered of a quantity; None stands for a reading out of a file."""
    sensor = table.sensor_of(config)
    habit, may_read = table.HABITS.get(name, table.Habit()), table.range_of(name, sensor)
    return Track(name, sensor, habit, may_read, table.patience_with(config))
