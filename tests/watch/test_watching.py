"""`drydown watch` as a process, on sensor files that change under it, with and without what is around it."""

import json
import signal
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import paho.mqtt.client as paho
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from drydown.bus.local_client import WatcherError, ask
from drydown.forward.progress import Progress, line_of, progress_path
from drydown.store.read import StoreReader
from support.broker import Mosquitto, free_port, until
from support.forwarding import FORWARD
from support.processes import DRYDOWN, wait_until_said
from support.watched_place import TOPICS, Place, place

pytestmark = pytest.mark.broker


@pytest.fixture
def boathouse(tmp_path: Path, broker: Mosquitto) -> Iterator[Place]:
    with place(tmp_path, broker.port) as made:
        yield made


class Onlooker:
    """Another program on the broker."""

    def __init__(self, port: int) -> None:
        self.heard: list[tuple[str, Any]] = []
        self.client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
        self.client.on_message = lambda _c, _d, one: self.heard.append(
            (one.topic.removeprefix(f"{TOPICS.base}/"), json.loads(one.payload or b"null"))
        )
        self.client.connect("127.0.0.1", port)
        self.client.subscribe(f"{TOPICS.base}/#", qos=1)
        self.client.loop_start()

    def bodies(self, topic: str) -> list[Any]:
        return [body for heard, body in self.heard if heard == topic and body is not None]

    def close(self) -> None:
        self.client.disconnect()
        self.client.loop_stop()


@pytest.fixture
def onlooker(broker: Mosquitto) -> Iterator[Onlooker]:
    looking = Onlooker(broker.port)
    yield looking
    looking.close()


def test_what_the_files_say_reaches_pages_broker_and_store(boathouse: Place, onlooker: Onlooker) -> None:
    with boathouse.command("record"), boathouse.command("watch"):
        boathouse.wait_for_readings()
        boathouse.switch(False)
        boathouse.thermometer.show(41.5)
        boathouse.level(0.5)
        until(lambda: boathouse.state()["readings"]["fuel/temperature"]["value"] == 41.5, 5)
        until(lambda: boathouse.state()["readings"]["fuel/level"]["value"] == 0.5, 5)

        def published() -> list[tuple[str, float]]:
            records = [record for pack in onlooker.bodies("readings") for record in pack]
            return [(record["n"], record.get("v")) for record in records]

        until(lambda: ("fuel/temperature", 41.5) in published(), 5)

        def stored() -> list[object]:
            with StoreReader(boathouse.site.store_path) as reader:
                return [sample.value for sample in reader.samples("heron", 0, 1e11, ["fuel/temperature"])]

        until(lambda: 41.5 in stored(), 10)
    assert onlooker.bodies("online") == [{"online": True}, {"online": False}]


def test_an_alarm_is_raised_told_acknowledged_and_returned(boathouse: Place, onlooker: Onlooker) -> None:
    with boathouse.command("watch"):
        boathouse.wait_for_readings()
        boathouse.switch(False)
        boathouse.thermometer.show(66.0)
        until(lambda: "fuel-hot unacknowledged" in boathouse.alarms(), 15)
        until(lambda: onlooker.bodies("alarms/fuel-hot"), 2)
        raised = onlooker.bodies("alarms/fuel-hot")[0]
        assert (raised["change"], raised["priority"]) == ("raised", "emergency")
        order = {"command": "acknowledge", "alarm": "fuel-hot", "who": "Wren"}
        answer = ask(boathouse.site.socket_path, "command", tank="heron", command=order)
        assert [line["change"] for line in answer["lines"] if line["kind"] == "alarm"] == ["acknowledged"]
        assert "fuel-hot acknowledged" in boathouse.alarms()
        with pytest.raises(WatcherError, match="not in a state"):
            ask(boathouse.site.socket_path, "command", tank="heron", command=order)
        until(lambda: any(body["kind"] == "command" for body in onlooker.bodies("run")), 2)


def test_alarms_need_neither_broker_nor_recorder(tmp_path: Path) -> None:
    with place(tmp_path, free_port()) as alone, alone.command("watch") as watch:
        alone.wait_for_readings()
        wait_until_said(watch, "can't be reached")
        alone.thermometer.show(66.0)
        until(lambda: "fuel-hot unacknowledged" in alone.alarms(), 15)
        watch.check()


def test_a_second_watcher_refuses_with_a_sentence(boathouse: Place) -> None:
    with boathouse.command("watch"):
        boathouse.wait_for_readings()
        second = subprocess.run(
            [DRYDOWN, "watch", "--config", boathouse.config], capture_output=True, text=True, timeout=30
        )
    assert second.returncode != 0
    assert "Another `drydown watch` works in" in second.stderr
    assert "Traceback" not in second.stderr


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_it_stops_cleanly_when_told(boathouse: Place, number: signal.Signals) -> None:
    log = boathouse.folder / "own.log"
    with log.open("w") as out:
        process = subprocess.Popen([DRYDOWN, "watch", "--config", boathouse.config], stderr=out)
    until(lambda: "watching heron" in log.read_text(), 20)
    process.send_signal(number)
    assert process.wait(10) == 0
    assert "Traceback" not in log.read_text()
    assert not boathouse.site.socket_path.exists()


def test_a_run_goes_on_after_a_crash(boathouse: Place) -> None:
    with boathouse.command("record"):
        with boathouse.command("watch") as first:
            boathouse.wait_for_readings()
            boathouse.switch(False)
            until(lambda: boathouse.state().get("stage") == "settling", 10)
            end = time.monotonic() + 12
            while time.monotonic() < end:
                boathouse.switch(True)
                time.sleep(0.5)
            ran = boathouse.state()["blower"]["run"]
            assert ran > 5
            began = boathouse.state()["stage_since"]
            until(lambda: _recorded_run_time(boathouse) > ran - 6, 10)
            first._process.kill()
            first._process.wait()
        boathouse.switch(True)
        with boathouse.command("watch") as second:
            wait_until_said(second, "of what was recorded")
            until(lambda: boathouse.state().get("stage") == "bubbling", 10)
            state = boathouse.state()
    assert state["blower"]["run"] > ran - 10  # the hour meter survives to within 10 s
    assert state["stage_since"] == pytest.approx(began, abs=2)


def _recorded_run_time(boathouse: Place) -> float:
    with StoreReader(boathouse.site.store_path) as reader:
        latest = reader.latest("heron").get("blower/run_time")
    return float(latest.value) if latest and latest.value else 0.0


def test_an_alarm_left_retained_by_a_dead_watcher_is_cleared(boathouse: Place, onlooker: Onlooker) -> None:
    onlooker.client.publish(TOPICS.alarm("fuel-hot"), b'{"kind":"alarm","alarm":"fuel-hot"}', 1, retain=True)
    until(lambda: ("alarms/fuel-hot", {"kind": "alarm", "alarm": "fuel-hot"}) in onlooker.heard)
    with boathouse.command("watch"):
        until(lambda: ("alarms/fuel-hot", None) in onlooker.heard, 10)


def test_a_broker_that_is_away_for_long_and_a_record_that_is_not_sent_on_are_told_as_degraded(
    tmp_path: Path,
) -> None:
    server = FORWARD.format(url="https://harbour.local", bucket="fuel", token=tmp_path / "token")
    with place(tmp_path, free_port(), server) as alone, alone.command("watch"):
        alone.wait_for_readings()
        progress = Progress("https://harbour.local co-op/fuel", trouble="it refuses the token")
        progress_path(alone.site.folder).write_text(json.dumps(line_of(progress)))
        until(lambda: {"broker", "forward"} <= alone.state()["degraded"].keys(), 25)
        assert "can't be reached" in alone.state()["degraded"]["broker"]
        assert alone.state()["degraded"]["forward"] == "it refuses the token"


def test_a_folder_that_can_t_be_had_is_told_in_a_sentence(tmp_path: Path) -> None:
    with place(tmp_path, free_port()) as alone:
        (tmp_path / "site").write_text("a file where the folder should be")
        told = subprocess.run([DRYDOWN, "watch", "--config", alone.config], capture_output=True, text=True)
    assert told.returncode == 2
    assert "must be a folder" in told.stderr


def test_alarms_outlive_the_folder(tmp_path: Path) -> None:
    with place(tmp_path, free_port()) as alone, alone.command("watch") as watch:
        alone.wait_for_readings()
        alone.site.folder.rename(tmp_path / "elsewhere")
        time.sleep(2.5)
        watch.check()
        alone.thermometer.show(66.0)
        wait_until_said(watch, "fuel-hot raised")


def test_lost_probes_raise_alarms_and_come_back(boathouse: Place) -> None:
    with boathouse.command("watch"):
        boathouse.wait_for_readings()
        boathouse.switch(False)
        boathouse.thermometer.give_up()
        until(lambda: any("unacknowledged" in alarm for alarm in boathouse.alarms()), 45)
        assert boathouse.state()["readings"]["fuel/temperature"]["quality"] == "bad"
        boathouse.thermometer.show(30.0)
        until(lambda: boathouse.state()["readings"]["fuel/temperature"].get("value") == 30.0, 10)
