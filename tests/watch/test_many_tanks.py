"""Tanks on one board do not hold each other up, whatever hangs, fails or dawdles in one of them."""

import json
import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import paho.mqtt.client as paho
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from drydown.alarms.catalogue import KINDS
from drydown.bus.local_client import WatcherError, ask
from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.core import Core
from drydown.quantities import REQUIRED
from drydown.watch.service import WatchService
from support.broker import Mosquitto, until
from support.fake_sysfs import FakeSysfs
from support.on_thread import on_thread
from support.site_file import write_site

pytestmark = pytest.mark.broker

BOARD, GAUGE = '{ mqtt = "board" }', '{ iio = "ads1015", channel = "in_voltage0" }'


class Boards:
    """At every tank a board that says once a second how warm the fuel is, how high, and that nothing runs."""

    def __init__(self, port: int, tanks: list[str]) -> None:
        self.celsius = dict.fromkeys(tanks, 25.0)
        self._client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
        self._client.connect("127.0.0.1", port)
        self._client.loop_start()
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._run)
        self._thread.start()

    def _run(self) -> None:
        while not self._done.wait(1.0):
            for i, (tank, celsius) in enumerate(self.celsius.items()):
                flicker = 0.0625 * (int(time.monotonic()) % 2)
                body: list[dict[str, Any]] = [
                    {"n": "fuel/temperature", "u": "Cel", "v": celsius + flicker},
                    {"n": "fuel/level", "u": "m", "v": 0.5 + 0.001 * i},
                    {"n": "blower/running", "vb": False},
                ]
                self._client.publish(TankTopics("boathouse", tank).probe("board"), json.dumps(body), qos=1)

    def close(self) -> None:
        self._done.set()
        self._thread.join()
        self._client.disconnect()
        self._client.loop_stop()


class Site:
    """A watcher of several tanks, in threads of the test."""

    def __init__(self, config: Path, port: int, tanks: list[str]) -> None:
        self._site = load(config)
        self.boards = Boards(port, tanks)

    def state(self, tank: str) -> dict[str, Any]:
        try:
            return dict(ask(self._site.socket_path, "state")[tank])
        except WatcherError:
            return {}

    def alarms(self, tank: str) -> set[str]:
        return {alarm["alarm"] for alarm in self.state(tank).get("alarms", [])}

    def temperature(self, tank: str) -> float:
        """When the last one came; 0 before the first."""
        return float(self.state(tank).get("readings", {}).get("fuel/temperature", {}).get("time", 0.0))

    @contextmanager
    def watched(self) -> Iterator[None]:
        try:
            with on_thread(WatchService(self._site)):
                yield
        finally:
            self.boards.close()


def site(folder: Path, port: int, **gauges: str) -> Site:
    """Tanks by name, each with where its level comes from."""
    config = write_site(folder, "boathouse", gauges, port, REQUIRED)
    head, *tanks = config.read_text().split("[[tank]]")
    named = zip(tanks, gauges.values(), strict=True)
    told = [tank.replace(f'"fuel/level" = {BOARD}', f'"fuel/level" = {gauge}') for tank, gauge in named]
    config.write_text("[[tank]]".join([head, *told]))
    return Site(config, port, list(gauges))


def test_a_hung_probe_a_failing_core_and_a_slow_estimate_leave_the_other_tank_its_alarms(
    tmp_path: Path, broker: Mosquitto, monkeypatch: pytest.MonkeyPatch
) -> None:
    tree = FakeSysfs(tmp_path / "sys")
    gauge = tree.add_iio(0, "ads1015", in_voltage0_raw="500", in_voltage_scale="1") / "in_voltage0_raw"
    gauge.unlink()
    os.mkfifo(gauge)  # who reads it waits until somebody writes: for ever
    monkeypatch.setenv("DRYDOWN_SYSFS", str(tree.root))
    steps, believes = Core._steps, Core._believe

    def fails(core: Core, now: float, readings: list[Any], commands: list[Any]) -> Any:
        if core.tank.name == "failing" and readings:
            raise KeyError("a mistake")
        return steps(core, now, readings, commands)

    def dawdles(core: Core, now: float) -> Any:
        if core.tank.name == "slow":
            end = time.monotonic() + 2.0
            while time.monotonic() < end:
                sum(range(1000))
        return believes(core, now)

    fault = next(kind for kind in KINDS if kind.name == "probe-fault")
    monkeypatch.setitem(fault.on_delays, "lost", 10.0)  # longer than a leap in warmth is doubted
    monkeypatch.setattr(Core, "_steps", fails)
    monkeypatch.setattr(Core, "_believe", dawdles)
    many = site(tmp_path, broker.port, hung=GAUGE, failing=BOARD, slow=BOARD, sound=BOARD)
    with many.watched():
        until(lambda: many.temperature("sound") > 0 and many.temperature("hung") > 0, 30)
        for _ in range(3):  # it goes on being read, while the others hang, fail and dawdle
            before = many.temperature("sound")
            until(lambda before=before: many.temperature("sound") > before, 10)  # type: ignore[misc]
        many.boards.celsius |= {"sound": 66.0, "hung": 66.0}
        until(lambda: "fuel-hot" in many.alarms("sound"), 20)
        until(lambda: "fuel-hot" in many.alarms("hung"), 20)  # nor does the gauge keep its own tank
        until(lambda: "fuel/level" in str(many.state("hung")["alarms"]), 60)
        assert many.state("sound")["degraded"].get("watch") is None
        until(lambda: "KeyError" in many.state("failing")["degraded"].get("watch", ""), 30)
        assert many.alarms("sound") == {"fuel-hot"} | (many.alarms("sound") & {"watch-degraded"})
        until(lambda: many.temperature("slow") > 0, 30)


def test_fifty_tanks_are_all_watched(tmp_path: Path, broker: Mosquitto) -> None:
    names = [f"heron-{i}" for i in range(50)]
    many = site(tmp_path, broker.port, **dict.fromkeys(names, BOARD))
    with many.watched():
        until(lambda: all(many.temperature(name) > 0 for name in names), 60)
        many.boards.celsius["heron-49"] = 66.0
        until(lambda: "fuel-hot" in many.alarms("heron-49"), 20)
        assert {name for name in names if "fuel-hot" in many.alarms(name)} == {"heron-49"}
        levels = {many.state(name)["readings"]["fuel/level"]["value"] for name in names}
        assert len(levels) == 50  # each its own
