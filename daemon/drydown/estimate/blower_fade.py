"""Whether the blower gives less than it gave: by how much less the bubbles lift the level in the same run."""

import math
from statistics import median, pstdev

from drydown.physics import bubbling, fuel

CALM = 180.0  # s after a switch until the level means something
WINDOW = 10  # minutes, of which medians are compared
LEAST = 0.03  # share of gas below which nothing is compared
DRIFT = 0.006  # of the share of gas: what may have changed the level besides the bubbles; judgement
TWICE_SIDED = 1.645  # standard deviations to the 5 % and 95 % points
MOST = 0.45  # share of gas: more is foam
METHANOL_DENSITY = 787.0  # kg/m³, liquid at 25 °C (NIST Chemistry WebBook)


class BlowerFade:
    """One run's. Fed once a minute, in order of time.

    Gas hold-up tells a change of flow well, and the flow itself ill. What is drawn or filled while it bubbles
    looks like a change too, until the next pause shows the level at rest.
    """

    def __init__(self) -> None:
        self._rest: tuple[float, float] | None = None  # kg of fuel at rest and its methanol, mass fraction
        self._held: list[float] = []  # shares of gas, one a minute of bubbling
        self._running = False
        self._since = -math.inf

    def note(
        self, time: float, running: bool, surface_volume: float, temperature: float, methanol: float
    ) -> None:
        """Volume up to the surface (m³), the fuel's temperature (K) and methanol (mass fraction) now."""
        if running is not self._running:
            self._running, self._since = running, time
        if time - self._since < CALM:
            return
        density = float(fuel.density(temperature))
        if not running:
            self._rest = surface_volume * density, methanol
        elif self._rest is not None:
            kilograms, before = self._rest
            left = kilograms / density - kilograms * max(before - methanol, 0.0) / METHANOL_DENSITY
            self._held.append(1.0 - left / surface_volume)

    def share(self) -> tuple[float, float] | None:
        """What it gives of what it gave, and at most (95 of 100); None where that cannot be told."""
        if len(self._held) < 2 * WINDOW:
            return None
        first, last = self._held[:WINDOW], self._held[-WINDOW:]
        then, now = median(first), median(last)
        if not LEAST <= then < MOST or not 0.0 < now < MOST:
            return None
        doubts = (math.hypot(pstdev(held) / math.sqrt(WINDOW), DRIFT) for held in (first, last))
        then_low, now_high = then - TWICE_SIDED * next(doubts), now + TWICE_SIDED * next(doubts)
        if then_low <= 0.0 or now_high >= MOST:
            return None
        return _ratio(now, then), _ratio(now_high, then_low)


def _ratio(now: float, then: float) -> float:
    return float(bubbling.velocity_of_holdup(now) / bubbling.velocity_of_holdup(then))
