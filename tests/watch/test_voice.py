"""What is wrong on the way to the record is told by name."""

import threading
import time
from pathlib import Path

import pytest

from drydown.clock import Clock
from drydown.commands import Acknowledge, Part
from drydown.config.model import Site
from drydown.core import Core
from drydown.effects import NoticeDue
from drydown.lines import Line
from drydown.reading import Reading
from drydown.record import RecordService
from drydown.watch import voice as module
from drydown.watch.voice import Voice
from support.boathouse import at_rest, heron
from support.broker import Mosquitto, until
from support.watched_place import retained

pytestmark = pytest.mark.broker


class Nobody:
    """Outlets that nobody listens to."""

    def line(self, tank: str, line: Line) -> None:
        pass

    def notice(self, tank: str, notice: NoticeDue, unix_time: float) -> None:
        pass


def test_no_recorder_a_silent_one_and_no_broker_are_told_apart(
    tmp_path: Path, broker: Mosquitto, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "LATE", 1.0)
    site = Site(site="boathouse", folder=tmp_path, tank=(heron(),), broker=broker.config)
    clock = Clock()
    core = Core(site.tank[0])
    voice = Voice(site, core, clock, Nobody(), lambda: None, None)

    def speak() -> dict[Part, str]:
        now = clock.now()
        voice.say(core.step(now, [Reading(name, now, value) for name, value in at_rest().items()], ()))
        voice.say_readings()
        voice.pump()
        return dict(voice.troubles())

    assert "has not answered yet" in speak()[Part.BROKER]
    voice.start()
    until(lambda: "no recorder is known" in speak().get(Part.STORE, ""))
    recorder = RecordService(site, commit_after=0.1)
    thread = threading.Thread(target=recorder.run)
    thread.start()
    until(lambda: speak() == {})
    assert recorder._recorder
    recorder._recorder._store._connection.execute("PRAGMA max_page_count = 1")  # full at what it has
    until(lambda: "the disk is full" in speak().get(Part.STORE, ""), 30)
    until(lambda: speak() == {}, 30)  # opened anew it may grow again
    recorder.stop()
    thread.join()
    until(lambda: "the recorder “store” confirms nothing" in speak().get(Part.STORE, ""))
    broker.stop()
    until(lambda: "was lost" in speak().get(Part.BROKER, ""))
    voice.close()


def test_a_new_connection_finds_what_last_happened_and_nothing_that_is_over(
    tmp_path: Path, broker: Mosquitto
) -> None:
    site = Site(site="boathouse", folder=tmp_path, tank=(heron(),), broker=broker.config)
    clock = Clock()
    core = Core(site.tank[0])
    voice = Voice(site, core, clock, Nobody(), lambda: None, None)
    voice.start()
    until(lambda: "no recorder" in voice.troubles().get(Part.STORE, ""))
    began = clock.now()

    def pass_time(until_second: int, since: int, celsius: float) -> None:
        for second in range(since, until_second):
            now = began + second
            values = at_rest(fuel__temperature=celsius + 273.15 + second % 2 / 16)
            voice.say(core.step(now, [Reading(name, now, value) for name, value in values.items()], ()))
        voice.pump()

    pass_time(20, 0, 30.0)
    pass_time(40, 20, 66.0)
    until(lambda: retained(broker.port).get("fuel-hot", {}).get("change") == "raised")
    pass_time(160, 40, 30.0)
    until(lambda: retained(broker.port).get("fuel-hot", {}).get("change") == "returned")
    said = retained(broker.port)["fuel-hot"]
    broker.stop()
    until(lambda: Part.BROKER in voice.troubles())
    broker.start()

    def found_anew() -> object:
        voice.pump()
        return retained(broker.port).get("fuel-hot")

    until(found_anew, 15)
    again = retained(broker.port)["fuel-hot"]
    assert (again["change"], again["time"]) == ("returned", said["time"])
    voice.say(core.step(began + 160, (), [Acknowledge("fuel-hot", "Wren")]))
    until(lambda: "fuel-hot" not in retained(broker.port))
    assert retained(broker.port) == {}
    voice.close()


def test_two_watchers_of_one_site_that_take_the_connection_from_each_other_are_told_why(
    tmp_path: Path, broker: Mosquitto, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level("INFO")
    clock = Clock()
    voices = []
    for folder in (tmp_path / "one", tmp_path / "other"):
        folder.mkdir()
        site = Site(site="boathouse", folder=folder, tank=(heron(),), broker=broker.config)
        voices.append(Voice(site, Core(site.tank[0]), clock, Nobody(), lambda: None, None))
    for voice in voices:
        voice.start()

    def both_say_why() -> bool:
        return all("a second drydown" in voice.troubles().get(Part.BROKER, "") for voice in voices)

    until(both_say_why, 20)
    for _ in range(30):  # also while one of them is connected just now
        assert both_say_why()
        time.sleep(0.1)
    for voice in voices:
        voice.close()
    told = [r.getMessage() for r in caplog.records if "again and again" in r.getMessage()]
    assert len(told) == 2
    assert "give the sites different names" in told[0]
