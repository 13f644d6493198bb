"""Follows a batch through its stages: what blower and level say, walked through the table of `stages`."""

from collections.abc import Iterator

from drydown.run.blower_timer import BlowerTimer
from drydown.run.fuel_level import FuelLevel
from drydown.run.stages import PAUSE, REST, Sign, Stage, following

NOTABLE = 0.005  # m³; a smaller change of volume is no filling or drawing
EMPTY = 0.0005  # m³ above the standpipe, below which nothing can be drawn


class Batch:
    """The stage of the fuel in one tank, and the run it is in. Times in s on the core's clock.

    A run begins when the blower starts and ends when it has been off for PAUSE.
    """

    def __init__(self) -> None:
        self.stage = Stage.IDLE
        self.since: float | None = None
        self.run_started: float | None = None
        self._volume: float | None = None  # m³, what changes are held against
        self._empty = False
        self._blower_changed: float | None = None
        self._corrected = float("-inf")

    def observe(self, now: float, timer: BlowerTimer, level: FuelLevel) -> Iterator[Stage]:
        """Look at blower and level; the stages that are entered."""
        for sign in self._signs(now, timer, level):
            after = following(self.stage, sign)
            if after is not self.stage:
                self._enter(now, after, timer)
                yield after

    def correct(self, now: float, stage: Stage, timer: BlowerTimer) -> bool:
        """A person says which stage it really is; whether that is news."""
        if stage is self.stage:
            return False
        self._enter(now, stage, timer)
        self._corrected = now
        return True

    def _enter(self, now: float, stage: Stage, timer: BlowerTimer) -> None:
        if stage is Stage.BUBBLING and self.stage is not Stage.PAUSED:
            self.run_started = now
            timer.start_run()
        self.stage, self.since = stage, now

    def _signs(self, now: float, timer: BlowerTimer, level: FuelLevel) -> Iterator[Sign]:
        if timer.changed != self._blower_changed:
            self._blower_changed = timer.changed
            yield Sign.STARTED if timer.running else Sign.STOPPED
        off = min(timer.off_for(now), now - self._corrected)
        if off >= PAUSE:
            yield Sign.PAUSED_LONG
        if off >= REST:
            yield Sign.RESTED
        if level.is_calm and timer.changed is not None:
            yield from self._level_signs(level)
        elif timer.running:
            self._volume = None

    def _level_signs(self, level: FuelLevel) -> Iterator[Sign]:
        volume, drawable = level.volume, level.drawable
        if volume is None or drawable is None:
            return
        if self._volume is None:
            self._volume = volume
            if drawable > NOTABLE and self.stage is Stage.IDLE:
                yield Sign.FILLED
        if volume > self._volume + NOTABLE:
            self._volume = volume
            yield Sign.FILLED
        elif volume < self._volume - NOTABLE:
            self._volume = volume
            yield Sign.LOWERED
        was_empty, self._empty = self._empty, drawable < EMPTY
        if self._empty and not was_empty:
            yield Sign.EMPTIED
