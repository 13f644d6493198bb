"""Whether a lesson may be used, and the flow that it taught; without numpy, for whoever only looks back."""

import hashlib
import math

from drydown.config.model import Tank
from drydown.estimate.lesson import Learned, Lesson, changed
from drydown.estimate.parameters import INDEX, NAMES, PARAMETERS, STAYING

FORGETTING = 0.15  # of the prior's variance comes back between two runs: filters clog, probes move
KNOWN = 0.3  # of the prior's variance: below it the flow counts as taught
FARTHEST = 6.0  # σ that a coordinate may lie off

UNKNOWNS = hashlib.sha256(repr([PARAMETERS[i] for i in STAYING]).encode()).hexdigest()[:16]
"""Stands for the estimator's unknowns: another meaning of a coordinate makes what was learned worthless."""


def fits(lesson: Lesson, tank: Tank) -> bool:
    """Whether it may be used for this tank, by this estimator."""
    return lesson.unknowns == UNKNOWNS and not changed(lesson, tank)


def learned_flow(learned: Learned | None) -> float | None:
    """The blower's flow over its rated one as runs taught it; None where they did not."""
    if learned is None or learned.names != NAMES:
        return None
    at, flow = NAMES.index("flow"), PARAMETERS[INDEX["flow"]]
    if (1.0 - FORGETTING) * learned.covariance[at][at] + FORGETTING >= KNOWN:
        return None
    return flow.a * math.exp(flow.b * min(max(learned.mean[at], -FARTHEST), FARTHEST))
