"""The live fake bus takes the kernel's time and keeps the kernel's order."""

import threading
import time
from pathlib import Path

from support.broker import until
from support.fake_sysfs import FakeSysfs
from support.live_w1 import FETCH, SELECT, LiveBus

FIRST, SECOND = "28-0000071c2a3b", "28-0000071c2a4c"


def seconds_of(*files: Path) -> float:
    """How long it takes to read files all at the same time."""
    threads = [threading.Thread(target=file.read_text) for file in files]
    begun = time.monotonic()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(10)
    return time.monotonic() - begun


def test_a_read_converts_for_conv_time(tmp_path: Path) -> None:
    with LiveBus(FakeSysfs(tmp_path)) as bus:
        probe = bus.add(FIRST, 21.5, conversion=0.2)
        begun = time.monotonic()
        assert (probe.folder / "temperature").read_text() == "21500\n"
        assert time.monotonic() - begun >= 0.2 + SELECT + FETCH
        probe.celsius = 30.0
        assert (probe.folder / "w1_slave").read_text().endswith("t=30000\n")
        assert bus.history == [FIRST, FIRST]


def test_after_a_trigger_each_read_fetches_once_and_then_converts_again(tmp_path: Path) -> None:
    # Linux Documentation/w1/slaves/w1_therm: -1 while in conversion, 1 while a value is unread, 0 when none
    # is; `temperature` may be empty meanwhile; a value not read at once is that of the time of the trigger
    with LiveBus(FakeSysfs(tmp_path)) as bus:
        probe = bus.add(FIRST, 21.5, conversion=0.2)
        number = probe.folder.parent / "therm_bulk_read"
        assert number.read_text() == "0\n"
        number.write_text("trigger\n")
        until(lambda: number.read_text() == "-1\n", 5)
        assert (probe.folder / "temperature").read_text() == ""
        until(lambda: number.read_text() == "1\n", 5)
        probe.celsius = 30.0
        assert (probe.folder / "temperature").read_text() == "21500\n"
        assert bus.history == ["all"]
        assert number.read_text() == "0\n"
        assert (probe.folder / "temperature").read_text() == "30000\n"
        assert bus.history == ["all", FIRST]


def test_parasite_power_keeps_the_bus_and_a_supply_does_not(tmp_path: Path) -> None:
    # Linux drivers/w1/slaves/w1_therm.c, convert_t(): a strong pull-up keeps the mutex while it converts
    with LiveBus(FakeSysfs(tmp_path)) as bus:
        probes = [bus.add(serial, conversion=0.3, supply=False) for serial in (FIRST, SECOND)]
        assert seconds_of(*(probe.folder / "temperature" for probe in probes)) >= 0.6
        assert sorted(bus.history) == [FIRST, SECOND]


def test_with_a_supply_another_may_speak_while_one_converts(tmp_path: Path) -> None:
    with LiveBus(FakeSysfs(tmp_path)) as bus:
        slow, quick = bus.add(FIRST, conversion=3.0), bus.add(SECOND, conversion=0.1)
        waiting = threading.Thread(target=(slow.folder / "temperature").read_text)
        waiting.start()
        (quick.folder / "temperature").read_text()
        waiting.join(10)
        assert bus.history == [SECOND, FIRST]


def test_the_master_lists_its_slaves(tmp_path: Path) -> None:
    sysfs = FakeSysfs(tmp_path)
    with LiveBus(sysfs) as bus:
        master = sysfs.master()
        assert (master / "w1_master_slaves").read_text() == "not found.\n"
        bus.add(FIRST)
        bus.add(SECOND)
        assert (master / "w1_master_slaves").read_text() == f"{FIRST}\n{SECOND}\n"
        bus.unplug(FIRST)
        assert (master / "w1_master_slaves").read_text() == f"{SECOND}\n"
        assert (master / "w1_master_slave_count").read_text() == "1\n"
        assert not (sysfs.w1_devices / FIRST).exists()
