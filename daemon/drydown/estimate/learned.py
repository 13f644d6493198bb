"""What runs teach of a tank and its blower, and how it becomes the next run's prior."""

import numpy as np

from drydown.estimate.lesson import Learned as Learned
from drydown.estimate.unknowns import COUNT, INDEX, PARAMETERS, STAYING, physical
from drydown.physics.values import Array

FORGETTING = 0.15  # of the prior's variance comes back between two runs: filters clog, probes move
NAMES = tuple(PARAMETERS[i].name for i in STAYING)
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


KNOWN = 0.3  # of the prior's variance: below it the flow counts as taught


def learned_flow(learned: Learned | None) -> float | None:
    """The blower's flow over its rated one as runs taught it; None where they did not."""
    mean, covariance = prior_of(learned)
    at = INDEX["flow"]
    return float(physical(mean)[at]) if covariance[at, at] < KNOWN else None
