"""What came of a run in words: one sentence, and the figures beside it."""

from collections.abc import Iterator
from datetime import tzinfo

from drydown.effects import Priority
from drydown.store.reviews import Outcome, Review
from drydown.texts.amounts import duration, litres, methanol_content, moment, ranged
from drydown.texts.language import counted, later, say

NOT_TOLD = later("cannot be told")

OUTCOMES = {
    Outcome.DRY: later("dry"),
    Outcome.AIR_LIMITED: later("no drier in that air"),
    Outcome.METHANOL_GONE: later("only the methanol gone"),
    Outcome.BROKEN_OFF: later("broken off"),
    Outcome.NOT_BLOWN: later("not bubbled"),
    Outcome.GOING_ON: later("still going on"),
}
"""How a run ended, in a few words; also the choices by which runs are looked for."""


def sentence(review: Review, zone: tzinfo) -> str:
    """What came of it."""
    gone = duration(review.gone_after) if review.gone_after else ""
    match review.outcome:
        case Outcome.DRY:
            at = moment(review.dry_at or review.run.start, review.run.start, zone)
            if not review.dry_after:
                return say("Dry by drydown’s reckoning at {at}.", at=at)
            dry = duration(review.dry_after)
            return say("Dry by drydown’s reckoning at {at}, after {time} of bubbling.", at=at, time=dry)
        case Outcome.AIR_LIMITED:
            return say(AIR_LIMITED_AFTER if gone else AIR_LIMITED, time=gone)
        case Outcome.METHANOL_GONE:
            return say(GONE_AFTER if gone else GONE, time=gone)
        case Outcome.BROKEN_OFF if review.methanol:
            left = methanol_content(review.methanol.median)
            return say(
                "Broken off before the methanol was sure to be gone: about {left} was left.", left=left
            )
        case Outcome.BROKEN_OFF:
            return say("Broken off before the methanol was sure to be gone.")
        case Outcome.NOT_BLOWN if review.run.end is None:
            return say("The blower has not run yet.")
        case Outcome.NOT_BLOWN:
            return say("The blower did not run.")
    return say("Still going on.")


BROKEN_OFF_WITH = later("Broken off before the methanol was sure to be gone: about {left} was left.")
AIR_LIMITED = later("Methanol gone; that air could not dry the water out.")
AIR_LIMITED_AFTER = later("Methanol gone after {time} of bubbling; that air could not dry the water out.")
GONE = later("Methanol gone; the water was not sure to be within its limit.")
GONE_AFTER = later("Methanol gone after {time} of bubbling; the water was not sure to be within its limit.")


def figures(review: Review) -> Iterator[tuple[str, str]]:
    """Label and value of what a run was and what it began with."""
    added = review.totals
    yield say("Fuel"), litres(added.volume) if added.volume else say(NOT_TOLD)
    yield say("Bubbled for"), duration(added.run_time)
    start = review.methanol_start
    yield say("Methanol at the start"), ranged(start, methanol_content) if start else say(NOT_TOLD)
    yield say("Alarms"), alarms(review)


def alarms(review: Review) -> str:
    """How many of the worst kind were raised, and of how many in all."""
    worst = review.worst
    if worst is None:
        return say("none")
    counts = review.totals.alarms
    said = alarms_of(worst, counts[worst])
    others = sum(counts.values()) - counts[worst]
    return say("{alarms}, and {count} lesser", alarms=said, count=others) if others else said


def alarms_of(priority: Priority, count: int) -> str:
    """So many alarms of a priority."""
    match priority:
        case Priority.EMERGENCY:
            return counted("1 emergency", "{count} emergencies", count)
        case Priority.HIGH:
            return counted("1 alarm to act on soon", "{count} alarms to act on soon", count)
    return counted("1 alarm to take note of", "{count} alarms to take note of", count)
