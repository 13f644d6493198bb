"""Probes read in the background: none of them can hold up another."""

import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from drydown.probes.find import Attachments, find_probes
from drydown.probes.poll import Poller
from drydown.probes.probe import Probe
from drydown.reading import Reading
from support.fake_sysfs import FakeSysfs, replace
from support.probed_tank import tank_with

FUEL, DISCHARGE = "28-0000071c2a3b", "28-0000071c2a4c"
PROBES = {
    "fuel/temperature": {"w1": FUEL},
    "blower/discharge_temperature": {"w1": DISCHARGE},
    "air/temperature": {"iio": "bme280", "channel": "in_temp"},
}


@pytest.fixture
def sysfs(tmp_path: Path) -> FakeSysfs:
    sysfs = FakeSysfs(tmp_path)
    sysfs.add_iio(0, "bme280", in_temp_input="21500")
    return sysfs


def probes_of(sysfs: FakeSysfs) -> list[Probe]:
    return find_probes(tank_with(PROBES), Attachments("boathouse", sysfs=sysfs.root))


def gather(poller: Poller, until: Callable[[list[Reading]], bool], patience: float = 5.0) -> list[Reading]:
    """Collects until enough is there, and fails if it never is."""
    end = time.monotonic() + patience
    gathered: list[Reading] = []
    while not until(gathered):
        assert time.monotonic() < end, gathered
        poller.fresh.wait(0.05)
        poller.fresh.clear()
        gathered += poller.collect()
    return gathered


def named(name: str, count: int = 1) -> Callable[[list[Reading]], bool]:
    return lambda readings: sum(reading.name == name for reading in readings) >= count


def test_every_probe_is_read_again_and_again(sysfs: FakeSysfs) -> None:
    sysfs.add_thermometer(FUEL, 33.5)
    sysfs.add_thermometer(DISCHARGE, 41.0)
    with Poller(probes_of(sysfs), time.monotonic, interval=0.05) as poller:
        readings = gather(poller, lambda got: all(named(name, 3)(got) for name in PROBES))
    assert {reading.value for reading in readings} == {306.65, 314.15, 294.65}
    for name in PROBES:
        times = [reading.time for reading in readings if reading.name == name]
        assert times == sorted(set(times))


def test_one_that_hangs_stalls_no_other_and_is_reported(sysfs: FakeSysfs) -> None:
    sysfs.add_thermometer(FUEL).hang()
    sysfs.add_thermometer(DISCHARGE, 41.0)
    with Poller(probes_of(sysfs), time.monotonic, interval=0.05, patience=0.4) as poller:
        readings = gather(poller, named("fuel/temperature", 2))
    others = [reading for reading in readings if reading.name != "fuel/temperature"]
    assert all(reading.value is not None for reading in others)
    assert len([reading for reading in others if reading.name == "air/temperature"]) >= 5
    silent = [reading for reading in readings if reading.name == "fuel/temperature"]
    assert all(reading.value is None for reading in silent)
    assert FUEL in silent[0].reason
    assert "has not answered for 0 s" in silent[0].reason


def test_one_that_hangs_is_heard_again_when_it_answers(sysfs: FakeSysfs) -> None:
    fuel = sysfs.add_thermometer(FUEL)
    sysfs.add_thermometer(DISCHARGE)
    fuel.hang()
    with Poller(probes_of(sysfs), time.monotonic, interval=0.05, patience=0.2) as poller:
        gather(poller, named("fuel/temperature"))
        blocked = fuel.folder / "w1_slave"
        text = (sysfs.w1_devices / DISCHARGE / "w1_slave").read_text()
        with blocked.open("w") as pipe:  # lets go of the reader that waits
            pipe.write(text)
        replace(blocked, text)
        readings = gather(poller, lambda got: any(r.name == "fuel/temperature" and r.value for r in got))
    assert readings[-1].value is not None


class Throwing:
    """A probe whose driver throws."""

    name = "fuel/level"

    def read(self, now: float) -> Reading:
        raise RuntimeError(f"the driver fell over at {now}")

    def describe(self) -> str:
        return "the level gauge"


def test_one_that_throws_stalls_no_other_and_is_reported(sysfs: FakeSysfs) -> None:
    sysfs.add_thermometer(FUEL)
    sysfs.add_thermometer(DISCHARGE)
    with Poller([Throwing(), *probes_of(sysfs)], time.monotonic, interval=0.05) as poller:
        readings = gather(
            poller, lambda got: named("fuel/level", 3)(got) and named("air/temperature", 3)(got)
        )
    thrown = [reading for reading in readings if reading.name == "fuel/level"]
    assert all(reading.value is None for reading in thrown)
    assert thrown[0].reason.startswith("the level gauge failed: the driver fell over at")


class Still:
    """A probe that has nothing new to say after its first reading."""

    name = "fuel/level"

    def read(self, now: float) -> Reading:
        return Reading(self.name, min(now, 1.0), 0.5)

    def describe(self) -> str:
        return "a still gauge"


def test_a_reading_is_handed_over_once() -> None:
    with Poller([Still()], time.monotonic, interval=0.02, patience=0.1) as poller:
        first = gather(poller, named("fuel/level"))
        time.sleep(0.3)
        assert poller.collect() == []
    assert first == [Reading("fuel/level", 1.0, 0.5)]


def test_two_pollers_wake_the_same_watcher(sysfs: FakeSysfs) -> None:
    sysfs.add_thermometer(FUEL)
    sysfs.add_thermometer(DISCHARGE)
    fresh = threading.Event()
    with (
        Poller(probes_of(sysfs), time.monotonic, fresh=fresh),
        Poller([Still()], time.monotonic, fresh=fresh),
    ):
        assert fresh.wait(2)


def test_closing_does_not_wait_for_one_that_hangs(sysfs: FakeSysfs) -> None:
    sysfs.add_thermometer(FUEL).hang()
    poller = Poller(probes_of(sysfs), time.monotonic, interval=0.05)
    poller.start()
    time.sleep(0.1)
    started = time.monotonic()
    poller.close()
    assert time.monotonic() - started < 2


def test_times_are_on_the_clock_that_was_given(sysfs: FakeSysfs) -> None:
    sysfs.add_thermometer(FUEL)
    sysfs.add_thermometer(DISCHARGE)
    with Poller(probes_of(sysfs), lambda: 1_789_200_000.0) as poller:
        readings = gather(poller, lambda got: {r.name for r in got} == set(PROBES))
    assert {reading.time for reading in readings} == {1_789_200_000.0}
