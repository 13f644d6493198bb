"""A watched tank whose processes are killed again and again, and a witness of what its probes gave meanwhile.

The witness follows the watcher's socket, which needs neither broker nor recorder. In the end the store has to
hold what it saw, row by row.
"""

import asyncio
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

from drydown.bus.local_client import WatcherError, follow
from drydown.bus.publisher import LAG
from drydown.bus.spool import SERIES
from support.broker import Mosquitto, until
from support.processes import Running
from support.receiver import Receiver, receiver
from support.watched_place import Place, place

AGAIN = 45.0  # s within which everybody is connected again and has caught up
UNSENT = 2.5  # s: readings gather for one, and may be on their way for another
CLOSE = 50  # ms: no probe is read twice in so short a time, so that two such rows are one reading
HOT, COOL = 66.0, 40.0  # °C of the fuel

Row = tuple[str, int]
"""name, Unix time in ms"""


@dataclass
class Witness:
    """What came down the socket: rows of readings and changes of alarms, as keys of the store."""

    path: Path
    rows: set[Row] = field(default_factory=set)
    alarms: set[tuple[str, str, int]] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._done = threading.Event()
        self._thread = threading.Thread(target=lambda: asyncio.run(self._watch()), daemon=True)
        self._thread.start()

    def close(self) -> None:
        self._done.set()
        self._thread.join(10)

    async def _watch(self) -> None:
        while not self._done.is_set():
            with suppress(WatcherError):
                async for said in follow(self.path):
                    self._take(said["line"])
                    if self._done.is_set():
                        break
            await asyncio.sleep(0.05)

    def _take(self, line: dict[str, object]) -> None:
        at = round(float(str(line["time"])) * 1000)
        if line["kind"] == "reading" and line["value"] is not None:
            self.rows.add((str(line["name"]), at))
        elif line["kind"] == "alarm":
            self.alarms.add((str(line["alarm"]), str(line["change"]), at))


class Ordeal:
    """The processes of a site, which can be killed and started again."""

    def __init__(self, folder: Path, broker: Mosquitto, phone: Receiver) -> None:
        route = f'\n[[notices.routes]]\nname = "phone"\naddress = "{phone.address}"\n'
        self._processes = ExitStack()
        self.place: Place = self._processes.enter_context(place(folder, broker.port, route))
        self.broker, self.phone = broker, phone
        self._running: dict[str, Running] = {}
        self.kills = 0
        self.log: list[tuple[float, str]] = []  # Unix s, and what was done
        self._disturbed = 0.0  # monotonic s of the last kill or start
        self._excused: list[tuple[int, int]] = []  # ms, what may be lost: (from, to)
        for name in ("record", "watch"):
            self.start(name)
        self.witness = Witness(self.place.site.socket_path)
        self.place.wait_for_readings()

    def start(self, name: str) -> None:
        """Start it; to be there takes it a moment."""
        self._disturbed = time.monotonic()
        self.log.append((time.time(), f"{name} started"))
        if name == "mosquitto":
            self.broker.start()
            return
        self._running[name] = self._processes.enter_context(self.place.command(name))

    def kill(self, name: str) -> None:
        """As a power cut would, but for the others."""
        was_behind, self._disturbed = self._is_behind(), time.monotonic()
        self.kills += 1
        begun = time.time()
        if name == "mosquitto":
            self.broker.stop()
        else:
            self._running[name].kill()
        self.log.append((begun, f"{name} killed"))
        if name == "watch":
            lag = LAG[SERIES] + UNSENT if was_behind else UNSENT
            self._excused.append((round((begun - lag) * 1000), round(time.time() * 1000)))

    def _is_behind(self) -> bool:
        """Whether the recorder may lag: somebody on the way to it is away, or may not be connected again."""
        return time.monotonic() - self._disturbed < AGAIN

    def close(self) -> None:
        self.witness.close()
        self._processes.close()

    def lost(self, end: float) -> set[Row]:
        """What the witness saw up to a Unix time (s) and the store has not, but for what a kill may cost."""
        missing = {row for row in self.witness.rows - self._stored() if row[1] <= end * 1000}
        return {row for row in missing if not any(after <= row[1] <= to for after, to in self._excused)}

    def nearest(self, row: Row) -> int:
        """How many ms from this row the nearest of its series in the store is."""
        return min((at - row[1] for name, at in self._stored() if name == row[0]), key=abs, default=10**9)

    def doubled(self) -> list[tuple[Row, Row]]:
        """Rows of the store that are one reading twice; that there was none may be told twice."""
        rows = sorted(self._stored("WHERE coalesce(text, value) IS NOT NULL"))
        return [
            (one, other) for one, other in pairwise(rows) if one[0] == other[0] and other[1] - one[1] < CLOSE
        ]

    def alarms_missed(self) -> set[tuple[str, str, int]]:
        """What the witness saw of alarms and the record has not."""
        with closing(sqlite3.connect(self.place.site.store_path)) as store:
            stored = {
                (alarm, change, at)
                for alarm, change, at in store.execute(
                    "SELECT json_extract(body, '$.alarm'), json_extract(body, '$.change'), time FROM event"
                    " WHERE kind = 'alarm'"
                )
            }
        return self.witness.alarms - stored

    def _stored(self, which: str = "") -> set[Row]:
        with closing(sqlite3.connect(self.place.site.store_path)) as store:
            return set(
                store.execute(
                    f"SELECT series.name, time FROM reading JOIN series ON series.id = reading.series {which}"
                )
            )

    def settle(self) -> None:
        """Wait until the store has all that was seen so far."""
        now, alarms = time.time(), set(self.witness.alarms)
        try:
            until(lambda: not self.lost(now) and not alarms & self.alarms_missed(), 90)
        except AssertionError:
            lost, missed = sorted(self.lost(now)), alarms & self.alarms_missed()
            raise AssertionError(f"lost: {len(lost)}, as {lost[:9]}; of alarms {missed}") from None


@contextmanager
def ordeal(folder: Path, broker: Mosquitto) -> Iterator[Ordeal]:
    """Everything runs, and is stopped in the end."""
    with receiver() as phone:
        made = Ordeal(folder, broker, phone)
        try:
            yield made
        finally:
            made.close()
