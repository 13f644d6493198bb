"""Brings a fresh core to where the last one was: what was recorded of the run goes through it once more."""

import logging
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from drydown.commands import Command, CorrectStage
from drydown.core import Core
from drydown.effects import Effect
from drydown.lines import Clock
from drydown.orders import OrderError, command_of
from drydown.quantities import MEASURED
from drydown.reading import Quality, Reading
from drydown.run.stages import Stage
from drydown.store.read import Event, Run, Sample, StoreReader
from drydown.store.schema import StoreError

LEAST = 900.0  # s that are always gone through, so that standing alarms are known
MOST = 43_200.0  # s before now: what is older no longer bears on the estimate
STEP = 1.0  # s of readings that go into one step
RECORD = "the record"  # who corrects the stage

log = logging.getLogger(__name__)


def rebuild(core: Core, store: Path, now: float, from_unix: Clock, unix_now: float) -> list[Effect]:
    """Let the core relive its tank's run; returns what it decided, for those who show its state.

    `now` and `unix_now` are the same moment. A store that can't be read leaves the core as it is.
    """
    try:
        with StoreReader(store) as reader:
            runs = reader.runs(core.tank.name, 1)
            start = _start(runs[0] if runs else None, unix_now)
            samples = list(reader.samples(core.tank.name, start, unix_now, list(MEASURED)))
            events = reader.events(core.tank.name, start, unix_now, ["command"])
    except StoreError as error:
        log.info("%s: begins afresh: %s", core.tank.name, error)
        return []
    effects: list[Effect] = []
    before = [entry for entry in runs[0].stages if entry[0] <= start] if runs else []
    if before:
        effects += core.step(from_unix(before[-1][0]), (), [CorrectStage(Stage(before[-1][1]), RECORD)])
    for step in _steps(core, samples, events, from_unix, now):
        effects += step
    if runs and core.batch.stage != runs[0].stages[-1][1]:
        effects += core.step(now, (), [CorrectStage(Stage(runs[0].stages[-1][1]), RECORD)])
    if samples:
        minutes = (unix_now - samples[0].time) / 60
        log.info("%s: went through %.0f min of what was recorded", core.tank.name, minutes)
    return effects


def _start(run: Run | None, unix_now: float) -> float:
    latest = unix_now - LEAST
    if run is None or run.end is not None:
        return latest
    bubbling = [time for time, stage in run.stages if stage == Stage.BUBBLING]
    if not bubbling or run.stages[-1][1] == Stage.READY:
        return latest
    return max(unix_now - MOST, min(latest, bubbling[0] - 60))


def _steps(
    core: Core, samples: list[Sample], events: list[Event], from_unix: Clock, now: float
) -> Iterator[tuple[Effect, ...]]:
    commands = [(from_unix(event.time), _command(event)) for event in events]
    for _, group in groupby(samples, key=lambda sample: sample.time // STEP):
        readings = [_reading(sample, from_unix) for sample in group]
        time = readings[-1].time
        if time > now:
            return  # recorded while the clock was ahead
        due = [command for at, command in commands if at <= time and command is not None]
        commands = [(at, command) for at, command in commands if at > time]
        yield core.step(time, readings, due)


def _reading(sample: Sample, from_unix: Clock) -> Reading:
    quantity, value = MEASURED[sample.name], sample.value
    time = from_unix(sample.time)
    if value is None:
        return Reading(sample.name, time, None, Quality.BAD, sample.reason)
    if quantity.is_boolean:
        return Reading(sample.name, time, bool(value))
    return Reading(sample.name, time, quantity.to_si(float(value)))


def _command(event: Event) -> Command | None:
    try:
        return command_of(event.body)
    except OrderError:
        return None
