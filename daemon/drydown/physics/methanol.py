"""Pure methanol: vapour pressure, heat of vaporisation, and its vapour in air."""

from typing import cast

import numpy as np

from drydown.physics.values import (
    GAS_CONSTANT,
    REFERENCE_TEMPERATURE,
    STANDARD_PRESSURE,
    Array,
    Values,
)

MOLAR_MASS = 0.032042  # kg/mol, IUPAC atomic weights
BOILING_POINT = 337.85  # K at 1 atm (64.7 °C), NIST Chemistry WebBook

_LN10 = float(np.log(10.0))
_ANTOINE_A = 5.20409 + 5.0  # Ambrose & Sprake's constant for bar, moved to Pa
_ANTOINE_B = 1581.341  # K
_ANTOINE_C = -33.50  # K


def vapour_pressure(temperature: Values) -> Array:
    """Vapour pressure of pure methanol, Pa, at temperature in K.

    Antoine equation of Ambrose & Sprake, J. Chem. Soc. A 1970, as tabulated by the NIST Chemistry WebBook
    for 288 to 357 K; between 273 and 333 K it lies 0.2 to 0.7 % below CoolProp's reference equation.
    """
    pressure: Array = np.exp(_LN10 * _ANTOINE_A - _LN10 * _ANTOINE_B / (temperature + _ANTOINE_C))
    return pressure


def heat_of_vaporisation(temperature: Values) -> Array:
    """Heat of vaporisation of pure methanol, J/kg, at temperature in K.

    Quadratic through the reference equation of de Reuck & Craven (IUPAC vol. 12, 1993) as computed by
    CoolProp, 263 to 343 K, within 0.05 %.
    """
    above = temperature - REFERENCE_TEMPERATURE
    return cast(Array, 1.16911e6 - (1548.5 + 4.366 * above) * above)


def concentration(mole_fraction: Values, temperature: Values, pressure: Values = STANDARD_PRESSURE) -> Array:
    """Methanol vapour in air, kg/m³, from its mole fraction (1 ppm is 1e-6), K and Pa; ideal gas.

    NIOSH gives 1 ppm = 1.31 mg/m³ at 25 °C and 1 atm.
    """
    return cast(Array, mole_fraction * pressure * (MOLAR_MASS / GAS_CONSTANT) / temperature)


def mole_fraction(concentration: Values, temperature: Values, pressure: Values = STANDARD_PRESSURE) -> Array:
    """Mole fraction of methanol vapour in air from its concentration in kg/m³, K and Pa; ideal gas."""
    return cast(Array, concentration * temperature * (GAS_CONSTANT / MOLAR_MASS) / pressure)
