"""Why one run took longer than another: against the dilute law, the whole difference, and simulated tanks."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.differences import bubbled, explain
from drydown.estimate.result import Spread
from drydown.explained import Conditions
from drydown.physics import bubbling, fuel, solution
from drydown.simulate.tank import advance, begin
from support.weekly import Batch, scenario

LIMIT = 0.002


def sure(value: float) -> Spread:
    return Spread(value, value * 0.9, value * 1.1)


BASE = Conditions(sure(0.010), 308.0, 0.170, sure(0.0142), 2400.0)


def test_dilute_methanol_decays_with_the_time_constant_of_bubbling() -> None:
    partition = float(solution.partition_coefficient(1e-6, 308.0, fuel.density(308.0)))
    constant = float(bubbling.decay_time(0.170, 0.014, partition))
    time = 0.170 / 0.014 * bubbled(2e-6, 308.0, 1e-6)
    assert time == pytest.approx(constant * math.log(2.0), rel=1e-4)


conditions = st.builds(
    Conditions,
    methanol=st.floats(0.003, 0.03).map(sure),
    fuel_temperature=st.floats(285.0, 325.0),
    volume=st.floats(0.05, 0.2),
    flow=st.none() | st.floats(0.003, 0.03).map(sure),
    took=st.floats(600.0, 20000.0),
)


@given(conditions, conditions)
def test_the_parts_make_the_whole_difference(before: Conditions, after: Conditions) -> None:
    found = explain(before, after, LIMIT)
    parts = (found.methanol, found.fuel_temperature, found.volume, found.flow, found.rest)
    told = [part for part in parts if part is not None]
    assert sum(part.median for part in told) == pytest.approx(after.took - before.took, abs=1e-6 * after.took)
    assert all(part.low <= part.median <= part.high for part in told)
    back = explain(after, before, LIMIT)
    assert back.methanol.median == pytest.approx(-found.methanol.median, abs=1e-6 * after.took)


def test_what_did_not_change_explains_nothing() -> None:
    found = explain(BASE, replace(BASE, flow=sure(0.0100), took=2400 * 1.42), LIMIT)
    assert (found.methanol.median, found.fuel_temperature.median, found.volume.median) == (0, 0, 0)
    assert found.flow is not None
    assert found.flow.median == pytest.approx(2400 * 0.42, rel=0.01)
    assert abs(found.rest.median) < 20


def test_air_that_cannot_be_told_is_not_blamed() -> None:
    found = explain(BASE, replace(BASE, flow=None, took=3400.0), LIMIT)
    assert found.flow is None
    assert found.rest.median == pytest.approx(1000.0)


def test_warmer_fuel_dries_faster() -> None:
    found = explain(BASE, replace(BASE, fuel_temperature=318.0, took=1700.0), LIMIT)
    assert found.fuel_temperature.high < -400


PLAIN = Batch(methanol=0.010, bubbles=5400.0, fuel=311.0, air=288.0, humidity=0.5, flow=0.0142, volume=0.170)


@pytest.mark.parametrize(
    "changed",
    [
        replace(PLAIN, flow=0.0100),
        replace(PLAIN, methanol=0.014),
        replace(PLAIN, fuel=318.0),
        replace(PLAIN, volume=0.140),
        replace(PLAIN, flow=0.0120, methanol=0.007, fuel=305.0),
    ],
    ids=["less air", "more methanol", "warmer fuel", "less fuel", "all at once"],
)
def test_a_simulated_tank_of_other_physics_takes_so_much_longer(changed: Batch) -> None:
    """The simulation has an activity model, transfer, walls and cooling of its own."""
    before, after = (_true_run(batch) for batch in (PLAIN, changed))
    found = explain(before, after, LIMIT)
    parts = (found.methanol, found.fuel_temperature, found.volume, found.flow)
    explained = sum(part.median for part in parts if part is not None)
    assert explained == pytest.approx(after.took - before.took, abs=0.07 * max(before.took, after.took))
    assert found.rest.low <= 0.0 <= found.rest.high


def _true_run(batch: Batch) -> Conditions:
    """What truly was, and how long the methanol truly took."""
    plan = scenario(batch)
    state = begin(plan.tank, batch.volume, batch.methanol, 0.0009, batch.fuel, batch.air, plan.start.layer)
    inputs, took, warmth = plan.inputs(1000.0), 0.0, 0.0
    assert inputs.blower_running
    while state.methanol / (state.esters + state.methanol + state.water) > LIMIT:
        state = advance(plan.tank, state, inputs, 10.0)
        took += 10.0
        warmth += 10.0 * state.temperature
    return Conditions(sure(batch.methanol), warmth / took, batch.volume, sure(batch.flow), took)
