"""Which alarms somebody was told of and still has to hear the end of: the last one ends with "all clear"."""

from collections.abc import Iterable


class Clearing:
    """One tank's. Pure; belongs to the tank's thread."""

    def __init__(self, told: Iterable[str] = ()) -> None:
        """`told` are those that an earlier watcher told of and that stand."""
        self._open = set(told)
        self._over: dict[str, None] = {}  # in words, each once, since the last time that all was clear
        self._is_clear = False  # somebody was told so, and of no alarm since

    def told(self, alarm: str) -> None:
        """Somebody is told that it was raised."""
        self._open.add(alarm)
        self._is_clear = False

    def ended(self, alarm: str, title: str) -> tuple[str, ...] | None:
        """Somebody is told that it is over: what was over before it, if it was the last; else None."""
        self._open.discard(alarm)
        if self._open:
            self._over[title] = None
            return None
        if self._is_clear:
            return None  # it ended together with others after a restart: one "all clear" is enough
        self._is_clear = True
        before, self._over = tuple(one for one in self._over if one != title), {}
        return before

    def gone(self, alarm: str) -> None:
        """It no longer stands, whoever is told."""
        self._open.discard(alarm)
