"""From beliefs to ranges: of a logarithm that is normal, and of draws."""

import math

import numpy as np

from drydown.estimate.result import Spread
from drydown.physics.values import Array

NORMAL_90 = 1.645  # standard deviations from the median to the 95 % point
LONGEST_AHEAD, NEVER = 86400.0, 43200.0  # s; an end whose median lies beyond the latter is not told


def sigma_of(row: Array, covariance: Array) -> float:
    """Standard deviation of what depends on the unknowns by a row of sensitivities."""
    return math.sqrt(max(float(row @ covariance @ row), 0.0))


def content(mean: float, sigma: float) -> Spread:
    """The range of a mass fraction from the mean and σ of its logarithm."""
    low, middle, high = (math.exp(min(mean + z * sigma, 0.0)) for z in (-NORMAL_90, 0.0, NORMAL_90))
    return Spread(middle, low, high)


def chance_within(limit: float, mean: float, sigma: float) -> float:
    """Probability that a mass fraction lies at or below a limit; mean and σ of its logarithm."""
    return 0.5 * math.erfc((mean - math.log(limit)) / (sigma * math.sqrt(2.0)))


def of_draws(values: Array) -> Spread:
    """The range of equally likely draws, by straight lines between them."""
    ordered = np.sort(values)
    low, middle, high = (_quantile(ordered, q) for q in (0.05, 0.5, 0.95))
    return Spread(middle, low, high)


def moment(then: float, after: Array) -> Spread | None:
    """When something comes, from draws of the seconds after `then`; None where it likely never does."""
    found = of_draws(np.minimum(after, LONGEST_AHEAD))
    if found.median >= NEVER:
        return None
    return Spread(then + found.median, then + found.low, then + found.high)


def stretched(values: Array, factor: float, beside: float = 0.0) -> Array:
    """Positive draws with a spread of ln that is so much larger, and has so much more beside it."""
    logs = np.log(np.maximum(values, 1e-12))
    middle = np.median(logs)
    wider = math.hypot(factor, beside / max(float(logs.std()), 1e-6))
    result: Array = np.exp(middle + (logs - middle) * wider)
    return result


def _quantile(ordered: Array, share: float) -> float:
    place = share * (len(ordered) - 1)
    i = min(int(place), len(ordered) - 2)
    a, b = float(ordered[i]), float(ordered[i + 1])
    return a if a == b else a + (place - i) * (b - a)
