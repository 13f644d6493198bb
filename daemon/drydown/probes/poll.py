"""Reads every probe on a thread of its own, so that one that hangs or throws never stalls the others.

Times of readings are on the core's clock, which the caller gives. How often to ask and how long to wait is
measured in real seconds, whatever pace the core's clock keeps.
"""

import logging
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from types import TracebackType

from drydown.probes import kinds
from drydown.probes.kinds import INTERVAL, PATIENCE
from drydown.probes.probe import Probe, no_value
from drydown.reading import Reading

BACKLOG = 3600  # readings kept of one probe while nobody collects them; then the oldest go

log = logging.getLogger(__name__)


class Poller:
    """All probes of one tank, read in the background. Start it, then `collect` as often as you like.

    `fresh` is set whenever a reading has come in; several pollers may share one, and whoever waits for it
    clears it. The threads are daemons: a probe that hangs does not keep the process alive.
    """

    def __init__(
        self,
        probes: Sequence[Probe],
        clock: Callable[[], float],
        *,
        interval: float = INTERVAL,
        patience: float = PATIENCE,
        fresh: threading.Event | None = None,
    ) -> None:
        self.fresh = fresh or threading.Event()
        self._clock = clock
        self._stop = threading.Event()
        self._readers = [
            _Reader(probe, clock, interval, patience, self.fresh, self._stop) for probe in probes
        ]

    def start(self) -> None:
        """Begin to read. The first readings come at once."""
        for reader in self._readers:
            reader.start()

    def collect(self) -> list[Reading]:
        """What came in since the last call, oldest first, each once; and a word on each probe that is silent.

        A silent probe gives one reading of None an interval, stamped with the core's clock. Never blocks.
        """
        taken = [reading for reader in self._readers for reading in reader.take()]
        return sorted(taken, key=lambda reading: reading.time)

    @property
    def is_well(self) -> bool:
        """Whether every probe still has its thread; one that hangs is told of by its readings."""
        return all(reader.is_alive for reader in self._readers)

    def close(self) -> None:
        """Stop reading. Waits a moment for probes that are being read, but not for one that hangs."""
        self._stop.set()
        end = time.monotonic() + 1
        for reader in self._readers:
            reader.join(end)

    def __enter__(self) -> "Poller":
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


class _Reader:
    """One probe, its thread, and what it has said and nobody has taken yet."""

    def __init__(
        self,
        probe: Probe,
        clock: Callable[[], float],
        interval: float,
        patience: float,
        fresh: threading.Event,
        stop: threading.Event,
    ) -> None:
        self._probe = probe
        self._clock = clock
        self._interval = interval
        self._patience = patience
        self._fresh = fresh
        self._stop = stop
        self._lock = threading.Lock()
        self._waiting: deque[Reading] = deque(maxlen=BACKLOG)
        self._latest = float("-inf")  # time of the latest reading
        self._answered = self._reported = time.monotonic()
        self._failing = False
        self._thread = threading.Thread(target=self._run, name=f"probe {probe.name}", daemon=True)

    def start(self) -> None:
        self._answered = self._reported = time.monotonic()
        self._thread.start()

    @property
    def is_alive(self) -> bool:
        return self._thread.is_alive()

    def join(self, end: float) -> None:
        if self._thread.is_alive():
            self._thread.join(max(0.0, end - time.monotonic()))

    def take(self) -> list[Reading]:
        now = time.monotonic()
        with self._lock:
            taken = list(self._waiting)
            self._waiting.clear()
            silence = now - self._answered
            if silence < self._patience or now - self._reported < self._interval or self._stop.is_set():
                return taken
            self._reported = now
        _, reason = kinds.HUNG.found(probe=self._probe.describe(), seconds=silence)
        silent = no_value(self._probe.name, self._clock(), reason)
        with self._lock:
            self._latest = max(self._latest, silent.time)
        return [*taken, silent]

    def _run(self) -> None:
        while not self._stop.is_set():
            self._hand_over(self._ask())
            self._stop.wait(self._until_next_tick())

    def _until_next_tick(self) -> float:
        # All probes are asked at the same ticks: those on one bus can then convert together.
        left = self._interval - time.monotonic() % self._interval
        return left if left > 0.05 * self._interval else left + self._interval

    def _ask(self) -> Reading | None:
        now = self._clock()
        try:
            reading = self._probe.read(now)
        except Exception as error:  # whatever a driver throws: the other probes and this thread go on
            told = str(error) or type(error).__name__
            _, reason = kinds.FAILED.found(probe=self._probe.describe(), error=told)
            if not self._failing:
                log.warning("%s: %s", self._probe.name, reason)
            self._failing = True
            return no_value(self._probe.name, now, reason)
        self._failing = False
        return reading

    def _hand_over(self, reading: Reading | None) -> None:
        with self._lock:
            self._answered = time.monotonic()
            if reading is None or reading.time <= self._latest:
                return  # it had nothing new
            self._latest = reading.time
            self._waiting.append(reading)
        self._fresh.set()
