"""Gathers what was recorded of one run for its page."""

from dataclasses import dataclass

from drydown.clock import zone
from drydown.config.model import Tank
from drydown.store.lines import recorded_estimates
from drydown.store.read import Run, StoreReader
from drydown.store.series import Series
from drydown.store.totals import totals
from drydown.store.turns import Told
from drydown.texts.runs import names
from drydown_pages.run.record import UNKNOWN, Range, RunRecord, Stretch, stretches

FORGOTTEN = 1_000_000  # events and runs: more than there are
KINDS = ("stage", "alarm", "notice", "level", "supply", "command")
RANGED = ("fuel/temperature", "room/methanol", "vapour/methanol")
POINTS = 300
LATEST = 1e11  # Unix s
MEANS = {None: UNKNOWN, 0.0: "off", 1.0: "on"}


@dataclass(frozen=True, slots=True)
class FoundRun:
    """A run and its name. It is told until its end, or else until what was recorded last (Unix s)."""

    run: Run
    name: str
    until: float


def find_run(reader: StoreReader, tank: Tank, start: float) -> FoundRun | None:
    """The run that began then (Unix s, to the millisecond)."""
    runs = reader.runs(tank.name, FORGOTTEN)[::-1]
    called = names(tank.name, (run.start for run in runs), zone())
    for run, name in zip(runs, called, strict=True):
        if abs(run.start - start) < 0.001:
            return FoundRun(run, name, run.end or _last_moment(reader, tank, run))
    return None


def record_of(reader: StoreReader, tank: Tank, found: FoundRun) -> RunRecord:
    """All that its page tells of."""
    run, until = found.run, found.until
    last = run.end or LATEST
    events = [one.body for one in reader.events(tank.name, run.start, last, KINDS, FORGOTTEN)]
    blown = run.blown[0] if run.blown else run.start
    blower = _held(reader.turns(tank.name, "blower/running", run.start, until), until)
    stopped = max((one.end for one in blower if one.what == "on"), default=until)
    ranged = (reader.series(tank.name, one, blown, stopped, POINTS) for one in RANGED)
    come_to = totals(reader, run)
    return RunRecord(
        tank=tank,
        name=found.name,
        start=run.start,
        until=until,
        ended=run.end is not None,
        stages=run.stages,
        run_time=come_to.run_time,
        volume=come_to.volume,
        driven_off=come_to.methanol,
        blower=blower,
        vent=_held(reader.turns(tank.name, "vent/open", run.start, until), until),
        ranges={one.name: _range(one) for one in ranged if one is not None and one.time},
        estimates=recorded_estimates(reader, tank.name, run.start, until),
        events=events,
    )


def _last_moment(reader: StoreReader, tank: Tank, run: Run) -> float:
    latest = (sample.time for sample in reader.latest(tank.name).values())
    return max(run.stages[-1][0], *latest, run.start)


def _held(turns: list[tuple[float, Told]], until: float) -> tuple[Stretch, ...]:
    said = ((time, MEANS[float(told) if told is not None else None]) for time, told in turns)
    return stretches(said, until)


def _range(series: Series) -> Range:
    least, most = min(series.low), max(series.high)
    return Range(
        first=series.value[0],
        last=series.value[-1],
        least=least,
        least_at=series.time[series.low.index(least)],
        most=most,
        most_at=series.time[series.high.index(most)],
    )
