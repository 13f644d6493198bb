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


DS18B20 = Sensor(
    "DS18B20",
    {"Cel": _celsius(-55, 125)},
    power_on=85.0 + ZERO_CELSIUS,
    source="DS18B20 data sheet (Maxim/Analog Devices): range −55 to +125 °C; 85 °C at power-up",
)
UNKNOWN = Sensor(
    "sensor",
    {
        "Cel": DS18B20.ranges["Cel"],
        "%RH": HUMIDITY,
        "m": Range(0.0, 6.0, slack=0.05),
        "m3/s": Range(0.0, 100.0),
        "/": Range(0.0, 1.0, slack=0.005),
    },
    power_on=DS18B20.power_on,
    source="the widest of the sensors here; level and flow by what the configuration allows",
)
SENSORS: Mapping[str, Sensor] = MappingProxyType(
    {
        "bme280": Sensor(
            "BME280",
            {"Cel": _celsius(-40, 85), "%RH": HUMIDITY},
            source="BME280 data sheet (Bosch BST-BME280-DS001): −40 to +85 °C, 0 to 100 %RH, ±3 %RH",
        ),
        "sht3x": Sensor(
            "SHT3x",
            {"Cel": _celsius(-40, 125), "%RH": HUMIDITY},
            source="SHT3x-DIS data sheet (Sensirion): −40 to +125 °C, 0 to 100 %RH, ±2 to ±4 %RH",
        ),
        "sht4x": Sensor(
            "SHT4x",
            {"Cel": _celsius(-40, 125), "%RH": HUMIDITY},
            source="SHT4x data sheet (Sensirion): −40 to +125 °C, 0 to 100 %RH, ±1.8 to ±3.5 %RH",
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
    confirmed. `still` is for how long (s) it may show the same digits while it ought to move: always, or only
    while the blower runs. None: for ever. A probe whose digits are as fine as `fine` flickers, so that it may
    be called stuck sooner, by what it is used to. At `stop` it may stay for ever.
    """

    usual: Change | None = None
    possible: Change | None = None
    still: float | None = None
    fine: float = 0.0
    moves_only_while_blowing: bool = False
    stop: float | None = None


HABITS: Mapping[str, Habit] = MappingProxyType(
    {
        # Bubbles undo layers of some kelvin within a minute. Fuel 50 K hotter that is poured in shows in the
        # quickest thermowell (it lags by 10 s) with at most 5 K/s. Fuel that bubbles cools or warms by more
        # than a digit (0.0625 K) in half an hour.
        "fuel/temperature": Habit(
            Change(2.0, 0.1), Change(5.0, 5.0), 1800.0, fine=0.07, moves_only_while_blowing=True
        ),
        # The bubbles' hold-up lifts or drops the level by up to a quarter at once; a bucket adds 7 cm.
        "fuel/level": Habit(
            Change(0.35, 0.02), Change(0.7, 0.2), 7200.0, fine=0.002, moves_only_while_blowing=True
        ),
        "blower/discharge_temperature": Habit(
            Change(5.0, 0.5), Change(10.0, 10.0), 1800.0, fine=0.07, moves_only_while_blowing=True
        ),
        "blower/motor_temperature": Habit(
            Change(5.0, 0.5), Change(10.0, 10.0), 3600.0, fine=0.07, moves_only_while_blowing=True
        ),
        # A door opens on a frosty yard. A quiet night may keep a tenth of a kelvin for hours.
        "air/temperature": Habit(Change(3.0, 0.3), Change(10.0, 5.0), 14400.0, fine=0.03),
        # Saturated air shows 100 % all night.
        "air/humidity": Habit(Change(0.15, 0.02), Change(0.5, 0.2), 14400.0, fine=0.003, stop=1.0),
        # A gas sensor answers a leak at once, and clean air may read nought all day: nothing is too fast.
        "vapour/methanol": Habit(),
        "vent/flow": Habit(),
    }
)
"""By the name of the quantity; switches have none."""

EMPTY = 0.01  # m of level; less is an empty tank, or a level probe that says nothing true
STUCK_AFTER = 600.0  # s of the same digits, at the earliest
STUCK_FACTOR = 20.0  # times as long as it usually takes this probe to change a digit
LIVELY_AFTER = 10  # changes of a digit, after which it is known how long they usually take
OTHERS_MOVED = 5  # changes of other probes meanwhile: else the whole board stands still
CONFIRMED_BY = 3  # readings in a row that agree make an impossible change believable
NEAR_POWER_ON = 2.0  # K; a probe that was this near to 85 °C may well have reached it
EARLY = 1.0  # s that a reading may be stamped ahead of the core's clock
SILENCE = 30.0  # s, or 3.5 times its usual interval, without a reading: absent


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


def range_of(name: str, sensor: Sensor) -> Range | None:
    """What a sensor can read of a quantity; None for switches."""
    unit = MEASURED[name].unit
    return None if unit is None else sensor.ranges.get(unit, UNKNOWN.ranges[unit])
