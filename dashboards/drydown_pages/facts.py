"""The small print of a tank's page: labelled numbers of blower, fuel and room."""

from collections.abc import Iterator
from dataclasses import dataclass

from drydown.physics.vapour_limits import SHORT_EXPOSURE_LIMIT
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import amounts
from drydown_pages.air import air_lines
from drydown_pages.state import State, has, number, value

CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Fact:
    """A labelled number."""

    label: str
    value: str


def facts_of(state: State) -> Iterator[Fact]:
    """What is known of the tank besides its fuel's dryness, in the order in which it is asked for."""
    yield Fact("Blower", _blower(state))
    if has(state, "vent/open"):
        yield Fact("Vent", _either(value(state, "vent/open"), "open", "CLOSED"))
    yield Fact(*_room_methanol(state))
    yield from (Fact(*line) for line in air_lines(state))
    yield Fact("Above the standpipe", litres(state, "fuel/drawable"))
    if has(state, "air/temperature"):
        humidity = number(state, "air/humidity")
        damp = "" if humidity is None else f", {humidity:.0f} % humid"
        yield Fact("Room air", temperature(state, "air/temperature") + damp)
    for name, label in (
        ("blower/motor_temperature", "Blower’s motor"),
        ("blower/discharge_temperature", "Air from the blower"),
    ):
        if has(state, name):
            yield Fact(label, temperature(state, name))


def temperature(state: State, name: str) -> str:
    """A temperature in words."""
    found = number(state, name)
    return CANNOT_TELL if found is None else amounts.celsius(found + ZERO_CELSIUS)


def litres(state: State, name: str) -> str:
    """A volume in words; it can be told only as long as the level can."""
    found = None if value(state, "fuel/level") is None else number(state, name)
    return CANNOT_TELL if found is None else amounts.litres(found)


def _blower(state: State) -> str:
    ran = number(state, "blower/run_time")
    told = _either(value(state, "blower/running"), "running", "off")
    return told + (f", {amounts.duration(ran)} this run" if ran else "")


def _room_methanol(state: State) -> tuple[str, str]:
    measured, reckoned = number(state, "vapour/methanol"), number(state, "room/methanol")
    if measured is not None:
        return "Methanol in the room", _against_limit(measured)
    if reckoned is not None:
        return "Methanol in the room, by reckoning", _against_limit(reckoned)
    return "Methanol in the room", CANNOT_TELL


def _against_limit(vapour: float) -> str:
    """Both for what may be breathed for a quarter of an hour."""
    told = "above the limit" if vapour > SHORT_EXPOSURE_LIMIT else "limit"
    return f"{amounts.parts_per_million(vapour)}, {told} {SHORT_EXPOSURE_LIMIT * 1e6:.0f}"


def _either(told: float | bool | None, yes: str, no: str) -> str:
    if told is None:
        return CANNOT_TELL
    return yes if told else no
