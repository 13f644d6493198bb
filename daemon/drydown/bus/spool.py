"""What was said and is not yet known to be recorded: numbered, kept in order, sent again when asked.

Rules
-----
- Every entry gets the next number. A message carries one entry, or several that stand side by side and share
  a topic, and says which numbers it covers: everything from `first` to `last`.
- A recorder's cursor is the number up to which it has committed everything. What every recorder has passed
  is let go. While no recorder was ever heard of, or one that is known was not heard of since the start
  (`awaited`), everything is kept.
- A message that begins with the oldest entry kept says `first` 0: nothing older can be had. So a recorder
  never waits for what is gone. It also says `gone`, the number up to which all was said and can't be had any
  more: a recorder that has not come as far lacks something for good.
- What waits for long is put by on a shelf (`shelf`, on the disk) and leaves the memory once it is safe there.
- The memory is bounded. When it is full, because the shelf takes nothing, the oldest readings go first;
  events never go. A number whose entry went is covered by the message around it: numbers never have holes.
- A recorder ahead of the newest number means that our counter went back (a lost or older file). The entries
  are then numbered on from there, which is safe because recording twice is recording once.

No clock, and no I/O but the shelf's.
"""

from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Protocol

MESSAGE_SIZE = 65_536  # bytes of entries in one message, at most
EVENT, SERIES = "event", "series"


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing to be recorded. Entries of the kind SERIES may share a message and may be dropped."""

    topic: str
    body: bytes
    kind: str
    retain: bool = False


@dataclass(frozen=True, slots=True)
class Message:
    """Entries that go out together, and the numbers that they cover."""

    topic: str
    bodies: tuple[bytes, ...]
    kind: str
    retain: bool
    first: int
    last: int
    gone: int = 0


class Shelf(Protocol):
    """Where entries are put by. Their numbers rise, and may have holes."""

    @property
    def oldest(self) -> int | None:
        """The lowest number on it."""

    @property
    def safe(self) -> int:
        """Everything that was put by up to this number is safe."""

    @property
    def is_torn(self) -> bool:
        """Whether something that was safe on it can't be read any more."""

    def put(self, first: int, entries: Sequence[Entry | None]) -> None:
        """Take entries with the numbers from `first` on. Never blocks."""

    def window(self, start: int, /) -> Sequence[tuple[int, Entry]] | None:
        """Some of the safe entries from this number on, in order, with their numbers; empty where none is.

        None where nobody can tell now.
        """

    def let_go(self, number: int) -> None:
        """Nobody needs what is up to this number. Never blocks."""

    def renumber(self, by: int) -> None:
        """All numbers are higher by so much."""


class NoShelf:
    """Takes nothing."""

    oldest, safe, is_torn = None, 0, False

    def put(self, first: int, entries: Sequence[Entry | None]) -> None:
        pass

    def window(self, _start: int) -> Sequence[tuple[int, Entry]]:
        return ()

    def let_go(self, number: int) -> None:
        pass

    def renumber(self, by: int) -> None:
        pass


class Spool:
    """Entries in order of their numbers, a place up to which they were sent, and each recorder's cursor."""

    def __init__(
        self,
        next_number: int = 1,
        capacity: int = 1_000_000,
        shelf: Shelf | None = None,
        gone: int = 0,
        awaited: Iterable[str] = (),
    ) -> None:
        """What is on the shelf already waits as if it had just been said; `next_number` is beyond it."""
        self._shelf = shelf or NoShelf()
        self._entries: deque[Entry | None] = deque()  # in memory; None: dropped
        self._base = next_number  # number of _entries[0]
        self._oldest = self._shelf.oldest or next_number  # that is kept
        self._next = self._oldest  # to be handed out
        self._covered = self._oldest  # what comes next covers from here on
        self._put = next_number - 1  # up to here all was put by
        self._pending = 0  # the last that was put by, safe or not
        self._ahead: deque[tuple[int, Entry]] = deque()  # read from the shelf, not handed out
        self._cursors: dict[str, int] = {}
        self._awaited = set(awaited)
        self._gone = next_number - 1 if self._shelf.is_torn else gone
        self._bytes = 0
        self._capacity = capacity
        self._droppable_from = 0  # no droppable entry stands before this place
        self.dropped = 0

    @property
    def next_number(self) -> int:
        """The number that the next entry gets."""
        return self._base + len(self._entries)

    @property
    def oldest(self) -> int:
        """The number of the oldest entry kept, or of the next one."""
        return self._oldest

    @property
    def gone(self) -> int:
        """All up to this number was said, and can't be had any more."""
        return self._gone

    @property
    def waiting(self) -> int:
        """How many entries were not handed out since the last rewind."""
        return self.next_number - self._next

    @property
    def unconfirmed(self) -> int:
        """How many entries are kept."""
        return self.next_number - self._oldest

    @property
    def outstanding(self) -> int:
        """How many entries were handed out beyond what the nearest recorder before them has confirmed."""
        passed = (at + 1 for at in self._cursors.values() if at < self._next)
        return self._next - max([self._oldest, *passed])

    @property
    def recorders(self) -> frozenset[str]:
        """Every recorder that was heard of."""
        return frozenset(self._cursors)

    @property
    def kept_for(self) -> frozenset[str]:
        """These, and those that are awaited."""
        return self.recorders | self._awaited

    @property
    def slowest(self) -> str:
        """The recorder for whom most is kept; empty where none is known."""
        return min(self._awaited, default="") or min(self._cursors, key=self._cursors.__getitem__, default="")

    def add(self, entry: Entry) -> int:
        """Take an entry in; returns its number."""
        self._entries.append(entry)
        self._bytes += len(entry.body)
        number = self.next_number - 1
        while self._bytes > self._capacity and self._drop_one():
            pass
        return number

    def put_by(self) -> bool:
        """Put on the shelf what is not there yet; not before what was put there is safe, which it returns."""
        if self._shelf.safe < self._pending:
            return False
        fresh = max(self._put + 1, self._base)
        if fresh < self.next_number:
            self._shelf.put(fresh, tuple(islice(self._entries, fresh - self._base, None)))
            self._put = self._pending = self.next_number - 1
        return True

    def lighten(self) -> None:
        """Let what is safe on the shelf leave the memory."""
        safe = min(self._shelf.safe, self._put)
        while self._entries and self._base <= safe:
            self._forget_first()

    def take(self) -> Message | None:
        """The next message to send, or None when everything was handed out."""
        taken: list[Entry] = []
        size = gone = 0
        while (found := self._look(self._next)) is not None:
            number, entry = found
            if number > self._next and self._shelf.is_torn:
                if taken:
                    break
                gone = number - 1
            if entry is not None:
                if taken and (entry.topic != taken[0].topic or entry.kind == EVENT or taken[0].kind == EVENT):
                    break
                if taken and size + len(entry.body) > MESSAGE_SIZE:
                    break
                taken.append(entry)
                size += len(entry.body)
            self._next = number + 1
        if not taken:
            return None
        lead, first = taken[0], self._covered if self._covered > self._oldest else 0
        self._covered = self._next
        bodies = tuple(entry.body for entry in taken)
        gone = gone if first else max(gone, self._gone)
        return Message(lead.topic, bodies, lead.kind, lead.retain, first, self._next - 1, gone)

    def waits(self, number: int) -> bool:
        """Whether an entry has not been handed out."""
        return number >= self._next

    def single(self, number: int) -> Message:
        """One entry of those in memory as a message of its own, out of turn; the turn stays as it was."""
        entry = self._entries[number - self._base]
        assert entry is not None
        first = number if number > self._oldest else 0
        gone = 0 if first else self._gone
        return Message(entry.topic, (entry.body,), entry.kind, entry.retain, first, number, gone)

    def rewind(self, after: int = 0) -> None:
        """Hand everything out again that is not confirmed; for one recorder, what is after its cursor."""
        self._next = self._covered = min(self._next, max(self._oldest, after + 1))
        self._ahead.clear()

    def skip(self) -> None:
        """Hand out nothing of what waits; only what comes from now on."""
        self._next = self._covered = self.next_number

    def confirm(self, recorder: str, number: int) -> bool:
        """A recorder's cursor is at `number`; returns whether it moved on."""
        before = self._cursors.get(recorder)
        self._cursors[recorder] = number
        self._awaited.discard(recorder)
        if number >= self.next_number:
            self._number_on(number + 1 - self._oldest)
            return False
        self._let_go()
        return before is not None and number > before

    def forget(self, recorder: str) -> None:
        """A recorder is gone for good; nothing is kept for it any more."""
        self._cursors.pop(recorder, None)
        self._awaited.discard(recorder)
        self._let_go()

    def _number_on(self, by: int) -> None:
        self._shelf.renumber(by)
        self._base, self._oldest, self._put = self._base + by, self._oldest + by, self._put + by
        self._pending += by if self._pending else 0
        self._gone = self._oldest - 1
        self._next = self._covered = self._oldest
        self._ahead.clear()

    def _look(self, number: int) -> tuple[int, Entry | None] | None:
        """The first entry from this number on, with its own number."""
        while self._ahead and self._ahead[0][0] < number:
            self._ahead.popleft()
        if number < self._base and not self._ahead:
            found = self._shelf.window(number)
            if found is None:
                return None
            self._ahead.extend(found)
        if self._ahead and self._ahead[0][0] < self._base:
            return self._ahead[0]
        place = max(number, self._base) - self._base
        return (self._base + place, self._entries[place]) if place < len(self._entries) else None

    def _let_go(self) -> None:
        if self._awaited or not self._cursors:
            return
        number = min(self._cursors.values())
        self._gone = max(self._gone, number)
        if number < self._oldest:
            return
        self._shelf.let_go(number)
        while self._entries and self._base <= number:
            self._forget_first()
        self._oldest = number + 1
        self._next, self._covered = max(self._next, self._oldest), max(self._covered, self._oldest)

    def _forget_first(self) -> None:
        entry = self._entries.popleft()
        self._bytes -= len(entry.body) if entry else 0
        self._base += 1
        self._droppable_from = max(0, self._droppable_from - 1)

    def _drop_one(self) -> bool:
        for place in range(self._droppable_from, len(self._entries)):
            entry = self._entries[place]
            if entry is not None and entry.kind != EVENT:
                self._entries[place] = None
                self._droppable_from = place + 1
                self._bytes -= len(entry.body)
                self.dropped += 1
                return True
        self._droppable_from = len(self._entries)
        return False
