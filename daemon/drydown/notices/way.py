"""One route to people: what waits for it, the thread that sends, and the process that it sends through.

No route shares a thread or a process with another: one that hangs, or whose process has to be ended, delays
no other, and makes nobody doubt whether another's message arrived.
"""

import logging
import threading
import time
from collections import deque
from collections.abc import Callable
from datetime import datetime, tzinfo
from typing import Protocol

from drydown.clock import EARLIEST
from drydown.config.services import Route
from drydown.notices import routes
from drydown.notices.messenger import LONGEST, Messenger
from drydown.notices.routes import RouteError
from drydown.notices.turn import REPEAT, Message, Pending, expired, next_message, next_time
from drydown.texts import messages
from drydown.texts.notices import NoticeText

LOOK = 5.0  # s between two looks at least
SILENT = LONGEST + 60.0  # s without a look after which the thread hangs

log = logging.getLogger(__name__)


class Book(Protocol):
    """Where is written down how far a delivery has come. Never fails, never waits for long."""

    def begin(self, keys: list[str], route: str) -> None:
        """See `Outbox`."""

    def refused(self, keys: list[str], route: str) -> None:
        """See `Outbox`."""

    def sent(self, keys: list[str], route: str) -> None:
        """See `Outbox`."""

    def expired(self, keys: list[str], route: str) -> None:
        """See `Outbox`."""


class Way:
    """Start it, then have it `take` notices and `settle` them, from any thread."""

    def __init__(
        self,
        route: Route,
        book: Book,
        first_delay: float,
        unix_time: Callable[[], float],
        zone: Callable[[], tzinfo],
    ) -> None:
        self.route = route
        self.trouble = ""
        self._messenger, self._book, self._first_delay = Messenger(), book, first_delay
        self._unix_time, self._zone = unix_time, zone
        self._arrived: deque[Pending | tuple[str, str]] = deque()
        self._waiting: list[Pending] = []
        self._changed = threading.Event()
        self._stopping = False
        self._seen = time.monotonic()
        self._thread = threading.Thread(target=self._run, name=f"route {route.name}", daemon=True)

    def start(self) -> None:
        """Begin to send."""
        self._seen = time.monotonic()
        self._thread.start()

    def stop(self) -> None:
        """Begin nothing more."""
        self._stopping = True
        self._changed.set()

    def close(self) -> None:
        """Stop; what is being sent has a moment."""
        self.stop()
        self._thread.join(5)
        self._messenger.close()

    def take(self, pending: Pending) -> None:
        """Have this sent."""
        self._arrived.append(pending)
        self._changed.set()

    def settle(self, about: str, key: str = "") -> None:
        """Nothing is to be repeated of what was told about this, but the notice of this key."""
        self._arrived.append((about, key))
        self._changed.set()

    @property
    def is_well(self) -> bool:
        """Whether its thread goes round, whatever becomes of what it sends."""
        return self._thread.is_alive() and time.monotonic() - self._seen < SILENT

    def _run(self) -> None:
        while not self._stopping:
            try:
                self._look()
            except Exception:  # a mistake here must not silence the route for ever
                log.exception(
                    "route %s: sending failed and is tried again; please report this", self.route.name
                )
                self._changed.wait(LOOK)

    def _look(self) -> None:
        self._seen = now = time.monotonic()
        while self._arrived:
            self._note(self._arrived.popleft())
        old = expired(self._waiting, now)
        if old:
            log.warning("route %s: %d notices are too old to be sent", self.route.name, len(old))
            self._drop(old)
            self._book.expired([one.notice.key for one in old], self.route.name)
        message = next_message(self._waiting, now, self._is_quiet())
        if message:
            self._send(message)
            return
        held = next_time(self._waiting) - now
        self._changed.wait(min(LOOK, held) if held > 0 else LOOK)
        self._changed.clear()

    def _note(self, arrived: Pending | tuple[str, str]) -> None:
        if isinstance(arrived, Pending):
            self._waiting.append(arrived)
            return
        about, but = arrived
        settled = [one for one in self._waiting if one.notice.about == about and one.notice.key != but]
        for one in settled:
            one.settled = True
        self._drop([one for one in settled if one.times])

    def _is_quiet(self) -> bool:
        now = self._unix_time()
        local = datetime.fromtimestamp(now, self._zone())
        return now >= EARLIEST and routes.is_quiet(self.route, local)

    def _send(self, message: Message) -> None:
        name = self.route.name
        self._book.begin(message.keys, name)
        words = self._words(message)
        try:
            routes.send(self._messenger, self.route, words.title, words.body, message.priority)
        except RouteError as error:
            if str(error) != self.trouble:
                log.warning("%s Trying again.", error)
            self.trouble = str(error)
            self._failed(message, error.unsure)
            return
        self.trouble = ""
        self._book.sent(message.keys, name)
        self._taken(message)

    def _words(self, message: Message) -> NoticeText:
        if message.old:
            return messages.old(message.items, self._zone())
        (one,) = message.items
        return messages.news(one, one.is_late(time.monotonic()), self._zone())

    def _failed(self, message: Message, unsure: bool) -> None:
        for one in message.items:
            one.unsure |= unsure
            one.put_off(time.monotonic(), self._first_delay)
        waits = [one.notice.key for one in message.items if not one.unsure]
        if waits:
            self._book.refused(waits, self.route.name)

    def _taken(self, message: Message) -> None:
        now = time.monotonic()
        for one in self._waiting:
            if one not in message.items and not one.times:
                one.at = min(one.at, now)  # the way is open
        for one in message.items:
            one.times, one.attempts, one.unsure, one.at = one.times + 1, 0, False, now + REPEAT
        self._drop([one for one in message.items if not one.stands])

    def _drop(self, done: list[Pending]) -> None:
        self._waiting = [one for one in self._waiting if one not in done]
