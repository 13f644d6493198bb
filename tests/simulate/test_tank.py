"""The simulated tank: what it may not break, and what is known of it in closed form."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.simulate.activity import Activity, Ester
from drydown.simulate.draw import draw
from drydown.simulate.fuel import Fuel
from drydown.simulate.parts import Heat, Inputs, TankState, TankTruth, Transfer
from drydown.simulate.tank import advance, begin, heat_content, observe
from drydown.simulate.vessel import Vessel
from support.coolprop import props_si

FUEL = Fuel(Activity(Ester(0.15, 0.5, 0.35)))
TANK = TankTruth(Vessel("vertical-cylinder", 0.55, height=0.85), FUEL)
COOL_AIR = Inputs(blower_running=True, room_temperature=285.0, room_humidity=0.5)
DAMP_AIR = Inputs(blower_running=True, room_temperature=301.0, room_humidity=0.8)

inputs = st.builds(
    Inputs,
    blower_running=st.booleans(),
    room_temperature=st.floats(263.0, 311.0),
    room_humidity=st.floats(0.0, 1.0),
    pressure=st.floats(85e3, 105e3),
    flow_factor=st.floats(0.0, 2.0),
    heater=st.floats(0.0, 500.0),
    drawing=st.floats(0.0, 4e-6),
)


def warm_start(methanol: float = 0.015, water: float = 0.0012, temperature: float = 311.0) -> TankState:
    return begin(TANK, 0.150, methanol, water, temperature, room=288.0)


def after(tank: TankTruth, state: TankState, world: Inputs, minutes: int) -> TankState:
    return advance(tank, state, world, 60.0 * minutes)


@settings(max_examples=30)
@given(seed=st.integers(0, 10**6), worlds=st.lists(st.tuples(inputs, st.floats(1.0, 900.0)), max_size=12))
def test_no_content_turns_negative_and_nothing_runs_away(
    seed: int, worlds: list[tuple[Inputs, float]]
) -> None:
    scenario, _ = draw(seed, "basic")
    tank, state = scenario.tank, scenario.start
    for world, dt in worlds:
        state = advance(tank, state, world, dt)
        truth = observe(tank, state, world)
        assert state.methanol >= 0.0
        assert state.water >= 0.0
        assert state.esters > 0.0
        assert 250.0 < state.temperature < 400.0
        assert 0.0 <= truth.offgas_mole_fraction <= 1.0
        assert 0.0 <= truth.gas_hold_up <= 0.4
        assert truth.emission >= 0.0
        assert truth.water_equilibrium >= 0.0


@settings(max_examples=30)
@given(seed=st.integers(0, 10**6), worlds=st.lists(inputs, min_size=1, max_size=6))
def test_mass_and_energy_are_conserved(seed: int, worlds: list[Inputs]) -> None:
    scenario, _ = draw(seed, "basic")
    tank, start = scenario.tank, scenario.start
    state = start
    for world in worlds:
        state = advance(tank, state, replace(world, drawing=0.0), 600.0)
    passed = state.ledger
    assert state.esters == start.esters
    assert start.methanol - state.methanol == pytest.approx(passed.methanol, abs=1e-9)
    assert start.water - state.water == pytest.approx(passed.water, abs=1e-9)
    gained = heat_content(tank, state) - heat_content(tank, start)
    assert gained == pytest.approx(passed.supplied - passed.lost - passed.carried, rel=1e-5, abs=20.0)  # J


@pytest.mark.parametrize("world", [COOL_AIR, DAMP_AIR, replace(COOL_AIR, blower_running=False)])
def test_same_inputs_give_the_same_state(world: Inputs) -> None:
    assert after(TANK, warm_start(), world, 30) == after(TANK, warm_start(), world, 30)


def test_step_length_does_not_matter() -> None:
    coarse, fine = warm_start(), warm_start()
    for _ in range(60):
        coarse = advance(TANK, coarse, COOL_AIR, 60.0)
        for _ in range(60):
            fine = advance(TANK, fine, COOL_AIR, 1.0)
    assert coarse.methanol == pytest.approx(fine.methanol, rel=1e-6)
    assert coarse.water == pytest.approx(fine.water, rel=1e-6)
    assert coarse.temperature == pytest.approx(fine.temperature, abs=1e-6)
    assert coarse.lid == pytest.approx(fine.lid, abs=1e-5)


def test_no_time_changes_nothing() -> None:
    assert advance(TANK, warm_start(), COOL_AIR, 0.0) == warm_start()


def test_dilute_methanol_leaves_by_the_exponential_law() -> None:
    """Well-mixed stripping at constant temperature: m(t) = m0 exp(−η Q K t / V).

    K from CoolProp's vapour pressure and this fuel's limiting activity coefficient.
    """
    steady = replace(FUEL, heat=1e12, expansion=0.0, heat_slope=0.0)  # cannot cool
    tank = TankTruth(TANK.vessel, steady, transfer=Transfer(flow_exponent=0.0), condensing=0.0)
    world = replace(COOL_AIR, room_temperature=298.15, room_humidity=0.0)
    start = begin(tank, 0.150, 1e-6, 0.0, 298.15, room=298.15)
    end = after(tank, start, world, 40)
    gamma = math.exp(FUEL.table().look_up(0.0, 298.15)[0])
    pressure = props_si("P", "T", 298.15, "Q", 0, "Methanol")
    liquid = start.esters / FUEL.activity.ester.molar_mass()  # mol
    gas = tank.blower.flow * world.pressure / (8.314462618 * 298.15)  # mol/s
    depth = tank.vessel.level(0.150) / tank.transfer.depth
    approach = 1.0 - math.exp(-tank.transfer.methanol * depth)
    rate = approach * gas * gamma * pressure / world.pressure / liquid
    assert math.log(start.methanol / end.methanol) == pytest.approx(rate * 2400.0, rel=0.01)


def test_temperature_dips_as_methanol_leaves_and_then_recovers() -> None:
    """1 % of methanol cools the fuel by about 5 K (common practice, no source)."""
    shut = Heat(direct=0.0, wall_to_room=0.0, lid_to_room=0.0, gas_to_lid=0.0)
    insulated = replace(TANK, heat=shut)
    world = replace(COOL_AIR, room_temperature=298.15, room_humidity=0.1)
    start = begin(insulated, 0.150, 0.0105, 150e-6, 298.15, room=298.15)
    path = [start]
    for _ in range(240):
        path.append(advance(insulated, path[-1], world, 60.0))
    coldest = min(path, key=lambda state: state.temperature)
    assert 3.0 < start.temperature - coldest.temperature < 6.0
    assert path[-1].temperature > coldest.temperature + 1.0


@pytest.mark.parametrize("world", [COOL_AIR, replace(COOL_AIR, room_humidity=0.9), DAMP_AIR])
def test_water_tends_to_the_floor_that_this_air_allows(world: Inputs) -> None:
    state = after(TANK, warm_start(methanol=0.003), world, 600)
    truth = observe(TANK, state, world)
    assert truth.water == pytest.approx(truth.water_equilibrium, rel=0.02)


def test_floor_is_saturation_times_humidity_at_the_fuels_temperature() -> None:
    """Saturation of He et al. 2007 (1700 mg/kg at 35 °C), vapour pressures of CoolProp, straight isotherm."""
    fuel = Fuel(FUEL.activity, saturation_blend=0.0)
    tank = TankTruth(TANK.vessel, fuel)
    state = begin(tank, 0.150, 0.0, 0.001, 308.15, room=293.15)
    world = Inputs(blower_running=False, room_temperature=293.15, room_humidity=0.6)
    there, here = (props_si("P", "T", t, "Q", 0, "Water") for t in (293.15, 308.15))
    floor = observe(tank, state, world).water_equilibrium
    assert floor == pytest.approx(1700e-6 * 0.6 * there / here, rel=0.01)


def test_damp_air_on_cold_fuel_condenses_beyond_saturation_and_dry_air_takes_it_away_again() -> None:
    cold = begin(TANK, 0.150, 0.006, 0.0005, 284.0, room=301.0)
    wet = after(TANK, cold, DAMP_AIR, 60)
    most = FUEL.saturation(wet.temperature, 0.0)
    assert observe(TANK, wet, DAMP_AIR).water > 1.3 * most
    dry = after(TANK, wet, replace(DAMP_AIR, room_humidity=0.2), 600)
    assert observe(TANK, dry, DAMP_AIR).water < 0.5 * most


def test_heat_goes_downhill_to_the_room_when_nothing_else_happens() -> None:
    still = replace(COOL_AIR, blower_running=False)
    path = [warm_start(methanol=0.0)]
    for _ in range(48):
        path.append(advance(TANK, path[-1], still, 3600.0))
    temperatures = [state.temperature for state in path]
    assert all(later < earlier for earlier, later in pairwise(temperatures))
    assert all(state.temperature >= state.wall >= state.lid for state in path)
    assert temperatures[-1] == pytest.approx(285.0, abs=2.0)


def test_condensate_on_a_cold_lid_comes_back() -> None:
    frosty = replace(COOL_AIR, room_temperature=268.0)
    bare = replace(TANK, condensing=0.0)
    start = warm_start(temperature=322.0, water=0.0018)
    assert after(TANK, start, frosty, 20).water > after(bare, start, frosty, 20).water
    assert after(TANK, start, frosty, 20).lid > after(bare, start, frosty, 20).lid


def test_layer_is_mixed_out_by_bubbles_and_comes_back_at_rest() -> None:
    layered = replace(warm_start(), layer=0.8)
    mixed = after(TANK, layered, COOL_AIR, 5)
    assert abs(mixed.layer) < 0.01
    rested = after(TANK, mixed, replace(COOL_AIR, blower_running=False), 600)
    assert rested.layer < -0.2


def test_at_rest_a_little_vapour_escapes_and_the_off_gas_tells_of_equilibrium() -> None:
    still = replace(COOL_AIR, blower_running=False)
    resting, bubbling = (observe(TANK, warm_start(), world) for world in (still, COOL_AIR))
    assert 0.0 < resting.emission < 1e-3 * bubbling.emission
    assert 0.8 < bubbling.offgas_mole_fraction / resting.offgas_mole_fraction < 1.0


def test_level_rises_by_hold_up_and_falls_by_what_is_drawn() -> None:
    still = replace(COOL_AIR, blower_running=False)
    state = warm_start()
    flat, swollen = observe(TANK, state, still), observe(TANK, state, COOL_AIR)
    assert flat.gas_hold_up == 0.0
    assert 1.03 < swollen.level / flat.level < 1.35  # several per cent: common practice, no source
    drawn = advance(TANK, state, replace(still, drawing=1e-5), 600.0)
    left = observe(TANK, drawn, still)
    assert flat.volume - left.volume == pytest.approx(0.006, rel=0.01)
    assert left.methanol == pytest.approx(flat.methanol, rel=1e-4)


def test_drawing_an_empty_tank_leaves_its_last_litre() -> None:
    empty = advance(TANK, warm_start(), replace(COOL_AIR, drawing=0.01), 600.0)
    assert observe(TANK, empty, COOL_AIR).volume == pytest.approx(0.001, rel=0.2)


def test_boiling_fuel_gives_off_no_more_than_gas_can_hold() -> None:
    hot = warm_start(methanol=0.05, temperature=360.0)
    for world in (COOL_AIR, replace(COOL_AIR, blower_running=False)):
        assert 0.7 < observe(TANK, hot, world).offgas_mole_fraction <= 1.0
    assert advance(TANK, hot, COOL_AIR, 600.0).temperature < 345.0
