"""A second client on the broker: notes what arrives, and when."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from drydown.config.services import Broker

PATIENCE = 10.0  # s for the broker to answer


@dataclass(frozen=True, slots=True)
class Arrival:
    """A message, and when it came in s of the monotonic clock, which all processes of a machine share."""

    time: float
    topic: str
    payload: bytes
    retained: bool


class Listener:
    """Subscribed to a topic while the block lasts; `publish` is there too."""

    def __init__(self, broker: Broker, topic: str) -> None:
        self._broker, self._topic = broker, topic
        self._arrivals: list[Arrival] = []
        self._changed = threading.Condition()
        self._subscribed = threading.Event()
        self.client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
        self.client.max_inflight_messages_set(0)
        self.client.on_message = self._on_message
        self.client.on_subscribe = lambda *_: self._subscribed.set()

    def __enter__(self) -> "Listener":
        self.client.connect(self._broker.host, self._broker.port)
        self.client.loop_start()
        self.client.subscribe(self._topic, qos=1)
        assert self._subscribed.wait(PATIENCE), "the broker does not take a subscription"
        return self

    def __exit__(self, *_: object) -> None:
        self.client.disconnect()
        self.client.loop_stop()

    def first(self, fits: Callable[[Arrival], bool], seconds: float, what: str) -> Arrival:
        """The first message that fits, now or within so many seconds. Raises AssertionError."""
        end = time.monotonic() + seconds
        seen = 0
        with self._changed:
            while True:
                for arrival in self._arrivals[seen:]:
                    if fits(arrival):
                        return arrival
                seen = len(self._arrivals)
                left = end - time.monotonic()
                assert left > 0, f"not on {self._topic} within {seconds:g} s: {what}"
                self._changed.wait(left)

    def forget(self) -> None:
        """Begin anew."""
        with self._changed:
            self._arrivals = []

    def all(self) -> list[Arrival]:
        """Everything so far."""
        with self._changed:
            return list(self._arrivals)

    def _on_message(self, _client: paho.Client, _data: object, message: paho.MQTTMessage) -> None:
        arrival = Arrival(time.monotonic(), message.topic, bytes(message.payload), message.retain)
        with self._changed:
            self._arrivals.append(arrival)
            self._changed.notify_all()
