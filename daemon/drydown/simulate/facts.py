"""The undisputed facts that the simulated tank shares with `drydown.physics`, as tables for plain floats.

The simulator asks for them a hundred thousand times a run, and a table answers ten times as fast.
"""

from collections.abc import Callable

import numpy as np

from drydown.physics import humid_air, methanol, values, water

GAS_CONSTANT = values.GAS_CONSTANT  # J/(mol K)
METHANOL_MASS, WATER_MASS, AIR_MASS = methanol.MOLAR_MASS, water.MOLAR_MASS, humid_air.MOLAR_MASS  # kg/mol
AIR_HEAT, STEAM_HEAT = humid_air.HEAT_CAPACITY, humid_air.VAPOUR_HEAT_CAPACITY  # J/(kg K)


class Lookup:
    """A function of temperature (K) between 233 and 378 K, linear between points 0.05 K apart."""

    FIRST, LAST, STEP = 233.15, 378.15, 0.05  # K

    def __init__(self, function: Callable[[values.Array], values.Array]) -> None:
        grid = np.arange(self.FIRST, self.LAST, self.STEP)
        self._values: list[float] = function(grid).tolist()
        self._last = len(self._values) - 2

    def __call__(self, temperature: float) -> float:
        """The function's value; straight on from the last two points beyond the ends."""
        place = (temperature - self.FIRST) / self.STEP
        i = min(max(int(place), 0), self._last)
        low = self._values[i]
        return low + (place - i) * (self._values[i + 1] - low)


methanol_pressure = Lookup(methanol.vapour_pressure)  # Pa
water_pressure = Lookup(water.vapour_pressure)  # Pa
methanol_vaporisation = Lookup(methanol.heat_of_vaporisation)  # J/kg
water_vaporisation = Lookup(water.heat_of_vaporisation)  # J/kg
saturation_he = Lookup(lambda temperature: water.saturation(temperature, water.HE))  # mass fraction
saturation_fregolente = Lookup(lambda temperature: water.saturation(temperature, water.FREGOLENTE))
