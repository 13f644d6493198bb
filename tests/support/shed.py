"""Tanks whose probes all come by MQTT, watched by a real process that tells phones and mailboxes."""

import json
import threading
import time
from collections.abc import Callable, Iterable, Mapping
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from drydown.bus.local_client import WatcherError, ask
from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.quantities import MEASURED
from support.boathouse import AIRY
from support.broker import until
from support.fake_sysfs import FakeSysfs
from support.processes import Running, running
from support.site_file import write_site

SITE = "boathouse"
SKEWED = Path(__file__).parent / "skewed"
SERIAL = "28-0000071c2a3b"
PROBES = ("fuel/temperature", "fuel/level", "blower/running", "vent/open")
Said = Mapping[str, float | bool | None]
"""Values in the units of SenML; a record whose value is None is not sent."""
VENT_CLOSED = "EMERGENCY: The blower runs and the vent is closed"


class Shed:
    """`routes` are the lines of [[notices.routes]], without their names: address = "…"."""

    def __init__(
        self,
        folder: Path,
        broker_port: int,
        tanks: Iterable[str],
        routes: Iterable[str],
        probes: Iterable[str] = PROBES,
        max_age: float = 30.0,
        wired: str = "",
    ) -> None:
        """A board that has been silent for `max_age` s counts as absent.

        The fuel of the tank `wired` has a thermometer on the watcher's own tree instead.
        """
        self._folder, self._port = folder, broker_port
        self._tanks = tuple(tanks)
        self.config = write_site(folder, SITE, self._tanks, broker_port, probes)
        text = self.config.read_text().replace('"board"', f'"board", max_age = {max_age}')
        text = text.replace("fresh_air = 0.5", f"fresh_air = {AIRY['fresh_air']}")
        before, mark, tank = text.partition(f'name = "{wired}"')
        there = tank.partition('"fuel/temperature" = ')
        by_wire = f'"fuel/temperature" = {{ w1 = "{SERIAL}" }}\n{there[2].partition(chr(10))[2]}'
        text = f"{before}{mark}{there[0]}{by_wire}" if wired else text
        self._sysfs = FakeSysfs(folder / "sys")
        self.thermometer = self._sysfs.add_thermometer(SERIAL, 25.0)
        text += '\n[serve]\naddress = "http://board.local:8470"\n'
        for number, route in enumerate(routes, 1):
            text += f'\n[[notices.routes]]\nname = "route-{number}"\n{route}\n'
        self.config.write_text(text)
        self.site = load(self.config)
        self._skew = folder / "skew"
        self.set_clock(0.0)
        self._client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
        self._vents = dict.fromkeys(self._tanks, True)
        self._otherwise: dict[str, Callable[[], Said]] = {}
        self._left = threading.Event()
        self._board = threading.Thread(target=self._send, daemon=True)

    def __enter__(self) -> "Shed":
        self._client.connect("127.0.0.1", self._port)
        self._client.loop_start()
        self._board.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._left.set()
        self._board.join()
        self._client.disconnect()
        self._client.loop_stop()

    def watch(self) -> AbstractContextManager[Running]:
        """`drydown watch` while the block lasts."""
        board = {"DRYDOWN_SYSFS": str(self._sysfs.root), "PYTHONPATH": str(SKEWED), "SKEW": str(self._skew)}
        return running("watch", "--config", self.config, log=self._folder / "watch.log", **board)

    def tells(self, skew: float) -> bool:
        """Whether the watcher tells the time of a clock that is so many seconds ahead."""
        return bool(abs(self.state()["time"] - time.time() - skew) < 60.0)

    def set_clock(self, skew: float) -> None:
        """Set the watcher's wall clock so many seconds ahead of the right time."""
        fresh = self._skew.with_suffix(".new")
        fresh.write_text(str(skew))
        fresh.replace(self._skew)

    def record(self) -> AbstractContextManager[Running]:
        """`drydown record` while the block lasts."""
        return running("record", "--config", self.config, log=self._folder / "record.log")

    def vent(self, is_open: bool) -> None:
        """Open or close the vents of all tanks; their blowers run."""
        self._vents = dict.fromkeys(self._tanks, is_open)

    def says(self, tank: str, otherwise: Callable[[], Said]) -> None:
        """From now on the board of a tank says something else of some quantities."""
        self._otherwise[tank] = otherwise

    def _send(self) -> None:
        while not self._left.wait(0.3):
            for tank, vent_open in self._vents.items():
                said: dict[str, float | bool | None] = {
                    "fuel/temperature": 25.0,
                    "fuel/level": 0.6,
                    "blower/running": True,
                    "vent/open": vent_open,
                }
                said |= self._otherwise.get(tank, dict)()
                pack = [_record(name, value) for name, value in said.items() if value is not None]
                self._client.publish(TankTopics(SITE, tank).probe("board"), json.dumps(pack))

    def state(self, tank: str = "heron") -> dict[str, Any]:
        """The state of a tank, or nothing while the watcher is not there."""
        try:
            return dict(ask(self.site.socket_path, "state")[tank])
        except WatcherError:
            return {}

    def alarms(self, tank: str = "heron") -> dict[str, str]:
        """The alarms that are not quiet, with their states."""
        return {one["alarm"]: one["state"] for one in self.state(tank).get("alarms", [])}

    def kept_alarms(self, tank: str = "heron") -> str:
        """What the watcher has written down of a tank's alarms."""
        path = self.site.folder / f"alarms-{tank}.json"
        return path.read_text() if path.exists() else ""

    def wait_for_readings(self) -> None:
        """Until every tank knows that its blower runs and its vent is open."""
        until(lambda: all(self._is_heard(tank) for tank in self._tanks), 60)

    def _is_heard(self, tank: str) -> bool:
        readings = self.state(tank).get("readings", {})
        return all(readings.get(name, {}).get("value") is not None for name in PROBES)

    def acknowledge(self, tank: str = "heron") -> None:
        """Somebody has seen that the vent is closed."""
        order = {"command": "acknowledge", "alarm": "vent-closed", "who": "Wren"}
        ask(self.site.socket_path, "command", tank=tank, command=order)


def _record(name: str, value: float | bool) -> dict[str, object]:
    if isinstance(value, bool):
        return {"n": name, "vb": value}
    return {"n": name, "u": MEASURED[name].unit, "v": value}
