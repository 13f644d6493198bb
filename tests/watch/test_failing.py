"""A watcher whose core makes a mistake goes on, and no alarm is lost by it."""

from pathlib import Path
from typing import Any

import pytest

from drydown.bus.local_client import ask
from drydown.core import Core
from support.broker import Mosquitto, until
from support.watched_place import place, retained, watching

pytestmark = pytest.mark.broker


def test_alarms_outlive_a_mistake_in_the_core(
    tmp_path: Path, broker: Mosquitto, monkeypatch: pytest.MonkeyPatch
) -> None:
    with place(tmp_path, broker.port) as made:
        monkeypatch.setenv("DRYDOWN_SYSFS", str(made.folder / "sys"))
        with watching(made):
            made.wait_for_readings()
            made.switch(False)
            made.thermometer.show(66.0)
            until(lambda: "fuel-hot unacknowledged" in made.alarms(), 15)
            order = {"command": "acknowledge", "alarm": "fuel-hot", "who": "Wren"}
            ask(made.site.socket_path, "command", tank="heron", command=order)
            step, failures = Core._steps, iter([True])

            def fails_once(core: Core, *rest: Any) -> Any:
                if next(failures, False):
                    raise KeyError("a mistake")
                return step(core, *rest)

            monkeypatch.setattr(Core, "_steps", fails_once)
            until(lambda: "watch-degraded unacknowledged" in made.alarms(), 10)
            assert "fuel-hot acknowledged" in made.alarms()
            assert "KeyError" in made.state()["degraded"]["watch"]
            made.switch(False)
            until(lambda: made.state()["blower"]["running"] is False, 10)
            assert "fuel-hot acknowledged" in made.alarms()
            until(lambda: {"fuel-hot", "watch-degraded"} <= retained(broker.port).keys(), 5)
            assert retained(broker.port)["fuel-hot"]["change"] == "acknowledged"
            assert retained(broker.port)["watch-degraded"]["change"] == "raised"
