"""The whole watcher of a site: its tanks, the socket for other programs, the notices, and how they are."""

import logging
import os
import shutil
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from drydown.alarms.alarm import URGENCY
from drydown.bus.local_server import LocalServer, Reply
from drydown.clock import Clock
from drydown.commands import ClockPutRight, Part
from drydown.config.model import Site, Tank
from drydown.effects import NoticeDue, Priority
from drydown.errors import UserError
from drydown.forward.progress import forward_trouble
from drydown.lines import Line
from drydown.notices.courier import Courier
from drydown.orders import command_of
from drydown.outlook.lines import air_of
from drydown.probes.find import Attachments
from drydown.single import hold
from drydown.texts.alarms import REFUSALS
from drydown.texts.language import say
from drydown.watch import systemd
from drydown.watch.health import Health
from drydown.watch.heartbeat import Heartbeat
from drydown.watch.output import OutputPin
from drydown.watch.relay import Relay
from drydown.watch.tank import TankWatch
from drydown.watch.teller import Teller

LOOK = 1.0  # s between two looks at what all tanks share
LONG_UNKEPT = 1800.0  # s without anybody to keep the clock right before that is told
WORTH_TELLING = 0.5  # s that the clock was wrong by
LEAST_FREE = 50_000_000  # bytes of the disk

log = logging.getLogger(__name__)


class WatchService:
    """Watches every tank of a site, until it is closed."""

    def __init__(
        self, site: Site, clock: Clock | None = None, attachments: Attachments | None = None
    ) -> None:
        """Raises UserError, e.g. if the site is being watched already."""
        self._site = site
        self._clock = clock or Clock()
        self._attachments = attachments or Attachments(site.site)
        self._lock = hold(site.folder, "watch")
        self._health = Health()
        self._courier = Courier(site.folder / "outbox.sqlite3", site.notices.routes)
        self._teller = Teller(site, self._clock, self._courier, lambda name: self._tanks[name].told)
        self._heartbeat = Heartbeat(site.notices, self.can_warn)
        self._tanks = {
            tank.name: TankWatch(site, tank, self._clock, self._attachments, self) for tank in site.tank
        }
        self._reconciled: set[str] = set()  # tanks whose repeated notices are known to be about what stands
        self._relays = [relay for tank in site.tank if (relay := self._relay_of(tank))]
        self._buzzer = self._buzzer_pin()
        self._server = LocalServer(site.socket_path, self)
        self._closed = threading.Event()
        self._disk_told = False

    def run(self) -> None:
        """Watch until `stop`."""
        self._courier.start()
        self._server.start()
        for tank in self._tanks.values():
            tank.start()
        for relay in self._relays:
            relay.start()
        self._heartbeat.start()
        systemd.tell("READY=1")
        log.info("watching %s", ", ".join(self._tanks))
        self._look()
        while not self._closed.wait(LOOK):
            self._look()
        log.info("stopping")
        systemd.tell("STOPPING=1")
        self._heartbeat.close()
        for relay in self._relays:
            relay.close()
        if self._buzzer:
            self._buzzer.close()
        for tank in self._tanks.values():
            tank.close()
        self._server.close()
        self._courier.close()
        self._lock.close()

    def stop(self) -> None:
        """End `run` soon, in good order."""
        self._closed.set()

    # What the local server asks

    def state(self) -> dict[str, Any]:
        """The state of every tank, by name."""
        return {name: tank.state() for name, tank in self._tanks.items()}

    def command(self, tank: str, order: dict[str, Any], reply: Reply) -> None:
        """Have a tank obey. Raises UserError."""
        watched, command = self._watched(tank), command_of(order)
        refusal = watched.refusal(command)
        if refusal:
            raise UserError(say(REFUSALS[refusal]))
        watched.tell(command, lambda lines: reply({"lines": lines}))

    def what_if(self, tank: str, fuel_temperature: float) -> list[Line]:
        """What a start would bring with the fuel at so many K. Raises UserError."""
        return self._watched(tank).what_if(fuel_temperature)

    def outlook(self, tank: str, air: object) -> Line | None:
        """What a start at each hour of the day ahead would bring. Raises UserError."""
        return self._watched(tank).outlook(air_of(air))

    def _watched(self, tank: str) -> TankWatch:
        watched = self._tanks.get(tank)
        if watched is None:
            raise UserError(f"tank: allowed is {', '.join(self._tanks)}")
        return watched

    # What the tanks say

    def line(self, tank: str, line: Line) -> None:
        """To everybody who follows."""
        self._teller.line(tank, line)
        if self._server.is_followed:
            self._server.tell(tank, line)

    def notice(self, tank: str, notice: NoticeDue, unix_time: float) -> None:
        """Into the outbox."""
        self._teller.notice(tank, notice, unix_time)

    def is_well(self) -> bool:
        """Whether everything between a probe and a notice goes round."""
        return self._courier.is_well and all(tank.is_well for tank in self._tanks.values())

    def can_warn(self) -> bool:
        """Whether what goes wrong would reach somebody: a restart can't mend a service that takes nothing."""
        return self.is_well() and self._courier.can_reach_somebody

    def _look(self) -> None:
        if self.is_well():
            systemd.tell("WATCHDOG=1")
        for name, tank in self._tanks.items():
            if name not in self._reconciled and tank.unseen is not None:
                self._reconciled.add(name)
                self._courier.settle_all_but(name, tank.unseen.keys())
        if self._buzzer:
            self._buzzer.set(self._is_to_be_heard())
        step = self._clock.look()
        if step:
            log.warning("the wall clock stepped by %+.3f s; lengths of time are not touched by that", step)
        if abs(step) >= WORTH_TELLING:
            next(iter(self._tanks.values())).tell(ClockPutRight(step))
        troubles = self._troubles()
        if troubles.get(Part.DISK) and not self._disk_told:
            log.warning("%s: make room, or nothing can be recorded", troubles[Part.DISK])
        self._disk_told = Part.DISK in troubles
        commands = list(self._health.look(time.monotonic(), troubles))
        for tank in self._tanks.values():
            for command in commands:
                tank.tell(command)

    def _is_to_be_heard(self) -> bool:
        assert self._site.buzzer
        least = URGENCY[Priority(self._site.buzzer.least)]
        unseen = [priority for tank in self._tanks.values() for priority in (tank.unseen or {}).values()]
        return any(URGENCY[priority] >= least for priority in unseen)

    def _buzzer_pin(self) -> OutputPin | None:
        buzzer = self._site.buzzer
        if buzzer is None:
            return None
        return OutputPin("the buzzer", buzzer.gpio, buzzer.active == "high", self._attachments.pins)

    def _relay_of(self, tank: Tank) -> Relay | None:
        if tank.relay is None:
            return None
        pin = OutputPin(f"the relay of {tank.name}", tank.relay.gpio, True, self._attachments.pins)
        watch = self._tanks[tank.name]
        return Relay(tank.name, pin, lambda: watch.may_blow)

    def _troubles(self) -> Mapping[Part, str]:
        troubles = {}
        if self._courier.trouble:
            troubles[Part.NOTICES] = self._courier.trouble.removesuffix(".")
        if not self._clock.is_set:
            troubles[Part.CLOCK] = "the clock was never set"
        elif self._clock.unkept_for > LONG_UNKEPT:
            troubles[Part.CLOCK] = "nobody keeps the clock right: times may be wrong until it is set"
        pins = [relay.trouble for relay in self._relays] + [self._buzzer.trouble if self._buzzer else ""]
        if any(pins):
            troubles[Part.BOARD] = next(filter(None, pins))
        disk = disk_trouble(self._site.folder)
        if disk:
            troubles[Part.DISK] = disk
        unsent = forward_trouble(self._site.folder, self._site.forward)
        if unsent:
            troubles[Part.FORWARD] = unsent
        return troubles


def disk_trouble(folder: Path) -> str:
    """What is wrong with the disk that a folder is on; empty where nothing is."""
    try:
        free = shutil.disk_usage(folder).free
    except OSError as error:
        return f"{folder} can't be used: {error.strerror}"
    if not os.access(folder, os.W_OK):
        return f"{folder} can't be written: this user may not, or its disk is read-only"
    return "" if free >= LEAST_FREE else f"only {free / 1e6:.0f} MB of the disk are free"
