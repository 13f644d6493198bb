"""A connection to the MQTT broker: made from the configuration, tried again when lost, its state told."""

import logging
import os
import ssl
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Any

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from drydown.config.services import Broker
from drydown.errors import UserError

KEEPALIVE = 20  # s: the broker tells of our death after 1.5 times this (MQTT 3.1.1 section 3.1.2.10)
SHORT = 10.0  # s: a connection that is cut sooner may be taken away by somebody of the same name
CONTESTED_AFTER, CONTESTED_FOR = 2, 60.0  # such cuts, and s for which they are remembered
FIRST_DELAY, LONGEST_DELAY = 1, 30  # s between two attempts to connect

log = logging.getLogger(__name__)


class BrokerError(UserError):
    """The broker can't be used as it is configured; the text says why and what to do."""


def make_client(broker: Broker, client_id: str) -> paho.Client:
    """A client that is set up but not connected. Raises BrokerError if one of its files can't be read."""
    client = paho.Client(CallbackAPIVersion.VERSION2, client_id, clean_session=True, protocol=paho.MQTTv311)
    client.reconnect_delay_set(FIRST_DELAY, LONGEST_DELAY)
    client.max_inflight_messages_set(0)  # how much is on its way is decided by those who send
    client.connect_timeout = 5.0
    name, file = os.environ.get("DRYDOWN_BROKER_USER"), os.environ.get("DRYDOWN_BROKER_PASSWORD_FILE")
    if name and file:  # this service's unit gives it one
        broker = with_account(broker, name, Path(file))
    if broker.username:
        client.username_pw_set(broker.username, _password(broker))
    if broker.ca_file:
        try:
            client.tls_set(ca_certs=str(broker.ca_file))
        except (OSError, ssl.SSLError) as error:
            raise BrokerError(
                f"[broker] ca_file {broker.ca_file} can't be used ({error});"
                " it holds the certificate of the authority that signed the broker's."
            ) from error
    return client


def with_account(broker: Broker, username: str, password_file: Path) -> Broker:
    """The broker with an account, where the configuration names none."""
    if broker.username:
        return broker
    return broker.model_copy(update={"username": username, "password_file": password_file})


def place(broker: Broker) -> str:
    """The broker in words."""
    return f"the broker at {broker.host}:{broker.port}"


class Connection:
    """Whether a client is connected, and if not why not. Logs each change once."""

    def __init__(
        self,
        broker: Broker,
        client: paho.Client,
        connected: Callable[[], None] = lambda: None,
        lost: Callable[[], None] = lambda: None,
    ) -> None:
        self._place = place(broker)
        self._connected = connected
        self._lost = lost
        self.up = self.has_been_up = self.has_failed = False
        self._trouble = f"{self._place} has not answered yet"
        self._logged = ""
        self._up_since = float("-inf")
        self._cuts: deque[float] = deque(maxlen=CONTESTED_AFTER)  # when it was cut just after it was made
        client.on_connect = self._on_connect
        client.on_connect_fail = self._on_connect_fail
        client.on_disconnect = self._on_disconnect

    @property
    def trouble(self) -> str:
        """What is wrong, in words that can stand in a sentence; empty where nothing is."""
        if len(self._cuts) < CONTESTED_AFTER or time.monotonic() - self._cuts[0] > CONTESTED_FOR:
            return self._trouble
        return (
            f"{self._place} lets the connection go again and again: most likely a second drydown of the same"
            " site, with another folder, takes it away; stop one of them, or give the sites different names"
        )

    def unreachable(self) -> None:
        """An attempt to connect came to nothing."""
        self._cuts.clear()
        self._down(f"{self._place} can't be reached: check that it runs, and host and port in [broker]")

    def _on_connect(self, _client: paho.Client, _data: Any, _flags: Any, reason: Any, _more: Any) -> None:
        if reason.is_failure:
            self._down(f"{self._place} refuses the connection ({str(reason).lower()}): check [broker]")
            return
        self.up = self.has_been_up = True
        self._trouble, self._up_since = "", time.monotonic()
        if not self.trouble:
            self._logged = ""
            log.info("connected to %s", self._place)
        self._connected()

    def _on_connect_fail(self, _client: paho.Client, _data: Any) -> None:
        self.unreachable()

    def _on_disconnect(self, _client: paho.Client, _data: Any, _flags: Any, reason: Any, _more: Any) -> None:
        if not reason.is_failure:
            self.up = False  # we asked for it
        elif self.up:
            if time.monotonic() - self._up_since < SHORT:
                self._cuts.append(time.monotonic())
            self._down(f"the connection to {self._place} was lost ({str(reason).lower()})")

    def _down(self, trouble: str) -> None:
        was_up, self.up, self.has_failed = self.up, False, True
        self._trouble = trouble
        if self.trouble != self._logged:
            self._logged = self.trouble
            log.warning("%s; trying again", self._logged)
        if was_up:
            self._lost()


def _password(broker: Broker) -> str | None:
    if broker.password_file is None:
        return None
    try:
        return broker.password_file.read_text().strip()
    except (OSError, UnicodeDecodeError) as error:
        raise BrokerError(
            f"[broker] password_file {broker.password_file} can't be read ({error});"
            " it holds the password alone, readable by this user."
        ) from error
