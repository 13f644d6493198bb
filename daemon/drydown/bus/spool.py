"""What was said and is not yet known to be recorded: numbered, kept in order, sent again when asked.

Rules
-----
- Every entry gets the next number. A message carries one entry, or several that stand side by side and share
  a topic, and says which numbers it covers: everything from `first` to `last`.
- A recorder's cursor is the number up to which it has committed everything. What every recorder has passed
  is let go. While no recorder was ever heard of, everything is kept.
- A message that begins with the oldest entry kept says `first` 0: nothing older can be had. So a recorder
  never waits for what is gone.
- The spool is bounded. When it is full the oldest readings go first; events never go. A number whose entry
  went is still covered by the message around it, so numbers never have holes.
- A recorder ahead of the newest number means that our counter went back (a lost or older file). The entries
  are then numbered on from there, which is safe because recording twice is recording once.

Pure: no I/O and no clock. All of it is in memory, and gone with the process.
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass

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


class Spool:
    """Entries in order of their numbers, a place up to which they were sent, and each recorder's cursor."""

    def __init__(self, next_number: int = 1, capacity: int = 1_000_000) -> None:
        self._entries: deque[Entry | None] = deque()  # None: dropped
        self._base = next_number  # number of _entries[0]
        self._sent = 0  # how many of _entries were handed out
        self._cursors: dict[str, int] = {}
        self._bytes = 0
        self._capacity = capacity
        self._droppable_from = 0  # no droppable entry stands before this place
        self.dropped = 0

    @property
    def next_number(self) -> int:
        """The number that the next entry gets."""
        return self._base + len(self._entries)

    @property
    def waiting(self) -> int:
        """How many entries were not handed out since the last rewind."""
        return len(self._entries) - self._sent

    @property
    def unconfirmed(self) -> int:
        """How many entries are kept."""
        return len(self._entries)

    @property
    def outstanding(self) -> int:
        """How many entries were handed out and are not confirmed."""
        return self._sent

    @property
    def recorders(self) -> frozenset[str]:
        """Every recorder that was heard of."""
        return frozenset(self._cursors)

    def add(self, entry: Entry) -> int:
        """Take an entry in; returns its number."""
        self._entries.append(entry)
        self._bytes += len(entry.body)
        number = self.next_number - 1
        while self._bytes > self._capacity and self._drop_one():
            pass
        return number

    def take(self) -> Message | None:
        """The next message to send, or None when everything was handed out."""
        first = self._base + self._sent if self._sent else 0
        taken: list[Entry] = []
        size = 0
        while self._sent < len(self._entries):
            entry = self._entries[self._sent]
            if entry is not None:
                if taken and (entry.topic != taken[0].topic or entry.kind == EVENT or taken[0].kind == EVENT):
                    break
                if taken and size + len(entry.body) > MESSAGE_SIZE:
                    break
                taken.append(entry)
                size += len(entry.body)
            self._sent += 1
        if not taken:
            return None
        lead = taken[0]
        return Message(
            lead.topic,
            tuple(entry.body for entry in taken),
            lead.kind,
            lead.retain,
            first,
            self._base + self._sent - 1,
        )

    def waits(self, number: int) -> bool:
        """Whether an entry has not been handed out."""
        return number >= self._base + self._sent

    def single(self, number: int) -> Message:
        """One entry as a message of its own, out of turn; the turn stays as it was."""
        entry = self._entries[number - self._base]
        assert entry is not None
        first = number if number > self._base else 0
        return Message(entry.topic, (entry.body,), entry.kind, entry.retain, first, number)

    def rewind(self) -> None:
        """Hand everything out again that is not confirmed."""
        self._sent = 0

    def skip(self) -> None:
        """Hand out nothing of what waits; only what comes from now on."""
        self._sent = len(self._entries)

    def confirm(self, recorder: str, number: int) -> bool:
        """A recorder's cursor is at `number`; returns whether it moved on."""
        before = self._cursors.get(recorder)
        self._cursors[recorder] = number
        if number >= self.next_number:
            self._base = number + 1
            self._sent = 0
            return False
        self._let_go(min(self._cursors.values()))
        return before is not None and number > before

    def forget(self, recorder: str) -> None:
        """A recorder is gone for good; nothing is kept for it any more."""
        self._cursors.pop(recorder, None)
        if self._cursors:
            self._let_go(min(self._cursors.values()))

    def _let_go(self, number: int) -> None:
        while self._entries and self._base <= number:
            entry = self._entries.popleft()
            self._bytes -= len(entry.body) if entry else 0
            self._base += 1
            self._sent = max(0, self._sent - 1)
            self._droppable_from = max(0, self._droppable_from - 1)

    def _drop_one(self) -> bool:
        for place, entry in self._from(self._droppable_from):
            if entry is not None and entry.kind != EVENT:
                self._entries[place] = None
                self._droppable_from = place + 1
                self._bytes -= len(entry.body)
                self.dropped += 1
                return True
        self._droppable_from = len(self._entries)
        return False

    def _from(self, place: int) -> Iterator[tuple[int, Entry | None]]:
        for index in range(place, len(self._entries)):
            yield index, self._entries[index]
