"""The list of a site's tanks: what each of them has to say in a line."""

from dataclasses import dataclass
from datetime import tzinfo

from drydown.config.model import Tank
from drydown.texts.language import later, say
from drydown_pages.cards import cards_of
from drydown_pages.headline import headline
from drydown_pages.state import State

NOTHING_KNOWN = later("The watcher says nothing of this tank.")


@dataclass(frozen=True, slots=True)
class TankLine:
    """One tank of the list; `alarm`, how urgent it is, and the word for that are empty where none stands."""

    name: str
    headline: str
    alarm: str = ""
    urgency: str = ""
    urgency_word: str = ""


def line_of(tank: Tank, state: State | None, zone: tzinfo) -> TankLine:
    """The tank's headline, and the most urgent of its alarms."""
    if state is None:
        return TankLine(tank.name, say(NOTHING_KNOWN))
    sentence, _ = headline(state["stage"], state["estimate"], zone)
    cards = cards_of(state["alarms"], state["time"], zone)
    if not cards:
        return TankLine(tank.name, sentence)
    first = cards[0]
    urgency = (
        ("over", say("Kept quiet") if first.quiet else say("Over"))
        if first.over
        else (first.priority, first.priority_word)
    )
    return TankLine(tank.name, sentence, first.title, *urgency)
