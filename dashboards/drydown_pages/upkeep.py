"""The page of drawing and upkeep: how long a draw takes, how the filter does, what is to be looked after."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import tzinfo

from drydown.drawing.filter import Element
from drydown.drawing.outlook import Outlook
from drydown.drawing.upkeep import Done, Upkeep
from drydown.texts import drawing as texts
from drydown.texts.amounts import GALLON, duration, litres
from drydown.texts.language import counted, say
from drydown.texts.liking import LIKING
from drydown_pages.facts import Fact
from drydown_pages.typed import TypedError, number

LITRE, LARGEST = 0.001, 2.0  # m³; more than a finishing tank holds


@dataclass(frozen=True, slots=True)
class Asked:
    """What was typed into the box: m³, None where nothing was, or what is wrong with it."""

    typed: str
    volume: float | None
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class PartCard:
    """A part to look after; `part` as the logbook calls it."""

    part: str
    title: str
    to_do: str
    state: str
    usual: str
    is_due: bool


@dataclass(frozen=True, slots=True)
class UpkeepPage:
    """The answer first, then the filter, then every part, what is due before the rest."""

    tank: str
    headline: str
    answer: str
    ground: str
    caution: str
    asked: Asked
    unit: str
    filter: tuple[Fact, ...]
    advice: str
    bound: str
    due: str
    parts: tuple[PartCard, ...]


def asked(typed: str) -> Asked:
    """What a person typed, in the unit that is liked."""
    if not typed.strip():
        return Asked("", None)
    size = LITRE if LIKING.get().volume == "litres" else GALLON
    try:
        return Asked(typed, number(typed, 0.0, round(LARGEST / size)) * size)
    except TypedError as error:
        return Asked(typed, None, str(error))


def upkeep_page(
    tank: str,
    outlook: Outlook,
    wanted: Asked,
    element: tuple[Done | None, Element],
    parts: Iterable[Upkeep],
    zone: tzinfo,
) -> UpkeepPage:
    """The page of what is known."""
    changed, through = element
    cards = [_card(one, zone) for one in sorted(parts, key=lambda one: (not one.is_due, -one.used))]
    due = sum(card.is_due for card in cards)
    return UpkeepPage(
        tank=tank,
        headline=texts.headline(outlook),
        answer=texts.answer(outlook),
        ground=texts.ground(outlook, zone),
        caution=say(texts.CAUTION),
        asked=wanted,
        unit="L" if LIKING.get().volume == "litres" else "gal",
        filter=(
            Fact(say("Element changed"), texts.changed(changed, zone)),
            Fact(say("Drawn through it"), litres(through.drawn)),
            Fact(say("That took"), duration(through.lasted)),
            Fact(say("Left of its flow"), texts.left(through.left)),
        ),
        advice=texts.advice(through),
        bound=texts.bound(),
        due=counted("1 part is due.", "{count} parts are due.", due) if due else say("Nothing is due."),
        parts=tuple(cards),
    )


def _card(found: Upkeep, zone: tzinfo) -> PartCard:
    return PartCard(
        part=found.part,
        title=say(texts.PARTS[found.part]),
        to_do=say(texts.TO_DO[found.part]),
        state=texts.part_state(found, zone),
        usual=texts.usual(found.interval),
        is_due=found.is_due,
    )
