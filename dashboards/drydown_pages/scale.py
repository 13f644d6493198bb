"""A content drawn against its limit: a bar for where the truth lies, a step where the limit is."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

LIMIT_AT = 45.0
"""Where the limit stands, in percent of the width: the same for every scale, so that the eye learns it."""
DECADE = 25.0
"""Percent of the width for a factor of ten: the scale is logarithmic."""


@dataclass(frozen=True, slots=True)
class Scale:
    """What the page draws and writes for one content; positions are in percent of the width."""

    known: bool
    amount: str
    range: str
    limit: str
    standing: str
    limit_at: float = LIMIT_AT
    band_from: float = 0.0
    band_width: float = 0.0
    median_at: float = 0.0


def scale_of(spread: Mapping[str, float] | None, limit: float, write: Callable[[float], str]) -> Scale:
    """The scale of one content: `spread` has median, low and high, mass fractions like `limit`."""
    if spread is None:
        return Scale(False, "not known yet", "", write(limit), "wait until the blower has run a while")
    low, high = spread["low"], spread["high"]
    band_from, band_to = _position(low, limit), _position(high, limit)
    return Scale(
        known=True,
        amount=_about(write(spread["median"])),
        range=f"{write(low)} to {write(high)}" if write(low) != write(high) else "",
        limit=write(limit),
        standing=_standing(low, high, limit),
        band_from=band_from,
        band_width=round(max(band_to - band_from, 1.0), 1),
        median_at=_position(spread["median"], limit),
    )


def _about(amount: str) -> str:
    return amount if amount.startswith("less than") else f"about {amount}"


def _position(content: float, limit: float) -> float:
    at = LIMIT_AT + DECADE * math.log10(max(content, 1e-9) / limit)
    return round(min(max(at, 0.0), 98.0), 1)


def _standing(low: float, high: float, limit: float) -> str:
    if high <= limit:
        return "within it"
    if low > limit:
        return "above it"
    return "cannot tell yet which side"
