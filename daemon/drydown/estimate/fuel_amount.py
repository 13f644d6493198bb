"""How much fuel there is, from the level at rest; how the blower's flow changes, from the gas it holds up.

The hold-up says little about the flow itself (±30 % at best) and much about its change.
"""

import math
from statistics import median

from drydown.estimate.gathering import Minute
from drydown.estimate.inputs import TankPriors
from drydown.physics import bubbling, fuel

CALM = 90.0  # s at rest until the level tells the amount
FOLLOWED = 0.1  # of a difference at rest, a minute
CHANGED = 0.03  # share of the fuel: more than level noise, less than a bucket
GASSED = 0.88  # share of fuel in bubbling fuel that was never seen at rest
STEADY_FLOW = 180.0  # s after a start until the hold-up tells the flow
USUAL, RECENT = 10, 5  # minutes of bubbling: what the correlation is asked about, and what is now
DRIFT = 0.05  # a minute: loss of methanol and a colder, thicker fuel change the hold-up too, but slowly
# the correlation of Hikita et al. 1980 asks for about 1.3 times the first cut's velocity: half way
SHIFT = 1.15
SIGMA = 0.35  # of ln hold-up: what its correlation is worth
LEAST, MOST = 0.01, 0.35  # hold-up that is taken at its word
NOTICEABLE = 0.35  # of ln flow: a blocked intake, a torn hose; less than that drowns in splashes
LEAST_FLOW, MOST_FLOW = 0.05, 2.0  # of the first; more than that is fuel poured in, or foam
SUNK = -0.03  # hold-up: fuel was drawn while it bubbled
UNSETTLED = 10  # minutes that drawing or pouring may take


class FuelAmount:
    """Fed with every interval. The amount is in kg, so that warming does not change it."""

    def __init__(self, tank: TankPriors) -> None:
        self._tank = tank
        self._density = fuel.FEEDSTOCKS.get(tank.feedstock, fuel.FEEDSTOCKS["other"]).density
        self._temperature = fuel.STANDARD_TEMPERATURE
        self._first: list[float] = []  # hold-up of the first minutes
        self._last: list[float] = []
        self._usual: float | None = None  # hold-up by which a change is told
        self._changing = 0  # minutes more in which the flow is followed closely
        self._unsettled = 0  # minutes more for which the level says nothing of the flow
        self.mass: float | None = None  # kg
        self.flow = 1.0  # now, over what is usual in this run

    def take(self, minute: Minute, rested: float, bubbled: float) -> bool:
        """Take in an interval after so many seconds of rest or bubbling; whether fuel came or went."""
        if minute.fuel == minute.fuel:
            self._temperature = minute.fuel
        if not minute.volume > 0.0:
            return False
        told = minute.volume * float(fuel.density(self._temperature, self._density))
        if self.mass is None:
            self.mass = told * (GASSED if minute.running else 1.0)
        elif minute.running and bubbled > STEADY_FLOW:
            return self._bubbling(told, self.mass)
        elif not minute.running and rested > CALM:
            return self._resting(told, self.mass)
        return False

    def flow_told(self) -> tuple[float, float] | None:
        """ln of the flow over the rated one, by the hold-up, and its σ; None before there is enough of it."""
        if len(self._first) < RECENT:
            return None
        held = min(max(median(self._first), LEAST), MOST)
        velocity = SHIFT * float(bubbling.velocity_of_holdup(held))
        ratio = velocity * self._tank.cross_section / self._tank.rated_flow
        return min(max(math.log(ratio), -1.0), 1.0), SIGMA / (1.0 - 2.0 * held)  # d ln ε / d ln u is 1 − 2ε

    def _resting(self, told: float, mass: float) -> bool:
        self._last = []
        changed = abs(told / mass - 1.0) > CHANGED
        self.mass = told if changed else mass + FOLLOWED * (told - mass)
        if self._usual is not None and not changed:  # the same level with the amount as it is now known
            self._usual = 1.0 - (1.0 - self._usual) * self.mass / mass
        return changed

    def _bubbling(self, told: float, mass: float) -> bool:
        held = 1.0 - mass / told
        if self._unsettled > 0:
            return self._settling(told)
        if len(self._first) < USUAL:
            self._first = [*self._first, held]
        self._last = [*self._last[1 - RECENT :], held]
        if len(self._last) < RECENT:
            return False
        recent = median(self._last)
        if self._usual is None:
            self._usual = recent
        ratio = _velocity(recent) / _velocity(self._usual)
        if recent < SUNK or self.flow * ratio > MOST_FLOW:
            self._unsettled = UNSETTLED
            return self._settling(told)
        self._changing = max(self._changing - 1, 0)
        if abs(math.log(ratio)) > NOTICEABLE:
            self._changing = RECENT  # minutes until the median has seen the whole change
        if self._changing > 0:
            self.flow = min(max(self.flow * ratio, LEAST_FLOW), 1.0)  # no blower grows stronger
            self._usual = recent
        self._usual += DRIFT * (recent - self._usual)
        return False

    def _settling(self, told: float) -> bool:
        """Fuel comes or goes while it bubbles: what remains will hold up as much gas as before."""
        self.mass = told * (1.0 - min(max(median(self._first), LEAST), MOST))
        self._last, self._usual, self.flow = [], None, 1.0
        self._unsettled -= 1
        return self._unsettled in (0, UNSETTLED - 1)


def _velocity(held: float) -> float:
    return float(bubbling.velocity_of_holdup(min(max(held, 0.1 * LEAST), 0.45)))
