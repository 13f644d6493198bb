"""The choices of the settings page, as people name them."""

from dataclasses import dataclass

from drydown.texts.language import later, say
from drydown.texts.liking import CHOICES, Liking

WORDS = {
    "temperature": (later("Temperatures"), {"celsius": "°C", "fahrenheit": "°F"}),
    "volume": (later("Volumes"), {"litres": later("litres"), "gallons": later("US gallons")}),
    "decimal": (later("Decimal mark"), {"point": "0.5", "comma": "0,5"}),
    "clock": (later("Clock"), {"24": "16:40", "12": "4:40 pm"}),
}


@dataclass(frozen=True, slots=True)
class Option:
    """One of a choice."""

    value: str
    words: str
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to choose, by name and in words."""

    name: str
    words: str
    options: tuple[Option, ...]


def choices(liking: Liking) -> tuple[Choice, ...]:
    """All that can be chosen, with what is."""
    return tuple(
        Choice(
            name,
            say(WORDS[name][0]),
            tuple(
                Option(value, say(WORDS[name][1][value]), value == getattr(liking, name))
                for value in CHOICES[name]
            ),
        )
        for name in CHOICES
    )
