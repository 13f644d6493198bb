"""Carries notices from the outbox to people, a thread for each route, again and again until they have it.

Those who post a notice never wait. `turn` says what goes out when; `way` sends it.
"""

import logging
import queue
import threading
import time
from collections.abc import Callable, Collection
from datetime import tzinfo
from functools import partial
from pathlib import Path
from typing import TypeVar

from drydown.clock import Moment, moment, zone
from drydown.config.services import Route
from drydown.notices import routes
from drydown.notices.age import age as age_of
from drydown.notices.outbox import KEPT, Delivery, Notice, Outbox, OutboxError
from drydown.notices.turn import FIRST_DELAY, Pending, repeat_after
from drydown.notices.way import Way

LOOK = 2.0  # s between two signs of life of the clerk
YIELD = 0.1  # s in which alarms of other tanks go out first, when many come at once
TIDY = 86_400.0  # s between two looks for what the outbox may forget
SILENT = 60.0  # s without one after which it hangs

T = TypeVar("T")
Job = Callable[[], None]

log = logging.getLogger(__name__)


class Courier:
    """Start it, then `post`. Threads: one that writes the outbox, and one for each route."""

    def __init__(
        self,
        path: Path,
        configured: tuple[Route, ...],
        present: Callable[[], Moment] = moment,
        first_delay: float = FIRST_DELAY,
        local: Callable[[], tzinfo] = zone,
    ) -> None:
        """Without a usable outbox on disk notices are sent all the same; `trouble` says so."""
        self._path = path
        self._outbox: Outbox | None = None
        self._outbox_trouble = ""
        self._present = present
        self._jobs: queue.SimpleQueue[Job | None] = queue.SimpleQueue()
        self._ways = {
            route.name: Way(route, self, first_delay, self._unix_time, local) for route in configured
        }
        self._seen = time.monotonic()
        self._clerk = threading.Thread(target=self._keep_outbox, name="outbox", daemon=True)

    def start(self) -> None:
        """Begin, with what an earlier watcher left unsent."""
        self._seen = time.monotonic()
        self._clerk.start()
        for way in self._ways.values():
            way.start()

    def close(self) -> None:
        """Stop. What is being sent has a moment; what is not sent stays in the outbox."""
        for way in self._ways.values():
            way.stop()
        for way in self._ways.values():
            way.close()
        self._jobs.put(None)
        self._clerk.join(5)

    def post(self, notice: Notice, age: float = 0.0, within: float = 0.0) -> None:
        """Have a notice kept and sent that is `age` s old. From any thread; never blocks.

        Its key is SUBJECT/TIME. With `within` it is no news where one of the same subject is known whose time
        is no further off than that, in s.
        """
        self._jobs.put(partial(self._take, notice, age, within))

    def settle(self, about: str) -> None:
        """Stop repeating what was told about this. From any thread; never blocks."""
        self._jobs.put(partial(self._settle, about))

    def settle_all_but(self, tank: str, standing: Collection[str]) -> None:
        """After a restart: stop repeating what was told of a tank, but of these alarms."""
        self._jobs.put(partial(self._settle_all_but, tank, standing))

    @property
    def trouble(self) -> str:
        """What is wrong on the way to people, in a sentence; empty where all is well."""
        troubles = [way.trouble for way in self._ways.values() if way.trouble]
        return self._outbox_trouble or (troubles[0] if troubles else "")

    @property
    def is_well(self) -> bool:
        """Whether all its threads go round, whatever becomes of what they send."""
        clerk_is_well = self._clerk.is_alive() and time.monotonic() - self._seen < SILENT
        return clerk_is_well and all(way.is_well for way in self._ways.values())

    @property
    def can_reach_somebody(self) -> bool:
        """Whether there is no route, or one that took what it was last given."""
        return not self._ways or not all(way.trouble for way in self._ways.values())

    # What the ways write down (way.Book), each on its own thread

    def begin(self, keys: list[str], route: str) -> None:
        self._write(lambda outbox: outbox.begin(keys, route))

    def refused(self, keys: list[str], route: str) -> None:
        self._write(lambda outbox: outbox.refused(keys, route))

    def sent(self, keys: list[str], route: str) -> None:
        self._write(lambda outbox: outbox.sent(keys, route))

    def expired(self, keys: list[str], route: str) -> None:
        self._write(lambda outbox: outbox.expired(keys, route))

    # The clerk's thread

    def _keep_outbox(self) -> None:
        self._open()
        tidied = time.monotonic()
        while True:
            self._seen = time.monotonic()
            if self._seen - tidied > TIDY:
                tidied = self._seen
                self._write(lambda outbox: outbox.forget_before(self._unix_time() - KEPT))
            if not self._work():
                break
        if self._outbox:
            self._outbox.close()

    def _work(self) -> bool:
        """Do what there is to do, or find nothing for LOOK s; whether more may come."""
        try:
            job = self._jobs.get(timeout=LOOK)
            time.sleep(YIELD)
            while job:
                job()
                job = self._jobs.get_nowait()
        except queue.Empty:
            return True
        return False

    def _open(self) -> None:
        """The outbox, tried twice: trouble that passes shall not keep back what an earlier watcher left."""
        for _ in range(2):
            try:
                outbox = Outbox(self._path)
                left = outbox.open()
            except OutboxError as error:
                self._tell(error)
            else:
                self._outbox, self._outbox_trouble = outbox, ""
                self._take_up(left)
                return

    def _take_up(self, deliveries: list[Delivery]) -> None:
        """What an earlier watcher left."""
        now, present = time.monotonic(), self._present()
        for left in deliveries:
            way = self._ways.get(left.route)
            if way is None:
                self.expired([left.notice.key], left.route)
                continue
            since = now - age_of(left.happened, present)
            at = repeat_after(since, left.times, now)
            way.take(Pending(left.notice, since, at, 0, left.times, left.unsure, left.settled))
        self._write(lambda outbox: outbox.forget_before(present.unix - KEPT))

    def _take(self, notice: Notice, age: float, within: float) -> None:
        takers = [way for way in self._ways.values() if routes.takes(way.route, notice.priority)]
        subject, _, at = notice.key.rpartition("/")
        if within and self._ask(lambda outbox: outbox.knows(subject, float(at), within)):
            return
        happened, names = self._present().before(age), [way.route.name for way in takers]
        if self._ask(lambda outbox: outbox.add(notice, names, happened)) is False:
            return
        log.info("notice: %s", notice.title)
        now = time.monotonic()
        for way in self._ways.values():
            if notice.about:
                way.settle(notice.about, notice.key)
            if way in takers:
                way.take(Pending(notice, now - age, now))

    def _unix_time(self) -> float:
        return self._present().unix

    def _settle(self, about: str) -> None:
        self._write(lambda outbox: outbox.settle(about))
        for way in self._ways.values():
            way.settle(about)

    def _settle_all_but(self, tank: str, standing: Collection[str]) -> None:
        keep = {f"{tank}/{alarm}" for alarm in standing}
        for about in self._ask(lambda outbox: outbox.unsettled()) or []:
            if about.startswith(f"{tank}/") and about not in keep:
                self._settle(about)

    def _write(self, what: Callable[[Outbox], None]) -> None:
        self._ask(what)

    def _ask(self, what: Callable[[Outbox], T]) -> T | None:
        """What the outbox says; None where it can't be used."""
        if self._outbox is None:
            return None
        try:
            answer = what(self._outbox)
        except OutboxError as error:
            self._tell(error)
            return None
        self._outbox_trouble = ""
        return answer

    def _tell(self, error: OutboxError) -> None:
        if str(error) != self._outbox_trouble:
            log.error("%s Notices are sent, but after a restart they may be lost or come twice.", error)
        self._outbox_trouble = str(error)
