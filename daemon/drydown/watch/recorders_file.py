"""Which recorders are known, and where the numbers ended, in a small file that outlives the watcher."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from drydown.watch.kept_file import KeptFile


class RecordersFile:
    """One tank's, written when a recorder comes or goes, hourly while one is silent, and at the end."""

    def __init__(self, path: Path) -> None:
        self._file = KeptFile(path, "a recorder that is slow to answer may miss what another one has")
        kept = self._file.read(_understood)
        self.silent_hours, self.ended_at = kept or ({}, 0)
        """As `Roll.hours` gave them, and the number that came next at an end in good order (0: none)."""

    def look(self, hours: Mapping[str, int]) -> None:
        """Keep it if it has changed."""
        if hours != self.silent_hours:
            self._keep(hours, 0)

    def close(self, hours: Mapping[str, int], next_number: int) -> None:
        """The watcher ends in good order."""
        self._keep(hours, next_number)
        self._file.close()

    def _keep(self, hours: Mapping[str, int], next_number: int) -> None:
        self.silent_hours, self.ended_at = dict(hours), next_number
        self._file.keep({"silent_hours": self.silent_hours, "ended_at": next_number})


def _understood(line: Any) -> tuple[dict[str, int], int]:
    hours = {str(name): int(silent) for name, silent in line["silent_hours"].items()}
    if any(silent < 0 for silent in hours.values()):
        raise ValueError("silent for less than no time")
    return hours, int(line["ended_at"])
