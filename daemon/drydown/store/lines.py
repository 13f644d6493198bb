"""What was recorded of a tank as lines, the form that `lines` and `drydown replay --json` speak."""

import heapq
from collections.abc import Iterator
from itertools import groupby

from drydown.lines import Line
from drydown.store.read import Sample, StoreReader

ESTIMATE = "estimate/"
SPREADS = ("methanol", "water", "water_floor", "emission", "methanol_done_at", "dry_at")
ENDS = {"": "median", "/low": "low", "/high": "high"}


def recorded_lines(reader: StoreReader, tank: str, start: float, end: float) -> Iterator[Line]:
    """Readings, estimates and events between two Unix times, in order of time."""
    samples = (
        line
        for time, group in groupby(reader.samples(tank, start, end), key=lambda sample: sample.time)
        for line in _lines(time, list(group))
    )
    events = (event.body for event in reader.events(tank, start, end, limit=1_000_000))
    return heapq.merge(samples, events, key=lambda line: float(line["time"]))


def _lines(time: float, samples: list[Sample]) -> Iterator[Line]:
    believed = {sample.name: sample.value for sample in samples if sample.name.startswith(ESTIMATE)}
    for sample in samples:
        if sample.name not in believed:
            yield _reading(sample)
    if believed:
        yield _estimate(time, believed)


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
        name: {end: believed[f"{ESTIMATE}{name}{tail}"] for tail, end in ENDS.items()}
        if f"{ESTIMATE}{name}" in believed
        else None
        for name in SPREADS
    }
    told = {name: believed[ESTIMATE + name] for name in ("run_time", "methanol_done", "verdict")}
    return {"kind": "estimate", "time": time} | told | spreads
