"""Methyl ester fuel itself: density and its change with temperature, heat capacity, viscosity, molar mass."""

from dataclasses import dataclass
from typing import cast

import numpy as np

from drydown.physics.values import REFERENCE_TEMPERATURE, Array, Values

STANDARD_TEMPERATURE = 288.15  # K, 15 °C, at which fuel volumes are stated (EN 14214, ISO 5024)

DENSITY_SLOPE = -0.72  # kg/(m³ K), from memory, after Pratas et al., J. Chem. Eng. Data 55:3983, 2010
DENSITY_SLOPE_SPREAD = 0.03  # kg/(m³ K), from memory

HEAT_CAPACITY = 2000.0  # J/(kg K) at 25 °C, from memory: 1900 to 2100 are reported
HEAT_CAPACITY_SPREAD = 60.0  # J/(kg K), 1 σ of a uniform range of ±100
_HEAT_CAPACITY_SLOPE = 2.5  # J/(kg K²), from memory

_VISCOSITY_STEEPNESS = 2009.0  # K, from memory of Ramírez-Verduzco, Renew. Sustain. Energy Rev. 19:652, 2013
_VISCOSITY_REFERENCE = 313.15  # K, 40 °C


@dataclass(frozen=True, slots=True)
class Feedstock:
    """Typical fuel made from one oil: density at 15 °C, kinematic viscosity at 40 °C; all from memory."""

    density: float  # kg/m³
    molar_mass: float  # kg/mol
    viscosity: float  # m²/s


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

    ln μ is linear in 1/T with the slope that Ramírez-Verduzco found over all methyl esters.
    """
    at_40 = kinematic_at_40 * density(_VISCOSITY_REFERENCE, standard_density)
    growth: Array = np.exp(_VISCOSITY_STEEPNESS * (1.0 / temperature - 1.0 / _VISCOSITY_REFERENCE))
    return at_40 * growth


def kinematic_viscosity(
    temperature: Values, standard_density: Values = 880.0, kinematic_at_40: Values = 4.5e-6
) -> Array:
    """Kinematic viscosity in m²/s at temperature in K; arguments as for `dynamic_viscosity`."""
    dynamic = dynamic_viscosity(temperature, standard_density, kinematic_at_40)
    return dynamic / density(temperature, standard_density)
