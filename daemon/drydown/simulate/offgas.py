"""What the bubbles bring to the fuel and carry out of it, and the little that escapes at rest."""

import math
from dataclasses import dataclass

from drydown.simulate.facts import (
    AIR_HEAT,
    AIR_MASS,
    GAS_CONSTANT,
    METHANOL_MASS,
    STEAM_HEAT,
    WATER_MASS,
    methanol_pressure,
    methanol_vaporisation,
    water_pressure,
    water_vaporisation,
)
from drydown.simulate.fuel import Fuel
from drydown.simulate.parts import Inputs, TankState, TankTruth

MOST_VAPOUR = 0.9  # mole fraction of the off-gas; fuel near the boiling point of methanol would exceed it


@dataclass(frozen=True, slots=True)
class Surface:
    """The fuel's own side: vapour pressures (Pa) at equilibrium, and heat (J/kg) of leaving it."""

    methanol_pressure: float
    water_pressure: float
    methanol_heat: float
    water_heat: float


@dataclass(frozen=True, slots=True)
class OffGas:
    """The gas that leaves at one moment. Masses in kg/s, heat in W."""

    methanol_fraction: float  # mole fraction as it leaves the fuel
    methanol: float
    water: float  # less what the air brought
    methanol_back: float = 0.0  # condenses on the lid and drips back
    water_back: float = 0.0
    warming: float = 0.0  # that the air gives the fuel
    lid_warming: float = 0.0


def surface_of(fuel: Fuel, esters: float, methanol: float, water: float, temperature: float) -> Surface:
    """The fuel's side of so many kg of esters, methanol and water at a temperature (K).

    Methanol leaves for its heat of vaporisation less its excess enthalpy; water for its own less its heat of
    solution, but in full where free water lies.
    """
    x = fuel.methanol_share(esters, methanol)
    log_gamma, excess = fuel.table().look_up(x, temperature)
    total = esters + methanol + water
    share = water / (total * fuel.saturation(temperature, methanol / total))
    solution = fuel.heat_of_solution(temperature) / WATER_MASS if share < 1.0 else 0.0
    return Surface(
        x * math.exp(log_gamma) * methanol_pressure(temperature),
        fuel.water_activity(share) * water_pressure(temperature),
        methanol_vaporisation(temperature) - excess / METHANOL_MASS,
        water_vaporisation(temperature) - solution,
    )


def off_gas(tank: TankTruth, state: TankState, inputs: Inputs, surface: Surface) -> OffGas:
    """What leaves a tank in this state."""
    if inputs.blower_running:
        return _bubbling(tank, state, inputs, surface)
    y = min(surface.methanol_pressure / inputs.pressure, 1.0)
    brought = inputs.room_humidity * water_pressure(inputs.room_temperature)
    water = tank.leak * WATER_MASS / METHANOL_MASS * (surface.water_pressure - brought) / inputs.pressure
    return OffGas(y, tank.leak * y, water)


def _bubbling(tank: TankTruth, state: TankState, inputs: Inputs, surface: Surface) -> OffGas:
    pressure, room, transfer = inputs.pressure, inputs.room_temperature, tank.transfer
    moles = tank.blower.flow * inputs.flow_factor * pressure / (GAS_CONSTANT * room)
    humid = inputs.room_humidity * water_pressure(room) / pressure
    units = _transfer_units(tank, state, inputs)
    y_methanol = _approach(units * transfer.methanol) * surface.methanol_pressure / pressure
    y_water = humid + _approach(units * transfer.water) * (surface.water_pressure / pressure - humid)
    boiling = max((y_methanol + y_water) / MOST_VAPOUR, 1.0)
    y_methanol, y_water = y_methanol / boiling, y_water / boiling
    dry = moles * (1.0 - humid)
    out = dry / (1.0 - y_methanol - y_water)
    inlet = room + state.discharge_rise * (1.0 - tank.blower.hose_loss)
    gained = _approach(units * transfer.heat) * (state.temperature - inlet)
    capacity = dry * AIR_MASS * AIR_HEAT + moles * humid * WATER_MASS * STEAM_HEAT
    methanol, water = out * y_methanol * METHANOL_MASS, out * y_water * WATER_MASS
    lid = state.lid
    drip = tank.condensing / (GAS_CONSTANT * lid)
    methanol_over = max(y_methanol * pressure - methanol_pressure(lid), 0.0)
    water_over = max(y_water * pressure - water_pressure(lid), 0.0)
    methanol_back = min(drip * methanol_over * METHANOL_MASS, 0.5 * methanol)
    water_back = min(drip * water_over * WATER_MASS, 0.5 * water)
    return OffGas(
        y_methanol,
        methanol,
        water - moles * humid * WATER_MASS,
        methanol_back,
        water_back,
        warming=-capacity * gained,
        lid_warming=tank.heat.gas_to_lid * (inlet + gained - lid)
        + methanol_back * methanol_vaporisation(lid)
        + water_back * water_vaporisation(lid),
    )


def _transfer_units(tank: TankTruth, state: TankState, inputs: Inputs) -> float:
    """Against those of `Transfer`: more in deep fuel, fewer in a strong flow."""
    volume = tank.fuel.volume(state.esters, state.methanol, state.water, state.temperature)
    depth = tank.vessel.level(volume) / tank.transfer.depth
    return float(depth * max(inputs.flow_factor, 1e-3) ** tank.transfer.flow_exponent)


def _approach(units: float) -> float:
    return 1.0 - math.exp(-units)


def hold_up(fuel: Fuel, velocity: float, temperature: float) -> float:
    """Gas hold-up at a superficial gas velocity (m/s).

    Hikita, Asai, Tanigawa, Segawa & Kitao, Chem. Eng. J. 20:59, 1980 (constants from memory), with 0.030 N/m
    for the surface tension of methyl esters (memory).
    """
    if velocity <= 0.0:
        return 0.0
    viscosity, tension, gravity = fuel.viscosity(temperature), 0.030, 9.81
    density, gas_density, gas_viscosity = 875.0, 1.2, 1.8e-5
    return float(
        0.672
        * (velocity * viscosity / tension) ** 0.578
        * (viscosity**4 * gravity / (density * tension**3)) ** -0.131
        * (gas_density / density) ** 0.062
        * (gas_viscosity / viscosity) ** 0.107
    )
