"""Tells a leak or foam under the bubbles from the surges of the blower, which lift and drop the level too.

What a blower's surges do differs from tank to tank: it is taken from the level itself, as it was some minutes
ago. Held against simulated blowers that surge by a tenth of their flow for minutes, none passes for a leak,
while one of 1 L/min is mostly told within five minutes; where it surges by more it takes longer.
"""

from collections.abc import Sequence
from math import inf
from statistics import median, pstdev

from drydown.run.level_trend import SCATTERED, Point, is_step, line_through

RECENT = 18  # points through which the change must still go on,
GOES_ON = 0.5e-3 / 60  # so fast (m³/s),
DOUBT = 1.5  # less so many standard errors;
UNDISTURBED = 30  # points: and it must pass all that was seen before the last five minutes,
STAYS = 9  # for so many points,
SURGES, LEAST = 1.2, 0.03  # by so many standard deviations of that, and so much of the gas,
LEARNED, UNLEARNED = 60, 0.2  # and by more of the gas until so many points have shown what surges do


def may_be_surge(points: Sequence[Point], before: float, noise: float, gas: float, *, rises: bool) -> bool:
    """Whether the blower may have done it: it goes on no longer, or not beyond what surges did before.

    `points` are of the whole stretch; `before` is where the level stood, `noise` that of a point and `gas`
    what the bubbles hold, all in m³.
    """
    way = 1.0 if rises else -1.0
    recent = points[-RECENT:]
    line = line_through(recent, noise)
    if way * line.slope - DOUBT * line.error < GOES_ON or is_step(recent, line):
        return True
    earlier = [way * volume for _, volume in points[:-UNDISTURBED]]
    usual = max(map(median, zip(*(earlier[i:] for i in range(SCATTERED)), strict=False)), default=-inf)
    unlearned = UNLEARNED * max(0.0, 1.0 - len(earlier) / LEARNED)
    beyond = SURGES * (pstdev(earlier) if earlier else 0.0) + (LEAST + unlearned) * gas
    return min(way * volume for _, volume in points[-STAYS:]) < max(usual, way * before) + beyond
