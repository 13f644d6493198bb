"""The page of when to bubble: the best starts, every hour of the day ahead, warmer fuel, a table to paste."""

from dataclasses import dataclass
from datetime import tzinfo

from drydown.estimate.result import Prospect
from drydown.outlook.air import HOUR, Foreseen
from drydown.outlook.ranking import Outlook, best, chief
from drydown.texts import plan
from drydown.texts import when as texts
from drydown.texts.amounts import ranged, water_content, when
from drydown.texts.language import say


@dataclass(frozen=True, slots=True)
class Pasted:
    """What was pasted, and what is wrong with it."""

    text: str = ""
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class HourLine:
    """A start in the table of all: when, in what air, how long it takes, how dry the fuel gets at best."""

    start: str
    temperature: str
    humidity: str
    until_dry: str
    water: str
    is_best: bool


@dataclass(frozen=True, slots=True)
class WhenPage:
    """The answer first, what it rests on, then all hours and what warmer fuel gains."""

    tank: str
    headline: str
    said: tuple[str, ...]
    air: str
    ground: str
    hours: tuple[HourLine, ...]
    warmings: tuple[str, ...]
    warmed: str
    pasted: Pasted


def when_page(
    tank: str,
    foreseen: Foreseen | None,
    outlook: Outlook | None,
    now: float,
    zone: tzinfo,
    why: str,
    pasted: Pasted,
) -> WhenPage:
    """The page of what is known; `why` says why there is no outlook."""
    if foreseen is None or outlook is None:
        return WhenPage(tank, say("When to bubble"), (why,), "", "", (), (), "", pasted)
    begin, finest, cold = foreseen.first - foreseen.air.first, best(outlook.starts), chief(outlook.starts)

    def line(start: Prospect) -> HourLine:
        hour = round((start.wait - foreseen.air.first) / HOUR)
        at = when(begin + start.wait, now, zone)
        least = ranged(start.water_least, water_content)
        return HourLine(
            at, *texts.air_told(foreseen, hour), texts.until_dry(start), least, is_best=start in finest
        )

    return WhenPage(
        tank=tank,
        headline=texts.headline(outlook, foreseen, now, zone),
        said=texts.best_told(outlook, foreseen, now, zone),
        air=plan.fresh_air(cold),
        ground=texts.ground(foreseen, now, zone),
        hours=tuple(map(line, outlook.starts)),
        warmings=tuple(texts.warming_told(one, cold) for one in outlook.warmings),
        warmed=say("A start at {time}", time=when(begin + cold.wait, now, zone)),
        pasted=pasted,
    )
