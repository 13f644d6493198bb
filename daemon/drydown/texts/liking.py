"""How somebody likes to read numbers: their units, decimal mark and clock. What is stored and sent stays SI.

A liking holds for the task that reads (`contextvars`), as `decimal.localcontext` does for arithmetic: every
formatter of `amounts` follows it, and nobody in between has to pass it on.
"""

from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, Literal


@dataclass(frozen=True, slots=True)
class Liking:
    """One choice of each. The values are the words by which a choice is kept."""

    temperature: Literal["celsius", "fahrenheit"] = "celsius"
    volume: Literal["litres", "gallons"] = "litres"
    decimal: Literal["point", "comma"] = "point"
    clock: Literal["24", "12"] = "24"


CHOICES: dict[str, tuple[str, ...]] = {
    "temperature": ("celsius", "fahrenheit"),
    "volume": ("litres", "gallons"),
    "decimal": ("point", "comma"),
    "clock": ("24", "12"),
}
"""What can be chosen; the first of each is what nobody chose."""

USUAL = Liking()
LIKING: ContextVar[Liking] = ContextVar("liking", default=USUAL)


def written(liking: Liking) -> str:
    """The liking as one word, to be kept: "fahrenheit.gallons.comma.12"."""
    return ".".join(getattr(liking, name) for name in CHOICES)


def read(word: str) -> Liking:
    """The inverse of `written`; what is no choice counts as not chosen."""
    return chosen(dict(zip(CHOICES, word.split("."), strict=False)))


def chosen(wanted: dict[str, str]) -> Liking:
    """A liking out of choices by name; what is no choice counts as not chosen."""
    valid: Any = {name: wanted[name] for name, allowed in CHOICES.items() if wanted.get(name) in allowed}
    return Liking(**valid)
