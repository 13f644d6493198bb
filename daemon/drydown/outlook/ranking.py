"""What each start in the day ahead would bring, which are the best, and what warmer fuel would gain."""

from collections.abc import Sequence
from dataclasses import dataclass

from drydown.estimate.result import LONGEST_START, Prospect

BEST = 3
APART = 3 * 3600.0  # s between two starts that are told as different ones: neighbours do alike


@dataclass(frozen=True, slots=True)
class Warming:
    """A start with warmer fuel, and the least heat (J) that this takes: the fuel's own, nothing lost."""

    prospect: Prospect
    energy: float


@dataclass(frozen=True, slots=True)
class Outlook:
    """Starts in order of time; and the best of them (or the driest, if none dries) with warmer fuel."""

    starts: tuple[Prospect, ...]
    warmings: tuple[Warming, ...]


def is_sure(start: Prospect) -> bool:
    """Whether it dries the fuel in nineteen of twenty cases."""
    return start.dry_in is not None and start.dry_in.high < LONGEST_START


def best(starts: Sequence[Prospect]) -> tuple[Prospect, ...]:
    """The starts that dry the fuel surely, then likely, the shortest first, no two close to each other."""
    found: list[Prospect] = []
    for start in sorted((one for one in starts if one.dry_in), key=_rank):
        if all(abs(start.wait - other.wait) >= APART for other in found):
            found.append(start)
    return tuple(found[:BEST])


def chief(starts: Sequence[Prospect]) -> Prospect:
    """The best start, or where none dries the fuel the one that gets it driest."""
    return next(iter(best(starts)), min(starts, key=lambda start: (start.water_least.median, start.wait)))


def _rank(start: Prospect) -> tuple[bool, float, float]:
    length = start.dry_in.median if start.dry_in else LONGEST_START
    return not is_sure(start), length, start.wait
