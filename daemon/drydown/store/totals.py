"""What a run came to, added up from what was recorded of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from drydown.effects import Change, Priority
from drydown.estimate.result import Spread
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage
from drydown.store.read import Run, StoreReader

EMISSION = "estimate/emission"
LONGEST = 120.0  # s that an estimate is taken to hold; they come once a minute
ALL = 1_000_000  # points of a series, none left out
LATEST = 1e12  # Unix s, later than anything
NONE = Spread(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Totals:
    """Of one run. Volumes in m³ at 15 °C.

    `run_time` is the blower's, in s. `volume` is what was in the tank when it first blew; `moved` what came
    in and went out by the level's kinds of events. `methanol` is what was driven off, in kg, None where
    nothing was estimated. `alarms` counts by priority how often one was raised.
    """

    run_time: float
    volume: float | None
    methanol: Spread | None
    moved: Mapping[LevelKind, Spread] = field(default_factory=dict)
    alarms: Mapping[Priority, int] = field(default_factory=dict)


def totals(reader: StoreReader, run: Run) -> Totals:
    """Add a run up, to its end or as far as it was recorded."""
    end = LATEST if run.end is None else run.end
    moved: dict[LevelKind, Spread] = {}
    alarms: dict[Priority, int] = {}
    for event in reader.events(run.tank, run.start, end, ["level", "alarm"], ALL):
        if event.kind == "level":
            kind, volume = LevelKind(event.body["level"]), Spread(**event.body["volume"])
            moved[kind] = _sum(moved.get(kind, NONE), volume)
        elif event.body["change"] == Change.RAISED:
            priority = Priority(event.body["priority"])
            alarms[priority] = alarms.get(priority, 0) + 1
    begun = run.blown
    counts = (
        reader.last(run.tank, "blower/run_time", start, until) for start, until in pairwise([*begun, end])
    )
    before = reader.last(run.tank, "fuel/volume", run.start, begun[0] if begun else end)
    return Totals(sum(filter(None, counts)), before, _driven_off(reader, run, end), moved, alarms)


def _driven_off(reader: StoreReader, run: Run, end: float) -> Spread | None:
    """The emission over time. The ends of its range are taken to go together: what is unknown stays so."""
    entered = [*run.stages, (end, "")]
    spans = [(time, then) for (time, stage), (then, _) in pairwise(entered) if stage == Stage.BUBBLING]
    masses = [_added_up(reader, run.tank, EMISSION + tail, spans) for tail in ("", "/low", "/high")]
    told = [mass for mass in masses if mass is not None]
    return Spread(*told) if len(told) == len(masses) else None


def _added_up(reader: StoreReader, tank: str, name: str, spans: list[tuple[float, float]]) -> float | None:
    found = [reader.series(tank, name, start, end, ALL) for start, end in spans]
    stretches = [zip(series.time, series.value, strict=True) for series in found if series and series.time]
    if not stretches:
        return None
    steps = [step for stretch in stretches for step in pairwise(stretch)]
    return sum(value * min(then - time, LONGEST) for (time, value), (then, _) in steps)


def _sum(one: Spread, other: Spread) -> Spread:
    return Spread(one.median + other.median, one.low + other.low, one.high + other.high)
