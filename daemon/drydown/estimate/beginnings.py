"""What is believed of the contents where the fit does not begin with fresh fuel at rest."""

import math
from typing import NamedTuple

from drydown.estimate.balance import soluble
from drydown.estimate.parameters import PARAMETERS
from drydown.estimate.unknowns import INDEX, physical
from drydown.physics.values import Array

METHANOL, WATER = INDEX["methanol"], INDEX["water"]
METHANOL_CHANGED, WATER_CHANGED = 0.8, 0.35  # σ of ln content, over a change of the fuel, a gap, a long rest
LOWEST, HIGHEST = -6.0, 3.0  # in standard coordinates


class Carried(NamedTuple):
    """What was known before a new beginning: ln of the mass fractions, each with its σ."""

    methanol: float
    methanol_sigma: float
    water: float
    water_sigma: float

    def into(self, mean: Array, covariance: Array, fuel: float) -> None:
        """Put it in the prior's place; fuel: its temperature in K."""
        line = physical(mean)[INDEX["saturation"]]
        share = self.water - math.log(float(soluble(fuel, line)))
        _place(mean, covariance, METHANOL, self.methanol, math.hypot(self.methanol_sigma, METHANOL_CHANGED))
        _place(mean, covariance, WATER, share, math.hypot(self.water_sigma, WATER_CHANGED))


def joined(mean: Array, covariance: Array) -> None:
    """Found in the middle: some or nearly all of the methanol may be gone, and the fuel is mixed."""
    mean[METHANOL], covariance[METHANOL, METHANOL] = -1.5, 5.0
    covariance[WATER, WATER] = 6.0
    covariance[INDEX["layer"], INDEX["layer"]] = 0.01
    heat_capacity = INDEX["heat_capacity"]
    covariance[heat_capacity, heat_capacity] = 9.0  # in place of the amount, which was never seen at rest


def _place(mean: Array, covariance: Array, at: int, value: float, sigma: float) -> None:
    """A log-normal unknown with this ln and its σ."""
    prior = PARAMETERS[at]
    mean[at] = min(max((value - math.log(prior.a)) / prior.b, LOWEST), HIGHEST)
    covariance[at, at] = (sigma / prior.b) ** 2
