"""A day of a simulated tank with one probe that lies and every other kind of fault put into the readings."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from random import Random

from drydown.condition import kinds, table
from drydown.condition.kinds import Fault
from drydown.config.model import Tank
from drydown.probes import kinds as probe_kinds
from drydown.probes.sysfs import loop_verdict
from drydown.reading import Quality, Reading
from drydown.simulate.draw import draw
from drydown.simulate.instruments import EVERYTHING
from drydown.simulate.scene import Scenario, Weather, play
from support.boathouse import heron

HOUR = 3600.0
EVERY = 5.0  # s between two readings
RESTS = 8 * HOUR  # s: from here on the blower stays off
LIE = 4.0  # K that the discharge probe reads too much all day

FUEL, LEVEL, AIR, HUMIDITY = "fuel/temperature", "fuel/level", "air/temperature", "air/humidity"
MOTOR, DISCHARGE, VAPOUR, VENT = (
    "blower/motor_temperature",
    "blower/discharge_temperature",
    "vapour/methanol",
    "vent/open",
)

Change = Callable[[Reading, float], list[Reading]]
"""What becomes of a reading, so many seconds after the fault began."""


@dataclass(frozen=True, slots=True)
class Episode:
    """A fault of one probe. `by` is when its readings must be judged, `until` when they are sound again.

    `after` is for how long (s) sound readings may be doubted, and `names` what else may be doubted with it.
    """

    fault: Fault
    name: str
    begins: float
    until: float
    change: Change
    by: float
    after: float = 0.0
    names: frozenset[str] = frozenset()


def tank() -> Tank:
    """The tank of the day, with every probe."""
    probes = {
        FUEL: {"w1": "28-0000071c2a3b"},
        LEVEL: {"iio": "ads1115", "channel": "in_voltage0"},
        "blower/running": {"gpio": 17},
        DISCHARGE: {"w1": "28-0000071c2a3c"},
        MOTOR: {"w1": "28-0000071c2a3d"},
        AIR: {"iio": "bme280", "channel": "in_temp"},
        HUMIDITY: {"iio": "bme280", "channel": "in_humidityrelative"},
        VENT: {"gpio": 27},
        VAPOUR: {"iio": "ads1115", "channel": "in_voltage1"},
    }
    return heron(probes=probes)


def sound(seed: int) -> Iterator[tuple[float, list[Reading]]]:
    """The day without faults, but for the lie: times and readings."""
    for moment in play(_scenario(seed), seed, EVERY):
        yield (
            moment.elapsed,
            [Reading(name, moment.elapsed, value) for name, value in moment.readings.items()],
        )


def _scenario(seed: int) -> Scenario:
    scenario, _ = draw(seed, "discharge")
    swing = [288.0 + 3.0 * math.sin(2 * math.pi * minute / 1440.0) for minute in range(1441)]
    damp = [0.6 - 0.05 * math.sin(2 * math.pi * minute / 1440.0) for minute in range(1441)]
    return replace(
        scenario,
        probes=replace(
            scenario.probes, kit=EVERYTHING, discharge_offset=LIE, air_offset=0.0, level_offset=0.0
        ),
        weather=Weather(60.0, tuple(swing), tuple(damp)),
        duration=24 * HOUR,
        switches=(HOUR, 4 * HOUR, 5 * HOUR, RESTS),
        surges=(),
    )


def episodes(seed: int) -> list[Episode]:
    """The faults of the day; the seed moves them about within their places."""
    dice = Random(f"faults {seed}")
    return [*_while_blowing(dice), *_at_once(dice), *_in_time(dice)]


def with_faults(seed: int) -> Iterator[tuple[float, list[tuple[Reading, Episode | None]]]]:
    """The day with its faults: times, and readings each with the fault that it has."""
    planned = episodes(seed)
    for now, readings in sound(seed):
        told: list[tuple[Reading, Episode | None]] = []
        for reading in readings:
            found = next(
                (one for one in planned if one.name == reading.name and one.begins <= now < one.until), None
            )
            changed = found.change(reading, now - found.begins) if found else [reading]
            told += [(one, None if one is reading else found) for one in changed]
        yield now, told


def _slot(dice: Random, hours: float) -> float:
    """A time within some minutes after so many hours, on a reading."""
    return hours * HOUR + EVERY * dice.randrange(60)


def _while_blowing(dice: Random) -> Iterator[Episode]:
    begins = _slot(dice, 1.5)
    yield Episode(kinds.STUCK, FUEL, begins, begins + 3600.0, _hold(), table.HABITS[FUEL].still or 0.0)
    begins = _slot(dice, 5.3)
    yield Episode(kinds.STUCK, LEVEL, begins, begins + 1800.0, _hold(), table.STUCK_AFTER + EVERY)
    begins = _slot(dice, 6.3)
    by = table.COLD_AFTER + 2 * table.SAMPLED
    names = frozenset({AIR, DISCHARGE})
    cold = _add(lambda _: -40.0)
    yield Episode(
        kinds.COLD_AIR, DISCHARGE, begins, begins + 2400.0, cold, by, table.MINUTE + table.SAMPLED, names
    )


def _at_once(dice: Random) -> Iterator[Episode]:
    """Faults that the first reading with them shows, at all times of the day."""
    crc = "28-0000071c2a3b failed its checksum (CRC)"
    places: list[tuple[Fault, str, Change, int]] = [
        (kinds.NOTHING, FUEL, _say(None, Quality.BAD, crc), 6),
        (kinds.NOTHING, VAPOUR, _say(None), 3),
        (kinds.POWER_ON, MOTOR, _say(273.15 + 85.0), 4),
        (kinds.FAR_OUT, HUMIDITY, _say(1.4), 5),
        (kinds.FAR_OUT, FUEL, _say(273.15 + 130.0), 2),
        (kinds.FAR_OUT, LEVEL, _say(7.0), 5),
        (kinds.JUST_OUT, VAPOUR, _say(-0.003), 5),
        (kinds.LEAP, FUEL, _add(lambda _: 45.0), 1),
        (kinds.FAST, AIR, _add(lambda _: 8.0), 1),
        (kinds.EMPTY, LEVEL, _say(0.0), 6),
        (kinds.NOT_A_SWITCH, VENT, _say(1.0), 3),
        (kinds.NOT_A_NUMBER, VAPOUR, _say(True), 3),
        (kinds.NOT_FINITE, VAPOUR, _say(math.nan), 3),
        (kinds.FUTURE, AIR, _shift(60.0), 1),
        (kinds.TWICE, MOTOR, _again(0.0), 3),
        (kinds.LATE, HUMIDITY, _again(-12.0), 3),
        (probe_kinds.LOOP_DEAD, LEVEL, _loop(1e-3), 4),
        (probe_kinds.LOOP_SHORTED, LEVEL, _loop(22e-3), 4),
        (probe_kinds.LOOP_BEYOND, LEVEL, _loop(20.8e-3), 4),
    ]
    for hours in (0.1, 8.2, 13.2, 18.2):
        places = dice.sample(places, len(places))
        for number, (fault, name, change, count) in enumerate(places):
            begins = _slot(dice, hours + number / 6 if hours > 1 else hours + number / 30)
            if hours < 1:
                begins = hours * HOUR + 120.0 * number + 60.0
            after = table.MINUTE + EVERY if fault.quality is Quality.DOUBTFUL else 0.0
            yield Episode(fault, name, begins, begins + count * EVERY, change, 0.0, after)


def _in_time(dice: Random) -> Iterator[Episode]:
    """Faults that take more than a reading to tell."""
    begins = _slot(dice, 12.0)
    yield Episode(kinds.ABSENT, HUMIDITY, begins, begins + 100.0, _silent, 0.0)
    begins = _slot(dice, 12.3)
    yield Episode(
        kinds.CREEPING,
        FUEL,
        begins,
        begins + 40.0,
        _add(lambda t: 0.4 * t),
        table.MINUTE,
        table.MINUTE + EVERY,
    )
    begins = _slot(dice, 12.6)
    yield Episode(kinds.RUNAWAY, AIR, begins, begins + 150.0, _run_away, table.MINUTE)
    begins = _slot(dice, 17.4)
    # where it went to is believed in the end, and so is the way back
    yield Episode(
        kinds.MOVED,
        MOTOR,
        begins,
        begins + 60.0,
        _move,
        table.CONFIRMED_BY * EVERY,
        table.MINUTE + EVERY,
    )


def _say(value: float | bool | None, quality: Quality = Quality.GOOD, reason: str = "") -> Change:
    return lambda reading, _: [replace(reading, value=value, quality=quality, reason=reason)]


def _add(more: Callable[[float], float]) -> Change:
    return lambda reading, since: [replace(reading, value=float(reading.value or 0.0) + more(since))]


def _shift(seconds: float) -> Change:
    return lambda reading, _: [replace(reading, time=reading.time + seconds)]


def _again(seconds: float) -> Change:
    return lambda reading, _: [reading, replace(reading, time=reading.time + seconds)]


def _loop(current: float) -> Change:
    quality, reason = loop_verdict(current)
    return _say(0.31, quality, reason)


def _hold() -> Change:
    held: list[Reading] = []

    def change(reading: Reading, _: float) -> list[Reading]:
        held.append(reading)
        return [replace(reading, value=held[0].value)]

    return change


def _move(reading: Reading, since: float) -> list[Reading]:
    """Somebody lays the probe on something hot; it is read once a second."""
    moved = _add(lambda _: 80.0)(reading, since)[0]
    return [replace(moved, time=reading.time - EVERY + second) for second in range(1, int(EVERY) + 1)]


def _silent(_reading: Reading, _since: float) -> list[Reading]:
    return []


def _run_away(reading: Reading, since: float) -> list[Reading]:
    """Its supply fails: it climbs, and then says nothing more."""
    if since > 75.0:
        return _say(None)(reading, since)
    return _add(lambda t: 0.8 * t)(reading, since)
