"""From beliefs to ranges: of a logarithm that is normal, and of draws."""

import math
from typing import NamedTuple

import numpy as np

from drydown.estimate.result import Spread
from drydown.physics.values import Array

NORMAL_90 = 1.645  # standard deviations from the median to the 95 % point
LONGEST_AHEAD, NEVER = 86400.0, 43200.0  # s; an end whose median lies beyond the latter is not told


class Sides(NamedTuple):
    """Factors on the σ of a logarithm below and above its median."""

    below: float = 1.0
    above: float = 1.0


def sigma_of(row: Array, covariance: Array) -> float:
    """Standard deviation of what depends on the unknowns by a row of sensitivities."""
    return math.sqrt(max(float(row @ covariance @ row), 0.0))


def content(mean: float, sigma: float, sides: Sides) -> Spread:
    """The range of a mass fraction from the median and σ of its logarithm."""
    places = (-NORMAL_90 * sides.below, 0.0, NORMAL_90 * sides.above)
    low, median, high = (math.exp(min(mean + z * sigma, 0.0)) for z in places)
    return Spread(median, low, high)


def chance_within(limit: float, mean: float, sigma: float, sides: Sides) -> float:
    """Probability that a mass fraction lies at or below a limit: each side of the median holds half."""
    over = mean - math.log(limit)
    side = sides.below if over > 0.0 else sides.above
    return 0.5 * math.erfc(over / (sigma * side * math.sqrt(2.0)))


def of_draws(values: Array) -> Spread:
    """The range of equally likely draws, by straight lines between them."""
    ordered = np.sort(values)
    low, median, high = (_quantile(ordered, q) for q in (0.05, 0.5, 0.95))
    return Spread(median, low, high)


def moment(then: float, after: Array) -> Spread | None:
    """When something comes, from draws of the seconds after `then`; None where it likely never does."""
    found = of_draws(np.minimum(after, LONGEST_AHEAD))
    if found.median >= NEVER:
        return None
    return Spread(then + found.median, then + found.low, then + found.high)


def stretched(values: Array, sides: Sides, beside: float = 0.0) -> Array:
    """Positive draws whose ln is spread by so much below and above the median, and by a σ beside it."""
    logs = np.log(np.maximum(values, 1e-12))
    off = logs - middle(logs)
    more = beside / max(float(logs.std()), 1e-6)
    wider = np.where(off < 0.0, math.hypot(sides.below, more), math.hypot(sides.above, more))
    result: Array = np.exp(logs + off * (wider - 1.0))
    return result


def middle(values: Array) -> float:
    """The median of draws. (numpy's own would load its masked arrays in the middle of the first estimate.)"""
    return _quantile(np.sort(values), 0.5)


def _quantile(ordered: Array, share: float) -> float:
    place = share * (len(ordered) - 1)
    i = min(int(place), len(ordered) - 2)
    a, b = float(ordered[i]), float(ordered[i + 1])
    return a if a == b else a + (place - i) * (b - a)
