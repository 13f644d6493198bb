"""Carries notices from the outbox to people, a thread for each route, again and again until they have it.

What is not delivered is tried again with growing delay, and some jitter so that many boards do not knock at
once; it expires when it would no longer help anybody. Those who post a notice never wait.
"""

import logging
import queue
import random
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from drydown.config.model import Route
from drydown.notices import routes
from drydown.notices.messenger import Messenger
from drydown.notices.outbox import KEPT, Notice, Outbox, OutboxError
from drydown.notices.routes import RouteError

FIRST_DELAY, LONGEST_DELAY = 5.0, 600.0  # s between two attempts
JITTER = 0.2  # share of the delay
EXPIRES = 12 * 3600.0  # s after which a notice is too old to be sent as news

log = logging.getLogger(__name__)


@dataclass(slots=True)
class _Try:
    notice: Notice
    since: float  # monotonic s: from when its age counts
    at: float  # monotonic s of the next attempt
    delay: float = FIRST_DELAY


class Courier:
    """Start it, then `post`. Threads: one that writes the outbox, and one for each route."""

    def __init__(
        self,
        path: Path,
        configured: tuple[Route, ...],
        unix_time: Callable[[], float] = time.time,
        first_delay: float = FIRST_DELAY,
    ) -> None:
        """Without a usable outbox on disk notices are sent all the same; `trouble` says so."""
        self._outbox: Outbox | None = None
        self._outbox_trouble = ""
        self._routes = configured
        self._unix_time = unix_time
        self._posted: queue.SimpleQueue[Notice | tuple[str, str, str] | None] = queue.SimpleQueue()
        self._messenger = Messenger()
        self._ways = {
            route.name: _Way(route, self._messenger, self._finish, first_delay) for route in configured
        }
        self._clerk = threading.Thread(target=self._keep_outbox, args=(path,), name="outbox", daemon=True)

    def start(self) -> None:
        """Begin, with what an earlier watcher left unsent."""
        self._clerk.start()
        for way in self._ways.values():
            way.start()

    def close(self) -> None:
        """Stop. What is being sent has a moment; what is not sent stays in the outbox."""
        for way in self._ways.values():
            way.close()
        self._messenger.close()
        self._posted.put(None)
        self._clerk.join(5)

    def post(self, notice: Notice) -> None:
        """Have a notice kept and sent. From any thread; never blocks."""
        self._posted.put(notice)

    @property
    def trouble(self) -> str:
        """What is wrong on the way to people, in a sentence; empty where all is well."""
        troubles = [way.trouble for way in self._ways.values() if way.trouble]
        return self._outbox_trouble or (troubles[0] if troubles else "")

    def _finish(self, notice: Notice, route: str, state: str) -> None:
        self._posted.put((notice.key, route, state))

    # The clerk's thread

    def _keep_outbox(self, path: Path) -> None:
        try:
            self._outbox = Outbox(path)
            for route, notice in self._outbox.waiting():
                if route in self._ways:
                    self._ways[route].take(notice, max(0.0, self._unix_time() - notice.time))
                else:
                    self._outbox.finish(notice.key, route, "expired")
            self._outbox.forget_before(self._unix_time() - KEPT)
        except OutboxError as error:
            self._tell(error)
        while (item := self._posted.get()) is not None:
            self._write(item)
        if self._outbox:
            self._outbox.close()

    def _write(self, item: Notice | tuple[str, str, str]) -> None:
        is_news = True
        try:
            if isinstance(item, Notice):
                takers = [route.name for route in self._routes if routes.takes(route, item.priority)]
                is_news = self._outbox is None or self._outbox.add(item, takers)
            elif self._outbox:
                self._outbox.finish(*item)
            self._outbox_trouble = "" if self._outbox else self._outbox_trouble
        except OutboxError as error:
            self._tell(error)
        if isinstance(item, Notice) and is_news:
            log.info("notice: %s", item.title)
            for name in takers:
                self._ways[name].take(item, 0.0)

    def _tell(self, error: OutboxError) -> None:
        if str(error) != self._outbox_trouble:
            log.error("%s Notices are sent, but after a restart they may be lost or come twice.", error)
        self._outbox_trouble = str(error)


class _Way:
    """One route: what waits for it, and the thread that sends."""

    def __init__(
        self,
        route: Route,
        messenger: Messenger,
        finish: Callable[[Notice, str, str], None],
        first_delay: float,
    ) -> None:
        self._route = route
        self._messenger = messenger
        self._finish = finish
        self._first_delay = first_delay
        self._arrived: deque[_Try] = deque()
        self._changed = threading.Event()
        self._stopping = False
        self.trouble = ""
        self._thread = threading.Thread(target=self._run, name=f"route {route.name}", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def close(self) -> None:
        self._stopping = True
        self._changed.set()
        self._thread.join(5)

    def take(self, notice: Notice, age: float) -> None:
        now = time.monotonic()
        self._arrived.append(_Try(notice, now - age, now, self._first_delay))
        self._changed.set()

    def _run(self) -> None:
        waiting: list[_Try] = []
        while not self._stopping:
            due = min((one.at for one in waiting), default=float("inf"))
            self._changed.wait(min(60.0, max(0.0, due - time.monotonic())))
            self._changed.clear()
            waiting += [self._arrived.popleft() for _ in range(len(self._arrived))]
            waiting = [one for one in waiting if not self._attempt(one)]

    def _attempt(self, one: _Try) -> bool:
        """Whether there is nothing left to do for this notice."""
        now = time.monotonic()
        if now < one.at or self._stopping:
            return False
        if now - one.since > EXPIRES:
            log.warning("notice %r was not delivered by route %s in time", one.notice.title, self._route.name)
            self._finish(one.notice, self._route.name, "expired")
            return True
        try:
            routes.send(self._messenger, self._route, one.notice)
        except RouteError as error:
            if str(error) != self.trouble:
                log.warning("%s Trying again.", error)
            self.trouble = str(error)
            one.at = time.monotonic() + one.delay * random.uniform(1 - JITTER, 1 + JITTER)
            one.delay = min(LONGEST_DELAY, 2 * one.delay)
            return False
        self.trouble = ""
        self._finish(one.notice, self._route.name, "sent")
        return True
