"""If the blower started now, in words: how long it would take, the air it needs, and what would change it."""

from collections.abc import Iterator, Sequence

from drydown.estimate.result import LONGEST_START, Prospect, Spread
from drydown.texts.amounts import (
    air_flow,
    air_flow_at_least,
    celsius,
    degree,
    ranged,
    roughly,
    steps,
    water_content,
)
from drydown.texts.language import say

WORTH_TELLING = 0.15  # of the time that a change saves or costs


def started_now(plan: Sequence[Prospect]) -> str:
    """What a start now would bring; empty without a plan."""
    if not plan:
        return ""
    now = plan[0]
    return f"{say('If you start now: {ends}.', ends=ends(now))} {fresh_air(now)}"


def fresh_air(prospect: Prospect) -> str:
    """The air that it takes while most vapour comes, on the safe side."""
    against_fire = air_flow_at_least(prospect.fresh_air_against_fire.high)
    breathable = air_flow(prospect.fresh_air.median)
    return say(
        "Keep {against_fire} of fresh air or more against fire; it would take about {breathable} to breathe "
        "there, so stay out.",
        against_fire=against_fire,
        breathable=breathable,
    )


def changes(plan: Sequence[Prospect]) -> Iterator[str]:
    """What warmer fuel or a wait would change, where it is worth telling."""
    for prospect in plan[1:]:
        if _is_worth_telling(plan[0], prospect):
            yield change(prospect)


def at_temperature(plan: Sequence[Prospect], fuel_temperature: float) -> str:
    """What a start with the fuel at so many K would bring: the second of the plan."""
    prospect = plan[1]
    warmth = celsius(fuel_temperature)
    told = say("With the fuel at {temperature}: {ends}.", temperature=warmth, ends=ends(prospect))
    return f"{told} {fresh_air(prospect)}"


def best_change(plan: Sequence[Prospect]) -> str:
    """The change that would serve best; empty where none is worth telling."""
    worth = [prospect for prospect in plan[1:] if _is_worth_telling(plan[0], prospect)]
    if not worth:
        return ""
    best = min(worth, key=_length)
    return change(best) if _length(best) < _length(plan[0]) else ""


def change(prospect: Prospect) -> str:
    """What warmer fuel, or else a wait, would bring."""
    if prospect.wait and not prospect.warmer_by:
        return say("{wait} later: {ends}.", wait=roughly(prospect.wait), ends=ends(prospect))
    return say(
        "With fuel {warmer} warmer: {ends}; then keep {air} of fresh air or more against fire.",
        warmer=f"{steps(prospect.warmer_by):.0f} {degree()}",
        ends=ends(prospect),
        air=air_flow_at_least(prospect.fresh_air_against_fire.high),
    )


def ends(prospect: Prospect) -> str:
    """When methanol and water would be gone, or how far they would get."""
    gone, dry = prospect.methanol_gone_in, prospect.dry_in
    parts = []
    if gone is None:
        parts.append(say("methanol not gone in {time}", time=roughly(LONGEST_START)))
    elif gone.high > 0.0:
        parts.append(say("methanol gone in about {time}", time=times(gone)))
    if dry is not None:
        parts.append(say("dry in about {time}", time=times(dry)))
    elif gone is not None:
        least = ranged(prospect.water_least, water_content)
        parts.append(
            say(
                "not dry in {time}, with water at about {water} at best",
                time=roughly(LONGEST_START),
                water=least,
            )
        )
    return ", ".join(parts)


def times(spread: Spread) -> str:
    """How long bubbling takes, with its range."""
    low, middle, high = (roughly(seconds) for seconds in (spread.low, spread.median, spread.high))
    if spread.high >= LONGEST_START:
        return say(
            "{middle} ({low} to more than {high})", middle=middle, low=low, high=roughly(LONGEST_START)
        )
    return middle if low == high else say("{middle} ({low} to {high})", middle=middle, low=low, high=high)


def _length(prospect: Prospect) -> float:
    end = prospect.dry_in or prospect.methanol_gone_in
    never = 0.0 if prospect.dry_in else 10 * LONGEST_START
    return never + (end.median if end else LONGEST_START)


def _is_worth_telling(now: Prospect, other: Prospect) -> bool:
    before, after = _length(now), _length(other)
    return abs(after - before) > WORTH_TELLING * before and max(before, after) > 600.0
