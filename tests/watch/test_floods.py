"""Another board floods the broker: it is named once, the flood costs little, and the rest goes on."""

import json
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import paho.mqtt.client as paho
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from support.broker import Mosquitto, until
from support.watched_place import TOPICS, Place, place

pytestmark = pytest.mark.broker


@pytest.fixture
def boathouse(tmp_path: Path, broker: Mosquitto) -> Iterator[Place]:
    with place(tmp_path, broker.port) as made:
        yield made


class Flood:
    """As many messages as the broker takes, until it is closed."""

    def __init__(self, port: int) -> None:
        self._client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
        self._client.connect("127.0.0.1", port)
        self._client.loop_start()
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run)
        self.sent = 0
        self._thread.start()

    def _run(self) -> None:
        body = json.dumps([{"n": "blower/running", "vb": True}])
        while not self._over.wait(0.01):
            for _ in range(20):
                self._client.publish(TOPICS.probe("switches"), body)
                self.sent += 1

    def close(self) -> None:
        self._over.set()
        self._thread.join()
        self._client.disconnect()
        self._client.loop_stop()


def test_who_floods_is_named_once_and_the_watcher_lives_on(boathouse: Place, broker: Mosquitto) -> None:
    with boathouse.command("record"), boathouse.command("watch") as watch:
        boathouse.wait_for_readings()
        boathouse.switch(False)
        until(lambda: boathouse.state()["readings"].get("blower/running", {}).get("value") is False, 10)
        flood = Flood(broker.port)
        try:
            until(lambda: "probes" in boathouse.state()["degraded"], 30)
            before, began = watch.cpu_seconds, time.monotonic()
            time.sleep(5.0)
            used = (watch.cpu_seconds - before) / (time.monotonic() - began)
            told = boathouse.state()["degraded"]["probes"]
            boathouse.thermometer.show(31.0)
            until(lambda: boathouse.state()["readings"]["fuel/temperature"]["value"] == 31.0, 10)
        finally:
            flood.close()
        assert told.startswith("board switches floods: more than 20 messages a second")
        assert boathouse.state()["readings"]["blower/running"]["value"] is True
        assert flood.sent > 1000
        assert used < 0.5, f"{used:.0%} of a core"
