"""Methyl ester fuel itself: density and its change with temperature, heat capacity, viscosity, molar mass."""

from dataclasses import dataclass
from typing import cast

import numpy as np

from drydown.physics.values import REFERENCE_TEMPERATURE, Array, Values

STANDARD_TEMPERATURE = 288.15  # K, 15 °C, at which fuel volumes are stated (EN 14214, ISO 5024)

DENSITY_SLOPE = -0.72  # kg/(m³ K), from memory of Pratas et al., J. Chem. Eng. Data 55:3983, 2010
DENSITY_SLOPE_SPREAD = 0.03  # kg/(m³ K), from memory; the pure esters' equations of state lie within it

HEAT_CAPACITY = 2000.0  # J/(kg K) at 25 °C, from memory: 1900 to 2100 are reported
HEAT_CAPACITY_SPREAD = 60.0  # J/(kg K), 1 σ of a uniform range of ±100
_HEAT_CAPACITY_SLOPE = 2.0  # J/(kg K²), of methyl palmitate by the splines of Zábranský & Růžička, 2010

_VISCOSITY_REFERENCE = 313.15  # K, 40 °C
_VOGEL_B, _VOGEL_C = 740.1, 130.46  # K


@dataclass(frozen=True, slots=True)
class Feedstock:
    """Typical fuel made from one oil; all from memory."""

    density: float  # kg/m³ at 15 °C
    molar_mass: float  # kg/mol
    viscosity: float  # m²/s, kinematic at 40 °C


FEEDSTOCKS = {
    "used-cooking-oil": Feedstock(density=878.0, molar_mass=0.293, viscosity=4.6e-6),
    "soy": Feedstock(density=885.0, molar_mass=0.292, viscosity=4.1e-6),
    "rapeseed": Feedstock(density=883.0, molar_mass=0.297, viscosity=4.4e-6),
    "palm": Feedstock(density=874.0, molar_mass=0.285, viscosity=4.5e-6),
    "tallow": Feedstock(density=874.0, molar_mass=0.287, viscosity=4.8e-6),
    "other": Feedstock(density=880.0, molar_mass=0.292, viscosity=4.5e-6),
}
"""By the names of the configuration's `feedstock`."""


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
    at_40 = kinematic_at_40 * density(_VISCOSITY_REFERENCE, standard_density)
    curve = _VOGEL_B / (temperature - _VOGEL_C) - _VOGEL_B / (_VISCOSITY_REFERENCE - _VOGEL_C)
    growth: Array = np.exp(curve)
    return at_40 * growth


def kinematic_viscosity(
    temperature: Values, standard_density: Values = 880.0, kinematic_at_40: Values = 4.5e-6
) -> Array:
    """Kinematic viscosity in m²/s at temperature in K; arguments as for `dynamic_viscosity`."""
    dynamic = dynamic_viscosity(temperature, standard_density, kinematic_at_40)
    return dynamic / density(temperature, standard_density)
