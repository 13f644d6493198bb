"""The stages of a batch: the table, its diagram, and batches that walk it."""

import pytest

from drydown.run.batch import Batch
from drydown.run.blower_timer import BlowerTimer
from drydown.run.fuel_level import FuelLevel
from drydown.run.level_watch import LevelWatch
from drydown.run.movement import Movement
from drydown.run.stages import PAUSE, TRANSITIONS, Sign, Stage, diagram, following
from drydown.settling.rest import DAY
from support.boathouse import heron, resting


def test_the_usual_way_leads_from_idle_to_drawn() -> None:
    stage = Stage.IDLE
    way = [Sign.FILLED, Sign.STARTED, Sign.STOPPED, Sign.STARTED, Sign.STOPPED]
    way += [Sign.PAUSED_LONG, Sign.RESTED, Sign.LOWERED, Sign.FILLED]
    seen = [stage := following(stage, sign) for sign in way]
    assert seen == [
        Stage.SETTLING,
        Stage.BUBBLING,
        Stage.PAUSED,
        Stage.BUBBLING,
        Stage.PAUSED,
        Stage.RESTING,
        Stage.READY,
        Stage.DRAWN,
        Stage.SETTLING,
    ]


def test_a_sign_that_means_nothing_changes_nothing() -> None:
    assert following(Stage.BUBBLING, Sign.FILLED) is Stage.BUBBLING


def test_every_stage_is_reached_and_the_blower_always_leads_to_bubbling() -> None:
    assert {*TRANSITIONS.values(), Stage.IDLE} == set(Stage)
    for stage in Stage:
        assert following(stage, Sign.STARTED) is Stage.BUBBLING


def test_the_diagram_draws_the_table() -> None:
    drawn = diagram().splitlines()
    assert drawn[:2] == ["stateDiagram-v2", "    [*] --> idle"]
    assert "    paused --> resting: blower off for an hour" in drawn
    assert len(drawn) == 2 + len(TRANSITIONS)


class Evening:
    """A batch, its blower and its level, told what happens."""

    def __init__(self) -> None:
        self.timer, self.level, self.batch = BlowerTimer(), FuelLevel(heron()), Batch(resting())
        self.watch = LevelWatch(heron())
        self.now = 0.0
        self.stages: list[Stage] = []

    def goes_on(self, seconds: float, *, running: bool = False, level: float = 0.60) -> None:
        end = self.now + seconds
        while self.now < end:
            self.timer.observe(self.now, running)
            self.level.observe(self.now, level, running)
            events = self.watch.observe(self.now, level, self.level, None, self.batch.stage)
            movements = [Movement(one.kind, since=one.start, volume=one.volume.median) for one in events]
            movements.append(self.watch.movement)
            self.stages += self.batch.observe(self.now, self.timer, self.level, movements)
            self.now += 10


def test_a_pause_of_less_than_an_hour_does_not_end_the_run() -> None:
    evening = Evening()
    evening.goes_on(600)
    evening.goes_on(1200, running=True, level=0.63)
    began = evening.batch.run_started
    evening.goes_on(PAUSE - 60)
    evening.goes_on(600, running=True, level=0.63)
    assert evening.batch.run_started == began == 600
    assert evening.timer.run == 1200 + 590  # the last reading came 10 s ago
    assert evening.stages == [Stage.SETTLING, Stage.BUBBLING, Stage.PAUSED, Stage.BUBBLING]


def test_rest_ready_and_drawn_come_by_themselves() -> None:
    evening = Evening()
    evening.goes_on(600)
    evening.goes_on(1200, running=True, level=0.63)
    evening.goes_on(DAY + 600)
    assert evening.stages[-2:] == [Stage.RESTING, Stage.READY]
    evening.goes_on(600, level=0.55)
    evening.goes_on(600, level=0.80)
    assert evening.stages[-2:] == [Stage.DRAWN, Stage.SETTLING]


def test_fuel_that_comes_in_begins_the_rest_anew_and_the_blower_ends_it() -> None:
    evening = Evening()
    evening.goes_on(1200, running=True, level=0.63)
    evening.goes_on(600)
    rest = evening.batch.rest
    assert rest.since == 1200
    evening.goes_on(600, level=0.75)
    assert rest.since is not None
    assert 1800 < rest.since <= 2400
    filled = rest.since
    evening.goes_on(600, level=0.75)
    assert rest.since == filled
    evening.goes_on(60, running=True, level=0.78)
    assert rest.since is None


def test_a_blower_started_after_the_rest_begins_a_new_run() -> None:
    evening = Evening()
    evening.goes_on(1200, running=True, level=0.63)
    evening.goes_on(2 * PAUSE)
    evening.goes_on(100, running=True, level=0.63)
    assert evening.batch.run_started == 1200 + 2 * PAUSE
    assert evening.timer.run == 90


@pytest.mark.parametrize("stage", list(Stage))
def test_a_corrected_stage_stays_until_something_happens(stage: Stage) -> None:
    evening = Evening()
    evening.goes_on(600)
    evening.batch.correct(evening.now, stage, evening.timer)
    evening.goes_on(PAUSE / 2)
    assert evening.batch.stage is stage


def test_a_tank_that_is_found_empty_is_idle() -> None:
    evening = Evening()
    evening.goes_on(600, level=0.10)
    assert evening.batch.stage is Stage.IDLE
    evening.goes_on(600, level=0.60)
    assert evening.stages == [Stage.SETTLING]
