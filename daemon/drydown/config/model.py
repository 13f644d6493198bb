"""The configuration of a site and its tanks, as checked data. The file says Celsius; inside, all is SI."""

from itertools import pairwise
from math import inf, pi
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from drydown.config.kinds import (
    CelsiusLimit,
    FileName,
    Finite,
    Language,
    Metres,
    Micrometres,
    Name,
    Positive,
    Table,
)
from drydown.config.services import Broker, Buzzer, Electricity, Forward, Notices, Serve, Store
from drydown.quantities import MEASURED
from drydown.texts.language import ENGLISH

SMALLEST, LARGEST = 0.005, 5.0  # m³ that a tank holds when full: nobody dries less, or more, this way


class Fuel(Table):
    """What the fuel is made of, and what counts as dry (mass fractions)."""

    feedstock: Literal["used-cooking-oil", "soy", "rapeseed", "palm", "tallow", "other"]
    methanol_limit: Annotated[float, Field(gt=0, le=0.05, description="mass fraction")] = 0.0020
    water_limit: Annotated[float, Field(gt=0, le=0.01, description="mass fraction")] = 0.000500
    settled_drop: Micrometres = 15  # in the fuel that has rested, none as large are left above the standpipe


class Blower(Table):
    """The blower as its maker describes it; the estimator learns what it really gives."""

    rated_flow: Annotated[float, Field(gt=0, le=0.5, description="m³/s through the fuel")]
    longest_run: Annotated[float, Field(ge=60, le=172800, description="s, one stretch")] = 14400
    power: Annotated[float, Field(gt=0, le=20000, description="W of electricity while it runs")] | None = None


class Room(Table):
    """The air that the vapour goes into."""

    volume: Annotated[float, Field(ge=1, le=100000, description="m³")]
    fresh_air: Annotated[float, Field(ge=0, le=100, description="m³/s with the vent open")]
    mixing_factor: Annotated[float, Field(ge=1, le=10)] = 3  # ACGIH Industrial Ventilation: 3 to 10


class Limits(Table):
    """Temperatures above which something is wrong."""

    fuel_temperature: CelsiusLimit = 60
    discharge_temperature: CelsiusLimit = 80
    motor_temperature: CelsiusLimit = 90


class OneWireProbe(Table):
    """A DS18B20 on the kernel's 1-Wire bus."""

    w1: Annotated[
        str,
        StringConstraints(pattern=r"^28-[0-9a-f]{12}$"),
        Field(description="28- and the twelve digits, 0–9 and a–f, of the probe's own number"),
    ]


class PinProbe(Table):
    """A switch on a pin. `active` tells which level means yes: running, open."""

    gpio: Annotated[int, Field(ge=0, le=1023)]
    active: Literal["high", "low"] = "low"
    bounce: Annotated[float, Field(ge=0, le=5, description="s")] = 0.05


Calibration = Annotated[
    tuple[tuple[Finite, Finite], ...],
    Field(min_length=2, max_length=50, description="two or more pairs of what is read and what is true"),
]
"""In the place of gain and zero: in °C, %, else SI units. See `probes.calibration`."""


class IioProbe(Table):
    """A channel of the kernel's Industrial I/O: (raw + offset) × scale, then `gain` × it + `zero` in SI."""

    iio: str  # the device's `name` file, or its folder such as iio:device0
    channel: str  # "in_temp", "in_humidityrelative", "in_voltage0"
    gain: float = 1.0
    zero: float = 0.0
    shunt: Positive | None = None  # Ω that a 4–20 mA loop flows through; then NE 43's bounds are watched
    calibration: Calibration | None = None


class HwmonProbe(Table):
    """A channel of the kernel's hardware monitoring, e.g. an SHT3x: `temp1`, `humidity1`."""

    hwmon: str  # the device's `name` file, or its folder such as hwmon2
    channel: str
    gain: float = 1.0
    zero: float = 0.0
    calibration: Calibration | None = None


class BoardProbe(Table):
    """A reading that another board sends by MQTT, under drydown/SITE/TANK/probe/NAME."""

    mqtt: Annotated[
        str,
        StringConstraints(pattern=r"^[A-Za-z0-9_.:-]{1,64}$"),
        Field(description='1 to 64 letters, digits, "_", ".", ":" and "-"'),
    ]
    max_age: Annotated[float, Field(ge=1, le=3600, description="s")] = 30  # without a word: then absent


class RecordedProbe(Table):
    """The same quantity out of a recorded run, played in real time."""

    recorded: FileName


class SimulatedProbe(Table):
    """The simulated tank of the demo."""

    simulated: Literal[True]


Probe = OneWireProbe | PinProbe | IioProbe | HwmonProbe | BoardProbe | RecordedProbe | SimulatedProbe


def _check_rising(table: tuple[tuple[float, float], ...]) -> None:
    """Raises ValueError, with the point that is wrong, where a strapping table does not rise from 0 up."""
    rule = "a table needs two or more [level m, volume m³] points from 0 up, each above the one before"
    if len(table) < 2:
        raise ValueError(f"table has {len(table)} point{'s' * (len(table) != 1)}; {rule}")
    for number, (before, point) in enumerate(pairwise([(-inf, -inf), *table]), 1):
        if not all(low < high and 0.0 <= high < inf for low, high in zip(before, point, strict=True)):
            raise ValueError(f"table's point {number} is [{point[0]:g}, {point[1]:g}]; {rule}")


MEASURES = ("diameter", "height", "cone_height", "length", "table")


class Relay(Table):
    """A contact in the blower's control circuit that can stop the blower and never start it."""

    gpio: Annotated[int, Field(ge=0, le=1023)]
    cuts_on: tuple[Literal["blower-hot", "fuel-hot", "vent-closed"], ...]

    @model_validator(mode="after")
    def _cuts_on_something(self) -> "Relay":
        if not self.cuts_on:
            raise ValueError("cuts_on names no alarm; allowed are one or more, or no [tank.relay] at all")
        return self


class Tank(Table):
    """One finishing tank with all that belongs to it."""

    name: Name
    shape: Literal["vertical-cylinder", "cone-bottom", "horizontal-cylinder", "table"]
    diameter: Metres | None = None
    height: Metres | None = None  # of a cone-bottom tank without its cone
    cone_height: Metres | None = None
    length: Metres | None = None
    table: tuple[tuple[float, float], ...] | None = None  # (level m, volume m³), rising
    standpipe: Annotated[float, Field(ge=0, le=5, description="m above the lowest point")]
    material: Literal["steel", "polyethylene"] = "steel"
    fuel: Fuel
    blower: Blower
    room: Room
    limits: Limits = Limits()
    probes: dict[str, Probe] = Field(default_factory=dict)
    relay: Relay | None = None

    @model_validator(mode="after")
    def _shape_is_whole(self) -> "Tank":
        needed = {
            "vertical-cylinder": ("diameter", "height"),
            "cone-bottom": ("diameter", "height", "cone_height"),
            "horizontal-cylinder": ("diameter", "length"),
            "table": ("table",),
        }[self.shape]
        missing = [key for key in needed if getattr(self, key) is None]
        if missing:
            raise ValueError(f"shape {self.shape!r} needs {' and '.join(missing)}")
        if self.table is not None:
            _check_rising(self.table)
        return self

    @model_validator(mode="after")
    def _size_is_sensible(self) -> "Tank":
        if not SMALLEST <= self.full_volume <= LARGEST:
            given = " and ".join(key for key in MEASURES if getattr(self, key) is not None)
            raise ValueError(
                f"{given} make a tank of {self.full_volume * 1000:.4g} L; allowed is"
                f" {SMALLEST * 1000:g} to {LARGEST * 1000:g} L (lengths are in m, volumes in m³)"
            )
        return self

    @property
    def full_volume(self) -> float:
        """What it holds when full, m³; with flat ends where it lies."""
        if self.table:
            return self.table[-1][1]
        area = pi / 4 * (self.diameter or 0.0) ** 2
        if self.shape == "horizontal-cylinder":
            return area * (self.length or 0.0)
        cone = self.cone_height if self.shape == "cone-bottom" else 0.0
        return area * ((self.height or 0.0) + (cone or 0.0) / 3)

    @model_validator(mode="after")
    def _standpipe_is_inside(self) -> "Tank":
        if self.standpipe >= self._depth:
            raise ValueError(
                f"standpipe is {self.standpipe:g} m above the lowest point; allowed is less than the"
                f" {self._depth:g} m that the tank is high inside"
            )
        return self

    @property
    def _depth(self) -> float:
        """Of the whole tank inside, m."""
        if self.table:
            return self.table[-1][0]
        if self.shape == "horizontal-cylinder":
            return self.diameter or 0.0
        cone = self.cone_height if self.shape == "cone-bottom" else 0.0
        return (self.height or 0.0) + (cone or 0.0)

    @model_validator(mode="after")
    def _probes_are_known(self) -> "Tank":
        unknown = [name for name in self.probes if name not in MEASURED]
        if unknown:
            raise ValueError(f"probes {', '.join(map(repr, unknown))}: allowed are {', '.join(MEASURED)}")
        return self

    @model_validator(mode="after")
    def _calibrated_once(self) -> "Tank":
        for name, probe in self.probes.items():
            if not isinstance(probe, IioProbe | HwmonProbe) or probe.calibration is None:
                continue
            if probe.model_fields_set & {"gain", "zero"}:
                raise ValueError(
                    f'probes "{name}": calibration says what gain and zero would; keep one or the other'
                )
        return self


class Site(Table):
    """Everything drydown knows about one place."""

    site: Name
    folder: FileName = Path("/var/lib/drydown")
    tank: tuple[Tank, ...] = Field(min_length=1)
    broker: Broker = Broker()
    store: Store = Store()
    forward: Forward | None = None
    notices: Notices = Notices()
    buzzer: Buzzer | None = None
    serve: Serve = Serve()
    electricity: Electricity | None = None
    language: Language = ENGLISH

    @model_validator(mode="after")
    def _names_differ(self) -> "Site":
        names = [tank.name for tank in self.tank]
        if len(set(names)) < len(names):
            raise ValueError("two tanks have the same name; each needs its own")
        return self

    @property
    def store_path(self) -> Path:
        """The SQLite file of the store."""
        return self.store.path or self.folder / "drydown.sqlite3"

    @property
    def tokens_path(self) -> Path:
        """Who may see the pages from elsewhere."""
        return self.folder / "tokens.json"

    @property
    def socket_path(self) -> Path:
        """The watcher's Unix socket."""
        return self.folder / "watch.sock"
