"""Methanol vapour in the room, worked out from what leaves the fuel and the fresh air that comes in."""

from drydown.alarms.scene import Scene
from drydown.physics import methanol, room

LEAKAGE = 0.3 / 3600  # changes of air a second with the vent closed; common practice, no source: a plain shed
ROOM_TEMPERATURE = 293.15  # K, where nothing measures it


class RoomAir:
    """A well-mixed room with a mixing factor.

    Clean when the watch begins, or as full as it gets where the blower was running already.
    """

    def __init__(self) -> None:
        self.concentration = 0.0  # kg/m³
        self._time: float | None = None

    def advance(self, scene: Scene, emission: float) -> float:
        """Go on to the scene's time with a steady emission (kg/s); the mole fraction of methanol then."""
        config = scene.tank.room
        air = float(room.effective_air(_fresh_air(scene), config.mixing_factor))
        if self._time is None and emission > 0.0 and air > 0.0:
            self.concentration = float(room.steady_concentration(emission, air))
        passed = 0.0 if self._time is None else max(0.0, scene.now - self._time)
        self._time = scene.now
        self.concentration = float(
            room.concentration_after(passed, self.concentration, emission, air, config.volume)
        )
        temperature = scene.number("air/temperature") or ROOM_TEMPERATURE
        return float(methanol.mole_fraction(self.concentration, temperature))


def _fresh_air(scene: Scene) -> float:
    """Fresh air in m³/s: as measured, else as configured while the vent is open or nothing tells."""
    measured = scene.number("vent/flow")
    if measured is not None:
        return max(measured, 0.0)
    if "vent/open" in scene.fitted and not scene.values.get("vent/open"):
        return LEAKAGE * scene.tank.room.volume
    return scene.tank.room.fresh_air
