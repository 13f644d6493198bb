"""A boathouse on disk: configuration, fake sensors that a test changes, and the commands run on it."""

import json
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from drydown.bus.local_client import WatcherError, ask
from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.config.model import Site
from drydown.watch.service import WatchService
from support.broker import free_port, until
from support.fake_sysfs import FakeSysfs, replace
from support.on_thread import on_thread
from support.processes import Running, running

TOPICS = TankTopics("boathouse", "heron")

FILE = """\
site = "boathouse"
folder = "{folder}"

[tank]
name = "heron"
shape = "vertical-cylinder"
diameter = 0.60
height = 0.90
standpipe = 0.152
fuel = {{ feedstock = "used-cooking-oil" }}
blower = {{ rated_flow = 0.015, longest_run = {longest_run} }}
room = {{ volume = 60.0, fresh_air = 0.5 }}

[tank.probes]
"fuel/temperature" = {{ w1 = "28-0000071c2a3b" }}
"fuel/level" = {{ iio = "ads1015", channel = "in_voltage0" }}
"blower/running" = {{ mqtt = "switches" }}

[broker]
port = {broker}

[serve]
port = {pages}
"""


class Place:
    """One tank with a thermometer and a level gauge on the tree, and a blower switch that comes by MQTT."""

    def __init__(self, folder: Path, broker_port: int, more: str = "", longest_run: float = 14400) -> None:
        self.folder = folder
        self.config = folder / "site.toml"
        text = FILE.format(
            folder=folder / "site", broker=broker_port, pages=free_port(), longest_run=longest_run
        )
        self.config.write_text(text + more)
        self.site: Site = load(self.config)
        self._sysfs = FakeSysfs(folder / "sys")
        self.thermometer = self._sysfs.add_thermometer("28-0000071c2a3b", 30.0)
        self._gauge = self._sysfs.add_iio(0, "ads1015", in_voltage0_raw="600", in_voltage_scale="1")
        self._switches = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)

    def command(self, name: str) -> AbstractContextManager[Running]:
        """`drydown NAME` while the block lasts."""
        environment = {"DRYDOWN_SYSFS": str(self._sysfs.root)}
        return running(name, "--config", self.config, log=self.folder / f"{name}.log", **environment)

    def level(self, metres: float) -> None:
        """What the gauge shows."""
        replace(self._gauge / "in_voltage0_raw", f"{round(metres * 1000)}\n")

    def switch(self, running: bool) -> None:
        """The board at the blower says whether it runs."""
        if not self._switches.is_connected():
            self._switches.connect("127.0.0.1", self.site.broker.port)
            self._switches.loop_start()
        body = json.dumps([{"n": "blower/running", "vb": running}])
        self._switches.publish(TOPICS.probe("switches"), body, qos=1).wait_for_publish(5)

    def state(self) -> dict[str, Any]:
        """The state of the tank, or nothing while the watcher is not there."""
        try:
            return dict(ask(self.site.socket_path, "state")["heron"])
        except WatcherError:
            return {}

    def alarms(self) -> list[str]:
        """The alarms that stand, as "NAME STATE"."""
        return [f"{alarm['alarm']} {alarm['state']}" for alarm in self.state().get("alarms", [])]

    def wait_for_readings(self) -> None:
        """Until the watcher has seen fuel and level."""
        until(lambda: {"fuel/temperature", "fuel/level"} <= self.state().get("readings", {}).keys(), 120)

    def close(self) -> None:
        self._switches.disconnect()
        self._switches.loop_stop()


def retained(port: int) -> dict[str, Any]:
    """The alarms that a newcomer finds on the broker."""
    found: dict[str, Any] = {}
    client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
    client.on_message = lambda _c, _d, one: found.update(
        {one.topic.rsplit("/", 1)[1]: json.loads(one.payload or b"null")}
    )
    done = threading.Event()
    client.on_subscribe = lambda *_: done.set()
    client.connect("127.0.0.1", port)
    client.subscribe(TOPICS.alarm("+"), qos=1)
    client.loop_start()
    assert done.wait(5)
    threading.Event().wait(0.2)
    client.disconnect()
    client.loop_stop()
    return {name: body for name, body in found.items() if body is not None}


def watching(made: Place) -> AbstractContextManager[WatchService]:
    """The whole watcher in a thread of the test, so that faults can be put into it."""
    return on_thread(WatchService(made.site))


@contextmanager
def place(folder: Path, broker_port: int, more: str = "", longest_run: float = 14400) -> Iterator[Place]:
    """A place while the block lasts."""
    made = Place(folder, broker_port, more, longest_run)
    try:
        yield made
    finally:
        made.close()
