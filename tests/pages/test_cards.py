"""The alarms' cards, made by the real core: four parts, the right button, the urgent ones first."""

from datetime import UTC
from typing import Any

import pytest

from drydown.commands import Acknowledge, Shelve
from drydown_pages.cards import STANDINGS, cards_of, held_of
from support.boathouse import AIRY, CELSIUS, at_rest, heron
from support.tank_state import NOON, state_after

CLOSED = at_rest(blower__running=True, vent__open=False)
OPEN = at_rest(blower__running=True, vent__open=True)
HOT_MOTOR = at_rest(blower__motor_temperature=95 + CELSIUS)
COOL_MOTOR = at_rest(blower__motor_temperature=40 + CELSIUS)


def cards(state: dict[str, Any]) -> list[tuple[str, str]]:
    return [(card.name, card.button) for card in cards_of(state["alarms"], NOON, UTC)]


def test_an_emergency_has_four_parts_and_a_button() -> None:
    (card,) = cards_of(state_after(heron(), (30, CLOSED))["alarms"], NOON, UTC)
    assert card.title == "The blower runs and the vent is closed"
    assert (card.priority_word, card.within, card.over) == ("Emergency", "At once.", False)
    assert card.happened.startswith("The blower is running while the vent is closed")
    assert "burn or explode" in card.leads_to
    assert card.todo.startswith("Cut the blower's supply")
    assert (card.deed, card.button) == ("acknowledge", "I have seen it")
    assert card.since == "12:00"


def test_what_somebody_has_seen_goes_on_standing() -> None:
    state = state_after(heron(), (30, CLOSED), commands=[Acknowledge("vent-closed", "Wren")])
    (card,) = cards_of(state["alarms"], NOON, UTC)
    assert (card.deed, card.standing) == ("", "Seen by Wren at 12:00. It still holds.")
    assert card.todo
    assert not card.over


def test_an_alarm_of_yesterday_says_so() -> None:
    state = state_after(heron(), (30, CLOSED), commands=[Acknowledge("vent-closed", "Wren")])
    (card,) = cards_of(state["alarms"], NOON + 86400.0, UTC)
    assert (card.since, card.standing) == (
        "12:00 yesterday",
        "Seen by Wren at 12:00 yesterday. It still holds.",
    )


def test_what_is_over_and_was_not_seen_asks_to_be_seen() -> None:
    (card,) = cards_of(state_after(heron(), (30, CLOSED), (30, OPEN))["alarms"], NOON, UTC)
    assert (card.over, card.deed) == (True, "acknowledge")
    assert "Look before you rely on it" in card.standing


def test_what_is_over_and_seen_is_gone() -> None:
    state = state_after(heron(), (30, CLOSED), (30, OPEN), commands=[Acknowledge("vent-closed", "Wren")])
    assert cards(state) == []


def test_a_blower_that_was_hot_is_let_go_by_a_person() -> None:
    see = [Acknowledge("blower-hot", "Wren")]
    state = state_after(heron(), (30, HOT_MOTOR), (120, COOL_MOTOR), commands=see)
    (card,) = cards_of(state["alarms"], NOON, UTC)
    assert (card.deed, card.over) == ("reset", True)
    assert card.standing.startswith("It was seen by Wren at 12:02. Look into its cause")


def test_a_shelved_alarm_offers_nothing_to_press() -> None:
    lost = at_rest(air__humidity=None)
    state = state_after(heron(), (60, lost), commands=[Shelve("probe-fault", "Wren", 3600.0)])
    (card,) = cards_of(state["alarms"], NOON, UTC)
    assert (card.deed, card.standing) == ("", STANDINGS["shelved"])


def test_the_urgent_comes_first_and_what_is_over_last() -> None:
    both = CLOSED | {"air/humidity": None}

    def order(state: dict[str, Any]) -> list[str]:
        ours = ("vent-closed", "probe-fault")  # others may come of the vapour that gathers meanwhile
        return [name for name, _ in cards(state) if name in ours]

    assert order(state_after(heron(room=AIRY), (60, both))) == ["vent-closed", "probe-fault"]
    later = state_after(heron(room=AIRY), (60, both), (30, OPEN | {"air/humidity": None}))
    assert order(later) == ["probe-fault", "vent-closed"]


def test_one_cause_is_one_card() -> None:
    probes = dict.fromkeys((*OPEN, "blower/motor_temperature"))
    state = state_after(heron(room=AIRY), (30, OPEN | HOT_MOTOR), (60, probes))
    assert len(state["alarms"]) > 5
    assert [name for name, _ in cards(state)] == ["blower-hot", "probe-fault"]  # it was hot before


def test_the_unseen_comes_before_the_seen() -> None:
    hot = CLOSED | {"fuel/temperature": 66 + CELSIUS}
    both = state_after(heron(), (30, hot))
    assert [name for name, _ in cards(both)] == ["vent-closed", "fuel-hot"]
    seen = state_after(heron(), (30, hot), commands=[Acknowledge("vent-closed", "Wren")])
    assert [name for name, _ in cards(seen)] == ["fuel-hot", "vent-closed"]


@pytest.mark.parametrize("words", [text for text in STANDINGS.values() if text])
def test_words_are_words(words: str) -> None:
    assert words[0].isupper()


def test_a_blower_that_is_held_off_is_told_with_since_when_and_why() -> None:
    tank = heron(relay={"gpio": 24, "cuts_on": ["vent-closed"]})
    held = held_of(state_after(tank, (30, CLOSED))["supply_cut"], NOON, UTC)
    assert held
    assert held.since == "12:00"
    assert held.why == "It did so because of this: The blower runs and the vent is closed."
    assert held_of(state_after(heron(), (30, CLOSED))["supply_cut"], NOON, UTC) is None
