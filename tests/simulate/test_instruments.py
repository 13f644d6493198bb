"""The simulated probes: lag, offset, noise and steps."""

import math
import statistics
from dataclasses import replace
from random import Random

import pytest

from drydown.quantities import ZERO_CELSIUS
from drydown.simulate.instruments import BASIC, EVERYTHING, Instruments, Memory, read
from drydown.simulate.parts import Inputs, Truth

TRUTH = Truth(
    methanol=0.01,
    water=0.001,
    fuel_temperature=305.0,
    probe_layer_temperature=305.0,
    emission=1e-3,
    offgas_mole_fraction=0.05,
    water_equilibrium=3e-4,
    volume=0.15,
    level=0.70,
    gas_hold_up=0.0,
    air_flow=0.0,
    discharge_temperature=295.0,
    motor_temperature=330.0,
)
STILL = Inputs(blower_running=False, room_temperature=290.0, room_humidity=0.45)
PROBES = Instruments(kit=EVERYTHING)


def many(probes: Instruments, inputs: Inputs, count: int, dt: float = 10.0) -> dict[str, list[float]]:
    dice, memory = Random(7), Memory()
    found: dict[str, list[float]] = {name: [] for name in probes.kit}
    for _ in range(count):
        memory, readings = read(probes, memory, TRUTH, inputs, 0.0, dt, dice)
        for name, value in readings.items():
            found[name].append(value)
    return found


def test_digital_probes_read_in_sixteenths_of_a_degree() -> None:
    """DS18B20 data sheet: 0.0625 °C a step at 12 bits."""
    found = many(PROBES, STILL, 50)
    for name in ("fuel/temperature", "blower/discharge_temperature", "blower/motor_temperature"):
        assert all(
            (value - ZERO_CELSIUS) * 16.0 == pytest.approx(round((value - ZERO_CELSIUS) * 16.0), abs=1e-6)
            for value in found[name]
        )


def test_thermowell_lags() -> None:
    probes = Instruments(kit=BASIC, fuel_lag=60.0, eddies=0.0)
    memory, _ = read(probes, Memory(), TRUTH, STILL, 0.0, 0.0, Random(1))
    hotter = replace(TRUTH, probe_layer_temperature=325.0)
    memory, readings = read(probes, memory, hotter, STILL, 0.0, 60.0, Random(1))
    assert readings["fuel/temperature"] == pytest.approx(305.0 + 20.0 * (1.0 - math.exp(-1.0)), abs=0.15)


def test_offsets_shift_what_is_read() -> None:
    shifted = replace(
        PROBES,
        fuel_offset=0.5,
        level_offset=0.01,
        air_offset=-0.7,
        humidity_offset=0.04,
        discharge_offset=0.3,
    )
    found = many(shifted, STILL, 400)
    means = {name: statistics.fmean(values) for name, values in found.items()}
    assert means["fuel/temperature"] == pytest.approx(305.5, abs=0.05)
    assert means["fuel/level"] == pytest.approx(0.71, abs=3e-4)
    assert means["air/temperature"] == pytest.approx(289.3, abs=0.02)
    assert means["air/humidity"] == pytest.approx(0.49, abs=0.002)
    assert means["blower/discharge_temperature"] == pytest.approx(295.3, abs=0.05)


def test_bubbles_stir_the_fuel_and_its_surface() -> None:
    probes = Instruments(kit=BASIC, eddies=0.2, splash=0.01)
    calm = many(probes, STILL, 1500, dt=30.0)
    stirred = many(probes, replace(STILL, blower_running=True), 1500, dt=30.0)
    spread = {n: (statistics.stdev(calm[n]), statistics.stdev(stirred[n])) for n in BASIC[:2]}
    assert spread["fuel/temperature"][0] < 0.05
    assert spread["fuel/temperature"][1] == pytest.approx(0.2, rel=0.15)
    assert spread["fuel/level"][1] == pytest.approx(math.hypot(0.01, 0.0015), rel=0.1)


def test_room_vapour_is_read_as_a_mole_fraction() -> None:
    """NIOSH Pocket Guide: 1 ppm of methanol is 1.31 mg/m³ at 25 °C and 1 atm."""
    warm = replace(STILL, room_temperature=298.15)
    _, readings = read(PROBES, Memory(), TRUTH, warm, 1.31e-3, 0.0, Random(3))
    assert readings["vapour/methanol"] == pytest.approx(1000e-6, abs=50e-6)


def test_kit_decides_what_is_read_and_changes_no_reading() -> None:
    fewer = many(replace(PROBES, kit=BASIC), STILL, 20)
    more = many(PROBES, STILL, 20)
    assert tuple(fewer) == BASIC
    assert all(fewer[name] == more[name] for name in BASIC)


def test_same_seed_gives_the_same_readings() -> None:
    assert many(PROBES, STILL, 20) == many(PROBES, STILL, 20)
