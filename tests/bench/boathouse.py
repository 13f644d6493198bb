"""The boathouse with two tanks and twelve probes: its files, its fake sensors, and the tanks behind them."""

import json
import threading
import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.config.model import Site, Tank
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.quantities import MEASURED
from support import fake_sysfs

SITE = "boathouse"
SERIALS = {
    ("heron", "fuel/temperature"): "28-0000071c2a3b",
    ("heron", "blower/discharge_temperature"): "28-0000071c2a3c",
    ("heron", "blower/motor_temperature"): "28-0000071c2a3d",
    ("plover", "fuel/temperature"): "28-0000071c2a3e",
}
RAW = {
    ("heron", "fuel/level"): ("ads1015", "in_voltage0_raw", 1e3),  # a gauge that gives 1 V/m, at 1 mV a digit
    ("plover", "fuel/level"): ("ads1015", "in_voltage1_raw", 1e3),
    ("heron", "vapour/methanol"): ("ads1015", "in_voltage2_raw", 1e6),
    ("heron", "air/temperature"): ("bme280", "in_temp_input", 1e3),
    ("heron", "air/humidity"): ("bme280", "in_humidityrelative_input", 1e5),
}
"""Device, file, and what the file counts in an SI unit (Celsius for a temperature)."""
SWITCHES = ("blower/running", "vent/open")  # they come by MQTT: this machine has no pins
PROBES = 12

TOML = """\
site = "boathouse"
folder = "{folder}"

[broker]
port = {broker}

[serve]
port = {pages}

[[tank]]
name = "heron"
shape = "cone-bottom"
diameter = 0.60
height = 0.66
cone_height = 0.25
standpipe = 0.152

[tank.fuel]
feedstock = "used-cooking-oil"

[tank.blower]
rated_flow = 0.015

[tank.room]
volume = 60.0
fresh_air = 0.9

[tank.probes]
"fuel/temperature" = {{ w1 = "28-0000071c2a3b" }}
"blower/discharge_temperature" = {{ w1 = "28-0000071c2a3c" }}
"blower/motor_temperature" = {{ w1 = "28-0000071c2a3d" }}
"fuel/level" = {{ iio = "ads1015", channel = "in_voltage0" }}
"vapour/methanol" = {{ iio = "ads1015", channel = "in_voltage2", gain = 0.001 }}
"air/temperature" = {{ iio = "bme280", channel = "in_temp" }}
"air/humidity" = {{ iio = "bme280", channel = "in_humidityrelative" }}
"blower/running" = {{ mqtt = "switches" }}
"vent/open" = {{ mqtt = "switches" }}

[[tank]]
name = "plover"
shape = "horizontal-cylinder"
diameter = 0.48
length = 0.83
standpipe = 0.05

[tank.fuel]
feedstock = "used-cooking-oil"

[tank.blower]
rated_flow = 0.010

[tank.room]
volume = 60.0
fresh_air = 0.9

[tank.probes]
"fuel/temperature" = {{ w1 = "28-0000071c2a3e" }}
"fuel/level" = {{ iio = "ads1015", channel = "in_voltage1" }}
"blower/running" = {{ mqtt = "switches" }}
"""


class Boathouse:
    """A configured site on disk, with a tree of fake sensors that `DRYDOWN_SYSFS` can name."""

    def __init__(self, folder: Path, broker_port: int, pages_port: int) -> None:
        self.folder = folder
        self.pages_port = pages_port
        self.config = folder / "boathouse.toml"
        self.config.write_text(TOML.format(folder=folder / "site", broker=broker_port, pages=pages_port))
        self.site: Site = load(self.config)
        self._sysfs = fake_sysfs.FakeSysfs(folder / "sys")
        self._thermometers = {key: self._sysfs.add_thermometer(serial) for key, serial in SERIALS.items()}
        scale = {"in_voltage_scale": "1"}  # mV a digit
        self._devices = {
            "ads1015": self._sysfs.add_iio(
                0, "ads1015", **{f"in_voltage{i}_raw": "0" for i in range(3)}, **scale
            ),
            "bme280": self._sysfs.add_iio(
                1, "bme280", in_temp_input="15000", in_humidityrelative_input="50000"
            ),
        }

    @property
    def environment(self) -> Mapping[str, str]:
        """What `drydown watch` needs to see the sensors."""
        return {"DRYDOWN_SYSFS": str(self._sysfs.root)}

    def topics(self, tank: str) -> TankTopics:
        """Where a tank is heard on the broker."""
        return TankTopics(SITE, tank)

    def show(self, tank: str, readings: Mapping[str, float | bool]) -> None:
        """Let the sensors on the tree show readings (SI); the switches are not among them."""
        for name, value in readings.items():
            sent = MEASURED[name].from_si(value) if MEASURED[name].unit == "Cel" else value
            thermometer: fake_sysfs.FakeThermometer | None = self._thermometers.get((tank, name))
            if thermometer:
                thermometer.show(sent)
            elif (tank, name) in RAW:
                device, file, counts = RAW[tank, name]
                fake_sysfs.replace(self._devices[device] / file, f"{round(sent * counts)}\n")


class Afternoon:
    """Both tanks live in real time, their blowers running, while the block lasts."""

    def __init__(self, boathouse: Boathouse, starts: float) -> None:
        """The blowers start `starts` s after the beginning."""
        self._boathouse = boathouse
        self._tanks = {tank.name: _live(tank, starts) for tank in boathouse.site.tank}
        self._client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._run, name="afternoon", daemon=True)

    def __enter__(self) -> "Afternoon":
        self._look()
        broker = self._boathouse.site.broker
        self._client.connect(broker.host, broker.port)
        self._client.loop_start()
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._done.set()
        self._thread.join()
        self._client.disconnect()
        self._client.loop_stop()

    def _run(self) -> None:
        while not self._done.wait((0.5 - time.monotonic()) % 1.0):  # in the middle between two reads
            self._look()

    def _look(self) -> None:
        for name, tank in self._tanks.items():
            readings = tank.look(time.monotonic()).readings
            self._boathouse.show(name, readings)
            switches = [{"n": one, "vb": readings[one]} for one in SWITCHES if one in readings]
            topic = self._boathouse.topics(name).probe("switches")
            if self._client.is_connected():
                self._client.publish(topic, json.dumps(switches), qos=1)


def _live(tank: Tank, starts: float) -> LiveTank:
    scenario = scenario_of(tank)
    probes = replace(scenario.probes, kit=tuple(tank.probes))
    return LiveTank(replace(scenario, switches=(starts,), vent_openings=(), probes=probes))
