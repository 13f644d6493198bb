"""The one sentence at the top of a tank's page, and what to do next: it answers "can I stop yet?"."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any

from drydown.lines import advice_of
from drydown.texts import advice
from drydown.texts.amounts import methanol_content, water_content, when
from drydown.texts.language import later, say

Estimate = Mapping[str, Any]
Answer = tuple[str, str]
"""Sentence and next step."""

WAITING = {
    "idle": (
        later("The tank is at rest."),
        later("Fill it, let it settle, drain; then open the vent and start the blower."),
    ),
    "settling": (
        later("The fuel is settling."),
        later("Drain what settled, open the vent, then start the blower."),
    ),
    "paused": (later("The blower is paused."), later("Start it again to go on drying; keep the vent open.")),
    "resting": (
        later("The fuel is resting."),
        later("Leave the blower off: soap and glycerin are settling. Then drain."),
    ),
    "ready": (
        later("The fuel has rested."),
        later("Drain what settled, test the fuel, then draw from the standpipe."),
    ),
    "drawn": (later("The fuel was drawn."), later("Nothing to do until the next fuel comes in.")),
}
"""While no blower runs, by stage."""

DRY = {
    "bubbling": (
        later("The fuel is dry."),
        later("Stop the blower, let the fuel rest, drain, and confirm by a test before using it."),
    ),
    "paused": (
        later("The fuel is dry."),
        later(
            "Leave the blower off and let the fuel rest. Then drain, and confirm by a test before using it."
        ),
    ),
    "resting": (
        later("The fuel is dry and resting."),
        later(
            "Leave the blower off: soap and glycerin are settling. Then drain, and confirm by a test before "
            "using it."
        ),
    ),
    "ready": (
        later("The fuel is dry and has rested."),
        later("Drain what settled, confirm by a test before using it, then draw from the standpipe."),
    ),
}
"""The same once the fuel is dry."""

ANY_MINUTE = 60.0  # s: an end that is nearer than this


def headline(stage: str, estimate: Estimate | None, zone: tzinfo) -> Answer:
    """Sentence and next step, from the stage and the last estimate line."""
    if estimate and estimate["verdict"] == "dry" and stage in DRY:
        sentence, step = DRY[stage]
        return say(sentence), say(step)
    if stage == "bubbling":
        return _bubbling(estimate, zone)
    sentence, step = map(say, WAITING[stage])
    left = _left(estimate) if estimate and stage in DRY else ""
    return f"{sentence} {left}." if left else sentence, step


def _bubbling(estimate: Estimate | None, zone: tzinfo) -> Answer:
    if estimate is None or estimate["verdict"] == "unknown" or estimate["methanol"] is None:
        early = say("Too early to tell how dry the fuel is.")
        return early, say("Keep the vent open. The first figures come soon.")
    if estimate["verdict"] == "air-limited":
        return _air_limited(estimate, zone)
    if estimate["verdict"] == "wetting":
        step = f"{say('Stop the blower.')} {_against_damp(estimate, zone)}"
        return say("This air is wetting the fuel."), step
    step = f"{say('Let it bubble on; keep the vent open.')} {_helpful(estimate, zone)}".rstrip()
    endings, end = (DRY_AT, "dry_at") if estimate["methanol_done"] else (GONE_AT, "methanol_done_at")
    ending = _ending(endings, estimate[end], estimate["time"], zone)
    return say("{contents}, {ending}.", contents=_left(estimate), ending=ending), step


def _air_limited(estimate: Estimate, zone: tzinfo) -> Answer:
    floor = estimate["water_floor"]
    sentence = say("The methanol is gone, but this air can't dry the water out.")
    if floor is not None:
        sentence += " " + say("It would stop near {water}.", water=water_content(floor["median"]))
    step = say("Nothing more to gain now: stop the blower.")
    return sentence, f"{step} {_against_damp(estimate, zone)}"


def _against_damp(estimate: Estimate, zone: tzinfo) -> str:
    return advice.against_damp(map(advice_of, estimate.get("advice", ())), estimate["time"], zone)


def _helpful(estimate: Estimate, zone: tzinfo) -> str:
    return advice.told(map(advice_of, estimate.get("advice", ())), estimate["time"], zone)


def _left(estimate: Estimate) -> str:
    """What is still in the fuel, without an end; empty where nothing can be told."""
    water = estimate["water"]
    if estimate["methanol_done"] and water:
        return say("Methanol is gone, water about {water}", water=water_content(water["median"]))
    if estimate["methanol_done"]:
        return say("Methanol is gone")
    if estimate["methanol"] is None:
        return ""
    return say("Methanol about {methanol}", methanol=methanol_content(estimate["methanol"]["median"]))


@dataclass(frozen=True, slots=True)
class Endings:
    """How an end is foreseen, by how surely it is known."""

    soon: str
    soon_by: str
    sure: str
    at_the_latest: str
    between: str


GONE_AT = Endings(
    later("gone any minute now"),
    later("gone any minute now, by {high} at the latest"),
    later("gone about {time}"),
    later("gone about {time}, by {high} at the latest"),
    later("gone about {time} ({low} to {high})"),
)
DRY_AT = Endings(
    later("dry any minute now"),
    later("dry any minute now, by {high} at the latest"),
    later("dry about {time}"),
    later("dry about {time}, by {high} at the latest"),
    later("dry about {time} ({low} to {high})"),
)


def _ending(endings: Endings, end: Mapping[str, float] | None, now: float, zone: tzinfo) -> str:
    if end is None:
        return say("no end in sight yet")
    low, middle, high = (when(end[key], now, zone) for key in ("low", "median", "high"))
    if end["median"] < now + ANY_MINUTE:
        said = endings.soon if high == middle else endings.soon_by
    elif low == high:
        said = endings.sure
    else:
        said = endings.at_the_latest if low == middle else endings.between
    return say(said, time=middle, low=low, high=high)
