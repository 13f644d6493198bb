"""The core's clock on a board: the boot clock, with the wall clock as a label.

CLOCK_BOOTTIME counts seconds since the board was started, through suspends, and never steps. What people read
is Unix time = boot time + an offset, which is held constant until the wall clock really steps. Then the
times of this start are put right (`timeline`); those that somebody kept right for a day stay as they are.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, tzinfo
from pathlib import Path

from drydown.synchronised import is_synchronised
from drydown.timeline import SAME, Mark

STEP = SAME / 1000  # s by which the wall clock must leave the boot clock before it counts as a step
SETTLED = 86_400.0  # s that a clock was kept right, after which no step changes what was before them
TRIES, AT_ONCE = 5, 0.001  # times that both clocks are read, until no more than so many s pass in between
EARLIEST = 1_735_689_600.0  # Unix s, the first of January 2025: a clock before that was never set
# and is not believed even for a label, which SenML takes for absolute from 2**28 s on only (RFC 8428 section
# 4.5.3): until it is set, time counts from EARLIEST

BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
UNKNOWN_BOOT = "unknown"


def boot_time() -> float:
    """Seconds since the board was started."""
    return time.clock_gettime(time.CLOCK_BOOTTIME)


def boot_id() -> str:
    """What tells this start of the board from every other."""
    try:
        return BOOT_ID.read_text().strip()
    except OSError:
        return UNKNOWN_BOOT


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment by both clocks of a board."""

    boot: str  # the name of the start
    uptime: float  # s since that start
    unix: float  # s
    kept: bool  # somebody kept the wall clock right

    def before(self, seconds: float) -> "Moment":
        """The moment so many s earlier, by the same clocks."""
        return Moment(self.boot, self.uptime - seconds, self.unix - seconds, self.kept)


def moment() -> Moment:
    """The present one."""
    return Moment(boot_id(), boot_time(), time.time(), is_synchronised())


def zone() -> tzinfo:
    """The time zone that the board is set to."""
    found = datetime.now().astimezone().tzinfo
    assert found is not None  # an aware time has one
    return found


@dataclass(frozen=True, slots=True)
class Label:
    """The two clocks at one setting: how core times read on the wall, and the mark that says so."""

    offset: float  # s, whole ms
    mark: Mark

    def to_unix(self, core_time: float) -> float:
        """When that is on the wall."""
        return core_time + self.offset


class Clock:
    """Maps between the core's clock and Unix time, both in s. Safe to share between threads.

    `pace` makes the core's clock run so many times as fast as the wall's, for a simulation; they agree at the
    start.
    `synchronised` tells whether somebody keeps the wall clock right.
    """

    def __init__(
        self,
        pace: float = 1.0,
        boot: Callable[[], float] = boot_time,
        wall: Callable[[], float] = time.time,
        synchronised: Callable[[], bool] = is_synchronised,
        name: str = "",
    ) -> None:
        """`name` is that of this start of the board, where it is not the kernel's."""
        self.pace = pace
        self._boot, self._wall, self._synchronised = boot, wall, synchronised
        self._name = name or boot_id().replace("-", "")[:12]
        self._start = boot()
        self._is_kept = synchronised()
        self._kept_since = self._unkept_since = self._start
        self._settled = 0.0 if not self._is_kept else max(0.0, self._start - SETTLED)
        self.label = self._labelled(self._offset(), self._start, self._settled)

    def now(self) -> float:
        """The core's clock."""
        return self._start + (self._boot() - self._start) * self.pace

    def to_unix(self, core_time: float) -> float:
        """When that is on the wall."""
        return self.label.to_unix(core_time)

    def from_unix(self, unix_time: float) -> float:
        """When that is on the core's clock; before the board was started it is negative."""
        return unix_time - self.label.offset

    def look(self) -> float:
        """Follow the wall clock if it has stepped; returns by how many seconds, 0 if it has not."""
        boot = self._boot()
        step = self._offset() - self.label.offset
        is_kept = self._synchronised()
        if is_kept and boot - self._kept_since > SETTLED and self._is_kept:
            self._settled = max(self._settled, boot - SETTLED)
        if self._is_kept and not is_kept:
            self._settled = max(self._settled, boot)
            self._unkept_since = boot
        if is_kept and not self._is_kept:
            self._kept_since = boot
        changed, self._is_kept = is_kept is not self._is_kept, is_kept
        if abs(step) < STEP and not changed:
            return 0.0
        stepped = step if abs(step) >= STEP else 0.0
        self.label = self._labelled(self.label.offset + stepped, boot, self._settled)
        return stepped

    @property
    def is_set(self) -> bool:
        """Whether the wall clock can be right at all."""
        return self._wall() >= EARLIEST

    @property
    def unkept_for(self) -> float:
        """For how long, in s, nobody has kept the wall clock right."""
        return 0.0 if self._is_kept else self._boot() - self._unkept_since

    def _offset(self) -> float:
        """How many s the wall clock is ahead of the count; both are read again if time passed meanwhile."""
        if not self.is_set:
            return EARLIEST
        pairs = []
        for _ in range(TRIES):
            before, wall, after = self._boot(), self._wall(), self._boot()
            pairs.append((after - before, wall - (before + after) / 2))
            if after - before < AT_ONCE:
                break
        return min(pairs)[1]

    def _labelled(self, offset: float, boot: float, since: float) -> Label:
        whole = round(offset, 3)
        core = self.now() if self.pace != 1.0 else boot
        at_offset, at, from_then = (round(1000 * time) for time in (whole, core, since))
        return Label(whole, Mark(self._name, at_offset, at, from_then, self._is_kept and self.is_set))
