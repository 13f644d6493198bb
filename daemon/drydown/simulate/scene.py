"""A simulated tank in its room, moved on by any step: alike for whole runs on file and the live demo."""

import bisect
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from random import Random

from drydown.simulate.instruments import Instruments, Memory, read
from drydown.simulate.parts import Inputs, TankState, TankTruth, Truth
from drydown.simulate.tank import advance, observe

LONGEST_HOLD = 10.0  # s for which the world is held while the tank moves on


@dataclass(frozen=True, slots=True)
class Weather:
    """The room's air in even steps, linear between them: K and fractions of saturation."""

    step: float  # s
    temperatures: tuple[float, ...]
    humidities: tuple[float, ...]
    pressure: float = 101325.0  # Pa

    def at(self, elapsed: float) -> tuple[float, float]:
        """Temperature and relative humidity so many seconds after the start; the ends go on for ever."""
        last = len(self.temperatures) - 1
        place = min(max(elapsed / self.step, 0.0), float(last))
        i = min(int(place), last - 1)
        part = place - i
        t, h = self.temperatures, self.humidities
        return t[i] + part * (t[i + 1] - t[i]), h[i] + part * (h[i + 1] - h[i])


@dataclass(frozen=True, slots=True)
class Spell:
    """A strength between two times (s from the start)."""

    begins: float
    ends: float
    strength: float


@dataclass(frozen=True, slots=True)
class Room:
    """Where the vapour goes: volume (m³), fresh air with the vent open and shut (m³/s), how ill it mixes."""

    volume: float = 60.0
    fresh_open: float = 0.9
    fresh_shut: float = 0.02
    mixing_factor: float = 2.0


@dataclass(frozen=True, slots=True)
class Scenario:
    """A tank, where it starts, its probes, its air, and what happens to it when (s from the start)."""

    tank: TankTruth
    start: TankState
    probes: Instruments
    weather: Weather
    duration: float
    switches: tuple[float, ...]  # the blower is off first, and changes at each of these
    surges: tuple[Spell, ...] = ()  # factors of the flow
    drawings: tuple[Spell, ...] = ()  # m³/s
    vent_openings: tuple[Spell, ...] = ()  # strength 1: open; none at all: always open
    room: Room = Room()

    def inputs(self, elapsed: float) -> Inputs:
        """What the tank meets at a time."""
        temperature, humidity = self.weather.at(elapsed)
        is_open = not self.vent_openings or any(_strengths(self.vent_openings, elapsed))
        return Inputs(
            blower_running=bisect.bisect_right(self.switches, elapsed) % 2 == 1,
            room_temperature=temperature,
            room_humidity=humidity,
            pressure=self.weather.pressure,
            flow_factor=math.prod(_strengths(self.surges, elapsed)),
            drawing=sum(_strengths(self.drawings, elapsed)),
            fresh_air=self.room.fresh_open if is_open else self.room.fresh_shut,
            vent_open=is_open,
        )


def _strengths(spells: tuple[Spell, ...], elapsed: float) -> list[float]:
    return [spell.strength for spell in spells if spell.begins <= elapsed < spell.ends]


@dataclass(frozen=True, slots=True)
class Scene:
    """A scenario at one time. `room_methanol` is in kg/m³."""

    scenario: Scenario
    state: TankState
    memory: Memory
    elapsed: float = 0.0
    room_methanol: float = 0.0


@dataclass(frozen=True, slots=True)
class Moment:
    """What can be seen at one time: the truth, and the readings in SI units by name."""

    elapsed: float  # s since the start
    truth: Truth
    room_methanol: float  # kg/m³
    readings: dict[str, float | bool]


def open_scene(scenario: Scenario) -> Scene:
    """A scenario at its start."""
    return Scene(scenario, scenario.start, Memory())


def step(scene: Scene, dt: float, dice: Random) -> tuple[Scene, Moment]:
    """Move on by `dt` seconds (0: stay) under the scenario's own inputs, and read the probes there."""
    target = scene.elapsed + dt
    while scene.elapsed < target:
        held = min(LONGEST_HOLD, target - scene.elapsed)
        scene = go_on(scene, scene.scenario.inputs(scene.elapsed), held)
        if target - scene.elapsed < 1e-9 * max(target, 1.0):
            scene = replace(scene, elapsed=target)
    return look(scene, scene.scenario.inputs(target), dt, dice)


def go_on(scene: Scene, inputs: Inputs, dt: float) -> Scene:
    """`dt` seconds later, with any inputs held: for people and faults that no scenario foresaw."""
    tank = scene.scenario.tank
    before = observe(tank, scene.state, inputs).emission
    state = advance(tank, scene.state, inputs, dt)
    emission = 0.5 * (before + observe(tank, state, inputs).emission)
    room = scene.scenario.room
    mixed = max(inputs.fresh_air, 1e-6) / room.mixing_factor
    level = emission / mixed
    keep = math.exp(-mixed * dt / room.volume)
    return replace(
        scene,
        state=state,
        elapsed=scene.elapsed + dt,
        room_methanol=level + (scene.room_methanol - level) * keep,
    )


def look(scene: Scene, inputs: Inputs, dt: float, dice: Random) -> tuple[Scene, Moment]:
    """What the probes read now, `dt` seconds after they were last read."""
    truth = observe(scene.scenario.tank, scene.state, inputs)
    memory, readings = read(scene.scenario.probes, scene.memory, truth, inputs, scene.room_methanol, dt, dice)
    return replace(scene, memory=memory), Moment(scene.elapsed, truth, scene.room_methanol, readings)


def play(scenario: Scenario, seed: int, interval: float) -> Iterator[Moment]:
    """A whole scenario, one moment an interval (s); the seed is that of the probes' noise."""
    dice = Random(f"probes {seed}")  # a string seeds the same on every platform
    scene, moment = step(open_scene(scenario), 0.0, dice)
    yield moment
    for _ in range(int(scenario.duration / interval)):
        scene, moment = step(scene, interval, dice)
        yield moment
