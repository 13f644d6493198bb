"""How far drops have fallen through fuel at rest, and when those of a size will have (Stokes).

The fall of a drop is its diameter squared times what is called the pull here: ∫ Δρ g/(18 μ) dt over the time
in which the fuel stood still, with the viscosity of fuel as warm as it was. One integral serves every size.
Without numpy, as a tank's page asks for it; `physics.settling` has the same law for arrays.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, sqrt

from drydown.estimate.result import Spread
from drydown.physics.plain import (
    DENSITY_SLOPE,
    GLYCEROL_DENSITY,
    STANDARD_GRAVITY,
    STANDARD_TEMPERATURE,
    VISCOSITY_REFERENCE,
    VOGEL_B,
    VOGEL_C,
    Feedstock,
)

TYPICAL = 30e-6
"""Diameter in m of drops of glycerin in raw fuel; from memory, of what is reported of stirred esters and
glycerol: some tens of micrometres, with a tail to both sides. Those below 15 µm fall for days."""

CREEPING = 200e-6  # m; larger drops fall by another law, and are down within half an hour

PACE = Spread(1.0, 0.6, 1.15)
"""By what the fall may differ from that of pure glycerol in pure esters: glycerin with methanol and soap in
it is lighter (from memory: down to 1100 kg/m³), fuel with methanol in it is thinner."""

Warmth = tuple[float, float]
"""A time in Unix s and the fuel's temperature in K."""


@dataclass(frozen=True, slots=True)
class Fall:
    """How it fell so far. `course` is the pull (1/m) by the time (Unix s), from when the fuel came to rest up
    to now; `pace` is what it grows by from now on, 1/(m s), if the fuel stays as warm, `slow` if it were as
    cold as the room at once. Levels in m above the tank's lowest point.
    """

    course: tuple[tuple[float, float], ...]
    pace: float
    slow: float
    surface: float
    standpipe: float

    @property
    def since(self) -> float:
        """When the fuel came to rest, Unix s."""
        return self.course[0][0]

    @property
    def now(self) -> float:
        """Up to when it was followed, Unix s."""
        return self.course[-1][0]

    @property
    def height(self) -> float:
        """From the surface down to the standpipe, m; 0 where the surface is lower."""
        return max(0.0, self.surface - self.standpipe)

    def fallen(self, size: float) -> Spread:
        """How far a drop of so many m has fallen, m: no further than to the bottom."""
        middle = size * size * self.course[-1][1]
        least, most = (min(self.surface, middle * end) for end in (PACE.low, PACE.high))
        return Spread(min(self.surface, middle), least, most)

    def smallest(self, height: float) -> Spread | None:
        """Diameter (m) from which on all drops have fallen so far (m); None where no time has passed."""
        pull = self.course[-1][1]
        if pull <= 0.0:
            return None
        middle = sqrt(height / pull)
        return Spread(middle, middle / sqrt(PACE.high), middle / sqrt(PACE.low))

    def reached(self, size: float, height: float) -> Spread:
        """When all drops of so many m have fallen so far (m), or will have: Unix s."""
        needed = pull_for(size, height)
        return Spread(
            self._when(needed / PACE.median, self.pace),
            self._when(needed / PACE.high, self.pace),
            self._when(needed / PACE.low, self.slow),
        )

    def _when(self, pull: float, pace: float) -> float:
        place = bisect_left(self.course, pull, key=lambda one: one[1])
        if place == 0:
            return self.since
        if place == len(self.course):
            return self.now + (pull - self.course[-1][1]) / pace
        (start, least), (end, most) = self.course[place - 1 : place + 1]
        return start + (end - start) * (pull - least) / (most - least)


def fall_of(
    since: float,
    now: float,
    warmth: Sequence[Warmth],
    oil: Feedstock,
    levels: tuple[float, float],
    room: float | None = None,
) -> Fall:
    """From one temperature or more, in order of time; each holds until the next, the first from the start.

    `levels` are those of surface and standpipe (m), `room` is how warm the air is (K), where that is known.
    """
    sinking = Sinking(oil)
    sinking.begin(since)
    course = [(since, 0.0)]
    for time, kelvin in warmth:
        pull = sinking.feel(min(time, now), kelvin)
        if since < time < now:
            course.append((time, pull))
    end = max(since, now)
    course.append((end, sinking.pull(end) or 0.0))
    last = pace_of(warmth[-1][1], oil)
    slow = last if room is None else min(last, pace_of(room, oil))
    return Fall(tuple(course), last, slow, *levels)


class Sinking:
    """The pull since the fuel came to rest, with its temperature as last known: the sum, and no history."""

    def __init__(self, oil: Feedstock) -> None:
        self._oil = oil
        self._counted = 0.0  # s, on the clock of whoever feeds it
        self._pull = 0.0  # 1/m, up to when it is counted
        self._pace: float | None = None

    def begin(self, time: float) -> None:
        """The fuel came to rest, perhaps a little ago."""
        self._counted, self._pull = time, 0.0

    def feel(self, time: float, kelvin: float) -> float:
        """Take in a temperature; the pull until then. The first that is known holds for what went before."""
        pace = pace_of(kelvin, self._oil)
        if time > self._counted:
            self._pull += (pace if self._pace is None else self._pace) * (time - self._counted)
            self._counted = time
        self._pace = pace
        return self._pull

    def pull(self, now: float) -> float | None:
        """Up to now, 1/m; None before any temperature."""
        if self._pace is None:
            return None
        return self._pull + self._pace * max(0.0, now - self._counted)


def pull_for(size: float, height: float) -> float:
    """The pull (1/m) by which a drop of so many m has fallen so far (m)."""
    return height / (size * size)


def pace_of(kelvin: float, oil: Feedstock) -> float:
    """Speed over diameter squared of a drop of glycerol in fuel at a temperature in K, 1/(m s)."""
    density, at_40 = (
        oil.density + DENSITY_SLOPE * (one - STANDARD_TEMPERATURE) for one in (kelvin, VISCOSITY_REFERENCE)
    )
    curve = VOGEL_B / (kelvin - VOGEL_C) - VOGEL_B / (VISCOSITY_REFERENCE - VOGEL_C)
    viscosity = oil.viscosity * at_40 * exp(curve)
    return (GLYCEROL_DENSITY - density) * STANDARD_GRAVITY / (18.0 * viscosity)
