"""Air bubbled through fuel: hold-up, the blower's heat, how fast methanol leaves, whether the gas burns."""

from typing import cast

import numpy as np

from drydown.physics import methanol, solution
from drydown.physics.humid_air import molar_density
from drydown.physics.values import STANDARD_PRESSURE, Array, Values
from drydown.physics.vapour_limits import LOWER_FLAMMABLE_LIMIT

_RISE_SPEED = 0.3  # m/s, of a bubble swarm
_CROWDING = 2.0
_ISENTROPIC_EXPONENT = 0.286  # (κ − 1)/κ of air, κ = 1.4
HOLDUP_SPREAD = 0.30  # relative, 1 σ: what any hold-up correlation is worth in a given tank


def superficial_velocity(flow: Values, area: Values) -> Array:
    """Gas flow over the tank's cross-section, m/s, from m³/s and m²."""
    return cast(Array, flow / area)


def gas_holdup(superficial_velocity: Values) -> Array:
    """Share of the bubbling volume that is gas: u/(0.3 m/s + 2u), a first cut, ±30 % at best.

    The form of drift-flux correlations for bubble columns (Hikita et al., Chem. Eng. J. 20:59, 1980, is one
    of many). Says little about the absolute flow, much about a change of flow.
    """
    return cast(Array, superficial_velocity / (_RISE_SPEED + _CROWDING * superficial_velocity))


def velocity_of_holdup(holdup: Values) -> Array:
    """Superficial velocity, m/s, at a gas hold-up below a half: the inverse of `gas_holdup`."""
    return cast(Array, _RISE_SPEED * holdup / (1.0 - _CROWDING * holdup))


def discharge_rise(
    intake_temperature: Values, intake_pressure: Values, discharge_pressure: Values, efficiency: Values
) -> Array:
    """Warming of air by compression, K, from K, Pa and the isentropic efficiency; motor heat comes on top.

    T ((p2/p1)^0.286 − 1)/η: adiabatic compression of an ideal gas, any thermodynamics textbook.
    """
    ratio = (discharge_pressure / intake_pressure) ** _ISENTROPIC_EXPONENT
    return cast(Array, intake_temperature * (ratio - 1.0) / efficiency)


def decay_time(fuel_volume: Values, flow: Values, partition: Values, approach: Values = 1.0) -> Array:
    """Time constant in s with which dilute methanol leaves well-mixed fuel: V/(η Q K).

    fuel_volume in m³, flow in m³/s of gas, partition from `solution.partition_coefficient`, approach to
    equilibrium of the gas (1: leaves saturated; 0.75 to 1 is judgement).
    """
    return cast(Array, fuel_volume / (approach * flow * partition))


def remaining(start: Values, time: Values, decay_time: Values) -> Array:
    """Methanol left after a time: start · exp(−time/decay_time); both times in s."""
    left: Array = start * np.exp(-time / decay_time)
    return left


def dip(methanol_lost: Values, heat_of_desorption: Values, heat_capacity: Values) -> Array:
    """Cooling of the fuel, K, by methanol that left it, if no other heat came or went.

    methanol_lost as a mass fraction, heat in J/kg of methanol, heat capacity in J/(kg K) of fuel.
    """
    return cast(Array, methanol_lost * heat_of_desorption / heat_capacity)


def off_gas_mole_fraction(
    x: Values,
    temperature: Values,
    mixing: Values = 0.5,
    approach: Values = 1.0,
    pressure: Values = STANDARD_PRESSURE,
) -> Array:
    """Mole fraction of methanol in the gas that leaves the fuel.

    x is the mole fraction in the liquid, temperature of the fuel in K, mixing as in `solution`, approach to
    equilibrium 0.75 to 1, pressure in Pa.
    """
    return approach * solution.partial_pressure(x, temperature, mixing) / pressure


def share_of_lower_limit(mole_fraction: Values) -> Array:
    """Methanol vapour as a share of its lower flammable limit in air (1: it can burn)."""
    return cast(Array, mole_fraction / LOWER_FLAMMABLE_LIMIT)


def emission(
    flow: Values,
    flow_temperature: Values,
    off_gas_mole_fraction: Values,
    pressure: Values = STANDARD_PRESSURE,
) -> Array:
    """Methanol that leaves with the gas, kg/s.

    flow in m³/s of air going in, at flow_temperature (K) and pressure (Pa); what it picks up comes on top of
    it: ṅ y/(1 − y). Needs y below 1.
    """
    picked_up = off_gas_mole_fraction / (1.0 - off_gas_mole_fraction)
    return methanol.MOLAR_MASS * flow * molar_density(flow_temperature, pressure) * picked_up
