"""A tank's room over time: what is published of it, and how it stands to the truth of a simulated evening."""

from dataclasses import dataclass, replace
from itertools import pairwise

import pytest

from drydown.airing import ENDS, NAMES, Airing
from drydown.alarms.scene import Scene
from drydown.estimate.result import Estimate, Prospect, Spread, Verdict
from drydown.estimate.ventilation import Ventilation
from drydown.physics import methanol
from drydown.quantities import DERIVED
from drydown.reading import Quality, Reading
from drydown.simulate.draw import draw
from drydown.simulate.scene import Room, play
from support.boathouse import heron

GUESS, CONTENT = Spread(1e-3, 7e-4, 1.4e-3), Spread(0.01, 0.007, 0.014)


def belief(emission: Spread | None = GUESS, content: Spread | None = CONTENT) -> Estimate:
    return Estimate(0.0, 0.0, content, None, None, emission, None, None, False, Verdict.DRYING)


def watched(**values: float | bool) -> Scene:
    known = {"blower/running": True, "fuel/temperature": 298.15} | {
        name.replace("__", "/"): value for name, value in values.items()
    }
    return Scene(heron(), values=known, volume=0.150)


def told(airing: Airing, scene: Scene, estimate: Estimate) -> dict[str, Reading]:
    airing.advance(scene, estimate)
    return {effect.reading.name: effect.reading for effect in airing.tell(scene, estimate)}


def test_every_answer_is_published_with_its_range_under_a_known_name() -> None:
    found = told(Airing(), watched(), belief())
    assert found.keys() == {name + tail for name in NAMES.values() for tail in ENDS.values()}
    assert found.keys() <= DERIVED.keys()
    for name in NAMES.values():
        ends = [found[name + tail].value for tail in ("/low", "", "/high")]
        assert ends == sorted(ends, key=float)  # type: ignore[arg-type]


def test_at_rest_it_tells_what_would_be_if_the_blower_started() -> None:
    found = told(Airing(), watched(blower__running=False), belief(Spread(0.0, 0.0, 2e-6)))
    assert found["room/methanol"].value == 0.0
    needed = found["room/fresh_air_needed"].value
    assert needed
    assert needed > 5.0  # a full start wants many times the air that a door lets in


def test_a_plan_knows_better_what_a_start_would_take() -> None:
    some = Spread(2e-3, 1.5e-3, 2.6e-3)
    start = Prospect(
        0.0, 0.0, None, None, some, emission_peak=some, fresh_air=some, fresh_air_against_fire=some
    )
    estimate = replace(belief(Spread(0.0, 0.0, 2e-6)), plan=(start,))
    found = told(Airing(), watched(blower__running=False), estimate)
    needed = found["room/fresh_air_needed"].value
    assert needed == pytest.approx(3 * 2e-3 / float(methanol.concentration(200e-6, 293.15)), rel=0.02)


def test_what_can_no_longer_be_told_is_taken_back_once() -> None:
    airing, scene = Airing(), watched()
    told(airing, scene, belief())
    lost = told(airing, scene, belief(None, None))
    assert {reading.quality for reading in lost.values()} == {Quality.BAD}
    assert all(reading.value is None for reading in lost.values())
    assert told(airing, scene, belief(None, None)) == {}
    assert scene.room_methanol is None


def test_the_alarm_looks_at_what_is_likely() -> None:
    scene = watched()
    Airing().advance(scene, belief())
    assert scene.room_methanol
    assert scene.room_methanol_likely
    assert 0.5 * scene.room_methanol < scene.room_methanol_likely < scene.room_methanol


@dataclass(frozen=True)
class Minute:
    """What was told of the room in one minute, and its truth as a mole fraction."""

    time: float
    running: bool
    told: Ventilation
    truth: float


def evening(air: float, mixing: float) -> list[Minute]:
    """Twenty minutes of bubbling in a room that has so many times the air and mixing factor configured."""
    scenario, _ = draw(3, "basic")
    room = Room(fresh_open=1.5 * air, mixing_factor=3.0 * mixing)
    tank = heron(room={"volume": room.volume, "fresh_air": 1.5, "mixing_factor": 3})
    scene, airing, found = Scene(tank), Airing(), []
    for moment in play(replace(scenario, room=room, switches=(600.0, 1800.0)), 3, 60.0):
        running, emission = bool(moment.readings["blower/running"]), moment.truth.emission
        scene.now, scene.values = moment.elapsed, {"blower/running": running}
        estimate = belief(Spread(emission, emission * 0.75, emission * 1.33))
        airing.advance(scene, estimate)
        list(airing.tell(scene, estimate))
        assert airing.state
        assert airing.ventilation
        truth = float(methanol.mole_fraction(moment.room_methanol, airing.state.temperature))
        found.append(Minute(moment.elapsed, running, airing.ventilation, truth))
    return found


@pytest.mark.parametrize(("air", "mixing"), [(1.0, 1.0), (1.4, 1.0), (1.0, 1.4), (1.3, 0.75), (0.8, 1.25)])
def test_the_simulated_truth_lies_in_the_range(air: float, mixing: float) -> None:
    minutes = [minute for minute in evening(air, mixing) if minute.truth > 20e-6]
    inside = [minute for minute in minutes if minute.told.room.low <= minute.truth <= minute.told.room.high]
    assert len(inside) >= 0.9 * len(minutes)
    assert len(minutes) > 20


def test_the_room_may_be_entered_when_it_was_said() -> None:
    minutes = evening(1.0, 1.0)
    stop = next(b for a, b in pairwise(minutes) if a.running and not b.running and b.truth > 250e-6)
    when = next(minute.time for minute in minutes if minute.time > stop.time and minute.truth < 250e-6)
    assert stop.told.enter_after
    assert stop.told.enter_after.low <= when - stop.time <= stop.told.enter_after.high
    assert stop.told.enter_after.median == pytest.approx(when - stop.time, abs=120.0)
