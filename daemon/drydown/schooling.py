"""When a run teaches, when an estimate begins anew, and with what: the lessons of one tank."""

from dataclasses import dataclass

from drydown.config.model import Tank
from drydown.estimate.lesson import Learned, Lesson
from drydown.estimate.schooled import taught
from drydown.run.stages import Stage

RUNNING = (Stage.BUBBLING, Stage.PAUSED)
SHORT = 900.0  # s of bubbling: a shorter run teaches nothing


@dataclass(frozen=True, slots=True)
class Turn:
    """What a stage means for learning: the run is over; the estimate has to begin anew."""

    run_over: bool
    anew: bool


class Schooling:
    """One tank's. `lesson` is what the next estimate begins with."""

    def __init__(self, tank: Tank, lesson: Lesson | None) -> None:
        self.lesson = lesson
        self._tank = tank
        self._running = False
        self._has_bubbled = False  # the fuel that is in the tank
        self._spoilt = False  # what was forgotten is still in the estimate of this fuel

    @property
    def prior(self) -> Learned | None:
        """What an estimate begins with."""
        return self.lesson.learned if self.lesson else None

    def enter(self, stage: Stage) -> Turn:
        """The batch enters a stage."""
        was_running, self._running = self._running, stage in RUNNING
        other_fuel = stage is Stage.SETTLING and self._has_bubbled
        self._has_bubbled = (self._has_bubbled or stage is Stage.BUBBLING) and not other_fuel
        anew = other_fuel or (self._spoilt and self._running and not was_running)
        self._spoilt = self._spoilt and not anew
        return Turn(run_over=was_running and not self._running, anew=anew)

    def end_run(self, now: float, learned: Learned | None, run_time: float) -> Lesson | None:
        """What is known after a run of so many seconds of bubbling; None where it taught nothing new."""
        if learned is None or run_time <= SHORT:
            return None
        lesson = taught(self._tank, self.lesson, learned, now)
        self.lesson = lesson or self.lesson
        return lesson

    def forget(self) -> bool:
        """Somebody wants it forgotten; whether the estimate has to begin anew at once.

        Of a fuel that rests after its run there is nothing to estimate anew, so what was told of it stays.
        """
        if self.lesson is None:
            return False
        self.lesson = None
        self._spoilt = self._has_bubbled and not self._running
        return not self._spoilt
