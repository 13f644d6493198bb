"""Activity of methanol dissolved in methyl esters, by two group-contribution models written out here.

UNIFAC (Fredenslund, Jones & Prausnitz, AIChE J. 21:1086, 1975; parameters of Hansen, Rasmussen, Fredenslund,
Schiller & Gmehling, Ind. Eng. Chem. Res. 30:2352, 1991) and modified UNIFAC (Dortmund) (Weidlich & Gmehling,
Ind. Eng. Chem. Res. 26:1372, 1987; parameters of Gmehling, Li & Schiller, 32:178, 1993, and its revisions).
The estimator has its own, simpler idea of the activity: nothing of this module is used there.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from drydown.physics import values

Array = values.Array

GAS_CONSTANT, REFERENCE = values.GAS_CONSTANT, values.REFERENCE_TEMPERATURE

# Groups, in this order throughout: CH3, CH2, CH=CH, CH2COO, CH3OH. Main groups: CH2, C=C, CCOO, CH3OH.
MAIN_OF = np.array([0, 0, 1, 2, 3])
PALMITATE = (np.array([2.0, 13.0, 0.0, 1.0, 0.0]), 0.27045)  # groups, and kg/mol (IUPAC atomic weights)
OLEATE = (np.array([2.0, 13.0, 1.0, 1.0, 0.0]), 0.29649)
LINOLEATE = (np.array([2.0, 11.0, 2.0, 1.0, 0.0]), 0.29447)


@dataclass(frozen=True, slots=True)
class Ester:
    """A mixture of methyl esters, as mole fractions of palmitate, oleate and linoleate (together 1)."""

    palmitate: float = 0.0
    oleate: float = 1.0
    linoleate: float = 0.0

    def groups(self) -> Array:
        """Mean number of each group in a molecule of ester, shape (5,)."""
        mean: Array = self.palmitate * PALMITATE[0] + self.oleate * OLEATE[0] + self.linoleate * LINOLEATE[0]
        return mean

    def molar_mass(self) -> float:
        """Mean molar mass, kg/mol."""
        return self.palmitate * PALMITATE[1] + self.oleate * OLEATE[1] + self.linoleate * LINOLEATE[1]


@dataclass(frozen=True, slots=True)
class Model:
    """Parameters of one group-contribution model: volumes, areas, interactions a + b T + c T² (K)."""

    volume: Array
    area: Array
    a: Array
    b: Array
    c: Array
    exponent: float  # of the volume in the combinatorial part


UNIFAC = Model(
    volume=np.array([0.9011, 0.6744, 1.1167, 1.6764, 1.4311]),
    area=np.array([0.848, 0.540, 0.867, 1.420, 1.432]),
    a=np.array(
        [
            [0.0, 86.02, 232.1, 697.2],
            [-35.36, 0.0, 37.85, 787.6],
            [114.8, 132.1, 0.0, 249.63],
            [16.51, -12.52, -10.72, 0.0],
        ]
    ),
    b=np.zeros((4, 4)),
    c=np.zeros((4, 4)),
    exponent=1.0,
)

DORTMUND = Model(
    volume=np.array([0.6325, 0.6325, 1.2832, 1.2700, 0.8585]),
    area=np.array([1.0608, 0.7081, 1.2489, 1.4228, 0.9938]),
    a=np.array(
        [
            [0.0, 189.66, 98.656, 2409.4],
            [-95.418, 0.0, 980.74, -628.07],
            [632.22, -582.82, 0.0, 294.76],
            [82.593, -96.297, 299.23, 0.0],
        ]
    ),
    b=np.array(
        [
            [0.0, -0.2723, 1.9294, -3.0099],
            [0.0617, 0.0, -2.4224, 10.0],
            [-3.3912, 1.6732, 0.0, 0.3745],
            [-0.4857, 0.6304, -1.2702, 0.0],
        ]
    ),
    c=np.array(
        [
            [0.0, 0.0, -0.003133, 0.0],
            [0.0, 0.0, 0.0, -0.01497],
            [0.003928, 0.0, 0.0, 0.0],
            [0.0, -0.0018, 0.0, 0.0],
        ]
    ),
    exponent=0.75,
)


def log_gamma(model: Model, ester: Ester, x: Array, temperature: Array) -> Array:
    """Natural logarithm of methanol's activity coefficient (reference: pure methanol).

    x is the mole fraction of methanol and temperature is in K; they broadcast, and the result has their
    common shape.
    """
    x, temperature = np.broadcast_arrays(np.asarray(x, float), np.asarray(temperature, float))
    counts = np.array([[0.0, 0.0, 0.0, 0.0, 1.0], ester.groups()])  # methanol, ester
    fractions = np.stack([x, 1.0 - x], axis=-1)
    return _combinatorial(model, counts, fractions) + _residual(model, counts, fractions, temperature)


def _combinatorial(model: Model, counts: Array, fractions: Array) -> Array:
    r, q = counts @ model.volume, counts @ model.area
    powered = r**model.exponent
    modified = powered[0] / (fractions @ powered)  # V' of methanol over its mole fraction
    volume = r[0] / (fractions @ r)
    ratio = volume / (q[0] / (fractions @ q))
    part: Array = 1.0 - modified + np.log(modified) - 5.0 * q[0] * (1.0 - ratio + np.log(ratio))
    return part


def _residual(model: Model, counts: Array, fractions: Array, temperature: Array) -> Array:
    t = temperature[..., None, None]
    psi = np.exp(-(model.a / t + model.b + model.c * t))[..., MAIN_OF, :][..., :, MAIN_OF]
    methanol = 4  # methanol is one group, so ln Γ of the group is 0 in the pure liquid
    amounts = fractions @ counts
    theta = amounts * model.area
    theta = theta / theta.sum(axis=-1, keepdims=True)
    seen = np.einsum("...m,...mk->...k", theta, psi)  # Σ_m θ_m ψ_mk
    part: Array = model.area[methanol] * (
        1.0 - np.log(seen[..., methanol]) - (theta * psi[..., methanol, :] / seen).sum(axis=-1)
    )
    return part


@dataclass(frozen=True, slots=True)
class Activity:
    """What one tank's fuel does: a blend of both models, bent by a shift and a slope of its own.

    ln γ = (1 − blend) UNIFAC + blend Dortmund + (shift + slope (1/T − 1/298.15 K)) (1 − x)²; the last term
    is a one-constant Margules term, so that it keeps the Gibbs–Duhem relation.
    """

    ester: Ester
    blend: float = 0.5
    shift: float = 0.0
    slope: float = 0.0  # K

    def log_gamma(self, x: Array, temperature: Array) -> Array:
        """Natural logarithm of methanol's activity coefficient; x and temperature (K) broadcast."""
        bend = self.shift + self.slope * (1.0 / np.asarray(temperature) - 1.0 / REFERENCE)
        value: Array = (
            (1.0 - self.blend) * log_gamma(UNIFAC, self.ester, x, temperature)
            + self.blend * log_gamma(DORTMUND, self.ester, x, temperature)
            + bend * (1.0 - np.asarray(x)) ** 2
        )
        return value

    def excess_enthalpy(self, x: Array, temperature: Array) -> Array:
        """Partial molar excess enthalpy of methanol, J/mol: R ∂ln γ/∂(1/T) (Gibbs–Helmholtz)."""
        inverse = 1.0 / np.asarray(temperature)
        step = 1e-6  # 1/K, about a tenth of a kelvin
        above = self.log_gamma(x, 1.0 / (inverse + step))
        below = self.log_gamma(x, 1.0 / (inverse - step))
        value: Array = GAS_CONSTANT * (above - below) / (2.0 * step)
        return value


class Table:
    """ln γ and the excess enthalpy on a grid, for bilinear look-up by plain floats."""

    X_STEP = 0.01
    T_FIRST, T_STEP = 248.15, 2.5  # K

    def __init__(self, activity: Activity) -> None:
        x = np.arange(0.0, 0.951, self.X_STEP)[:, None]
        t = np.arange(self.T_FIRST, 373.2, self.T_STEP)[None, :]
        self._gamma: list[list[float]] = activity.log_gamma(x, t).tolist()
        self._enthalpy: list[list[float]] = activity.excess_enthalpy(x, t).tolist()
        self._last_x, self._last_t = x.shape[0] - 2, t.shape[1] - 2

    def look_up(self, x: float, temperature: float) -> tuple[float, float]:
        """ln γ and excess enthalpy (J/mol) of methanol at mole fraction x and temperature (K)."""
        u = x / self.X_STEP
        v = (temperature - self.T_FIRST) / self.T_STEP
        i = min(max(int(u), 0), self._last_x)
        j = min(max(int(v), 0), self._last_t)
        u -= i
        v -= j
        a, b, c, d = (1.0 - u) * (1.0 - v), (1.0 - u) * v, u * (1.0 - v), u * v
        g, h = self._gamma[i], self._enthalpy[i]
        g1, h1 = self._gamma[i + 1], self._enthalpy[i + 1]
        return (
            a * g[j] + b * g[j + 1] + c * g1[j] + d * g1[j + 1],
            a * h[j] + b * h[j + 1] + c * h1[j] + d * h1[j + 1],
        )


@lru_cache(maxsize=32)
def table_of(activity: Activity) -> Table:
    """The table of one fuel, made once."""
    return Table(activity)
