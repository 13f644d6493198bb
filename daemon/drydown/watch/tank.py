"""One tank, watched: probes into its core, and what the core decides out.

Everything runs on the tank's own thread; a reading or a command wakes it at once, and it looks around once a
second anyway. Whatever can block or fail (probes, broker, disk, network) is behind a queue.
"""

import logging
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable

from paho.mqtt.client import MQTTMessage

from drydown.alarms.lifecycle import Refusal
from drydown.clock import Clock
from drydown.commands import Acknowledge, Command, Reset, Shelve, Unshelve
from drydown.config.model import BoardProbe, Site, Tank
from drydown.core import Core
from drydown.lines import Line
from drydown.probes.find import Attachments, find_probes
from drydown.probes.mqtt_in import Message
from drydown.probes.poll import Poller
from drydown.reading import Reading
from drydown.watch.health import Health
from drydown.watch.rebuild import rebuild
from drydown.watch.voice import Outlets, Voice

TICK = 1.0  # s between two looks when nothing happens
GATHER = 0.008  # s in which readings of the same moment come together into one step
BREATH = 0.002  # s that every round waits at least
LONGEST_WAIT = 60.0  # s before a core that failed is tried again

Reply = Callable[[list[Line]], None]
Order = tuple[Command, Reply | None]

log = logging.getLogger(__name__)


class TankWatch:
    """Watches one tank until it is closed."""

    def __init__(
        self, site: Site, tank: Tank, clock: Clock, attachments: Attachments, outlets: Outlets
    ) -> None:
        """Raises UserError for what can never work as configured."""
        self.name = tank.name
        self._tank, self._store_path, self._clock = tank, site.store_path, clock
        self._boards = attachments.boards
        self._core = Core(tank)
        self._health = Health()
        self._fresh = threading.Event()
        self._poller = Poller(find_probes(tank, attachments), clock.now, fresh=self._fresh)
        hears = any(isinstance(probe, BoardProbe) for probe in tank.probes.values())
        hear = self._hear if hears else None
        self._voice = Voice(site, self._core, clock, outlets, self._fresh.set, hear)
        self._orders: deque[Order] = deque()
        self._stopping = False
        self._thread = threading.Thread(target=self._run, name=f"tank {tank.name}", daemon=True)
        self.state = self._voice.state

    def start(self) -> None:
        """Begin to watch."""
        self._poller.start()
        self._thread.start()

    def close(self) -> None:
        """Stop, with everything said that there was to say."""
        self._stopping = True
        self._fresh.set()
        self._thread.join(5)
        self._poller.close()

    def tell(self, command: Command, reply: Reply | None = None) -> None:
        """Have the core obey; `reply` gets the lines that came of it. From any thread; never blocks."""
        self._orders.append((command, reply))
        self._fresh.set()

    def refusal(self, command: Command) -> Refusal | None:
        """Why a command would change nothing now; None where it would do something."""
        if isinstance(command, Acknowledge | Reset | Shelve | Unshelve):
            return self._core.panel.refusal(command)
        return None

    def _run(self) -> None:
        relive, wait = True, TICK
        self._voice.start()
        while not self._stopping:
            try:
                self._begin(relive)
                self._watch()
            except Exception:  # a mistake in the core: the other tanks go on, and so must this one
                log.exception("%s: watching failed and begins anew; please report this", self.name)
                relive = not relive  # what was recorded may be what it fails on
                time.sleep(wait)
                wait = min(LONGEST_WAIT, 2 * wait)
        self._voice.close()

    def _begin(self, relive: bool) -> None:
        self._core, self._health = Core(self._tank), Health()
        now = self._clock.now()
        unix_now = self._clock.to_unix(now)
        lived = rebuild(self._core, self._store_path, now, self._clock.from_unix, unix_now) if relive else ()
        self._voice.speak_for(self._core, lived)

    def _watch(self) -> None:
        tick = time.monotonic()
        while not self._stopping:
            until_due = self._core.due - self._clock.now()
            if self._fresh.wait(max(BREATH, min(tick - time.monotonic(), until_due))):
                time.sleep(GATHER)
            self._fresh.clear()
            readings, orders = self._poller.collect(), self._take_orders()
            now = time.monotonic()
            ticked = now >= tick
            if ticked:
                tick = now + TICK
                orders += [(command, None) for command in self._health.look(now, self._voice.troubles())]
            if readings or orders or ticked or self._core.due <= self._clock.now():
                self._step(readings, orders)
            if ticked:
                self._voice.say_readings()
            self._voice.pump()

    def _take_orders(self) -> list[Order]:
        return [self._orders.popleft() for _ in range(len(self._orders))]

    def _step(self, readings: Iterable[Reading], orders: Iterable[Order]) -> None:
        now = self._clock.now()
        self._voice.say(self._core.step(now, readings, ()))
        for command, reply in orders:
            lines = self._voice.say(self._core.step(now, (), [command]))
            self._voice.say_command(now, command)
            if reply:
                reply(lines)

    def _hear(self, message: MQTTMessage) -> None:
        """On the network's thread."""
        now = self._clock.now()
        sent = Message(message.topic, bytes(message.payload), message.retain)
        refused = self._boards.receive(sent, now, self._clock.to_unix(now))
        if refused:
            log.warning("%s", refused)
