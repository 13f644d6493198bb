"""Water: its vapour pressure, and how much of it methyl esters hold in damp air.

Two published saturation lines disagree; `line` goes between them: 0 is He et al. (Appl. Eng. Agric. 23:71,
2007), 1 is Fregolente et al. (J. Chem. Eng. Data 57:1817, 2012). Water beyond saturation is a second phase.
"""

from typing import cast

import numpy as np

from drydown.physics.values import CELSIUS_ZERO, REFERENCE_TEMPERATURE, Array, Values

MOLAR_MASS = 0.018015  # kg/mol, IUPAC atomic weights

HE = 0.0
FREGOLENTE = 1.0

# He et al.: 1000 mg/kg at 4 °C to 1700 at 35 °C, 22.2 a degree: a line through the middle of both
_HE_MIDDLE, _HE_SLOPE, _HE_AT = 1350e-6, 22.2e-6, CELSIUS_ZERO + 19.5
# Fregolente et al.: 1500 mg/kg at 10 °C to 1980 at 50 °C
_FREGOLENTE_MIDDLE, _FREGOLENTE_SLOPE, _FREGOLENTE_AT = 1740e-6, 12.0e-6, CELSIUS_ZERO + 30.0

# IAPWS Industrial Formulation 1997, region 4 (IAPWS R7-97(2012), Table 34)
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
_MEGAPASCAL = 1e6  # Pa


def vapour_pressure(temperature: Values) -> Array:
    """Vapour pressure over liquid water, Pa, at temperature in K.

    Saturation line of IAPWS-IF97 (region 4), made for 273.15 to 647 K; below 0 °C it continues over
    supercooled water, as relative humidity is referred to there (WMO-No. 8).
    """
    theta = temperature + _N[8] / (temperature - _N[9])
    a = (theta + _N[0]) * theta + _N[1]
    b = (_N[2] * theta + _N[3]) * theta + _N[4]
    c = (_N[5] * theta + _N[6]) * theta + _N[7]
    root = 2.0 * c / (np.sqrt(b * b - 4.0 * a * c) - b)
    square = root * root
    return _MEGAPASCAL * square * square


def dew_point(partial_pressure: Values) -> Array:
    """Temperature in K at which water vapour of this pressure (Pa) is saturated: the inverse of the above.

    IAPWS-IF97, region 4, backward equation, exact but for rounding. Needs a pressure above zero.
    """
    beta = np.sqrt(np.sqrt(partial_pressure / _MEGAPASCAL))
    e = (beta + _N[2]) * beta + _N[5]
    f = (_N[0] * beta + _N[3]) * beta + _N[6]
    g = (_N[1] * beta + _N[4]) * beta + _N[7]
    d = 2.0 * g / (-f - np.sqrt(f * f - 4.0 * e * g))
    total = _N[9] + d
    temperature: Array = 0.5 * (total - np.sqrt(total * total - 4.0 * (_N[8] + _N[9] * d)))
    return temperature


def heat_of_vaporisation(temperature: Values) -> Array:
    """Heat of vaporisation of water, J/kg, at temperature in K.

    Quadratic through IAPWS-95 as computed by CoolProp, 273 to 343 K, within 0.02 %.
    """
    above = temperature - REFERENCE_TEMPERATURE
    return cast(Array, 2.44176e6 - (2375.7 + 0.819 * above) * above)


def saturation(temperature: Values, line: Values = 0.5) -> Array:
    """Most water that methyl esters dissolve, mass fraction, at temperature in K.

    Measured at 4 to 35 °C (He et al.) and 10 to 50 °C (Fregolente et al.); straight lines beyond.
    """
    he = _HE_MIDDLE + _HE_SLOPE * (temperature - _HE_AT)
    fregolente = _FREGOLENTE_MIDDLE + _FREGOLENTE_SLOPE * (temperature - _FREGOLENTE_AT)
    return cast(Array, he + line * (fregolente - he))


def equilibrium_content(
    partial_pressure: Values, temperature: Values, line: Values = 0.5, exponent: Values = 1.0
) -> Array:
    """Dissolved water in equilibrium with air of this partial pressure of water (Pa), mass fraction.

    temperature is the fuel's, in K. w = w_sat · a^(1/exponent) with a the relative humidity referred to the
    fuel's temperature, at most 1: damper air than that condenses on the fuel. First order (exponent 1) from
    the sources above; the exponent, 0.9 to 1.15, is judgement about the deviations.
    """
    activity = np.minimum(partial_pressure / vapour_pressure(temperature), 1.0)
    content: Array = saturation(temperature, line) * activity ** (1.0 / exponent)
    return content


def activity(mass_fraction: Values, temperature: Values, line: Values = 0.5, exponent: Values = 1.0) -> Array:
    """Activity of water in the fuel: its relative humidity at equilibrium, at most 1.

    (w/w_sat)^exponent with w the water's mass fraction, free water included, and temperature in K.
    """
    share: Array = np.minimum(mass_fraction / saturation(temperature, line), 1.0) ** exponent
    return share


def equilibrium_pressure(
    mass_fraction: Values, temperature: Values, line: Values = 0.5, exponent: Values = 1.0
) -> Array:
    """Pressure of water vapour in equilibrium with the fuel, Pa; arguments as for `activity`."""
    return activity(mass_fraction, temperature, line, exponent) * vapour_pressure(temperature)
