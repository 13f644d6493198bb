"""A tank's room over time: the vapour in it at every step, and once a minute what ventilation it takes."""

from collections.abc import Iterator

from drydown.alarms.room_air import ROOM_TEMPERATURE, RoomAir
from drydown.alarms.scene import Scene
from drydown.effects import Derived
from drydown.estimate.result import Estimate, Spread
from drydown.estimate.vapour import Vapour, bubbling_vapour, rated, starting_vapour
from drydown.estimate.ventilation import RoomState, Ventilation, ventilation
from drydown.estimate.worlds import least, spread_of
from drydown.physics import fuel, methanol
from drydown.reading import Quality, Reading

NO_EMISSION = Spread(0.0, 0.0, 0.0)
LIKELY = 2 / 3  # what the room holds with this probability raises its alarm
ENDS = {"median": "", "low": "/low", "high": "/high"}

NAMES = {
    "room": "room/methanol",
    "fresh_air": "room/fresh_air",
    "needed": "room/fresh_air_needed",
    "needed_against_fire": "room/fresh_air_needed_against_fire",
    "enter_after": "room/enter_after",
    "clears_after": "room/clears_after",
    "off_gas": "vapour/off_gas",
    "left": "vapour/left",
}
"""Under which name each answer of `Ventilation` is published."""


class Airing:
    """One tank's. `state` and `ventilation` are the last answers; None while nobody can tell."""

    def __init__(self) -> None:
        self.state: RoomState | None = None
        self.ventilation: Ventilation | None = None
        self._room = RoomAir()
        self._told: set[str] = set()

    def advance(self, scene: Scene, estimate: Estimate | None) -> None:
        """Go on to the scene's time, and put into the scene what the room's air holds."""
        emission = estimate.emission if estimate else None
        self.state = self._room.advance(scene, NO_EMISSION if scene.running is False else emission)
        scene.room_methanol = scene.room_methanol_likely = None
        if self.state is not None:
            shares = methanol.mole_fraction(self.state.concentration, self.state.temperature)
            scene.room_methanol = spread_of(shares).median
            scene.room_methanol_likely = least(shares, LIKELY)

    def tell(self, scene: Scene, estimate: Estimate) -> Iterator[Derived]:
        """What ventilation it takes, as readings. What can no longer be told is taken back once."""
        vapour = _vapour(scene, estimate)
        self.ventilation = ventilation(self.state, vapour) if self.state else None
        entry = self.ventilation.enter_after if self.ventilation else None
        scene.enter_after = entry.high if entry else None
        for field, name in NAMES.items():
            spread = getattr(self.ventilation, field, None)
            for end, tail in ENDS.items():
                if spread is not None:
                    self._told.add(name + tail)
                    yield Derived(Reading(name + tail, scene.now, getattr(spread, end)))
                elif name + tail in self._told:
                    self._told.remove(name + tail)
                    yield Derived(Reading(name + tail, scene.now, None, Quality.BAD, "cannot be told now"))


def _vapour(scene: Scene, estimate: Estimate) -> Vapour | None:
    temperature, volume, content = scene.number("fuel/temperature"), scene.volume, estimate.methanol
    if temperature is None or not volume or content is None:
        return None
    density = fuel.FEEDSTOCKS[scene.tank.fuel.feedstock].density
    mass = volume * float(fuel.density(temperature, density))
    flow = rated(scene.tank.blower.rated_flow)
    air = scene.number("air/temperature") or ROOM_TEMPERATURE
    if scene.running is False and not estimate.plan:
        return starting_vapour(content, mass, temperature, flow, air)
    emission = estimate.plan[0].emission_peak if scene.running is False else estimate.emission
    return bubbling_vapour(emission, content, mass, flow, air) if emission else None
