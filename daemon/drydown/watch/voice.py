"""What a tank's core decides goes out here: to the broker, the pages, the phone, and the log."""

import logging
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Protocol

from paho.mqtt.client import MQTTMessage

from drydown.bus import wire
from drydown.bus.broker import place
from drydown.bus.counter import Counter
from drydown.bus.publisher import CAPACITY, Publisher
from drydown.bus.shelf import DiskShelf
from drydown.bus.topics import TankTopics
from drydown.clock import Clock, Label
from drydown.commands import Command, Part
from drydown.config.model import Site
from drydown.core import Core
from drydown.effects import (
    AlarmChanged,
    Change,
    Conditioned,
    Derived,
    Effect,
    Estimated,
    LevelEvent,
    NoticeDue,
    SupplyChanged,
    Taught,
)
from drydown.estimate.advised import differs
from drydown.estimate.result import Estimate
from drydown.lines import Line, line_of
from drydown.orders import order_of
from drydown.reading import Reading
from drydown.watch.snapshot import QUIET, Snapshot, last_change

LATE = 15.0  # s after which a recorder must have confirmed what it was sent

log = logging.getLogger(__name__)


class Outlets(Protocol):
    """Where lines and notices go besides the broker. Neither may block."""

    def line(self, tank: str, line: Line) -> None:
        """Something happened."""

    def notice(self, tank: str, notice: NoticeDue, unix_time: float) -> None:
        """Somebody must be told."""


class Voice:
    """One tank's. Belongs to the tank's thread; only `state` may be called from another."""

    def __init__(
        self,
        site: Site,
        core: Core,
        clock: Clock,
        outlets: Outlets,
        wake: Callable[[], None],
        hear: Callable[[MQTTMessage], None] | None,
    ) -> None:
        """Raises UserError. `wake` and `hear` are for `Publisher`."""
        self._name, self._core, self._clock, self._outlets = core.tank.name, core, clock, outlets
        self._broker = site.broker
        self._topics = TankTopics(site.site, self._name)
        self._snapshot = Snapshot()
        self._label = clock.label  # that what is being said is labelled with
        self._unsaid: list[Reading] = []
        self._advised: Estimate | None = None  # whose advice was said last
        counter = Counter(site.folder / f"batches-{self._name}")
        share = 1 / len(site.tank)
        shelf = DiskShelf(site.folder / f"waiting-{self._name}.sqlite3", site.store.waiting * 1e6 * share)
        self._publisher = Publisher(
            site.broker, self._topics, counter, shelf, wake, self._retained, hear, int(CAPACITY * share)
        )

    def start(self) -> None:
        """Connect, in the background."""
        self._publisher.start()

    def close(self) -> None:
        """Say what is left and leave."""
        self.say_readings()
        self._publisher.close()

    def listen_to(self, boards: frozenset[str]) -> None:
        """Hear what these boards send, and nothing of others."""
        self._publisher.listen_to(boards)

    def pump(self) -> None:
        """Let the broker have what it can take. Never blocks."""
        self._publisher.pump()

    @property
    def unconfirmed(self) -> int:
        """How many entries no recorder has confirmed yet."""
        return self._publisher.unconfirmed

    def state(self) -> dict[str, Any]:
        """See `snapshot`."""
        return self._snapshot.state(self._core, self._clock.now(), self._clock.to_unix)

    def speak_for(self, core: Core, lived: Iterable[Effect]) -> None:
        """Show another core's state from now on, and what it decided before, without saying that again."""
        for effect in lived:
            self._snapshot.take(line_of(effect, self._clock.to_unix))
        self._core = core

    def say(self, effects: Iterable[Effect]) -> list[Line]:
        """Tell everybody, readings excepted: they gather for `say_readings`."""
        self._label = self._clock.label
        lines = [line_of(effect, self._label.to_unix) for effect in effects]
        for effect, line in zip(effects, lines, strict=True):
            self._say_one(effect, line)
            self._snapshot.take(line)
            self._outlets.line(self._name, line)
        return lines

    def say_again(self, notices: Iterable[NoticeDue]) -> None:
        """Hand over notices that an earlier watcher may not have handed over; those known are told apart."""
        for notice in notices:
            self._outlets.notice(self._name, notice, round(self._clock.to_unix(notice.time), 3))

    def say_as_then(self, notices: Iterable[tuple[NoticeDue, float]]) -> None:
        """The same, each with the Unix time at which it was handed over the first time."""
        for notice, unix_time in notices:
            self._outlets.notice(self._name, notice, unix_time)

    def say_readings(self) -> None:
        """Publish the readings that have gathered."""
        if self._unsaid:
            label = self._clock.label
            body = wire.readings(self._unsaid, label.to_unix, label.mark)
            self._unsaid.clear()
            self._publisher.say_series(self._topics.readings, body)

    def say_command(self, time: float, command: Command) -> None:
        """Have it recorded that a person told the core something, so that it can be relived."""
        order = order_of(command)
        if order:
            self._label = self._clock.label
            line = {"kind": "command", "time": round(self._label.to_unix(time), 3)} | order
            log.info("%s: %s by %s", self._name, order["command"], order["who"])
            self._outlets.line(self._name, line)
            self._record(self._topics.run, line, retain=False)

    def troubles(self) -> Mapping[Part, str]:
        """What does not work on the way to the record."""
        connection = self._publisher.connection
        if connection.trouble:
            return {Part.BROKER: connection.trouble}
        if not self._publisher.recorders:
            return {Part.STORE: f"no recorder is known to {place(self._broker)}: start `drydown record`"}
        if self._publisher.recorder_trouble:
            return {Part.STORE: self._publisher.recorder_trouble}
        if self._publisher.disk_trouble:
            return {Part.STORE: self._publisher.disk_trouble}
        if self._publisher.unconfirmed_for > LATE:
            recorder = self._publisher.slowest
            return {
                Part.STORE: f"the recorder “{recorder}” confirms nothing: see what its `drydown record` says"
            }
        return {}

    def _say_one(self, effect: Effect, line: Line) -> None:
        match effect:
            case Conditioned(reading=reading) | Derived(reading=reading):
                self._unsaid.append(reading)
            case Estimated(estimate=belief):
                body = wire.estimate(belief, self._label.to_unix, self._label.mark)
                self._publisher.say_series(self._topics.estimates, body)
                self._say_advice(belief, line)
            case AlarmChanged(alarm=name):
                topic = self._topics.alarm(name)
                self._record(topic, line, retain=True)
                if self._core.panel.alarms[name].state in QUIET:
                    self._publisher.clear(topic)
                level = logging.WARNING if effect.change is Change.RAISED else logging.INFO
                log.log(level, "%s: %s %s: %s", self._name, name, line["change"], line["message"])
            case NoticeDue():
                self._outlets.notice(self._name, effect, line["time"])
                self._record(self._topics.run, line, retain=False)
            case SupplyChanged(cut=cut, alarm=alarm):
                self._record(self._topics.run, line, retain=False)
                done = "cut, because of" if cut else "given back after"
                log.warning("%s: the blower's supply is %s %s", self._name, done, alarm)
            case LevelEvent(kind=kind, volume=volume):
                self._record(self._topics.run, line, retain=False)
                log.info("%s: %s of %.1f L", self._name, kind, volume.median * 1000)
            case Taught(lesson=lesson):
                self._record(self._topics.run, line, retain=False)
                log.info("%s: kept for the next run: what %d runs taught of it", self._name, lesson.runs)
            case _:
                self._record(self._topics.run, line, retain=True)
                log.info("%s: %s", self._name, line["stage"])

    def _record(self, topic: str, line: Line, *, retain: bool) -> None:
        self._publisher.say_event(topic, wire.event(line, self._label.mark), retain)

    def _say_advice(self, belief: Estimate, line: Line) -> None:
        """Have advice and plan recorded when they change."""
        if self._advised is None or differs(self._advised, belief):
            self._advised = belief
            told = {"kind": "advised"} | {name: line[name] for name in ("time", "advice", "plan")}
            self._record(self._topics.run, told, retain=False)

    def _retained(self) -> Mapping[str, bytes]:
        """What last happened to each alarm, in the place of what an earlier watcher left; empty where all is
        over.

        As it was said the first time, so that a recorder knows it again.
        """
        alarms = self._core.panel.alarms
        label = self._clock.label
        changes = {name: last_change(alarm, label.to_unix) for name, alarm in alarms.items()}
        return {self._topics.alarm(name): _alone(line, label) for name, line in changes.items()}


def _alone(line: Line | None, label: Label) -> bytes:
    """A message without numbers; what is older than the board's start has its time from another clock."""
    if line is None:
        return b""
    mark = label.mark if line["time"] >= label.to_unix(0.0) else None
    return b"{%b}" % wire.event(line, mark)
