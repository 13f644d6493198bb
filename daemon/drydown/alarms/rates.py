"""How fast temperatures rise, and how fast the blower alone can make them rise."""

import math
from collections import deque

from drydown.alarms.scene import Scene
from drydown.physics import fuel, humid_air, water

WINDOW = 60.0  # s over which a rate is taken

FLOW_MARGIN = 1.6  # true flow against the rated one: log-normal ±25 % (1 σ), so 1.6 is two σ
GREATEST_RISE = 20.0  # K of the discharge over the intake; 4 to 20 K are usual
WARM_AIR = 313.15  # K, 40 °C: what the room may have where nothing measures it
DAMP_AIR = 3800.0  # Pa of water vapour in it: a dew point of 28 °C
LITTLE_FUEL = 0.03  # m³, where the level is not known: little fuel warms fast
PROBE_NOISE = 0.5 / 60  # K/s: last digit of the probe (1/16 K), eddies and thermowell over WINDOW

FILLING = 0.010 / 60  # m/s of the level: fuel comes in, or the first bubbles have just lifted it
STIRRED = 180.0  # s after that, until layers are mixed and the thermowell has followed

WARM_UP = {
    "blower/discharge_temperature": (GREATEST_RISE, 300.0, 1500.0),
    "blower/motor_temperature": (60.0, 600.0, 3000.0),
}
"""How a blower warms: by how much at most (K), and the shortest and longest time constant (s).

Discharge: 4 to 20 K with 5 to 25 min; the motor: common practice, no source.
"""
WARM_UP_MARGIN = 1.5
STEADY_MARGIN = 1.0 / 60  # K/s beyond that: air from an opened door, and the probe's last digit


class Rate:
    """The rate of a value over the last minute: from the median of the first third to that of the last.

    A single wild value does not move it. It lags: a steady rise shows in full after a minute, and a step
    looks like a rise for a minute.
    """

    def __init__(self) -> None:
        self._points: deque[tuple[float, float]] = deque()

    def add(self, time: float, value: float) -> float | None:
        """Take in a value; the rate a second, or None until there are points enough over the window."""
        points = self._points
        if points and time <= points[-1][0]:
            return None
        points.append((time, value))
        while time - points[0][0] > WINDOW:
            points.popleft()
        if len(points) < 4 or time - points[0][0] < WINDOW / 2:
            return None
        third = max(1, len(points) // 3)
        listed = list(points)
        first, last = _middle(listed[:third]), _middle(listed[-third:])
        return (last[1] - first[1]) / (last[0] - first[0])

    def clear(self) -> None:
        """Forget what was, because the probe was lost."""
        self._points.clear()


def _middle(points: list[tuple[float, float]]) -> tuple[float, float]:
    values = sorted(value for _, value in points)
    return (points[0][0] + points[-1][0]) / 2, values[len(values) // 2]


def fuel_heating(scene: Scene) -> float:
    """How fast the blower can heat the fuel at most, in K/s.

    All the air that it may give arrives as hot and damp as it may be, and leaves at the fuel's temperature,
    saturated with water or as damp as it came: what it loses by that goes into the fuel alone.
    """
    temperature = scene.number("fuel/temperature")
    if temperature is None or not scene.running:
        return 0.0
    air = scene.number("air/temperature") or WARM_AIR
    humidity = scene.number("air/humidity")
    damp = DAMP_AIR if humidity is None else float(humid_air.vapour_pressure(air, humidity))
    hot = scene.number("blower/discharge_temperature") or air + GREATEST_RISE
    coming = humid_air.humidity_ratio(damp)
    going = min(coming, humid_air.humidity_ratio(float(water.vapour_pressure(temperature))))
    given = humid_air.enthalpy(hot, coming) - humid_air.enthalpy(temperature, going)
    flow = scene.tank.blower.rated_flow * FLOW_MARGIN * humid_air.density(air)
    volume = max(scene.volume or 0.0, LITTLE_FUEL)
    return max(
        0.0, float(flow * given / (volume * fuel.density(temperature) * fuel.heat_capacity(temperature)))
    )


def blower_warming(name: str, stretch: float) -> float:
    """How fast a part of a sound blower can warm at most after so many s of running, in K/s.

    The steepest of all curves rise/τ · exp(−t/τ) with τ between the two time constants.
    """
    rise, shortest, longest = WARM_UP[name]
    slowest = min(max(stretch, shortest), longest)
    return WARM_UP_MARGIN * rise / slowest * math.exp(-stretch / slowest) + STEADY_MARGIN
