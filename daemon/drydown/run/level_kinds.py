"""What a change of the level is: from its rate, the stage of the batch, the blower, and what people say."""

from dataclasses import dataclass

from drydown.run.movement import LevelKind
from drydown.run.stages import Stage

LITRE, MINUTE = 1e-3, 60.0
FAST = 2.5 * LITRE / MINUTE  # m³/s: five times the leak that must not be missed; a hose gives more
SMALL = 10.0 * LITRE  # what comes out when the bottom is drained; common practice, no source
RIPE = {False: 90.0, True: 120.0}  # s until a slow fall, or any while it bubbles, is called a leak
DRAWN_IN = (Stage.RESTING, Stage.READY, Stage.DRAWN)


@dataclass(frozen=True, slots=True)
class Course:
    """A change of the level so far: `lasted` in s, `moved` in m³; `declared` by a person, where one did."""

    rises: bool
    bubbling: bool
    stage: Stage
    is_fast: bool
    lasted: float
    moved: float
    is_confirmed: bool
    is_below_standpipe: bool
    declared: LevelKind | None = None


def kind_of(course: Course) -> LevelKind | None:
    """What it is; None while it is too early to say.

    Who draws does so through the standpipe, from fuel that has rested, and fast. What comes out of the bottom
    by a person's hand is little. Whatever else falls is a leak, or a drain that was left open.
    """
    if not course.is_confirmed:
        return None
    if course.rises:
        return LevelKind.FOAM if course.bubbling else LevelKind.FILLING
    if course.declared:
        return course.declared
    if course.bubbling or not course.is_fast:
        return LevelKind.LEAK if course.lasted >= RIPE[course.bubbling] else None
    if course.stage in DRAWN_IN and not course.is_below_standpipe:
        return LevelKind.DRAW
    return LevelKind.DRAIN if course.moved <= SMALL else LevelKind.LEAK


def at_its_end(kind: LevelKind | None, course: Course) -> LevelKind | None:
    """What it was, now that it is over: little that was let out of resting fuel came from the bottom."""
    if kind is LevelKind.DRAW and course.stage is Stage.RESTING and course.moved <= SMALL:
        return course.declared or LevelKind.DRAIN
    return kind
