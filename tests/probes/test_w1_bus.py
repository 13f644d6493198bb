"""Several DS18B20 on live fake buses: who converts when, what is set, what hangs, and what comes and goes."""

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from drydown.probes import w1_bus, w1_thermometer
from drydown.probes.poll import Poller
from drydown.probes.w1 import OneWire, OneWireProbe
from drydown.reading import Reading
from support.broker import until
from support.fake_sysfs import FakeSysfs
from support.live_w1 import LiveBus

SERIALS = [f"28-0000071c2a{number:02x}" for number in range(0x10, 0x18)]
FIRST, SECOND = SERIALS[:2]
QUICK = 0.15  # s that a conversion takes here
PATIENCE = 120.0  # s: however busy the machine is


@pytest.fixture
def sysfs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> FakeSysfs:
    monkeypatch.setattr(
        w1_bus, "FRESH", 60.0
    )  # a thread that starts late still shares, on the slowest machine
    return FakeSysfs(tmp_path)


@pytest.fixture
def bus(sysfs: FakeSysfs) -> Iterator[LiveBus]:
    with LiveBus(sysfs) as bus:
        yield bus


def probes_on(sysfs: FakeSysfs, *serials: str) -> list[OneWireProbe]:
    wire = OneWire(sysfs.w1_devices)
    for serial in serials:  # so that not even the first is read before the others have joined
        bus = wire.buses.of(serial)
        assert bus
        bus.join(serial)
    return [OneWireProbe(f"probe {number}", serial, wire) for number, serial in enumerate(serials)]


def together(probes: list[OneWireProbe]) -> list[Reading]:
    """Read them all at the same moment, each on a thread of its own, as the poller does."""
    readings: dict[int, Reading] = {}
    threads = [
        threading.Thread(target=lambda at=at, probe=probe: readings.update({at: probe.read(0.0)}))
        for at, probe in enumerate(probes)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE)
    return [readings[at] for at in range(len(probes))]


def test_all_probes_of_a_bus_share_one_conversion(sysfs: FakeSysfs, bus: LiveBus) -> None:
    live = [bus.add(serial, 20.0 + at, conversion=QUICK) for at, serial in enumerate(SERIALS)]
    probes = probes_on(sysfs, *SERIALS)
    for warmer in range(3):
        for at, thermometer in enumerate(live):
            thermometer.celsius = 20.0 + at + warmer
        values = [reading.value for reading in together(probes)]
        assert values == [pytest.approx(293.15 + at + warmer) for at in range(8)]
    assert bus.history == ["all"] * 3


def test_on_parasite_power_too(sysfs: FakeSysfs, bus: LiveBus) -> None:
    for serial in SERIALS[:3]:
        bus.add(serial, conversion=QUICK, supply=False)
    probes = probes_on(sysfs, *SERIALS[:3])
    assert all(reading.value == pytest.approx(293.15) for reading in together(probes))
    assert bus.history == ["all"]
    assert probes[0].describe() == f"DS18B20 {FIRST} on w1_bus_master1 with parasite power"


def test_a_lone_probe_converts_when_it_is_read(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FIRST, 21.5, conversion=QUICK)
    (probe,) = probes_on(sysfs, FIRST)
    assert probe.read(0.0).value == pytest.approx(294.65)
    assert bus.history == [FIRST]
    assert probe.describe() == f"DS18B20 {FIRST} on w1_bus_master1"


@pytest.mark.parametrize("present", [True, False])
def test_where_not_all_can_convert_at_once_each_does_by_itself(sysfs: FakeSysfs, present: bool) -> None:
    with LiveBus(sysfs, bulk=False) as bus:
        if present:
            (sysfs.master() / "therm_bulk_read").mkdir()  # cannot be written, whoever tries
        bus.add(FIRST, 21.5, conversion=QUICK)
        bus.add(SECOND, 30.0, conversion=QUICK)
        readings = together(probes_on(sysfs, FIRST, SECOND))
        assert [reading.value for reading in readings] == [pytest.approx(294.65), pytest.approx(303.15)]
        assert sorted(bus.history) == [FIRST, SECOND]


def test_two_tanks_that_name_the_same_probe_share_its_answer(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FIRST, 12.0, conversion=QUICK)
    probes = probes_on(sysfs, FIRST, FIRST)
    for _ in range(2):
        assert [reading.value for reading in together(probes)] == [pytest.approx(285.15)] * 2
    assert bus.history == [FIRST, FIRST]


def test_a_slow_copy_has_the_time_that_its_owner_gave_it(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FIRST, 21.5, conversion=QUICK)
    bus.add(SECOND, 30.0, conversion=1.0)
    probes = probes_on(sysfs, FIRST, SECOND)
    together(probes)
    assert bus.history == ["all"]
    begun = time.monotonic()
    assert [reading.value for reading in together(probes)] == [pytest.approx(294.65), pytest.approx(303.15)]
    assert time.monotonic() - begun >= 1.0


def test_while_another_program_converts_its_end_is_waited_for(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FIRST, 21.5, conversion=0.5)
    (probe,) = probes_on(sysfs, FIRST)
    number = sysfs.master() / "therm_bulk_read"
    number.write_text("trigger\n")
    until(lambda: number.read_text() == "-1\n", PATIENCE)
    assert probe.read(0.0).value == pytest.approx(294.65)
    assert bus.history == ["all"]


def test_two_programs_on_one_bus_both_get_their_readings(sysfs: FakeSysfs, bus: LiveBus) -> None:
    for at, serial in enumerate(SERIALS[:4]):
        bus.add(serial, 20.0 + at, conversion=0.3)
    programs = [probes_on(sysfs, *SERIALS[:2]), probes_on(sysfs, *SERIALS[2:4])]
    got: list[Reading] = []
    with (
        Poller(programs[0], time.monotonic, interval=0.4) as one,
        Poller(programs[1], time.monotonic, interval=0.55) as other,
    ):

        def enough() -> bool:
            got.extend([*one.collect(), *other.collect()])
            return len(got) >= 40

        until(enough, PATIENCE)
    assert {reading.reason for reading in got} == {""}
    assert {reading.value for reading in got} == {293.15, 294.15, 295.15, 296.15}


def test_a_result_that_somebody_left_behind_is_not_taken_for_new(sysfs: FakeSysfs, bus: LiveBus) -> None:
    thermometer = bus.add(FIRST, 60.0, conversion=QUICK)
    number = sysfs.master() / "therm_bulk_read"
    number.write_text("trigger\n")
    until(lambda: number.read_text() == "1\n", PATIENCE)
    thermometer.celsius = 20.0
    (probe,) = probes_on(sysfs, FIRST)
    assert probe.read(0.0).value == pytest.approx(293.15)


def test_resolution_is_set_once_and_never_into_the_eeprom(sysfs: FakeSysfs, bus: LiveBus) -> None:
    coarse, fine = bus.add(FIRST, 20.3, bits=9, conversion=0.02), bus.add(SECOND, 20.3, conversion=0.02)
    files = [thermometer.folder / "resolution" for thermometer in (coarse, fine)]
    untouched = files[1].stat().st_mtime_ns
    probes = probes_on(sysfs, FIRST, SECOND)
    assert together(probes)[0].value == pytest.approx(293.15), "in steps of half a degree"
    until(lambda: (coarse.folder / "conv_time").read_text() == "750\n", PATIENCE)
    assert together(probes)[0].value == pytest.approx(293.4625), "in steps of a sixteenth"
    once = files[0].stat().st_mtime_ns
    together(probes)
    assert files[0].stat().st_mtime_ns == once
    assert files[1].stat().st_mtime_ns == untouched
    coarse.lose_power()
    together(probes)
    assert files[0].read_text() == "12\n", "what it has lost it is told again"
    assert [(one.folder / "eeprom_cmd").read_bytes() for one in (coarse, fine)] == [b"", b""]


def test_a_copy_that_keeps_its_resolution_is_told_only_once(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FIRST, 20.3, bits=9, obeys=False, conversion=0.02)
    (probe,) = probes_on(sysfs, FIRST)
    file = sysfs.w1_devices / FIRST / "resolution"
    assert probe.read(0.0).value == pytest.approx(293.15)
    until(lambda: file.read_text() == "9\n", PATIENCE)
    refused = file.stat().st_mtime_ns
    for _ in range(3):
        assert probe.read(0.0).value == pytest.approx(293.15)
    assert file.stat().st_mtime_ns == refused


def test_a_probe_that_lost_its_power_between_converts_anew(sysfs: FakeSysfs, bus: LiveBus) -> None:
    thermometer = bus.add(FIRST, 30.0, conversion=QUICK)
    (probe,) = probes_on(sysfs, FIRST)
    thermometer.lose_power()
    assert probe.read(0.0).value == pytest.approx(303.15)


def test_one_that_goes_and_comes_back_on_another_bus_is_found(sysfs: FakeSysfs, bus: LiveBus) -> None:
    bus.add(FIRST, 21.0, conversion=QUICK)
    bus.add(SECOND, 30.0, conversion=QUICK)
    probes = probes_on(sysfs, FIRST, SECOND)
    together(probes)
    bus.unplug(FIRST)
    gone, left = together(probes)
    assert gone.value is None
    assert f"{FIRST} is not on the 1-Wire bus (there: {SECOND})" in gone.reason
    assert left.value == pytest.approx(303.15)
    with LiveBus(sysfs, 2, bulk=False) as other:
        other.add(FIRST, 22.0, supply=False, conversion=QUICK)
        back, left = together(probes)
        assert [back.value, left.value] == [pytest.approx(295.15), pytest.approx(303.15)]
        assert probes[0].describe() == f"DS18B20 {FIRST} on w1_bus_master2 with parasite power"
        assert other.history == [FIRST]
        other.unplug(FIRST)
        together(probes)
    bus.add(FIRST, 23.0, conversion=QUICK)
    assert together(probes)[0].value == pytest.approx(296.15)


def test_a_bus_that_hangs_is_told_of_and_holds_up_no_other(
    sysfs: FakeSysfs, bus: LiveBus, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(w1_thermometer, "PATIENCE", 0.5)
    monkeypatch.setattr(w1_thermometer, "NEXT_PATIENCE", 0.1)
    bus.add(FIRST, conversion=QUICK)
    bus.add(SECOND, conversion=QUICK)
    with LiveBus(sysfs, 2, bulk=False) as sound:
        sound.add(SERIALS[2], 40.0, conversion=QUICK)
        probes = probes_on(sysfs, *SERIALS[:3])
        together(probes)
        bus.hang()
        elsewhere = set(threading.enumerate())  # other tests leave such threads behind
        told: dict[str, str] = {}
        with Poller(probes, time.monotonic, interval=0.2) as poller:

            def heard_of_both() -> bool:
                got = poller.collect()
                told.update({reading.name: reading.reason for reading in got})
                return all(
                    "w1_bus_master1 has not answered for" in told.get(f"probe {n}", "") for n in (0, 1)
                )

            until(heard_of_both, PATIENCE)
            sound.history.clear()

            def is_heard() -> bool:
                return any(one.name == "probe 2" and one.value is not None for one in poller.collect())

            until(is_heard, PATIENCE)
            until(lambda: len(sound.history) >= 3, PATIENCE)
        assert "unplug its probes one by one" in told["probe 0"]
        waiting = [thread.name for thread in threading.enumerate() if thread not in elsewhere]
        for serial in (FIRST, SECOND):
            assert waiting.count(f"1-Wire {serial}") <= 1, "whoever asks again waits with the others"
        bus.let_go()
        until(lambda: all(reading.value is not None for reading in together(probes)), PATIENCE)
