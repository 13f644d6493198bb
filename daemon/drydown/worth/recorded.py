"""A run of a tank as the store has it, to be lived again."""

from collections.abc import Iterator
from itertools import groupby

from drydown.config.model import Tank
from drydown.estimate.inputs import Sample, priors_of
from drydown.picture import Picture
from drydown.quantities import MEASURED
from drydown.reading import Quality, Reading
from drydown.run.stages import Stage
from drydown.store.lessons import lesson_at
from drydown.store.read import Event, Run, StoreReader
from drydown.store.read import Sample as Row
from drydown.worth.choice import blown_span
from drydown.worth.lived import History, Tested

LEAD = 900.0  # s before the blower started: how the tank was at rest bears on the estimate
STEP = 5.0  # s of readings that go into one sample


def history_of(reader: StoreReader, tank: Tank, run: Run) -> History:
    """A run that has bubbled; times in Unix s."""
    first, last = blown_span(run)
    start = first - LEAD
    lesson = lesson_at(reader, tank, start, float)
    samples = tuple(_samples(tank, run, reader.samples(tank.name, start, last, list(MEASURED))))
    told = reader.events(tank.name, start, last, ["command"])
    tests = tuple(_tested(one) for one in told if one.body.get("command") == "bench-test")
    return History(priors_of(tank), lesson.learned if lesson else None, samples, tests)


def _samples(tank: Tank, run: Run, rows: Iterator[Row]) -> Iterator[tuple[float, Sample]]:
    """What the estimator was told, by readings that were judged when they were read."""
    picture, stages = Picture(tank), list(run.stages)
    stage = Stage(stages[0][1])
    for _, group in groupby(rows, key=lambda row: row.time // STEP):
        readings = [_reading(row) for row in group]
        now = readings[-1].time
        while stages and stages[0][0] <= now:
            stage = Stage(stages.pop(0)[1])
        picture.begin(now)
        for reading in readings:
            for _ in picture.take(reading, stage):
                pass
        picture.advance()
        yield now, picture.sample()


def _reading(row: Row) -> Reading:
    quantity, value = MEASURED[row.name], row.value
    if value is None:
        return Reading(row.name, row.time, None, Quality.BAD, row.reason)
    told = bool(value) if quantity.is_boolean else quantity.to_si(float(value))
    return Reading(row.name, row.time, told, Quality(row.quality), row.reason)


def _tested(told: Event) -> Tested:
    body = told.body
    return Tested(told.time - body.get("ago", 0.0), body["quantity"], body["value"], body["sigma"])
