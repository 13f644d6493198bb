"""The line through known values: what it is, when there is none, and what it makes of a channel."""

from pathlib import Path

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.config.load import ConfigError, parse
from drydown.probes.calibration import CalibrationError, fit, scaling_of
from drydown.probes.find import Attachments, UnfitProbeError, find_probes
from drydown.probes.sysfs import HWMON
from support.fake_sysfs import FakeSysfs
from support.probed_tank import tank_with

LEVEL, AIR, HUMIDITY = "fuel/level", "air/temperature", "air/humidity"


def test_two_points_give_the_line_through_them() -> None:
    line = fit(LEVEL, [(0.5, 0.0), (2.5, 1.0)])
    assert (line.gain, line.zero) == pytest.approx((0.5, -0.25))
    assert line.residuals == pytest.approx((0.0, 0.0))


@given(st.lists(st.tuples(st.floats(0.5, 4.5), st.floats(-0.004, 0.004)), min_size=3, max_size=12))
def test_it_is_the_line_of_least_squares(drawn: list[tuple[float, float]]) -> None:
    points = [(0.5, 0.0), (4.5, 1.0), *((read, 0.25 * read - 0.125 + error) for read, error in drawn)]
    line = fit(LEVEL, points)
    reads, trues = numpy.array(points).T
    gain, zero = numpy.polyfit(reads, trues, 1)  # numpy's own least squares
    assert (line.gain, line.zero) == pytest.approx((gain, zero), abs=1e-9)
    assert line.residuals == pytest.approx([true - (gain * read + zero) for read, true in points], abs=1e-9)
    assert sum(line.residuals) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "points", "words"),
    [
        (LEVEL, [(1.0, 0.5)], "1 point(s): a calibration needs two"),
        (LEVEL, [], "0 point(s)"),
        (LEVEL, [(1.0, 0.50), (1.1, 0.55)], "too near: they span 0.05 m, and a line needs 0.1 m"),
        (AIR, [(20.0, 20.0), (23.0, 23.0)], "too near: they span 3 °C"),
        (LEVEL, [(1.0, 0.0), (1.0, 0.8)], "reads the same (1) though what is true differs by 0.8 m"),
        (LEVEL, [(0.0, 0.0), (0.0, 0.8)], "reads the same"),
        (LEVEL, [(1.0, 0.0), (2.0, 0.5), (3.0, 0.8)], "do not lie on a line: number 2, 0.5 m, is"),
        (HUMIDITY, [(33.0, 33.0), (75.0, 75.0), (54.0, 75.0)], "do not lie on a line: number 3"),
    ],
)
def test_where_there_is_no_line(name: str, points: list[tuple[float, float]], words: str) -> None:
    with pytest.raises(CalibrationError) as refused:
        fit(name, points)
    assert words in str(refused.value)


def test_celsius_and_per_cent_come_out_in_si() -> None:
    # in boiling water and ice water by the boiling and melting points of water at 101 325 Pa (BIPM, ITS-90)
    scaling = scaling_of(AIR, HWMON, "temp1", [(1.0, 0.0), (101.0, 100.0)], None)
    assert scaling.gain * (50.0 + 273.15) + scaling.zero == pytest.approx(49.0 + 273.15)
    scaling = scaling_of(HUMIDITY, HWMON, "humidity1", [(30.0, 33.0), (70.0, 75.0)], None)
    assert scaling.gain * 0.50 + scaling.zero == pytest.approx(0.54)


def test_a_calibrated_loop_reads_true_and_still_watches_its_bounds(tmp_path: Path) -> None:
    sysfs = FakeSysfs(tmp_path)
    sysfs.add_iio(0, "ads1115", in_voltage0_raw="1800", in_voltage0_scale="1")
    points = [[0.6, 0.0], [3.0, 1.0]]  # 4 to 20 mA through 150 Ω for 0 to 1 m
    probe = {"iio": "ads1115", "channel": "in_voltage0", "shunt": 150.0, "calibration": points}
    (made,) = find_probes(tank_with({LEVEL: probe}), Attachments("boathouse", sysfs.root))
    reading = made.read(0.0)
    assert reading is not None
    assert reading.value == pytest.approx(0.5)
    (tmp_path / "bus/iio/devices/iio:device0/in_voltage0_raw").write_text("30\n")
    reading = made.read(1.0)
    assert reading is not None
    assert "0.20 mA" in reading.reason


def test_points_that_make_no_line_are_told_by_their_key(tmp_path: Path) -> None:
    probe = {"iio": "ads1115", "channel": "in_voltage0", "calibration": [[0.6, 0.0], [0.7, 0.01]]}
    with pytest.raises(UnfitProbeError, match=r'probes."fuel/level": calibration: the points are too near'):
        find_probes(tank_with({LEVEL: probe}), Attachments("boathouse", tmp_path))


TOML = """
site = "boathouse"
tank = {{ name = "heron", shape = "vertical-cylinder", diameter = 0.6, height = 0.9, standpipe = 0.152, \
fuel = {{ feedstock = "used-cooking-oil" }}, blower = {{ rated_flow = 0.015 }}, \
room = {{ volume = 60.0, fresh_air = 0.5 }}, \
probes = {{ "fuel/level" = {{ iio = "ads1115", channel = "in_voltage0", {0} }} }} }}
"""


def test_the_file_takes_it() -> None:
    site = parse(TOML.format("calibration = [[0.6, 0], [3, 1.0]]"), "site.toml")
    assert site.tank[0].probes[LEVEL].model_dump()["calibration"] == ((0.6, 0.0), (3.0, 1.0))


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ("calibration = [[0.6, 0.0], [3.0, 1.0]], gain = 2.0", "keep one or the other"),
        ("calibration = [[0.6, 0.0]]", "calibration"),
        ("calibration = [[0.6], [3.0]]", "calibration"),
        ("calibration = 5", "an array"),
        ("calibration = [[0.6, 0.0], [nan, 1.0]]", "calibration"),
    ],
)
def test_the_file_refuses_what_is_none(wrong: str, words: str) -> None:
    with pytest.raises(ConfigError) as refused:
        parse(TOML.format(wrong), "site.toml")
    assert words in str(refused.value)
