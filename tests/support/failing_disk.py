"""A program that writes with the house's own classes while its disk fails at the n-th call, for every n.

    fiu-run -x python failing_disk.py FOLDER

libfiu stands between the unchanged classes and the C library. For each writer, fault and n a child process
writes a short sequence into a file in FOLDER/WRITER/FAULT/n that was there already, and opens it anew within
it. In `told`, beside it, are the steps that it was told are safe, and what it did not expect. The last n is
the first that no call reached.
"""

import ctypes
import errno
import json
import os
import shutil
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from itertools import product
from pathlib import Path

from drydown import kept_file
from drydown.bus import shelf, wire
from drydown.bus.spool import EVENT, SERIES, Entry, Message
from drydown.bus.topics import TankTopics
from drydown.clock import Moment
from drydown.effects import Priority
from drydown.kept_file import KeptFile
from drydown.notices.outbox import Notice, Outbox, OutboxError
from drydown.reading import Reading
from drydown.record import Recorder
from drydown.store.care import Health, look
from drydown.store.schema import StoreError

STEPS = 3
ANEW = 3  # before this step the file is let go and opened again
TRIES = 3  # of what a fault made fail
PATIENCE, LITTLE = 20.0, 0.03  # s that a thread is waited for: after a fault that is over, and one that lasts
MOST = 200  # calls that a sequence may make
WALL = 1_789_200_000.0  # Unix s
TOPICS = TankTopics("boathouse", "heron")
EVENT_AT = 2  # the step that is an event


@dataclass(frozen=True, slots=True)
class Told:
    """The steps that are said to be safe. While the fault lasts, no thread is waited for long."""

    lasts: bool
    steps: list[int] = field(default_factory=list)

    def say(self, step: int) -> None:
        self.steps.append(step)

    def wait(self, step: int, is_safe: Callable[[], bool]) -> bool:
        """Whether it became safe; then it is said."""
        end = time.monotonic() + (LITTLE if self.lasts else PATIENCE)
        while not is_safe():
            if time.monotonic() > end:
                return False
            time.sleep(0.001)
        self.say(step)
        return True


@dataclass(frozen=True, slots=True)
class Fault:
    """Calls that fail: libfiu's names of them, what they say, and whether all fail from the n-th on.

    One that `kills` ends the process without closing anything, as a power cut soon after it would.
    """

    points: tuple[str, ...]
    says: int = errno.EIO
    lasts: bool = False
    kills: bool = False


WRITES = ("posix/io/rw/write", "posix/io/rw/pwrite", "posix/io/rw/ftruncate")
FAULTS = {
    "full": Fault(WRITES, errno.ENOSPC, lasts=True),
    "refused": Fault(WRITES, kills=True),
    "short": Fault(("posix/io/rw/write/reduce", "posix/io/rw/pwrite/reduce")),
    "unsynced": Fault(("posix/io/sync/fsync", "posix/io/sync/fdatasync"), kills=True),
    "unnamed": Fault(("posix/io/oc/open", "posix/io/dir/rename", "posix/io/dir/unlink")),
    "unread": Fault(("posix/io/rw/read", "posix/io/rw/pread")),
}

_asked = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_char_p, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_void_p)


class Disk:
    """This process's disk, which fails at the n-th call of a kind."""

    def __init__(self, fault: Fault, nth: int) -> None:
        self._fault, self._nth, self.calls = fault, nth, 0
        self._library = ctypes.CDLL("libfiu.so.0")
        self._hook = _asked(self._fails)  # kept: the library only borrows it

    def spoil(self) -> None:
        """From now on calls are counted."""
        for point in self._fault.points:
            says = ctypes.c_void_p(self._fault.says)
            self._library.fiu_enable_external(point.encode(), 1, says, 0, self._hook)

    def mend(self) -> None:
        """From now on all is well."""
        for point in self._fault.points:
            self._library.fiu_disable(point.encode())

    def _fails(self, *_: object) -> int:
        self.calls += 1
        return int(self.calls == self._nth or (self._fault.lasts and self.calls > self._nth))


# What writes. Each stops at the first step that is not safe after some tries, and returns how to close.

Closing = Callable[[], object]


def record(folder: Path, told: Told) -> Closing:
    """The recorder, which opens its store anew after trouble and is sent again what is missing."""
    path = folder / "store"
    recorder: Recorder | None = None
    for step in range(1, STEPS + 1):
        if recorder and step == ANEW:
            recorder.close()
            recorder = None
        for _ in range(TRIES):
            try:
                if recorder is None:
                    if look(path, was_ours=True) is Health.DAMAGED:
                        raise AssertionError("a sound store would be set aside as damaged")
                    recorder = Recorder(path, 90.0)
                for missing in range(recorder.committed.get(TOPICS.tank, 0) + 1, step + 1):
                    recorder.take(*message(missing), is_live=True)
                recorder.commit()
                told.say(step)
                recorder.keep_up()
                break
            except StoreError:
                if recorder:
                    recorder.close()
                recorder = None
    return recorder.close if recorder else lambda: None


def message(number: int) -> tuple[str, bytes]:
    """Topic and payload of what the watcher says as its batch of this number."""
    if number == EVENT_AT:
        body = wire.event({"kind": "store", "time": WALL + number, "message": "it was set aside"})
        said = Message(TOPICS.run, (body,), EVENT, False, number, number)
    else:
        body = wire.readings([Reading("fuel/level", float(number), 0.5)], lambda time: time + WALL)
        said = Message(TOPICS.readings, (body,), SERIES, False, number, number)
    return said.topic, wire.payload(said, TOPICS.base_name)


def shelve(folder: Path, told: Told) -> Closing:
    """What waits for a recorder. The first entry is let go when there are two."""
    shelf.RETRY = 0.002
    made = shelf.DiskShelf(folder / "waiting", 1e8)
    for step in range(1, STEPS + 1):
        if step == ANEW:
            made.close()
            made = shelf.DiskShelf(folder / "waiting", 1e8)
            if made.newest < step - 1 and not told.lasts:
                raise AssertionError("what waits was not taken up")
        made.put(step, [Entry(TOPICS.readings, b"%d" % step, SERIES)])
        if not told.wait(step, partial(is_safe, made, step)):
            break
        if step == 2:
            made.let_go(1)
    return made.close


def keep(folder: Path, told: Told) -> Closing:
    """A small file that is replaced as a whole."""
    kept_file.YIELD, kept_file.RETRY = 0.0, 0.002
    path = folder / "kept.json"
    made = KeptFile(path, "the steps are lost")
    before = 0
    for step in range(1, STEPS + 1):
        made.keep({"step": step})
        if not told.wait(step, partial(is_another, path, before)):
            break
        before = inode(path)
    return made.close


def is_safe(on: shelf.DiskShelf, step: int) -> bool:
    return on.safe >= step


def is_another(path: Path, before: int) -> bool:
    return inode(path) != before


def inode(path: Path) -> int:
    with suppress(FileNotFoundError):
        return path.stat().st_ino
    return 0


def post(folder: Path, told: Told) -> Closing:
    """The outbox of notices."""
    path = folder / "outbox"
    outbox: Outbox | None = None
    for step, write in enumerate(errands(), start=1):
        if outbox and step == ANEW:
            outbox.close()
            outbox = None
        for _ in range(TRIES):
            try:
                outbox = outbox or Outbox(path)
                write(outbox)
                told.say(step)
                break
            except OutboxError:
                continue
        else:
            break
    return outbox.close if outbox else lambda: None


def errands() -> Iterator[Callable[[Outbox], object]]:
    """What is written down of two notices: one is taken, one refused and then settled."""
    happened = Moment("start", 100.0, WALL, True)
    hot, dry = (
        Notice(f"heron/{about}/{WALL}", WALL, Priority.EMERGENCY, about, "", f"heron/{about}", repeats=True)
        for about in ("fuel-hot", "dry")
    )
    yield lambda outbox: outbox.add(hot, ["phone", "mail"], happened)
    yield lambda outbox: outbox.begin([hot.key], "phone")
    yield lambda outbox: outbox.sent([hot.key], "phone")
    yield lambda outbox: outbox.add(dry, ["phone"], happened)
    yield lambda outbox: outbox.begin([dry.key], "phone")
    yield lambda outbox: outbox.refused([dry.key], "phone")
    yield lambda outbox: outbox.settle(dry.about)


WRITERS = {"record": record, "shelve": shelve, "keep": keep, "post": post}


def main(folder: Path) -> None:
    """Every writer meets every fault."""
    for writer in WRITERS:
        (folder / "empty" / writer).mkdir(parents=True)
    Recorder(folder / "empty/record/store", 90.0).close()
    Outbox(folder / "empty/post/outbox").close()
    waiting = shelf.DiskShelf(folder / "empty/shelve/waiting", 1e8)
    waiting.put(1, [Entry(TOPICS.readings, b"", SERIES)])
    waiting.let_go(1)
    waiting.close()
    for writer, fault in product(WRITERS, FAULTS):
        meet(WRITERS[writer], FAULTS[fault], folder / "empty" / writer, folder / writer / fault)


def meet(writer: Callable[[Path, Told], Closing], fault: Fault, empty: Path, folder: Path) -> None:
    """Let one child after another write, until no call is left to fail."""
    for nth in range(1, MOST + 1):
        shutil.copytree(empty, folder / str(nth))
        if not (child := os.fork()):
            _write(writer, fault, nth, folder / str(nth))
        _, status = os.waitpid(child, 0)
        if status != 0:  # all steps are done: the fault was not reached
            return
    raise SystemExit(f"{folder}: there are more than {MOST} calls")


def _write(writer: Callable[[Path, Told], Closing], fault: Fault, nth: int, folder: Path) -> None:
    disk = Disk(fault, nth)
    told = Told(fault.lasts)
    crash = ""
    disk.spoil()
    try:
        close = writer(folder, told)
        if not fault.kills:
            close()
    except BaseException:
        crash = traceback.format_exc()
    disk.mend()
    (folder / "told").write_text(json.dumps({"said": told.steps, "crash": crash}))
    os._exit(0 if disk.calls >= nth else 1)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
