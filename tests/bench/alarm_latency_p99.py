"""alarm_latency_p99 and alarm_flood_p99: from reading the probes until a second client has the alarm.

Fifty tanks are watched, and their boards send while the blowers run. The vents are closed one a second, each
tank by itself, and then all in the same second: what a person means who asks how late an alarm comes, and the
worst that can happen. Both times just before the second at which every probe is read. The alarm is meant to
come after its on-delay; what is measured is how much later than that it comes.
"""

import json
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from bench.figure import Figure, Measured
from bench.listener import Arrival, Listener
from bench.percentile import percentile
from bench.workbench import Workbench
from drydown.alarms.catalogue import KINDS
from drydown.bus.topics import TankTopics
from drydown.probes.kinds import INTERVAL
from support.processes import running
from support.site_file import write_site

SITE = "quay"
TANKS = tuple(f"tank-{number}" for number in range(1, 51))
REPETITIONS = 2  # of the flood; an alarm that comes more often counts as chattering
ALARM = next(kind for kind in KINDS if kind.name == "vent-closed")
PROBES = ("fuel/temperature", "fuel/level", "blower/running", "vent/open")
PATIENCE = 30.0  # s
STARTED = 10.0  # s until fifty blowers that start at once have each been looked at: no part of the figures


def measure(bench: Workbench) -> Measured:
    """One tank's alarm a second, all tanks after each other."""
    with _quay(bench) as quay:
        return _measured(quay.alarm_each(), "one a second")


def measure_flood(bench: Workbench) -> Measured:
    """The alarms of all tanks in the same second."""
    with _quay(bench) as quay:
        late = [seconds for _ in range(REPETITIONS) for seconds in quay.alarm_all().late]
        return _measured(late, "all in the same second")


@contextmanager
def _quay(bench: Workbench) -> Iterator["Quay"]:
    folder = Path(tempfile.mkdtemp(dir=bench.folder))  # of its own: no alarm stands from before
    config = write_site(folder, SITE, TANKS, bench.broker.port, PROBES)
    with (
        Listener(bench.broker.config, TankTopics(SITE, "+").alarm(ALARM.name)) as listener,
        running("watch", "--config", config, log=folder / "quay.log"),
    ):
        quay = Quay(listener, SITE, TANKS)
        quay.begin()
        yield quay


def _measured(late: Sequence[float], how: str) -> Measured:
    return Measured(
        1000 * percentile(late, 0.99),
        f"{len(late)} alarms of {len(TANKS)} tanks in one watcher, {how}, beyond the "
        f"{ALARM.on_delays['value']:g} s of delay that is meant; half within "
        f"{1000 * percentile(late, 0.5):.1f} ms, the longest {1000 * max(late):.1f} ms",
    )


@dataclass(frozen=True, slots=True)
class Round:
    """All vents closed once: when the alarms were due, and how late each was, in s."""

    due: float
    late: tuple[float, ...]


class Quay:
    """The tanks of a site, and the board that sends what their probes say."""

    def __init__(self, listener: Listener, site: str, tanks: tuple[str, ...]) -> None:
        self._listener = listener
        self._site, self._tanks = site, tanks
        self._vents = dict.fromkeys(tanks, True)  # whether each is open

    def begin(self) -> None:
        """Wait for the watcher; then let the blowers run for a while with their vents open."""
        for tank in self._tanks:
            self._await(tank, "the watcher", lambda arrival: not arrival.payload)
        self._send()
        _wait_for_read()
        time.sleep(STARTED)

    def alarm_all(self) -> Round:
        """Close every vent, wait for the alarms, open again and wait for their end."""
        closed = self.close(self._tanks)
        self.open_all()
        for tank in self._tanks:
            self._await(tank, "returned", _is_change("returned"))
        return closed

    def alarm_each(self) -> tuple[float, ...]:
        """Close the vents one a second, and wait for all alarms: how late each was, in s."""
        self._listener.forget()
        due = {}
        for tank in self._tanks:
            self._vents[tank] = False
            self._send()
            due[tank] = _wait_for_read() + ALARM.on_delays["value"]
        return tuple(
            self._await(tank, "raised", _is_change("raised")).time - due[tank] for tank in self._tanks
        )

    def close(self, tanks: Sequence[str]) -> Round:
        """Close the vents of some tanks and wait for their alarms."""
        self._listener.forget()
        self._vents |= dict.fromkeys(tanks, False)
        self._send()
        due = _wait_for_read() + ALARM.on_delays["value"]
        raised = [self._await(tank, "raised", _is_change("raised")) for tank in tanks]
        return Round(due, tuple(arrival.time - due for arrival in raised))

    def open_all(self) -> None:
        """Open every vent."""
        self._vents = dict.fromkeys(self._tanks, True)
        self._send()

    def _send(self) -> None:
        """Say what all probes read, in the middle between two times at which they are read."""
        time.sleep((0.5 * INTERVAL - time.monotonic()) % INTERVAL)
        for tank, is_open in self._vents.items():
            values: dict[str, dict[str, object]] = {
                "fuel/temperature": {"u": "Cel", "v": 25.0},
                "fuel/level": {"u": "m", "v": 0.6},
                "blower/running": {"vb": True},
                "vent/open": {"vb": is_open},
            }
            pack = json.dumps([{"n": name, **values[name]} for name in PROBES])
            self._listener.client.publish(TankTopics(self._site, tank).probe("board"), pack, qos=1)

    def _await(self, tank: str, what: str, fits: Callable[[Arrival], bool]) -> Arrival:
        topic = TankTopics(self._site, tank).alarm(ALARM.name)
        return self._listener.first(lambda one: one.topic == topic and fits(one), PATIENCE, f"{tank}: {what}")


def _wait_for_read() -> float:
    """Sleep until the probes are read next: every INTERVAL of the monotonic clock. Returns that time."""
    at = (time.monotonic() // INTERVAL + 1) * INTERVAL
    time.sleep(at - time.monotonic())
    return at


def _is_change(change: str) -> Callable[[Arrival], bool]:
    return lambda arrival: bool(arrival.payload) and json.loads(arrival.payload)["change"] == change


FIGURE = Figure("alarm_latency_p99", "ms", 50, "at most", measure)
FLOOD = Figure("alarm_flood_p99", "ms", 50, "at most", measure_flood)
