"""A finishing tank that obeys physics of its own, for the demo, benchmarks and tests of the estimator.

Fuel, methanol and water are well mixed while bubbles rise; each bubble comes near to equilibrium with the
fuel by its number of transfer units. Two pieces of wall trail: one wetted by fuel, one above it, cold enough
at times to send condensate back. Integrated by fourth-order Runge–Kutta in steps of a few seconds. Everything
is SI and deterministic; what varies comes in through `Inputs`.
"""

import math
from dataclasses import replace

from drydown.simulate.facts import water_pressure
from drydown.simulate.fuel import METHANOL_HEAT, REFERENCE, WATER_HEAT
from drydown.simulate.offgas import hold_up, off_gas, surface_of
from drydown.simulate.parts import Blower, Inputs, Ledger, TankState, TankTruth, Truth

LONGEST_STEP = 5.0  # s, of the integration
MOST_HOLD_UP = 0.4

Vector = tuple[float, ...]


def advance(tank: TankTruth, state: TankState, inputs: Inputs, dt: float) -> TankState:
    """The state `dt` seconds later, with the inputs held."""
    steps = math.ceil(dt / LONGEST_STEP - 1e-9)
    for _ in range(steps):
        state = _step(tank, state, inputs, dt / steps)
    return state


def begin(
    tank: TankTruth,
    volume: float,
    methanol: float,
    water: float,
    temperature: float,
    room: float,
    layer: float = 0.0,
) -> TankState:
    """A tank long at rest.

    volume in m³ of fuel, methanol and water as mass fractions, temperatures of fuel and room in K, and how
    much warmer than the mean the probe's layer is (K).
    """
    esters = 1.0 - methanol - water
    kilograms = volume / tank.fuel.volume(esters, methanol, water, temperature)
    h = tank.heat
    wall = (h.fuel_to_wall * temperature + h.wall_to_room * room) / (h.fuel_to_wall + h.wall_to_room)
    lid = (h.wall_to_lid * wall + h.lid_to_room * room) / (h.wall_to_lid + h.lid_to_room)
    masses = kilograms * esters, kilograms * methanol, kilograms * water
    return TankState(*masses, temperature, wall, lid, layer=layer)


def observe(tank: TankTruth, state: TankState, inputs: Inputs) -> Truth:
    """The truth of a state under these inputs."""
    fuel, t = tank.fuel, state.temperature
    total = state.esters + state.methanol + state.water
    gas = off_gas(tank, state, inputs, surface_of(fuel, state.esters, state.methanol, state.water, t))
    flow = tank.blower.flow * inputs.flow_factor if inputs.blower_running else 0.0
    volume = fuel.volume(state.esters, state.methanol, state.water, t)
    velocity = flow * tank.vessel.level(volume) / volume
    held = min(tank.hold_up * hold_up(fuel, velocity, t), MOST_HOLD_UP)
    activity = inputs.room_humidity * water_pressure(inputs.room_temperature) / water_pressure(t)
    return Truth(
        methanol=state.methanol / total,
        water=state.water / total,
        fuel_temperature=t,
        probe_layer_temperature=t + state.layer,
        emission=gas.methanol - gas.methanol_back,
        offgas_mole_fraction=gas.methanol_fraction,
        water_equilibrium=fuel.share_at_activity(activity) * fuel.saturation(t, 0.0),
        volume=volume,
        level=tank.vessel.level(volume / (1.0 - held)),
        gas_hold_up=held,
        air_flow=flow,
        discharge_temperature=inputs.room_temperature + state.discharge_rise,
        motor_temperature=inputs.room_temperature + state.motor_rise,
    )


def heat_content(tank: TankTruth, state: TankState) -> float:
    """Heat (J) that fuel and walls hold above 25 °C, methanol and water counted as liquids."""
    above = state.temperature - REFERENCE
    return (
        state.esters * tank.fuel.sensible_heat(state.temperature)
        + (state.methanol * METHANOL_HEAT + state.water * WATER_HEAT) * above
        + tank.heat.wall_capacity * (state.wall - REFERENCE)
        + tank.heat.lid_capacity * (state.lid - REFERENCE)
    )


def _rates(tank: TankTruth, state: TankState, inputs: Inputs) -> Vector:
    """Time derivatives of methanol, water, fuel, wall and lid, then of the ledger's five entries."""
    h, fuel, room = tank.heat, tank.fuel, inputs.room_temperature
    t, wall, lid = state.temperature, state.wall, state.lid
    surface = surface_of(fuel, state.esters, state.methanol, state.water, t)
    gas = off_gas(tank, state, inputs, surface)
    vapour = gas.methanol * surface.methanol_heat + gas.water * surface.water_heat
    back = gas.methanol_back * METHANOL_HEAT + gas.water_back * WATER_HEAT  # W/K
    out = gas.methanol * METHANOL_HEAT + gas.water * WATER_HEAT  # W/K
    capacity = (
        state.esters * fuel.heat_capacity(t) + state.methanol * METHANOL_HEAT + state.water * WATER_HEAT
    )
    direct, to_wall, to_lid = h.direct * (t - room), h.fuel_to_wall * (t - wall), h.wall_to_lid * (wall - lid)
    wall_out, lid_out = h.wall_to_room * (wall - room), h.lid_to_room * (lid - room)
    supplied = gas.warming + inputs.heater
    return (
        gas.methanol_back - gas.methanol,
        gas.water_back - gas.water,
        (supplied - vapour - direct - to_wall + back * (lid - t)) / capacity,
        (to_wall - to_lid - wall_out) / h.wall_capacity,
        (to_lid + gas.lid_warming - lid_out) / h.lid_capacity,
        gas.methanol - gas.methanol_back,
        gas.water - gas.water_back,
        vapour + out * (t - REFERENCE) - back * (lid - REFERENCE),
        supplied + gas.lid_warming,
        direct + wall_out + lid_out,
    )


def _vector(state: TankState) -> Vector:
    g = state.ledger
    return (
        state.methanol, state.water, state.temperature, state.wall, state.lid,
        g.methanol, g.water, g.carried, g.supplied, g.lost,
    )  # fmt: skip


def _moved(state: TankState, y: Vector) -> TankState:
    return TankState(
        state.esters, y[0], y[1], y[2], y[3], y[4],
        state.discharge_rise, state.motor_rise, state.layer, Ledger(*y[5:]),
    )  # fmt: skip


def _step(tank: TankTruth, state: TankState, inputs: Inputs, dt: float) -> TankState:
    """One Runge–Kutta step between two halves of what has a solution of its own: blower and layers."""
    state = _blower_and_layer(tank, state, inputs, 0.5 * dt)
    y = _vector(state)

    def along(k: Vector, length: float) -> Vector:
        return _rates(tank, _moved(state, tuple([a + length * b for a, b in zip(y, k, strict=True)])), inputs)

    k1 = _rates(tank, state, inputs)
    k2 = along(k1, 0.5 * dt)
    k3 = along(k2, 0.5 * dt)
    k4 = along(k3, dt)
    slopes = [(a + 2.0 * (b + c) + d) / 6.0 for a, b, c, d in zip(k1, k2, k3, k4, strict=True)]
    after = _moved(state, tuple([a + dt * b for a, b in zip(y, slopes, strict=True)]))
    after = _blower_and_layer(tank, after, inputs, 0.5 * dt)
    return _drawn(tank, after, inputs.drawing * dt) if inputs.drawing > 0.0 else after


def _toward(value: float, goal: float, dt: float, time: float) -> float:
    return goal + (value - goal) * math.exp(-dt / time)


def _blower_and_layer(tank: TankTruth, state: TankState, inputs: Inputs, dt: float) -> TankState:
    b: Blower = tank.blower
    if inputs.blower_running:
        return replace(
            state,
            discharge_rise=_toward(state.discharge_rise, b.rise, dt, b.warm_up),
            motor_rise=_toward(state.motor_rise, b.motor_rise, dt, b.motor_time),
            layer=_toward(state.layer, 0.0, dt, tank.mixing_time),
        )
    layer = tank.layering * (state.temperature - inputs.room_temperature)
    return replace(
        state,
        discharge_rise=_toward(state.discharge_rise, 0.0, dt, b.cool_down),
        motor_rise=_toward(state.motor_rise, 0.0, dt, 2.0 * b.motor_time),
        layer=_toward(state.layer, layer, dt, tank.layering_time),
    )


def _drawn(tank: TankTruth, state: TankState, volume: float) -> TankState:
    """After so many m³ have left; what is drawn is entered in no ledger, and a last litre stays."""
    full = tank.fuel.volume(state.esters, state.methanol, state.water, state.temperature)
    left = max(1.0 - volume / full, min(0.001 / full, 1.0))
    return replace(
        state, esters=state.esters * left, methanol=state.methanol * left, water=state.water * left
    )
