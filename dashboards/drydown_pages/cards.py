"""The alarms of a tank as cards: what happened, what it can lead to, what to do, how fast, and a button."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any

from drydown.effects import AlarmChanged, Change, Priority
from drydown.texts import alarms, amounts, words
from drydown.texts.language import later, say

Alarm = Mapping[str, Any]
"""An alarm of the watcher's state: its line as last raised, with its `state` and `who` has seen it."""

ORDER = list(words.PRIORITIES)
UNSEEN = ("unacknowledged", "returned-unacknowledged")

STANDINGS = {
    "unacknowledged": "",
    "acknowledged": later("Seen by {who}. It still holds."),
    "returned-unacknowledged": later("Look before you rely on it, then say that you have seen it."),
    "latched": later("It was seen by {who}. Look into its cause before you let it go."),
    "shelved": later("Somebody wanted it quiet for a while; it speaks again by itself."),
}
"""What a card says of an alarm's state. One that is held back has no card: another tells of its cause."""

DEEDS = {
    "unacknowledged": ("acknowledge", later("I have seen it")),
    "returned-unacknowledged": ("acknowledge", later("I have seen it")),
    "latched": ("reset", later("I have looked into it: let it go")),
}
"""The command that a card's button sends, and what stands on the button."""


@dataclass(frozen=True, slots=True)
class Card:
    """One alarm as the page shows it. `deed` is empty where there is nothing to press.

    `since` is a time of day. One that is `over` does not call any more, as one that is kept `quiet` does not.
    """

    name: str
    priority: str
    priority_word: str
    over: bool
    quiet: bool
    title: str
    happened: str
    leads_to: str
    todo: str
    within: str
    since: str
    standing: str
    deed: str
    button: str


@dataclass(frozen=True, slots=True)
class Held:
    """That drydown holds the blower off: since when, and why."""

    since: str
    why: str


def held_of(cut: Alarm | None, now: float, zone: tzinfo) -> Held | None:
    """What the watcher's state says of the blower's supply, if it is cut."""
    if cut is None:
        return None
    why = alarms.title(cut["alarm"], "value")
    return Held(amounts.when(cut["time"], now, zone), say("It did so because of this: {alarm}.", alarm=why))


def cards_of(standing: list[Alarm], now: float, zone: tzinfo) -> tuple[Card, ...]:
    """A card for each alarm: the urgent ones first, and of these the unseen."""
    ordered = sorted(
        (alarm for alarm in standing if alarm["state"] in STANDINGS),
        key=lambda alarm: (_is_over(alarm), ORDER.index(alarm["priority"]), alarm["state"] not in UNSEEN),
    )
    return tuple(_card(alarm, now, zone) for alarm in ordered)


def _card(alarm: Alarm, now: float, zone: tzinfo) -> Card:
    priority, state = Priority(alarm["priority"]), alarm["state"]
    raised = AlarmChanged(
        alarm["time"], alarm["alarm"], priority, Change.RAISED, alarm["cause"], alarm["values"]
    )
    sheet = alarms.text(raised)
    deed, button = DEEDS.get(state, ("", ""))
    return Card(
        name=alarm["alarm"],
        priority=priority,
        priority_word=words.capital(say(words.PRIORITIES[priority])),
        over=_is_over(alarm),
        quiet=state == "shelved",
        title=sheet.title,
        happened=sheet.happened,
        leads_to=sheet.leads_to,
        todo=sheet.do,
        within=sheet.within,
        since=amounts.when(alarm["time"], now, zone),
        standing=say(STANDINGS[state], who=_witness(alarm, now, zone)),
        deed=deed,
        button=say(button),
    )


def _witness(alarm: Alarm, now: float, zone: tzinfo) -> str:
    """Who has seen it, and when."""
    who, seen_at = alarm["who"] or say("somebody"), alarm["seen_at"]
    return who if seen_at is None else say("{who} at {time}", who=who, time=amounts.when(seen_at, now, zone))


def _is_over(alarm: Alarm) -> bool:
    return alarm["state"] not in ("unacknowledged", "acknowledged")
