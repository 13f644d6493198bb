"""Methanol dissolved in methyl esters: how strongly it wants out, and what leaving costs.

Raoult's law with an activity coefficient, p = x γ(x, T) p°(T). Two group-contribution models disagree on γ by
up to 37 %: UNIFAC (Hansen et al., Ind. Eng. Chem. Res. 30:2352, 1991) and modified UNIFAC (Dortmund)
(Gmehling, Li & Schiller, Ind. Eng. Chem. Res. 32:178, 1993, with its revisions). Each is replaced here by a
five-suffix Margules polynomial in methyl oleate,

    ln γ = (1 − x)² (A + B x + C x² + D x³),   A, B, C polynomials in u = 1000/T − 1000/298.15,

fitted to the models as computed by `thermo` 0.6 over −10 to 70 °C and 0 to 10 % methanol by mass. There the
fit lies within 0.002 (UNIFAC) and 0.006 (Dortmund) of ln γ, and within 0.03 and 0.6 kJ/mol (0.4 within
−5 to 65 °C) of the excess enthalpy. Up to 25 % methanol ln γ stays within 0.03 and 0.07. Methyl linoleate and
palmitate lie within 8 % of methyl oleate between 10 and 40 °C.

`mixing` goes between the models: 0 is UNIFAC, 1 is Dortmund, and ln γ is linear in between (and beyond).
"""

from typing import cast

import numpy as np

from drydown.physics import methanol
from drydown.physics.values import GAS_CONSTANT, REFERENCE_TEMPERATURE, Array, Values

UNIFAC = 0.0
DORTMUND = 1.0
ESTER_MOLAR_MASS = 0.29649  # kg/mol, methyl oleate, IUPAC atomic weights

# A0 A1 A2 B0 B1 B2 C0 C1 D of each model
_UNIFAC = (1.4503, 0.6827, -0.0377, 1.4546, 0.0067, -0.3908, 0.6784, -0.1826, 2.7717)
_DORTMUND = (1.7668, 0.7145, -0.3047, 0.4635, -1.1430, 0.0683, 0.9073, 1.3977, 3.5480)
_SHIFT = tuple(d - u for u, d in zip(_UNIFAC, _DORTMUND, strict=True))
_U_ZERO = 1000.0 / REFERENCE_TEMPERATURE


def mole_fraction(mass_fraction: Values, ester_molar_mass: Values = ESTER_MOLAR_MASS) -> Array:
    """Mole fraction of methanol in the liquid from its mass fraction; ester's molar mass in kg/mol."""
    ratio = methanol.MOLAR_MASS / ester_molar_mass
    return cast(Array, mass_fraction / (mass_fraction + ratio * (1.0 - mass_fraction)))


def mass_fraction(mole_fraction: Values, ester_molar_mass: Values = ESTER_MOLAR_MASS) -> Array:
    """Mass fraction of methanol in the liquid from its mole fraction; ester's molar mass in kg/mol."""
    ratio = ester_molar_mass / methanol.MOLAR_MASS
    return cast(Array, mole_fraction / (mole_fraction + ratio * (1.0 - mole_fraction)))


def _coefficients(mixing: Values) -> tuple[Values, ...]:
    return tuple(u + mixing * s for u, s in zip(_UNIFAC, _SHIFT, strict=True))


def log_activity_coefficient(x: Values, temperature: Values, mixing: Values = 0.5) -> Array:
    """Natural logarithm of methanol's activity coefficient (1 in pure methanol).

    x is its mole fraction in the liquid, temperature in K, mixing between the models (see the module).
    """
    a0, a1, a2, b0, b1, b2, c0, c1, d = _coefficients(mixing)
    u = 1000.0 / temperature - _U_ZERO
    series = a0 + (a1 + a2 * u) * u + (b0 + (b1 + b2 * u) * u + (c0 + c1 * u + d * x) * x) * x
    rest = 1.0 - x
    return cast(Array, rest * rest * series)


def excess_enthalpy(x: Values, temperature: Values, mixing: Values = 0.5) -> Array:
    """Partial molar excess enthalpy of methanol, J/mol: R ∂ln γ/∂(1/T) (Gibbs–Helmholtz).

    Arguments as for `log_activity_coefficient`. Positive: methanol leaves the fuel more cheaply than it
    leaves pure methanol.
    """
    _, a1, a2, _, b1, b2, _, c1, _ = _coefficients(mixing)
    u = 1000.0 / temperature - _U_ZERO
    slope = a1 + 2.0 * a2 * u + (b1 + 2.0 * b2 * u + c1 * x) * x
    rest = 1.0 - x
    return cast(Array, 1000.0 * GAS_CONSTANT * (rest * rest * slope))


def activity_coefficient(x: Values, temperature: Values, mixing: Values = 0.5) -> Array:
    """Methanol's activity coefficient; arguments as for `log_activity_coefficient`."""
    gamma: Array = np.exp(log_activity_coefficient(x, temperature, mixing))
    return gamma


def partial_pressure(x: Values, temperature: Values, mixing: Values = 0.5) -> Array:
    """Pressure of methanol vapour in equilibrium with the fuel, Pa; arguments as above."""
    return x * activity_coefficient(x, temperature, mixing) * methanol.vapour_pressure(temperature)


def partition_coefficient(
    mass_fraction: Values,
    temperature: Values,
    density: Values,
    mixing: Values = 0.5,
    ester_molar_mass: Values = ESTER_MOLAR_MASS,
) -> Array:
    """Methanol per volume of gas over methanol per volume of fuel at equilibrium (dimensionless).

    density of the fuel in kg/m³ at the temperature in K. Finite at no methanol at all.
    """
    x_over_w = 1.0 / (mass_fraction + methanol.MOLAR_MASS / ester_molar_mass * (1.0 - mass_fraction))
    gamma = activity_coefficient(mass_fraction * x_over_w, temperature, mixing)
    vapour = methanol.vapour_pressure(temperature) * methanol.MOLAR_MASS / (GAS_CONSTANT * temperature)
    return gamma * x_over_w * vapour / density


def heat_of_desorption(x: Values, temperature: Values, mixing: Values = 0.5) -> Array:
    """Heat that leaving the fuel takes, J per kg of methanol: of vaporisation less the excess enthalpy."""
    excess = excess_enthalpy(x, temperature, mixing)
    return methanol.heat_of_vaporisation(temperature) - excess / methanol.MOLAR_MASS
