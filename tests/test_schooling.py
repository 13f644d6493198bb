"""When a run teaches and what the next estimate begins with, through the real core on a simulated tank."""

from functools import lru_cache

import numpy as np
import pytest

from drydown.commands import Command, CorrectStage, Forget
from drydown.core import Core
from drydown.effects import Effect, Estimated, StageChanged, Taught
from drydown.estimate.lesson import Lesson
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.reading import Reading
from drydown.run.stages import Stage
from support.probed_tank import tank_with

PROBES = ("fuel/temperature", "fuel/level", "blower/running")
TANK = tank_with({name: {"simulated": True} for name in PROBES})
STEP, BUBBLED = 10.0, 1800.0  # s


def play(core: Core, commands: dict[float, Command], until: float) -> list[Effect]:
    """The simulated tank's own readings; commands at s since the blower first ran, after which all ends."""
    effects: list[Effect] = []
    live, now, started = LiveTank(scenario_of(TANK)), 0.0, None
    due = dict(commands)
    while started is None or now - started <= until:
        seen = live.look(now).readings
        if started is None and seen["blower/running"]:
            started = now
        effects += core.step(now, [Reading(name, now, seen[name]) for name in PROBES], ())
        for at in [at for at in due if started is not None and now - started >= at]:
            effects += core.step(now, (), [due.pop(at)])
        now += STEP
    return effects


def lessons(effects: list[Effect]) -> list[Lesson]:
    return [effect.lesson for effect in effects if isinstance(effect, Taught)]


RESTING, SETTLING = (CorrectStage(stage, "Wren") for stage in (Stage.RESTING, Stage.SETTLING))


@lru_cache
def first_run() -> Lesson:
    (lesson,) = lessons(play(Core(TANK), {BUBBLED: RESTING}, BUBBLED + 60))
    return lesson


def test_a_run_that_ends_teaches_once_after_its_stage() -> None:
    core = Core(TANK)
    effects = play(core, {BUBBLED: RESTING}, BUBBLED + 60)
    told = [effect for effect in effects if isinstance(effect, StageChanged | Taught)]
    assert isinstance(told[-1], Taught)
    assert isinstance(told[-2], StageChanged)
    assert (told[-2].stage, told[-2].time) == (Stage.RESTING, told[-1].time)
    (lesson,) = lessons(effects)
    assert core.lesson == lesson == first_run()
    assert (lesson.runs, lesson.since) == (1, told[-1].time)
    assert np.diag(np.array(lesson.learned.covariance)).min() < 0.9


def test_a_run_of_some_minutes_teaches_nothing() -> None:
    core = Core(TANK)
    assert lessons(play(core, {600.0: RESTING}, 660.0)) == []
    assert core.lesson is None


def test_the_next_run_begins_with_it_and_is_surer_sooner() -> None:
    widths = []
    for lesson in (None, first_run()):
        told = [e.estimate for e in play(Core(TANK, lesson), {}, 600.0) if isinstance(e, Estimated)]
        assert told[-1].methanol is not None
        widths.append(told[-1].methanol.high / told[-1].methanol.low)
    assert widths[1] < widths[0]


def test_a_second_run_builds_on_the_first() -> None:
    (second,) = lessons(play(Core(TANK, first_run()), {BUBBLED: RESTING}, BUBBLED + 60))
    assert (second.runs, second.since) == (2, first_run().since)


def test_another_fuel_begins_with_what_the_run_taught_and_only_once() -> None:
    """As much as a core of its own that is given the lesson."""
    core = Core(TANK)
    effects = play(core, {BUBBLED: RESTING, BUBBLED + 30: SETTLING}, BUBBLED + 60)
    assert lessons(effects) == [first_run()]
    assert core.lesson == first_run()
    assert core._estimator._mean.tolist() == Core(TANK, first_run())._estimator._mean.tolist()
    skipped = play(Core(TANK), {BUBBLED: SETTLING}, BUBBLED + 60)
    assert lessons(skipped) == [first_run()], "it ends by another fuel too"


def test_forgetting_while_the_fuel_rests_leaves_what_is_told_of_it() -> None:
    core = Core(TANK)
    effects = play(core, {BUBBLED: RESTING, BUBBLED + 30: Forget("Wren")}, BUBBLED + 300)
    assert core.lesson is None
    last = [effect.estimate for effect in effects if isinstance(effect, Estimated)][-1]
    assert last.methanol is not None
    started = [Reading("blower/running", core.scene.now + 10, True)]
    core.step(core.scene.now + 10, started, [CorrectStage(Stage.BUBBLING, "Wren")])
    assert not core._estimator._mean.any(), "but a further run begins with nothing"


def test_forgetting_in_the_middle_of_a_run_begins_anew_at_once() -> None:
    taught, untaught = Core(TANK, first_run()), Core(TANK)
    play(taught, {1200.0: Forget("Wren")}, 1200.0)
    play(untaught, {}, 1200.0)
    assert taught.lesson is None
    assert not taught._estimator._mean.any()
    assert taught._estimator.intervals < untaught._estimator.intervals


def test_where_nothing_was_learned_forgetting_disturbs_no_run() -> None:
    forgetful, other = Core(TANK), Core(TANK)
    play(forgetful, {1200.0: Forget("Wren")}, 1500.0)
    play(other, {}, 1500.0)
    assert forgetful.estimate == other.estimate
    assert forgetful.estimate is not None
    assert forgetful.estimate.methanol is not None


@pytest.mark.parametrize("stage", [Stage.RESTING, Stage.READY, Stage.DRAWN, Stage.IDLE, Stage.SETTLING])
def test_whatever_stage_follows_a_run_has_ended(stage: Stage) -> None:
    core = Core(TANK)
    assert len(lessons(play(core, {BUBBLED: CorrectStage(stage, "Wren")}, BUBBLED + 30))) == 1
