"""start_to_first_reading: from the start of `drydown watch` until a reading of it is on the broker."""

import json
import statistics
import time

from bench.boathouse import Afternoon, Boathouse
from bench.figure import Figure, Measured
from bench.listener import Arrival, Listener
from bench.workbench import Workbench
from support.processes import running

REPETITIONS = 5
PATIENCE = 15.0  # s
BLOWER_STARTS = 3600.0  # s: it does not


def measure(bench: Workbench) -> Measured:
    """Median of several starts."""
    seconds = [start(bench.boathouse) for _ in range(REPETITIONS)]
    return Measured(
        statistics.median(seconds),
        f"exec to the first message at a second client, median of {REPETITIONS}, the longest "
        f"{max(seconds):.2f} s; the fake 1-Wire probes convert at once, real ones in 0.75 s",
    )


def start(boathouse: Boathouse) -> float:
    """Seconds from exec to the first message with readings."""
    log = boathouse.folder / "start.log"
    with (
        Listener(boathouse.site.broker, boathouse.topics("heron").readings) as listener,
        Afternoon(boathouse, BLOWER_STARTS),
    ):
        begun = time.monotonic()
        with running("watch", "--config", boathouse.config, log=log, **boathouse.environment):
            return listener.first(_has_value, PATIENCE, "the first reading").time - begun


def _has_value(arrival: Arrival) -> bool:
    """Whether the fuel's temperature is in it, not only a word on a probe that has nothing to say yet."""
    records = json.loads(arrival.payload)
    return any(record.get("n") == "fuel/temperature" and "v" in record for record in records)


FIGURE = Figure("start_to_first_reading", "s", 1.5, "at most", measure)
