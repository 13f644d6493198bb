"""Scenarios: drawn ones, the demo's batch, and how a scene moves on."""

import statistics
from dataclasses import replace
from random import Random

import pytest

from drydown.simulate.batch import HERON, Timetable, heron
from drydown.simulate.draw import KITS, draw
from drydown.simulate.instruments import EVERYTHING
from drydown.simulate.scene import Moment, Spell, go_on, open_scene, play, step
from drydown.simulate.tank import observe

MINUTE = 60.0
METHANOL_LIMIT, WATER_LIMIT = 0.0020, 500e-6  # EN 14214


@pytest.fixture(scope="module")
def story() -> dict[float, Moment]:
    """The demo's batch by the minute."""
    return {moment.elapsed: moment for moment in play(heron(), seed=1, interval=MINUTE)}


def test_any_step_leads_to_the_same_tank() -> None:
    scenario, _ = draw(5, "air")
    one, many = open_scene(scenario), open_scene(scenario)
    one, _ = step(one, 3600.0, Random(1))
    for _ in range(60):
        many, _ = step(many, 60.0, Random(1))
    assert one.elapsed == many.elapsed == 3600.0
    assert one.state == many.state
    assert one.room_methanol == many.room_methanol


def test_odd_steps_stay_close_to_even_ones() -> None:
    scenario, _ = draw(5, "air")
    odd, even = open_scene(scenario), open_scene(scenario)
    even, _ = step(even, 5400.0, Random(1))
    for _ in range(750):
        odd, _ = step(odd, 7.2, Random(1))
    assert odd.elapsed == pytest.approx(5400.0)
    assert odd.state.methanol == pytest.approx(even.state.methanol, rel=0.01)


def test_a_fault_that_no_scenario_foresaw_can_be_played() -> None:
    scenario, _ = draw(5, "basic")
    scene = open_scene(scenario)
    leaking = replace(scenario.inputs(0.0), drawing=0.5e-3 / 60.0)
    later = go_on(scene, leaking, 600.0)
    before, after = (observe(scenario.tank, s.state, leaking).volume for s in (scene, later))
    assert before - after == pytest.approx(0.005, rel=0.02)


def test_room_settles_where_fresh_air_meets_emission() -> None:
    """C = G m / Q at steady state (textbook form, ACGIH Industrial Ventilation)."""
    scenario = heron()
    scene = open_scene(scenario)
    inputs = replace(scenario.inputs(40 * MINUTE), fresh_air=20.0)  # settles in seconds
    for _ in range(60):
        scene = go_on(scene, inputs, 1.0)
    emission = observe(scenario.tank, scene.state, inputs).emission
    expected = emission * scenario.room.mixing_factor / 20.0
    assert scene.room_methanol == pytest.approx(expected, rel=0.02)  # emission falls meanwhile


def test_surges_multiply_the_flow_while_they_last() -> None:
    scenario = replace(heron(), surges=(Spell(10.0, 20.0, 1.1), Spell(15.0, 30.0, 0.5)))
    factors = [scenario.inputs(t).flow_factor for t in (5.0, 12.0, 17.0, 25.0, 30.0)]
    assert factors == pytest.approx([1.0, 1.1, 0.55, 0.5, 1.0])


def test_drawn_tanks_are_as_various_as_real_ones() -> None:
    drawn = [draw(seed, "basic") for seed in range(300)]
    starts = [s.start for s, _ in drawn]
    methanol = [s.methanol / (s.esters + s.methanol + s.water) for s in starts]
    assert min(methanol) >= 0.0044
    assert max(methanol) <= 0.0601
    assert statistics.median(methanol) == pytest.approx(0.012, rel=0.15)
    assert min(s.temperature for s in starts) < 287.0
    assert max(s.temperature for s in starts) > 321.0
    flows = [s.tank.blower.flow / rated for s, rated in drawn]
    assert statistics.stdev(flows) == pytest.approx(0.25, rel=0.2)
    volumes = [observe(s.tank, s.start, s.inputs(0.0)).volume for s, _ in drawn]
    assert 0.08 < min(volumes) < 0.10
    assert 0.28 < max(volumes) < 0.35
    pauses = [len(s.switches) == 3 for s, _ in drawn]
    assert 0.25 < statistics.fmean(pauses) < 0.45
    room = [s.inputs(0.0).room_temperature for s, _ in drawn]
    assert min(room) < 273.0
    assert max(room) > 300.0


def test_kit_changes_nothing_but_what_is_read() -> None:
    basic, air = (draw(11, kit)[0] for kit in ("basic", "air"))
    assert replace(basic, probes=air.probes) == air
    assert air.probes.kit == KITS["air"]


def test_heron_holds_what_its_story_says() -> None:
    assert HERON.volume(HERON.cone_height + HERON.height) == pytest.approx(0.210, abs=0.001)


def test_story_settles_bubbles_dries_rests_and_is_drawn(story: dict[float, Moment]) -> None:
    t = Timetable()
    begins, pause, done, last = (story[x] for x in (t.starts, t.pauses, t.stops, t.ends))
    assert begins.truth.methanol > 0.01
    assert begins.truth.fuel_temperature - 273.15 == pytest.approx(37.5, abs=1.0)
    assert METHANOL_LIMIT / 3.0 < pause.truth.methanol < METHANOL_LIMIT
    assert done.truth.methanol < METHANOL_LIMIT / 20.0
    assert done.truth.water < 0.8 * WATER_LIMIT
    assert last.truth.water == pytest.approx(done.truth.water, rel=0.01)
    assert done.truth.volume - last.truth.volume == pytest.approx(0.020, abs=0.001)


def test_story_has_the_door_open_whenever_it_bubbles(story: dict[float, Moment]) -> None:
    readings = [moment.readings for moment in story.values()]
    assert {tuple(found) for found in readings} == {EVERYTHING}
    assert any(found["blower/running"] for found in readings)
    assert all(found["vent/open"] for found in readings if found["blower/running"])
    assert not all(found["vent/open"] for found in readings)


def test_story_keeps_the_room_far_below_what_burns(story: dict[float, Moment]) -> None:
    """A tenth of the lower flammable limit of 6 % (NIOSH Pocket Guide)."""
    worst = max(float(moment.readings["vapour/methanol"]) for moment in story.values())
    assert 500e-6 < worst < 0.1 * 0.06
