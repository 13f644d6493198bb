"""What a run is called, so that two people mean the same one: by its tank and the day on which it began."""

from collections import Counter
from collections.abc import Iterable
from datetime import datetime, tzinfo

ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def names(tank: str, starts: Iterable[float], zone: tzinfo) -> list[str]:
    """Names for all runs of a tank, given when each began (Unix s), in order of time: "heron, 14 May 2026".

    The second of a day is "heron, 14 May 2026, second run"; the first keeps its name when another follows.
    `zone` is where the tank stands.
    """
    seen: Counter[str] = Counter()
    found = []
    for start in starts:
        day = datetime.fromtimestamp(start, zone).strftime("%-d %B %Y")
        count = seen[day]
        seen[day] += 1
        found.append(f"{tank}, {day}{_which(count)}")
    return found


def _which(before: int) -> str:
    if before == 0:
        return ""
    return f", {ORDINALS[before]} run" if before < len(ORDINALS) else f", run {before + 1}"
