"""A shelf in memory for a spool, whose disk is as fast as the test says."""

from collections.abc import Sequence

from drydown.bus.spool import Entry


class Drawer:
    """A shelf in memory; what is put by is safe when the test says so."""

    def __init__(self) -> None:
        self.entries: dict[int, Entry] = {}
        self.safe, self._last = 0, 0
        self.is_torn = False

    @property
    def oldest(self) -> int | None:
        return min(self.entries, default=None)

    def put(self, first: int, entries: Sequence[Entry | None]) -> None:
        self.entries |= {first + i: entry for i, entry in enumerate(entries) if entry}
        self._last = first + len(entries) - 1

    @property
    def newest(self) -> int:
        """The highest number on it; 0 where none is."""
        return max(self.entries, default=0)

    def settle(self) -> None:
        self.safe = self._last

    def lose_power(self) -> None:
        """What was not safe is not there."""
        self.entries = {n: entry for n, entry in self.entries.items() if n <= self.safe}
        self._last = self.safe

    def window(self, start: int) -> list[tuple[int, Entry]]:
        return [(n, self.entries[n]) for n in sorted(self.entries) if start <= n <= self.safe][:3]

    def let_go(self, number: int) -> None:
        self.entries = {n: entry for n, entry in self.entries.items() if n > number}

    def renumber(self, by: int) -> None:
        self.entries = {n + by: entry for n, entry in self.entries.items()}
        self.safe, self._last = self.safe + by, self._last + by
