"""How much room a store has to grow: what is free on its disk, and what is free within its file."""

import os
import sqlite3
from dataclasses import dataclass
from pathlib import Path

LEAST_SHARE, LEAST = 0.05, 256e6  # of the disk, and bytes: below the smaller of them the disk runs low


@dataclass(frozen=True, slots=True)
class Room:
    """Bytes: free on the disk, free within the store (used again before it grows), and the disk's size."""

    on_disk: int
    within: int
    disk: int

    @property
    def is_low(self) -> bool:
        """Whether older readings should be thinned early."""
        return self.on_disk + self.within < self.least

    @property
    def least(self) -> float:
        """Bytes below which it is low."""
        return min(LEAST_SHARE * self.disk, LEAST)


def room(connection: sqlite3.Connection, path: Path) -> Room:
    """The room of a store that is open. Raises OSError or sqlite3.Error."""
    disk = os.statvfs(path.parent)
    pages = connection.execute("PRAGMA freelist_count").fetchone()[0]
    size = connection.execute("PRAGMA page_size").fetchone()[0]
    return Room(disk.f_bavail * disk.f_frsize, pages * size, disk.f_blocks * disk.f_frsize)
