"""The mass and heat balance of bubbling, one interval forward, for many variants and intervals at once.

The equations are those of `drydown.physics`; everything broadcasts over arrays of shape (variants,
intervals), so that one call gives the trajectory and all its sensitivities.
"""

from typing import NamedTuple

import numpy as np

from drydown.estimate.lean import Mixing, desorbing, water_pressure
from drydown.estimate.unknowns import INDEX
from drydown.physics import fuel as esters
from drydown.physics import humid_air, methanol, water
from drydown.physics.values import CELSIUS_ZERO, GAS_CONSTANT, STANDARD_PRESSURE, Array, Values

# ln methanol, ln water (mass fractions); K: fuel, wall, discharge over air, probe, its layer over the mean
STATES = 7
LN_METHANOL, LN_WATER, FUEL, WALL, RISE, PROBE, LAYER = range(STATES)

HEAT_APPROACH = 0.96  # bubbles leave nearly as warm as the fuel (judgement, after the approach for vapour)
LAYERING_TIME = 9000.0  # s, in which layers form at rest (judgement)
LEAST_SOLUBLE = 150e-6  # mass fraction: both straight lines of saturation are measured above 4 °C only
COLDEST, HOTTEST = 230.0, 370.0  # K, that a state is held between


class Drive(NamedTuple):
    """What drives each interval; arrays of shape (intervals,). Temperatures in K."""

    length: Array  # s
    running: Array  # share of the interval
    flow: Array  # factor on the tank's flow
    air: Array  # measured or guessed
    humidity: Array
    air_unknown: Array  # 1 where it was never measured
    humidity_unknown: Array
    air_gap: Array  # h since it was last measured
    humidity_gap: Array
    discharge: Array  # measured; 0 where not
    metered: Array  # 1 where the discharge is measured


class Vessel(NamedTuple):
    """What is known of the fuel: kg of it, and the blower's rated flow (m³/s)."""

    mass: float
    rated_flow: float


def soluble(temperature: Values, line: Values) -> Array:
    """Mass fraction of water that the fuel dissolves, frost included."""
    result: Array = np.maximum(water.saturation(temperature, line), LEAST_SOLUBLE)
    return result


class Constants:
    """All of one call that does not depend on the state."""

    def __init__(self, values: Array, drive: Drive, vessel: Vessel) -> None:
        """values: physical parameters, shape (COUNT, variants, 1)."""
        v = {name: values[i] for name, i in INDEX.items()}
        air = drive.air + (1.0 - drive.air_unknown) * v["air_offset"] + drive.air_unknown * v["air_unknown"]
        self.air = np.clip(air + drive.air_gap * v["air_drift"], 240.0, 335.0)
        damp = drive.humidity_unknown
        humidity = ((1.0 - damp) * (drive.humidity + v["humidity_offset"]) + damp * v["humidity_unknown"]
                    + drive.humidity_gap * v["humidity_drift"])  # fmt: skip
        # a probe's humidity is of saturation at the probe's own temperature
        self.brought = np.clip(humidity, 0.02, 1.0) * water_pressure(self.air)
        flow = vessel.rated_flow * v["flow"] * drive.running * drive.flow
        dry = STANDARD_PRESSURE - self.brought
        self.gas = flow * dry / (GAS_CONSTANT * self.air)  # mol/s of dry air
        self.water_in = self.gas * self.brought / dry  # mol/s
        air_heat = humid_air.MOLAR_MASS * humid_air.HEAT_CAPACITY
        steam_heat = water.MOLAR_MASS * humid_air.VAPOUR_HEAT_CAPACITY
        self.carried = HEAT_APPROACH * (self.gas * air_heat + self.water_in * steam_heat)  # W/K
        self.mixing_rule = Mixing.between(v["blend"])
        self.partition, self.desorption = v["partition"], v["desorption"]
        self.approach, self.line, self.isotherm = v["water_approach"], v["saturation"], v["isotherm"]
        self.soluble = water.saturation(CELSIUS_ZERO, self.line)
        self.soluble_slope = water.saturation(CELSIUS_ZERO + 1.0, self.line) - self.soluble  # 1/K
        self.solution = (GAS_CONSTANT / water.MOLAR_MASS) * v["solution_heat"] * self.soluble_slope
        self.rise, self.warm_up = v["rise"], v["warm_up"]
        self.direct, self.wall_out = 0.5 * v["loss"], 0.5 * v["loss"]
        self.wall, self.to_wall = v["wall"], v["wall"] / v["wall_time"]
        self.layering = v["layering"] * (1.0 - drive.running)
        self.mixing = drive.running / v["mixing"] + 1e-7
        self.mass, self.lag = vessel.mass, v["lag"]
        self.heat_capacity = v["heat_capacity"]
        self.relax = (self.carried + self.direct + self.to_wall) / (self.heat_capacity * vessel.mass)
        self.wall_relax = (self.to_wall + self.wall_out) / self.wall
        self.inlet = np.where(drive.metered > 0.0, drive.discharge + v["discharge_offset"], self.air)
        self.own_rise = 1.0 - drive.metered
        self.length, self.running = drive.length, drive.running


class Rates(NamedTuple):
    """What the bubbles do at one state."""

    methanol: Array  # kg/s that leave
    decay: Array  # 1/s, at which ln methanol falls
    water: Array  # 1/s, at which the water content falls
    slope: Array  # 1/s, of that against the content
    fuel: Array  # K/s
    wall: Array  # K/s


def rates(ln_methanol: Array, content: Array, fuel: Array, wall: Array, rise: Array, c: Constants) -> Rates:
    """The rates of change of a state; `content` is of water; all broadcast to (variants, intervals)."""
    w = np.exp(ln_methanol)
    pressure, heat_of_desorption = desorbing(w, fuel, c.mixing_rule)
    vapour = np.minimum(c.partition * pressure, 0.8 * STANDARD_PRESSURE)
    dissolved = np.maximum(c.soluble + c.soluble_slope * (fuel - CELSIUS_ZERO), LEAST_SOLUBLE)
    share = content / dissolved
    wet = share >= 1.0
    equilibrium = water_pressure(fuel) * np.minimum(share, 1.0) ** c.isotherm
    leaving = c.brought + c.approach * (equilibrium - c.brought)
    out = c.gas / (STANDARD_PRESSURE - vapour - np.minimum(leaving, 0.15 * STANDARD_PRESSURE))  # mol/(s Pa)
    emission = methanol.MOLAR_MASS * vapour * out
    drying = water.MOLAR_MASS * (leaving * out - c.water_in)
    steepness = water.MOLAR_MASS * c.approach * c.isotherm * equilibrium * out / (c.mass * content)
    # water leaves for its heat of vaporisation less that of solution (van 't Hoff: R T² d ln saturation / dT)
    solved = np.where(wet, 0.0, c.solution * fuel * fuel / dissolved)
    through_wall = c.to_wall * (fuel - wall)
    heat = (c.carried * (c.inlet + c.own_rise * rise - fuel)
            - emission * c.desorption * heat_of_desorption
            - drying * (water.heat_of_vaporisation(fuel) - solved)
            - c.direct * (fuel - c.air) - through_wall)  # fmt: skip
    return Rates(
        methanol=emission,
        decay=emission / c.mass * (1.0 - w) / w,
        water=drying / c.mass,
        slope=np.where(wet, 0.0, steepness) + 1e-9,
        fuel=heat / (c.mass * esters.heat_capacity(fuel, c.heat_capacity)),
        wall=(through_wall - c.wall_out * (wall - c.air)) / c.wall,
    )


def advance(state: Array, c: Constants, parts: int) -> tuple[Array, Array]:
    """One interval forward in so many midpoint steps; state has shape (STATES, variants, intervals).

    What relaxes does so by the exponential rule, so that no step is too long for it. Returns the state after
    the interval and what the fuel probe read on average during it.
    """
    ln_methanol, ln_water, fuel, wall, rise, probe, layer = state
    content = np.exp(ln_water)
    h = c.length / parts
    half = 0.5 * h
    goal = c.rise * c.running
    warm = np.exp(-half / c.warm_up)
    fade = np.exp(-h / c.lag)
    trail = c.lag / h
    soon, late = _phi(c.relax, half), _phi(c.relax, h)
    wall_soon, wall_late = _phi(c.wall_relax, half), _phi(c.wall_relax, h)
    mixed, brief = np.exp(-c.mixing * h), _phi(c.mixing, h)
    apart = 1.0 - c.lag * c.mixing
    apart = np.where(np.abs(apart) < 0.02, 0.02, apart)
    read: Array = np.zeros(1)
    for _ in range(parts):
        r = rates(ln_methanol, content, fuel, wall, rise, c)
        rise = goal + (rise - goal) * warm
        at = _relaxed(content, r.water, r.slope, half)
        mid_fuel = np.minimum(np.maximum(fuel + r.fuel * soon, COLDEST), HOTTEST)
        mid_wall = wall + r.wall * wall_soon
        m = rates(np.maximum(ln_methanol - half * r.decay, -18.0), at, mid_fuel, mid_wall, rise, c)
        ln_methanol = np.maximum(ln_methanol - h * m.decay, -18.0)
        content = _relaxed(content, m.water + m.slope * (content - at), m.slope, h)
        after = fuel + (m.fuel + c.relax * (mid_fuel - fuel)) * late
        after = np.minimum(np.maximum(after, COLDEST), HOTTEST)
        wall = wall + (m.wall + c.wall_relax * (mid_wall - wall)) * wall_late
        rise = goal + (rise - goal) * warm
        ramp = (after - fuel) * trail  # how far a long-settled probe trails
        behind = probe - fuel + ramp
        short = c.lag * (1.0 - fade)
        read = (
            read
            + 0.5 * (fuel + after)
            - ramp
            + behind * (short / h)
            + layer * ((brief - short) / (apart * h))
        )
        probe = after - ramp + behind * fade + layer * ((mixed - fade) / apart)
        layer = layer * mixed + c.layering * (fuel - c.air) * (h / LAYERING_TIME)
        fuel = after
    return np.stack(
        np.broadcast_arrays(ln_methanol, np.log(content), fuel, wall, rise, probe, layer)
    ), read / parts


def _relaxed(content: Array, falling: Array, slope: Array, h: Array) -> Array:
    """The content after h seconds, with a rate that is linear in it."""
    result: Array = np.maximum(content - falling * _phi(slope, h), 2e-6)
    return result


def _phi(slope: Array, h: Array) -> Array:
    """Seconds for which a rate acts in h seconds when it fades with a slope."""
    result: Array = -np.expm1(-slope * h) / slope
    return result
