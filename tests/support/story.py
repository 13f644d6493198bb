"""Stories about a tank in virtual time: readings at…, want between…, and nothing else.

story = Story(tank, {"fuel/temperature": 298.15, "fuel/level": 0.6, "blower/running": False})
story.at(10, {"blower/running": True, "vent/open": False})
story.want("vent-closed raised", 10, 15)
story.play(60)
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from drydown.commands import Command
from drydown.config.model import Tank
from drydown.core import Core
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
    SupplyChanged,
)
from drydown.reading import Quality, Reading

SILENT = None  # no reading at all


@dataclass(frozen=True)
class Fails:
    """The probe says that it has no value, and why."""

    reason: str = "no answer from the probe"


@dataclass(frozen=True)
class Climbs:
    """From here on the value moves by so much a second."""

    start: float
    slope: float


Value = float | bool | Fails | Climbs | None


@dataclass
class Story:
    """What the probes say, what people do, and what is expected. Times in s from the beginning."""

    tank: Tank
    values: dict[str, Value]
    every: float = 1.0
    beginning: float = 1_000_000.0
    effects: list[Effect] = field(default_factory=list)
    _changes: list[tuple[float, Mapping[str, Value]]] = field(default_factory=list)
    _commands: list[tuple[float, Command]] = field(default_factory=list)
    _wanted: list[tuple[str, float, float]] = field(default_factory=list)
    _since: dict[str, float] = field(default_factory=dict)

    def at(self, time: float, values: Mapping[str, Value]) -> None:
        """From this time on the probes say something else."""
        self._changes.append((time, values))

    def do(self, time: float, command: Command) -> None:
        """Somebody does something."""
        self._commands.append((time, command))

    def want(self, happening: str, after: float, before: float) -> None:
        """ALARM CHANGE, "notice KIND", "level KIND" or "stage STAGE" has to come between two times, once."""
        self._wanted.append((happening, after, before))

    def play(self, until: float, kinds: tuple[type, ...] = (AlarmChanged, NoticeDue, StageChanged)) -> Core:
        """Run it, and check that all that was wanted came, and nothing else of these kinds."""
        core = Core(self.tank)
        steps = round(until / self.every)
        for step in range(steps + 1):
            now = step * self.every
            while core.due - self.beginning < now:
                self.effects += core.step(core.due, (), ())
            self.effects += core.step(self.beginning + now, self._readings(now), self._take_commands(now))
        self._check([effect for effect in self.effects if isinstance(effect, kinds)])
        return core

    def happenings(self, *kinds: type) -> list[str]:
        """What came, in words."""
        return [said(effect) for effect in self.effects if isinstance(effect, kinds)]

    def _readings(self, now: float) -> list[Reading]:
        for time, values in [change for change in self._changes if change[0] <= now]:
            self.values |= values
            self._since |= dict.fromkeys(values, time)
        self._changes = [change for change in self._changes if change[0] > now]
        time = self.beginning + now
        return [
            self._reading(name, value, now, time)
            for name, value in self.values.items()
            if value is not SILENT
        ]

    def _reading(self, name: str, value: Value, now: float, time: float) -> Reading:
        if isinstance(value, Fails):
            return Reading(name, time, None, Quality.BAD, value.reason)
        if isinstance(value, Climbs):
            value = value.start + value.slope * (now - self._since.get(name, 0.0))
        return Reading(name, time, value)

    def _take_commands(self, now: float) -> list[Command]:
        due = [command for time, command in self._commands if time <= now]
        self._commands = [(time, command) for time, command in self._commands if time > now]
        return due

    def _check(self, came: list[Effect]) -> None:
        left = [(said(effect), time_of(effect) - self.beginning) for effect in came if is_news(effect)]
        for happening, after, before in self._wanted:
            found = next((one for one in left if one[0] == happening and after <= one[1] <= before), None)
            assert found, f"wanted {happening!r} between {after} and {before} s; came: {left}"
            left.remove(found)
        assert not left, f"nobody wanted: {left}"


def is_news(effect: Effect) -> bool:
    """Whether a story has to want it: not that an alarm which nothing could raise is out of service."""
    return not (isinstance(effect, AlarmChanged) and effect.change is Change.REMOVED)


def time_of(effect: Effect) -> float:
    """When it happened."""
    match effect:
        case Conditioned(reading=reading) | Derived(reading=reading):
            return reading.time
        case Estimated(estimate=estimate):
            return estimate.time
    return effect.time


def said(effect: Effect) -> str:
    """An effect as a story names it."""
    match effect:
        case AlarmChanged(alarm=alarm, change=change):
            return f"{alarm} {change}"
        case NoticeDue(kind="alarm", values=values):
            return f"notice {values['alarm']} {values['change']}"
        case NoticeDue(kind=kind):
            return f"notice {kind}"
        case LevelEvent(kind=kind):
            return f"level {kind}"
        case StageChanged(stage=stage):
            return f"stage {stage}"
        case SupplyChanged(cut=cut):
            return "supply cut" if cut else "supply given back"
    return type(effect).__name__
