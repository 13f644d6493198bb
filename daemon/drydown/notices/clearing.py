"""Which alarms somebody was told of and still has to hear the end of: the last one ends with "all clear"."""

from collections.abc import Iterable


class Clearing:
    """One tank's. Pure; belongs to the tank's thread."""

    def __init__(self, told: Iterable[str] = ()) -> None:
        """`told` are those that an earlier watcher told of and that stand."""
        self._open = set(told)
        self._over: list[str] = []  # in words, since the last time that all was clear

    def told(self, alarm: str) -> None:
        """Somebody is told that it was raised."""
        self._open.add(alarm)

    def ended(self, alarm: str, title: str) -> tuple[str, ...] | None:
        """Somebody is told that it is over: what was over before it, if it was the last; else None."""
        self._open.discard(alarm)
        if self._open:
            self._over.append(title)
            return None
        before, self._over = tuple(self._over), []
        return before

    def gone(self, alarm: str) -> None:
        """It no longer stands, whoever is told."""
        self._open.discard(alarm)
