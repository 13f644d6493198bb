"""Drops that sink: how fast glycerol and soapy water fall through still fuel (Stokes)."""

from typing import cast

import numpy as np
from numpy.typing import NDArray

from drydown.physics.plain import GLYCEROL_DENSITY as GLYCEROL_DENSITY
from drydown.physics.plain import STANDARD_GRAVITY
from drydown.physics.values import Array, Values

CREEPING_REYNOLDS = 0.1
"""Below this Stokes' law errs by less than 2 % (Oseen's correction: 3/16 of the Reynolds number)."""


def stokes_velocity(diameter: Values, density_difference: Values, viscosity: Values) -> Array:
    """Speed of a small drop's fall, m/s: Δρ g d²/(18 μ).

    diameter in m, density of the drop less that of the fuel in kg/m³ (negative: it rises), dynamic viscosity
    of the fuel in Pa s. Holds in creeping flow: see `reynolds`.
    """
    return cast(Array, density_difference * STANDARD_GRAVITY * diameter * diameter / (18.0 * viscosity))


def reynolds(velocity: Values, diameter: Values, density: Values, viscosity: Values) -> Array:
    """Reynolds number of the fall; density and dynamic viscosity are the fuel's."""
    number: Array = density * np.abs(velocity) * diameter / viscosity
    return number


def is_creeping(velocity: Values, diameter: Values, density: Values, viscosity: Values) -> NDArray[np.bool_]:
    """Whether Stokes' law holds for this fall; arguments as for `reynolds`."""
    creeping: NDArray[np.bool_] = reynolds(velocity, diameter, density, viscosity) < CREEPING_REYNOLDS
    return creeping


def fall_time(height: Values, diameter: Values, density_difference: Values, viscosity: Values) -> Array:
    """Time in s for a drop to fall through a height in m of still fuel; arguments as above."""
    return height / stokes_velocity(diameter, density_difference, viscosity)


def smallest_settled(time: Values, height: Values, density_difference: Values, viscosity: Values) -> Array:
    """Diameter in m of the smallest drops that have all fallen through a height (m) within a time (s)."""
    diameter: Array = np.sqrt(18.0 * viscosity * height / (density_difference * STANDARD_GRAVITY * time))
    return diameter
