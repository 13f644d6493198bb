"""What a tank's page says of ventilation: fresh air needed and present, off-gas, when one may go in."""

from collections.abc import Iterator

from drydown.estimate.result import Spread
from drydown.texts import amounts
from drydown.texts.language import later, say
from drydown_pages.state import State, number, value

LITTLE_AIR = 0.01  # m³/s, and
LITTLE_VAPOUR = 0.01  # of what can burn: less is not worth a line

Line = tuple[str, str]
"""A label and what stands beside it."""


def air_lines(state: State) -> Iterator[Line]:
    """While it bubbles what it takes; at rest what a start would take, and when the room may be entered."""
    running = bool(value(state, "blower/running"))
    yield from _needed(state, running)
    off_gas = _spread(state, "vapour/off_gas")
    if off_gas and off_gas.high >= LITTLE_VAPOUR:
        label = say("Gas from the fuel") if running else say("Gas from the fuel, once it bubbles")
        yield label, say("{share} of what can burn", share=amounts.ranged(off_gas, amounts.share))
    wait = _spread(state, "room/enter_after")
    if wait and wait.high >= 60.0:
        said = amounts.ranged(wait, _minutes)
        how_long = later("for {time} after the blower stops") if running else later("for {time}")
        yield say("Stay out of the room"), say(how_long, time=said)


def _needed(state: State, running: bool) -> Iterator[Line]:
    needed, present = _spread(state, "room/fresh_air_needed"), _spread(state, "room/fresh_air")
    if needed is None or needed.high < LITTLE_AIR:
        return
    label = say("Fresh air needed to breathe there") if running else say("Fresh air needed, once it bubbles")
    said = amounts.ranged(needed, amounts.air_flow)
    if present:
        here = amounts.air_flow(present.median)
        said = say("{needed}; there is about {present}", needed=said, present=here)
    yield label, said


def _spread(state: State, name: str) -> Spread | None:
    median, low, high = (number(state, name + end) for end in ("", "/low", "/high"))
    if median is None or low is None or high is None:
        return None
    return Spread(median, low, high)


def _minutes(seconds: float) -> str:
    return amounts.duration(60 * round(seconds / 60)) if seconds >= 90 else f"{round(seconds / 60)} min"
