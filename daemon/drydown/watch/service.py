"""The whole watcher of a site: its tanks, the socket for other programs, the notices, and how they are."""

import logging
import shutil
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from drydown.bus.local_server import LocalServer, Reply
from drydown.clock import Clock, boot_id, zone
from drydown.commands import Part
from drydown.config.model import Site
from drydown.effects import NoticeDue
from drydown.errors import UserError
from drydown.lines import Line
from drydown.notices.courier import Courier
from drydown.notices.outbox import Notice
from drydown.orders import command_of
from drydown.probes.find import Attachments
from drydown.single import hold
from drydown.texts.alarms import REFUSALS
from drydown.texts.notices import text
from drydown.watch.health import Health
from drydown.watch.tank import TankWatch

LOOK = 1.0  # s between two looks at what all tanks share
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
        self._boot_id = boot_id()
        self._health = Health()
        self._courier = Courier(site.folder / "outbox.sqlite3", site.notices.routes)
        self._tanks = {
            tank.name: TankWatch(site, tank, self._clock, self._attachments, self) for tank in site.tank
        }
        self._server = LocalServer(site.socket_path, self)
        self._closed = threading.Event()
        self._disk_told = False

    def run(self) -> None:
        """Watch until `stop`."""
        self._courier.start()
        self._server.start()
        for tank in self._tanks.values():
            tank.start()
        log.info("watching %s", ", ".join(self._tanks))
        self._look()
        while not self._closed.wait(LOOK):
            self._look()
        log.info("stopping")
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
        watched = self._tanks.get(tank)
        if watched is None:
            raise UserError(f"tank: allowed is {', '.join(self._tanks)}")
        command = command_of(order)
        refusal = watched.refusal(command)
        if refusal:
            raise UserError(REFUSALS[refusal])
        watched.tell(command, lambda lines: reply({"lines": lines}))

    # What the tanks say

    def line(self, tank: str, line: Line) -> None:
        """To everybody who follows."""
        if self._server.is_followed:
            self._server.tell(tank, line)

    def notice(self, tank: str, notice: NoticeDue, unix_time: float) -> None:
        """Into the outbox. The core's times are told apart from those of other starts of the board."""
        words = text(notice, tank, unix_time, zone())
        key = f"{tank}/{self._boot_id}/{notice.key}"
        self._courier.post(Notice(key, unix_time, notice.priority, words.title, words.body))

    def _look(self) -> None:
        step = self._clock.look()
        if step:
            log.warning("the wall clock stepped by %+.3f s; lengths of time are not touched by that", step)
        troubles = self._troubles()
        if troubles.get(Part.DISK) and not self._disk_told:
            log.warning("%s: make room, or nothing can be recorded", troubles[Part.DISK])
        self._disk_told = Part.DISK in troubles
        commands = list(self._health.look(time.monotonic(), troubles))
        for tank in self._tanks.values():
            for command in commands:
                tank.tell(command)

    def _troubles(self) -> Mapping[Part, str]:
        troubles = {}
        if self._courier.trouble:
            troubles[Part.NOTICES] = self._courier.trouble
        if not self._clock.is_set:
            troubles[Part.CLOCK] = "the clock was never set"
        disk = disk_trouble(self._site.folder)
        if disk:
            troubles[Part.DISK] = disk
        return troubles


def disk_trouble(folder: Path) -> str:
    """What is wrong with the disk that a folder is on; empty where nothing is."""
    try:
        free = shutil.disk_usage(folder).free
    except OSError as error:
        return f"{folder} can't be used: {error.strerror}"
    return "" if free >= LEAST_FREE else f"only {free / 1e6:.0f} MB of the disk are free"
