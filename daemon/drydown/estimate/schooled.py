"""What a run adds to what is known of tank and blower, and what it comes to."""

from dataclasses import dataclass

import numpy as np

from drydown.config.model import Tank
from drydown.estimate.learned import learned_of, prior_of
from drydown.estimate.lesson import Learned, Lesson, is_sound, owner_of
from drydown.estimate.lesson_use import UNKNOWNS
from drydown.estimate.parameters import INDEX, PARAMETERS
from drydown.estimate.result import Spread
from drydown.estimate.unknowns import physical
from drydown.physics.values import Array

NINETY = 1.645  # σ from the middle to either end of a 90 % range


def taught(tank: Tank, before: Lesson | None, learned: Learned, now: float) -> Lesson | None:
    """What is known after one more run; None where it taught nothing, or nothing that can be used."""
    untouched = learned_of(*prior_of(before.learned if before else None))
    if learned == untouched or not is_sound(learned):
        return None
    runs, since = (before.runs + 1, before.since) if before else (1, now)
    return Lesson(learned, owner_of(tank), UNKNOWNS, runs, since)


@dataclass(frozen=True, slots=True)
class Quantity:
    """One thing that was learned, in the unit of `unknowns`; `narrowed` is how much of its variance went."""

    name: str
    value: Spread
    narrowed: float


def quantities(lesson: Lesson) -> tuple[Quantity, ...]:
    """All that stays the same of tank and blower, as it is believed now: medians with 90 % ranges.

    Only for a lesson of this estimator's own unknowns.
    """
    mean, covariance = np.zeros(len(PARAMETERS)), np.eye(len(PARAMETERS))
    at = np.array([INDEX[name] for name in lesson.learned.names])
    mean[at], covariance[np.ix_(at, at)] = lesson.learned.mean, lesson.learned.covariance
    sigma: Array = np.sqrt(np.diag(covariance))
    ends = [physical(mean + NINETY * side * sigma) for side in (0.0, -1.0, 1.0)]
    return tuple(
        Quantity(PARAMETERS[i].name, Spread(*(float(end[i]) for end in ends)), float(1.0 - sigma[i] ** 2))
        for i in at
    )
