"""What the physics functions take and give, and the few constants that all of them share."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
"""Result of a physics function; for scalar arguments a numpy scalar stands in its place."""

Values = float | Array
"""Argument of a physics function: one number or an array of them."""

GAS_CONSTANT = 8.314462618  # J/(mol K), CODATA 2018, exact
STANDARD_PRESSURE = 101325.0  # Pa, ISO 2533
CELSIUS_ZERO = 273.15  # K, SI Brochure, exact
REFERENCE_TEMPERATURE = 298.15  # K, 25 °C: where properties are usually tabulated
