"""Brings a fresh core to where the last one was: what was recorded of the run goes through it once more."""

import logging
from collections import deque
from collections.abc import Iterable, Iterator
from itertools import groupby
from pathlib import Path

from drydown.commands import Command, CorrectStage
from drydown.core import Core
from drydown.effects import AlarmChanged, Effect, NoticeDue, Taught
from drydown.estimate.lesson_use import fits
from drydown.lines import Clock, effect_of
from drydown.orders import OrderError, command_of
from drydown.quantities import MEASURED
from drydown.reading import Quality, Reading
from drydown.run.stages import Stage
from drydown.store.lessons import lesson_at
from drydown.store.read import Event, Run, Sample, StoreReader
from drydown.store.schema import StoreError
from drydown.store.still import AT_REST, stands_since, warmth

LEAST = 900.0  # s that are always gone through, so that rates, volumes and the room's air are known
LEAD = 900.0  # s before the blower started: how the tank was at rest bears on the estimate
MOST = 43_200.0  # s before now: what is older no longer bears on the estimate
ALIKE = 5.0  # s by which a run may end at another time when it is relived
STEP = 1.0  # s of readings that go into one step
RECORD = "the record"  # who corrects the stage

log = logging.getLogger(__name__)


def rebuild(core: Core, store: Path, now: float, from_unix: Clock, unix_now: float) -> Iterator[Effect]:
    """Let the core relive its tank's run; what it decides, for those who show its state, alarms left out.

    `now` and `unix_now` are the same moment. A store that can't be read leaves the core as it is. Hours of
    readings go through, so nothing of them is kept; the caller had better not either.
    """
    try:
        with StoreReader(store) as reader:
            for effect in _relive(core, reader, now, from_unix, unix_now):
                if not isinstance(effect, AlarmChanged | NoticeDue):
                    yield effect
    except StoreError as error:
        log.info("%s: begins afresh: %s", core.tank.name, error)


def _relive(
    core: Core, reader: StoreReader, now: float, from_unix: Clock, unix_now: float
) -> Iterator[Effect]:
    tank = core.tank.name
    run = next(iter(reader.runs(tank, 1)), None)
    stages = run.stages if run else ()
    start = _start(run, unix_now)
    remembered = core.lesson
    core.begin_with(lesson_at(reader, core.tank, start, from_unix))
    before = [entry for entry in stages if entry[0] <= start]
    if before:
        yield from core.step(from_unix(before[-1][0]), (), [CorrectStage(Stage(before[-1][1]), RECORD)])
        so_far = Run(tank, start, None, tuple(before))
        _know_run(core, so_far, from_unix)
        _know_rest(core, reader, so_far, from_unix)
    samples = reader.samples(tank, start, unix_now, list(MEASURED))
    events = reader.events(tank, start, unix_now, ["command"])
    lessons = _Lessons(core, reader.events(tank, start, unix_now, ["taught"]), from_unix)
    steps = 0
    for effects in _steps(core, samples, events, from_unix, now):
        steps += 1
        yield from map(lessons.as_it_was, effects)
    _know_last_switch(core, reader, unix_now, from_unix)
    if stages and core.batch.stage != stages[-1][1]:
        at = max(core.scene.now, from_unix(stages[-1][0]))
        yield from core.step(at, (), [CorrectStage(Stage(stages[-1][1]), RECORD)])
    core.lesson = remembered or lesson_at(reader, core.tank, unix_now, from_unix)
    total, starts = reader.hour_meter(tank)
    core.timer.set_meter(max(total, core.timer.total), max(starts, core.timer.starts))
    if steps:
        log.info("%s: went through %.0f min of what was recorded", tank, (unix_now - start) / 60)


def _know_run(core: Core, before: Run, from_unix: Clock) -> None:
    """When the run began, and when the blower went off, where no reading of that time is gone through."""
    core.batch.recall(from_unix(before.blown[-1]) if before.blown else None)
    switched = [entry for entry in before.stages if entry[1] in (Stage.BUBBLING, Stage.PAUSED)]
    if switched and switched[-1][1] == Stage.PAUSED:
        core.timer.observe(from_unix(switched[-1][0]), False)


def _know_rest(core: Core, reader: StoreReader, before: Run, from_unix: Clock) -> None:
    """How far what settles has come, where no reading of that time is gone through; a run still goes on."""
    if before.stages[-1][1] in AT_REST["resting"]:
        since = stands_since(reader, core.tank, before, before.start)
        core.batch.rest.begin(from_unix(since))
        for time, kelvin in warmth(reader, core.tank, since, before.start):
            core.batch.rest.feel(from_unix(time), kelvin)


def _know_last_switch(core: Core, reader: StoreReader, unix_now: float, from_unix: Clock) -> None:
    """A stage is recorded at once, the reading that brought it some seconds later or never."""
    stage = next(iter(reader.events(core.tank.name, 0.0, unix_now, ["stage"], limit=1)), None)
    if stage is None or stage.body.get("by") != "drydown" or from_unix(stage.time) < core.scene.now:
        return
    running = {Stage.BUBBLING: True, Stage.PAUSED: False}.get(Stage(stage.body["stage"]))
    if running is not None:
        core.timer.observe(from_unix(stage.time), running)


class _Lessons:
    """What was taught in the time that is relived: the next fuel begins with it to the last digit."""

    def __init__(self, core: Core, taught: Iterable[Event], from_unix: Clock) -> None:
        self._core = core
        self._taught = [found for event in taught if (found := _taught(event, from_unix))]

    def as_it_was(self, effect: Effect) -> Effect:
        """The effect as it was recorded, where it is a lesson that was."""
        if not isinstance(effect, Taught):
            return effect
        for recorded in self._taught:
            is_same = abs(recorded.time - effect.time) <= ALIKE
            if is_same and fits(recorded.lesson, self._core.tank):
                self._core.lesson = recorded.lesson
                return recorded
        return effect


def _taught(event: Event, from_unix: Clock) -> Taught | None:
    try:
        effect = effect_of(event.body, from_unix)
    except (KeyError, TypeError, ValueError):  # of another make
        return None
    return effect if isinstance(effect, Taught) else None


def _start(run: Run | None, unix_now: float) -> float:
    latest = unix_now - LEAST
    if run is None or run.end is not None:
        return latest
    bubbling = [time for time, stage in run.stages if stage == Stage.BUBBLING]
    if not bubbling or run.stages[-1][1] == Stage.READY:
        return latest
    return max(unix_now - MOST, min(latest, bubbling[0] - LEAD))


def _steps(
    core: Core, samples: Iterable[Sample], events: list[Event], from_unix: Clock, now: float
) -> Iterator[tuple[Effect, ...]]:
    commands = deque((from_unix(event.time), _command(event)) for event in events)

    def due(time: float) -> list[Command]:
        told = []
        while commands and commands[0][0] <= time:
            _, command = commands.popleft()
            told += [command] if command else []
        return told

    for _, group in groupby(samples, key=lambda sample: sample.time // STEP):
        readings = [_reading(sample, from_unix) for sample in group]
        time = readings[-1].time
        if time > now:
            break  # recorded while the clock was ahead
        while core.due < time:
            yield core.step(core.due, (), due(core.due))
        yield core.step(time, readings, due(time))
    for time, command in commands:  # they are committed at once, readings some seconds later
        if command and time <= now:
            yield core.step(time, (), [command])


def _reading(sample: Sample, from_unix: Clock) -> Reading:
    quantity, value = MEASURED[sample.name], sample.value
    time = from_unix(sample.time)
    if value is None:
        return Reading(sample.name, time, None, Quality.BAD, sample.reason)
    told = bool(value) if quantity.is_boolean else quantity.to_si(float(value))
    return Reading(sample.name, time, told, Quality(sample.quality), sample.reason)


def _command(event: Event) -> Command | None:
    try:
        return command_of(event.body)
    except OrderError:
        return None
