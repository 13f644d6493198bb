"""Says on the broker what a tank's core decides, and keeps each thing until every recorder has it.

Live entries go out as they come. After a reconnect, when a recorder asks (by saying its cursor again), or
when none has moved its cursor for long, everything not confirmed is sent again in order, a window at a time
so that the broker's queues never overflow. Events never wait for that: they go out at once as well.

While recorders keep up everything is in memory alone, so that a card is not worn by what is recorded anyway.
What they lag behind with is put by on the disk, and all of it when the watcher is stopped.

One thread uses a Publisher; the network's thread only leaves word and wakes it.
"""

import json
import logging
import time
from collections import deque
from collections.abc import Callable, Mapping

import paho.mqtt.client as paho

from drydown.bus import wire
from drydown.bus.broker import KEEPALIVE, Connection, make_client
from drydown.bus.counter import Counter
from drydown.bus.shelf import DiskShelf
from drydown.bus.spool import EVENT, SERIES, Entry, Message, Spool
from drydown.bus.topics import TankTopics, tank_of
from drydown.config.services import Broker

CAPACITY = 8_000_000  # bytes kept in memory, if the disk takes nothing: hours of one tank
LAG = {SERIES: 7.0, EVENT: 2.0}  # s until what waits is put by; recorders commit in 5 s, events at once
IN_FLIGHT = 20  # messages that the broker has not acknowledged
WINDOW = 500  # entries handed out and not confirmed, while sending again
PATIENCE = 10.0  # s without a confirmation before sending again gives way to what is new
MOST_RECORDERS = 50  # of which anything is heard
FURTHEST = 2**50  # that a cursor may be: numbers go on from there, and stay whole in JSON
LONGEST_TROUBLE = 1000  # bytes of what a recorder says is wrong
RESEND_FIRST, RESEND_LONGEST = 30.0, 600.0  # s without a confirmation before everything is sent again

log = logging.getLogger(__name__)


class Publisher:
    """One tank's voice on the broker."""

    def __init__(
        self,
        broker: Broker,
        topics: TankTopics,
        counter: Counter,
        shelf: DiskShelf,
        wake: Callable[[], None],
        retained: Callable[[], Mapping[str, bytes]] = dict,
        hear: Callable[[paho.MQTTMessage], None] | None = None,
        capacity: int = CAPACITY,
    ) -> None:
        """Raises BrokerError.

        `wake` has `pump` called soon. `retained` gives what a new connection must find retained, by topic;
        empty bytes for what must be gone. `hear` gets, on the network's thread, what other boards send.
        `capacity` is how many bytes are kept for recorders in memory.
        """
        self._topics = topics
        self._counter = counter
        self._wake = wake
        self._retained = retained
        self._hear = hear
        self._listened: frozenset[str] = frozenset()  # boards whose messages are asked for
        self._shelf = shelf
        gone = counter.kept if shelf.oldest is None else counter.gone
        first = max(counter.start, shelf.newest + 1)
        self._spool = Spool(first, capacity, shelf, gone, counter.recorders)
        self._due: deque[tuple[int, float]] = deque()  # what is not put by, and when it must be (monotonic s)
        self._broker = broker
        self._client = make_client(broker, f"drydown-{topics.site}-{topics.tank}-watch")
        self._client.will_set(topics.online, b'{"online":false}', qos=1, retain=True)
        self._client.on_publish = self._on_publish
        self._client.on_message = self._on_message
        self.connection = Connection(broker, self._client, self._on_connected, wake)
        self._heard: deque[tuple[str, int | None]] = deque()  # (recorder, cursor), from the network's thread
        self._named = set(counter.recorders)  # that anything was heard of
        self._recorder_troubles: dict[str, str] = {}
        self._newest: dict[str, bytes] = {}  # of what is retained: nothing older may take its place
        self._fresh_connection = False
        self._published = self._greetings = self._acknowledged = 0
        self._catching_up = False
        self._patient_until = 0.0
        self._let_go_at = time.monotonic()
        self._progress()

    def start(self) -> None:
        """Begin to connect; what is said until then is kept."""
        self._client.connect_async(self._broker.host, self._broker.port, KEEPALIVE)
        self._client.loop_start()

    def close(self, within: float = 2.0) -> None:
        """Say goodbye, giving what is on its way a moment to arrive."""
        self.pump()
        if self.connection.up:
            info = self._client.publish(self._topics.online, b'{"online":false}', qos=1, retain=True)
            end = time.monotonic() + within
            while self.connection.up and not info.is_published() and time.monotonic() < end:
                time.sleep(0.01)
        self._client.disconnect()
        self._client.loop_stop()
        end = time.monotonic() + within
        while not self._spool.put_by() and time.monotonic() < end:
            time.sleep(0.01)
        self._shelf.close()
        self._counter.stop(self._spool.next_number, self._spool.gone)

    @property
    def unconfirmed_for(self) -> float:
        """For how long, in s, the slowest recorder has confirmed nothing of what waits for it."""
        if not self._spool.recorders or not self._spool.unconfirmed:
            return 0.0
        return time.monotonic() - self._let_go_at

    @property
    def slowest(self) -> str:
        """The recorder for whom most is kept; empty where none is known."""
        return self._spool.slowest

    @property
    def recorder_trouble(self) -> str:
        """What a recorder says its store suffers from; empty while none says anything."""
        return next(iter(dict(self._recorder_troubles).values()), "")

    @property
    def disk_trouble(self) -> str:
        """Why what waits can't be put by; empty where it can."""
        return self._shelf.trouble

    @property
    def recorders(self) -> frozenset[str]:
        """Every recorder that was heard of."""
        return self._spool.recorders

    @property
    def unconfirmed(self) -> int:
        """How many entries are kept because some recorder has not confirmed them."""
        return self._spool.unconfirmed

    def say_series(self, topic: str, body: bytes) -> None:
        """Readings or estimates: SenML records without brackets."""
        self._add(Entry(topic, body, SERIES))
        self.pump()

    def say_event(self, topic: str, body: bytes, retain: bool) -> None:
        """An alarm, a stage, a notice: JSON without braces. Goes out at once whatever waits."""
        number = self._add(Entry(topic, body, EVENT, retain))
        self.pump()
        if self._spool.waits(number) and self.connection.up:
            self._send(self._spool.single(number))

    def clear(self, topic: str) -> None:
        """Let nothing stay retained on a topic; what is still to be recorded goes out unretained."""
        self._newest[topic] = b""
        if self.connection.up:
            self._client.publish(topic, b"", qos=1, retain=True)
            self._published += 1

    def listen_to(self, boards: frozenset[str]) -> None:
        """Have the broker send what these boards say, and nothing of others."""
        before, self._listened = self._listened, boards
        if self.connection.up:
            for board in boards - before:
                self._client.subscribe(self._topics.probe(board), qos=1)
            for board in before - boards:
                self._client.unsubscribe(self._topics.probe(board))

    def pump(self) -> None:
        """Take in what was heard, and send what can be sent. Never blocks."""
        self._listen()
        self._lose_patience(time.monotonic())
        self._put_by(time.monotonic())
        while self.connection.up and self._in_flight < IN_FLIGHT:
            if self._catching_up and self._spool.outstanding >= WINDOW:
                return
            message = self._spool.take()
            if message is None:
                self._catching_up = False
                return
            self._send(message)

    def _add(self, entry: Entry) -> int:
        if not self._spool.unconfirmed:
            self._progress()
            self._let_go_at = self._moved_at
        if entry.retain:
            self._newest[entry.topic] = entry.body
        before = self._spool.dropped
        number = self._spool.add(entry)
        self._counter.reached(number, self._spool.gone)
        due = time.monotonic() + LAG[entry.kind]
        while self._due and self._due[-1][1] >= due:
            self._due.pop()
        self._due.append((number, due))
        if self._spool.dropped and not before:
            log.warning(
                "%s: more waits for a recorder than can be kept; the oldest readings go, events stay",
                self._topics.tank,
            )
        return number

    def _send(self, message: Message) -> None:
        payload = wire.payload(message, self._topics.base_name)
        is_newest = message.bodies[0] is self._newest.get(message.topic)
        self._client.publish(message.topic, payload, qos=1, retain=message.retain and is_newest)
        self._published += 1

    def _listen(self) -> None:
        if self._fresh_connection:
            self._fresh_connection = False
            for topic, payload in self._retained().items():
                self._client.publish(topic, payload, qos=1, retain=True)
                self._published += 1
            self._send_again()
        while self._heard:
            self._hear_cursor(*self._heard.popleft())

    def _hear_cursor(self, recorder: str, number: int | None) -> None:
        oldest, newest = self._spool.oldest, self._spool.next_number
        if number is None:
            self._spool.forget(recorder)
        elif self._spool.confirm(recorder, number):
            self._progress()
        else:
            self._send_again(number)
        if self._spool.next_number > newest:  # all have other numbers now
            self._counter.reached(self._spool.next_number, self._spool.gone)
            self._put_by_as_one()
        elif self._spool.oldest > oldest:
            self._let_go_at = time.monotonic()
            while self._due and self._due[0][0] < self._spool.oldest:
                self._due.popleft()
        self._counter.keep_for(self._spool.kept_for, self._spool.gone)

    def _put_by(self, now: float) -> None:
        if self._due and now >= self._due[0][1]:
            if self._spool.put_by():
                self._due.clear()
            else:
                self._put_by_as_one()
        self._spool.lighten()

    def _put_by_as_one(self) -> None:
        """What is not put by is due together, when the first of it was."""
        if self._due:
            self._due = deque([(self._spool.next_number - 1, self._due[0][1])])

    def _send_again(self, after: int = 0) -> None:
        self._spool.rewind(after)
        self._catching_up = True
        self._patient_until = time.monotonic() + PATIENCE

    def _progress(self) -> None:
        self._moved_at = time.monotonic()
        self._resend_delay = RESEND_FIRST
        self._resend_at = self._moved_at + RESEND_FIRST

    def _lose_patience(self, now: float) -> None:
        if self._catching_up and now > max(self._patient_until, self._moved_at + PATIENCE):
            self._catching_up = False
            self._spool.skip()
        if self._spool.recorders and self._spool.unconfirmed and now > self._resend_at:
            self._resend_delay = min(RESEND_LONGEST, 2 * self._resend_delay)
            self._resend_at = now + self._resend_delay
            self._send_again()

    @property
    def _in_flight(self) -> int:
        return self._published + self._greetings - self._acknowledged

    # The network's thread

    def _on_connected(self) -> None:
        self._client.subscribe(self._topics.recorded("+"), qos=1)
        self._client.subscribe(self._topics.recorder_trouble("+"), qos=1)
        for board in self._listened:
            self._client.subscribe(self._topics.probe(board), qos=1)
        self._client.publish(self._topics.online, b'{"online":true}', qos=1, retain=True)
        self._greetings += 1
        self._fresh_connection = True
        self._wake()

    def _on_publish(self, *_: object) -> None:
        self._acknowledged += 1
        if self._spool.waiting:
            self._wake()

    def _on_message(self, _client: paho.Client, _data: object, message: paho.MQTTMessage) -> None:
        found = tank_of(message.topic)
        if found is None:
            return
        about, _, name = found[1].partition("/")
        if about == "probe" and self._hear:
            self._hear(message)
        elif not self._is_listened_to(name):
            return
        elif about == "recorder-trouble":
            self._hear_trouble(name, message.payload[:LONGEST_TROUBLE].decode(errors="replace"))
        elif about == "recorded" and not message.payload:
            self._heard.append((name, None))
            self._wake()
        elif about == "recorded" and (number := _cursor(message.payload)) is not None:
            self._heard.append((name, number))
            self._wake()

    def _is_listened_to(self, recorder: str) -> bool:
        """Strangers with ever new names do not fill the memory."""
        if len(self._named) < MOST_RECORDERS:
            self._named.add(recorder)
        return recorder in self._named

    def _hear_trouble(self, recorder: str, trouble: str) -> None:
        if trouble:
            self._recorder_troubles[recorder] = trouble
        else:
            self._recorder_troubles.pop(recorder, None)
        self._wake()


def _cursor(payload: bytes | bytearray) -> int | None:
    try:
        number = json.loads(payload)["batch"]
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
    whole = isinstance(number, int) and not isinstance(number, bool) and 0 <= number < FURTHEST
    return number if whole else None
