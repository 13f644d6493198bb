"""Whether numbers that come now and then go up or down beyond their own scatter."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

LEAST = 5  # points from which a trend is told of

# Student's t, 97.5 % point by degrees of freedom: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2
_STUDENT = (
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160, 2.145, 2.131,
    2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
)  # fmt: skip
_NORMAL = 1.960


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line through points: its middle, where it passes, and its slope with its standard error."""

    middle: float
    height: float
    slope: float
    error: float
    count: int

    def at(self, x: float) -> float:
        """Where the line runs."""
        return self.height + self.slope * (x - self.middle)

    @property
    def margin(self) -> float:
        """By how much the slope may differ either way, 19 times in 20."""
        return student(self.count - 2) * self.error

    @property
    def is_trend(self) -> bool:
        """Whether the slope is beyond what the points' scatter alone brings about once in 20 times."""
        return self.count >= LEAST and abs(self.slope) > self.margin


def line_through(points: Sequence[tuple[float, float]]) -> Line | None:
    """Least squares, and the slope's standard error from what the points scatter about the line.

    Draper & Smith, Applied Regression Analysis, chapter 1: b = Sxy/Sxx, s.e.(b) = s/√Sxx with s² the residual
    sum of squares over n − 2. None for fewer than three points, or all at one place.
    """
    count = len(points)
    if count < 3:
        return None
    middle = math.fsum(x for x, _ in points) / count
    height = math.fsum(y for _, y in points) / count
    spread = math.fsum((x - middle) ** 2 for x, _ in points)
    if spread == 0.0:
        return None
    slope = math.fsum((x - middle) * (y - height) for x, y in points) / spread
    rest = math.fsum((y - height - slope * (x - middle)) ** 2 for x, y in points)
    return Line(middle, height, slope, math.sqrt(rest / (count - 2) / spread), count)


def student(freedom: int) -> float:
    """The 97.5 % point of Student's t; beyond the table the normal's, drawn together by degrees of freedom.

    Between 30 and infinity interpolated in 1/freedom, within 0.001 of the exact value.
    """
    if freedom <= len(_STUDENT):
        return _STUDENT[freedom - 1]
    share = len(_STUDENT) / freedom
    return _NORMAL + share * (_STUDENT[-1] - _NORMAL)
