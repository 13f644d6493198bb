"""Draws a tank and an afternoon from a seed: what differs between tanks, and what the day brings.

Ranges are judgement (common practice, no source) except where the modules of the model cite them.
"""

import math
from random import Random

from drydown.quantities import ZERO_CELSIUS
from drydown.simulate.activity import Activity, Ester
from drydown.simulate.facts import water_pressure
from drydown.simulate.fuel import Fuel
from drydown.simulate.instruments import AIR, BASIC, DISCHARGE, Instruments
from drydown.simulate.parts import Blower, Heat, TankTruth, Transfer
from drydown.simulate.scene import Scenario, Spell, Weather
from drydown.simulate.tank import begin
from drydown.simulate.vessel import Vessel

KITS = {"basic": BASIC, "air": AIR, "discharge": DISCHARGE}


def draw(seed: int, kit: str) -> tuple[Scenario, float]:
    """The scenario of a seed with the probes of a kit (a key of KITS), and the blower's rated flow, m³/s."""
    return drawn(Random(f"drydown {seed}"), kit)  # a string seeds the same on every platform


def drawn(dice: Random, kit: str) -> tuple[Scenario, float]:
    """The same with any dice."""
    duration = 600.0 * round(dice.uniform(14.0, 26.0))
    room, humidity = _air(dice)
    temperature = ZERO_CELSIUS + dice.uniform(11.0, 51.0)
    rated_flow = dice.uniform(0.010, 0.028)
    methanol = min(max(0.012 * 2.0 ** dice.gauss(0.0, 1.0), 0.0045), 0.06)
    vessel, volume = _vessel(dice)
    fuel = _fuel(dice)
    water = dice.uniform(0.30, 0.95) * fuel.saturation(temperature, methanol)
    tank = _tank(dice, vessel, fuel, vessel.level(volume), rated_flow)
    scenario = Scenario(
        tank=tank,
        start=begin(tank, volume, methanol, water, temperature, room, layer=dice.gauss(0.0, 0.6)),
        probes=_probes(dice, KITS[kit]),
        weather=wander(dice, room, humidity, duration),
        duration=duration,
        switches=_switches(dice),
        surges=_surges(dice, duration),
    )
    return scenario, rated_flow


def wander(dice: Random, room: float, humidity: float, duration: float) -> Weather:
    """Air that strays by about 1 K and 4 %RH an hour from room (K) and humidity, and shivers by draughts."""
    interval = 60.0
    stride = math.sqrt(interval / 3600.0)
    temperatures, humidities, shiver = [], [], 0.0
    for _ in range(int(duration / interval) + 2):
        temperatures.append(room + shiver)
        humidities.append(_humidity_within(humidity - 0.02 * shiver))
        room += dice.gauss(0.0, 1.0) * stride
        humidity = _humidity_within(humidity + dice.gauss(0.0, 0.04) * stride)
        shiver = 0.8 * shiver + dice.gauss(0.0, 0.06)
    return Weather(interval, tuple(temperatures), tuple(humidities), pressure=dice.gauss(100800.0, 900.0))


def _humidity_within(humidity: float) -> float:
    return min(max(humidity, 0.10), 0.99)


def _air(dice: Random) -> tuple[float, float]:
    """Room air between frosty and warm and damp, with a dew point of 26 °C at most."""
    while True:
        room, humidity = ZERO_CELSIUS + dice.uniform(-3.0, 32.0), dice.uniform(0.20, 0.95)
        if humidity * water_pressure(room) < water_pressure(ZERO_CELSIUS + 26.0):
            return room, humidity


def _vessel(dice: Random) -> tuple[Vessel, float]:
    """An upright tank of 120 to 400 L, and the m³ in it."""
    whole = 0.120 * (400.0 / 120.0) ** dice.random()
    diameter = (whole / (1.5 * math.pi / 4.0)) ** (1.0 / 3.0)
    vessel = Vessel("vertical-cylinder", round(diameter, 3), height=round(1.5 * diameter, 3))
    return vessel, whole * dice.uniform(0.72, 0.86)


def _fuel(dice: Random) -> Fuel:
    palmitate, linoleate = dice.uniform(0.05, 0.25), dice.uniform(0.15, 0.45)
    return Fuel(
        activity=Activity(
            Ester(palmitate, 1.0 - palmitate - linoleate, linoleate),
            blend=dice.random(),
            shift=dice.gauss(0.0, 0.10),
            slope=dice.gauss(0.0, 120.0),
        ),
        density_15=dice.uniform(874.0, 887.0),
        expansion=dice.uniform(0.69, 0.75),
        heat=dice.uniform(1900.0, 2100.0),
        viscosity_40=dice.uniform(0.0036, 0.0046),
        saturation_blend=dice.random(),
        saturation_scale=math.exp(dice.gauss(0.0, 0.04)),
        bend=dice.uniform(-0.2, 0.2),
        cosolvency=dice.uniform(0.0, 5.0),
    )


def _tank(dice: Random, vessel: Vessel, fuel: Fuel, depth: float, rated_flow: float) -> TankTruth:
    return TankTruth(
        vessel=vessel,
        fuel=fuel,
        blower=Blower(
            flow=rated_flow * math.exp(dice.gauss(0.0, 0.25)),
            rise=dice.uniform(4.0, 20.0),
            warm_up=60.0 * dice.uniform(5.0, 25.0),
            cool_down=60.0 * dice.uniform(10.0, 40.0),
            hose_loss=dice.uniform(0.0, 0.10),
        ),
        transfer=Transfer(
            methanol=-math.log(1.0 - dice.uniform(0.75, 0.99)),
            water=-math.log(1.0 - dice.uniform(0.80, 0.99)),
            heat=-math.log(1.0 - dice.uniform(0.90, 0.995)),
            flow_exponent=dice.uniform(-0.5, -0.1),
            depth=depth,
        ),
        heat=_heat(dice),
        condensing=dice.uniform(0.0, 0.001),
        leak=math.exp(dice.uniform(math.log(2e-7), math.log(3e-6))),
        mixing_time=dice.uniform(20.0, 60.0),
        layering=dice.uniform(-0.05, 0.02),
        hold_up=math.exp(dice.gauss(0.0, 0.25)),
    )


def _heat(dice: Random) -> Heat:
    """2 to 15 W/K from fuel to room, part of it through a wall of 5 to 30 kJ/K."""
    loss, wall_share = dice.uniform(2.0, 15.0), dice.uniform(0.2, 0.8)
    to_wall, through_wall = dice.uniform(15.0, 60.0), loss * wall_share
    capacity, wetted = dice.uniform(5e3, 30e3), dice.uniform(0.5, 0.75)
    return Heat(
        direct=loss * (1.0 - wall_share),
        fuel_to_wall=to_wall,
        wall_to_room=through_wall * to_wall / (to_wall - through_wall),
        wall_capacity=capacity * wetted,
        gas_to_lid=dice.uniform(1.0, 5.0),
        lid_to_room=dice.uniform(0.5, 3.0),
        wall_to_lid=dice.uniform(0.3, 2.0),
        lid_capacity=capacity * (1.0 - wetted),
    )


def _probes(dice: Random, kit: tuple[str, ...]) -> Instruments:
    return Instruments(
        kit=kit,
        fuel_offset=dice.gauss(0.0, 0.2),
        fuel_lag=dice.uniform(10.0, 90.0),
        eddies=dice.uniform(0.01, 0.06),
        level_offset=dice.gauss(0.0, 0.003),
        level_noise=dice.uniform(0.001, 0.002),
        splash=dice.uniform(0.0005, 0.003),
        air_offset=dice.gauss(0.0, 0.4),
        humidity_offset=dice.gauss(0.0, 0.025),
        discharge_offset=dice.gauss(0.0, 0.2),
        discharge_lag=dice.uniform(15.0, 60.0),
    )


def _switches(dice: Random) -> tuple[float, ...]:
    """Some minutes at rest, then bubbling; in a third of the runs a pause."""
    starts = 10.0 * round(dice.uniform(30.0, 144.0))
    if dice.random() > 0.35:
        return (starts,)
    stops = starts + 10.0 * round(dice.uniform(110.0, 380.0))
    return starts, stops, stops + 10.0 * round(dice.uniform(60.0, 150.0))


def _surges(dice: Random, duration: float) -> tuple[Spell, ...]:
    """Now and then the flow is some per cent more or less for some minutes."""
    surges, clock = [], dice.expovariate(1.0 / 4500.0)
    while clock < duration:
        ends = clock + dice.uniform(60.0, 400.0)
        surges.append(Spell(clock, ends, 1.0 + dice.choice((-1.0, 1.0)) * dice.uniform(0.04, 0.15)))
        clock = ends + dice.expovariate(1.0 / 4500.0)
    return tuple(surges)
