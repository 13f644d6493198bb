"""Looks things up in a tank's state, as the watcher's socket tells it: only what can be believed."""

from collections.abc import Mapping
from typing import Any

from drydown.physics.vapour_limits import SHORT_EXPOSURE_LIMIT

State = Mapping[str, Any]
"""What the watcher answers to "state" for one tank; readings in the units they are sent in."""


def has(state: State, name: str) -> bool:
    """Whether the tank has such a probe at all."""
    return name in state["readings"]


def value(state: State, name: str) -> float | bool | None:
    """The last reading of a quantity; None where there is none or it is bad."""
    reading = state["readings"].get(name)
    if reading is None or reading.get("quality") == "bad":
        return None
    found: float | bool | None = reading["value"]
    return found


def number(state: State, name: str) -> float | None:
    """The same as a number."""
    found = value(state, name)
    return None if found is None else float(found)


def vapour(state: State) -> float | None:
    """Methanol in the room's air, as a mole fraction: measured, or else by reckoning."""
    measured = number(state, "vapour/methanol")
    return number(state, "room/methanol") if measured is None else measured


def must_stay_out(state: State) -> bool:
    """Whether the room's air holds more methanol than may be breathed even for a quarter of an hour."""
    found = vapour(state)
    return found is not None and found > SHORT_EXPOSURE_LIMIT


def has_emergency(state: State) -> bool:
    """Whether an emergency stands that is not over."""
    return any(
        alarm["priority"] == "emergency" and alarm["state"] in ("unacknowledged", "acknowledged")
        for alarm in state["alarms"]
    )
