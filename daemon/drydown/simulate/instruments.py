"""The probes of a simulated tank: what they read of the truth, with lag, offset, noise and steps."""

import math
from dataclasses import dataclass
from random import Random

from drydown.quantities import ZERO_CELSIUS
from drydown.simulate.facts import GAS_CONSTANT, METHANOL_MASS
from drydown.simulate.parts import Inputs, Truth

DS18B20_STEP = 0.0625  # K at 12 bits (data sheet)

BASIC = ("fuel/temperature", "fuel/level", "blower/running")
AIR = (*BASIC, "air/temperature", "air/humidity")
DISCHARGE = (*AIR, "blower/discharge_temperature")
EVERYTHING = (*DISCHARGE, "blower/motor_temperature", "vent/open", "vent/flow", "vapour/methanol")


@dataclass(frozen=True, slots=True)
class Instruments:
    """What is wrong with each probe of one tank. Offsets in the probe's SI unit, lags in s."""

    kit: tuple[str, ...]  # names of the quantities that are read
    fuel_offset: float = 0.0
    fuel_lag: float = 30.0
    eddies: float = 0.03  # K, while it bubbles
    eddy_time: float = 25.0  # s
    level_offset: float = 0.0
    level_noise: float = 0.0015  # m
    splash: float = 0.001  # m more while it bubbles
    air_offset: float = 0.0
    air_lag: float = 60.0
    humidity_offset: float = 0.0
    discharge_offset: float = 0.0
    discharge_lag: float = 40.0
    vapour_gain: float = 1.0


@dataclass(frozen=True, slots=True)
class Memory:
    """What lagging probes still show, K (None before their first reading), and the eddy at the fuel's."""

    fuel: float | None = None
    air: float | None = None
    discharge: float | None = None
    motor: float | None = None
    eddy: float = 0.0


def read(
    probes: Instruments,
    memory: Memory,
    truth: Truth,
    inputs: Inputs,
    room_methanol: float,
    dt: float,
    dice: Random,
) -> tuple[Memory, dict[str, float | bool]]:
    """What the probes remember and their readings, in SI units by name, `dt` s after the ones before.

    `room_methanol` is in kg/m³. Every probe throws its dice whether it is in the kit or not, so that the
    kit changes nothing of the readings it holds.
    """
    fuel = _follow(memory.fuel, truth.probe_layer_temperature, dt, probes.fuel_lag)
    air = _follow(memory.air, inputs.room_temperature, dt, probes.air_lag)
    discharge = _follow(memory.discharge, truth.discharge_temperature, dt, probes.discharge_lag)
    motor = _follow(memory.motor, truth.motor_temperature, dt, probes.discharge_lag)
    eddy = _eddy_after(probes, memory.eddy, inputs.blower_running, dt, dice)
    splash = probes.splash if inputs.blower_running else 0.0
    level = truth.level + probes.level_offset + dice.gauss(0.0, math.hypot(probes.level_noise, splash))
    air_shown = air + probes.air_offset + dice.gauss(0.0, 0.05)
    humidity = inputs.room_humidity + probes.humidity_offset + dice.gauss(0.0, 0.004)
    vapour = room_methanol * GAS_CONSTANT * inputs.room_temperature / (METHANOL_MASS * inputs.pressure)
    shown: dict[str, float | bool] = {
        "fuel/temperature": _digital(fuel + probes.fuel_offset + eddy, dice),
        "fuel/level": max(0.0, round(level, 4)),
        "blower/running": inputs.blower_running,
        "air/temperature": _celsius_steps(air_shown, 0.01),
        "air/humidity": min(max(round(humidity, 3), 0.0), 1.0),
        "blower/discharge_temperature": _digital(discharge + probes.discharge_offset, dice),
        "blower/motor_temperature": _digital(motor, dice),
        "vent/open": inputs.vent_open,
        "vent/flow": inputs.fresh_air,
        "vapour/methanol": max(0.0, round(probes.vapour_gain * vapour + dice.gauss(0.0, 1e-5), 6)),
    }
    return Memory(fuel, air, discharge, motor, eddy), {name: shown[name] for name in probes.kit}


def _follow(shown: float | None, true: float, dt: float, lag: float) -> float:
    """A first-order lag."""
    if shown is None or lag <= 0.0:
        return true
    return true + (shown - true) * math.exp(-dt / lag)


def _eddy_after(probes: Instruments, eddy: float, running: bool, dt: float, dice: Random) -> float:
    """A first-order random process whose spread is `eddies` while it bubbles; it dies away at rest."""
    keep = math.exp(-dt / probes.eddy_time)
    push = dice.gauss(0.0, 1.0) * probes.eddies * math.sqrt(1.0 - keep**2)
    return eddy * keep + (push if running else 0.0)


def _digital(kelvin: float, dice: Random) -> float:
    """A DS18B20: a little noise, then steps on its Celsius scale."""
    return _celsius_steps(kelvin + dice.gauss(0.0, 0.02), DS18B20_STEP)


def _celsius_steps(kelvin: float, size: float) -> float:
    return round((kelvin - ZERO_CELSIUS) / size) * size + ZERO_CELSIUS
