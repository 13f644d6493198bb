"""A tank's page as it reads: from the watcher's state to sentences, amounts and places to draw."""

from dataclasses import dataclass
from datetime import tzinfo

from drydown.config.model import Tank
from drydown.texts import alarms, amounts
from drydown.texts.language import later, say
from drydown_pages.cards import UNSEEN, Card, Held, cards_of, held_of
from drydown_pages.drawing import Drawing, draw
from drydown_pages.facts import CANNOT_TELL, Fact, facts_of, litres, temperature
from drydown_pages.headline import headline
from drydown_pages.planned import planned
from drydown_pages.scale import Scale, scale_of
from drydown_pages.state import State, has_emergency, must_stay_out, number, value
from drydown_pages.tell import Quiet, quiets_of

STAY_OUT = later(
    "Stay out of the room: its air holds more methanol than may be breathed even for 15 minutes."
)
BEFORE_START = ("idle", "settling")
"""Stages in which the list before a start is offered."""
ALARM_FIRST = later("First do what the alarm above says.")


@dataclass(frozen=True, slots=True)
class TankView:
    """Everything on a tank's page, ready to show. `at` is in Unix s."""

    site: str
    name: str
    title: str
    at: float
    age: str
    headline: str
    advice: str
    warning: str
    planned: tuple[str, ...]
    before_start: bool
    methanol: Scale
    water: Scale
    methanol_limit: float
    drawing: Drawing
    fuel: str
    temperature: str
    volume: str
    bubbling: bool
    facts: tuple[Fact, ...]
    held: Held | None
    alarms: tuple[Card, ...]
    quiets: tuple[Quiet, ...]
    unwatched: tuple[str, ...]


def view_of(site: str, tank: Tank, state: State, zone: tzinfo) -> TankView:
    """The page of one tank."""
    sentence, advice = headline(state["stage"], state["estimate"], zone)
    estimate = state["estimate"] or {}
    cards = cards_of(state["alarms"], state["time"], zone)
    fuel, volume = temperature(state, "fuel/temperature"), litres(state, "fuel/volume")
    return TankView(
        site=site,
        name=tank.name,
        title=_title(tank.name, state),
        at=state["time"],
        age=say("as of {time}", time=amounts.clock(state["time"], zone)),
        headline=sentence,
        advice=say(ALARM_FIRST) if has_emergency(state) else advice,
        warning=say(STAY_OUT) if must_stay_out(state) else "",
        planned=() if has_emergency(state) else planned(state["stage"], state["estimate"], zone),
        before_start=state["stage"] in BEFORE_START,
        methanol=scale_of(estimate.get("methanol"), tank.fuel.methanol_limit, amounts.methanol_content),
        water=scale_of(estimate.get("water"), tank.fuel.water_limit, amounts.water_content),
        methanol_limit=tank.fuel.methanol_limit,
        drawing=draw(tank, number(state, "fuel/level")),
        fuel=_fuel(volume, fuel),
        temperature=f"? {amounts.degree()}" if fuel == say(CANNOT_TELL) else fuel,
        volume="?" if volume == say(CANNOT_TELL) else volume,
        bubbling=bool(value(state, "blower/running")),
        facts=tuple(facts_of(state)),
        held=held_of(state["supply_cut"], state["time"], zone),
        alarms=cards,
        quiets=quiets_of(cards),
        unwatched=tuple(say(alarms.NOT_WATCHED.get(name, name)) for name in state["not_watched"]),
    )


def _title(name: str, state: State) -> str:
    calls = any(alarm["state"] in UNSEEN and alarm["priority"] != "low" for alarm in state["alarms"])
    return say("Alarm! {tank}", tank=name) if calls else name


def _fuel(volume: str, temperature: str) -> str:
    """What the drawing shows, for those who cannot see it."""
    unknown = say(CANNOT_TELL)
    held = say("how much there is cannot be told") if volume == unknown else volume
    if temperature == unknown:
        return say("{volume}, how warm it is cannot be told", volume=held)
    return say("{volume}, at {temperature}", volume=held, temperature=temperature)
