"""The blower's hour meter in a small file: right to a minute after a kill, without broker or recorder."""

from collections.abc import Mapping
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from drydown.kept_file import KeptFile
from drydown.lines import Clock
from drydown.run.blower_timer import Meter

EVERY = 60.0  # s between two writes while the blower runs


class HoursFile:
    """One tank's, written once a minute while the blower runs, and when it stops. Never blocks."""

    def __init__(self, path: Path) -> None:
        self._file = KeptFile(path, "the blower's hours go on from what was recorded")
        self._kept: Meter | None = None

    def read(self, from_unix: Clock) -> Meter | None:
        """What was kept last; None where there is nothing, or nothing that can be understood."""
        self._kept = self._file.read(lambda line: _meter_of(line, from_unix))
        return self._kept

    def look(self, meter: Meter, to_unix: Clock) -> None:
        """Keep it if it is time to."""
        kept = self._kept
        stopped = kept is not None and kept.running and not meter.running
        is_due = meter.running and (kept is None or abs(meter.time - kept.time) >= EVERY)
        if stopped or is_due:
            self._kept = meter
            self._file.keep(asdict(meter) | {"time": to_unix(meter.time)})

    def close(self) -> None:
        """Write what is not written yet."""
        self._file.close()


def _meter_of(line: Mapping[str, Any], from_unix: Clock) -> Meter:
    kept = Meter(
        float(line["time"]),
        float(line["total"]),
        int(line["starts"]),
        bool(line["running"]),
        float(line["stretch"]),
    )
    if not all(0.0 <= figure < float("inf") for figure in (kept.total, kept.starts, kept.stretch, kept.time)):
        raise ValueError("figures that no meter shows")
    return replace(kept, time=from_unix(kept.time))
