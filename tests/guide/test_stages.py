"""The page about stages leaves none out."""

from drydown.guide.stages import MEANINGS, page
from drydown.run.movement import LevelKind
from drydown.run.stages import TRANSITIONS, Stage


def test_every_stage_step_and_change_of_the_level_is_on_the_page() -> None:
    told = page()
    assert set(MEANINGS) == set(Stage)
    for (stage, sign), after in TRANSITIONS.items():
        assert f"| {stage} | {sign} | {after} |" in told
        assert f"    {stage} --> {after}: {sign}\n" in told
    for kind in LevelKind:
        assert f"| {kind} | " in told
