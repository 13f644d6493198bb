"""`drydown record`: takes what the watcher says off the broker, commits it, then says how far it has come.

Every message carries the numbers it covers. The cursor of a tank moves over a message when everything before
it is committed too. Where something is missing the message is kept all the same, and the cursor is said
again, which asks the watcher for what follows it. What the watcher keeps no longer the record lacks for good:
that is recorded as well, and told (`store/lack.py`).
"""

import argparse
import json
import logging
import time
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import paho.mqtt.client as paho

from drydown.bus import intake
from drydown.bus.broker import KEEPALIVE, Connection, make_client
from drydown.bus.topics import ROOT, TankTopics, tank_of
from drydown.config.model import Site
from drydown.forward.progress import read_progress
from drydown.single import hold, hold_store
from drydown.store.care import DAMAGED, Health, advice, damaged_stores, look, set_aside
from drydown.store.lack import TOLD_FOR, Lack, lacks, last_before
from drydown.store.lines import OF_THE_STORE
from drydown.store.read import StoreReader
from drydown.store.schema import COMMIT_AFTER, StoreError, explained
from drydown.store.upkeep import Upkeep
from drydown.store.write import StoreWriter
from drydown.unit import run_unit

COMMIT_ROWS, COMMIT_BATCHES = 10_000, 200  # so many are committed without waiting for the time
ASK_AFTER = 2.0  # s without progress before a gap is asked for
ASK_LONGEST = 60.0
RETRY_FIRST, RETRY_LONGEST = 1.0, 60.0  # s between two attempts to use what failed
LOOK = 0.5  # s between two looks at the clock
UNTOLD = "-"  # no trouble reads like this, so that the next one or none is news
ABOUT = ("readings", "estimates", "run", "alarms/+")  # the topics of a tank that are recorded

log = logging.getLogger(__name__)


class _Taken(NamedTuple):
    """Which batches a message covers, and from when to when (Unix s) it tells something, if it does."""

    first: int
    last: int
    gone: int  # what is up to this number can't be had any more
    start: float | None
    end: float | None


class Recorder:
    """Takes messages in and commits them. Knows nothing of the network or the clock."""

    def __init__(self, path: Path, raw_days: float, sender: Path | None = None) -> None:
        """`sender` is the folder of the one who sends the record on, if anybody does. Raises StoreError."""
        self._path = path
        self._store = StoreWriter(path)
        self._sender = sender
        if sender:
            self._store.list_arrivals()
        else:
            self._store.list_no_arrivals()
        self._upkeep = Upkeep(self._store, raw_days)
        self.committed = self._store.cursors()
        self._reached = dict(self.committed)
        self._beyond_gap: dict[str, int] = {}
        self._last_at: dict[str, float] = {}  # Unix s, of what came in its turn
        self._lack = self._found_before()
        self._urgent = False
        self._misfits: set[str] = set()

    @property
    def waiting(self) -> int:
        """How many rows and events were taken in and not committed."""
        return self._store.waiting

    @property
    def is_due(self) -> bool:
        """Whether to commit without waiting any longer."""
        if self._urgent or self._store.waiting >= COMMIT_ROWS:
            return True
        return any(at - self.committed.get(tank, at) >= COMMIT_BATCHES for tank, at in self._reached.items())

    @property
    def steps(self) -> int:
        """Rises whenever a batch came in its turn."""
        return sum(self._reached.values())

    @property
    def gaps(self) -> frozenset[str]:
        """The tanks of which something is missing before what came last."""
        return frozenset(tank for tank, last in self._beyond_gap.items() if self._reached.get(tank, 0) < last)

    def take(self, topic: str, payload: bytes, is_live: bool) -> None:
        """Take in one message, whatever it is. Raises StoreError; what can't be read is told of and left.

        What is not live was retained by the broker, for long maybe: its numbers say nothing.
        """
        found = tank_of(topic)
        if found is None:
            return
        topics, about = found
        try:
            if about in ("readings", "estimates"):
                taken = self._take_pack(topics, payload)
            elif payload and (about == "run" or about.startswith("alarms/")):
                taken = self._take_event(topics, payload)
            else:
                return
        except intake.UnreadableError as error:
            log.warning("%s: a message was left out: %s", topic, error)
            return
        if is_live:
            self._move(topics.tank, taken)

    def _move(self, tank: str, taken: _Taken) -> None:
        """Come as far as a message brings a tank."""
        reached = self._reached.get(tank, 0)
        if taken.first > reached + 1:
            self._beyond_gap[tank] = taken.last
            return
        if 0 < reached < taken.gone:
            self._note_lack(tank, reached + 1, taken)
        self._reached[tank] = max(reached, taken.last)
        if taken.end is not None:
            self._last_at[tank] = taken.end

    def _note_lack(self, tank: str, first: int, taken: _Taken) -> None:
        now, found = round(time.time(), 3), taken.start
        end = now if found is None else found
        with explained(self._path), StoreReader(self._path) as reader:
            start = self._last_at.get(tank, last_before(reader, tank, end))
        self._lack = Lack(tank, first, taken.gone, start, end, now)
        self._store.add_event(tank, self._lack.event())
        self._urgent = True
        log.warning("%s", self._lack.advice(self._path))

    def _found_before(self) -> Lack | None:
        since = time.time() - TOLD_FOR
        with explained(self._path), StoreReader(self._path) as reader:
            found = (one for tank in self.committed for one in lacks(reader, tank, since))
            return max(found, key=lambda one: one.found, default=None)

    def commit(self) -> dict[str, int]:
        """Commit what was taken in; returns the cursors that moved. Raises StoreError."""
        self._store.commit(self._reached)
        self._urgent = False
        moved = {tank: at for tank, at in self._reached.items() if self.committed.get(tank) != at}
        self.committed = dict(self._reached)
        return moved

    def note(self, tanks: Iterable[str], message: str) -> None:
        """Take in what befell the store itself, as an event of each tank. Raises StoreError."""
        now = round(time.time(), 3)
        for tank in tanks:
            body = json.dumps({"kind": OF_THE_STORE, "time": now, "message": message})
            at = round(now * 1000)
            self._store.add_event(tank, intake.Happening(0, 0, OF_THE_STORE, at, f"{tank}/store/{at}", body))
        self._urgent = True

    def keep_up(self) -> str:
        """Spend a moment on the store's upkeep; returns what a person should hear of. Raises StoreError."""
        self._upkeep.step()
        self._heed_sender()
        return self._upkeep.trouble or self._lacking()

    def _lacking(self) -> str:
        is_new = self._lack is not None and 0 <= time.time() - self._lack.found < TOLD_FOR
        return self._lack.advice(self._path) if self._lack and is_new else ""

    def _heed_sender(self) -> None:
        progress = read_progress(self._sender) if self._sender else None
        if progress and progress.place:
            self._store.forget_arrivals(progress.place.row)

    def close(self) -> None:
        """Let the store go; what is not committed will be asked for again."""
        self._store.close()

    def _take_pack(self, topics: TankTopics, payload: bytes) -> _Taken:
        pack = intake.pack(payload, topics.base_name)
        refused: list[str] = []
        for part in pack.parts:
            refused += self._store.add_rows(topics.tank, part.rows, part.mark)
            self._store.add_judgements(topics.tank, part.judgements, part.mark)
        for misfit in refused + pack.refused:
            self._leave_out(topics, misfit)
        full = [part.rows for part in pack.parts if part.rows]
        start, end = (full[0][0][3] / 1000, full[-1][-1][3] / 1000) if full else (None, None)
        return _Taken(pack.first, pack.last, pack.gone, start, end)

    def _take_event(self, topics: TankTopics, payload: bytes) -> _Taken:
        event = intake.happening(payload, topics.tank)
        if event.misfit:
            self._leave_out(topics, event.misfit)
        else:
            self._store.add_event(topics.tank, event)
            self._urgent = True
        return _Taken(event.first, event.last, event.gone, event.time / 1000, event.time / 1000)

    def _leave_out(self, topics: TankTopics, misfit: str) -> None:
        if misfit not in self._misfits and len(self._misfits) < 100:
            self._misfits.add(misfit)
            log.warning("%s: a record was left out: %s", topics.base, misfit)


class RecordService:
    """The recorder and its broker, both of which may fail and come back."""

    def __init__(self, site: Site, commit_after: float = COMMIT_AFTER - 2 * LOOK) -> None:
        """Raises UserError: at the start a person is there to read it."""
        self._site = site
        self._lock = hold(site.folder, "record")
        self._store_lock = hold_store(site.store_path)
        self._commit_after = commit_after
        self._trouble, self._told = "", ""
        self._recorder: Recorder | None = self._open()
        self._client = make_client(site.broker, f"drydown-{site.site}-record-{site.store.recorder}")
        self._client.on_message = self._on_message
        self._connection = Connection(site.broker, self._client, self._on_connected)
        self._stopping = False
        self._waiting_since: float | None = None
        self._steps, self._progress_at, self._ask_delay = 0, time.monotonic(), ASK_AFTER
        self._retry_at, self._retry_delay = 0.0, RETRY_FIRST

    def run(self) -> None:
        """Record until told to stop."""
        self._client.connect_async(self._site.broker.host, self._site.broker.port, KEEPALIVE)
        delay = RETRY_FIRST
        while not self._stopping:
            self._stay_connected()
            delay = RETRY_FIRST if self._connection.has_been_up else min(2 * delay, RETRY_LONGEST)
            self._wait(delay)
        self._commit()
        self._client.disconnect()
        if self._recorder:
            self._recorder.close()
        self._store_lock.close()
        self._lock.close()

    def stop(self) -> None:
        """End `run` soon, with everything that was taken in committed."""
        self._stopping = True

    def _stay_connected(self) -> None:
        self._connection.has_been_up = False
        try:
            self._client.reconnect()
        except OSError:
            self._connection.unreachable()
            return
        while not self._stopping and self._client.loop(LOOK) == paho.MQTT_ERR_SUCCESS:
            self._work(time.monotonic())

    def _wait(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        while not self._stopping and time.monotonic() < end:
            time.sleep(0.1)
            self._work(time.monotonic())

    def _work(self, now: float) -> None:
        if self._recorder is None:
            self._reopen(now)
            return
        if self._recorder.waiting:
            if self._waiting_since is None:
                self._waiting_since = now
            if self._recorder.is_due or now - self._waiting_since >= self._commit_after:
                self._commit()
        self._ask_for_gaps(now)

    def _ask_for_gaps(self, now: float) -> None:
        if self._recorder is None:
            return
        if not self._recorder.gaps or self._recorder.steps != self._steps:
            self._steps, self._progress_at, self._ask_delay = self._recorder.steps, now, ASK_AFTER
        elif now - self._progress_at > self._ask_delay:
            self._progress_at, self._ask_delay = now, min(2 * self._ask_delay, ASK_LONGEST)
            missing = self._recorder.gaps
            if not self._commit():
                self._say(missing)

    def _commit(self) -> bool:
        """Commit and say so; returns whether a cursor moved."""
        if self._recorder is None:
            return False
        try:
            moved = self._recorder.commit()
            self._say(moved)
            self._trouble = self._recorder.keep_up() or self._set_aside_before()
        except StoreError as error:
            self._give_up(error)
            return False
        self._waiting_since = None
        self._retry_delay = RETRY_FIRST
        self._tell()
        return bool(moved)

    def _give_up(self, error: StoreError) -> None:
        log.error("%s Recording goes on when that is mended; until then the watcher keeps everything.", error)
        if self._recorder:
            self._recorder.close()
        self._recorder = None
        self._retry_at = time.monotonic() + self._retry_delay
        self._trouble = str(error).rstrip(".")
        self._tell()

    def _reopen(self, now: float) -> None:
        if now < self._retry_at:
            return
        self._retry_delay = min(2 * self._retry_delay, RETRY_LONGEST)
        try:
            recorder = self._open()
            recorder.commit()  # whether it can be written shows here, before anything is asked for
            recorder.keep_up()
        except StoreError as error:
            self._retry_at = now + self._retry_delay
            self._trouble = str(error).rstrip(".")
            self._tell()
            return
        self._recorder = recorder
        log.info("the store works again")
        self._waiting_since = None
        self._trouble = self._set_aside_before()
        self._tell()
        self._say(self._tanks())

    def _open(self) -> Recorder:
        """The store, looked at first; a damaged one is set aside and a new one begun. Raises StoreError."""
        path = self._site.store_path
        health = look(path, was_ours=self._store_lock.tell() > 0)
        aside = set_aside(path, DAMAGED) if health is Health.DAMAGED else None
        if health is Health.NOT_SEEN_WHOLE:
            log.info("%s: %s", path, health.value)
        sender = self._site.folder if self._site.forward else None
        recorder = Recorder(path, self._site.store.raw_days, sender)
        if not self._store_lock.tell():
            self._store_lock.write("The store beside this file is drydown's.\n")
            self._store_lock.flush()
        if aside:
            log.error("%s", advice(aside, path))
            recorder.note((tank.name for tank in self._site.tank), advice(aside, path))
        self._trouble = self._set_aside_before()
        return recorder

    def _set_aside_before(self) -> str:
        damaged = next(damaged_stores(self._site.store_path), None)
        return advice(damaged, self._site.store_path).rstrip(".") if damaged else ""

    def _tell(self) -> None:
        """Let the watchers know what is wrong with the store, or no longer, when that is news."""
        if self._connection.up and self._trouble != self._told:
            self._told = self._trouble
            for tank in self._tanks():
                topic = TankTopics(self._site.site, tank).recorder_trouble(self._site.store.recorder)
                self._client.publish(topic, self._trouble.encode(), qos=1, retain=True)

    def _tanks(self) -> set[str]:
        seen = self._recorder.committed if self._recorder else {}
        return {tank.name for tank in self._site.tank} | set(seen)

    def _say(self, tanks: Iterable[str]) -> None:
        if not self._connection.up or self._recorder is None:
            return
        for tank in tanks:
            topic = TankTopics(self._site.site, tank).recorded(self._site.store.recorder)
            batch = self._recorder.committed.get(tank, 0)
            self._client.publish(topic, b'{"batch":%d}' % batch, qos=1, retain=True)

    def _on_connected(self) -> None:
        base = f"{ROOT}/{self._site.site}/+"
        self._client.subscribe([(f"{base}/{about}", 1) for about in ABOUT])
        self._say(self._tanks())
        self._told = UNTOLD
        self._tell()

    def _on_message(self, _client: paho.Client, _data: object, message: paho.MQTTMessage) -> None:
        if self._recorder is None:
            return
        try:
            self._recorder.take(message.topic, bytes(message.payload), is_live=not message.retain)
        except StoreError as error:
            self._give_up(error)
            return
        if self._recorder.is_due:
            self._commit()


def main(args: argparse.Namespace) -> int:
    """Record the site of `args.config` until SIGTERM or SIGINT. Raises UserError."""
    return run_unit(args, RecordService)
