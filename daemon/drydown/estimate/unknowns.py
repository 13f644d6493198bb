"""What is not known of a tank before it is watched, as coordinates that are standard normal a priori."""

import numpy as np

from drydown.estimate.lesson_use import FARTHEST
from drydown.estimate.parameters import DRIVING, PARAMETERS
from drydown.estimate.parameters import INDEX as INDEX
from drydown.estimate.parameters import STAYING as STAYING
from drydown.physics.values import Array

COUNT, DRIVEN = len(PARAMETERS), len(DRIVING)
_UNIFORM = np.array([p.shape == "uniform" for p in PARAMETERS])
_LOG = np.array([p.shape == "log-normal" for p in PARAMETERS])
_A = np.array([p.a for p in PARAMETERS])
_B = np.array([p.b for p in PARAMETERS])
_REACH = 0.575  # a uniform's share on either side of its middle that can be reached: the ends are judgement
_SIGMA = 0.289  # standard deviation of a uniform of width 1


def physical(theta: Array) -> Array:
    """The quantities themselves, from standard coordinates, both of shape (..., COUNT)."""
    held = np.clip(theta, -FARTHEST, FARTHEST)
    share = 0.5 + _REACH * np.tanh(held * (_SIGMA / _REACH))
    exponential = _A * np.exp(np.where(_LOG, _B, 0.0) * held)
    result: Array = np.where(_UNIFORM, _A + (_B - _A) * share, np.where(_LOG, exponential, _A + _B * held))
    return result
