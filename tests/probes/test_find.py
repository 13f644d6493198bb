"""From configuration to probes."""

import json
from pathlib import Path
from typing import Any

import pytest
from gpiozero.pins.mock import MockFactory  # type: ignore[import-untyped]

from drydown.probes.find import Attachments, UnfitProbeError, default_sysfs, find_probes
from drydown.probes.mqtt_in import Message
from drydown.probes.probe import Probe
from support.fake_sysfs import FakeSysfs
from support.probed_tank import tank_with


@pytest.fixture
def sysfs(tmp_path: Path) -> FakeSysfs:
    return FakeSysfs(tmp_path / "sys")


def attachments(sysfs: FakeSysfs) -> Attachments:
    return Attachments("boathouse", sysfs=sysfs.root, pins=MockFactory())


def value_of(probe: Probe, now: float) -> float | bool | None:
    reading = probe.read(now)
    assert reading is not None
    return reading.value


def test_every_kind_of_probe_reads(sysfs: FakeSysfs, tmp_path: Path) -> None:
    sysfs.add_thermometer("28-0000071c2a3b", 33.5)
    sysfs.add_iio(0, "ads1015", in_voltage0_raw="600", in_voltage0_scale="2")
    sysfs.add_hwmon(0, "sht3x", humidity1_input="54000")
    run = tmp_path / "evening.senml"
    run.write_text(
        json.dumps([{"n": "boathouse/heron/air/temperature", "u": "Cel", "v": 11.0, "t": 1_789_200_000}])
    )
    tank = tank_with(
        {
            "fuel/temperature": {"w1": "28-0000071c2a3b"},
            "blower/running": {"gpio": 17},
            "fuel/level": {"iio": "ads1015", "channel": "in_voltage0", "gain": 0.5, "zero": 0.01},
            "air/humidity": {"hwmon": "sht3x", "channel": "humidity1"},
            "vapour/methanol": {"mqtt": "gas"},
            "air/temperature": {"recorded": str(run)},
            "vent/open": {"simulated": True},
        }
    )
    hung = attachments(sysfs)
    probes = find_probes(tank, hung)
    payload = b'[{"n":"vapour/methanol","u":"/","v":0.001}]'
    hung.boards.receive(Message("drydown/boathouse/heron/probe/gas", payload), 5.0, 1_789_200_000.0)
    assert {probe.name: value_of(probe, 5.0) for probe in probes} == {
        "fuel/temperature": pytest.approx(306.65),
        "blower/running": False,
        "fuel/level": pytest.approx(0.61),
        "air/humidity": pytest.approx(0.54),
        "vapour/methanol": 0.001,
        "air/temperature": pytest.approx(284.15),
        "vent/open": False,
    }


def test_what_is_not_plugged_in_is_no_error_yet(sysfs: FakeSysfs) -> None:
    (probe,) = find_probes(tank_with({"fuel/temperature": {"w1": "28-0000071c2a3b"}}), attachments(sysfs))
    assert value_of(probe, 0.0) is None
    sysfs.add_thermometer("28-0000071c2a3b", 33.5)
    assert value_of(probe, 1.0) == pytest.approx(306.65)


@pytest.mark.parametrize(
    ("name", "config", "words"),
    [
        ("fuel/level", {"gpio": 17}, "is a number, which a pin cannot give"),
        ("fuel/level", {"w1": "28-0000071c2a3b"}, "is no temperature"),
        ("blower/running", {"iio": "ads1015", "channel": "in_voltage0"}, "is yes or no"),
        ("fuel/level", {"recorded": "missing.senml"}, "missing.senml is not there"),
    ],
)
def test_probes_that_can_never_work(sysfs: FakeSysfs, name: str, config: dict[str, Any], words: str) -> None:
    with pytest.raises(UnfitProbeError) as error:
        find_probes(tank_with({name: config}), attachments(sysfs))
    assert f'probes."{name}"' in str(error.value)
    assert words in str(error.value)


def test_two_tanks_share_a_bus_but_not_a_simulation(sysfs: FakeSysfs) -> None:
    hung = attachments(sysfs)
    for name, serial in (("heron", "28-0000071c2a3b"), ("plover", "28-0000071c2a4c")):
        sysfs.add_thermometer(serial)
        probes: dict[str, Any] = {"fuel/temperature": {"w1": serial}, "fuel/level": {"simulated": True}}
        find_probes(tank_with(probes, name), hung)
    buses = hung.wire.buses
    assert buses.of("28-0000071c2a3b") is buses.of("28-0000071c2a4c") is not None
    assert set(hung.simulations) == {"heron", "plover"}


def test_the_tree_can_be_moved(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("DRYDOWN_SYSFS", raising=False)
    assert default_sysfs() == Path("/sys")
    monkeypatch.setenv("DRYDOWN_SYSFS", str(tmp_path))
    assert Attachments("boathouse").sysfs == tmp_path
