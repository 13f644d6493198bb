"""Whether the blower gives less than it gave: by how much less the bubbles lift the level in the same run."""

import math
from itertools import pairwise
from statistics import median, pstdev

from drydown.physics import bubbling, fuel

CALM = 180.0  # s after a switch until the level means something
WINDOW = 10  # minutes, of which medians are compared
LEAST = 0.03  # share of gas below which nothing is compared
DRIFT = 0.006  # of the share of gas: what may have changed the level besides the bubbles; judgement
TWICE_SIDED = 1.645  # standard deviations to the 5 % and 95 % points
SPAN, MOVED = 5, 0.015  # minutes, and share of gas beyond the largest step among them
MOST = 0.45  # share of gas: more is foam
METHANOL_DENSITY = 787.0  # kg/m³, liquid at 25 °C (NIST Chemistry WebBook)


class BlowerFade:
    """One run's. Fed once a minute, in order of time.

    Gas hold-up tells a change of flow well, and the flow itself ill. After fuel was drawn or filled in while
    it bubbles nothing can be told until a pause shows the level at rest.
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
            if self._is_drawn():
                self._rest = None
                self._held.clear()

    def _is_drawn(self) -> bool:
        """Whether the level has moved for minutes: no hose is squeezed, and no filter clogs, at that pace."""
        moved = [after - before for before, after in pairwise(self._held[-SPAN - 1 :])]
        return bool(moved) and abs(sum(moved)) - max(map(abs, moved)) > MOVED

    def share(self) -> tuple[float, float] | None:
        """What it gives of what it gave, and at most (95 of 100); None where that cannot be told."""
        if len(self._held) < 2 * WINDOW:
            return None
        first, last = self._held[:WINDOW], self._held[-WINDOW:]
        then, now = median(first), median(last)
        if not LEAST <= then < MOST or not 0.0 < now < MOST:
            return None
        share = float(bubbling.velocity_of_holdup(now) / bubbling.velocity_of_holdup(then))
        return share, share * math.exp(TWICE_SIDED * math.hypot(_doubt(first, then), _doubt(last, now)))


def _doubt(held: list[float], middle: float) -> float:
    """Standard deviation of the logarithm of the flow: d ln u / d ln ε is 1/(1 − 2ε)."""
    return math.hypot(pstdev(held) / math.sqrt(WINDOW), DRIFT) / middle / (1.0 - 2.0 * middle)
