"""What was recorded of learning: the last lesson of a tank, and whether somebody had it forgotten since."""

from dataclasses import dataclass

from drydown.config.model import Tank
from drydown.estimate.lesson import Clock, Lesson, lesson_of
from drydown.estimate.lesson_use import fits
from drydown.store.read import EVER, Event, StoreReader


@dataclass(frozen=True, slots=True)
class Kept:
    """The last lesson, its times in Unix s: when it was taught, and who had it forgotten when."""

    lesson: Lesson
    time: float
    forgotten_at: float | None = None
    forgotten_by: str = ""

    def serves(self, tank: Tank) -> bool:
        """Whether the next run of this tank begins with it."""
        return self.forgotten_at is None and fits(self.lesson, tank)


def kept_lesson(reader: StoreReader, tank: str, until: float) -> Kept | None:
    """The last lesson of a tank up to a Unix time; None where no run has taught anything that can be read."""
    (taught,) = reader.events(tank, EVER, until, ["taught"], limit=1) or (None,)
    if taught is None:
        return None
    try:
        lesson = lesson_of(taught.body, float)
    except (KeyError, TypeError, ValueError):
        return None  # of another make
    forgot = next(filter(_is_forget, reader.events(tank, taught.time, until, ["command"])), None)
    if forgot is None:
        return Kept(lesson, taught.time)
    return Kept(lesson, taught.time, forgot.time, str(forgot.body.get("who", "")))


def lesson_at(reader: StoreReader, tank: Tank, time: float, from_unix: Clock) -> Lesson | None:
    """What a run that began at a Unix time began with, its own times on the core's clock."""
    kept = kept_lesson(reader, tank.name, time)
    if kept is None or not kept.serves(tank):
        return None
    lesson = kept.lesson
    return Lesson(lesson.learned, lesson.owner, lesson.unknowns, lesson.runs, from_unix(lesson.since))


def _is_forget(event: Event) -> bool:
    return event.body.get("command") == "forget"
