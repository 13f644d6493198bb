"""The list to go through before a start: what a person has to look at, and what was last said of it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from drydown.config.model import Tank

FRESH = 4 * 3600.0  # s for which a look counts: about an evening; common practice, no source

LOOKED_AT = ("drain-closed", "cover-on", "hoses", "blower-outside", "no-flame", "somebody-near")
"""Items of `kinds` that no probe reads; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Look:
    """An item, and who said yes to it at what Unix time; both are None where nobody did of late."""

    item: str
    time: float | None = None
    who: str | None = None


def items_of(tank: Tank, reads_vent: bool) -> tuple[str, ...]:
    """What a person is asked: also for the vent where no probe tells, and for the earth of a metal tank."""
    vent = () if reads_vent else ("vent-open",)
    return (*vent, *LOOKED_AT, *(("earthed",) if tank.material == "steel" else ()))


def looks(items: Iterable[str], lines: Iterable[Mapping[str, Any]], now: float) -> tuple[Look, ...]:
    """By entries that were recorded, in order of time; the last word on an item counts."""
    found: dict[str, Look] = {}
    for line in lines:
        if line["entry"] == "checked" and line["time"] > now - FRESH:
            item, yes = line["values"]["item"], line["values"]["answer"] == "yes"
            found[item] = Look(item, line["time"], line["who"]) if yes else Look(item)
    return tuple(found.get(item, Look(item)) for item in items)
