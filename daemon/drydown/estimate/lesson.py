"""What runs taught, with what it belongs to: kept between runs, used only for the same tank and blower."""

import hashlib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from drydown.config.model import Tank
from drydown.estimate.learned import Learned, learned_of, prior_of
from drydown.estimate.result import Spread
from drydown.estimate.unknowns import INDEX, PARAMETERS, STAYING, physical
from drydown.physics.values import Array

Clock = Callable[[float], float]
"""Between the core's clock and Unix time, both in s."""

TANK_KEYS = ("shape", "diameter", "height", "cone_height", "length", "table", "material")
BLOWER_KEYS = ("rated_flow",)
NINETY = 1.645  # σ from the middle to either end of a 90 % range

UNKNOWNS = hashlib.sha256(repr([PARAMETERS[i] for i in STAYING]).encode()).hexdigest()[:16]
"""Stands for the estimator's unknowns: another meaning of a coordinate makes what was learned worthless."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """What `runs` runs taught since `since`, the end of the first of them (s on the core's clock).

    `owner` is the tank's and blower's configuration, `unknowns` the estimator's, that it belongs to.
    """

    learned: Learned
    owner: Mapping[str, Any]
    unknowns: str
    runs: int
    since: float


def owner_of(tank: Tank) -> dict[str, Any]:
    """What of a configuration makes the tank and blower that things are learned of; as plain JSON values."""
    told = {key: getattr(tank, key) for key in TANK_KEYS} | {
        key: getattr(tank.blower, key) for key in BLOWER_KEYS
    }
    table = None if tank.table is None else [list(point) for point in tank.table]
    return {key: value for key, value in (told | {"table": table}).items() if value is not None}


def changed(lesson: Lesson, tank: Tank) -> dict[str, tuple[Any, Any]]:
    """What of the configuration is another than the one it was learned of: before and now, by key."""
    before, now = dict(lesson.owner), owner_of(tank)
    return {
        key: (before.get(key), now.get(key))
        for key in (*TANK_KEYS, *BLOWER_KEYS)
        if before.get(key) != now.get(key)
    }


def fits(lesson: Lesson, tank: Tank) -> bool:
    """Whether it may be used for this tank, by this estimator."""
    return lesson.unknowns == UNKNOWNS and not changed(lesson, tank)


def taught(tank: Tank, before: Lesson | None, learned: Learned, now: float) -> Lesson | None:
    """What is known after one more run; None where it taught nothing, or nothing that can be used."""
    untouched = learned_of(*prior_of(before.learned if before else None))
    if learned == untouched or not is_sound(learned):
        return None
    runs, since = (before.runs + 1, before.since) if before else (1, now)
    return Lesson(learned, owner_of(tank), UNKNOWNS, runs, since)


def is_sound(learned: Learned) -> bool:
    """Whether it is a belief at all: as many numbers as names, finite, and a covariance that is one."""
    n = len(learned.names)
    try:
        mean, covariance = np.array(learned.mean, float), np.array(learned.covariance, float)
    except ValueError:
        return False
    if mean.shape != (n,) or covariance.shape != (n, n):
        return False
    if not (np.isfinite(mean).all() and np.isfinite(covariance).all()):
        return False
    skew = np.abs(covariance - covariance.T).max(initial=0.0)
    return bool(skew < 1e-6 and np.linalg.eigvalsh(covariance).min(initial=1.0) > 0.0)


def lesson_line(lesson: Lesson, time: float, to_unix: Clock) -> dict[str, Any]:
    """The lesson, taught at a time on the core's clock, as plain JSON values.

    Exact but for `time` and `since`, which are Unix times to the millisecond. Where they are one, only `time`
    is told: it is put right when the board's clock turns out to have been wrong.
    """
    learned = lesson.learned
    since = {} if lesson.since == time else {"since": round(to_unix(lesson.since), 3)}
    return {
        "time": round(to_unix(time), 3),
        "runs": lesson.runs,
        **since,
        "owner": dict(lesson.owner),
        "unknowns": lesson.unknowns,
        "names": list(learned.names),
        "mean": list(learned.mean),
        "covariance": [list(row) for row in learned.covariance],
    }


def lesson_of(line: Mapping[str, Any], from_unix: Clock) -> Lesson:
    """The inverse of `lesson_line`. Raises KeyError, TypeError or ValueError for what is none."""
    learned = Learned(
        tuple(map(str, line["names"])),
        tuple(map(float, line["mean"])),
        tuple(tuple(map(float, row)) for row in line["covariance"]),
    )
    if not is_sound(learned):
        raise ValueError("what was learned has numbers that cannot be: it is not used")
    runs, since = int(line["runs"]), float(line.get("since", line["time"]))
    if runs < 1 or not math.isfinite(since):
        raise ValueError("what was learned has no runs that it comes from, or no time: it is not used")
    return Lesson(learned, dict(line["owner"]), str(line["unknowns"]), runs, from_unix(since))


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
