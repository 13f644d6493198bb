"""What has settled, in words: which drops are down, when the small ones will be, when to drain."""

from datetime import tzinfo

from drydown.estimate.result import Spread
from drydown.settling.drains import Advice, Counsel
from drydown.settling.fall import CREEPING, TYPICAL, Fall
from drydown.texts.amounts import litres, micrometres, ranged, when
from drydown.texts.language import later, say

NOTHING_STANDS = later("No fuel stands above the standpipe.")
NOT_AT_REST = later("Nothing settles now: the fuel is not left to settle or to rest.")
NOT_RECORDED = later("What has settled can’t be told: the fuel’s temperature and level are not on record.")

AGAIN_LATER = {
    Counsel.AGAIN: later("Drain again at about {time}: dark glycerin came at {then}, and more follows it."),
    Counsel.MUCH: later("Drain again at about {time}: {much} came at {then}, so that more will follow."),
    Counsel.WAIT: later(
        "Let it stand until about {time}, then drain again: it was milky at {then}, and that parts slowly."
    ),
    Counsel.ONCE_MORE: later(
        "Drain once more at about {time}, {then} having been the last: twice clear is enough."
    ),
}
AGAIN_NOW = {
    Counsel.AGAIN: later("Drain again now: dark glycerin came at {then}, and more has followed it."),
    Counsel.MUCH: later("Drain again now: {much} came at {then}, so that more has followed."),
    Counsel.WAIT: later("Drain again now: it was milky at {then}, and has had time to part."),
    Counsel.ONCE_MORE: later("Drain once more now, {then} having been the last: twice clear is enough."),
}


def told(fall: Fall, chosen: float, drained: Advice | None, zone: tzinfo) -> tuple[str, ...]:
    """All of it: what is down, when drops of the `chosen` size (m) will be, when to drain first, or again."""
    if not fall.height:
        return (say(NOTHING_STANDS),)
    draining = drain_again(drained, fall.now, zone) if drained else drain(fall, zone)
    return (is_down(fall), follows(fall, chosen, zone), draining)


def is_down(fall: Fall) -> str:
    """Which drops have all fallen below the standpipe."""
    smallest = fall.smallest(fall.height)
    if smallest is None or smallest.median > CREEPING:
        return say("It has only begun to settle: even large drops are still on their way to the standpipe.")
    return say(
        "Drops of {size} and more have fallen below the standpipe.", size=ranged(smallest, micrometres)
    )


def follows(fall: Fall, chosen: float, zone: tzinfo) -> str:
    """When drops of the chosen size (m) will have, or had."""
    size, end = micrometres(chosen), fall.reached(chosen, fall.height)
    if end.median <= fall.now:
        at = when(end.median, fall.now, zone)
        return say("Those of {size} were down at about {time}.", size=size, time=at)
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


def drain_again(found: Advice, now: float, zone: tzinfo) -> str:
    """What the last drains tell to do."""
    last = found.last
    values = {"then": when(last.time, now, zone), "much": litres(last.volume or 0.0)}
    if found.at is None:
        return say("Drained enough: it ran clear twice, last at {then}.", **values)
    if found.at <= now:
        return say(AGAIN_NOW[found.counsel], **values)
    return say(AGAIN_LATER[found.counsel], time=when(found.at, now, zone), **values)
