"""The one sentence at the top of a tank's page, and what to do next: it answers "can I stop yet?"."""

from collections.abc import Mapping
from datetime import datetime, timedelta, tzinfo
from typing import Any

from drydown.lines import advice_of
from drydown.texts import advice
from drydown.texts.amounts import clock, methanol_content, water_content

Estimate = Mapping[str, Any]
Answer = tuple[str, str]
"""Sentence and next step."""

CONFIRM = "confirm by a test before using it"

WAITING = {
    "idle": (
        "The tank is at rest.",
        "Fill it, let it settle, drain; then open the vent and start the blower.",
    ),
    "settling": ("The fuel is settling.", "Drain what settled, open the vent, then start the blower."),
    "paused": ("The blower is paused.", "Start it again to go on drying; keep the vent open."),
    "resting": ("The fuel is resting.", "Leave the blower off: soap and glycerin are settling. Then drain."),
    "ready": ("The fuel has rested.", "Drain what settled, test the fuel, then draw from the standpipe."),
    "drawn": ("The fuel was drawn.", "Nothing to do until the next fuel comes in."),
}
"""While no blower runs, by stage."""

DRY = {
    "bubbling": ("The fuel is dry.", f"Stop the blower, let the fuel rest, drain, and {CONFIRM}."),
    "paused": ("The fuel is dry.", f"Leave the blower off and let the fuel rest. Then drain, and {CONFIRM}."),
    "resting": (
        "The fuel is dry and resting.",
        f"Leave the blower off: soap and glycerin are settling. Then drain, and {CONFIRM}.",
    ),
    "ready": (
        "The fuel is dry and has rested.",
        f"Drain what settled, {CONFIRM}, then draw from the standpipe.",
    ),
}
"""The same once the fuel is dry."""

ANY_MINUTE = 60.0  # s: an end that is nearer than this


def headline(stage: str, estimate: Estimate | None, zone: tzinfo) -> Answer:
    """Sentence and next step, from the stage and the last estimate line."""
    if estimate and estimate["verdict"] == "dry" and stage in DRY:
        return DRY[stage]
    if stage == "bubbling":
        return _bubbling(estimate, zone)
    sentence, step = WAITING[stage]
    if estimate and stage in DRY:
        return f"{sentence} {_left(estimate)}".rstrip(), step
    return sentence, step


def _bubbling(estimate: Estimate | None, zone: tzinfo) -> Answer:
    if estimate is None or estimate["verdict"] == "unknown" or estimate["methanol"] is None:
        return "Too early to tell how dry the fuel is.", "Keep the vent open. The first figures come soon."
    if estimate["verdict"] == "air-limited":
        return _air_limited(estimate, zone)
    if estimate["verdict"] == "wetting":
        return "This air is wetting the fuel.", f"Stop the blower. {_against_damp(estimate, zone)}"
    step = f"Let it bubble on; keep the vent open. {_helpful(estimate, zone)}".rstrip()
    if estimate["methanol_done"]:
        ending = _ending("dry", estimate["dry_at"], estimate["time"], zone)
        return f"{_left(estimate)[:-1]}{ending}.", step
    ending = _ending("gone", estimate["methanol_done_at"], estimate["time"], zone)
    return f"{_left(estimate)[:-1]}{ending}.", step


def _air_limited(estimate: Estimate, zone: tzinfo) -> Answer:
    floor = estimate["water_floor"]
    sentence = "The methanol is gone, but this air can't dry the water out."
    if floor is not None:
        sentence += f" It would stop near {water_content(floor['median'])}."
    return sentence, f"Nothing more to gain now: stop the blower. {_against_damp(estimate, zone)}"


def _against_damp(estimate: Estimate, zone: tzinfo) -> str:
    return advice.against_damp(map(advice_of, estimate.get("advice", ())), estimate["time"], zone)


def _helpful(estimate: Estimate, zone: tzinfo) -> str:
    return advice.told(map(advice_of, estimate.get("advice", ())), estimate["time"], zone)


def _left(estimate: Estimate) -> str:
    """What is still in the fuel, as a sentence; empty where nothing can be told."""
    water = estimate["water"]
    if estimate["methanol_done"]:
        return "Methanol is gone" + (f", water about {water_content(water['median'])}." if water else ".")
    if estimate["methanol"] is None:
        return ""
    return f"Methanol about {methanol_content(estimate['methanol']['median'])}."


def _ending(what: str, end: Mapping[str, float] | None, now: float, zone: tzinfo) -> str:
    if end is None:
        return ", no end in sight yet"
    low, middle, high = (_when(end[key], now, zone) for key in ("low", "median", "high"))
    if end["median"] < now + ANY_MINUTE:
        return f", {what} any minute now" + (f", by {high} at the latest" if high != middle else "")
    if low == high:
        return f", {what} about {middle}"
    if low == middle:
        return f", {what} about {middle}, by {high} at the latest"
    return f", {what} about {middle} ({low} to {high})"


def _when(unix_time: float, now: float, zone: tzinfo) -> str:
    today, then = (datetime.fromtimestamp(time, zone).date() for time in (now, unix_time))
    if then <= today:
        return clock(unix_time, zone)
    day = "tomorrow" if then - today == timedelta(days=1) else f"on {then:%-d %B}"
    return f"{clock(unix_time, zone)} {day}"
