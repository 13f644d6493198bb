"""The demo's batch: a cool afternoon in the boathouse, 180 L of fuel from a ferry canteen's oil in `heron`.

It settles for half an hour, bubbles for two and a half hours with a pause for tea, is dry, rests, and a
canister is drawn.
"""

from dataclasses import dataclass
from random import Random

from drydown.quantities import ZERO_CELSIUS
from drydown.simulate.activity import Activity, Ester
from drydown.simulate.draw import wander
from drydown.simulate.fuel import Fuel
from drydown.simulate.instruments import EVERYTHING, Instruments
from drydown.simulate.parts import Blower, TankTruth, Transfer
from drydown.simulate.scene import Scenario, Spell
from drydown.simulate.tank import begin
from drydown.simulate.vessel import Vessel

MINUTE = 60.0  # s

HERON = Vessel("cone-bottom", diameter=0.60, height=0.66, cone_height=0.25)
"""210 L to the brim."""

RATED_FLOW = 0.015  # m³/s, as the maker says


@dataclass(frozen=True, slots=True)
class Timetable:
    """When the blower goes on and off (s from the start), and how long the story lasts."""

    starts: float = 30 * MINUTE
    pauses: float = 75 * MINUTE
    goes_on: float = 87 * MINUTE
    stops: float = 190 * MINUTE
    draws: float = 300 * MINUTE
    ends: float = 330 * MINUTE


def heron(timetable: Timetable = Timetable(), seed: int = 1) -> Scenario:
    """The batch as a scenario; the seed is that of the weather."""
    t = timetable
    room, humidity = ZERO_CELSIUS + 11.0, 0.54
    tank = TankTruth(
        vessel=HERON,
        fuel=Fuel(Activity(Ester(0.15, 0.55, 0.30)), density_15=879.0, bend=0.03, cosolvency=2.0),
        blower=Blower(flow=0.0142, rise=13.0),
        transfer=Transfer(depth=HERON.level(0.180)),
    )
    return Scenario(
        tank=tank,
        start=begin(tank, 0.180, 0.013, 1150e-6, ZERO_CELSIUS + 38.0, room, layer=-0.5),
        probes=Instruments(kit=EVERYTHING, fuel_offset=0.08, air_offset=-0.2, humidity_offset=0.012),
        weather=wander(Random(f"heron {seed}"), room, humidity, t.ends),
        duration=t.ends,
        switches=(t.starts, t.pauses, t.goes_on, t.stops),
        drawings=(Spell(t.draws, t.draws + 5 * MINUTE, 0.020 / (5 * MINUTE)),),
        vent_openings=(Spell(t.starts - 5 * MINUTE, t.stops + 20 * MINUTE, 1.0),),
    )
