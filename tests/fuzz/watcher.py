"""What a tank's watcher hears on the broker: other boards, the recorders' cursors, and their troubles."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from paho.mqtt.client import MQTTMessage

from drydown.clock import Clock
from drydown.config.load import load
from drydown.config.model import BoardProbe, Site
from drydown.effects import NoticeDue
from drydown.lines import Line
from drydown.probes.find import Attachments, find_probes
from drydown.quantities import MEASURED
from drydown.reading import Reading
from drydown.watch.tank import TankWatch
from fuzz.messages import TOPICS, addressed, parted, senml
from fuzz.target import Target
from support.broker import free_port
from support.site_file import write_site

BOARD = TOPICS.probe("board")
LOOK_EVERY = 50  # messages
STEP_EVERY = 500
MOST_KEPT = 64  # recorders, and their troubles, that the watcher may come to know


class Nobody:
    """Outlets that nobody listens to."""

    def line(self, tank: str, line: Line) -> None:
        pass

    def notice(self, tank: str, notice: NoticeDue, unix_time: float) -> None:
        pass


class Watching:
    """A tank whose probes are all on another board, and whose threads are not started."""

    def __init__(self, site: Site) -> None:
        self._clock = Clock()
        attachments = Attachments(site.site)
        self._watch = TankWatch(site, site.tank[0], self._clock, attachments, Nobody())
        self._probes = find_probes(site.tank[0], attachments)
        assert all(isinstance(probe, BoardProbe) for probe in site.tank[0].probes.values())
        self._publisher = self._watch._voice._publisher
        self._client: Any = None
        self._heard = 0

    def feed(self, payload: bytes) -> None:
        topic, body = parted(payload)
        message = MQTTMessage(topic=topic.encode())
        message.payload = body
        message.retain = self._heard % 7 == 0 and topic != BOARD
        for sender in self._watch._boards._senders.values():
            sender.allowance = 100.0  # nobody is quick enough for so many messages
        self._publisher._on_message(self._client, None, message)
        self._heard += 1
        if self._heard % LOOK_EVERY == 0:
            self._publisher.pump()
            self._collect()
        if self._heard % STEP_EVERY == 0:
            self._watch._step(self._collect(), ())
            self._watch._voice.say_readings()

    def check(self) -> None:
        self._watch._step(self._collect(), ())
        self._watch.state()
        self._watch._voice.troubles()
        known = self._publisher.recorders, self._publisher._recorder_troubles, self._watch._boards._senders
        assert all(len(one) <= MOST_KEPT for one in known), [len(one) for one in known]

    def close(self) -> None:
        """So that nothing is written any more when another part is tried."""
        self._watch._file.close()
        self._watch._hours.close()

    def _collect(self) -> list[Reading]:
        readings = [probe.read(self._clock.now()) for probe in self._probes]
        return [one for one in readings if one is not None]


@contextmanager
def _opened(folder: Path) -> Iterator[Watching]:
    probes = [name for name in MEASURED if name != "vapour/methanol"]
    watching = Watching(load(write_site(folder, TOPICS.site, [TOPICS.tank], free_port(), probes)))
    try:
        yield watching
    finally:
        watching.close()


def _seeds() -> list[bytes]:
    cursor, trouble = TOPICS.recorded("recorder"), TOPICS.recorder_trouble("recorder")
    own = [
        addressed(cursor, b'{"batch":12}'),
        addressed(cursor, b""),
        addressed(trouble, b"The disk is full."),
    ]
    return [addressed(BOARD, pack) for pack in senml()] + own


TARGET = Target("watcher", _seeds, _opened, share=300, few=300)
