"""What conditioning says of readings: every fault is noticed, and nothing that is well is called a fault."""

import math
from collections.abc import Iterable, Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.condition.judge import State, condition, new_state
from drydown.condition.table import EMPTY, SENSORS, sensor_of
from drydown.condition.words import said
from drydown.config.model import HwmonProbe, IioProbe, OneWireProbe, Probe
from drydown.quantities import MEASURED, ZERO_CELSIUS
from drydown.reading import Quality, Reading

GOOD, DOUBTFUL, BAD = Quality.GOOD, Quality.DOUBTFUL, Quality.BAD
FUEL, DISCHARGE, LEVEL = "fuel/temperature", "blower/discharge_temperature", "fuel/level"
PROBES: dict[str, Probe] = {
    FUEL: OneWireProbe(w1="28-0000071c2a3b"),
    DISCHARGE: OneWireProbe(w1="28-0000071c2a4c"),
    "air/temperature": IioProbe(iio="bme280", channel="in_temp"),
    "air/humidity": HwmonProbe(hwmon="sht3x", channel="humidity1"),
}


def judged(readings: Iterable[Reading], state: State | None = None) -> list[Reading]:
    """Each reading judged at its own time."""
    state = state or new_state(PROBES)
    return [result for reading in readings for result in condition(reading.time, [reading], state)]


def series(name: str, sent: Iterable[float], start: float = 0.0, every: float = 1.0) -> Iterator[Reading]:
    """Readings of a quantity, in the unit on the wire."""
    for i, value in enumerate(sent):
        yield Reading(name, start + i * every, MEASURED[name].to_si(value))


def qualities(readings: Iterable[Reading]) -> list[Quality]:
    return [reading.quality for reading in readings]


def test_a_healthy_reading_leaves_as_it_came() -> None:
    readings = list(series(FUEL, [33.5, 33.5625, 33.5]))
    assert judged(readings) == readings


def test_a_probe_that_gave_nothing_is_bad_with_the_probes_own_words() -> None:
    reason = "28-0000071c2a3b is not on the 1-Wire bus: check its plug and cable"
    (result,) = judged([Reading(FUEL, 5.0, None, BAD, reason)])
    assert (result.quality, result.reason) == (BAD, reason)


def test_a_reading_without_value_or_reason_is_bad_and_says_so() -> None:
    (result,) = judged([Reading(FUEL, 5.0, None)])
    assert result.quality is BAD
    assert "no value" in result.reason


def test_a_value_that_its_probe_calls_bad_stays_bad() -> None:
    # such as the level of a 4–20 mA transmitter whose loop is broken
    before = Reading(LEVEL, 0.0, 0.61)
    broken = Reading(LEVEL, 1.0, 0.60, BAD, "the current loop carries 0.00 mA")
    assert judged([before, broken]) == [before, broken]


def test_power_on_value() -> None:
    # DS18B20 data sheet: 85 °C at power-up
    results = judged(series(FUEL, [33.5, 85.0, 85.0, 85.0, 85.0, 33.5]))
    assert qualities(results) == [GOOD, BAD, BAD, BAD, BAD, GOOD]
    assert "85 °C" in results[1].reason
    assert "powered" in results[1].reason


def test_power_on_value_as_the_very_first_reading() -> None:
    assert qualities(judged(series(FUEL, [85.0]))) == [BAD]


def test_a_discharge_that_really_passes_85_degrees_is_believed() -> None:
    results = judged(series(DISCHARGE, [84.8125, 84.9375, 85.0, 85.0, 85.0625, 85.0]))
    assert qualities(results) == [GOOD] * 6


@pytest.mark.parametrize(
    ("name", "sent", "quality"),
    [
        # DS18B20 data sheet: −55 to +125 °C
        (FUEL, 125.0, GOOD),
        (FUEL, 127.9375, BAD),
        (FUEL, -55.0, GOOD),
        (FUEL, -55.0625, BAD),
        # BME280 data sheet: −40 to +85 °C
        ("air/temperature", 84.9, GOOD),
        ("air/temperature", 86.0, BAD),
        ("air/temperature", -41.0, BAD),
        # SHT3x data sheet: 0 to 100 %RH
        ("air/humidity", 100.0, GOOD),
        ("air/humidity", 103.0, DOUBTFUL),
        ("air/humidity", 106.0, BAD),
        ("air/humidity", -6.0, BAD),
        (LEVEL, -0.02, DOUBTFUL),
        (LEVEL, -0.2, BAD),
        ("vapour/methanol", 1.2, BAD),
        (FUEL, math.nan, BAD),
        (FUEL, math.inf, BAD),
    ],
)
def test_range(name: str, sent: float, quality: Quality) -> None:
    (result,) = judged(series(name, [sent]))
    assert result.quality is quality
    assert bool(result.reason) is (quality is not GOOD)


def test_range_is_told_in_the_readers_unit() -> None:
    (result,) = judged(series("air/temperature", [91.0]))
    assert "91 °C is outside what a BME280 can read (-40 °C to 85 °C)" in result.reason


@pytest.mark.parametrize(("name", "value"), [("blower/running", 1.0), (FUEL, True), ("vent/open", 0.0)])
def test_wrong_kind_of_value(name: str, value: float | bool) -> None:
    assert qualities(judged([Reading(name, 0.0, value)])) == [BAD]


def test_an_impossible_jump_is_bad() -> None:
    results = judged(series(FUEL, [33.5, 33.5, 61.0, 33.5]))
    assert qualities(results) == [GOOD, GOOD, BAD, GOOD]
    assert "33.5 °C to 61 °C within 1 s" in results[2].reason


def test_an_impossible_jump_that_lasts_is_heeded_within_five_seconds() -> None:
    # fuel-hot must be raised within 5 s of the reading that shows it
    results = judged(series(FUEL, [33.5, 33.5, 61.0, 61.0625, 61.125, 61.125, 61.1875]))
    assert qualities(results) == [GOOD, GOOD, BAD, BAD, DOUBTFUL, GOOD, GOOD]


def test_jumps_to_and_fro_are_never_confirmed() -> None:
    results = judged(series(FUEL, [33.5, 61.0, 3.0, 58.0, 2.0, 64.0, 33.5]))
    assert qualities(results) == [GOOD, BAD, BAD, BAD, BAD, BAD, GOOD]


def test_a_jump_that_is_fast_but_possible_is_doubtful() -> None:
    # alarms heed doubtful readings: a real fire is not withheld
    results = judged(series(FUEL, [33.5, 38.0, 42.5, 47.0, 61.0], every=2.0))
    assert qualities(results) == [GOOD, DOUBTFUL, DOUBTFUL, DOUBTFUL, DOUBTFUL]


def test_mixing_out_the_layers_is_no_jump() -> None:
    # physics of bubbling: before it is mixed the probe may read half a kelvin or more away from the mean
    assert set(qualities(judged(series(FUEL, [33.5, 33.0, 32.4, 32.0, 31.9])))) == {GOOD}


def test_hold_up_is_no_jump() -> None:
    # physics of bubbling: gas hold-up of several per cent lifts the level at once
    assert set(qualities(judged(series(LEVEL, [0.65, 0.65, 0.84, 0.85, 0.65])))) == {GOOD}


def test_after_a_long_absence_the_value_may_have_moved() -> None:
    readings = [Reading(FUEL, 0.0, 310.0), Reading(FUEL, 1800.0, 291.0)]
    state = new_state(PROBES)
    assert qualities(condition(r.time, [r], state)[0] for r in readings) == [GOOD, GOOD]


@pytest.mark.parametrize(
    ("time", "now", "words"),
    [
        (100.0, 100.5, "twice"),
        (90.0, 101.0, "10 s before"),
        (161.0, 101.0, "60 s in the future"),
        (math.nan, 101.0, ""),
    ],
)
def test_times(time: float, now: float, words: str) -> None:
    state = new_state(PROBES)
    condition(100.0, [Reading(FUEL, 100.0, 306.65)], state)
    (result,) = condition(now, [Reading(FUEL, time, 306.65)], state)
    assert result.quality is BAD
    assert words in result.reason


def bubbling(hours: float, frozen: float, every: float = 10.0, running: bool = True) -> list[Reading]:
    """Fuel that cools as it bubbles, its probe frozen after so many seconds; level and air go on moving."""
    readings = []
    for i in range(int(hours * 3600 / every)):
        time = i * every
        celsius = round((20.0 + 12.0 * math.exp(-min(time, frozen) / 2500.0)) / 0.0625) * 0.0625
        readings += [
            Reading("blower/running", time, running),
            Reading(FUEL, time, celsius + ZERO_CELSIUS),
            Reading(LEVEL, time, 0.65 + 0.001 * (i * 7 % 5)),
            Reading("air/temperature", time, 285.0 + 0.01 * (i * 11 % 7)),
        ]
    return readings


def faults(readings: Iterable[Reading]) -> list[Reading]:
    return [reading for reading in judged(readings) if reading.quality is not GOOD]


def test_a_frozen_probe_is_noticed_ten_minutes_later() -> None:
    found = faults(bubbling(hours=1.0, frozen=1200.0))
    assert {reading.name for reading in found} == {FUEL}
    last_change = max(r.time for r in bubbling(0.4, 1200.0) if r.name == FUEL and r.value != found[0].value)
    assert 600.0 <= found[0].time - last_change <= 900.0
    assert "stuck at 27.4" in found[0].reason
    assert all(reading.quality is BAD for reading in found)


def test_fuel_that_comes_to_rest_by_itself_is_not_stuck() -> None:
    # without any noise the digits change ever more slowly as fuel and air come to balance
    assert faults(bubbling(hours=4.0, frozen=math.inf)) == []


def test_fuel_at_rest_may_keep_its_temperature_all_night() -> None:
    assert faults(bubbling(hours=9.0, frozen=600.0, running=False)) == []


def test_a_probe_frozen_from_the_start_is_noticed() -> None:
    found = faults(bubbling(hours=1.0, frozen=0.0))
    assert {reading.name for reading in found} == {FUEL}
    assert found[0].time == pytest.approx(1800.0, abs=20.0)


def test_a_probe_that_thaws_is_good_at_once() -> None:
    state = new_state(PROBES)
    judged(bubbling(hours=1.0, frozen=1200.0), state)
    assert qualities(judged(series(FUEL, [27.5], start=3600.0), state)) == [GOOD]


def night(step: float) -> list[Reading]:
    """Air that changes every minute in the evening and then not at all; the fuel's level flickers."""
    readings = []
    for i in range(12 * 360):
        time, moves = i * 10.0, min(i // 6, 60)
        readings += [
            Reading("air/temperature", time, 285.0 + step * (moves % 7)),
            Reading(LEVEL, time, 0.65 + 0.001 * (i * 7 % 5)),
        ]
    return readings


def test_coarse_digits_may_stand_still_for_hours_but_not_all_night() -> None:
    found = faults(night(step=0.1))
    assert {reading.name for reading in found} == {"air/temperature"}
    assert found[0].time == pytest.approx(3600.0 + 14400.0, abs=60.0)


def test_fine_digits_always_flicker() -> None:
    assert faults(night(step=0.01))[0].time == pytest.approx(3600.0 + 20 * 60.0, abs=90.0)


@pytest.mark.parametrize(("humidity", "is_stuck"), [(1.0, False), (0.97, True)])
def test_saturated_air_may_stay_saturated_all_night(humidity: float, is_stuck: bool) -> None:
    readings = []
    for reading in night(step=0.01)[1::2]:
        value = humidity - 0.01 * (int(reading.time) // 60 % 5) if reading.time < 3600.0 else humidity
        readings += [Reading("air/humidity", reading.time, value), reading]
    assert bool(faults(readings)) is is_stuck


def test_while_nothing_else_moves_nothing_is_called_stuck() -> None:
    readings = [reading for reading in bubbling(1.0, 1200.0) if reading.name in (FUEL, "blower/running")]
    assert faults(readings) == []


def test_a_probe_that_falls_silent_is_absent() -> None:
    state = new_state(PROBES)
    condition(100.0, [Reading(FUEL, 100.0, 306.65)], state)
    assert condition(129.0, [], state) == []
    (absent,) = condition(131.0, [], state)
    assert (absent.name, absent.time, absent.value, absent.quality) == (FUEL, 131.0, None, BAD)
    assert "31 s" in absent.reason
    assert condition(140.0, [], state) == []
    assert len(condition(162.0, [], state)) == 1


def test_a_slow_recording_is_not_silent() -> None:
    assert faults(series(FUEL, [33.5, 33.4375, 33.375, 33.375, 33.3125], every=60.0)) == []


def test_sensors_are_known_by_their_driver() -> None:
    assert sensor_of(HwmonProbe(hwmon="sht3x", channel="temp1")) is SENSORS["sht3x"]
    assert all(sensor.source for sensor in SENSORS.values())
    assert sensor_of(None).title == "sensor"


numbers = st.floats(allow_nan=True, allow_infinity=True) | st.floats(250.0, 400.0) | st.booleans() | st.none()
any_reading = st.builds(
    Reading,
    name=st.sampled_from(sorted(MEASURED)),
    time=st.floats(-10.0, 1000.0),
    value=numbers,
    quality=st.sampled_from(Quality),
    reason=st.sampled_from(["", "the probe's own words"]),
)


@given(st.lists(any_reading, max_size=40))
def test_whatever_comes_is_judged_and_never_changed(readings: list[Reading]) -> None:
    results = condition(500.0, readings, new_state(PROBES))
    for reading, result in zip(readings, results, strict=False):
        assert (result.name, result.time) == (reading.name, reading.time)
        assert result.value is reading.value
        assert result.quality is GOOD or result.reason or reading.quality is DOUBTFUL
        if reading.quality is BAD or reading.value is None:
            assert result.quality is BAD


@given(st.lists(any_reading, max_size=40))
def test_the_same_readings_get_the_same_judgement(readings: list[Reading]) -> None:
    first, second = (repr(condition(500.0, readings, new_state(PROBES))) for _ in range(2))
    assert first == second


@pytest.mark.parametrize("level", [0.0, 0.00065, EMPTY * 0.99])
def test_a_level_of_nothing_is_an_empty_tank_or_a_wrong_probe(level: float) -> None:
    (result,) = judged([Reading(LEVEL, 0.0, level)])
    assert result.quality is DOUBTFUL
    assert "the tank is empty, or the level probe wrong" in result.reason
    assert qualities(judged([Reading(LEVEL, 0.0, EMPTY)])) == [GOOD]


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        (FUEL, 306.65, "33.5 °C"),
        ("air/humidity", 0.55, "55 %"),
        ("vapour/methanol", 0.0003, "300 ppm"),
        ("vent/flow", 0.5, "0.5 m³/s"),
        ("blower/current", 2.15, "2.15 A"),
        (LEVEL, 0.6, "0.6 m"),
        ("vent/open", True, "yes"),
    ],
)
def test_values_are_said_in_the_units_that_people_use(name: str, value: float | bool, words: str) -> None:
    assert said(name, value) == words
