"""A site of fifty tanks whose probes hang on boards that send by MQTT, and the tanks behind them."""

import json
import threading
import time
from dataclasses import replace
from pathlib import Path

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.config.model import Site
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.quantities import MEASURED
from drydown.simulate.instruments import EVERYTHING

SITE, BOARD, TANKS = "boathouse", "shed", 50
DERIVED = ("fuel/volume", "fuel/drawable")
SERIES = len(EVERYTHING) + len(DERIVED)  # that change every second, and are recorded

HEAD = """\
site = "{site}"
folder = "{folder}"

[broker]
port = {broker}

[serve]
port = {pages}
"""

TANK = """
[[tank]]
name = "{name}"
shape = "cone-bottom"
diameter = 0.60
height = 0.66
cone_height = 0.25
standpipe = 0.152
fuel = {{ feedstock = "used-cooking-oil" }}
blower = {{ rated_flow = 0.015 }}
room = {{ volume = 60.0, fresh_air = 0.9 }}

[tank.probes]
{probes}
"""


def fifty(folder: Path, broker_port: int, pages_port: int) -> tuple[Path, Site]:
    """The configuration file of a site in a folder, and what it says."""
    probes = "\n".join(f'"{name}" = {{ mqtt = "{BOARD}" }}' for name in EVERYTHING)
    tanks = [TANK.format(name=f"heron-{i}", probes=probes) for i in range(1, TANKS + 1)]
    head = HEAD.format(site=SITE, folder=folder / "site", broker=broker_port, pages=pages_port)
    config = folder / "fifty.toml"
    config.write_text(head + "".join(tanks))
    return config, load(config)


class Boards:
    """A board at each tank that sends all its readings once a second, while the block lasts."""

    def __init__(self, site: Site, starts: float) -> None:
        """The blowers start `starts` s after the beginning."""
        self._port = site.broker.port
        self._tanks = {}
        for tank in site.tank:
            scenario = scenario_of(tank)
            probes = replace(scenario.probes, kit=EVERYTHING)
            whole = replace(scenario, switches=(starts,), vent_openings=(), probes=probes)
            self._tanks[TankTopics(SITE, tank.name).probe(BOARD)] = LiveTank(whole)
        self._client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._run, name="boards", daemon=True)

    def __enter__(self) -> "Boards":
        self._client.connect("127.0.0.1", self._port)
        self._client.loop_start()
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._done.set()
        self._thread.join()
        self._client.disconnect()
        self._client.loop_stop()

    def _run(self) -> None:
        while not self._done.wait(-time.monotonic() % 1.0):
            for topic, tank in self._tanks.items():
                records = []
                for name, value in tank.look(time.monotonic()).readings.items():
                    quantity = MEASURED[name]
                    record: dict[str, object] = {"n": name}
                    if quantity.is_boolean:
                        record["vb"] = bool(value)
                    else:
                        record |= {"u": quantity.unit, "v": round(quantity.from_si(value), 6)}
                    records.append(record)
                self._client.publish(topic, json.dumps(records), qos=1)
