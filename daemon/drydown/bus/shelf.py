"""What waits long for a recorder, on the disk: it outlives the watcher, power cuts, and days without anybody.

A small SQLite file for each tank. A thread of its own writes, so that a slow disk holds up nothing. When more
waits than may, the oldest readings are thinned to one message in THINNED; once none is left to thin, they and
the estimates go, the oldest first; events never do. A file that is damaged is set aside.
"""

import logging
import queue
import sqlite3
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from drydown.bus.spool import Entry

READ_AT_ONCE = 200  # entries
THINNED = 60  # of so many messages of readings one stays: one a minute
ROUND = 6000  # messages thinned at once
WORTH_SHRINKING = 1_000_000  # bytes of an empty file
RETRY = 10.0  # s until what could not be written is tried again

TABLE = """
CREATE TABLE IF NOT EXISTS entry (
    number INTEGER PRIMARY KEY,
    topic TEXT NOT NULL,
    body BLOB NOT NULL,
    kind TEXT NOT NULL,
    thinned INTEGER NOT NULL DEFAULT 0
)
"""

Job = Callable[[sqlite3.Connection], None]

log = logging.getLogger(__name__)


def _let_be(_connection: sqlite3.Connection) -> None:
    """Nothing is there any more: no file has to be kept open."""


class DiskShelf:
    """One tank's (see `spool.Shelf`), used by one thread. `trouble` says what is wrong with the disk."""

    def __init__(self, path: Path, most: float) -> None:
        """`most`: bytes that it may hold. While the file can't be used it takes nothing, and tries again."""
        self._path, self._most = path, most
        self.trouble = ""
        self.is_torn = False
        self.oldest: int | None = None
        self.newest = self.safe = 0
        self._reader: sqlite3.Connection | None = None
        self._shifts = self._shifted = 0  # how often all numbers had to be moved, and were
        self._begin()
        self._highest = self.newest  # that was put here and not let go
        self._jobs: queue.SimpleQueue[Job | None] = queue.SimpleQueue()
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"write {path.name}", daemon=True)
        self._thread.start()

    def put(self, first: int, entries: Sequence[Entry | None]) -> None:
        """Take entries with the numbers from `first` on; tried until they are on the disk. Never blocks."""
        rows = [
            (first + place, entry.topic, entry.body, entry.kind)
            for place, entry in enumerate(entries)
            if entry is not None
        ]
        last = self._highest = first + len(entries) - 1

        def write(connection: sqlite3.Connection) -> None:
            connection.executemany(
                "INSERT OR REPLACE INTO entry (number, topic, body, kind) VALUES (?, ?, ?, ?)", rows
            )
            connection.commit()
            self.safe = last
            self._thin(connection)

        self._jobs.put(write)

    def window(self, start: int) -> list[tuple[int, Entry]] | None:
        """Some of the entries from this number on, in order; empty where none is, None if nobody can tell."""
        if self._shifts != self._shifted:
            return None
        try:
            found = self._read(
                "SELECT number, topic, body, kind FROM entry WHERE number >= ? ORDER BY number LIMIT ?",
                start,
                READ_AT_ONCE,
            )
        except sqlite3.OperationalError as error:
            self._tell(error)
            return None
        except sqlite3.DatabaseError as error:  # it is damaged, and is set aside at the next start
            self._tell(error)
            self.is_torn = True
            return []
        return [(number, Entry(topic, body, kind)) for number, topic, body, kind in found]

    def let_go(self, number: int) -> None:
        """Forget what is up to this number. Never blocks."""
        if not self._highest:
            return
        is_all = number >= self._highest

        def forget(connection: sqlite3.Connection) -> None:
            connection.execute("DELETE FROM entry WHERE number <= ?", (number,))
            connection.commit()
            if is_all and self._size(connection) > WORTH_SHRINKING:
                connection.execute("VACUUM")

        self._jobs.put(forget)
        if is_all:
            self._highest = 0
            self._jobs.put(_let_be)
            self._close_reader()

    def renumber(self, by: int) -> None:
        """All numbers are higher by so much. Never blocks."""
        if not self._highest:
            return

        def shift(connection: sqlite3.Connection) -> None:
            connection.execute("UPDATE entry SET number = -(number + ?)", (by,))
            connection.execute("UPDATE entry SET number = -number")
            connection.commit()
            self.safe += by
            self._shifted += 1

        self._highest += by
        self._shifts += 1
        self._jobs.put(shift)

    def close(self) -> None:
        """Write what is not written yet, and let the file go."""
        self._closing.set()
        self._jobs.put(None)
        self._thread.join(5)
        self._close_reader()

    def _close_reader(self) -> None:
        if self._reader:
            self._reader.close()
        self._reader = None

    def _begin(self) -> None:
        """Take up what an earlier watcher left."""
        if not self._path.exists():
            return
        try:
            ((oldest, newest),) = self._read("SELECT min(number), max(number) FROM entry")
            self._close_reader()
        except sqlite3.OperationalError as error:
            self._tell(error)
        except sqlite3.DatabaseError as error:
            self._set_aside(error)
        else:
            self.oldest, self.newest = oldest, newest or 0
            self.safe = self.newest

    def _read(self, query: str, *values: int) -> list[tuple[Any, ...]]:
        """What a query finds, asked twice: a disk that fails once makes a sound file look damaged."""
        for is_last in (False, True):
            try:
                self._reader = self._reader or self._connect()
                return self._reader.execute(query, values).fetchall()
            except sqlite3.Error:
                self._close_reader()
                if is_last:
                    raise
        raise AssertionError("it returned or raised")

    def _connect(self) -> sqlite3.Connection:
        connection = sqlite3.connect(self._path, timeout=5, check_same_thread=False)
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = FULL")
            connection.execute(TABLE)
        except sqlite3.Error:
            connection.close()  # the next one shall not share what this one took for true
            raise
        return connection

    def _set_aside(self, error: Exception) -> None:
        self.is_torn = True
        aside = self._path.with_suffix(f".damaged-{time.time():.0f}")
        try:
            self._path.rename(aside)
            for rest in ("-wal", "-shm"):
                self._path.with_name(self._path.name + rest).unlink(missing_ok=True)
        except OSError as refused:
            self._tell(refused)
            return
        log.error(
            "%s was damaged (%s): it is now %s, and what waited in it for a recorder is not recorded",
            self._path,
            error,
            aside.name,
        )

    # The writing thread

    def _run(self) -> None:
        connection: sqlite3.Connection | None = None
        while (job := self._jobs.get()) is not None:
            while True:
                try:
                    connection = connection or self._connect()
                    job(connection)
                    self.trouble = ""
                    if job is _let_be:
                        connection.close()
                        connection = None
                    break
                except sqlite3.Error as error:
                    self._tell(error)
                    if connection:
                        connection.close()
                    connection = None
                    if self._closing.wait(RETRY):
                        break
        if connection:
            connection.close()

    def _thin(self, connection: sqlite3.Connection) -> None:
        while self._size(connection) > self._most and self._thin_once(connection):
            connection.commit()

    def _thin_once(self, connection: sqlite3.Connection) -> bool:
        """Make room; whether there was anything to leave out."""
        whole = connection.execute(
            "SELECT number FROM entry WHERE topic LIKE '%/readings' AND NOT thinned ORDER BY number LIMIT ?",
            (ROUND,),
        ).fetchall()
        if len(whole) > THINNED:
            connection.executemany("UPDATE entry SET thinned = 1 WHERE number = ?", whole[::THINNED])
            gone = [number for place, number in enumerate(whole) if place % THINNED]
        else:
            gone = connection.execute(
                "SELECT number FROM entry WHERE kind = 'series' ORDER BY number LIMIT ?", (THINNED,)
            ).fetchall()
        connection.executemany("DELETE FROM entry WHERE number = ?", gone)
        if gone:
            log.warning("%s: more waits for a recorder than may; the oldest readings are thinned", self._path)
        return bool(gone)

    def _size(self, connection: sqlite3.Connection) -> int:
        (pages,), (free,), (size,) = (
            connection.execute(f"PRAGMA {name}").fetchone()
            for name in ("page_count", "freelist_count", "page_size")
        )
        return int((pages - free) * size)

    def _tell(self, error: Exception) -> None:
        trouble = (
            f"what waits for a recorder can't be kept in {self._path} ({error}), and is lost if drydown ends "
            "now: see that the disk has room and that drydown may write there"
        )
        if trouble != self.trouble:
            log.error("%s", trouble)
        self.trouble = trouble
