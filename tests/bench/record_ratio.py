"""record_ratio: rows a second from mosquitto to committed, over those of a bare executemany."""

import json
import sqlite3
import statistics
import time
from collections.abc import Iterator
from pathlib import Path

from bench.figure import Figure, Measured
from bench.listener import Listener
from bench.workbench import Workbench
from drydown.bus import wire
from drydown.bus.spool import EVENT, SERIES, Entry, Message, Spool
from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.quantities import DERIVED, MEASURED
from drydown.reading import Reading
from drydown.store.schema import open_for_reading, open_for_writing
from support.processes import Running, running
from support.site_file import write_site

SITE, TANK = "harbour", "tender"
NAMES = (*MEASURED, "fuel/volume", "blower/run_time")
SECONDS = 20_000  # of readings in one round
ROUNDS = 5
FIRST_DAY = 1_789_200_000.0  # Unix s
PATIENCE = 60.0  # s
SPOOL = 100_000_000  # bytes: nothing is thinned

assert set(NAMES) <= MEASURED.keys() | DERIVED.keys()


def measure(bench: Workbench) -> Measured:
    """Rounds of both take turns, so that other work on the machine slows both; the median of their ratios."""
    config = write_site(bench.folder, SITE, [TANK], bench.broker.port)
    site, topics = load(config), TankTopics(SITE, TANK)
    backlog, bare = Backlog(topics), Bare(bench.folder / "bare.sqlite3")
    recorded: list[float] = []
    written: list[float] = []
    with (
        Listener(site.broker, topics.recorded(site.store.recorder)) as listener,
        running("record", "--config", config, log=bench.folder / "record.log") as recorder,
    ):
        catch_up(recorder, listener, backlog.some(1))  # the series are made, as they are but once
        for _ in range(ROUNDS):
            seconds = catch_up(recorder, listener, backlog.some(SECONDS))
            rows = last_rows(site.store_path)
            assert len(rows) == SECONDS * len(NAMES), f"{len(rows)} rows were recorded"
            recorded.append(len(rows) / seconds)
            written.append(len(rows) / bare.write(rows))
    baseline = statistics.median(written)
    return Measured(
        statistics.median(mine / bare for mine, bare in zip(recorded, written, strict=True)),
        f"{statistics.median(recorded):,.0f} rows/s of `drydown record` catching up over {baseline:,.0f} "
        f"rows/s bare, medians of {ROUNDS} × {SECONDS * len(NAMES):,} rows",
        baseline,
    )


class Backlog:
    """What a watcher has to say after the recorder was away, in the messages that it would send."""

    def __init__(self, topics: TankTopics) -> None:
        self._topics = topics
        self._spool = Spool(capacity=SPOOL)
        self._now = FIRST_DAY

    def some(self, seconds: int) -> list[tuple[Message, bytes]]:
        """So many seconds of readings and an event, which is committed at once with all before it."""
        for _ in range(seconds):
            self._now += 1.0
            readings = [Reading(name, self._now, self._value(name)) for name in NAMES]
            self._spool.add(Entry(self._topics.readings, wire.readings(readings, float), SERIES))
        event = {"kind": "stage", "time": self._now, "stage": "bubbling", "by": "drydown"}
        self._spool.add(Entry(self._topics.run, wire.event(event), EVENT))
        return [(message, wire.payload(message, self._topics.base_name)) for message in self._messages()]

    def _messages(self) -> Iterator[Message]:
        while message := self._spool.take():
            yield message

    def _value(self, name: str) -> float | bool:
        quantity = MEASURED.get(name)
        if quantity and quantity.is_boolean:
            return True
        return (300.0 if quantity and quantity.unit == "Cel" else 0.5) + self._now % 997 * 1e-4


class Bare:
    """The same table in a file of its own, and nothing between it and the rows."""

    def __init__(self, path: Path) -> None:
        self._connection: sqlite3.Connection = open_for_writing(path)

    def write(self, rows: list[tuple[object, ...]]) -> float:
        """Seconds for one executemany and its commit."""
        begun = time.perf_counter()
        self._connection.execute("BEGIN")
        self._connection.executemany(
            "INSERT INTO reading (series, time, value, text) VALUES (?, ?, ?, ?)", rows
        )
        self._connection.execute("COMMIT")
        return time.perf_counter() - begun


def catch_up(recorder: Running, listener: Listener, messages: list[tuple[Message, bytes]]) -> float:
    """Seconds from when the recorder may take what mosquitto holds for it until it has committed that."""
    listener.first(lambda _: True, PATIENCE, "the recorder's cursor")
    recorder.pause()
    sent = [listener.client.publish(message.topic, body, qos=1) for message, body in messages]
    for info in sent:
        info.wait_for_publish(PATIENCE)
        assert info.is_published(), "mosquitto does not take the messages"
    last = messages[-1][0].last
    begun = time.monotonic()
    recorder.resume()
    arrival = listener.first(
        lambda one: int(json.loads(one.payload)["batch"]) >= last,
        PATIENCE,
        f"the recorder's cursor at {last}",
    )
    return arrival.time - begun


def last_rows(store: Path) -> list[tuple[object, ...]]:
    """What was recorded in the last round, in the order in which it was said."""
    reader = open_for_reading(store)
    try:
        return reader.execute(
            "SELECT series, time, value, text FROM reading JOIN series ON series.id = series"
            " WHERE tank = :tank AND time > (SELECT max(time) FROM reading JOIN series ON series.id = series"
            " WHERE tank = :tank) - :length ORDER BY time, series",
            {"tank": TANK, "length": 1000 * SECONDS},
        ).fetchall()
    finally:
        reader.close()


FIGURE = Figure("record_ratio", "of bare writing", 0.4, "at least", measure)
