"""Humid air: humidity ratio, dew point, wet bulb, enthalpy and density; ideal-gas mixture.

Equations of the ASHRAE Handbook—Fundamentals (2017), chapter 1. Real air holds about 0.4 % more water at
saturation than the ideal mixture; nothing here corrects for that. Relative humidity is a fraction of one
and refers to liquid water, below 0 °C too.
"""

from typing import cast

from drydown.physics import water
from drydown.physics.values import CELSIUS_ZERO, GAS_CONSTANT, STANDARD_PRESSURE, Array, Values

MOLAR_MASS = 0.028966  # kg/mol of dry air, ASHRAE 2017
HEAT_CAPACITY = 1006.0  # J/(kg K) of dry air, ASHRAE 2017
VAPOUR_HEAT_CAPACITY = 1860.0  # J/(kg K) of water vapour, ASHRAE 2017
HEAT_AT_ZERO = 2.501e6  # J/kg of water vapour over liquid at 0 °C, ASHRAE 2017
_LIQUID_HEAT_CAPACITY = 4186.0  # J/(kg K), ASHRAE 2017
_MASS_RATIO = 0.621945  # molar mass of water over that of dry air, ASHRAE 2017
_NEWTON_STEPS = 8  # within 1e-8 K from −20 to 60 °C; each gains two digits


def vapour_pressure(temperature: Values, humidity: Values) -> Array:
    """Partial pressure of water vapour, Pa, in air of this temperature (K) and relative humidity."""
    return humidity * water.vapour_pressure(temperature)


def humidity_ratio(vapour_pressure: Values, pressure: Values = STANDARD_PRESSURE) -> Array:
    """Water vapour per dry air, kg/kg, from the partial pressure of water vapour and the pressure, Pa."""
    return cast(Array, _MASS_RATIO * vapour_pressure / (pressure - vapour_pressure))


def pressure_of_ratio(humidity_ratio: Values, pressure: Values = STANDARD_PRESSURE) -> Array:
    """Partial pressure of water vapour, Pa, from the humidity ratio (kg/kg): the inverse of the above."""
    return cast(Array, pressure * humidity_ratio / (_MASS_RATIO + humidity_ratio))


def dew_point(temperature: Values, humidity: Values) -> Array:
    """Dew point in K of air of this temperature (K) and relative humidity above zero."""
    return water.dew_point(vapour_pressure(temperature, humidity))


def wet_bulb(temperature: Values, humidity: Values, pressure: Values = STANDARD_PRESSURE) -> Array:
    """Thermodynamic wet-bulb temperature in K of air of this temperature (K) and relative humidity.

    Solves ASHRAE's equation (33) over liquid water by a fixed number of Newton steps from the air's
    temperature: the imbalance is convex and rises, so they come down on the root from above.
    """
    ratio = humidity_ratio(vapour_pressure(temperature, humidity), pressure)
    dry = temperature - CELSIUS_ZERO
    wet: Values = dry
    for _ in range(_NEWTON_STEPS):
        saturated = water.vapour_pressure(wet + CELSIUS_ZERO)
        most = humidity_ratio(saturated, pressure)
        heat = HEAT_AT_ZERO - (_LIQUID_HEAT_CAPACITY - VAPOUR_HEAT_CAPACITY) * wet
        humid = HEAT_CAPACITY + VAPOUR_HEAT_CAPACITY * ratio
        imbalance = heat * (most - ratio) - humid * (dry - wet)
        steepness = _clausius_clapeyron(wet + CELSIUS_ZERO) * most * pressure / (pressure - saturated)
        wet = wet - imbalance / (heat * steepness + humid)
    return cast(Array, wet + CELSIUS_ZERO)


def _clausius_clapeyron(temperature: Values) -> Array:
    """Relative rise of water's vapour pressure, 1/K."""
    per_mole = water.MOLAR_MASS / GAS_CONSTANT
    return water.heat_of_vaporisation(temperature) * per_mole / (temperature * temperature)


def enthalpy(temperature: Values, humidity_ratio: Values) -> Array:
    """Enthalpy of humid air, J per kg of dry air, zero for dry air and liquid water at 0 °C."""
    celsius = temperature - CELSIUS_ZERO
    vapour = humidity_ratio * (HEAT_AT_ZERO + VAPOUR_HEAT_CAPACITY * celsius)
    return cast(Array, HEAT_CAPACITY * celsius + vapour)


def density(
    temperature: Values, vapour_pressure: Values = 0.0, pressure: Values = STANDARD_PRESSURE
) -> Array:
    """Density of humid air, kg/m³, from K and the partial pressure of water vapour and the pressure in Pa."""
    mass = MOLAR_MASS * (pressure - vapour_pressure) + water.MOLAR_MASS * vapour_pressure
    return cast(Array, mass / (GAS_CONSTANT * temperature))


def molar_density(temperature: Values, pressure: Values = STANDARD_PRESSURE) -> Array:
    """Moles of gas in a volume, mol/m³, from K and Pa."""
    return cast(Array, pressure / (GAS_CONSTANT * temperature))
