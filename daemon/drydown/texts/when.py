"""When to bubble, in words: the best starts, what warmer fuel gains and costs, what all that rests on."""

from datetime import tzinfo

from drydown.estimate.parameters import INDEX, PARAMETERS
from drydown.estimate.result import LONGEST_START, Prospect
from drydown.outlook.air import Foreseen
from drydown.outlook.ranking import Outlook, Warming, best, chief
from drydown.outlook.table import DOUBT
from drydown.texts import plan
from drydown.texts.amounts import (
    celsius,
    day,
    degree,
    duration,
    roughly,
    significant,
    span,
    steps,
    when,
)
from drydown.texts.language import counted, later, say

WORTH_TELLING = 600.0  # s that warmer fuel saves
JOULES_IN_KWH = 3.6e6
NO_PROBES = later(
    "No probes read the temperature and the humidity of the air here, so nothing is known of its daily "
    "course. Fit them, or paste a table of the hours ahead."
)
SHORT_RECORD = later(
    "The record of the air does not hold a whole day yet: come back when the probes have read it for a day, "
    "or paste a table of the hours ahead."
)


def headline(outlook: Outlook, foreseen: Foreseen, now: float, zone: tzinfo) -> str:
    """The answer in a line."""
    found = best(outlook.starts)
    if not found:
        return say("No hour of the day ahead is likely to dry the fuel")
    return say("Best start at {time}", time=_time(found[0], foreseen, now, zone))


def best_told(outlook: Outlook, foreseen: Foreseen, now: float, zone: tzinfo) -> tuple[str, ...]:
    """The best starts, a text each; where none dries the fuel, how far the driest would get."""
    found = best(outlook.starts)
    if found:
        return tuple(_start(start, foreseen, now, zone) for start in found)
    driest = chief(outlook.starts)
    return (
        say(
            "The driest would be a start at {time}: {ends}.",
            time=_time(driest, foreseen, now, zone),
            ends=plan.ends(driest),
        ),
    )


def warming_told(warming: Warming, cold: Prospect) -> str:
    """What warmer fuel brings at the same hour, how much sooner that is, and the least that it costs."""
    told = [plan.change(warming.prospect)]
    soon, late = warming.prospect.dry_in, cold.dry_in
    if soon and late and late.median - soon.median >= WORTH_TELLING:
        told.append(say("That is about {time} sooner.", time=roughly(late.median - soon.median)))
    energy = say("{used} kWh", used=significant(warming.energy / JOULES_IN_KWH, 2))
    told.append(say("The heat for it is at least {energy}.", energy=energy))
    return " ".join(told)


def told(outlook: Outlook, foreseen: Foreseen, now: float, zone: tzinfo) -> list[str]:
    """All of it, a text each."""
    cold = chief(outlook.starts)
    warmed = [warming_told(one, cold) for one in outlook.warmings]
    return [*best_told(outlook, foreseen, now, zone), *warmed, ground(foreseen, now, zone)]


def until_dry(start: Prospect) -> str:
    """How long a start takes, short: for a table."""
    if start.dry_in is None:
        return say("not in {time}", time=duration(LONGEST_START))
    return plan.times(start.dry_in)


def ground(foreseen: Foreseen, now: float, zone: tzinfo) -> str:
    """Where the air ahead is known from, and how sure that is."""
    if foreseen.days:
        first, last = day(foreseen.days[-1], zone), day(foreseen.days[0] + 86_400.0, zone)
        return counted(
            "The air ahead is taken from one day of the tank’s own record, {first} to {last}, begun from "
            "what the air is now. A single day says little of the next: the ranges allow for that.",
            "The air ahead is taken from {count} whole days of the tank’s own record between {first} and "
            "{last}, each begun from what the air is now. Weather that none of them had is not foreseen.",
            len(foreseen.days),
            first=first,
            last=last,
        )
    last_hour = when(foreseen.last or foreseen.first, now, zone)
    return say(
        "The air ahead is taken from the table that was pasted, as the air that the blower draws in, right "
        "to about {warm} and {damp} of humidity. After its last hour, {last}, the air is taken to stay as it "
        "is.",
        warm=f"{significant(steps(_wandered('air_drift')), 2)} {degree()}",
        damp=_percent(_wandered("humidity_drift")),
        last=last_hour,
    )


def air_told(foreseen: Foreseen, hour: int) -> tuple[str, str]:
    """The air at an hour: temperature and humidity, as ranges where the days differ."""
    hours = [course[hour] for course in foreseen.air.courses]
    warm, damp = sorted(one.temperature for one in hours), sorted(one.humidity for one in hours)
    return _from_to(celsius(warm[0]), celsius(warm[-1])), _from_to(_percent(damp[0]), _percent(damp[-1]))


def _percent(fraction: float) -> str:
    return f"{fraction * 100:.0f} %"


def _from_to(low: str, high: str) -> str:
    if low == high:
        return low
    return span(low.split(" ")[0], high)


def _start(start: Prospect, foreseen: Foreseen, now: float, zone: tzinfo) -> str:
    return say("Start at {time}: {ends}.", time=_time(start, foreseen, now, zone), ends=plan.ends(start))


def _wandered(drift: str) -> float:
    """How far the air may be from what a table says (K, or of one): one standard deviation."""
    return PARAMETERS[INDEX[drift]].b * DOUBT


def _time(start: Prospect, foreseen: Foreseen, now: float, zone: tzinfo) -> str:
    return when(foreseen.first + start.wait - foreseen.air.first, now, zone)
