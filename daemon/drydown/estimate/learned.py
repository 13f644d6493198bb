"""What runs teach of a tank and its blower, and how it becomes the next run's prior."""

import numpy as np

from drydown.estimate.lesson import Learned as Learned
from drydown.estimate.lesson_use import FORGETTING
from drydown.estimate.parameters import NAMES, STAYING
from drydown.estimate.unknowns import COUNT
from drydown.physics.values import Array

_AT = np.array(STAYING)


def learned_of(mean: Array, covariance: Array) -> Learned:
    """What stays the same, out of the belief about all unknowns: shapes (COUNT,) and (COUNT, COUNT)."""
    kept = covariance[np.ix_(_AT, _AT)]
    return Learned(NAMES, tuple(mean[_AT].tolist()), tuple(map(tuple, kept.tolist())))


def prior_of(learned: Learned | None) -> tuple[Array, Array]:
    """Mean and covariance of all unknowns before a run, shapes (COUNT,) and (COUNT, COUNT).

    What was learned by a program with other unknowns is not used.
    """
    mean, covariance = np.zeros(COUNT), np.eye(COUNT)
    if learned is not None and learned.names == NAMES:
        mean[_AT] = learned.mean
        kept = (1.0 - FORGETTING) * np.array(learned.covariance) + FORGETTING * np.eye(len(NAMES))
        covariance[np.ix_(_AT, _AT)] = kept
    return mean, covariance
