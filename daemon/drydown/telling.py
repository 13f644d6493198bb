"""Which estimates can be told: those whose every number is one, and of a tank that has fuel in it."""

import math
from collections.abc import Mapping
from typing import Any

from drydown.estimate.result import Estimate, Verdict


def unknown(now: float, run_time: float) -> Estimate:
    """The estimate of one who cannot tell."""
    return Estimate(now, run_time, None, None, None, None, None, None, False, Verdict.UNKNOWN)


def is_finite(told: Any) -> bool:
    """Whether every number is finite in a value, a mapping, a sequence or a dataclass, however deep."""
    if isinstance(told, float):
        return math.isfinite(told)
    if told is None or isinstance(told, (str, int)):
        return True
    if isinstance(told, (tuple, list)):
        return all(map(is_finite, told))
    if isinstance(told, Mapping):
        return all(map(is_finite, told.values()))
    return all(is_finite(getattr(told, name)) for name in getattr(told, "__dataclass_fields__", ()))
