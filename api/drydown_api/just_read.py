"""The run whose page was asked for last: the page's charts ask for the same a moment later."""

import time
from threading import Lock

from drydown_pages.run.record import RunRecord

MOMENT = 5.0  # s


class JustRead:
    """Keeps one record for whoever asks for it next, and not for long."""

    def __init__(self) -> None:
        self._lock = Lock()  # routes run on threads
        self._kept: tuple[str, float, RunRecord, float] | None = None

    def keep(self, tank: str, start: float, record: RunRecord) -> None:
        """It was just read."""
        with self._lock:
            self._kept = tank, start, record, time.monotonic()

    def take(self, tank: str, start: float) -> RunRecord | None:
        """It, once; None where another was read, or that is longer ago."""
        with self._lock:
            kept, self._kept = self._kept, None
        if kept is None or kept[:2] != (tank, start) or time.monotonic() - kept[3] > MOMENT:
            return None
        return kept[2]
