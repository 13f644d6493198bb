"""What came of a run in words: one sentence, and the figures beside it."""

from collections.abc import Iterator
from datetime import datetime, tzinfo

from drydown.effects import Priority
from drydown.store.reviews import Outcome, Review
from drydown.texts.amounts import clock, duration, litres, methanol_content, ranged

NOT_TOLD = "cannot be told"

OUTCOMES = {
    Outcome.DRY: "dry",
    Outcome.AIR_LIMITED: "no drier in that air",
    Outcome.METHANOL_GONE: "only the methanol gone",
    Outcome.BROKEN_OFF: "broken off",
    Outcome.NOT_BLOWN: "not bubbled",
    Outcome.GOING_ON: "still going on",
}
"""How a run ended, in a few words; also the choices by which runs are looked for."""

ALARMS = {
    Priority.EMERGENCY: ("1 emergency", "{} emergencies"),
    Priority.HIGH: ("1 alarm to act on soon", "{} alarms to act on soon"),
    Priority.LOW: ("1 alarm for the day", "{} alarms for the day"),
}


def sentence(review: Review, zone: tzinfo) -> str:
    """What came of it."""
    gone = f"after {duration(review.gone_after)} of bubbling" if review.gone_after else ""
    match review.outcome:
        case Outcome.DRY:
            after = f", after {duration(review.dry_after)} of bubbling" if review.dry_after else ""
            return f"Dry by drydown’s reckoning at {_moment(review, zone)}{after}."
        case Outcome.AIR_LIMITED:
            return f"Methanol gone {gone}".rstrip() + "; that air could not dry the water out."
        case Outcome.METHANOL_GONE:
            return f"Methanol gone {gone}".rstrip() + "; the water was not sure to be within its limit."
        case Outcome.BROKEN_OFF:
            left = f": about {methanol_content(review.methanol.median)} was left" if review.methanol else ""
            return f"Broken off before the methanol was sure to be gone{left}."
        case Outcome.NOT_BLOWN:
            return "The blower did not run."
    return "Still going on."


def figures(review: Review) -> Iterator[tuple[str, str]]:
    """Label and value of what a run was and what it began with."""
    added = review.totals
    yield "Fuel", litres(added.volume) if added.volume else NOT_TOLD
    yield "Bubbled for", duration(added.run_time)
    start = review.methanol_start
    yield "Methanol at the start", ranged(start, methanol_content) if start else NOT_TOLD
    yield "Alarms", alarms(review)


def alarms(review: Review) -> str:
    """How many of the worst kind were raised, and of how many in all."""
    worst = review.worst
    if worst is None:
        return "none"
    counts = review.totals.alarms
    one, several = ALARMS[worst]
    said = one if counts[worst] == 1 else several.format(counts[worst])
    others = sum(counts.values()) - counts[worst]
    return f"{said}, and {others} lesser" if others else said


def _moment(review: Review, zone: tzinfo) -> str:
    """The time of day, with the day where it is another than the run's first."""
    at = review.dry_at or review.run.start
    day, first = (datetime.fromtimestamp(time, zone).date() for time in (at, review.run.start))
    return clock(at, zone) if day == first else f"{clock(at, zone)} on {day:%-d %B}"
