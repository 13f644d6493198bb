"""What the blower gives of what it gave, and of what it should: by how much the bubbles lift the level."""

import math
from statistics import median, pstdev

from drydown.estimate.result import Spread
from drydown.physics import bubbling, fuel

CALM = 180.0  # s after a switch until the level means something
WINDOW = 10  # minutes at a run's beginning, whose median is what the blower gave
LATEST = 7  # minutes whose median is what it gives: four of them tell a change, which is soon enough
SEEN = 2  # minutes of bubbling from which the level is asked for the flow itself
LEAST = 0.03  # share of gas: no change is told of less
DRIFT = 0.006  # of the share of gas: what may have changed the level besides the bubbles; judgement
TWICE_SIDED = 1.645  # standard deviations to the 5 % and 95 % points
RECENT = 5  # minutes of which the median tells the flow itself
SPAN, MOVED = 7, 0.015  # minutes, and share of gas beyond the largest move in two of them
MOST = 0.45  # share of gas: more is foam
SHIFT = 1.15  # of the velocity that a hold-up means: the correlations differ; see fuel_amount.py
STEEPER = 0.6  # by which the power of hold-up that a flow follows may differ (simulated tanks, judgement)
CORRELATION = 0.35  # σ of ln hold-up: what its correlation is worth
METHANOL_DENSITY = 787.0  # kg/m³, liquid at 25 °C (NIST Chemistry WebBook)


class BlowerFade:
    """One run's. Fed once a minute, in order of time.

    Gas hold-up tells a change of flow well, and the flow itself ill. After fuel was drawn or filled in while
    it bubbles nothing can be told until a pause shows the level at rest.
    """

    def __init__(self) -> None:
        self._rest: tuple[float, float] | None = None  # kg of fuel at rest and its methanol, mass fraction
        self._held: list[float] = []  # shares of gas, one a minute of bubbling
        self._earlier = 0  # of them, from before the blower was last started
        self._running = False
        self._since = -math.inf

    def note(
        self, time: float, running: bool, surface_volume: float, temperature: float, methanol: float
    ) -> None:
        """Volume up to the surface (m³), the fuel's temperature (K) and methanol (mass fraction) now."""
        if running is not self._running:
            self._running, self._since = running, time
            if running:  # a rag may have been taken away meanwhile: only how the run began is held against it
                del self._held[WINDOW:]
                self._earlier = len(self._held)
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
                self._earlier = 0

    def _is_drawn(self) -> bool:
        """Whether the level has moved for minutes: no hose is squeezed, and no filter clogs, at that pace."""
        held = self._held[self._earlier :][-SPAN - 1 :]
        if len(held) < 3:
            return False
        steps = (after - before for before, after in zip(held, held[2:], strict=False))
        return abs(held[-1] - held[0]) - max(map(abs, steps)) > MOVED

    def share(self) -> Spread | None:
        """What it gives of what it gave in the first minutes; None where that cannot be told."""
        if len(self._held) < 2 * WINDOW:
            return None
        first, last = self._held[:WINDOW], self._held[-LATEST:]
        then, now = median(first), median(last)
        if not LEAST <= then < MOST or now >= MOST:
            return None
        low_then, high_then = _around(then, first)
        low_now, high_now = _around(now, last)
        share = _ratio(now, then)
        # each end by what either hold-up alone would move it, square and add (Zou and Donner, Stat. Med.
        # 27:1693, 2008; from memory): near no hold-up at all a logarithm would say nothing
        less = math.hypot(share - _ratio(low_now, then), share - _ratio(now, high_then))
        more = math.hypot(_ratio(high_now, then) - share, _ratio(now, low_then) - share)
        return Spread(share, _steeper(max(share - less, 0.0)), share + more)

    def share_of(self, velocity: float) -> Spread | None:
        """What it gives of a superficial velocity (m/s), by the correlation; None where no rest was seen."""
        last = self._held[self._earlier :][-RECENT:]
        if len(last) < SEEN or median(last) >= MOST:
            return None
        held = median(last)
        low, high = _around(held, last)
        wide = math.exp(TWICE_SIDED * CORRELATION / (1.0 - 2.0 * min(max(held, 0.0), MOST / 2.0)))
        share, least, most = (SHIFT * _velocity(end) / velocity for end in (held, low, high))
        return Spread(share, _steeper(least / wide), most * wide)


def _steeper(share: float) -> float:
    """The least that a share may mean: bubbles of a weak flow are fewer but rise more slowly."""
    return share * float(min(share, 1.0) ** STEEPER)


def _ratio(now: float, then: float) -> float:
    """The flow at one hold-up over that at another."""
    return _velocity(now) / _velocity(then)


def _velocity(held: float) -> float:
    """m/s; none where the level stands lower than at rest."""
    return float(bubbling.velocity_of_holdup(min(max(held, 0.0), MOST)))


def _around(middle: float, held: list[float]) -> tuple[float, float]:
    """The 5 % and 95 % points of a hold-up that is the median of so many."""
    off = TWICE_SIDED * math.hypot(pstdev(held) / math.sqrt(len(held)), DRIFT)
    return max(middle - off, LEAST / 2.0 if middle >= LEAST else 0.0), middle + off
