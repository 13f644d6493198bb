"""Methyl ester fuel itself: density and its change with temperature, heat capacity, viscosity, molar mass."""

from typing import cast

import numpy as np

from drydown.physics.plain import (
    DENSITY_SLOPE,
    FEEDSTOCKS,
    STANDARD_TEMPERATURE,
    VISCOSITY_REFERENCE,
    VOGEL_B,
    VOGEL_C,
    Feedstock,
)
from drydown.physics.values import REFERENCE_TEMPERATURE, Array, Values

DENSITY_SLOPE_SPREAD = 0.03  # kg/(m³ K), from memory; the pure esters' equations of state lie within it

HEAT_CAPACITY = 2000.0  # J/(kg K) at 25 °C, from memory: 1900 to 2100 are reported
HEAT_CAPACITY_SPREAD = 60.0  # J/(kg K), 1 σ of a uniform range of ±100
_HEAT_CAPACITY_SLOPE = 2.0  # J/(kg K²), of methyl palmitate by the splines of Zábranský & Růžička, 2010


def density(temperature: Values, standard_density: Values = 880.0) -> Array:
    """Density in kg/m³ at temperature in K, from the density at 15 °C; straight line, −10 to 90 °C."""
    return cast(Array, standard_density + DENSITY_SLOPE * (temperature - STANDARD_TEMPERATURE))


def expansion(temperature: Values, standard_density: Values = 880.0) -> Array:
    """Relative growth of volume with temperature, 1/K: about 0.00083."""
    return -DENSITY_SLOPE / density(temperature, standard_density)


def volume_correction(temperature: Values, standard_density: Values = 880.0) -> Array:
    """Volume at 15 °C over volume at this temperature (K); times a volume it gives the standard volume."""
    return density(temperature, standard_density) / standard_density


def heat_capacity(temperature: Values, at_reference: Values = HEAT_CAPACITY) -> Array:
    """Specific heat capacity in J/(kg K) at temperature in K, from that at 25 °C."""
    return cast(Array, at_reference + _HEAT_CAPACITY_SLOPE * (temperature - REFERENCE_TEMPERATURE))


def dynamic_viscosity(
    temperature: Values, standard_density: Values = 880.0, kinematic_at_40: Values = 4.5e-6
) -> Array:
    """Dynamic viscosity in Pa s at temperature in K, from the kinematic viscosity at 40 °C in m²/s.

    Vogel's equation with the curve of methyl oleate, fitted to NIST REFPROP as given by `thermo` within 0.1 %
    over −5 to 70 °C. More unsaturated fuel bends less: methyl linoleate is 8 % thinner at 15 °C by the same
    viscosity at 40 °C.
    """
    at_40 = kinematic_at_40 * density(VISCOSITY_REFERENCE, standard_density)
    curve = VOGEL_B / (temperature - VOGEL_C) - VOGEL_B / (VISCOSITY_REFERENCE - VOGEL_C)
    growth: Array = np.exp(curve)
    return at_40 * growth


def kinematic_viscosity(
    temperature: Values, standard_density: Values = 880.0, kinematic_at_40: Values = 4.5e-6
) -> Array:
    """Kinematic viscosity in m²/s at temperature in K; arguments as for `dynamic_viscosity`."""
    dynamic = dynamic_viscosity(temperature, standard_density, kinematic_at_40)
    return dynamic / density(temperature, standard_density)


__all__ = [
    "DENSITY_SLOPE",
    "DENSITY_SLOPE_SPREAD",
    "FEEDSTOCKS",
    "HEAT_CAPACITY",
    "HEAT_CAPACITY_SPREAD",
    "STANDARD_TEMPERATURE",
    "Feedstock",
    "density",
    "dynamic_viscosity",
    "expansion",
    "heat_capacity",
    "kinematic_viscosity",
    "volume_correction",
]
