"""What a run did to the room: the most vapour there was, and the most air that it took."""

from collections.abc import Mapping
from dataclasses import dataclass

from drydown.estimate.result import Spread
from drydown.physics.vapour_limits import EXPOSURE_LIMIT
from drydown.reading import Reading

ROOM, OFF_GAS, NEEDED, PRESENT = "room/methanol", "vapour/off_gas", "room/fresh_air_needed", "room/fresh_air"
ENDS: Mapping[str, str] = {"/low": "low", "/high": "high"}
WHILE_BUBBLING = (OFF_GAS, NEEDED)  # at rest they say what would be


@dataclass(frozen=True, slots=True)
class Peak:
    """The greatest value of a run with its range, and when it was (s)."""

    time: float
    spread: Spread


class RoomPeaks:
    """Fed with all readings of a run, measured and derived, in order of time."""

    def __init__(self) -> None:
        self.peaks: dict[str, Peak] = {}
        self.present: Spread | None = None  # fresh air, m³/s, as last told
        self.above_until: float | None = None  # s, when the room was last above the exposure limit
        self._running = False
        self._ends: dict[str, tuple[float, dict[str, float]]] = {}

    def take(self, reading: Reading) -> None:
        """Take in a reading; all but a few are passed over."""
        if reading.value is None:
            return
        if reading.name == "blower/running":
            self._running = bool(reading.value)
        name, end = _parted(reading.name)
        if name not in (ROOM, OFF_GAS, NEEDED, PRESENT):
            return
        time, ends = self._ends.get(name, (reading.time, {}))
        if time != reading.time:
            ends = {}
        ends[end] = float(reading.value)
        self._ends[name] = reading.time, ends
        if len(ends) == 3:
            self._keep(name, reading.time, Spread(**ends))

    def _keep(self, name: str, time: float, spread: Spread) -> None:
        if name == PRESENT:
            self.present = spread
        elif self._running or name not in WHILE_BUBBLING:
            before = self.peaks.get(name)
            if before is None or spread.median > before.spread.median:
                self.peaks[name] = Peak(time, spread)
        if name == ROOM and spread.median > EXPOSURE_LIMIT:
            self.above_until = time


def _parted(name: str) -> tuple[str, str]:
    for tail, end in ENDS.items():
        if name.endswith(tail):
            return name.removesuffix(tail), end
    return name, "median"
