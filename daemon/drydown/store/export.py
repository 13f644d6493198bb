"""What was recorded of a tank in the forms that other programs read: SenML records, and a table as CSV."""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from itertools import groupby

from drydown.bus.records import QUALITY
from drydown.bus.senml import ABSOLUTE_FROM, Record
from drydown.store.read import Sample, StoreReader

Column = tuple[str, str | None]
"""Name and unit (SenML symbol) of a series."""


def records_of_samples(samples: Iterable[Sample], base_name: str) -> Iterator[Record]:
    """Samples as they came over the wire; one that is not good with its companion (see `bus.records`).

    Left out is what a clock labelled that nobody had set: SenML takes so small a time for a relative one.
    """
    for sample in samples:
        if sample.time < ABSOLUTE_FROM:
            continue
        name = base_name + sample.name
        if sample.value is not None:
            yield Record(name, sample.time, sample.value, sample.unit)
        if sample.quality != "good":
            yield Record(name + QUALITY, sample.time, f"{sample.quality}: {sample.reason}")


def columns(reader: StoreReader, tank: str, names: Sequence[str]) -> list[Column]:
    """The series of a tank that there are, of those named or all."""
    known = {sample.name: sample.unit for sample in reader.latest(tank).values()}
    return [(name, known[name]) for name in names or sorted(known) if name in known]


def csv_rows(samples: Iterable[Sample], chosen: Sequence[Column]) -> Iterator[str]:
    """A table: a line a second, in it the last value of each series; empty where none, or a bad one, came.

    Times are ISO 8601 in UTC, a unit stands with its name, booleans are 0 and 1, lines end as in RFC 4180.
    """
    text = io.StringIO()
    writer = csv.writer(text)

    def line(cells: Iterable[object]) -> str:
        text.seek(0)
        text.truncate()
        writer.writerow(cells)
        return text.getvalue()

    yield line(["time (UTC)", *(f"{name} ({unit})" if unit else name for name, unit in chosen)])
    for second, group in groupby(samples, key=lambda sample: int(sample.time)):
        values = {sample.name: _cell(sample) for sample in group}
        if any(value is not None for value in values.values()):
            time = datetime.fromtimestamp(second, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
            yield line([time, *(values.get(name) for name, _ in chosen)])


def _cell(sample: Sample) -> float | str | None:
    if sample.quality == "bad":
        return None
    return int(sample.value) if isinstance(sample.value, bool) else sample.value
