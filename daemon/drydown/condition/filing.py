"""Under what time a judged reading is recorded: its own, unless that cannot stand.

The record keeps one reading of a quantity a moment. One that is stamped in the future, late, or twice would
take the place of another there, so it is recorded under the time at which it came.
"""

from dataclasses import dataclass, field, replace

from drydown.condition.table import EARLY
from drydown.reading import Reading

APART = 0.001  # s; times are recorded in milliseconds


@dataclass(slots=True)
class Filing:
    """The latest time recorded of each quantity, on the core's clock."""

    latest: dict[str, float] = field(default_factory=dict)

    def place(self, now: float, reading: Reading) -> Reading:
        """The reading as it is to be recorded."""
        latest = self.latest.get(reading.name, float("-inf"))
        if latest < reading.time <= now + EARLY:
            self.latest[reading.name] = reading.time
            return reading
        self.latest[reading.name] = time = max(now, latest + APART)
        return replace(reading, time=time)
