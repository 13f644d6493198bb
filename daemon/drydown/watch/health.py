"""Tells the core which parts of drydown have not worked for a while, and when they do again.

Pure: what is wrong comes in, commands go out.
"""

from collections.abc import Iterable, Iterator, Mapping

from drydown.commands import Command, Degraded, Mended, Part

TOLERANCE = 10.0  # s that a part may fail before the core is told; the delay of the alarm follows
TOLERATED = {Part.DISK: 0.0, Part.WATCH: 0.0}  # s, where it is another: these do not come and go


class Health:
    """The parts that fail, since when, and which of them the core was told of."""

    def __init__(self, told: Iterable[Part] = ()) -> None:
        """`told` are the parts of which the core knows that they fail."""
        self._since: dict[Part, float] = {}
        self._told = set(told)

    def look(self, now: float, troubles: Mapping[Part, str]) -> Iterator[Command]:
        """What the core must be told; `troubles` gives the reason of each part that fails now."""
        for part in [part for part in self._since if part not in troubles]:
            del self._since[part]
        for part in sorted(self._told - troubles.keys()):
            self._told.discard(part)
            yield Mended(part)
        for part, reason in troubles.items():
            since = self._since.setdefault(part, now)
            if now - since >= TOLERATED.get(part, TOLERANCE) and part not in self._told:
                self._told.add(part)
                yield Degraded(part, reason)
