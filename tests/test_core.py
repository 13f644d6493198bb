"""The core of a tank: the same input gives the same output, in order, whatever comes in."""

import json
import math
from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.commands import Acknowledge, BenchTest, CorrectStage
from drydown.core import Core, own_share
from drydown.effects import AlarmChanged, Conditioned, Derived, Effect, Estimated, NoticeDue, StageChanged
from drydown.estimate.result import Verdict
from drydown.lines import effect_of, line_of
from drydown.quantities import DERIVED, MEASURED
from drydown.reading import Quality, Reading
from drydown.run.stages import Stage
from support.boathouse import CELSIUS, at_rest, heron
from support.story import Climbs, Fails, Story


def evening() -> Story:
    """Half an hour at rest, an hour of bubbling that cools the fuel by 5 K and lifts it again, and a rest."""
    story = Story(
        heron(), at_rest(air__temperature=18 + CELSIUS, air__humidity=0.5, vent__open=True), every=10
    )
    story.at(
        1800, {"blower/running": True, "fuel/level": 0.63, "fuel/temperature": Climbs(25 + CELSIUS, -0.003)}
    )
    story.at(3400, {"fuel/temperature": Climbs(20.2 + CELSIUS, 0.0005)})
    story.at(5400, {"blower/running": False, "fuel/level": 0.60})
    return story


def lines_of(effects: list[Effect]) -> str:
    return "\n".join(json.dumps(line_of(effect, float)) for effect in effects)


def test_the_same_readings_give_the_same_bytes() -> None:
    first, second = evening(), evening()
    for story in (first, second):
        story.play(9600, kinds=())
    assert lines_of(first.effects) == lines_of(second.effects)


def test_lines_lead_back_to_the_effects() -> None:
    story = evening()
    story.play(6000, kinds=())
    for effect in story.effects:
        line = line_of(effect, float)
        assert line_of(effect_of(json.loads(json.dumps(line)), float), float) == line


def test_an_evening_passes_through_its_stages_without_a_false_alarm() -> None:
    story = evening()
    story.want("stage settling", 0, 60)
    story.want("stage bubbling", 1800, 1800)
    story.want("stage paused", 5400, 5400)
    story.want("stage resting", 9000, 9000)
    core = story.play(9600, (StageChanged,))
    assert core.timer.run == pytest.approx(3600, abs=10)
    assert all(not alarm.standing for alarm in core.panel.alarms.values())


def test_an_estimate_comes_every_minute_and_at_once_when_the_blower_starts() -> None:
    story = evening()
    story.play(3000, kinds=())
    times = [
        effect.estimate.time - story.beginning for effect in story.effects if isinstance(effect, Estimated)
    ]
    turn = times[1]
    assert 0 < turn <= 60
    assert times[:3] == [0, turn, turn + 60]
    assert 1800 in times
    assert max(b - a for a, b in pairwise(times)) <= 60


def test_tanks_take_turns_at_estimating() -> None:
    turns = Counter(round(60 * own_share(f"tank-{number}")) for number in range(1, 51))
    assert max(turns.values()) <= 5
    assert all(1 <= turn <= 60 for turn in turns)


def test_every_reading_comes_out_judged_and_first() -> None:
    story = evening()
    core = Core(story.tank)
    readings = [Reading("fuel/temperature", 5.0, 298.0), Reading("fuel/level", 5.0, 0.6)]
    effects = core.step(5.0, [*readings, Reading("blower/running", 5.0, None, Quality.BAD, "no pin")], ())
    assert [effect.reading.name for effect in effects if isinstance(effect, Conditioned)] == [
        "fuel/temperature",
        "fuel/level",
        "blower/running",
    ]


def test_what_is_derived_has_sensible_values() -> None:
    story = evening()
    story.play(1200, kinds=())
    derived = {
        effect.reading.name: effect.reading.value for effect in story.effects if isinstance(effect, Derived)
    }
    assert derived["fuel/volume"] == pytest.approx(math.pi * 0.09 * 0.60 * 0.9918, rel=1e-3)  # 25 °C to 15 °C
    assert derived["fuel/drawable"] == pytest.approx(math.pi * 0.09 * (0.60 - 0.152) * 0.9918, rel=1e-3)
    assert derived["blower/run_time"] == 0


def test_the_volume_does_not_jump_when_the_temperature_is_lost() -> None:
    core = Core(evening().tank)
    told: list[Reading] = []
    for second in range(400):
        now = float(second)
        warm = Reading("fuel/temperature", now, 313.15)
        lost = Reading("fuel/temperature", now, None, Quality.BAD, "unplugged")
        readings = [Reading("blower/running", now, False), Reading("fuel/level", now, 0.6)]
        effects = core.step(now, [*readings, lost if second > 200 else warm], ())
        told += [e.reading for e in effects if isinstance(e, Derived) and e.reading.name == "fuel/volume"]
    volumes = {reading.time: reading.value for reading in told}
    assert max(volumes) > 390
    assert volumes[max(volumes)] == volumes[200.0]


def test_the_level_is_corrected_for_bubbles() -> None:
    story = evening()
    story.play(3000, kinds=())
    volumes = [
        e.reading.value for e in story.effects if isinstance(e, Derived) and e.reading.name == "fuel/volume"
    ]
    still, bubbling = volumes[-200], volumes[-1]
    assert isinstance(still, float)
    assert bubbling == pytest.approx(still, rel=0.01)


def test_a_person_corrects_the_stage() -> None:
    story = evening()
    story.do(6000, CorrectStage(Stage.READY, "Ada"))
    story.want("stage settling", 0, 60)
    story.want("stage bubbling", 1800, 1800)
    story.want("stage paused", 5400, 5400)
    story.want("stage ready", 6000, 6000)
    story.play(9600, (StageChanged,))
    assert (
        next(e.by for e in story.effects if isinstance(e, StageChanged) and e.stage is Stage.READY) == "Ada"
    )


def test_a_bench_test_moves_the_estimate_towards_it() -> None:
    def water_after(value: float | None) -> float:
        story = evening()
        if value is not None:
            story.do(3000, BenchTest("water", value, 0.00002, "Ada"))
        core = story.play(3000, kinds=())
        assert core.estimate is not None
        assert core.estimate.water is not None
        return core.estimate.water.median

    low, without, high = water_after(0.0002), water_after(None), water_after(0.0012)
    assert low <= without <= high
    assert low < high


def test_an_order_for_an_alarm_that_does_not_exist_does_nothing() -> None:
    story = evening()
    story.do(100, Acknowledge("no-such-alarm", "Ada"))
    story.play(200, (AlarmChanged, NoticeDue))


NAMES = st.sampled_from(sorted(MEASURED))
VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.floats(allow_nan=True, allow_infinity=True),
    st.floats(min_value=200, max_value=400),
)


@st.composite
def batches(draw: st.DrawFn) -> list[tuple[float, list[Reading]]]:
    """Any readings of any quantities at any rising times."""
    now = draw(st.floats(min_value=-1e6, max_value=2e9))
    found = []
    for _ in range(draw(st.integers(min_value=1, max_value=25))):
        now += draw(st.sampled_from([0.0, 1.0, 10.0, 61.0, 4000.0, 90000.0]))
        names = draw(st.lists(NAMES, max_size=6))
        found.append(
            (
                now,
                [
                    Reading(name, now - draw(st.sampled_from([0.0, 0.5, -5.0])), draw(VALUES))
                    for name in names
                ],
            )
        )
    return found


@settings(max_examples=60)
@given(batches())
def test_nothing_that_comes_in_breaks_the_core(run: list[tuple[float, list[Reading]]]) -> None:
    core = Core(heron())
    for now, readings in run:
        effects = core.step(now, readings, ())
        assert core.due > now
        judged = [effect.reading for effect in effects if isinstance(effect, Conditioned)]
        assert [reading.name for reading in judged[: len(readings)]] == [reading.name for reading in readings]
        for effect in effects:
            if isinstance(effect, Derived):
                assert effect.reading.name in DERIVED
                assert math.isfinite(float(effect.reading.value or 0.0))
            if isinstance(effect, Estimated):
                _is_sound(effect)


def _is_sound(effect: Estimated) -> None:
    estimate = effect.estimate
    for name in ("methanol", "water", "water_floor", "emission", "methanol_done_at", "dry_at"):
        spread = getattr(estimate, name)
        if spread is None:
            continue
        assert all(map(math.isfinite, (spread.low, spread.median, spread.high)))
        assert spread.low <= spread.median <= spread.high
        if not name.endswith("_at"):
            assert spread.low >= 0


def test_each_milestone_is_told_once_a_run() -> None:
    story = evening()
    story.play(9600, kinds=())
    keys = [effect.key for effect in story.effects if isinstance(effect, NoticeDue)]
    assert len(keys) == len(set(keys))


def test_a_probe_that_is_away_for_a_while_does_not_stop_the_hours() -> None:
    story = evening()
    story.at(3000, {"blower/running": Fails()})
    story.at(3300, {"blower/running": True})
    core = story.play(5400, kinds=())
    assert core.timer.run == pytest.approx(3600 - 270, abs=20)  # 30 s of the gap still count


def test_a_reading_that_comes_twice_or_late_does_not_make_its_probe_lost() -> None:
    core = Core(heron())
    for time in range(40):
        now = float(time)
        readings = [Reading("fuel/temperature", now, 298.0), Reading("fuel/temperature", now, 298.0)]
        readings += [
            Reading("fuel/temperature", now - 5, 297.9),
            Reading("fuel/temperature", now + 900, 298.0),
        ]
        readings += [Reading("fuel/level", now, 0.6), Reading("blower/running", now, False)]
        effects = core.step(now, readings, ())
        judged = [effect.reading.quality for effect in effects if isinstance(effect, Conditioned)]
        assert judged[:4] == [Quality.GOOD, Quality.BAD, Quality.BAD, Quality.BAD]
        assert core.scene.number("fuel/temperature") == 298.0
    assert not core.scene.lost


@pytest.mark.parametrize("level", [0.0, 0.00065])
def test_bubbling_an_empty_tank_gives_no_estimate(level: float) -> None:
    story = evening()
    story.values |= {"fuel/level": level}
    story._changes = [
        (time, {k: v for k, v in values.items() if k != "fuel/level"}) for time, values in story._changes
    ]
    story.play(5000, kinds=())
    told = [effect.estimate for effect in story.effects if isinstance(effect, Estimated)]
    assert len(told) > 80
    assert {(one.verdict, one.methanol, one.dry_at) for one in told} == {(Verdict.UNKNOWN, None, None)}


def test_a_tank_that_is_emptied_while_it_bubbles_has_no_estimate_any_more() -> None:
    story = evening()
    story.at(3600, {"fuel/level": 0.0})
    core = story.play(3900, kinds=())
    told = [effect.estimate for effect in story.effects if isinstance(effect, Estimated)]
    assert any(one.methanol for one in told)
    assert told[-1] == core.estimate
    assert (told[-1].verdict, told[-1].methanol, told[-1].plan) == (Verdict.UNKNOWN, None, ())
