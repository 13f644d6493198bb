"""A shelf in memory for a spool, whose disk is as fast as the test says."""

from collections.abc import Sequence

from hypothesis.stateful import RuleBasedStateMachine, rule

from drydown.bus.spool import Entry, Spool


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


class SpoolWithADrawer(RuleBasedStateMachine):
    """What may happen at any time to a spool whose disk is slow, whoever is told of its entries."""

    spool: Spool

    def __init__(self) -> None:
        super().__init__()
        self.drawer = Drawer()

    @rule()
    def reconnect(self) -> None:
        self.spool.rewind()

    @rule()
    def put_by(self) -> None:
        self.spool.put_by()

    @rule()
    def the_disk_has_it(self) -> None:
        self.drawer.settle()
        self.spool.lighten()

    def put_all_by(self) -> None:
        """As a stop in good order does."""
        self.drawer.settle()
        assert self.spool.put_by()
        self.drawer.settle()
