"""What a record lacks for good its recorder knows of, and nobody is told of a lack that is none.

Two recorders behind a broker that loses messages, a watcher that is stopped and killed, stores put back to
older copies. Recorder, spool and counter are those of the house.
"""

import shutil
import tempfile
from pathlib import Path
from unittest import mock

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import invariant, rule

from drydown.bus import counter, wire
from drydown.bus.counter import Counter
from drydown.bus.spool import EVENT, SERIES, Entry, Message, Spool
from drydown.bus.topics import TankTopics
from drydown.reading import Reading
from drydown.record import Recorder
from drydown.store.copy import back_up, restore
from drydown.store.lack import Lack, lacks
from drydown.store.read import StoreReader
from support.drawer import SpoolWithADrawer

TOPICS = TankTopics("boathouse", "heron")
WALL = 1_789_200_000
NAMES = st.sampled_from(["north", "south"])
BLOCK = 7  # numbers between two writes of the counter, so that a kill skips some
IN_MEMORY = Path("/dev/shm")


class Kept:
    """A recorder, its store, and a copy of that."""

    def __init__(self, folder: Path) -> None:
        self._path, self._copy = folder / "store", folder / "copy"
        folder.mkdir()
        self.recorder = Recorder(self._path, 90.0)
        self.was_put_back = False

    @property
    def cursor(self) -> int:
        return self.recorder.committed.get(TOPICS.tank, 0)

    def take(self, message: Message) -> None:
        self.recorder.take(message.topic, wire.payload(message, TOPICS.base_name), is_live=True)

    def copy(self) -> None:
        self._copy.unlink(missing_ok=True)
        back_up(self._path, self._copy)

    def put_back(self) -> None:
        if self._copy.exists():
            self.recorder.close()
            restore(self._copy, self._path)
            self.recorder = Recorder(self._path, 90.0)
            self.was_put_back = True

    def held(self) -> set[int]:
        with StoreReader(self._path) as reader:
            times = [one.time for one in reader.samples(TOPICS.tank, 0, 1e11)]
            told = [one.time for one in reader.events(TOPICS.tank, 0, 1e11, ["stage"], limit=10_000)]
        return {round(time) - WALL for time in times + told}

    def lacks(self) -> list[Lack]:
        with StoreReader(self._path) as reader:
            return lacks(reader, TOPICS.tank)


class TwoRecordersAndAllThatGoesWrong(SpoolWithADrawer):
    """In the end each has everything that was not killed, or says what it lacks."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(dir=IN_MEMORY if IN_MEMORY.is_dir() else None))
        self._block = mock.patch.object(counter, "BLOCK", BLOCK)
        self._block.start()
        self.kept = {name: Kept(self.folder / name) for name in ("north", "south")}
        self.numbers: dict[int, int] = {}  # by what was said
        self.said = 0
        self.start()
        for name in self.kept:
            self.hear(name)

    def start(self) -> None:
        self.counter = Counter(self.folder / "batches")
        gone = self.counter.kept if self.drawer.oldest is None else self.counter.gone
        first = max(self.counter.start, self.drawer.newest + 1)
        self.spool = Spool(first, shelf=self.drawer, gone=gone, awaited=self.counter.recorders)

    @rule(count=st.integers(1, 5), is_event=st.booleans())
    def say(self, count: int, is_event: bool) -> None:
        for _ in range(count):
            self.said += 1
            if is_event:
                body = wire.event({"kind": "stage", "time": WALL + self.said, "stage": "idle", "by": "wren"})
                entry = Entry(TOPICS.run, body, EVENT)
            else:
                body = wire.readings([Reading("fuel/level", self.said, 0.5)], float(WALL).__add__)
                entry = Entry(TOPICS.readings, body, SERIES)
            self.numbers[self.said] = self.spool.add(entry)
            self.counter.reached(self.numbers[self.said], self.spool.gone)

    @rule(count=st.integers(1, 10), arrives=st.sets(NAMES), times=st.integers(1, 2))
    def send(self, count: int, arrives: set[str], times: int) -> None:
        for _ in range(count):
            if message := self.spool.take():
                for name in sorted(arrives) * times:
                    self.kept[name].take(message)

    @rule(name=NAMES)
    def commit(self, name: str) -> None:
        self.kept[name].recorder.commit()

    @rule(name=NAMES)
    def hear(self, name: str) -> None:
        before = self.spool.oldest
        if not self.spool.confirm(name, self.kept[name].cursor):
            self.spool.rewind(self.kept[name].cursor)
        self.counter.keep_for(self.spool.kept_for, self.spool.gone)
        assert self.spool.oldest >= before

    @rule()
    def stop_and_start(self) -> None:
        self.put_all_by()
        self.counter.stop(self.spool.next_number, self.spool.gone)
        self.start()

    @rule()
    def kill_and_start(self) -> None:
        self.drawer.lose_power()
        lost = [one for one, number in self.numbers.items() if number > self.drawer.newest]
        kept = set.intersection(*(one.held() for one in self.kept.values()))
        for one in lost:
            if one not in kept:  # the last seconds, which a kill may cost
                del self.numbers[one]
        self.start()

    @rule(name=NAMES)
    def copy(self, name: str) -> None:
        self.kept[name].copy()

    @rule(name=NAMES)
    def put_back(self, name: str) -> None:
        self.kept[name].put_back()

    @invariant()
    def nobody_lacks_anything_without_an_older_copy(self) -> None:
        for one in self.kept.values():
            assert one.was_put_back or not one.lacks()

    def teardown(self) -> None:
        try:
            self.say(1, True)
            for name in [*self.kept, *self.kept]:
                self.hear(name)
                self.reconnect()
                while message := self.spool.take():
                    self.kept[name].take(message)
                self.commit(name)
            for one in self.kept.values():
                assert one.cursor == self.spool.next_number - 1
                told = {number for lack in one.lacks() for number in range(lack.first, lack.last + 1)}
                missing = {self.numbers[said] for said in self.numbers.keys() - one.held()}
                silent = missing - told
                assert not silent, (silent, one.lacks())
        finally:
            for one in self.kept.values():
                one.recorder.close()
            self._block.stop()
            shutil.rmtree(self.folder)


TestTwoRecordersAndAllThatGoesWrong = TwoRecordersAndAllThatGoesWrong.TestCase
TestTwoRecordersAndAllThatGoesWrong.settings = settings(
    max_examples=40, stateful_step_count=40, deadline=None
)
