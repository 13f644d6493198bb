"""IIO and hwmon channels on a fake tree: what stands in the files comes out in SI units."""

from pathlib import Path

import pytest

from drydown.probes.sysfs import HWMON, IIO, ChannelProbe, Scaling, loop_verdict
from drydown.reading import Quality
from support.fake_sysfs import FakeSysfs, replace

PLAIN = Scaling()


@pytest.fixture
def sysfs(tmp_path: Path) -> FakeSysfs:
    return FakeSysfs(tmp_path)


def iio(sysfs: FakeSysfs, channel: str, device: str = "bme280", scaling: Scaling = PLAIN) -> ChannelProbe:
    return ChannelProbe("air/temperature", sysfs.root, IIO, device, channel, scaling)


def hwmon(sysfs: FakeSysfs, channel: str, device: str = "sht3x") -> ChannelProbe:
    return ChannelProbe("air/temperature", sysfs.root, HWMON, device, channel, PLAIN)


@pytest.mark.parametrize(
    ("channel", "files", "value"),
    [
        # Linux Documentation/ABI/testing/sysfs-bus-iio: milli °C, milli per cent, kilopascal, millivolt,
        # milliampere, metre, after (raw + offset) × scale where the driver gives raw values
        ("in_temp", {"in_temp_input": "21530"}, 294.68),
        ("in_humidityrelative", {"in_humidityrelative_input": "54100"}, 0.541),
        ("in_pressure", {"in_pressure_input": "100.845"}, 100845.0),
        ("in_temp", {"in_temp_raw": "1250", "in_temp_offset": "-100", "in_temp_scale": "20"}, 296.15),
        ("in_temp", {"in_temp_raw": "-500", "in_temp_scale": "10.0"}, 268.15),
        ("in_voltage0", {"in_voltage0_raw": "8000", "in_voltage0_scale": "0.125"}, 1.0),
        ("in_voltage0", {"in_voltage0_raw": "8000", "in_voltage_scale": "0.125"}, 1.0),
        (
            "in_voltage0-voltage1",
            {"in_voltage0-voltage1_raw": "-80", "in_voltage-voltage_scale": "0.5"},
            -0.04,
        ),
        ("in_current0", {"in_current0_raw": "12", "in_current_scale": "1"}, 0.012),
        ("in_distance", {"in_distance_raw": "412", "in_distance_scale": "0.001"}, 0.412),
    ],
)
def test_iio_units(sysfs: FakeSysfs, channel: str, files: dict[str, str], value: float) -> None:
    sysfs.add_iio(0, "bme280", **files)
    reading = iio(sysfs, channel).read(7.0)
    assert reading.value == pytest.approx(value)
    assert (reading.time, reading.quality) == (7.0, Quality.GOOD)


@pytest.mark.parametrize(
    ("channel", "files", "value"),
    [
        # Linux Documentation/hwmon/sysfs-interface: milli °C, milli per cent, millivolt, milliampere
        ("temp1", {"temp1_input": "21530"}, 294.68),
        ("temp1", {"temp1_input": "-5000", "temp1_fault": "0"}, 268.15),
        ("humidity1", {"humidity1_input": "54100"}, 0.541),
        ("in0", {"in0_input": "1250"}, 1.25),
        ("curr1", {"curr1_input": "12000"}, 12.0),
    ],
)
def test_hwmon_units(sysfs: FakeSysfs, channel: str, files: dict[str, str], value: float) -> None:
    sysfs.add_hwmon(0, "sht3x", **files)
    assert hwmon(sysfs, channel).read(0.0).value == pytest.approx(value)


def test_gain_and_zero_make_a_level_of_a_voltage(sysfs: FakeSysfs) -> None:
    sysfs.add_iio(0, "ads1015", in_voltage0_raw="600", in_voltage0_scale="2")  # 1.2 V
    reading = iio(sysfs, "in_voltage0", "ads1015", Scaling(gain=0.5, zero=-0.1)).read(0.0)
    assert reading.value == pytest.approx(0.5)


@pytest.mark.parametrize("device", ["sht3x", "hwmon1"])
def test_a_device_is_found_by_its_name_or_folder(sysfs: FakeSysfs, device: str) -> None:
    sysfs.add_hwmon(0, "cpu_thermal", temp1_input="48000")
    sysfs.add_hwmon(1, "sht3x", temp1_input="21000")
    assert hwmon(sysfs, "temp1", device).read(0.0).value == pytest.approx(294.15)


def reason(probe: ChannelProbe) -> str:
    reading = probe.read(0.0)
    assert reading.value is None
    assert reading.quality is Quality.BAD
    return reading.reason


def test_two_devices_of_one_name_must_be_told_apart(sysfs: FakeSysfs) -> None:
    sysfs.add_iio(0, "bme280", in_temp_input="1")
    sysfs.add_iio(1, "bme280", in_temp_input="2")
    assert "write iio:device0 or iio:device1 instead" in reason(iio(sysfs, "in_temp"))


def test_a_missing_device_names_those_that_are_there(sysfs: FakeSysfs) -> None:
    sysfs.add_iio(0, "ads1015", in_voltage0_raw="1")
    assert "no IIO device is named bme280 (there are: ads1015)" in reason(iio(sysfs, "in_temp"))


def test_nothing_there_at_all(sysfs: FakeSysfs) -> None:
    assert "(there are: none)" in reason(iio(sysfs, "in_temp"))


def test_a_missing_channel_names_those_that_are_there(sysfs: FakeSysfs) -> None:
    sysfs.add_iio(0, "bme280", in_pressure_input="101", in_humidityrelative_input="50000")
    words = reason(iio(sysfs, "in_temp"))
    assert "no channel in_temp" in words
    assert "in_humidityrelative, in_pressure" in words


@pytest.mark.parametrize("channel", ["in_magn_x", "temp1", "in_temp/../../secret", "", "in_"])
def test_a_channel_of_no_known_kind(sysfs: FakeSysfs, channel: str) -> None:
    sysfs.add_iio(0, "bme280", in_temp_input="21000")
    assert "channels begin with in_temp, in_humidityrelative" in reason(iio(sysfs, channel))


def test_a_folder_outside_the_tree_is_not_followed(sysfs: FakeSysfs) -> None:
    sysfs.add_iio(0, "bme280", in_temp_input="21000")
    assert "no IIO device is named ../devices/iio:device0" in reason(
        iio(sysfs, "in_temp", "../devices/iio:device0")
    )


def test_a_reported_fault(sysfs: FakeSysfs) -> None:
    sysfs.add_hwmon(0, "sht3x", temp1_input="0", temp1_fault="1")
    assert "broken or missing sensor" in reason(hwmon(sysfs, "temp1"))


@pytest.mark.parametrize("text", ["", "garbage", "nan", "inf", "1e400"])
def test_no_number(sysfs: FakeSysfs, text: str) -> None:
    folder = sysfs.add_iio(0, "bme280", in_temp_input="21000")
    replace(folder / "in_temp_input", text)
    assert "number" in reason(iio(sysfs, "in_temp"))


def test_a_read_error_is_told(sysfs: FakeSysfs) -> None:
    folder = sysfs.add_iio(0, "bme280", in_temp_input="21000")
    (folder / "in_temp_input").unlink()
    (folder / "in_temp_input").mkdir()  # reading a folder fails, whoever tries
    assert "in_temp_input cannot be read (Is a directory)" in reason(iio(sysfs, "in_temp"))


def test_an_unplugged_device_comes_back(sysfs: FakeSysfs) -> None:
    folder = sysfs.add_iio(0, "bme280", in_temp_input="21000")
    probe = iio(sysfs, "in_temp")
    folder.rename(folder.with_name("gone"))
    assert "no IIO device" in reason(probe)
    folder.with_name("gone").rename(folder)
    assert probe.read(1.0).value == pytest.approx(294.15)


@pytest.mark.parametrize(
    ("milliamperes", "quality"),
    # NAMUR NE 43 (from memory): 3.8 to 20.5 mA is the measuring range; one that fails goes to 3.6 mA
    # or less, or to 21 mA or more; in between a transmitter is at its stop
    [
        (0.0, Quality.BAD),
        (3.5, Quality.BAD),
        (3.6, Quality.BAD),
        (3.61, Quality.DOUBTFUL),
        (3.79, Quality.DOUBTFUL),
        (3.8, Quality.GOOD),
        (12.0, Quality.GOOD),
        (20.5, Quality.GOOD),
        (20.51, Quality.DOUBTFUL),
        (20.99, Quality.DOUBTFUL),
        (21.0, Quality.BAD),
        (24.0, Quality.BAD),
    ],
)
def test_current_loop(milliamperes: float, quality: Quality) -> None:
    found, reason = loop_verdict(milliamperes / 1000)
    assert found is quality
    assert (f"carries {milliamperes:.2f} mA" in reason) is (quality is not Quality.GOOD)


def test_a_broken_loop_keeps_its_value_but_is_bad(sysfs: FakeSysfs) -> None:
    # 150 Ω, 4 to 20 mA for 0 to 1 m: 0.0625 m a mA; 0.3 mA is no level of −0.23 m
    sysfs.add_iio(0, "ads1015", in_voltage0_raw="45", in_voltage0_scale="1")
    loop = Scaling(gain=62.5 / 150.0, zero=-0.25, shunt=150.0)
    reading = iio(sysfs, "in_voltage0", "ads1015", loop).read(0.0)
    assert reading.quality is Quality.BAD
    assert reading.value == pytest.approx(-0.23125)
    assert "carries 0.30 mA, where 3.6 mA or less" in reading.reason


def test_a_sound_loop(sysfs: FakeSysfs) -> None:
    sysfs.add_iio(0, "ads1015", in_voltage0_raw="1800", in_voltage0_scale="1")
    loop = Scaling(gain=62.5 / 150.0, zero=-0.25, shunt=150.0)
    reading = iio(sysfs, "in_voltage0", "ads1015", loop).read(0.0)
    assert reading.value == pytest.approx(0.5)
    assert reading.quality is Quality.GOOD


def test_a_current_channel_needs_no_shunt(sysfs: FakeSysfs) -> None:
    sysfs.add_iio(0, "loop", in_current0_raw="215", in_current0_scale="0.1")
    reading = iio(sysfs, "in_current0", "loop").read(0.0)
    assert reading.quality is Quality.BAD
    assert "21 mA or more" in reading.reason


def test_what_measures_a_motor_is_no_current_loop(sysfs: FakeSysfs) -> None:
    sysfs.add_iio(0, "meter", in_current0_raw="2150", in_current0_scale="1")
    probe = ChannelProbe("blower/current", sysfs.root, IIO, "meter", "in_current0", Scaling())
    reading = probe.read(0.0)
    assert reading.value == pytest.approx(2.15)
    assert reading.quality is Quality.GOOD
