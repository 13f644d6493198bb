"""forward_rows_per_s: rows a second of `drydown forward`, over those of the client library by itself.

The same rows go to the same server, once through the sender, from the store on; once as a list of lines made
beforehand, the quickest that the client library takes as records, which the sender is held against; and once,
fewer of them, as points of the client library, made beforehand too, as it is mostly used.
"""

import statistics
import time
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

from influxdb_client.client.influxdb_client import InfluxDBClient
from influxdb_client.client.write.point import Point
from influxdb_client.client.write_api import SYNCHRONOUS
from influxdb_client.domain.write_precision import WritePrecision

from bench.figure import Figure, Measured
from bench.workbench import Workbench
from drydown.forward.progress import progress_path
from drydown.forward.service import LINES
from drydown.forward.source import Source
from drydown.quantities import DERIVED, MEASURED
from support.forwarding import START, Shed
from support.processes import running
from support.victoria import Victoria, victoria

UNITS = {
    name: quantity.unit or ""
    for name, quantity in (MEASURED | DERIVED).items()
    if not quantity.is_boolean and not name.endswith(("/low", "/high"))
}
SECONDS = 60_000  # of readings
POINTS = 5_000  # s of them for the library's own points, which take several times as long
ROUNDS = 5
PATIENCE = 120.0  # s
STILL = 0.9  # s after a change in which the server's counter surely stays: asking costs it time
PAUSE = 0.01  # s between two looks at the server's counter


def measure(bench: Workbench) -> Measured:
    """Rounds of all three take turns, so that other work on the machine slows all; medians."""
    folder = bench.folder / "forward"
    folder.mkdir()
    with victoria(folder) as server:
        shed = Shed(folder, server.url)
        rows = fill(shed)
        sent, points, lines = [], [], []
        for _ in range(ROUNDS):
            sent.append(forwarded(shed, server, rows))
            points.append(bare(server, point_batches(), POINTS * len(UNITS)))
            lines.append(bare(server, line_batches(shed), rows))
    ready = statistics.median(lines)
    return Measured(
        statistics.median(mine / theirs for mine, theirs in zip(sent, lines, strict=True)),
        f"{statistics.median(sent):,.0f} rows/s from the store over {ready:,.0f} rows/s of the client library"
        f" with lines that are ready, and {statistics.median(points):,.0f} rows/s with its points:"
        f" medians of {ROUNDS} × {rows:,} rows in batches of {LINES:,}",
        ready,
    )


def fill(shed: Shed) -> int:
    """The store, with some hours of readings at 1 Hz; returns how many rows."""
    shed.writer.list_arrivals()
    for first in range(0, SECONDS, 100):
        for name, unit in UNITS.items():
            shed.writer.add_rows(
                "heron", ((name, unit, "number", at(s), value(s), None) for s in range(first, first + 100))
            )
        shed.writer.commit({})
    return SECONDS * len(UNITS)


def at(second: int) -> int:
    return START + 1000 * second


def value(second: int) -> float:
    return 20.0 + second % 997 * 1e-4


def forwarded(shed: Shed, server: Victoria, rows: int) -> float:
    """Rows a second between the first and the last time that the server tells anew how many have come.

    It counts anew about once a second, so what it says is right only in the moment in which it changes.
    """
    progress_path(shed.site.folder).unlink(missing_ok=True)
    before = server.rows()
    told: list[tuple[float, int]] = []
    with running("forward", "--config", shed.config, log=Path(f"{shed.config}.log")) as sender:
        for moment, come in counts(server, before):
            sender.check()
            if come >= before + rows:
                break
            told.append((moment, come))
    assert len(told) > 1, "the rows came faster than the server counts: SECONDS has to be more"
    return (told[-1][1] - told[0][1]) / (told[-1][0] - told[0][0])


def counts(server: Victoria, last: int) -> Iterator[tuple[float, int]]:
    """When the server told another number than the last, and which."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        if (come := server.rows()) != last:
            last = come
            yield time.perf_counter(), come
            time.sleep(STILL)
        time.sleep(PAUSE)
    raise AssertionError("the rows do not come")


def bare(server: Victoria, batches: Iterator[list[Point]] | Iterator[list[str]], rows: int) -> float:
    """Rows a second of the client library alone; making the batches is not counted."""
    client = InfluxDBClient(server.url, "word", org="co-op")
    api, took, before = client.write_api(write_options=SYNCHRONOUS), 0.0, server.rows()
    for batch in batches:
        begun = time.perf_counter()
        api.write("fuel", record=batch)
        took += time.perf_counter() - begun
    client.close()  # type: ignore[no-untyped-call]
    last = next(come for _, come in counts(server, before) if come >= before + rows)
    assert last == before + rows, f"{last - before} rows came"
    return rows / took


def point_batches() -> Iterator[list[Point]]:
    points = (
        Point.from_dict(
            {
                "measurement": "drydown_reading",
                "tags": {"name": name, "site": "boathouse", "tank": "heron", "unit": unit},
                "fields": {"value": value(second)},
                "time": at(second) * 1_000_000,
            },
            WritePrecision.NS,  # type: ignore[arg-type]
        )
        for second in range(POINTS)
        for name, unit in UNITS.items()
    )
    while batch := list(islice(points, LINES)):
        yield batch


def line_batches(shed: Shed) -> Iterator[list[str]]:
    source = Source(shed.site.store_path, shed.site.site)
    ahead = source.everything()
    while ahead:
        lines, ahead = source.take(ahead, LINES)
        yield lines
    source.close()


FIGURE = Figure("forward_rows_per_s", "of bare writing", 0.7, "at least", measure)
