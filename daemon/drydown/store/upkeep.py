"""Keeps the store from filling its disk: thins what is old, and thins earlier while the disk runs low."""

import logging
import time

from drydown.store.room import Room
from drydown.store.schema import StoreError
from drydown.store.thin import DAY
from drydown.store.write import StoreWriter

AT_ONCE = 0.1  # s that one step of thinning may take: what comes meanwhile waits no longer than that
REST = 600.0  # s between two looks when nothing is old
LEAST_RAW_DAYS = 1.0  # that are kept whole even when the disk runs low

LOW = (
    "the store's disk runs low, so readings older than a day are thinned to one a minute; events are kept:"
    " free some space on it"
)

log = logging.getLogger(__name__)


class Upkeep:
    """One step of it after each commit."""

    def __init__(self, store: StoreWriter, raw_days: float) -> None:
        self._store, self._raw_days, self._least = store, raw_days, min(raw_days, LEAST_RAW_DAYS)
        self._next_look = {self._raw_days: 0.0, self._least: 0.0}
        self._deleted = 0
        self._was_low = False
        self.trouble = ""  # that a person should hear of; empty while there is none

    def step(self) -> None:
        """Thin for a moment if there is anything to thin. Raises StoreError."""
        room = self._store.room
        self._tell(room)
        if room.is_low:
            self._thin_early()
        else:
            self._thin(self._raw_days, AT_ONCE)

    def _thin_early(self) -> None:
        """An hour of one series, which needs least room for the log; where even that is too much, nothing."""
        try:
            if not self._thin(self._raw_days, 0.0):
                self._thin(self._least, 0.0)
            self._store.fold()  # a log that grows takes the room that was freed
        except StoreError as error:
            log.warning("nothing could be thinned: %s", error)
            self._next_look = dict.fromkeys(self._next_look, time.monotonic() + REST)

    def _thin(self, days: float, within: float) -> bool:
        """Thin what is older than so many days; returns whether any such thing is left."""
        now = time.monotonic()
        newest = self._store.newest if now >= self._next_look[days] else None
        if newest is None:
            return False
        # A clock that runs ahead must not make everything old: the readings' own age counts too.
        before = min(round(time.time() * 1000), newest) - round(days * DAY)
        thinned = self._store.thin(before, within)
        self._deleted += thinned.deleted
        if thinned.is_done:
            self._next_look[days] = now + REST
            if self._deleted:
                log.info("thinned to one a minute: %d readings older than %g days", self._deleted, days)
            self._deleted = 0
        return not thinned.is_done

    def _tell(self, room: Room) -> None:
        self.trouble = LOW if room.is_low else ""
        if room.is_low and not self._was_low:
            free, least = (f"{count / 1e6:.1f} MB" for count in (room.on_disk + room.within, room.least))
            log.warning("%s. %s are free, and %s should be.", LOW, free, least)
        self._was_low = room.is_low
