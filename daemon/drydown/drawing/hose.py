"""What draws tell together: how fast fuel runs through tap, filter and hose, and how long the next one takes.

Nobody measured where the hose ends. Every height that makes sense is tried, and counts as much as the levels
agree with it, and the draws with each other; how differently draws run that look alike is in every range.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import stdev

from drydown.drawing.descent import Descent, Fit, Shape, fit
from drydown.drawing.draws import Draw
from drydown.estimate.result import Spread

LOWEST = 1.2  # m below the tank's lowest point, where a hose may end: a tank on a stand; judgement
TRIED = 15  # heights of the outlet
OFF_LAW = 0.003  # m by which levels lie off the law for reasons of their own, friction in the hose; judgement
USUAL, ALIKE = 0.08, 0.03  # how much draws differ, σ: while fewer than three tell, and at least; judgement
ENOUGH = 3  # draws that tell how much they differ
LEAST_FALL = 1e-6  # m, which takes no time
NINETY = 1.645  # standard deviations to either side hold 90 % of a normal distribution


@dataclass(frozen=True, slots=True)
class _Outlet:
    descent: Descent
    fits: tuple[Fit, ...]  # one a draw
    weight: float = 0.0


@dataclass(frozen=True, slots=True)
class _Pace:
    """The logarithm of k (m^2.5/s) of like draws: its mean, that mean's variance, and that of a draw."""

    mean: float
    of_mean: float
    of_one: float


class Hose:
    """What draws say, in their order. Levels in m above the tank's lowest point; all ranges are of 90 %."""

    def __init__(self, shape: Shape, standpipe: float, draws: Sequence[Draw]) -> None:
        """Raises ValueError where none of the draws tells anything."""
        step = (standpipe + LOWEST) / (TRIED - 1)
        descents = [Descent(shape, standpipe - step * i) for i in range(TRIED)]
        told = [draw for draw in draws if draw.points]
        self._outlets = _weighed(_tried(descents, told), sum(len(draw.points) for draw in told))
        if not self._outlets:
            raise ValueError("no draw tells how fast the fuel runs")

    def flow(self, level: float) -> Spread:
        """What would run at a level, m³/s."""
        return self._mixed(
            lambda one, pace: log(sqrt(max(level - one.descent.outlet, LEAST_FALL))) + pace.mean,
            lambda pace: pace.of_one,
        )

    def time(self, level: float, until: float) -> Spread:
        """How long a draw would take from a level down to another, s."""
        if level - until < LEAST_FALL:
            return Spread(0.0, 0.0, 0.0)
        return self._mixed(
            lambda one, pace: log(one.descent.way(level) - one.descent.way(until)) - pace.mean,
            lambda pace: pace.of_one,
        )

    def left(self, first: int, last: int) -> Spread | None:
        """What share of the `first` so many draws' flow the `last` so many still have at the same level.

        None where these would be the same draws.
        """
        count = len(self._outlets[0].fits)
        if min(first, last) < 1 or first + last > count:
            return None
        ends = [(one, _pace(one.fits[:first]), _pace(one.fits[-last:])) for one in self._outlets]
        return _spread((one.weight, b.mean - a.mean, a.of_mean + b.of_mean) for one, a, b in ends)

    def _mixed(self, middle: Callable[[_Outlet, _Pace], float], variance: Callable[[_Pace], float]) -> Spread:
        paces = [(one, _pace(one.fits)) for one in self._outlets]
        return _spread((one.weight, middle(one, pace), variance(pace)) for one, pace in paces)


def _tried(descents: Iterable[Descent], draws: Sequence[Draw]) -> list[_Outlet]:
    found = []
    for descent in descents:
        fits = [fit(draw.points, descent) for draw in draws]
        if draws and all(fits):
            found.append(_Outlet(descent, tuple(filter(None, fits))))
    return found


def _weighed(outlets: Sequence[_Outlet], points: int) -> list[_Outlet]:
    """Each with its share of belief: all errors normal, every height as likely as another beforehand."""
    if not outlets:
        return []
    squares = [sum(one.squares for one in outlet.fits) for outlet in outlets]
    variance = max(OFF_LAW**2, min(squares) / max(1, points - 2 * len(outlets[0].fits)))
    differ = [_differ(outlet.fits) ** 2 for outlet in outlets]
    usual = max(USUAL**2, min(differ))
    misfits = [
        one / variance + (len(outlet.fits) - 1) * two / usual
        for outlet, one, two in zip(outlets, squares, differ, strict=True)
    ]
    shares = [exp(0.5 * (min(misfits) - one)) for one in misfits]
    return [
        _Outlet(outlet.descent, outlet.fits, share / sum(shares))
        for outlet, share in zip(outlets, shares, strict=True)
    ]


def _differ(fits: Sequence[Fit]) -> float:
    logs = [log(one.coefficient) for one in fits]
    return stdev(logs) if len(logs) > 1 else 0.0


def _pace(fits: Sequence[Fit]) -> _Pace:
    logs = [log(one.coefficient) for one in fits]
    owns = [(one.error / one.coefficient) ** 2 for one in fits]
    differ = max(ALIKE, _differ(fits)) if len(logs) >= ENOUGH else USUAL
    weights = [1.0 / (own + differ**2) for own in owns]
    total = sum(weights)
    mean = sum(w * one for w, one in zip(weights, logs, strict=True)) / total
    return _Pace(mean, 1.0 / total, 1.0 / total + differ**2)


def _spread(parts: Iterable[tuple[float, float, float]]) -> Spread:
    """Of a number whose logarithm has these (weight, mean, variance), taken as one log-normal."""
    told = list(parts)
    mean = sum(weight * middle for weight, middle, _ in told)
    variance = sum(weight * (own + (middle - mean) ** 2) for weight, middle, own in told)
    either_side = NINETY * sqrt(variance)
    return Spread(exp(mean), exp(mean - either_side), exp(mean + either_side))
