"""One tank, watched: probes into its core, and what the core decides out.

Everything runs on the tank's own thread; a reading or a command wakes it at once, and it looks around once a
second anyway. Whatever can block or fail (probes, broker, disk, network) is behind a queue.
"""

import logging
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial

from paho.mqtt.client import MQTTMessage

from drydown.alarms.lifecycle import Refusal
from drydown.clock import Clock
from drydown.commands import Acknowledge, Command, Part, Reset, Shelve, Unshelve
from drydown.config.model import BoardProbe, Site, Tank
from drydown.core import Core
from drydown.effects import AlarmChanged, Effect
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
LONGEST_WAIT = 10.0  # s before a core that failed is tried again
STEADY = 60.0  # s after which a failure counts as the first
REMEMBERED = 600.0  # s for which it is told that watching had failed
OWN_PARTS = frozenset({Part.BROKER, Part.STORE, Part.WATCH, Part.PROBES})  # whose health is a tank's own

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
        self._failed = float("-inf"), ""  # when watching last failed, and why
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
        begin, wait = self._begin, TICK
        self._voice.start()
        while not self._stopping:
            began = time.monotonic()
            try:
                begin()
                self._watch()
            except Exception as error:  # a mistake in the core: the other tanks go on, and so must this one
                log.exception("%s: watching failed and begins anew; please report this", self.name)
                is_first = time.monotonic() - began > STEADY
                wait = TICK if is_first else min(LONGEST_WAIT, 2 * wait)
                begin = partial(self._begin_anew, error, is_first)
                time.sleep(wait)
        self._voice.close()

    def _begin(self) -> None:
        self._voice.speak_for(self._core, self._relive(self._core))

    def _begin_anew(self, error: Exception, relive: bool) -> None:
        """With a fresh core that knows the alarms of the one before; the run too, if it is to be relived.

        What was recorded may be what it fails on.
        """
        failed, self._core = self._core, Core(self._tank)
        lived = self._relive(self._core) if relive else ()
        self._voice.speak_for(self._core, (one for one in lived if not isinstance(one, AlarmChanged)))
        self._core.go_on_from(failed)
        self._health = Health(told=self._core.scene.degraded.keys() & OWN_PARTS)
        reason = f"it failed and began anew: {type(error).__name__}: {error}"
        self._failed = time.monotonic(), reason

    def _relive(self, core: Core) -> Iterator[Effect]:
        now = self._clock.now()
        return rebuild(core, self._store_path, now, self._clock.from_unix, self._clock.to_unix(now))

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
                self._voice.listen_to(self._boards.welcome(self.name, self._clock.now()))
                orders += [(command, None) for command in self._health.look(now, self._troubles(now))]
            if readings or orders or ticked or self._core.due <= self._clock.now():
                self._step(readings, orders)
            if ticked:
                self._voice.say_readings()
            self._voice.pump()

    def _troubles(self, now: float) -> Mapping[Part, str]:
        at, reason = self._failed
        troubles = {**self._voice.troubles()}
        if now - at < REMEMBERED:
            troubles[Part.WATCH] = reason
        senders = self._boards.trouble(self.name, self._clock.now())
        if senders:
            troubles[Part.PROBES] = senders
        return troubles

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
        fault = self._core.faults.take()
        if fault:
            log.error("%s: a mistake in what is worked out; please report this", self.name, exc_info=fault)

    def _hear(self, message: MQTTMessage) -> None:
        """On the network's thread."""
        now = self._clock.now()
        sent = Message(message.topic, bytes(message.payload), message.retain)
        refused = self._boards.receive(sent, now, self._clock.to_unix(now))
        if refused:
            log.warning("%s", refused)
