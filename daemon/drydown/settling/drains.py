"""Whether to drain again, from what the last drains brought: colours, as people saw them, and litres."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from drydown.batches.batch import Drained, Moved
from drydown.run.movement import LevelKind

MUCH = 0.01  # of the batch, from which on more is sure to follow; common practice, no source
SOON = 4 * 3600.0  # s until the next one, while dark glycerin comes; common practice, no source
LATER = 12 * 3600.0  # s, as what is milky parts slowly; common practice, no source
CLEAR_TWICE = 2  # times in a row that it has to run clear; common practice, no source
TOGETHER = 3600.0  # s: what is told, or lost by the level, within so long of each other is one drain


class Counsel(StrEnum):
    """What to do about it."""

    AGAIN = "again"  # it came dark
    MUCH = "much"  # a good deal came, and not clear fuel
    WAIT = "wait"  # it came milky
    ONCE_MORE = "once-more"  # it came clear, or little came and nobody said what
    ENOUGH = "enough"


@dataclass(frozen=True, slots=True)
class Drainage:
    """One drain: when it was over (Unix s), what was seen, and how much came (m³), each where it is known."""

    time: float
    seen: str | None
    volume: float | None


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do, the drain that it rests on, and when (Unix s); no time where nothing is to be done."""

    counsel: Counsel
    last: Drainage
    at: float | None


def drainages(drained: Iterable[Drained], moved: Iterable[Moved]) -> list[Drainage]:
    """What people told and what the level lost put together, in order of time.

    Of one drain the last colour counts, and the litres by word rather than by the level.
    """
    groups: list[list[Drained | Moved]] = []
    found: list[Drained | Moved] = [*drained, *(one for one in moved if one.kind is LevelKind.DRAIN)]
    for one in sorted(found, key=lambda one: one.time):
        if groups and one.time - groups[-1][-1].time <= TOGETHER:
            groups[-1].append(one)
        else:
            groups.append([one])
    return [_drainage(group) for group in groups]


def advice(found: Sequence[Drainage], batch: float | None) -> Advice | None:
    """What the drains since the fuel came to rest tell, with `batch` m³ in the tank; None before any."""
    if not found:
        return None
    last = found[-1]
    counsel = _counsel(found, batch)
    wait = {Counsel.ENOUGH: None, Counsel.WAIT: LATER}.get(counsel, SOON)
    return Advice(counsel, last, None if wait is None else last.time + wait)


def _counsel(found: Sequence[Drainage], batch: float | None) -> Counsel:
    last = found[-1]
    if last.seen == "clear":
        newest = [one.seen for one in found[-CLEAR_TWICE:]]
        return Counsel.ENOUGH if newest == ["clear"] * CLEAR_TWICE else Counsel.ONCE_MORE
    if last.seen == "dark":
        return Counsel.AGAIN
    if last.volume is not None and batch and last.volume > MUCH * batch:
        return Counsel.MUCH
    return Counsel.WAIT if last.seen == "milky" else Counsel.ONCE_MORE


def _drainage(group: Sequence[Drained | Moved]) -> Drainage:
    told = [one for one in group if isinstance(one, Drained)]
    by_word = [one.volume for one in told if one.volume is not None]
    by_level = [one.volume.median for one in group if isinstance(one, Moved)]
    volumes = by_word or by_level
    return Drainage(group[-1].time, told[-1].seen if told else None, sum(volumes) if volumes else None)
