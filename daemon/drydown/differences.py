"""Why one run took longer than another: how much of the difference each change explains, by the physics.

Methanol leaves well-mixed fuel of volume V through air of flow Q at dw/dt = −η Q K(w, T) w / V, with K the
partition coefficient (`physics.solution`) and η what bubbles reach of it, which stays a tank's own but for
the depth of its fuel. So the time is V/(η Q) · I(w₀, T), and the logarithm of the ratio of two times is a sum
over what differs. Logarithmic mean division (Ang, Energy Policy 33:867, 2005, from memory) turns that sum
into seconds, without a rest of its own; what then is left of the times as they were is told as not explained.
"""

import math

import numpy as np

from drydown.estimate.result import Spread
from drydown.explained import Conditions, Explained
from drydown.physics import fuel, solution
from drydown.physics.values import Array

STEPS = 60  # of the integral over the content
NINETY = 1.645  # σ from the middle to either end of a 90 % range
MODELS = (solution.UNIFAC, solution.DORTMUND)
VOLUME_ERROR = 0.01  # 1 σ of ln volume at 15 °C, one run against another; judgement
DEPTH, DEPTH_ERROR = 0.8, 0.12  # power of volume that the time follows: bubbles in shallower fuel have less
# time to take methanol up. Between 0.6 and 1.0 for 1.5 to 5 transfer units; judgement
WARMTH_ERROR = 0.3  # K, 1 σ of one run's mean: the probe's, and that a mean stands for the course; judgement


def explain(before: Conditions, after: Conditions, limit: float) -> Explained:
    """What made `after` take longer than `before` (less: negative). `limit` of methanol is a mass fraction.

    Each run's errors are taken for its own, so that the ranges are rather too wide than too narrow.
    """
    scale = _log_mean(before.took, after.took)
    methanol = [
        _mean_of_orders(before, after, limit, model, ("methanol", "fuel_temperature")) for model in MODELS
    ]
    warmth = [
        _mean_of_orders(before, after, limit, model, ("fuel_temperature", "methanol")) for model in MODELS
    ]
    starts = math.hypot(_start_error(before, limit), _start_error(after, limit))
    larger = math.log(after.volume / before.volume)
    flow = None
    if before.flow is not None and after.flow is not None:
        slower = math.log(before.flow.median / after.flow.median)
        flow = slower, math.hypot(_log_error(before.flow), _log_error(after.flow))
    starting = sum(methanol) / 2, math.hypot(starts, _half(methanol))
    warmer = sum(warmth) / 2, math.hypot(_half(warmth), _warmth_error(before, limit))
    fuller = DEPTH * larger, math.hypot(math.sqrt(2) * VOLUME_ERROR, DEPTH_ERROR * larger)
    told = [part for part in (starting, warmer, fuller, flow) if part is not None]
    rest = math.log(after.took / before.took) - sum(middle for middle, _ in told)
    return Explained(
        methanol=_seconds(scale, *starting),
        fuel_temperature=_seconds(scale, *warmer),
        volume=_seconds(scale, *fuller),
        flow=None if flow is None else _seconds(scale, *flow),
        rest=_seconds(scale, rest, math.hypot(*(error for _, error in told))),
    )


def bubbled(content: float, temperature: float, limit: float, model: float = 0.5) -> float:
    """I(w₀, T): ∫ dw / (w K(w, T)) from the limit to the content, dimensionless; 0 from the limit down."""
    if content <= limit:
        return 0.0
    steps: Array = np.linspace(math.log(limit), math.log(content), STEPS + 1)
    density = fuel.density(temperature)
    each = 1.0 / solution.partition_coefficient(np.exp(steps), temperature, density, model)
    return float(np.sum((each[1:] + each[:-1]) / 2 * np.diff(steps)))


def _mean_of_orders(
    before: Conditions, after: Conditions, limit: float, model: float, order: tuple[str, str]
) -> float:
    """ln of how much longer the first of two changes makes it, in the mean of making it first and last."""

    def time(of_methanol: Conditions, of_warmth: Conditions) -> float:
        least = limit * 1.05  # a run that began within its limit has no time to compare
        content = max(of_methanol.methanol.median, least)
        return math.log(bubbled(content, of_warmth.fuel_temperature, limit, model))

    if order[0] == "methanol":
        first = time(after, before) - time(before, before)
        last = time(after, after) - time(before, after)
    else:
        first = time(before, after) - time(before, before)
        last = time(after, after) - time(after, before)
    return (first + last) / 2


def _start_error(run: Conditions, limit: float) -> float:
    """1 σ of ln I by what is not known of the methanol at the start."""
    low, high = (
        math.log(bubbled(max(content, limit * 1.05), run.fuel_temperature, limit))
        for content in (run.methanol.low, run.methanol.high)
    )
    return (high - low) / (2 * NINETY)


def _warmth_error(run: Conditions, limit: float) -> float:
    """1 σ of ln I by what is not known of two fuels' warmth."""
    content, warmth = max(run.methanol.median, limit * 1.05), run.fuel_temperature
    less, more = (bubbled(content, warmth + side * WARMTH_ERROR, limit) for side in (-1.0, 1.0))
    return math.sqrt(2) * math.log(less / more) / 2


def _log_error(spread: Spread) -> float:
    return math.log(spread.high / spread.low) / (2 * NINETY)


def _half(two: list[float]) -> float:
    return abs(two[0] - two[1]) / 2


def _log_mean(one: float, other: float) -> float:
    return one if math.isclose(one, other, rel_tol=1e-9) else (other - one) / math.log(other / one)


def _seconds(scale: float, middle: float, error: float) -> Spread:
    return Spread(scale * middle, scale * (middle - NINETY * error), scale * (middle + NINETY * error))
