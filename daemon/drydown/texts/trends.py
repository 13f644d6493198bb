"""Whether something changes over months, in one sentence."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import tzinfo

from drydown.texts.amounts import date
from drydown.texts.language import later, say
from drydown.trend import LEAST, Line

ROSE = later(
    "{name} rose beyond its scatter: by about {change} ({low} to {high}) between {first} and {last}, from "
    "about {before} to {after}."
)
FELL = later(
    "{name} fell beyond its scatter: by about {change} ({low} to {high}) between {first} and {last}, from "
    "about {before} to {after}."
)


@dataclass(frozen=True, slots=True)
class Wording:
    """How a quantity is spoken of: its name at a sentence's beginning, and its numbers."""

    name: str
    write: Callable[[float], str]


def sentence(wording: Wording, line: Line | None, first: float, last: float, zone: tzinfo) -> str:
    """From Unix time `first` to `last`: whether there is a trend beyond the points' own scatter."""
    count = line.count if line else 0
    if line is None or count < LEAST:
        return say(
            "{name}: too few runs to tell a trend; it takes {least} at least.", name=wording.name, least=LEAST
        )
    span, name, write = last - first, wording.name, wording.write
    change, margin = line.slope * span, line.margin * span
    if not line.is_trend:
        return say(
            "{name}: no trend beyond the scatter of {count} runs. It is about {height}; a change of up to "
            "{most} over that time could hide in the scatter.",
            name=name,
            count=count,
            height=write(line.height),
            most=write(abs(change) + margin),
        )
    least, most = abs(change) - margin, abs(change) + margin
    return say(
        ROSE if change > 0 else FELL,
        name=name,
        change=write(abs(change)),
        low=write(least),
        high=write(most),
        first=date(first, zone),
        last=date(last, zone),
        before=write(line.at(first)),
        after=write(line.at(last)),
    )
