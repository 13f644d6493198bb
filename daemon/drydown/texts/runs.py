"""What a run is called, so that two people mean the same one: by its tank and the day on which it began."""

from collections import Counter
from collections.abc import Iterable
from datetime import tzinfo

from drydown.texts.amounts import date
from drydown.texts.language import later, say

ORDINALS = (
    later("{tank}, {day}"),
    later("{tank}, {day}, second run"),
    later("{tank}, {day}, third run"),
    later("{tank}, {day}, fourth run"),
    later("{tank}, {day}, fifth run"),
    later("{tank}, {day}, sixth run"),
    later("{tank}, {day}, seventh run"),
    later("{tank}, {day}, eighth run"),
    later("{tank}, {day}, ninth run"),
    later("{tank}, {day}, tenth run"),
)


def names(tank: str, starts: Iterable[float], zone: tzinfo) -> list[str]:
    """Names for all runs of a tank, given when each began (Unix s), in order of time: "heron, 14 May 2026".

    The second of a day is "heron, 14 May 2026, second run"; the first keeps its name when another follows.
    `zone` is where the tank stands.
    """
    seen: Counter[str] = Counter()
    found = []
    for start in starts:
        day = date(start, zone)
        count = seen[day]
        seen[day] += 1
        found.append(_name(tank, day, count))
    return found


def _name(tank: str, day: str, before: int) -> str:
    if before < len(ORDINALS):
        return say(ORDINALS[before], tank=tank, day=day)
    return say("{tank}, {day}, run {number}", tank=tank, day=day, number=before + 1)
