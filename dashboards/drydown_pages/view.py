"""A tank's page as it reads: from the watcher's state to sentences, amounts and places to draw."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any

from drydown.config.model import Tank
from drydown.effects import AlarmChanged, Change, Priority
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import alarms, amounts
from drydown_pages.headline import headline
from drydown_pages.scale import Scale, scale_of

State = Mapping[str, Any]
"""What the watcher's socket answers to "state" for one tank."""

TOP, BOTTOM = 8.0, 140.0
"""Where the drawn tank's rim and lowest point are."""


@dataclass(frozen=True, slots=True)
class AlarmCard:
    """One alarm as the page shows it."""

    name: str
    priority: str
    happened: str
    leads_to: str
    todo: str
    how_fast: str
    can_acknowledge: bool
    seen: str


@dataclass(frozen=True, slots=True)
class Fact:
    """A labelled number."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class TankView:
    """Everything on a tank's page, ready to show."""

    site: str
    name: str
    at: float
    age: str
    headline: str
    advice: str
    methanol: Scale
    water: Scale
    surface: float
    standpipe: float
    bubbling: str
    facts: tuple[Fact, ...]
    alarms: tuple[AlarmCard, ...]
    unwatched: tuple[str, ...]


def view_of(site: str, tank: Tank, state: State, zone: tzinfo) -> TankView:
    """The page of one tank."""
    sentence, advice = headline(state["stage"], state["estimate"], zone)
    estimate = state["estimate"] or {}
    return TankView(
        site=site,
        name=tank.name,
        at=state["time"],
        age=f"as of {amounts.clock(state['time'], zone)}",
        headline=sentence,
        advice=advice,
        methanol=scale_of(estimate.get("methanol"), tank.fuel.methanol_limit, amounts.methanol_content),
        water=scale_of(estimate.get("water"), tank.fuel.water_limit, amounts.water_content),
        surface=_height(tank, _number(state, "fuel/level") or 0.0),
        standpipe=_height(tank, tank.standpipe),
        bubbling="yes" if _value(state, "blower/running") else "no",
        facts=tuple(_facts(state)),
        alarms=tuple(_card(alarm) for alarm in state["alarms"]),
        unwatched=tuple(alarms.NOT_WATCHED.get(name, name) for name in state["not_watched"]),
    )


def _facts(state: State) -> Iterator[Fact]:
    yield Fact("Fuel", _temperature(state, "fuel/temperature"))
    running = _value(state, "blower/running")
    ran = _number(state, "blower/run_time")
    told = _either(running, "running", "off")
    yield Fact("Blower", told + (f", {amounts.duration(ran)} this run" if ran else ""))
    yield Fact("In the tank", _litres(state, "fuel/volume"))
    yield Fact("Above the standpipe", _litres(state, "fuel/drawable"))
    if "air/temperature" in state["readings"]:
        humidity = _number(state, "air/humidity")
        damp = f", {humidity:.0f} % humid" if humidity is not None else ""
        yield Fact("Room air", _temperature(state, "air/temperature") + damp)
    if "vent/open" in state["readings"]:
        yield Fact("Vent", _either(_value(state, "vent/open"), "open", "CLOSED"))
    vapour = _number(state, "vapour/methanol")
    reckoned = _number(state, "room/methanol")
    if vapour is not None:
        yield Fact("Methanol in the room, measured", amounts.parts_per_million(vapour))
    elif reckoned is not None:
        yield Fact("Methanol in the room, by reckoning", amounts.parts_per_million(reckoned))


def _card(alarm: Mapping[str, Any]) -> AlarmCard:
    changed = AlarmChanged(
        alarm["time"],
        alarm["alarm"],
        Priority(alarm["priority"]),
        Change.RAISED,
        alarm["cause"],
        alarm["values"],
    )
    sheet = alarms.text(changed)
    seen = f"Seen by {alarm['who']}." if alarm["who"] else "Seen."
    return AlarmCard(
        name=alarm["alarm"],
        priority=alarm["priority"],
        happened=sheet.title,
        leads_to=f"{sheet.happened} {sheet.leads_to}",
        todo=sheet.do,
        how_fast=sheet.within,
        can_acknowledge=alarm["state"] in ("unacknowledged", "returned-unacknowledged"),
        seen=seen,
    )


def _value(state: State, name: str) -> float | bool | None:
    reading = state["readings"].get(name)
    if reading is None or reading.get("quality") == "bad":
        return None
    value: float | bool | None = reading["value"]
    return value


def _number(state: State, name: str) -> float | None:
    value = _value(state, name)
    return None if value is None else float(value)


def _either(value: float | bool | None, yes: str, no: str) -> str:
    if value is None:
        return "cannot tell"
    return yes if value else no


def _temperature(state: State, name: str) -> str:
    value = _number(state, name)
    return "cannot tell" if value is None else amounts.celsius(value + ZERO_CELSIUS)


def _litres(state: State, name: str) -> str:
    value = _number(state, name)
    return "cannot tell" if value is None else f"{value * 1000:.0f} L"


def _height(tank: Tank, level: float) -> float:
    full = (tank.height or tank.diameter or 1.0) + (tank.cone_height or 0.0)
    if tank.table:
        full = tank.table[-1][0]
    return round(BOTTOM - (BOTTOM - TOP) * min(level / full, 1.0), 1)
