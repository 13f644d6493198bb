"""Probes that must agree at rest: a constant lie is found, and what weather and slow fuel do is none."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from random import Random

import pytest

from drydown.commands import Part
from drydown.condition.judge import condition, new_state
from drydown.condition.table import COLD_AFTER, PAIRS, WARM_AFTER
from drydown.config.model import IioProbe, OneWireProbe, Probe
from drydown.core import Core
from drydown.effects import AlarmChanged
from drydown.reading import Quality, Reading
from drydown.simulate.draw import draw, wander
from drydown.simulate.instruments import EVERYTHING
from drydown.simulate.scene import Weather, play
from support.faulty_day import tank

FUEL, DISCHARGE, MOTOR, AIR = (
    "fuel/temperature",
    "blower/discharge_temperature",
    "blower/motor_temperature",
    "air/temperature",
)
HOUR, EVERY = 3600.0, 60.0
PROBES: dict[str, Probe] = {
    FUEL: OneWireProbe(w1="28-0000071c2a3b"),
    DISCHARGE: OneWireProbe(w1="28-0000071c2a3c"),
    MOTOR: OneWireProbe(w1="28-0000071c2a3d"),
    AIR: IioProbe(iio="bme280", channel="in_temp"),
}


@dataclass(frozen=True)
class Rest:
    """A tank in a shed whose air swings by the day; fuel follows it with a time constant (s)."""

    slowness: float = 100_000.0
    starts: float = 300.0  # K, the fuel
    air: Callable[[float], float] = lambda time: 285.0 + 4.0 * math.sin(2 * math.pi * time / 86400.0)
    heated: float = 0.0  # K/s that somebody warms it by
    blows: float = 0.0  # s at the beginning for which the blower runs

    def readings(self, hours: float, *names: str) -> Iterator[list[Reading]]:
        fuel = self.starts
        for number in range(int(hours * HOUR / EVERY)):
            time = number * EVERY
            air = self.air(time)
            fuel += (air - fuel) / self.slowness * EVERY + self.heated * EVERY
            shown = {FUEL: fuel, AIR: air, DISCHARGE: air, MOTOR: air}
            if time < self.blows:
                shown[DISCHARGE] = air + 10.0 * (1.0 - math.exp(-time / 600.0))
            yield [
                Reading("blower/running", time, time < self.blows),
                Reading("fuel/level", time, 0.6),
                *(Reading(name, time, shown[name]) for name in (names or shown)),
            ]


def doubts(steps: Iterator[list[Reading]], lies: dict[str, float] | None = None) -> dict[str, float]:
    """The first time (s) at which each quantity was not judged good."""
    state, found = new_state(PROBES), dict[str, float]()
    for readings in steps:
        told = [
            replace(r, value=float(r.value or 0.0) + (lies or {}).get(r.name, 0.0)) if r.name in PROBES else r
            for r in readings
        ]
        for reading in condition(told[0].time, told, state):
            if reading.quality is not Quality.GOOD:
                found.setdefault(reading.name, reading.time)
    return found


def test_however_slow_the_fuel_and_whatever_the_weather_nothing_is_doubted() -> None:
    for slowness in (10_000.0, 50_000.0, 200_000.0):
        for starts in (275.0, 285.0, 325.0):
            assert doubts(Rest(slowness, starts).readings(48.0)) == {}


def test_a_front_is_no_lie() -> None:
    front = Rest(air=lambda time: 290.0 - 12.0 * (time > 20 * HOUR) + 0.02 * math.sin(time))
    assert doubts(front.readings(60.0)) == {}


@pytest.mark.parametrize("lie", [-3.0, 3.0])
def test_fuel_that_lies_is_named_alone_where_a_third_can_tell(lie: float) -> None:
    found = doubts(Rest(starts=285.0).readings(30.0), {FUEL: lie})
    assert set(found) == {FUEL}
    assert 22 * HOUR < found[FUEL] <= 26 * HOUR


def test_of_two_both_are_doubted() -> None:
    found = doubts(Rest(starts=285.0).readings(30.0, FUEL, AIR), {FUEL: 3.0})
    assert set(found) == {FUEL, AIR}


def test_what_the_sensors_may_err_by_their_data_sheets_is_no_lie() -> None:
    # DS18B20 ±0.5 K, BME280 ±1.0 K
    assert doubts(Rest(starts=285.0).readings(48.0, FUEL, AIR), {FUEL: 0.5, AIR: -1.0}) == {}


def test_a_discharge_probe_that_lies_is_found_within_half_a_day() -> None:
    found = doubts(Rest(starts=285.0, blows=HOUR).readings(16.0), {DISCHARGE: 3.0})
    pair = next(pair for pair in PAIRS if (pair.slow, pair.other) == (DISCHARGE, AIR))
    assert found[DISCHARGE] <= HOUR + pair.settles + pair.window + 2 * EVERY


def test_that_two_disagree_is_told_and_that_they_agree_again() -> None:
    core, told = Core(tank()), list[str]()
    lies = Rest(starts=285.0, blows=HOUR)
    for readings in lies.readings(22.0):
        now = readings[0].time
        if now > 11 * HOUR:  # somebody has mended it
            given = readings
        else:
            given = [
                replace(r, value=float(r.value or 0) + 4.0) if r.name == DISCHARGE else r for r in readings
            ]
        told += [
            f"{effect.change} {effect.cause}"
            for effect in core.step(now, given, ())
            if isinstance(effect, AlarmChanged) and effect.alarm == "watch-degraded"
        ]
        if 10.5 * HOUR < now < 11 * HOUR:
            assert "4.0 K above air/temperature" in core.scene.degraded[Part.DOUBT]
    assert told == ["raised doubt", "returned doubt"]
    assert core.scene.degraded == {}


def test_a_tank_that_is_kept_warm_is_no_lie() -> None:
    warm = Rest(starts=305.0, heated=20.0 / 100_000.0)
    assert doubts(warm.readings(48.0)) == {}


def test_blown_air_colder_than_the_room_is_doubted_after_its_time() -> None:
    found = doubts(Rest(blows=HOUR).readings(1.0), {DISCHARGE: -20.0})
    assert set(found) == {DISCHARGE, AIR}
    assert WARM_AFTER + COLD_AFTER <= found[DISCHARGE] <= WARM_AFTER + COLD_AFTER + 2 * EVERY


def test_simulated_tanks_at_rest_are_never_doubted() -> None:
    for seed in (101, 102):
        scenario, _ = draw(seed, "discharge")
        dice = Random(f"rest {seed}")
        air = wander(dice, 285.0, 0.6, 6 * HOUR)
        swing = [
            kelvin + 5.0 * math.sin(2 * math.pi * minute / 1440.0)
            for minute, kelvin in enumerate(air.temperatures)
        ]
        swing += [285.0 + 5.0 * math.sin(2 * math.pi * minute / 1440.0) for minute in range(len(swing), 2040)]
        weather = Weather(60.0, tuple(swing), (0.6, *([0.6] * (len(swing) - 1))))
        resting = replace(
            scenario,
            probes=replace(scenario.probes, kit=EVERYTHING),
            weather=weather,
            switches=(600.0, 4200.0),
            surges=(),
            duration=34 * HOUR,
        )
        steps = (
            [Reading(name, moment.elapsed, value) for name, value in moment.readings.items()]
            for moment in play(resting, seed, EVERY)
        )
        assert doubts(steps) == {}
