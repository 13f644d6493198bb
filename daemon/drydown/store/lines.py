"""What was recorded of a tank as lines, the form that `lines` and `drydown replay --json` speak."""

import heapq
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import groupby

from drydown.estimate.result import Verdict
from drydown.lines import Line
from drydown.store.read import EVER, Event, Sample, StoreReader

ESTIMATE = "estimate/"
ADVISED = "advised"  # the kind of event that keeps what estimates advise
OF_THE_STORE = "store"  # the kind that tells what befell the store itself: no part of a run
SPREADS = ("methanol", "water", "water_floor", "emission", "methanol_done_at", "dry_at")
ALWAYS = ("run_time", "methanol_done", "verdict")
ENDS = {"": "median", "/low": "low", "/high": "high"}
KEYS = {name: {end: f"{ESTIMATE}{name}{tail}" for tail, end in ENDS.items()} for name in SPREADS}
"""The series that keep a spread, by their ends."""


def recorded_lines(reader: StoreReader, tank: str, start: float, end: float) -> Iterator[Line]:
    """Readings, estimates and events between two Unix times, in order of time.

    An estimate tells the advice and the plan that were recorded last: what differs little is not recorded.
    """
    advised = _advised(reader, tank, start, end)
    samples = (
        _with_advice(line, advised)
        for time, group in groupby(reader.samples(tank, start, end), key=lambda sample: sample.time)
        for line in _lines(time, list(group))
    )
    happened = reader.events(tank, start, end, limit=1_000_000)
    events = (event.body for event in happened if event.kind not in (ADVISED, OF_THE_STORE))
    return heapq.merge(samples, events, key=lambda line: float(line["time"]))


def recorded_estimates(reader: StoreReader, tank: str, start: float, end: float) -> list[Line]:
    """The estimates alone, between two Unix times, in order."""
    advised = _advised(reader, tank, start, end)
    names = [name for name in reader.names(tank) if name.startswith(ESTIMATE)]
    return [
        _with_advice(_estimate(time, believed), advised)
        for time, believed in reader.together(tank, names, start, end)
        if _is_whole(believed)
    ]


def _advised(reader: StoreReader, tank: str, start: float, end: float) -> list[Event]:
    """What was advised between two times, and last before."""
    before = reader.events(tank, EVER, start, [ADVISED], limit=1)
    return before + reader.events(tank, start, end, [ADVISED], limit=1_000_000)


def _with_advice(line: Line, advised: Sequence[Event]) -> Line:
    if line["kind"] != "estimate":
        return line
    at = bisect_right(advised, line["time"], key=lambda event: event.time)
    told = advised[at - 1].body if at else {}
    return line | {name: told.get(name, []) for name in ("advice", "plan")}


def _lines(time: float, samples: list[Sample]) -> Iterator[Line]:
    believed = {sample.name: sample.value for sample in samples if sample.name.startswith(ESTIMATE)}
    for sample in samples:
        if sample.name not in believed:
            yield _reading(sample)
    if _is_whole(believed):
        yield _estimate(time, believed)


def _is_whole(believed: dict[str, float | bool | str | None]) -> bool:
    """Whether it is an estimate, and not a part that a message brought without the rest."""
    needed = [ESTIMATE + name for name in ALWAYS]
    for keys in KEYS.values():
        if keys["median"] in believed:
            needed += keys.values()
    is_whole = all(believed.get(name) is not None for name in needed)
    return is_whole and believed[f"{ESTIMATE}verdict"] in list(Verdict)


def _reading(sample: Sample) -> Line:
    line: Line = {
        "kind": "reading",
        "time": sample.time,
        "name": sample.name,
        "value": sample.value,
        "unit": sample.unit,
    }
    if sample.quality != "good":
        line |= {"quality": sample.quality, "reason": sample.reason}
    return line


def _estimate(time: float, believed: dict[str, float | bool | str | None]) -> Line:
    spreads = {
        name: {end: believed[key] for end, key in keys.items()} if keys["median"] in believed else None
        for name, keys in KEYS.items()
    }
    told = {name: believed[ESTIMATE + name] for name in ALWAYS}
    return {"kind": "estimate", "time": time} | told | spreads
