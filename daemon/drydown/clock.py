"""The core's clock on a board: the boot clock, with the wall clock as a label.

CLOCK_BOOTTIME counts seconds since the board was started, through suspends, and never steps. What people read
is Unix time = boot time + an offset, which is held constant until the wall clock really steps.
"""

import time
from collections.abc import Callable
from datetime import datetime, tzinfo
from pathlib import Path

STEP = 0.010  # s by which the wall clock must leave the boot clock before it counts as a step
EARLIEST = 1_735_689_600.0  # Unix s, the first of January 2025: a clock before that was never set

BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


def boot_time() -> float:
    """Seconds since the board was started."""
    return time.clock_gettime(time.CLOCK_BOOTTIME)


def boot_id() -> str:
    """What tells this start of the board from every other."""
    try:
        return BOOT_ID.read_text().strip()
    except OSError:
        return "unknown"


def zone() -> tzinfo:
    """The time zone that the board is set to."""
    found = datetime.now().astimezone().tzinfo
    assert found is not None  # an aware time has one
    return found


class Clock:
    """Maps between the core's clock and Unix time, both in s. Safe to share between threads.

    `pace` makes the core's clock run faster than the wall's, for a simulation; they agree at the start.
    """

    def __init__(
        self,
        pace: float = 1.0,
        boot: Callable[[], float] = boot_time,
        wall: Callable[[], float] = time.time,
    ) -> None:
        self._pace = pace
        self._boot, self._wall = boot, wall
        self._start = boot()
        self._offset = wall() - self._start

    def now(self) -> float:
        """The core's clock."""
        return self._start + (self._boot() - self._start) * self._pace

    def to_unix(self, core_time: float) -> float:
        """When that is on the wall."""
        return core_time + self._offset

    def from_unix(self, unix_time: float) -> float:
        """When that is on the core's clock; before the board was started it is negative."""
        return unix_time - self._offset

    def look(self) -> float:
        """Follow the wall clock if it has stepped; returns by how many seconds, 0 if it has not."""
        step = self._wall() - self._boot() - self._offset
        if abs(step) < STEP:
            return 0.0
        self._offset += step
        return step

    @property
    def is_set(self) -> bool:
        """Whether the wall clock can be right at all."""
        return self._wall() >= EARLIEST
