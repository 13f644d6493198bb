"""Fuel that stands at rest in a tank, by the record: since when, how warm meanwhile, how high."""

from dataclasses import dataclass

from drydown.batches.batch import batch_of
from drydown.config.model import Tank
from drydown.physics.plain import FEEDSTOCKS
from drydown.quantities import ZERO_CELSIUS
from drydown.run.movement import NOTABLE, LevelKind
from drydown.settling.drains import Advice, advice, drainages
from drydown.settling.fall import Fall, Warmth, fall_of
from drydown.settling.rest import STEADY
from drydown.store.read import Event, Run, StoreReader

LATEST, ALL = 1e11, 1_000_000  # Unix s, later than anything; events
POINTS = 240  # of the temperature: every six minutes of a day

AT_REST = {
    "settling": ("settling",),
    "resting": ("paused", "resting"),
    "ready": ("paused", "resting", "ready"),
}
"""By the stage: those through which the fuel stood still."""


@dataclass(frozen=True, slots=True)
class Still:
    """`stage` is empty before any. `fall` is None while nothing settles, or where that is not on record.

    `drained` is what the drains since then tell to do, if there were any.
    """

    stage: str
    fall: Fall | None
    drained: Advice | None = None

    @property
    def is_at_rest(self) -> bool:
        """Whether something settles by the stage."""
        return self.stage in AT_REST


def recorded_stillness(reader: StoreReader, tank: Tank) -> Still:
    """As the record has it at its end; what is filled in anew begins to settle anew."""
    runs = reader.runs(tank.name, 1)
    if not runs:
        return Still("", None)
    stage = runs[0].stages[-1][1]
    fall = _fall(reader, tank, runs[0]) if stage in AT_REST else None
    return Still(stage, fall, _drained(reader, tank, fall) if fall else None)


def _drained(reader: StoreReader, tank: Tank, fall: Fall) -> Advice | None:
    lines = [one.body for one in reader.events(tank.name, fall.since, LATEST, ("level", "command"), ALL)]
    batch = batch_of(fall.since, None, lines, 0.0, None)
    volume = reader.last(tank.name, "fuel/volume", fall.since, LATEST)
    return advice(drainages(batch.drained, batch.moved), volume)


def _fall(reader: StoreReader, tank: Tank, run: Run) -> Fall | None:
    since = stands_since(reader, tank, run, LATEST)
    points = warmth(reader, tank, since, LATEST)
    if not points:
        return None
    last = points[-1][0]
    newest = reader.series(tank.name, "fuel/temperature", last, LATEST, POINTS)
    level = reader.series(tank.name, "fuel/level", max(since, last - STEADY), LATEST, 1)
    if not newest or level is None or not level.value:
        return None
    oil = FEEDSTOCKS[tank.fuel.feedstock]
    celsius = reader.last(tank.name, "air/temperature", last - STEADY, LATEST)
    room = None if celsius is None else celsius + ZERO_CELSIUS
    return fall_of(since, newest.time[-1], points, oil, (level.value[-1], tank.standpipe), room)


def warmth(reader: StoreReader, tank: Tank, since: float, until: float) -> list[Warmth]:
    """How warm the fuel was between two times (Unix s), thinned: the mean of each stretch, at its start."""
    found = reader.series(tank.name, "fuel/temperature", since, until, POINTS)
    if found is None:
        return []
    return [(time, celsius + ZERO_CELSIUS) for time, celsius in zip(found.time, found.value, strict=True)]


def stands_since(reader: StoreReader, tank: Tank, run: Run, until: float) -> float:
    """When the last stretch of stages at rest began, or the last notable filling in it ended; Unix s."""
    through, since = AT_REST[run.stages[-1][1]], run.start
    for time, stage in reversed(run.stages):
        if stage not in through:
            break
        since = time
    moved = reader.events(tank.name, since, until, ("level",), ALL)
    return max([since, *(one.time for one in moved if _is_filling(one))])


def _is_filling(moved: Event) -> bool:
    volume = float(moved.body["volume"]["median"])
    return moved.body["level"] == LevelKind.FILLING and volume > NOTABLE
