"""Methanol vapour in the room, followed in time with its range: from what leaves the fuel and the fresh air.

Where a vapour sensor says something it is believed instead, and the reckoning goes on from there.
"""

import numpy as np

from drydown.alarms.scene import Scene
from drydown.estimate.result import Spread
from drydown.estimate.ventilation import RoomState
from drydown.estimate.worlds import Source, worlds
from drydown.physics import methanol, room
from drydown.physics.values import Array

LEAKAGE = 0.3 / 3600  # changes of air a second with the vent closed; common practice, no source: a plain shed
ROOM_TEMPERATURE = 293.15  # K, where nothing measures it
UNKNOWN = Spread(1e-3, 0.0, 3e-3)  # kg/s while it bubbles and nothing has told yet: a usual batch

# How far the truth may lie to either side, as a factor at 90 %. Judgement: no source says it of a shed.
MEASURED, CONFIGURED, LEAKING = 1.15, 1.5, 3.0  # of the fresh air, by how it is known
MIXING = 1.5  # of the mixing factor
WORST_MIXING = 10.0  # ACGIH, Industrial Ventilation: 3 to 10
SENSOR_SHARE, SENSOR_FLOOR = 0.25, 50e-6  # of the vapour sensor: of its reading, and as a mole fraction


class RoomAir:
    """A well-mixed room with a mixing factor.

    Clean when the watch begins, or as full as it gets where the blower was running already.
    """

    def __init__(self) -> None:
        self._concentration: Array | None = None  # kg/m³, one value a world
        self._is_told = False
        self._last = UNKNOWN
        self._time: float | None = None

    def advance(self, scene: Scene, emission: Spread | None) -> RoomState | None:
        """Go on to the scene's time with a steady emission (kg/s). None where nothing can be told."""
        measured = scene.number("vapour/methanol")
        if measured is None and emission is None and not scene.running:
            return None
        config, air = scene.tank.room, fresh_air(scene)
        mixing = worlds(mixing_of(config.mixing_factor), Source.MIXING)
        effective = room.effective_air(worlds(air, Source.FRESH_AIR), mixing)
        temperature = scene.number("air/temperature") or ROOM_TEMPERATURE
        if measured is None:
            concentration = self._reckon(scene, self._leaving(emission), effective)
        else:
            share = worlds(_sensed(measured), Source.SENSOR)
            concentration = methanol.concentration(share, temperature)
        self._concentration, self._time = concentration, scene.now
        if measured is None and emission is None:
            return None
        self._is_told = True
        return RoomState(config.volume, temperature, air, effective, mixing, concentration)

    def _leaving(self, emission: Spread | None) -> Array:
        if emission is None:  # what was known last, or less: it dies away
            emission = Spread(self._last.median, 0.0, self._last.high)
        else:
            self._last = emission if emission.median > 0.0 else UNKNOWN
        return worlds(emission, Source.EMISSION)

    def _reckon(self, scene: Scene, emission: Array, air: Array) -> Array:
        before = self._concentration
        if before is None or (scene.running and not self._is_told):
            before = np.divide(emission, air, out=np.zeros_like(emission), where=air > 0.0)
        passed = 0.0 if self._time is None else max(0.0, scene.now - self._time)
        return room.concentration_after(passed, before, emission, air, scene.tank.room.volume)


def fresh_air(scene: Scene) -> Spread:
    """Fresh air in m³/s: as measured, else as configured while the vent is open or nothing tells."""
    measured = scene.number("vent/flow")
    if measured is not None:
        return _within(max(measured, 0.0), MEASURED)
    if "vent/open" in scene.fitted and not scene.values.get("vent/open"):
        return _within(LEAKAGE * scene.tank.room.volume, LEAKING)
    return _within(scene.tank.room.fresh_air, CONFIGURED)


def _within(value: float, factor: float) -> Spread:
    return Spread(value, value / factor, value * factor)


def mixing_of(configured: float) -> Spread:
    """A configured mixing factor with its range."""
    return Spread(configured, max(1.0, configured / MIXING), min(WORST_MIXING, configured * MIXING))


def _sensed(reading: float) -> Spread:
    value = max(reading, 0.0)
    beside = SENSOR_SHARE * value + SENSOR_FLOOR
    return Spread(value, max(0.0, value - beside), value + beside)
