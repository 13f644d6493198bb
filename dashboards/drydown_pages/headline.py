"""The one sentence at the top of a tank's page, and what to do next: it answers "can I stop yet?"."""

from collections.abc import Mapping
from datetime import tzinfo
from typing import Any

from drydown.texts.amounts import clock, methanol_content, water_content

WAITING = {
    "idle": (
        "The tank is at rest.",
        "Fill it, let it settle, drain; then open the vent and start the blower.",
    ),
    "settling": ("The fuel is settling.", "Drain what settled, open the vent, then start the blower."),
    "paused": ("The blower is paused.", "Start it again to go on drying; keep the vent open."),
    "resting": ("The fuel is resting.", "Leave the blower off: soap and glycerin are settling. Then drain."),
    "ready": ("The fuel has rested.", "Drain what settled, test the fuel, then draw from the standpipe."),
    "drawn": ("The fuel was drawn.", "Nothing to do."),
}
"""What stands at the top while no blower runs, by stage: sentence and next step."""


def headline(stage: str, estimate: Mapping[str, Any] | None, zone: tzinfo) -> tuple[str, str]:
    """Sentence and next step, from the stage and the last estimate line."""
    verdict = estimate["verdict"] if estimate else "unknown"
    if verdict == "dry":
        return (
            "The fuel is dry.",
            "Stop the blower, let it rest, drain, and confirm by a test before using it.",
        )
    if stage not in ("bubbling", "paused") or estimate is None:
        return WAITING.get(stage, ("The blower has just started.", "Keep the vent open."))
    if verdict == "air-limited":
        return _air_limited(estimate)
    if verdict == "wetting":
        return "This air is wetting the fuel.", "Stop the blower. Go on with warmer fuel or in drier air."
    if verdict == "unknown" or estimate["methanol"] is None:
        return "Too early to tell how dry the fuel is.", "Keep the vent open. The first figures come soon."
    if estimate["methanol_done"]:
        return _water_left(estimate, zone)
    return _methanol_left(estimate, zone)


def _air_limited(estimate: Mapping[str, Any]) -> tuple[str, str]:
    floor = estimate["water_floor"]
    sentence = "The methanol is gone, but this air can't dry the water out."
    if floor is not None:
        sentence += f" It would stop near {water_content(floor['median'])}."
    return sentence, "Nothing more to gain now: stop the blower. Warmer fuel or drier air would do it."


def _methanol_left(estimate: Mapping[str, Any], zone: tzinfo) -> tuple[str, str]:
    left = f"Methanol about {methanol_content(estimate['methanol']['median'])}"
    return f"{left}{_ending(estimate['methanol_done_at'], zone)}.", "Keep the vent open."


def _water_left(estimate: Mapping[str, Any], zone: tzinfo) -> tuple[str, str]:
    water = estimate["water"]
    left = f", water about {water_content(water['median'])}" if water else ""
    return (
        f"Methanol is gone{left}{_ending(estimate['dry_at'], zone)}.",
        "Let it bubble on; keep the vent open.",
    )


def _ending(end: Mapping[str, float] | None, zone: tzinfo) -> str:
    if end is None:
        return ", no end in sight yet"
    low, middle, high = (clock(end[key], zone) for key in ("low", "median", "high"))
    return f", gone about {middle} ({low} to {high})"
