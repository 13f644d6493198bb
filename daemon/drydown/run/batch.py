"""Follows a batch through its stages: what blower and level say, walked through the table of `stages`."""

from collections.abc import Iterable, Iterator

from drydown.run.blower_timer import BlowerTimer
from drydown.run.fuel_level import FuelLevel
from drydown.run.movement import NOTABLE, LevelKind, Movement
from drydown.run.stages import PAUSE, Sign, Stage, following
from drydown.settling.rest import Rest

SIGNS = {LevelKind.FILLING: Sign.FILLED, LevelKind.DRAW: Sign.LOWERED}
EMPTY = 0.0005  # m³ above the standpipe, below which nothing can be drawn


class Batch:
    """The stage of the fuel in one tank, and the run it is in. Times in s on the core's clock.

    A run begins when the blower starts and ends when it has been off for PAUSE.
    """

    def __init__(self, rest: Rest) -> None:
        """`rest` learns from here when the fuel comes to rest, from others how warm and high it is."""
        self.rest = rest
        self.stage = Stage.IDLE
        self.since: float | None = None
        self.run_started: float | None = None
        self._is_found = False  # whether it was seen how full the tank is
        self._told: float | None = None  # when the movement that was last a sign began
        self._empty = False
        self._blower_changed: float | None = None
        self._corrected = float("-inf")

    def observe(
        self, now: float, timer: BlowerTimer, level: FuelLevel, movements: Iterable[Movement]
    ) -> Iterator[Stage]:
        """Look at the blower, the level and what has moved it since the last look; the stages entered."""
        for sign in self._signs(now, timer, level, movements):
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
        if not timer.running:
            self.rest.begin(now)
        return True

    def recall(self, run_started: float | None) -> None:
        """The stage was not corrected but is known from an earlier watch, as is when the run began."""
        self.run_started, self._corrected = run_started, float("-inf")
        self.rest.end()

    def _enter(self, now: float, stage: Stage, timer: BlowerTimer) -> None:
        if stage is Stage.BUBBLING and self.stage is not Stage.PAUSED:
            self.run_started = now
            timer.start_run()
        self.stage, self.since = stage, now

    def _signs(
        self, now: float, timer: BlowerTimer, level: FuelLevel, movements: Iterable[Movement]
    ) -> Iterator[Sign]:
        if timer.changed != self._blower_changed:
            self._blower_changed = timer.changed
            if timer.running or timer.changed is None:
                self.rest.end()
            else:
                self.rest.begin(timer.changed)
            yield Sign.STARTED if timer.running else Sign.STOPPED
        if min(timer.off_for(now), now - self._corrected) >= PAUSE:
            yield Sign.PAUSED_LONG
        if timer.off_for(now) > 0.0 and self.rest.is_over(now):
            yield Sign.RESTED
        for moved in movements:
            if moved.kind is LevelKind.FILLING and moved.volume > NOTABLE and not timer.running:
                self.rest.begin(now)
            if moved.kind in SIGNS and moved.volume > NOTABLE and moved.since != self._told:
                self._told = moved.since
                yield SIGNS[moved.kind]
        if level.is_calm and level.drawable is not None and timer.changed is not None:
            yield from self._level_signs(level.drawable)

    def _level_signs(self, drawable: float) -> Iterator[Sign]:
        if not self._is_found:
            self._is_found = True
            if drawable > NOTABLE and self.stage is Stage.IDLE:
                yield Sign.FILLED
        was_empty, self._empty = self._empty, drawable < EMPTY
        if self._empty and not was_empty:
            yield Sign.EMPTIED
