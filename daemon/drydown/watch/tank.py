"""One tank, watched: probes into its core, and what the core decides out.

Everything runs on the tank's own thread; a reading or a command wakes it at once, and it looks around once a
second anyway. Whatever can block or fail (probes, broker, disk, network) is behind a queue.
"""

import logging
import threading
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial

from paho.mqtt.client import MQTTMessage

from drydown.alarms.lifecycle import Refusal, State
from drydown.clock import Clock
from drydown.commands import (
    Command,
    Degraded,
    Forget,
    Part,
)
from drydown.config.model import BoardProbe, Site, Tank
from drydown.core import Core
from drydown.effects import AlarmChanged, Effect, NoticeDue, Priority, SupplyChanged
from drydown.lines import Line, prospect_line
from drydown.outlook.air import AirAhead
from drydown.outlook.lines import outlook_line
from drydown.probes.find import Attachments, find_probes
from drydown.probes.kinds import INTERVAL
from drydown.probes.mqtt_in import Message
from drydown.probes.poll import Poller
from drydown.reading import Reading
from drydown.run.blower_timer import Meter
from drydown.watch.alarm_file import AlarmFile, Page
from drydown.watch.health import Health
from drydown.watch.hours_file import HoursFile
from drydown.watch.outgrown import OURSELVES, what_is_outgrown
from drydown.watch.rebuild import rebuild
from drydown.watch.reliving import Reliving, can_be_obeyed, is_sure
from drydown.watch.voice import Outlets, Voice

TICK = 1.0  # s of the core's clock between two looks when nothing happens
GATHER = 0.008  # s in which readings of the same moment come together into one step
BREATH = 0.002  # s that every round waits at least
LONGEST_WAIT = 10.0  # s before a core that failed is tried again
STEADY = 60.0  # s after which a failure counts as the first
HANDED_OVER = 10.0  # s after which the outbox surely has a notice
TELLING = (State.UNACKNOWLEDGED, State.ACKNOWLEDGED)  # in which an alarm stands and is heard
HANGS = 20.0  # s without a round after which it counts as hanging
BLIND = 3.0  # s without a round after which the blower must not run, if a relay can stop it
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
        self._reliving: Reliving | None = None
        self._file = AlarmFile(site.folder / f"alarms-{tank.name}.json")
        self._hours = HoursFile(site.folder / f"hours-{tank.name}.json")
        self._told_lately: list[tuple[NoticeDue, float]] = []
        self._kept_by: float | None = None  # the wall clock's setting when alarms were last kept
        self._health = Health()
        self._fresh = threading.Event()
        probes, every = find_probes(tank, attachments), INTERVAL / clock.pace
        self._poller = Poller(probes, clock.now, interval=every, fresh=self._fresh)
        hears = any(isinstance(probe, BoardProbe) for probe in tank.probes.values())
        hear = self._hear if hears else None
        self._voice = Voice(site, self._core, clock, outlets, self._fresh.set, hear)
        self._orders: deque[Order] = deque()
        self._stopping = False
        self._round: float | None = None  # when it last went round
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
        self._file.close()
        self._hours.close()

    def tell(self, command: Command, reply: Reply | None = None) -> None:
        """Have the core obey; `reply` gets the lines that came of it. From any thread; never blocks."""
        self._orders.append((command, reply))
        self._fresh.set()

    def refusal(self, command: Command) -> Refusal | None:
        """Why a command would change nothing now; None where it would do something."""
        return self._core.refusal(command)

    def what_if(self, fuel_temperature: float) -> list[Line]:
        """What a start of the blower would bring, now and with the fuel at so many K. From any thread."""
        return [prospect_line(prospect) for prospect in self._core.what_if(fuel_temperature)]

    def outlook(self, air: AirAhead) -> Line | None:
        """What a start at each hour of the day ahead would bring. From any thread."""
        found = self._core.outlook(air)
        return None if found is None else outlook_line(found)

    @property
    def is_well(self) -> bool:
        """Whether it goes round, and its probes are asked, whatever they answer."""
        return self._thread.is_alive() and self._poller.is_well and self._goes_round_within(HANGS)

    @property
    def may_blow(self) -> bool:
        """Whether the blower may have its supply: never while nobody watches."""
        return self._core.supply.cut is None and self._goes_round_within(BLIND)

    @property
    def unseen(self) -> Mapping[str, Priority] | None:
        """The alarms that stand and that nobody has acknowledged; None while that is not known yet."""
        if self._round is None:
            return None
        alarms = self._core.panel.alarms.items()
        return {name: one.priority for name, one in alarms if one.state is State.UNACKNOWLEDGED}

    @property
    def told(self) -> frozenset[str]:
        """The alarms that stand, kept quiet by nobody, that somebody was told of. On its own thread alone."""
        told, alarms = self._core.kept().told, self._core.panel.alarms.items()
        return frozenset(name for name, one in alarms if name in told and one.state in TELLING)

    def _goes_round_within(self, seconds: float) -> bool:
        return self._round is not None and time.monotonic() - self._round < seconds

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
        """With the alarms as they stood, and live at once; the run is relived meanwhile."""
        page = self._file.read(self._clock.from_unix)
        if page:
            self._core.recall(page.memory)
            self._voice.say_as_then(page.notices)
        meter = self._hours.read(self._clock.from_unix)
        if meter:
            self._core.timer.recall(meter)
        self._begin_to_relive()

    def _begin_anew(self, error: Exception, relive: bool) -> None:
        """With a fresh core that knows the alarms of the one before; the run too, if it is to be relived.

        What was recorded may be what it fails on.
        """
        failed, self._core = self._core, Core(self._tank, self._core.lesson)
        self._core.go_on_from(failed)
        self._core.timer.recall(failed.timer.meter(self._clock.now()))
        self._voice.speak_for(self._core, ())
        self._reliving = None
        if relive:
            self._begin_to_relive()
        reason = f"it failed and began anew: {type(error).__name__}: {error}"
        self._failed = time.monotonic(), reason
        self._voice.say(self._core.step(self._clock.now(), (), [Degraded(Part.WATCH, reason)]))  # or never
        self._health = Health(told=self._core.scene.degraded.keys() & OWN_PARTS)

    def _begin_to_relive(self) -> None:
        self._core.scene.is_past_known = False
        fresh, now = Core(self._tank, self._core.lesson), self._clock.now()
        meter = self._core.timer.meter(now)
        self._reliving = Reliving(fresh, lambda core: self._relive(core, meter), now)

    def _end_reliving(self, reliving: Reliving) -> None:
        self._reliving, watching = None, self._core
        relived = reliving.take()
        if relived is None:
            watching.scene.is_past_known = True
            return
        self._core, shown, said = relived
        self._core.go_on_from(watching)
        self._voice.speak_for(self._core, shown)
        self._voice.say(list(said))
        self._voice.say_again(self._core.told_of_run)

    def _relive(self, core: Core, meter: Meter) -> Iterator[Effect]:
        """Through what was recorded, to what the meter stood at when that began."""
        now = self._clock.now()
        outgrown = what_is_outgrown(self._store_path, self._tank)
        if outgrown:
            log.warning("%s: %s", self.name, outgrown)
            self.tell(Forget(OURSELVES))
        yield from rebuild(core, self._store_path, now, self._clock.from_unix, self._clock.to_unix(now))
        core.timer.recall(meter)

    def _watch(self) -> None:
        tick = time.monotonic()
        while not self._stopping:
            if self._reliving and self._reliving.is_over:
                self._end_reliving(self._reliving)
            until_due = self._core.due - self._clock.now()
            if self._fresh.wait(max(BREATH, min(tick - time.monotonic(), until_due))):
                time.sleep(GATHER)
            self._fresh.clear()
            readings, orders = self._poller.collect(), self._take_orders()
            now = time.monotonic()
            ticked = now >= tick
            if ticked:
                tick = now + TICK / self._clock.pace
                self._voice.listen_to(self._boards.welcome(self.name, self._clock.now()))
                orders += [(command, None) for command in self._health.look(now, self._troubles(now))]
            if readings or orders or ticked or self._core.due <= self._clock.now():
                self._step(readings, orders)
            self._round = time.monotonic()
            if ticked:
                self._voice.say_readings()
                self._refresh_alarm_file()
                self._hours.look(self._core.timer.meter(self._clock.now()), self._clock.to_unix)
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
        """What can be obeyed now; what is about the run waits until that is known."""
        taken = [self._orders.popleft() for _ in range(len(self._orders))]
        now = [order for order in taken if not self._reliving or can_be_obeyed(order[0])]
        self._orders.extendleft(order for order in reversed(taken) if order not in now)
        return now

    def _step(self, readings: Sequence[Reading], orders: Iterable[Order]) -> None:
        now = self._clock.now()
        self._live(now, readings, ())
        for command, reply in orders:
            lines = self._live(now, (), (command,))
            self._voice.say_command(now, command)
            if reply:
                reply(lines)
        fault = self._core.faults.take()
        if fault:
            log.error("%s: a mistake in what is worked out; please report this", self.name, exc_info=fault)

    def _live(self, now: float, readings: Sequence[Reading], commands: Sequence[Command]) -> list[Line]:
        effects = self._core.step(now, readings, commands)
        if self._reliving:
            self._reliving.follow(now, readings, commands)
            effects = tuple(filter(is_sure, effects))
        lines = self._voice.say(effects)
        if any(isinstance(effect, AlarmChanged | SupplyChanged) for effect in effects):
            told = zip(effects, lines, strict=True)
            self._told_lately += [(one, line["time"]) for one, line in told if isinstance(one, NoticeDue)]
            self._keep_alarms()
        return lines

    def _keep_alarms(self) -> None:
        page = Page(self._core.kept(), tuple(self._told_lately))
        self._file.keep(page, self._clock.to_unix)
        self._kept_by = self._clock.to_unix(0.0)

    def _refresh_alarm_file(self) -> None:
        """Once the outbox has what was told, and when the wall clock has stepped: the file has its times."""
        now = self._clock.now()
        is_handed_over = self._told_lately and now - self._told_lately[-1][0].time > HANDED_OVER
        if is_handed_over:
            self._told_lately.clear()
        if is_handed_over or self._kept_by not in (None, self._clock.to_unix(0.0)):
            self._keep_alarms()

    def _hear(self, message: MQTTMessage) -> None:
        """On the network's thread."""
        now = self._clock.now()
        sent = Message(message.topic, bytes(message.payload), message.retain)
        refused = self._boards.receive(sent, now, self._clock.to_unix(now))
        if refused:
            log.warning("%s", refused)
