"""How much fuel there is, from its level: with the bubbles taken out while the blower runs."""

from collections import deque

from drydown.config.model import Tank
from drydown.physics import bubbling, fuel, vessel

WINDOW = 60.0  # s over which the level is taken, as a median
CALM = 120.0  # s after the blower has gone on or off until the level means something again
MOST_BUBBLES = 0.45  # share of gas; more is foam, not hold-up


def vessel_of(tank: Tank) -> vessel.Vessel:
    """The shape of a tank, from level to volume."""
    return vessel.of_shape(
        tank.shape,
        diameter=tank.diameter,
        height=tank.height,
        cone_height=tank.cone_height,
        length=tank.length,
        table=tank.table,
    )


class FuelLevel:
    """Fed with every level that can be believed. Volumes in m³ at the fuel's own temperature.

    The hold-up of this tank and blower is what the level jumped by when the blower started; where that was
    not seen it comes from the correlation, true to ±30 %.
    """

    def __init__(self, tank: Tank) -> None:
        self._vessel = vessel_of(tank)
        self._flow = tank.blower.rated_flow
        self._density = fuel.FEEDSTOCKS[tank.fuel.feedstock].density
        self._below_standpipe = float(self._vessel.volume(tank.standpipe))
        self._recent: deque[tuple[float, float]] = deque()
        self.bubbling = False
        self._changed = float("-inf")
        self._bubbles: float | None = None  # share of gas, once known in this stretch
        self.surface_volume: float | None = None  # up to the surface, bubbles included, as last read
        self.volume: float | None = None  # of fuel, without bubbles
        self.is_settled = False  # the blower has run, or rested, for so long that the level means something
        self.is_foaming = False  # told by who watches the level; then it says nothing of the volume

    @property
    def is_calm(self) -> bool:
        """Whether the blower rests, and the level tells the volume."""
        return self.is_settled and not self.bubbling

    @property
    def share_of_gas(self) -> float:
        """Of what stands below the surface."""
        return self._bubbles or 0.0

    @property
    def unbubbled_volume(self) -> float | None:
        """m³ of fuel by the last reading alone; None while the level says nothing."""
        if not self.is_settled or self.surface_volume is None:
            return None
        return self.surface_volume * (1.0 - self.share_of_gas)

    @property
    def drawable(self) -> float | None:
        """What stands above the standpipe, m³."""
        return None if self.volume is None else max(0.0, self.volume - self._below_standpipe)

    def at_standard(self, volume: float, temperature: float) -> float:
        """A volume of this fuel at 15 °C, from that at temperature in K."""
        return volume * float(fuel.volume_correction(temperature, self._density))

    def observe(self, time: float, level: float, running: bool) -> None:
        """Take in a level (m). `running`: whether the blower runs."""
        if running is not self.bubbling:
            self.bubbling, self._changed, self._bubbles = running, time, None
            self._recent.clear()
        self.surface_volume = float(self._vessel.volume(level))
        self._recent.append((time, self.surface_volume))
        while time - self._recent[0][0] > WINDOW:
            self._recent.popleft()
        self.is_settled = time - self._changed >= CALM
        if self.volume is not None and (self.is_foaming or not self.is_settled):
            return
        volumes = sorted(volume for _, volume in self._recent)
        median = volumes[len(volumes) // 2]
        self.volume = median * (1.0 - self._share_of_gas(level, median)) if running else median

    def _share_of_gas(self, level: float, median: float) -> float:
        if median <= 0.0:
            return 0.0  # an empty tank; what bubbles do in it is not learned
        if self._bubbles is None:
            if self.volume is not None:
                share = 1.0 - self.volume / median
            else:
                velocity = self._flow / self._vessel.surface(level)
                share = float(bubbling.gas_holdup(velocity))
            self._bubbles = min(max(share, 0.0), MOST_BUBBLES)
        return self._bubbles
