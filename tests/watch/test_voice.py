"""What is wrong on the way to the record is told by name."""

import threading
from pathlib import Path

import pytest

from drydown.clock import Clock
from drydown.commands import Part
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
    recorder.stop()
    thread.join()
    until(lambda: "the recorder confirms nothing" in speak().get(Part.STORE, ""))
    broker.stop()
    until(lambda: "was lost" in speak().get(Part.BROKER, ""))
    voice.close()
