"""Fuel at rest or being bubbled as it may be believed to be, without an estimator."""

import math

import numpy as np

from drydown.estimate.balance import LN_METHANOL, LN_WATER, Drive, Vessel
from drydown.estimate.belief import Belief
from drydown.estimate.outlook import cloud_of
from drydown.estimate.result import Spread
from drydown.estimate.unknowns import COUNT, INDEX
from drydown.quantities import ZERO_CELSIUS

LIMITS = (0.0020, 500e-6)
MIXING = Spread(3.0, 2.0, 4.5)
MASS = 150.0  # kg


def belief(
    fuel: float = 25.0,
    air: float = 15.0,
    humidity: float = 0.5,
    methanol: float = 0.012,
    water_content: float = 900e-6,
    doubt: float = 0.3,
    running: bool = False,
) -> Belief:
    """Draws about the middle of the priors, `doubt` of their spread wide; °C, of one, mass fractions."""
    warm = fuel + ZERO_CELSIUS
    state = np.array([math.log(methanol), math.log(water_content), warm, warm, 0.0, warm, 0.0])
    by_theta = np.zeros((7, COUNT))
    by_theta[LN_METHANOL, INDEX["methanol"]] = 0.69
    by_theta[LN_WATER, INDEX["water"]] = 0.31
    cloud = cloud_of(np.zeros(COUNT), np.zeros(COUNT), doubt**2 * np.eye(COUNT), state, by_theta)
    one = np.ones(1)
    drive = Drive(
        60.0 * one,
        one * running,
        one,
        one * (air + ZERO_CELSIUS),
        humidity * one,
        *(0 * one for _ in range(6)),
    )
    return Belief(cloud, drive, Vessel(MASS, 0.015))
