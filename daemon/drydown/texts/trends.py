"""Whether something changes over months, in one sentence."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, tzinfo

from drydown.trend import LEAST, Line


@dataclass(frozen=True, slots=True)
class Wording:
    """How a quantity is spoken of: its name at a sentence's beginning, and its numbers."""

    name: str
    write: Callable[[float], str]


def sentence(wording: Wording, line: Line | None, first: float, last: float, zone: tzinfo) -> str:
    """From Unix time `first` to `last`: whether there is a trend beyond the points' own scatter."""
    count = line.count if line else 0
    if line is None or count < LEAST:
        return f"{wording.name}: too few runs to tell a trend; it takes {LEAST} at least."
    span, name, write = last - first, wording.name, wording.write
    change, margin = line.slope * span, line.margin * span
    if not line.is_trend:
        return (
            f"{name}: no trend beyond the scatter of {count} runs. It is about {write(line.height)}; a "
            f"change of up to {write(abs(change) + margin)} over that time could hide in the scatter."
        )
    way = "rose" if change > 0 else "fell"
    least, most = abs(change) - margin, abs(change) + margin
    return (
        f"{name} {way} beyond its scatter: by about {write(abs(change))} ({write(least)} to {write(most)}) "
        f"between {_day(first, zone)} and {_day(last, zone)}, from about {write(line.at(first))} to "
        f"{write(line.at(last))}."
    )


def _day(time: float, zone: tzinfo) -> str:
    return datetime.fromtimestamp(time, zone).strftime("%-d %B %Y")
