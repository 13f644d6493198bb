"""DS18B20 probes on a fake bus: what is read, and what is said when there is nothing to read."""

from pathlib import Path

import pytest

from drydown.probes.w1 import OneWire, OneWireProbe
from drydown.reading import Quality, Reading
from support.fake_sysfs import FakeSysfs, FakeThermometer, replace

SERIAL = "28-0000071c2a3b"


@pytest.fixture
def sysfs(tmp_path: Path) -> FakeSysfs:
    return FakeSysfs(tmp_path)


@pytest.fixture
def thermometer(sysfs: FakeSysfs) -> FakeThermometer:
    return sysfs.add_thermometer(SERIAL, 21.5)


def probe_on(sysfs: FakeSysfs) -> OneWireProbe:
    return OneWireProbe("fuel/temperature", SERIAL, OneWire(sysfs.w1_devices))


def assert_no_value(reading: Reading, *words: str) -> None:
    assert reading.value is None
    assert reading.quality is Quality.BAD
    for word in words:
        assert word in reading.reason


@pytest.mark.parametrize(
    ("celsius", "kelvin"),
    # DS18B20 data sheet, table "temperature/data relationship", without its 85 °C
    [
        (125.0, 398.15),
        (25.0625, 298.2125),
        (10.125, 283.275),
        (0.5, 273.65),
        (0.0, 273.15),
        (-0.5, 272.65),
        (-10.125, 263.025),
        (-25.0625, 248.0875),
        (-55.0, 218.15),
    ],
)
def test_reads_kelvin(sysfs: FakeSysfs, thermometer: FakeThermometer, celsius: float, kelvin: float) -> None:
    thermometer.show(celsius)
    reading = probe_on(sysfs).read(12.5)
    assert reading.name == "fuel/temperature"
    assert reading.time == 12.5
    assert reading.value == pytest.approx(kelvin, abs=1e-9)
    assert reading.quality is Quality.GOOD


def test_failed_checksum_never_gives_the_old_temperature(
    sysfs: FakeSysfs, thermometer: FakeThermometer
) -> None:
    thermometer.fail_checksum(60.0)
    assert_no_value(probe_on(sysfs).read(0.0), SERIAL, "checksum", "CRC", "cable")


def test_empty_answer(sysfs: FakeSysfs, thermometer: FakeThermometer) -> None:
    thermometer.give_up()
    assert_no_value(probe_on(sysfs).read(0.0), SERIAL, "no answer", "pull-up")


def test_power_on_value(sysfs: FakeSysfs, thermometer: FakeThermometer) -> None:
    thermometer.lose_power()
    assert_no_value(probe_on(sysfs).read(0.0), SERIAL, "85.0 °C", "powered", "supply")


def test_a_blower_that_really_is_at_85_degrees_is_believed(
    sysfs: FakeSysfs, thermometer: FakeThermometer
) -> None:
    thermometer.show(85.0)
    assert probe_on(sysfs).read(0.0).value == pytest.approx(358.15)


def test_a_probe_whose_power_breaks_down_is_told_apart(
    sysfs: FakeSysfs, thermometer: FakeThermometer
) -> None:
    thermometer.starve()
    assert_no_value(probe_on(sysfs).read(0.0), SERIAL, "127.9 °C", "third wire")


def test_shorted_line_is_not_zero_degrees(sysfs: FakeSysfs, thermometer: FakeThermometer) -> None:
    thermometer.short()
    assert_no_value(probe_on(sysfs).read(0.0), SERIAL, "shorted")


def test_unplugged_and_plugged_in_again(sysfs: FakeSysfs, thermometer: FakeThermometer) -> None:
    probe = probe_on(sysfs)
    assert probe.read(0.0).value is not None
    thermometer.unplug()
    assert_no_value(probe.read(1.0), f"{SERIAL} is not on the 1-Wire bus (where no DS18B20 answers)", "plug")
    sysfs.add_thermometer(SERIAL, 30.0)
    assert probe.read(2.0).value == pytest.approx(303.15)


def test_no_bus_at_all(tmp_path: Path) -> None:
    assert_no_value(probe_on(FakeSysfs(tmp_path)).read(0.0), "no 1-Wire bus", "w1-gpio")


@pytest.mark.parametrize(
    "text", ["\n\n", "garbage YES\n", "x YES\ny t=1\n", "zz zz YES\nzz zz t=q\n", "\xff" * 80]
)
def test_nonsense_is_no_temperature(sysfs: FakeSysfs, thermometer: FakeThermometer, text: str) -> None:
    replace(thermometer.folder / "w1_slave", text)
    assert_no_value(probe_on(sysfs).read(0.0), SERIAL)
