"""What each kind of sensor can read and how fast each quantity can change: the thresholds of `judge`.

SI units. Ranges come from the data sheet that is named beside them. How fast a quantity can change is
judgement about tanks (common practice, no source), except where a source is named.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from drydown.config import model
from drydown.quantities import MEASURED, ZERO_CELSIUS


@dataclass(frozen=True, slots=True)
class Range:
    """What a sensor can read. Beyond it a reading is doubtful by up to `slack`, further out bad."""

    low: float
    high: float
    slack: float = 0.0


def _celsius(low: float, high: float) -> Range:
    return Range(low + ZERO_CELSIUS, high + ZERO_CELSIUS)


HUMIDITY = Range(
    0.0, 1.0, slack=0.05
)  # 5 %RH: the worst of the accuracies in the data sheets below, rounded up


@dataclass(frozen=True, slots=True)
class Sensor:
    """A kind of sensor: its ranges by SenML unit, and the value (K) that it holds when just powered."""

    title: str
    ranges: Mapping[str, Range]
    power_on: float | None = None
    source: str = ""
    error: float = 1.0  # K by which its temperature may be wrong at 0 to 50 °C, by the data sheet


DS18B20 = Sensor(
    "DS18B20",
    {"Cel": _celsius(-55, 125)},
    power_on=85.0 + ZERO_CELSIUS,
    source="DS18B20 data sheet (Maxim/Analog Devices): −55 to +125 °C, ±0.5 K; 85 °C at power-up",
    error=0.5,
)
UNKNOWN = Sensor(
    "sensor",
    {
        "Cel": DS18B20.ranges["Cel"],
        "%RH": HUMIDITY,
        "m": Range(0.0, 6.0, slack=0.05),
        "m3/s": Range(0.0, 100.0),
        "A": Range(0.0, 100.0, slack=0.5),
        "/": Range(0.0, 1.0, slack=0.005),
    },
    power_on=DS18B20.power_on,
    source="the widest of the sensors here; level and flow by what the configuration allows, "
    "and the current by what a blower may take",
)
SENSORS: Mapping[str, Sensor] = MappingProxyType(
    {
        "bme280": Sensor(
            "BME280",
            {"Cel": _celsius(-40, 85), "%RH": HUMIDITY},
            source="BME280 data sheet (Bosch BST-BME280-DS001): −40 to +85 °C, ±1.0 K; 0 to 100 %RH, ±3 %RH",
            error=1.0,
        ),
        "sht3x": Sensor(
            "SHT3x",
            {"Cel": _celsius(-40, 125), "%RH": HUMIDITY},
            source="SHT3x-DIS data sheet (Sensirion): −40 to +125 °C, ±0.3 K; 0 to 100 %RH, ±2 to ±4 %RH",
            error=0.3,
        ),
        "sht4x": Sensor(
            "SHT4x",
            {"Cel": _celsius(-40, 125), "%RH": HUMIDITY},
            source="SHT4x data sheet (Sensirion): −40 to +125 °C, ±0.2 K; 0 to 100 %RH, ±1.8 to ±3.5 %RH",
            error=0.2,
        ),
    }
)
"""Sensors that the kernel names by their driver, by that name."""


@dataclass(frozen=True, slots=True)
class Change:
    """The most a value may change within `dt` seconds: step + rate · dt."""

    step: float
    rate: float

    def within(self, dt: float) -> float:
        """The most it may change in `dt` s."""
        return self.step + self.rate * dt


@dataclass(frozen=True, slots=True)
class Habit:
    """How a quantity behaves in a tank.

    A change beyond `usual` is doubtful: alarms heed it. Beyond `possible` it is bad until it has been
    confirmed. More than `in_a_minute` within MINUTE is bad, whatever the steps. `still` is for how long (s)
    it may show the same digits while it ought to move: always, or only while the blower runs. None: for ever.
    A probe whose digits are as fine as `fine` flickers, so that it may be called stuck sooner, by what it is
    used to. At `stop` it may stay for ever.
    """

    usual: Change | None = None
    possible: Change | None = None
    in_a_minute: float | None = None
    still: float | None = None
    fine: float = 0.0
    moves_only_while_blowing: bool = False
    stop: float | None = None


HABITS: Mapping[str, Habit] = MappingProxyType(
    {
        # Bubbles undo layers of some kelvin within a minute. Fuel 50 K hotter that is poured in shows in the
        # quickest thermowell (it lags by 10 s) with at most 5 K/s. Fuel that bubbles cools or warms by more
        # than a digit (0.0625 K) in half an hour. From frost to as hot as it may be is 60 K.
        "fuel/temperature": Habit(
            Change(2.0, 0.1), Change(5.0, 5.0), 60.0, 1800.0, fine=0.07, moves_only_while_blowing=True
        ),
        # The bubbles' hold-up lifts or drops the level by up to a quarter at once; a bucket adds 7 cm. No
        # hose fills or empties a tank by more than 2 cm/s for long.
        "fuel/level": Habit(
            Change(0.35, 0.02), Change(0.7, 0.2), 1.55, 7200.0, fine=0.002, moves_only_while_blowing=True
        ),
        "blower/discharge_temperature": Habit(
            Change(5.0, 0.5), Change(10.0, 10.0), 100.0, 1800.0, fine=0.07, moves_only_while_blowing=True
        ),
        "blower/motor_temperature": Habit(
            Change(5.0, 0.5), Change(10.0, 10.0), 100.0, 3600.0, fine=0.07, moves_only_while_blowing=True
        ),
        # Of a motor that starts, stops or jams nothing is too fast, and one that rests shows nought for days.
        "blower/current": Habit(),
        # A door opens on a frosty yard. A quiet night may keep a tenth of a kelvin for hours.
        "air/temperature": Habit(Change(3.0, 0.3), Change(10.0, 5.0), 40.0, 14400.0, fine=0.03),
        # Saturated air shows 100 % all night.
        "air/humidity": Habit(Change(0.15, 0.02), Change(0.5, 0.2), None, 14400.0, fine=0.003, stop=1.0),
        # A gas sensor answers a leak at once, and clean air may read nought all day: nothing is too fast.
        "vapour/methanol": Habit(),
        "vent/flow": Habit(),
    }
)
"""By the name of the quantity; switches have none."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two temperatures that must come together at rest.

    `settles` is how long (s) the blower must have rested before they are compared, `window` over how long
    (s) the mean is taken, `slowness` the longest time constant (s) with which `slow` follows `other`. Where
    `slow` stays warmer than `other` by `kept_warm` (K) on average, something heats it, and nothing is said.
    """

    slow: str
    other: str
    settles: float
    window: float
    slowness: float
    kept_warm: float = float("inf")


FUEL, DISCHARGE, MOTOR, AIR = (
    "fuel/temperature",
    "blower/discharge_temperature",
    "blower/motor_temperature",
    "air/temperature",
)
PAIRS = (
    # 80 to 400 L of fuel hold 0.15 to 0.75 MJ/K and lose 2 to 15 W/K: time constants from 3 to 60 h.
    Pair(FUEL, AIR, 3600.0, 86400.0, 216000.0, kept_warm=6.0),
    # Blowers cool within 10 to 40 min, their motors within two or three hours.
    Pair(DISCHARGE, AIR, 10800.0, 21600.0, 3600.0),
    Pair(MOTOR, AIR, 21600.0, 21600.0, 10800.0),
    Pair(MOTOR, DISCHARGE, 21600.0, 21600.0, 10800.0),
)
"""Two probes of one place are rare; these four places become one at rest. (Common practice, no source.)"""

PLACE = 0.6  # K that air may differ between two places in one room at rest, over hours
SAMPLED = 60.0  # s between two looks at the pairs
SPELLS = 24  # parts of a window that are kept
FILLED = 0.03  # m by which the level differs from what it was when fuel has come or gone: ten times its noise
COLD_AFTER = 600.0  # s that the blower's air has to read colder than the room's
WARM_AFTER = 600.0  # s that the blower has to run before its air is compared

MINUTE = 60.0  # s over which rates are looked at
PAST_KEPT = 12  # values of that minute that are kept

EMPTY = 0.01  # m of level; less is an empty tank, or a level probe that says nothing true
STUCK_AFTER = 600.0  # s of the same digits, at the earliest
STUCK_FACTOR = 20.0  # times as long as it usually takes this probe to change a digit
LIVELY_AFTER = 10  # changes of a digit, after which it is known how long they usually take
OTHERS_MOVED = 5  # changes of other probes meanwhile: else the whole board stands still
CONFIRMED_BY = 3  # readings in a row that agree make an impossible change believable
NEAR_POWER_ON = 2.0  # K; a probe that was this near to 85 °C may well have reached it
EARLY = 1.0  # s that a reading may be stamped ahead of the core's clock
SILENCE = 30.0  # s, or 3.5 times its usual interval, or the board's max_age, without a reading: absent


def sensor_of(config: model.Probe | None) -> Sensor:
    """The kind of sensor behind a probe of the configuration; None stands for a reading out of a file."""
    match config:
        case model.OneWireProbe():
            return DS18B20
        case model.IioProbe():
            return SENSORS.get(config.iio, UNKNOWN)
        case model.HwmonProbe():
            return SENSORS.get(config.hwmon, UNKNOWN)
        case _:
            return UNKNOWN


def patience_with(config: model.Probe | None) -> float:
    """After how many s without a word a probe counts as absent, whatever its usual interval is."""
    return max(SILENCE, config.max_age) if isinstance(config, model.BoardProbe) else SILENCE


def range_of(name: str, sensor: Sensor) -> Range | None:
    """What a sensor can read of a quantity; None for switches."""
    unit = MEASURED[name].unit
    return None if unit is None else sensor.ranges.get(unit, UNKNOWN.ranges[unit])
