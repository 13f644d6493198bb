"""Which recorders the watcher keeps things for: how long each was silent, and when it is given up.

Silence is counted while the watcher runs, not by the wall clock, so that neither a clock that was never set
nor a board that lay switched off gives a recorder up. A cursor that the broker retained is no sign of life.

Pure: no I/O and no clock.
"""

from collections.abc import Mapping

HOUR, DAY = 3600.0, 86_400.0  # s
WORTH_TELLING = HOUR  # of silence


class Roll:
    """Every recorder that was heard of, those that were given up included."""

    def __init__(self, silent_hours: Mapping[str, int], days: float) -> None:
        """`silent_hours` is what `hours` gave before; after `days` of silence a recorder is given up."""
        self._silent = {name: hours * HOUR for name, hours in silent_hours.items()}
        self._days = days

    @property
    def awaited(self) -> frozenset[str]:
        """Those that something is kept for."""
        return frozenset(name for name, silent in self._silent.items() if silent < self._days * DAY)

    @property
    def hours(self) -> dict[str, int]:
        """For how many whole hours each was silent: what must outlive the watcher."""
        return {name: int(silent // HOUR) for name, silent in self._silent.items()}

    @property
    def trouble(self) -> str:
        """Who has been silent for long and is not given up, in words; empty where nobody was."""
        for name in sorted(self.awaited):
            silent = self._silent[name]
            if silent >= WORTH_TELLING:
                return (
                    f"the recorder {name} was not heard for {_long(silent)}: start it again; after"
                    f" {self._days:g} days of silence nothing is kept for it any more"
                )
        return ""

    def hear(self, name: str, is_live: bool) -> bool:
        """A recorder's cursor came, live or retained by the broker; returns whether it counts."""
        if is_live:
            self._silent[name] = 0.0
        else:
            self._silent.setdefault(name, 0.0)
        return name in self.awaited

    def strike(self, name: str) -> None:
        """Somebody took its cursor off the broker: it is gone for good."""
        self._silent.pop(name, None)

    def wait(self, seconds: float) -> frozenset[str]:
        """So much time went by; returns who is given up now."""
        before = self.awaited
        for name in before:
            self._silent[name] += seconds
        return before - self.awaited


def _long(seconds: float) -> str:
    return f"{seconds / HOUR:.0f} h" if seconds < 2 * DAY else f"{seconds / DAY:.0f} days"
