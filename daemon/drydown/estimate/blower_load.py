"""What the blower's heat and its motor's current say of its air, held against the same run's first minutes.

The power that goes into the air warms it: P = (ṁ cp + UA) ΔT, an energy balance, ΔT being the rise from the
room to the outlet and UA what the casing loses. Less air for the same power comes hotter. Of a blower that
turns more slowly flow goes with speed and power with its cube (the affinity laws, any fan handbook), so that
ΔT goes with the square of the flow: air that comes cold comes from one that hardly turns, or not at all.
"""

import math
from collections.abc import Sequence
from statistics import median

from drydown.estimate.result import Spread

WARM = 45  # minutes of one stretch until casing and probe have settled
WINDOW = 10  # minutes, of which medians are compared
AMPERES_SEEN, AMPERES_NOW = 5, 2  # minutes
LEAST_RISE = 4.0  # K: a smaller one is mostly what the probes are wrong by
RISE_ERROR = 1.0  # K by which the rise may be wrong either way: two places of a room, a hose; judgement
COLD_LEAST, COLD = 8.0, 0.4  # K of a rise, and the share of it that is left, of which a slow blower is told
COLD_ERROR = 2.0  # K: a probe in the sun must stop no blower
FALLING = 0.5  # K in WINDOW: a casing still cools from something that is over
POWER = Spread(1.0, 0.5, 1.8)  # of a throttled blower, over what it took; fans take less, side channels more
MEASURED_POWER = (0.8, 2.0)  # powers of the current that power goes with: idle current counts for little
MEASURED_ERROR = 0.05  # of that
CASING = 0.3  # of the heat that the casing loses at most, over what the air carries
IDLE = 0.15  # of its current: no motor that blows runs on less
IDLE_MOST = 0.3  # of its air that it may still give then; judgement


class BlowerLoad:
    """One run's. Fed once a minute while the blower is said to run, and told when it does not."""

    def __init__(self) -> None:
        self._rises: list[float] = []  # K, of each minute in which all was warm
        self._amperes: list[float] = []  # A, of each minute
        self._usual_rise: float | None = None
        self._usual_amperes: float | None = None
        self._minutes = 0  # of this stretch

    def stop(self) -> None:
        """The blower rests: what it gave is known still, but not what it gives."""
        self._rises.clear()
        self._amperes.clear()
        self._minutes = 0

    def note(self, rise: float | None, amperes: float | None) -> None:
        """The outlet's rise over the room (K) and the motor's current (A) now; None where not measured."""
        self._minutes += 1
        if amperes is None:
            self._amperes.clear()
        else:
            self._amperes = [*self._amperes, amperes][-AMPERES_SEEN:]
            if self._usual_amperes is None and len(self._amperes) == AMPERES_SEEN:
                self._usual_amperes = median(self._amperes)
        if rise is None:
            self._rises.clear()
        elif self._minutes > WARM:
            self._rises = [*self._rises, rise][-2 * WINDOW :]
            if self._usual_rise is None and len(self._rises) >= WINDOW:
                self._usual_rise = median(self._rises)

    def share(self) -> Spread | None:
        """What it gives of what it gave when the run began; None where heat and current cannot tell."""
        current = self._current()
        if current is not None and current < IDLE:
            return Spread(0.0, 0.0, IDLE_MOST)
        return self._by_heat(current)

    def _current(self) -> float | None:
        """Over what it was."""
        if not self._usual_amperes or not self._amperes:
            return None
        return median(self._amperes[-AMPERES_NOW:]) / self._usual_amperes

    def _by_heat(self, current: float | None) -> Spread | None:
        usual = self._usual_rise
        if usual is None or usual < LEAST_RISE or len(self._rises) < WINDOW:
            return None
        now = median(self._rises[-WINDOW:])
        if now < usual:
            return _of_cold_air(usual, now)
        if now - median(self._rises[:WINDOW]) < -FALLING:
            return None
        return _of_hot_air(usual, now, _power(current))


def _of_cold_air(usual: float, now: float) -> Spread | None:
    if usual < COLD_LEAST or now > COLD * usual:
        return None
    most = math.sqrt((max(now, 0.0) + COLD_ERROR) / (usual - RISE_ERROR))
    return Spread(min(math.sqrt(max(now, 0.0) / usual), most), 0.0, most)


def _of_hot_air(usual: float, now: float, power: Spread) -> Spread:
    """Each end by what power and rise would move it by themselves, square and add of logarithms."""
    ratio = usual / now
    error = math.hypot(RISE_ERROR / usual, RISE_ERROR / now)
    middle = power.median * ratio
    low = middle * math.exp(-math.hypot(math.log(power.median / power.low), error))
    high = middle * math.exp(math.hypot(math.log(power.high / power.median), error))
    return Spread(
        _cooled(middle, CASING / 3.0), _cooled(low, CASING), _cooled(high, 0.0 if high < 1 else CASING)
    )


def _cooled(carried: float, casing: float) -> float:
    """The share of the air where air and casing together carry off this much a kelvin, over what they did."""
    return max(carried + casing * (carried - 1.0), 0.0)


def _power(current: float | None) -> Spread:
    """Of the power over what it was."""
    if current is None:
        return POWER
    ends: Sequence[float] = sorted(current**power for power in MEASURED_POWER)
    return Spread(
        math.sqrt(ends[0] * ends[1]), ends[0] * (1.0 - MEASURED_ERROR), ends[1] * (1.0 + MEASURED_ERROR)
    )
