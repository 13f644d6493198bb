"""The probes of a recorded run, played at its own pace from the first reading on."""

import threading
from bisect import bisect_right
from dataclasses import replace
from pathlib import Path

from drydown.bus.recorded import read_run
from drydown.probes.probe import no_value
from drydown.reading import Reading

AFTER = 60.0  # s after its last reading at which a run has ended


class Player:
    """A recording that begins when the first of its probes is read. Safe to share between threads."""

    def __init__(self, path: Path, base_name: str) -> None:
        """`base_name` is SITE/TANK/. Raises bus.recorded.RecordedError."""
        self.path = path
        batches = read_run(path, base_name)
        start = batches[0].time
        self.length = batches[-1].time - start
        self._series: dict[str, tuple[list[float], list[Reading]]] = {}
        for batch in batches:
            for reading in batch.readings:
                times, readings = self._series.setdefault(reading.name, ([], []))
                times.append(reading.time - start)
                readings.append(reading)
        self._lock = threading.Lock()
        self._begun: float | None = None

    def begun(self, now: float) -> float:
        """When it began, on the core's clock: now, if it had not."""
        with self._lock:
            if self._begun is None:
                self._begun = now
            return self._begun

    def latest(self, name: str, passed: float) -> tuple[float, Reading] | None:
        """The last reading of a quantity up to a point of the run (s), and its point; None before the first.

        Raises KeyError for a quantity that was not recorded.
        """
        times, readings = self._series[name]
        place = bisect_right(times, passed) - 1
        return (times[place], readings[place]) if place >= 0 else None


class RecordedProbe:
    """One quantity of a recording."""

    def __init__(self, name: str, player: Player) -> None:
        self._name = name
        self._player = player

    @property
    def name(self) -> str:
        return self._name

    def describe(self) -> str:
        return f"recorded run {self._player.path.name}"

    def read(self, now: float) -> Reading:
        """The last reading up to this point of the run, with the time that it has in this playing."""
        run = self._player.path.name
        begun = self._player.begun(now)
        passed = now - begun
        try:
            latest = self._player.latest(self._name, passed)
        except KeyError:
            return no_value(self._name, now, f"{run} holds no {self._name}: remove this probe")
        if passed > self._player.length + AFTER:
            return no_value(self._name, now, f"the run in {run} has ended: start it again")
        if latest is None:
            return no_value(self._name, now, f"{run} holds no {self._name} yet")
        point, reading = latest
        return replace(reading, time=begun + point)
