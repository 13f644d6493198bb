"""What people and leaks do to the fuel in a tank, told as stories: changes of the level, and stages."""

import json
import math

import pytest

from drydown.commands import CorrectStage, Drain, Draw
from drydown.effects import LevelEvent, StageChanged
from drydown.lines import effect_of, line_of
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage
from support.boathouse import at_rest, heron
from support.story import Climbs, Story

AREA = math.pi * 0.30**2  # m², of the drum of 0.6 m
LITRE_A_MINUTE = 1e-3 / 60 / AREA  # m/s of the level
TOLD = (LevelEvent, StageChanged)


def at_15(volume: float) -> float:
    """What a volume at 25 °C, that of the stories, is at 15 °C: 0.00082 of it less a kelvin (878 kg/m³)."""
    return volume * (1 - 0.00082 * 10)


def fall(story: Story, start: float, level: float, rate: float, seconds: float) -> float:
    """From `start` on the level falls (rises: below zero) by so many L/min for so long; where it ends."""
    end = level - rate * LITRE_A_MINUTE * seconds
    story.at(start, {"fuel/level": Climbs(level, -rate * LITRE_A_MINUTE)})
    story.at(start + seconds, {"fuel/level": end})
    return end


def events(story: Story) -> list[LevelEvent]:
    return [effect for effect in story.effects if isinstance(effect, LevelEvent)]


def test_fuel_is_filled_in_drained_a_little_and_drawn_in_cans() -> None:
    story = Story(heron(), at_rest(fuel__level=0.16))
    level = fall(story, 600, 0.16, -30, 300)  # 150 L come in
    story.want("stage settling", 600, 660)
    story.want("level filling", 900, 960)
    level = fall(story, 1800, level, 6, 30)
    story.want("level drain", 1830, 1900)
    story.do(2400, CorrectStage(Stage.READY, "Wren"))
    story.want("stage ready", 2400, 2401)
    for start in (3000, 3300, 3600):  # cans of 20 L
        level = fall(story, start, level, 10, 120)
        story.want("level draw", start + 120, start + 190)
    story.want("stage drawn", 3000, 3090)
    story.play(4000, TOLD)
    filled, drained, *drawn = events(story)
    assert filled.volume.median == pytest.approx(at_15(0.150), rel=0.01)
    assert drained.volume.median == pytest.approx(at_15(0.003), rel=0.05)
    for draw in drawn:
        assert draw.volume.low <= at_15(0.020) <= draw.volume.high
        assert draw.volume.high - draw.volume.low < 0.002


def test_a_drain_of_the_whole_bottom_is_a_drain_where_somebody_says_so() -> None:
    story = Story(heron(), at_rest(fuel__level=0.60))
    story.want("stage settling", 0, 10)
    story.do(580, Drain("Wren"))
    fall(story, 600, 0.60, 8, 300)
    story.want("level drain", 900, 960)
    core = story.play(1200, TOLD)
    (drained,) = events(story)
    assert drained.by == "Wren"
    assert core.scene.movement.kind is None


def test_a_slow_draw_through_a_filter_is_a_draw_where_somebody_says_so() -> None:
    story = Story(heron(), at_rest(fuel__level=0.60))
    story.want("stage settling", 0, 10)
    story.do(590, Draw("Wren"))
    fall(story, 600, 0.60, 1.0, 900)
    story.want("level draw", 1470, 1520)
    story.play(1800, TOLD)


def test_a_leak_is_under_way_before_it_has_ended() -> None:
    story = Story(heron(), at_rest(fuel__level=0.60))
    story.want("stage settling", 0, 10)
    story.at(600, {"fuel/level": Climbs(0.60, -0.5 * LITRE_A_MINUTE)})
    core = story.play(780, TOLD)
    movement = core.scene.movement
    assert movement.kind is LevelKind.LEAK
    assert movement.rate == pytest.approx(-0.5e-3 / 60, rel=0.1)
    assert not movement.bubbling


def test_level_and_blower_that_change_in_one_moment_are_no_filling() -> None:
    """The gauge is read before the contact: it shows the bubbles a reading too early."""
    story = Story(heron(), at_rest(fuel__level=0.60), every=10)
    story.want("stage settling", 0, 10)
    story.do(100, CorrectStage(Stage.RESTING, "Wren"))
    story.want("stage resting", 100, 110)
    story.at(600, {"fuel/level": 0.66})
    story.at(610, {"blower/running": True})
    story.want("stage bubbling", 610, 620)
    story.at(2000, {"fuel/level": 0.60})
    story.at(2010, {"blower/running": False})
    story.want("stage paused", 2010, 2020)
    story.play(3000, TOLD)


def test_a_change_of_the_level_is_the_same_after_its_way_as_a_line() -> None:
    story = Story(heron(), at_rest(fuel__level=0.60))
    story.do(590, Draw("Wren"))
    fall(story, 600, 0.60, 10, 120)
    story.play(900, ())
    (event,) = events(story)
    line = json.loads(json.dumps(line_of(event, lambda time: time + 1e9)))
    assert line["kind"] == "level"
    assert line["level"] == "draw"
    back = effect_of(line, lambda time: time - 1e9)
    assert isinstance(back, LevelEvent)
    assert (back.kind, back.by) == (event.kind, "Wren")
    assert (back.start, back.time) == pytest.approx((event.start, event.time), abs=1e-3)
    for end in ("median", "low", "high"):
        assert getattr(back.volume, end) == pytest.approx(getattr(event.volume, end), rel=1e-4)
