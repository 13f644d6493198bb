"""How old a happening is: by the boot clock within one start of the board, with doubt beyond it. Pure.

A board without a battery starts with its clock behind. What happened before that start is at least as old
as the start, and it is taken for news only where the clock could be trusted then and now.
"""

from drydown.clock import UNKNOWN_BOOT, Moment
from drydown.notices.turn import EXPIRES, FRESH

UNKNOWN = FRESH + 1.0  # s: an age at which nothing is news any more
OLDEST_UNKNOWN = EXPIRES / 2  # s: one at which a doubtful clock makes nobody forget it


def age(happened: Moment, now: Moment) -> float:
    """How many s ago that was, as far as can be known; what may not be news never seems to be."""
    if _same_start(happened, now):
        return now.uptime - happened.uptime
    apart = now.unix - happened.unix
    return apart if happened.kept and now.kept and apart >= now.uptime else _doubtful(apart, now.uptime)


def counted_age(happened: float, now: float, kept: bool) -> float:
    """The same of a happening at a time on the core's clock; `kept`: somebody keeps the wall clock right.

    Before 0 and after `now` it is of an earlier start, and the wall clock says where it lies.
    """
    if 0 <= happened <= now or (happened < 0 and kept):
        return now - happened
    return _doubtful(now - happened, now)


def _same_start(happened: Moment, now: Moment) -> bool:
    return happened.boot == now.boot != UNKNOWN_BOOT and happened.uptime <= now.uptime


def _doubtful(apart: float, uptime: float) -> float:
    return max(UNKNOWN, uptime, min(apart, OLDEST_UNKNOWN))
