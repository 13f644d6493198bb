"""Readings that other boards send by MQTT on drydown/SITE/TANK/probe/NAME: what is taken, what is kept.

A message is a SenML pack whose records are named after quantities, `fuel/temperature` or
`SITE/TANK/fuel/temperature`, in their own units. Records of other names are ignored. A time in it is best
left out: then the moment of arrival counts, and the boards' clocks need not agree.
"""

import threading
from dataclasses import dataclass, replace

from drydown.bus.records import readings_of
from drydown.bus.senml import SenmlError
from drydown.bus.senml_json import Limits, decode
from drydown.bus.topics import tank_of
from drydown.condition.kinds import Fault
from drydown.probes import kinds
from drydown.probes.probe import no_value
from drydown.probes.senders import Sender
from drydown.quantities import MEASURED
from drydown.reading import Reading

LIMITS = Limits(size=kinds.MOST_BYTES, records=kinds.MOST_RECORDS)


class RefusedError(Exception):
    """A message that is not used; the text says why and what to do."""

    @classmethod
    def of(cls, fault: Fault, **values: object) -> "RefusedError":
        """With the words of a kind of fault."""
        return cls(fault.found(**values)[1])


@dataclass(frozen=True, slots=True)
class Message:
    """One message as it came from the broker."""

    topic: str
    payload: bytes
    is_retained: bool = False


def accept(message: Message, site: str, unix_now: float) -> tuple[str, str, list[Reading]]:
    """The tank, the sender, and what it measured, oldest first, with Unix times up to now. Pure.

    `unix_now` (s) is what absolute times in the message are held against. Raises RefusedError.
    """
    tank, sender = _sender(message.topic, site)
    if message.is_retained:
        raise RefusedError.of(kinds.RETAINED)
    base_name = f"{site}/{tank}/"
    try:
        records = decode(message.payload, unix_now, LIMITS)
        whole = [r if r.name.startswith(base_name) else replace(r, name=base_name + r.name) for r in records]
        readings = [r for r in readings_of(whole, base_name, float) if r.name in MEASURED]
    except SenmlError as error:
        raise RefusedError.of(kinds.NOT_SENML, error=error) from error
    return tank, sender, [_not_ahead(reading, unix_now) for reading in readings]


def _sender(topic: str, site: str) -> tuple[str, str]:
    found = tank_of(topic)
    if found is None or found[0].site != site or not found[1].startswith("probe/"):
        raise RefusedError(f"its topic is not drydown/{site}/TANK/probe/NAME")
    return found[0].tank, found[1].removeprefix("probe/")


def _not_ahead(reading: Reading, unix_now: float) -> Reading:
    """The reading, no later than now. Raises RefusedError where the two clocks disagree."""
    age = unix_now - reading.time
    if age < -kinds.EARLY:
        raise RefusedError.of(kinds.SENT_EARLY, name=reading.name, seconds=-age)
    if age > kinds.OLDEST:
        raise RefusedError.of(kinds.SENT_LATE, name=reading.name, seconds=age)
    return replace(reading, time=min(reading.time, unix_now))


class Boards:
    """The last reading of every probe that hangs on another board. Safe to share between threads.

    Only what `expect` has named is kept, so that a stranger on the broker cannot fill the memory.
    """

    def __init__(self, site: str) -> None:
        self._site = site
        self._lock = threading.Lock()
        self._latest: dict[tuple[str, str, str], Reading | None] = {}
        self._senders: dict[tuple[str, str], Sender] = {}

    def expect(self, tank: str, sender: str, name: str) -> None:
        """A probe waits for this quantity of this sender."""
        with self._lock:
            self._latest[tank, sender, name] = None
            self._senders.setdefault((tank, sender), Sender(sender))

    def receive(self, message: Message, now: float, unix_now: float) -> str | None:
        """Take a message in, at `now` on the core's clock and `unix_now` on the wall's.

        Returns None, or the topic and why the message was refused, if that is worth telling. What strangers
        send, and what a sender sends too much, is not even looked at.
        """
        try:
            tank, sender = _sender(message.topic, self._site)
        except RefusedError as error:
            return f"{message.topic}: {error}"
        with self._lock:
            known = self._senders.get((tank, sender))
            if known is None or not known.may_speak(now):
                return None
        try:
            _, _, readings = accept(message, self._site, unix_now)
        except RefusedError as error:
            with self._lock:
                is_news = known.refuse(now, str(error))
            return f"{message.topic}: {error}" if is_news else None
        with self._lock:
            known.refusal = ""
            for reading in readings:
                arrived = replace(reading, time=now - (unix_now - reading.time))
                self._keep((tank, sender, reading.name), arrived)
        return None

    def welcome(self, tank: str, now: float) -> frozenset[str]:
        """The tank's senders whose messages are wanted for now; to be asked once a second."""
        with self._lock:
            return frozenset(
                sender for (of, sender), one in self._senders.items() if of == tank and one.is_welcome(now)
            )

    def trouble(self, tank: str, now: float) -> str:
        """What is wrong with the tank's senders, in words; empty when nothing is."""
        with self._lock:
            found = [one.trouble(now) for (of, _), one in self._senders.items() if of == tank]
        return "; ".join(filter(None, found))

    def latest(self, tank: str, sender: str, name: str) -> Reading | None:
        """The newest reading, whatever its age."""
        with self._lock:
            return self._latest[tank, sender, name]

    def refusal(self, tank: str, sender: str) -> str:
        """Why the sender's last message was refused; empty if it was not."""
        with self._lock:
            known = self._senders.get((tank, sender))
            return known.refusal if known else ""

    def _keep(self, key: tuple[str, str, str], reading: Reading) -> None:
        if key in self._latest:
            before = self._latest[key]
            if before is None or reading.time > before.time:
                self._latest[key] = reading


class BoardProbe:
    """A quantity that another board sends; absent when nothing has come for `max_age` s."""

    def __init__(self, name: str, tank: str, sender: str, max_age: float, boards: Boards) -> None:
        self._name = name
        self._tank = tank
        self._sender = sender
        self._max_age = max_age
        self._boards = boards
        self._waits_since: float | None = None
        boards.expect(tank, sender, name)

    @property
    def name(self) -> str:
        return self._name

    def describe(self) -> str:
        return f"board {self._sender} by MQTT"

    def read(self, now: float) -> Reading | None:
        """The last reading, with the time at which it was measured; None while the first may yet come."""
        latest = self._boards.latest(self._tank, self._sender, self._name)
        if latest is not None and now - latest.time <= self._max_age:
            return latest
        if self._waits_since is None:
            self._waits_since = now
        since = self._waits_since if latest is None else latest.time
        if now - since <= self._max_age:
            return None
        refusal = self._boards.refusal(self._tank, self._sender)
        mend = (
            f"its last message was refused, because {refusal}"
            if refusal
            else "check that it has power, its network, and the topic that it sends to"
        )
        _, reason = kinds.BOARD_SILENT.found(
            board=self._sender, name=self._name, seconds=now - since, mend=mend
        )
        return no_value(self._name, now, reason)
