"""From a publisher through a real mosquitto into a store: all that was said is there once, whatever fails."""

import json
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import paho.mqtt.publish as mqtt_publish
import paho.mqtt.subscribe as mqtt_subscribe
import pytest

from drydown.bus import wire
from drydown.bus.counter import Counter
from drydown.bus.publisher import WINDOW, Publisher
from drydown.bus.shelf import DiskShelf
from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.config.model import Site
from drydown.effects import AlarmChanged, Change, Priority
from drydown.errors import UserError
from drydown.lines import line_of
from drydown.reading import Quality, Reading
from drydown.record import RecordService
from drydown.store.read import StoreReader
from drydown.store.schema import COMMIT_AFTER
from support.broker import Mosquitto, mosquitto, until
from support.on_thread import on_thread
from support.processes import running, wait_until_said
from support.site_file import write_site

TOPICS = TankTopics("boathouse", "heron")
WALL = 1_789_200_000.0
HOT = {"temperature": 340.0, "limit": 333.0}
SLOW_MACHINE = 1.0  # s that other work on it may take

pytestmark = pytest.mark.broker


def shelf_in(folder: Path) -> DiskShelf:
    return DiskShelf(folder / "waiting.sqlite3", 1e8)


class Talker:
    """A publisher with the thread that pumps it, as the watcher has."""

    def __init__(self, broker: Mosquitto, folder: Path) -> None:
        self._fresh = threading.Event()
        self.publisher = Publisher(
            broker.config, TOPICS, Counter(folder / "batches"), shelf_in(folder), self._fresh.set
        )
        self._lock = threading.Lock()
        self._done = False
        self._thread = threading.Thread(target=self._run)
        self.said = 0

    def _run(self) -> None:
        while not self._done:
            self._fresh.wait(0.05)
            self._fresh.clear()
            with self._lock:
                self.publisher.pump()

    def start(self) -> None:
        self.publisher.start()
        self._thread.start()

    def stop(self) -> None:
        self._done = True
        self._thread.join()
        self.publisher.close()

    def say(self, count: int) -> None:
        for _ in range(count):
            self.said += 1
            reading = Reading("fuel/level", float(self.said), 0.5)
            with self._lock:
                self.publisher.say_series(TOPICS.readings, wire.readings([reading], lambda time: time + WALL))

    def shout(self, alarm: str, change: str = "raised") -> None:
        told = AlarmChanged(float(self.said), alarm, Priority.HIGH, Change(change), "value", HOT)
        body = line_of(told, lambda time: time + WALL)
        with self._lock:
            self.publisher.say_event(TOPICS.alarm(alarm), wire.event(body), retain=True)


@contextmanager
def talking(broker: Mosquitto, folder: Path) -> Iterator[Talker]:
    talker = Talker(broker, folder)
    talker.start()
    try:
        yield talker
    finally:
        talker.stop()


def site(broker: Mosquitto, folder: Path, recorder: str = "store") -> Site:
    tank = {
        "name": "heron", "shape": "vertical-cylinder", "diameter": 0.6, "height": 0.9, "standpipe": 0.15,
        "fuel": {"feedstock": "used-cooking-oil"}, "blower": {"rated_flow": 0.015},
        "room": {"volume": 60, "fresh_air": 0.5},
    }  # fmt: skip
    return Site.model_validate(
        {
            "site": "boathouse",
            "folder": folder,
            "tank": [tank],
            "broker": broker.config.model_dump(),
            "store": {"recorder": recorder},
        }
    )


@contextmanager
def recording(broker: Mosquitto, folder: Path, recorder: str = "store") -> Iterator[Path]:
    configured = site(broker, folder, recorder)
    with on_thread(RecordService(configured, commit_after=0.2)):
        yield configured.store_path


def times(store: Path) -> list[int]:
    with StoreReader(store) as reader:
        return [round(sample.time - WALL) for sample in reader.samples("heron", 0, 2 * WALL)]


def alarms(store: Path) -> list[str]:
    with StoreReader(store) as reader:
        return [event.body["alarm"] for event in reader.events("heron", 0, 2 * WALL)]


def test_what_is_said_is_recorded_and_then_let_go(broker: Mosquitto, tmp_path: Path) -> None:
    with recording(broker, tmp_path) as store, talking(broker, tmp_path) as talker:
        talker.say(50)
        until(lambda: times(store) == list(range(1, 51)))
        until(lambda: talker.publisher.unconfirmed == 0)


def test_an_alarm_is_committed_at_once(broker: Mosquitto, tmp_path: Path) -> None:
    with recording(broker, tmp_path) as store, talking(broker, tmp_path) as talker:
        until(lambda: talker.publisher.connection.up)
        talker.shout("vent-closed")
        until(lambda: alarms(store) == ["vent-closed"], 1.5)


def test_nothing_is_lost_while_the_broker_is_away(broker: Mosquitto, tmp_path: Path) -> None:
    with recording(broker, tmp_path) as store, talking(broker, tmp_path) as talker:
        talker.say(10)
        until(lambda: talker.publisher.unconfirmed == 0)
        broker.stop()
        talker.say(500)
        talker.shout("fuel-hot")
        broker.start()
        until(lambda: times(store) == list(range(1, 511)), 20)
        until(lambda: alarms(store) == ["fuel-hot"])


def test_a_recorder_that_comes_late_gets_everything(broker: Mosquitto, tmp_path: Path) -> None:
    with talking(broker, tmp_path) as talker:
        until(lambda: talker.publisher.connection.up)
        talker.say(3000)
        with recording(broker, tmp_path) as store:
            until(lambda: times(store) == list(range(1, 3001)), 20)
            talker.say(10)
            until(lambda: talker.publisher.unconfirmed == 0)
        assert times(store) == list(range(1, 3011))


def test_a_broker_that_drops_what_its_queue_cannot_hold_costs_nothing(tmp_path: Path) -> None:
    with (
        mosquitto(tmp_path, "max_queued_messages 4", "max_inflight_messages 1") as broker,
        recording(broker, tmp_path) as store,
        talking(broker, tmp_path) as talker,
    ):
        until(lambda: talker.publisher.connection.up)
        for _ in range(10):
            talker.say(10)
            talker.shout("fuel-hot")

        def all_is_there_while_talk_goes_on() -> bool:
            time.sleep(0.5)
            talker.say(1)
            return times(store)[:100] == list(range(1, 101))

        until(all_is_there_while_talk_goes_on, 40)


def test_a_watcher_that_starts_again_goes_on_with_higher_numbers(broker: Mosquitto, tmp_path: Path) -> None:
    with recording(broker, tmp_path) as store:
        with talking(broker, tmp_path) as talker:
            talker.say(5)
            until(lambda: talker.publisher.unconfirmed == 0)
        with talking(broker, tmp_path) as again:
            again.said = 5
            again.say(5)
            until(lambda: times(store) == list(range(1, 11)))
            until(lambda: again.publisher.unconfirmed == 0)


def test_a_watcher_whose_counter_was_lost_is_recorded_all_the_same(broker: Mosquitto, tmp_path: Path) -> None:
    with recording(broker, tmp_path) as store:
        with talking(broker, tmp_path) as talker:
            talker.say(50)
            until(lambda: talker.publisher.unconfirmed == 0)
        (tmp_path / "batches").unlink()
        with talking(broker, tmp_path) as again:
            again.said = 50
            again.say(5)
            until(lambda: times(store) == list(range(1, 56)))
            until(lambda: again.publisher.unconfirmed == 0)


def test_a_recorder_that_fails_goes_on_when_its_store_works_again(broker: Mosquitto, tmp_path: Path) -> None:
    with recording(broker, tmp_path) as store, talking(broker, tmp_path) as talker:
        talker.say(5)
        until(lambda: len(times(store)) == 5)
        thief = sqlite3.connect(store, isolation_level=None)
        thief.execute("ALTER TABLE reading RENAME TO elsewhere")
        talker.say(5)
        talker.shout("fuel-hot")
        until(lambda: talker.publisher.unconfirmed >= 5)
        thief.execute("ALTER TABLE elsewhere RENAME TO reading")
        until(lambda: times(store) == list(range(1, 11)), 20)
        thief.close()


def test_a_second_recorder_refuses_with_a_sentence(broker: Mosquitto, tmp_path: Path) -> None:
    with recording(broker, tmp_path), pytest.raises(UserError, match="Another `drydown record` works in"):
        RecordService(site(broker, tmp_path))


def test_messages_of_others_do_no_harm(broker: Mosquitto, tmp_path: Path) -> None:
    with recording(broker, tmp_path) as store, talking(broker, tmp_path) as talker:
        until(lambda: talker.publisher.connection.up)
        nuisance = talker.publisher._client
        for payload in (b"", b"{", b"[]", b"\xff", json.dumps([{"bn": "boathouse/heron/", "n": 3}]).encode()):
            for topic in (TOPICS.readings, TOPICS.run, TOPICS.recorded("store"), TOPICS.recorded("other")):
                nuisance.publish(topic, payload, qos=1)
        talker.say(5)
        until(lambda: times(store) == [1, 2, 3, 4, 5])
        until(lambda: talker.publisher.unconfirmed == 0)


def test_a_bad_reading_reaches_the_store_with_its_reason(broker: Mosquitto, tmp_path: Path) -> None:
    with recording(broker, tmp_path) as store, talking(broker, tmp_path) as talker:
        silent = Reading("fuel/temperature", 1.0, None, Quality.BAD, "no answer from the probe")
        with talker._lock:
            talker.publisher.say_series(TOPICS.readings, wire.readings([silent], lambda time: time + WALL))

        def latest() -> list[tuple[object, str, str]]:
            with StoreReader(store) as reader:
                return [(s.value, s.quality, s.reason) for s in reader.latest("heron").values()]

        until(lambda: latest() == [(None, "bad", "no answer from the probe")])


def test_sending_again_leaves_the_newest_word_on_an_alarm_retained(broker: Mosquitto, tmp_path: Path) -> None:
    with talking(broker, tmp_path) as talker:
        until(lambda: talker.publisher.connection.up)
        talker.shout("fuel-hot")
        talker.say(WINDOW + 100)
        talker.shout("fuel-hot", "returned")
        until(lambda: talker.publisher._in_flight == 0 and not talker.publisher._spool.waiting)
        watching = talker.publisher._published
        cursor = TOPICS.recorded("store")
        mqtt_publish.single(cursor, b'{"batch":0}', qos=1, port=broker.port)  # a recorder asks, and is gone
        until(lambda: talker.publisher._published > watching and talker.publisher._in_flight == 0)
        retained = mqtt_subscribe.simple(  # type: ignore[no-untyped-call]
            TOPICS.alarm("fuel-hot"), qos=1, port=broker.port
        )
        assert json.loads(retained.payload)["change"] == "returned"


def test_what_was_said_while_nobody_recorded_outlives_the_talker(broker: Mosquitto, tmp_path: Path) -> None:
    with talking(broker, tmp_path) as talker:
        talker.say(40)
        talker.shout("fuel-hot")
    with talking(broker, tmp_path) as talker, recording(broker, tmp_path) as store:
        talker.said = 40
        talker.say(2)
        until(lambda: talker.publisher.recorders and not talker.publisher.unconfirmed)
        assert times(store) == list(range(1, 43))
        assert alarms(store) == ["fuel-hot"]


def test_a_recorder_with_an_older_copy_of_its_store_gets_again_what_another_still_waits_for(
    broker: Mosquitto, tmp_path: Path
) -> None:
    north, south, kept = tmp_path / "north", tmp_path / "south", tmp_path / "kept"
    with talking(broker, tmp_path) as talker:
        with recording(broker, north, "north") as one, recording(broker, south, "south") as other:
            talker.say(20)
            until(
                lambda: talker.publisher.recorders == {"north", "south"} and not talker.publisher.unconfirmed
            )
        kept.write_bytes(other.read_bytes())
        with recording(broker, south, "south"):  # while the other one is away
            talker.say(20)
            talker.shout("fuel-hot")
            until(lambda: alarms(other) == ["fuel-hot"])
        kept.replace(other)
        with recording(broker, south, "south"):  # before what the other one waits for is let go
            until(lambda: alarms(other) == ["fuel-hot"])
            with recording(broker, north, "north"):
                talker.say(5)
                until(lambda: times(other) == list(range(1, 46)) == times(one), 20)
                until(lambda: alarms(one) == ["fuel-hot"])
                until(lambda: not talker.publisher.unconfirmed)


def test_others_see_whether_the_watcher_is_there(broker: Mosquitto, tmp_path: Path) -> None:
    seen: list[bool] = []
    with talking(broker, tmp_path) as talker:
        elsewhere = TankTopics("boathouse", "plover")
        watcher = Publisher(
            broker.config, elsewhere, Counter(tmp_path / "n"), shelf_in(tmp_path), lambda: None
        )
        watcher._client.on_message = lambda _c, _d, said: seen.append(json.loads(said.payload)["online"])
        watcher.start()
        until(lambda: watcher.connection.up)
        watcher._client.subscribe(TOPICS.online, qos=1)
        until(lambda: seen == [True])
        assert talker.publisher._client._sock
        talker.publisher._client._sock.close()  # as when the board loses its power
        until(lambda: seen[:3] == [True, False, True], 40)
    until(lambda: seen[-1] is False)
    watcher.close()


def test_readings_are_committed_together_within_their_time_and_an_event_at_once(
    broker: Mosquitto, tmp_path: Path
) -> None:
    file = write_site(tmp_path, "boathouse", ["heron"], broker.port)
    configured = load(file)
    with running("record", "--config", file, log=tmp_path / "record.log") as record:
        wait_until_said(record, "connected to the broker")
        with talking(broker, tmp_path) as talker:
            until(lambda: talker.publisher.connection.up)
            said = time.monotonic()
            talker.say(1)
            time.sleep(1.0)
            talker.say(1)
            assert times(configured.store_path) == []  # they wait for others
            until(lambda: times(configured.store_path) == [1, 2], 10)
            assert time.monotonic() - said < COMMIT_AFTER + SLOW_MACHINE
            talker.say(1)
            talker.shout("vent-closed")
            until(lambda: alarms(configured.store_path) == ["vent-closed"], 1.0 + SLOW_MACHINE)
            assert times(configured.store_path) == [1, 2, 3]  # in one commit with it
