"""The report of a run, gathered from what was recorded of it."""

import heapq
from collections.abc import Iterable, Iterator

from drydown.effects import Conditioned, Effect
from drydown.lines import Line, effect_of
from drydown.quantities import MEASURED
from drydown.reading import Quality, Reading
from drydown.run.report import Doubt, RunReport, gather
from drydown.run.room_peaks import NEEDED, OFF_GAS, PRESENT, ROOM
from drydown.store.lines import recorded_estimates
from drydown.store.read import EVER, Run, StoreReader
from drydown.store.totals import ALL, totals

KINDS = ("stage", "level", "alarm", "notice")
SERVICE = ("removed", "restored")
DERIVED = tuple(name + tail for name in (ROOM, OFF_GAS, NEEDED, PRESENT) for tail in ("", "/low", "/high"))
RUNNING = "blower/running"


def stored_report(reader: StoreReader, run: Run, until: float) -> RunReport:
    """What a replay of the run would gather, without going through every reading.

    `until` is the run's end, or the last that is known of it (Unix s). Level and volume are those of the end.
    """
    report = gather(_effects(reader, run, until))
    report.first, report.last = run.start, until
    report.run_time = totals(reader, run).run_time
    report.volume = reader.last(run.tank, "fuel/volume", run.start, until)
    report.drawable = reader.last(run.tank, "fuel/drawable", run.start, until)
    report.doubts = [
        Doubt(name, Quality(quality), reason, count, first, last)
        for name, quality, reason, count, first, last in reader.doubted(run.tank, run.start, until)
        if name in MEASURED
    ]
    return report


def _effects(reader: StoreReader, run: Run, until: float) -> Iterator[Effect]:
    """In order of time: out of service before it began, then what happened, was believed and reckoned."""
    earlier = reader.events(run.tank, EVER, run.start, ["alarm"], ALL)
    yield from _made(event.body for event in earlier if event.body["change"] in SERVICE)
    happened = [event.body for event in reader.events(run.tank, run.start, until, KINDS, ALL)]
    estimates = recorded_estimates(reader, run.tank, run.start, until)
    yield from _made(happened)
    yield from _made(estimates)
    yield from _room(reader, run, until)


def _made(lines: Iterable[Line]) -> Iterator[Effect]:
    """Of those that this drydown understands: an older one may have told of things that are no more."""
    for line in lines:
        try:
            yield effect_of(line, float)
        except (KeyError, TypeError, ValueError):
            continue


def _room(reader: StoreReader, run: Run, until: float) -> Iterator[Effect]:
    """The room's air, and when the blower ran: what was most while it did is asked for."""
    turns = (
        Conditioned(Reading(RUNNING, time, None if told is None else bool(told)))
        for time, told in reader.turns(run.tank, RUNNING, run.start, until)
    )
    air = _made(
        {"kind": "reading", "time": one.time, "name": one.name, "value": one.value, "unit": one.unit}
        for one in reader.samples(run.tank, run.start, until, DERIVED)
        if one.quality != "bad"
    )
    yield from heapq.merge(turns, air, key=lambda effect: effect.reading.time)  # type: ignore[union-attr]
