"""The small print of a tank's page: labelled numbers of blower, fuel and room."""

from collections.abc import Iterator
from dataclasses import dataclass

from drydown.physics.vapour_limits import SHORT_EXPOSURE_LIMIT
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import amounts
from drydown.texts.language import later, say
from drydown_pages.air import air_lines
from drydown_pages.state import State, has, number, value

CANNOT_TELL = later("cannot tell")
ABOVE, BELOW = later("{amount}, above the limit {limit}"), later("{amount}, limit {limit}")


@dataclass(frozen=True, slots=True)
class Fact:
    """A labelled number."""

    label: str
    value: str


def facts_of(state: State) -> Iterator[Fact]:
    """What is known of the tank besides its fuel's dryness, in the order in which it is asked for."""
    yield Fact(say("Blower"), _blower(state))
    if has(state, "vent/open"):
        yield Fact(say("Vent"), _either(value(state, "vent/open"), say("open"), say("CLOSED")))
    yield Fact(*_room_methanol(state))
    yield from (Fact(*line) for line in air_lines(state))
    yield Fact(say("Above the standpipe"), litres(state, "fuel/drawable"))
    if has(state, "air/temperature"):
        humidity, warmth = number(state, "air/humidity"), temperature(state, "air/temperature")
        if humidity is not None:
            warmth = say("{temperature}, {humidity} humid", temperature=warmth, humidity=f"{humidity:.0f} %")
        yield Fact(say("Room air"), warmth)
    for name, label in (
        ("blower/motor_temperature", later("Blower’s motor")),
        ("blower/discharge_temperature", later("Air from the blower")),
    ):
        if has(state, name):
            yield Fact(say(label), temperature(state, name))


def temperature(state: State, name: str) -> str:
    """A temperature in words."""
    found = number(state, name)
    return say(CANNOT_TELL) if found is None else amounts.celsius(found + ZERO_CELSIUS)


def litres(state: State, name: str) -> str:
    """A volume in words; it can be told only as long as the level can."""
    found = None if value(state, "fuel/level") is None else number(state, name)
    return say(CANNOT_TELL) if found is None else amounts.litres(found)


def _blower(state: State) -> str:
    ran = number(state, "blower/run_time")
    told = _either(value(state, "blower/running"), say("running"), say("off"))
    return say("{state}, {time} this run", state=told, time=amounts.duration(ran)) if ran else told


def _room_methanol(state: State) -> tuple[str, str]:
    measured, reckoned = number(state, "vapour/methanol"), number(state, "room/methanol")
    if measured is not None:
        return say("Methanol in the room"), _against_limit(measured)
    if reckoned is not None:
        return say("Methanol in the room, by reckoning"), _against_limit(reckoned)
    return say("Methanol in the room"), say(CANNOT_TELL)


def _against_limit(vapour: float) -> str:
    """Both for what may be breathed for a quarter of an hour."""
    return say(
        ABOVE if vapour > SHORT_EXPOSURE_LIMIT else BELOW,
        amount=amounts.parts_per_million(vapour),
        limit=f"{SHORT_EXPOSURE_LIMIT * 1e6:.0f}",
    )


def _either(told: float | bool | None, yes: str, no: str) -> str:
    if told is None:
        return say(CANNOT_TELL)
    return yes if told else no
