"""If the blower started now, in words: how long it would take, the air it needs, and what would change it."""

from collections.abc import Iterator, Sequence

from drydown.estimate.result import Prospect, Spread
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

LONGEST = 28800.0  # s that a plan looks ahead; what takes longer is told as more
WORTH_TELLING = 0.15  # of the time that a change saves or costs


def started_now(plan: Sequence[Prospect]) -> str:
    """What a start now would bring; empty without a plan."""
    if not plan:
        return ""
    now = plan[0]
    return f"{say('If you start now: {ends}.', ends=_ends(now))} {fresh_air(now)}"


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
            yield _change(prospect)


def at_temperature(plan: Sequence[Prospect], fuel_temperature: float) -> str:
    """What a start with the fuel at so many K would bring: the second of the plan."""
    prospect = plan[1]
    warmth, ends = celsius(fuel_temperature), _ends(prospect)
    told = say("With the fuel at {temperature}: {ends}.", temperature=warmth, ends=ends)
    return f"{told} {fresh_air(prospect)}"


def best_change(plan: Sequence[Prospect]) -> str:
    """The change that would serve best; empty where none is worth telling."""
    worth = [prospect for prospect in plan[1:] if _is_worth_telling(plan[0], prospect)]
    if not worth:
        return ""
    best = min(worth, key=_length)
    return _change(best) if _length(best) < _length(plan[0]) else ""


def _change(prospect: Prospect) -> str:
    if prospect.wait:
        return say("{wait} later: {ends}.", wait=roughly(prospect.wait), ends=_ends(prospect))
    return say(
        "With fuel {warmer} warmer: {ends}; then keep {air} of fresh air or more against fire.",
        warmer=f"{steps(prospect.warmer_by):.0f} {degree()}",
        ends=_ends(prospect),
        air=air_flow_at_least(prospect.fresh_air_against_fire.high),
    )


def _ends(prospect: Prospect) -> str:
    gone, dry = prospect.methanol_gone_in, prospect.dry_in
    parts = []
    if gone is None:
        parts.append(say("methanol not gone in {time}", time=roughly(LONGEST)))
    elif gone.high > 0.0:
        parts.append(say("methanol gone in about {time}", time=_times(gone)))
    if dry is not None:
        parts.append(say("dry in about {time}", time=_times(dry)))
    elif gone is not None:
        least = ranged(prospect.water_least, water_content)
        parts.append(
            say("not dry in {time}, with water at about {water} at best", time=roughly(LONGEST), water=least)
        )
    return ", ".join(parts)


def _times(spread: Spread) -> str:
    low, middle, high = (roughly(seconds) for seconds in (spread.low, spread.median, spread.high))
    if spread.high >= LONGEST:
        return say("{middle} ({low} to more than {high})", middle=middle, low=low, high=roughly(LONGEST))
    return middle if low == high else say("{middle} ({low} to {high})", middle=middle, low=low, high=high)


def _length(prospect: Prospect) -> float:
    end = prospect.dry_in or prospect.methanol_gone_in
    never = 0.0 if prospect.dry_in else 10 * LONGEST
    return never + (end.median if end else LONGEST)


def _is_worth_telling(now: Prospect, other: Prospect) -> bool:
    before, after = _length(now), _length(other)
    return abs(after - before) > WORTH_TELLING * before and max(before, after) > 600.0
