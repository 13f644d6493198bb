"""A line to the broker for a check: a message there and back, and what other boards send meanwhile."""

import os
import threading
import time
import uuid
from pathlib import Path
from types import TracebackType
from typing import Self

import paho.mqtt.client as paho

from drydown.bus.broker import KEEPALIVE, BrokerError, Connection, make_client, place, with_account
from drydown.bus.topics import TankTopics
from drydown.check.finding import Finding
from drydown.clock import Clock
from drydown.config.model import Site
from drydown.probes.mqtt_in import Boards, Message

PATIENCE = 5.0  # s for a message there and back
USER, PASSWORD = "drydown-check", "broker/check.password"  # deploy/install makes it, beside the configuration


def with_own_account(site: Site, config: Path) -> Site:
    """The site with the check's own account at an installed broker, if there is one beside `config`."""
    file = config.absolute().parent / PASSWORD
    if not os.path.lexists(file):
        return site
    return site.model_copy(update={"broker": with_account(site.broker, USER, file)})


class BrokerLine:
    """Connects while the block lasts; messages of other boards go to `boards`."""

    def __init__(self, site: Site) -> None:
        self.boards: Boards | None = None
        self._site = site
        self._clock = Clock()
        self._topics = [TankTopics(site.site, tank.name) for tank in site.tank]
        self._own = f"{self._topics[0].base}/check"
        self._word = uuid.uuid4().hex.encode()
        self._back = threading.Event()
        self._client: paho.Client | None = None
        self._connection: Connection | None = None
        self._trouble = ""

    def __enter__(self) -> Self:
        broker = self._site.broker
        try:
            client = make_client(broker, f"drydown-{self._site.site}-check-{self._word[:8].decode()}")
        except BrokerError as error:
            self._trouble = str(error)
            return self
        self._client = client
        self._connection = Connection(broker, client, self._on_connected)
        client.on_message = self._on_message
        client.connect_async(broker.host, broker.port, KEEPALIVE)
        client.loop_start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._client:
            self._client.disconnect()
            self._client.loop_stop()

    def finding(self) -> Finding:
        """Whether a message comes back."""
        where = place(self._site.broker)
        if self._comes_back():
            return Finding("broker", True, f"{where} takes and gives messages.")
        trouble = self._trouble or (self._connection.trouble if self._connection else "")
        said = trouble or f"{where} gives nothing back on {self._own}: see its access rules (ACL)"
        return Finding("broker", False, f"{said[0].upper()}{said[1:]}.".replace("..", "."))

    @property
    def is_away(self) -> bool:
        """Whether there is nobody to send or get a message through."""
        return self._connection is None or (self._connection.has_failed and not self._connection.up)

    def _comes_back(self) -> bool:
        end = time.monotonic() + PATIENCE
        while self._connection and not self._connection.has_failed and time.monotonic() < end:
            if self._back.wait(0.05):
                return True
        return False

    def _on_connected(self) -> None:
        assert self._client
        self._client.subscribe([(self._own, 1), *((topics.probe("+"), 1) for topics in self._topics)])
        self._client.publish(self._own, self._word, qos=1)

    def _on_message(self, _client: paho.Client, _data: object, message: paho.MQTTMessage) -> None:
        if message.topic == self._own:
            if message.payload == self._word:
                self._back.set()
        elif self.boards:
            now = self._clock.now()
            sent = Message(message.topic, bytes(message.payload), message.retain)
            self.boards.receive(sent, now, self._clock.to_unix(now))
