"""Which clock labelled a moment: which start of the board it counts from, and when that start was.

A board counts time from its start, and that count never steps. What people read is the count plus an offset,
which may be wrong until the clock is set. So everything that is sent says which offset its labels were made
with; when a later offset is known, whoever keeps the labels can put them right, in any order and any number
of times, and comes to the same.
"""

from dataclasses import dataclass

SAME = 10  # ms by which two offsets may differ and still be the same: nobody stepped the clock by so little
LONGEST_BOOT = 36  # characters of a start's name
GREATEST = 33 * 10**12  # ms, either side of 0: about a thousand years


@dataclass(frozen=True, slots=True)
class Mark:
    """What a clock knew: all in whole ms; `at` and `since` count from the board's start `boot`.

    From `at` on, Unix time was taken to be `offset` more than the count, and so was, looking back, all from
    `since` on. `sure`: the clock was known to be right.
    """

    boot: str
    offset: int
    at: int
    since: int
    sure: bool

    def __str__(self) -> str:
        return f"{self.boot} {self.offset} {self.at} {self.since} {'sure' if self.sure else 'unsure'}"


def mark_of(text: str) -> Mark:
    """The mark that was written so. Raises ValueError."""
    boot, offset, at, since, sure = text.split(" ")
    numbers = int(offset), int(at), int(since)
    if (
        not 0 < len(boot) <= LONGEST_BOOT
        or sure not in ("sure", "unsure")
        or max(map(abs, numbers)) > GREATEST
    ):
        raise ValueError("that is no mark of a clock")
    return Mark(boot, *numbers, sure == "sure")


def is_same(one: Mark, other: Mark) -> bool:
    """Whether both say the same of when the board was started."""
    return abs(one.offset - other.offset) < SAME
