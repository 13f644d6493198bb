"""w1_cycle: how long eight probes on one fake 1-Wire bus take at 12 bits, first question to last answer."""

import tempfile
import threading
import time
from pathlib import Path

from bench.figure import Figure, Measured
from bench.percentile import percentile
from bench.workbench import Workbench
from drydown.probes.w1 import OneWire, OneWireProbe
from drydown.quantities import ZERO_CELSIUS
from support.fake_sysfs import FakeSysfs
from support.live_w1 import FETCH, LiveBus

SERIALS = [f"28-0000071c2a{number:02x}" for number in range(0x10, 0x18)]
ROUNDS = 8
PERIOD = 1.0  # s between two rounds, as the poller asks


def measure(_bench: Workbench) -> Measured:
    """The middle of several rounds, after one that lets the probes find each other."""
    with tempfile.TemporaryDirectory() as folder:
        sysfs = FakeSysfs(Path(folder))
        with LiveBus(sysfs) as bus:
            for at, serial in enumerate(SERIALS):
                bus.add(serial, 20.0 + at)
            wire = OneWire(sysfs.w1_devices)
            probes = [OneWireProbe(f"probe {at}", serial, wire) for at, serial in enumerate(SERIALS)]
            _round(probes)
            bus.history.clear()
            times = [_round(probes) for _ in range(ROUNDS)]
            assert bus.history == ["all"] * ROUNDS, f"not one conversion a round, but {bus.history}"
    return Measured(
        percentile(times, 0.5),
        f"the middle of {ROUNDS} rounds of {len(SERIALS)} probes, each round one conversion of 0.75 s and "
        f"{len(SERIALS)} fetches of {1000 * FETCH:.0f} ms; the slowest {max(times):.3f} s",
    )


def _round(probes: list[OneWireProbe]) -> float:
    time.sleep(PERIOD)
    values: dict[int, object] = {}
    threads = [
        threading.Thread(target=lambda at=at, probe=probe: values.update({at: probe.read(0.0).value}))
        for at, probe in enumerate(probes)
    ]
    begun = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    seconds = time.perf_counter() - begun
    assert values == {at: 20.0 + at + ZERO_CELSIUS for at in range(len(probes))}, values
    return seconds


FIGURE = Figure("w1_cycle", "s", 1.0, "at most", measure)
