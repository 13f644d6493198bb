"""What a person may tell a tank from its page: the choices that its forms offer."""

from dataclasses import dataclass

from drydown.orders import LONGEST_NOTE
from drydown.run.stages import Stage
from drydown.texts.language import later, say
from drydown_pages.cards import Card

STAGES = {
    Stage.IDLE: later("nothing in it to dry"),
    Stage.SETTLING: later("filled, settling"),
    Stage.BUBBLING: later("bubbling"),
    Stage.PAUSED: later("paused, goes on soon"),
    Stage.RESTING: later("bubbled, resting"),
    Stage.READY: later("rested, ready to drain and draw"),
    Stage.DRAWN: later("drawn"),
}

QUIET = 3600  # s that an alarm keeps quiet for


@dataclass(frozen=True, slots=True)
class Choices:
    """All of it, for the template."""

    stages: tuple[tuple[str, str], ...] = tuple((stage.value, words) for stage, words in STAGES.items())
    longest_note: int = LONGEST_NOTE


CHOICES = Choices()


@dataclass(frozen=True, slots=True)
class Quiet:
    """An alarm that can be kept quiet, or let speak again."""

    alarm: str
    title: str
    deed: str
    button: str
    duration: int | None = None


def quiets_of(cards: tuple[Card, ...]) -> tuple[Quiet, ...]:
    """What can be kept quiet of these, and what is: never an emergency."""
    return tuple(
        Quiet(card.name, card.title, "unshelve", say("Let it speak again"))
        if card.quiet
        else Quiet(card.name, card.title, "shelve", say("Quiet for an hour"), QUIET)
        for card in cards
        if card.quiet or not (card.over or card.priority == "emergency")
    )
