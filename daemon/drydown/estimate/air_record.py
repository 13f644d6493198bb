"""The run's own record of its air: how damp it was, where that is going, and how far that can be trusted."""

import math
from collections import deque

import numpy as np

LONGEST = 4 * 3600.0  # s that are looked back upon, and ahead at most: a day's course bends
SHORTEST = 5400.0  # s of record before anything is told
FEWEST = 30  # readings in it
STALE = 300.0  # s since the last
CORRELATION = 1800.0  # s for which the air's wanderings stay alike; judgement
LIKELY = 1.645  # standard deviations: nine times in ten within, on either side
LEAST_NOISE = 0.01  # of the logarithm: a humidity probe's steps
STEP = 300.0  # s


class AirRecord:
    """Partial pressures of water (Pa), about one a minute, in order of time (s)."""

    def __init__(self) -> None:
        self._seen: deque[tuple[float, float]] = deque()

    def add(self, time: float, vapour_pressure: float) -> None:
        """Take in how damp the air is now. Needs a pressure above zero."""
        self._seen.append((time, math.log(vapour_pressure)))
        while time - self._seen[0][0] > LONGEST:
            self._seen.popleft()

    def falls_below(self, vapour_pressure: float, now: float) -> float | None:
        """Seconds until the air is likely below this pressure (19 times in 20) if it goes on as it did.

        None where the record is short, stale or too restless, or where that does not come in as long a time
        as the record reaches back. A straight line through the logarithms, with the line's own uncertainty
        and the spread about it; a spread that wanders grows with the square root of the time ahead.
        """
        trend = self._trend(now)
        if trend is None:
            return None
        level, slope, noise, reach, count = trend
        goal = math.log(vapour_pressure)
        ahead = 0.0
        while ahead <= reach:
            line = math.hypot(1.0, math.sqrt(12.0) * (0.5 + ahead / reach)) / math.sqrt(count)
            spread = noise * math.hypot(line, math.sqrt(1.0 + ahead / CORRELATION))
            if level + slope * ahead + LIKELY * spread <= goal:
                return ahead
            ahead += STEP
        return None

    def later(self, ahead: float, now: float) -> float:
        """How many times the water there will be in the air so many seconds ahead; 1 where nothing shows."""
        trend = self._trend(now)
        return 1.0 if trend is None or ahead > trend[3] else math.exp(trend[1] * ahead)

    def _trend(self, now: float) -> tuple[float, float, float, float, float] | None:
        """Level now, slope (1/s), spread about the line, length of record (s), independent readings in it."""
        if len(self._seen) < FEWEST or now - self._seen[-1][0] > STALE:
            return None
        times, logs = (np.array(column) for column in zip(*self._seen, strict=True))
        reach = float(times[-1] - times[0])
        if reach < SHORTEST:
            return None
        slope, level = np.polyfit(times - now, logs, 1)
        left = logs - level - slope * (times - now)
        count = reach / CORRELATION
        noise = math.hypot(float(left.std()) * math.sqrt(count / (count - 2.0)), LEAST_NOISE)
        return float(level), float(slope), noise, reach, count
