"""What came of a run, gathered from the effects of its core: for the report that a person keeps."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from drydown.effects import (
    AlarmChanged,
    Change,
    Conditioned,
    Derived,
    Effect,
    Estimated,
    LevelEvent,
    NoticeDue,
    StageChanged,
)
from drydown.estimate.result import Estimate
from drydown.reading import Quality
from drydown.run.room_peaks import RoomPeaks


@dataclass(frozen=True, slots=True)
class Doubt:
    """What was wrong with the readings of a probe: how often, and the first and the last time (s)."""

    probe: str
    quality: Quality
    reason: str
    count: int
    first: float
    last: float


@dataclass(slots=True)
class RunReport:
    """A run in short. Times on the core's clock, in s; volumes in m³ at 15 °C."""

    first: float = 0.0
    last: float = 0.0
    run_time: float = 0.0
    volume: float | None = None
    drawable: float | None = None
    stages: list[StageChanged] = field(default_factory=list)
    levels: list[LevelEvent] = field(default_factory=list)
    estimates: list[Estimate] = field(default_factory=list)
    alarms: list[AlarmChanged] = field(default_factory=list)
    milestones: list[NoticeDue] = field(default_factory=list)
    not_watched: list[str] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    room: RoomPeaks = field(default_factory=RoomPeaks)


def gather(effects: Iterable[Effect]) -> RunReport:
    """Go through all effects of a run, in order."""
    report = RunReport()
    doubts: dict[tuple[str, Quality], Doubt] = {}
    started = False
    for effect in effects:
        match effect:
            case Conditioned(reading=reading):
                report.first, started = (report.first, True) if started else (reading.time, True)
                report.last = max(report.last, reading.time)
                report.room.take(reading)
                if reading.quality is not Quality.GOOD:
                    key = reading.name, reading.quality
                    old = doubts.get(key) or Doubt(*key, reading.reason, 0, reading.time, reading.time)
                    doubts[key] = Doubt(*key, old.reason, old.count + 1, old.first, reading.time)
            case Derived(reading=reading):
                _keep(report, reading.name, reading.value)
                report.room.take(reading)
            case Estimated(estimate=estimate):
                report.estimates.append(estimate)
            case StageChanged():
                report.stages.append(effect)
            case LevelEvent():
                report.levels.append(effect)
            case AlarmChanged(change=Change.REMOVED):
                if effect.alarm not in report.not_watched:
                    report.not_watched.append(effect.alarm)
            case AlarmChanged(change=Change.RESTORED):
                if effect.alarm in report.not_watched:
                    report.not_watched.remove(effect.alarm)
            case AlarmChanged():
                report.alarms.append(effect)
            case NoticeDue(kind=kind) if kind != "alarm":
                report.milestones.append(effect)
    report.doubts = list(doubts.values())
    return report


def _keep(report: RunReport, name: str, value: float | bool | None) -> None:
    if value is None:
        return
    if name == "blower/run_time":
        report.run_time = float(value)
    elif name == "fuel/volume":
        report.volume = float(value)
    elif name == "fuel/drawable":
        report.drawable = float(value)


def selected(estimates: list[Estimate], rows: int) -> list[Estimate]:
    """About so many, evenly spread, and the last, and each at which the verdict changed."""
    spacing = max(1, len(estimates) // max(1, rows))
    return [
        estimate
        for i, estimate in enumerate(estimates)
        if i % spacing == 0
        or i == len(estimates) - 1
        or estimate.verdict is not estimates[i - 1].verdict
        or estimate.methanol_done is not estimates[i - 1].methanol_done
    ]
