"""What goes out next on a route: pure, so that every order of events can be tried.

- What stands and cannot wait goes first, each alone, and again every REPEAT until it is settled.
- What is news goes alone, the urgent first.
- What is news no longer goes together in one message that says so: it came while nobody could be reached or
  in quiet hours, or it was over before it could be told.
"""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from drydown.effects import Priority
from drydown.notices.outbox import Notice
from drydown.notices.routes import RANK

FRESH = 900.0  # s for which a notice is news
EXPIRES = 7 * 86_400.0  # s after which it is not worth a line
REPEAT = 300.0  # s between two messages about an emergency that nobody has seen
FIRST_DELAY, LONGEST_DELAY = 5.0, 600.0  # s between two attempts
LONGEST_URGENT_DELAY = 60.0  # s, of an emergency that stands
JITTER = 0.2  # share of the delay, so that many boards do not knock at once
MOST = 20  # notices in one message


@dataclass(slots=True)
class Pending:
    """A notice that waits on a route. Times in s on one clock."""

    notice: Notice
    since: float  # when it happened
    at: float  # not before this
    attempts: int = 0  # that failed since it was last taken
    times: int = 0  # that it was taken
    unsure: bool = False  # it may have arrived
    settled: bool = False

    @property
    def stands(self) -> bool:
        """Whether it is an emergency that somebody has still to see."""
        return self.notice.repeats and not self.settled

    def is_late(self, now: float) -> bool:
        """Whether it is told for the first time, and long after it happened."""
        return not self.times and now - self.since > FRESH

    def is_old(self, now: float) -> bool:
        """Whether it is news no longer."""
        return not self.stands and (self.is_late(now) or self.settled)

    def is_urgent(self, now: float) -> bool:
        """Whether it goes out in quiet hours."""
        return self.notice.priority is Priority.EMERGENCY and not self.is_old(now)

    def put_off(self, now: float, first_delay: float = FIRST_DELAY) -> None:
        """It was tried in vain: again after a while, which grows."""
        longest = LONGEST_URGENT_DELAY if self.stands else LONGEST_DELAY
        delay = min(longest, first_delay * 2.0 ** min(self.attempts, 30))
        self.attempts += 1
        self.at = now + delay * (1 + JITTER * _scatter(f"{self.notice.key}/{self.attempts}"))


@dataclass(frozen=True, slots=True)
class Message:
    """What is sent at once: one notice, or several together that are `old`."""

    items: tuple[Pending, ...]
    old: bool

    @property
    def keys(self) -> list[str]:
        """Of its notices."""
        return [item.notice.key for item in self.items]

    @property
    def priority(self) -> Priority:
        """Of the most urgent of them."""
        return max((item.notice.priority for item in self.items), key=lambda one: RANK[one])


def next_message(waiting: Iterable[Pending], now: float, quiet: bool) -> Message | None:
    """What to send now, if anything; in quiet hours only an emergency."""
    free = [one for one in waiting if not quiet or one.is_urgent(now)]
    due = sorted((one for one in free if one.at <= now), key=_turn)
    if not due:
        return None
    news = next((one for one in due if not one.is_old(now)), None)
    if news:
        return Message((news,), old=False)
    return Message(tuple(sorted((one for one in free if one.is_old(now)), key=_age)[:MOST]), old=True)


def repeat_after(since: float, times: int, now: float) -> float:
    """When a notice goes out that happened at `since` and was taken so often before a restart, in s.

    The restart itself puts nothing off: a watcher that dies every few minutes still repeats.
    """
    return min(now + REPEAT, max(now, since + REPEAT * times))


def expired(waiting: Iterable[Pending], now: float) -> list[Pending]:
    """What is not worth a line any more."""
    return [one for one in waiting if not one.stands and now - one.since > EXPIRES]


def next_time(waiting: Sequence[Pending]) -> float:
    """When the next of them may go; infinite where none waits."""
    return min((one.at for one in waiting), default=float("inf"))


def _turn(one: Pending) -> tuple[bool, int, float]:
    return not one.stands, -RANK[one.notice.priority], one.since


def _age(one: Pending) -> float:
    return one.since


def _scatter(text: str) -> float:
    """From -1 to 1, the same for the same text, which is another on every board."""
    drawn = int.from_bytes(hashlib.blake2b(text.encode(), digest_size=4).digest())
    return drawn / 0x7FFFFFFF - 1
