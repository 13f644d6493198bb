"""What runs taught, with what it belongs to: kept between runs, used only for the same tank and blower.

Without numpy, because lines carry lessons and who only passes them on shall not pay for it.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from drydown.config.model import Tank

Clock = Callable[[float], float]
"""Between the core's clock and Unix time, both in s."""

TANK_KEYS = ("shape", "diameter", "height", "cone_height", "length", "table", "material")
BLOWER_KEYS = ("rated_flow",)
EVEN = 1e-6  # by which what a fit left of a covariance may differ across its diagonal


@dataclass(frozen=True, slots=True)
class Learned:
    """The belief about what stays the same of a tank and blower, in standard coordinates of `unknowns`.

    `names` says of which unknowns; the mean has shape (n,), the covariance (n, n).
    """

    names: tuple[str, ...]
    mean: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]


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


def is_sound(learned: Learned) -> bool:
    """Whether it is a belief at all: as many numbers as names, finite, and a covariance that is one."""
    n, rows = len(learned.names), learned.covariance
    if len(learned.mean) != n or len(rows) != n or any(len(row) != n for row in rows):
        return False
    if not all(math.isfinite(x) for numbers in (learned.mean, *rows) for x in numbers):
        return False
    is_even = all(abs(rows[i][j] - rows[j][i]) < EVEN for i in range(n) for j in range(i))
    return is_even and _is_positive(rows)


def _is_positive(rows: tuple[tuple[float, ...], ...]) -> bool:
    """Whether a symmetric matrix is positive definite: whether it has a Cholesky factor."""
    factor: list[list[float]] = []
    for i, row in enumerate(rows):
        made: list[float] = []
        for j in range(i):
            rest = row[j] - sum(a * b for a, b in zip(made, factor[j], strict=False))
            made.append(rest / factor[j][j])
        rest = row[i] - sum(a * a for a in made)
        if rest <= 0.0:
            return False
        factor.append([*made, math.sqrt(rest)])
    return True


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
