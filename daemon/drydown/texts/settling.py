"""What has settled, in words: which drops are down, when the small ones will be, when to drain."""

from datetime import tzinfo

from drydown.estimate.result import Spread
from drydown.settling.fall import CREEPING, SMALL, TYPICAL, Fall
from drydown.texts.amounts import clock, micrometres, ranged, when
from drydown.texts.language import later, say

NOTHING_STANDS = later("No fuel stands above the standpipe.")
NOT_AT_REST = later("Nothing settles now: the fuel is not left to settle or to rest.")
NOT_RECORDED = later("What has settled can’t be told: the fuel’s temperature and level are not on record.")


def told(fall: Fall, zone: tzinfo) -> tuple[str, ...]:
    """All of it: what is down, what follows, when to drain."""
    if not fall.height:
        return (say(NOTHING_STANDS),)
    return (is_down(fall), follows(fall, zone), drain(fall, zone))


def is_down(fall: Fall) -> str:
    """Which drops have all fallen below the standpipe."""
    smallest = fall.smallest(fall.height)
    if smallest is None or smallest.median > CREEPING:
        return say("It has only begun to settle: even large drops are still on their way to the standpipe.")
    return say(
        "Drops of {size} and more have fallen below the standpipe.", size=ranged(smallest, micrometres)
    )


def follows(fall: Fall, zone: tzinfo) -> str:
    """When the smallest that are reckoned with will have, or had."""
    size, end = micrometres(SMALL), fall.reached(SMALL, fall.height)
    if end.median <= fall.now:
        return say("Those of {size} were down at about {time}.", size=size, time=clock(end.median, zone))
    return say("Those of {size} are down by about {time}.", size=size, time=_span(end, fall.now, zone))


def drain(fall: Fall, zone: tzinfo) -> str:
    """When to drain first: once drops of the usual size have come down to the drain."""
    size, end = micrometres(TYPICAL), fall.reached(TYPICAL, fall.surface)
    if end.median <= fall.now:
        return say("Drain what settled: drops of {size} have sunk to the bottom.", size=size)
    at = _span(end, fall.now, zone)
    return say(
        "Drain first at about {time}: then drops of {size} have sunk to the bottom.", time=at, size=size
    )


def _span(end: Spread, now: float, zone: tzinfo) -> str:
    return ranged(end, lambda time: when(time, now, zone))
