"""The probes of a simulated tank: they share one simulation, which follows the core's clock."""

import threading
from dataclasses import replace
from random import Random

from drydown.config import model
from drydown.probes.probe import no_value
from drydown.reading import Reading
from drydown.simulate.batch import heron
from drydown.simulate.scene import Moment, Room, Scenario, open_scene, step
from drydown.simulate.tank import begin
from drydown.simulate.vessel import Vessel

FILLED = 0.857  # share of the tank: 180 L of 210
FLOW_SHARE = 0.947  # of what the blower's maker says
SAME_MOMENT = 0.1  # s within which probes see the same moment


class LiveTank:
    """A scenario that begins at the first look and moves on with the clock. Safe to share between threads.

    On an accelerated clock (s that pass faster than real ones) the tank lives faster by as much.
    """

    def __init__(self, scenario: Scenario, seed: int = 1) -> None:
        self._scene = open_scene(scenario)
        self._dice = Random(f"probes {seed}")
        self._lock = threading.Lock()
        self._begun: float | None = None
        self._moment: Moment | None = None

    def look(self, now: float) -> Moment:
        """What can be seen at a time (s, core's clock), or a moment before it."""
        with self._lock:
            if self._begun is None:
                self._begun = now
            passed = now - self._begun - self._scene.elapsed
            if self._moment is None or passed >= SAME_MOMENT:
                self._scene, self._moment = step(self._scene, max(passed, 0.0), self._dice)
            return self._moment


class SimulatedProbe:
    """One quantity of a simulated tank."""

    def __init__(self, name: str, tank: LiveTank) -> None:
        self._name = name
        self._tank = tank

    @property
    def name(self) -> str:
        return self._name

    def describe(self) -> str:
        return "the simulated tank"

    def read(self, now: float) -> Reading:
        readings = self._tank.look(now).readings
        if self._name not in readings:
            return no_value(self._name, now, f"the simulated tank has no probe for {self._name}: remove it")
        return Reading(self._name, now, readings[self._name])


def scenario_of(tank: model.Tank) -> Scenario:
    """The demo's batch in a tank of this size, with this blower, in this room.

    Raises ValueError for a tank that is given as a table of levels and volumes.
    """
    if tank.shape == "table":
        raise ValueError("a tank given by a table cannot be simulated: give its shape and size instead")
    demo = heron()
    vessel = Vessel(
        tank.shape, tank.diameter or 0.0, tank.height or 0.0, tank.cone_height or 0.0, tank.length or 0.0
    )
    volume = FILLED * vessel.volume(_brim(vessel))
    truth = replace(
        demo.tank,
        vessel=vessel,
        blower=replace(demo.tank.blower, flow=FLOW_SHARE * tank.blower.rated_flow),
        transfer=replace(demo.tank.transfer, depth=vessel.level(volume)),
    )
    fuel = demo.start
    room = demo.weather.temperatures[0]
    whole = fuel.esters + fuel.methanol + fuel.water
    return replace(
        demo,
        tank=truth,
        start=begin(
            truth, volume, fuel.methanol / whole, fuel.water / whole, fuel.temperature, room, fuel.layer
        ),
        room=Room(tank.room.volume, tank.room.fresh_air, demo.room.fresh_shut, tank.room.mixing_factor),
    )


def _brim(vessel: Vessel) -> float:
    return vessel.diameter if vessel.shape == "horizontal-cylinder" else vessel.height + vessel.cone_height
