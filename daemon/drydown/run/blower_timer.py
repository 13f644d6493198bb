"""Counts the blower's running: this stretch, this run, and all time."""

from dataclasses import dataclass

GAP_LIMIT = 30.0  # s of running that are still counted after the last reading that said so
SAME_STRETCH = 300.0  # s without a watcher, after which a blower that runs is taken to have been started anew


@dataclass(frozen=True, slots=True)
class Meter:
    """What a blower's meter stood at, at a time on the core's clock. Figures in s."""

    time: float
    total: float
    starts: int
    running: bool
    stretch: float


class BlowerTimer:
    """Fed with every reading of the blower that can be believed; tolerant of gaps between them.

    Between two readings the blower is taken to do what the earlier one said, for at most GAP_LIMIT: time
    about which nothing is known is not counted as running. All figures are in s.
    """

    def __init__(self) -> None:
        self.total = 0.0
        self.starts = 0
        self.run = 0.0
        self.stretch = 0.0
        self.running = False
        self.changed: float | None = None  # when it last went on or off
        self._counted: float | None = None  # up to when time has been counted
        self._read = 0.0  # time of the last reading
        self._before: Meter | None = None  # of an earlier watcher, until the blower is read

    def observe(self, time: float, running: bool) -> None:
        """Take in a reading of the blower. One that is older than the last is ignored."""
        if self._counted is not None and time < self._read:
            return
        self._count(min(time, self._read + GAP_LIMIT))
        if self._before:
            self._take_up(self._before, time)
        self._read = self._counted = time
        if running == self.running and self.changed is not None:
            return
        if running and not self.running:
            self.starts += 1
            self.stretch = 0.0
        self.running = running
        self.changed = time

    def advance(self, now: float) -> None:
        """Count the time up to now."""
        if self._counted is not None and now > self._counted:
            self._count(min(now, self._read + GAP_LIMIT))

    def _count(self, until: float) -> None:
        """Count up to a time, or back to it: a reading comes a little later than what it tells of."""
        if self._counted is None or not self.running:
            return
        gone = until - self._counted
        self.stretch = max(0.0, self.stretch + gone)
        self.run = max(0.0, self.run + gone)
        self.total = max(0.0, self.total + gone)
        self._counted = until

    def set_meter(self, total: float, starts: int) -> None:
        """What the blower's hour meter stands at, for one who knows it better."""
        self.total, self.starts = total, starts

    def meter(self, now: float) -> Meter:
        """What somebody else needs to go on counting."""
        return self._before or Meter(now, self.total, self.starts, self.running, self.stretch)

    def recall(self, kept: Meter) -> None:
        """What an earlier watcher kept; of what is known already, the larger of both."""
        knows_less = self._counted is None or kept.time >= self._read
        if kept.total >= self.total and knows_less:
            if kept.starts == self.starts:
                self.run += kept.total - self.total
            self._before, self._counted = kept, None
        self.set_meter(max(kept.total, self.total), max(kept.starts, self.starts))

    def _take_up(self, kept: Meter, time: float) -> None:
        """The first reading since: what went on meanwhile is not known, and little of it counted."""
        self._before, was_running = None, self.running
        gone = max(time - kept.time, 0.0)  # a board without a clock may have gone back
        self.running = kept.running and gone <= SAME_STRETCH
        if self.running:
            self.stretch, self._counted = kept.stretch, time - min(gone, GAP_LIMIT)
            self._count(time)
        if self.running is not was_running:
            self.changed = time

    def start_run(self) -> None:
        """From here on a new run is counted."""
        self.run = 0.0

    def off_for(self, now: float) -> float:
        """How long the blower has been off, in s; 0 while it runs or was never read."""
        return 0.0 if self.running or self.changed is None else now - self.changed
