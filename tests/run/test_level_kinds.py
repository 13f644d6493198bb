"""What a change of the level is taken for, as a table."""

from dataclasses import replace

import pytest

from drydown.run.level_kinds import RIPE, SMALL, Course, at_its_end, kind_of
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage

FALL = Course(
    rises=False, bubbling=False, stage=Stage.READY, is_fast=True, lasted=60.0, moved=0.020,
    is_confirmed=True, is_below_standpipe=False,
)  # fmt: skip
LITTLE = replace(FALL, moved=SMALL)
SLOW = replace(FALL, is_fast=False, lasted=RIPE[False])


@pytest.mark.parametrize(
    ("course", "kind"),
    [
        (FALL, LevelKind.DRAW),
        (replace(FALL, is_confirmed=False), None),
        (replace(FALL, stage=Stage.DRAWN), LevelKind.DRAW),
        (replace(FALL, is_below_standpipe=True), LevelKind.LEAK),
        (replace(LITTLE, is_below_standpipe=True), LevelKind.DRAIN),
        (replace(FALL, stage=Stage.SETTLING), LevelKind.LEAK),
        (replace(LITTLE, stage=Stage.SETTLING), LevelKind.DRAIN),
        (replace(LITTLE, stage=Stage.PAUSED), LevelKind.DRAIN),
        (replace(FALL, is_fast=False), None),  # too early to say
        (SLOW, LevelKind.LEAK),
        (replace(FALL, bubbling=True, stage=Stage.BUBBLING), None),
        (replace(FALL, bubbling=True, stage=Stage.BUBBLING, lasted=RIPE[True]), LevelKind.LEAK),
        (replace(FALL, rises=True), LevelKind.FILLING),
        (replace(FALL, rises=True, bubbling=True), LevelKind.FOAM),
        *[
            (replace(SLOW, declared=kind, stage=stage), kind)
            for kind in (LevelKind.DRAW, LevelKind.DRAIN)
            for stage in Stage
        ],
        (replace(FALL, rises=True, declared=LevelKind.DRAW), LevelKind.FILLING),
    ],
)
def test_a_change_is_what_its_course_says(course: Course, kind: LevelKind | None) -> None:
    assert kind_of(course) is kind


def test_little_out_of_resting_fuel_came_from_the_bottom() -> None:
    little = replace(LITTLE, stage=Stage.RESTING)
    assert at_its_end(LevelKind.DRAW, little) is LevelKind.DRAIN
    assert at_its_end(LevelKind.DRAW, replace(little, declared=LevelKind.DRAW)) is LevelKind.DRAW
    assert at_its_end(LevelKind.DRAW, replace(little, moved=2 * SMALL)) is LevelKind.DRAW
    assert at_its_end(LevelKind.DRAW, replace(little, stage=Stage.READY)) is LevelKind.DRAW
