"""A content drawn against its limit: a bar for where the truth lies, a step where the limit is."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from drydown.texts.amounts import parted
from drydown.texts.language import later, say

LIMIT_AT = 45.0
"""Where the limit stands, in percent of the width: the same for every scale, so that the eye learns it.
`look.css` writes the limit's value at the same place."""
DECADE = 25.0
"""Percent of the width for a factor of ten: the scale is logarithmic."""
NARROWEST = 1.0
"""Percent of the width: a bar has to be seen."""

WITHIN, ABOVE, EITHER, UNKNOWN = "within", "above", "either", "unknown"

STANDINGS = {
    WITHIN: later("within limit"),
    ABOVE: later("above limit"),
    EITHER: later("not sure yet"),
    UNKNOWN: later("not known yet"),
}


@dataclass(frozen=True, slots=True)
class Scale:
    """What the page draws and writes for one content; positions are in percent of the width."""

    standing: str
    amount: str
    range: str
    limit: str
    band_from: float = 0.0
    band_width: float = 0.0
    median_at: float = 0.0
    limit_at: float = LIMIT_AT

    @property
    def verdict(self) -> str:
        """How it stands to the limit, in words."""
        return say(STANDINGS[self.standing])


def scale_of(spread: Mapping[str, float] | None, limit: float, write: Callable[[float], str]) -> Scale:
    """The scale of one content: `spread` has median, low and high, mass fractions like `limit`."""
    if spread is None:
        return Scale(UNKNOWN, say("not known yet"), "", write(limit))
    low, high = spread["low"], spread["high"]
    band_from = _position(low, limit)
    return Scale(
        standing=_standing(low, high, limit),
        amount=_about(write(spread["median"])),
        range=_range(write(low), write(high)),
        limit=write(limit),
        band_from=band_from,
        band_width=round(max(_position(high, limit) - band_from, NARROWEST), 1),
        median_at=_position(spread["median"], limit),
    )


def _about(amount: str) -> str:
    return say("about {amount}", amount=amount) if parted(amount)[0] else amount


def _range(low: str, high: str) -> str:
    """Both ends, the unit once where it is the same."""
    if low == high:
        return ""
    number, unit = parted(low)
    start = number if number and unit == parted(high)[1] else low
    return say("from {low} to {high}", low=start, high=high)


def _position(content: float, limit: float) -> float:
    at = LIMIT_AT + DECADE * math.log10(max(content, 1e-9) / limit)
    return round(min(max(at, 0.0), 100.0 - NARROWEST), 1)


def _standing(low: float, high: float, limit: float) -> str:
    if high <= limit:
        return WITHIN
    return ABOVE if low > limit else EITHER
