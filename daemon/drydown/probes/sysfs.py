"""Channels of the kernel's Industrial I/O and hardware monitoring, read from their sysfs files into SI units.

Sources: the kernel's Documentation/ABI/testing/sysfs-bus-iio and Documentation/hwmon/sysfs-interface, which
name the files and the unit of each kind of channel.
"""

import errno
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from drydown.condition.kinds import Fault, Verdict
from drydown.probes import kinds
from drydown.probes.probe import no_value
from drydown.quantities import MEASURED, ZERO_CELSIUS
from drydown.reading import Quality, Reading


class ChannelError(Exception):
    """A device or channel cannot be read; the text says why and what to do."""

    @classmethod
    def of(cls, fault: Fault, **values: object) -> "ChannelError":
        """With the words of a kind of fault."""
        return cls(fault.found(**values)[1])


@dataclass(frozen=True, slots=True)
class Family:
    """One of the kernel's two ways to show sensors: where, and what unit each kind of channel has.

    `units` gives the factor and offset that bring a channel to SI, by the letters its name begins with.
    """

    title: str
    folder: str  # in /sys
    pattern: str  # of a device's folder in it
    prefix: str  # of every channel's name
    units: Mapping[str, tuple[float, float]]
    current: str  # the kind of channel that is a current


IIO = Family(
    title="IIO",
    folder="bus/iio/devices",
    pattern="iio:device*",
    prefix="in_",
    units={
        "temp": (1e-3, ZERO_CELSIUS),  # m°C → K
        "humidityrelative": (1e-5, 0.0),  # m%RH → fraction of one
        "pressure": (1e3, 0.0),  # kPa → Pa
        "voltage": (1e-3, 0.0),  # mV → V
        "current": (1e-3, 0.0),  # mA → A
        "resistance": (1.0, 0.0),  # Ω
        "distance": (1.0, 0.0),  # m
        "concentration": (1e-2, 0.0),  # % → fraction of one
    },
    current="current",
)
HWMON = Family(
    title="hwmon",
    folder="class/hwmon",
    pattern="hwmon*",
    prefix="",
    units={
        "temp": (1e-3, ZERO_CELSIUS),  # m°C → K
        "humidity": (1e-5, 0.0),  # m%RH → fraction of one
        "in": (1e-3, 0.0),  # mV → V
        "curr": (1e-3, 0.0),  # mA → A
    },
    current="curr",
)


@dataclass(frozen=True, slots=True)
class Scaling:
    """What the user's own calibration makes of a channel: value = gain × SI value + zero.

    With a `shunt` (Ω) the channel is the voltage across a resistor in a 4–20 mA loop, and a current outside
    the bounds of NAMUR NE 43 speaks against the reading, as it does where the channel itself is a current,
    unless a current is what is measured.
    """

    gain: float = 1.0
    zero: float = 0.0
    shunt: float | None = None


class ChannelProbe:
    """A channel of a device, such as `in_temp` of a `bme280` or `humidity1` of an `sht3x`."""

    def __init__(
        self, name: str, sysfs: Path, family: Family, device: str, channel: str, scaling: Scaling
    ) -> None:
        """`sysfs` is /sys; `device` a device's folder, such as iio:device0, or what its `name` file says."""
        self._name = name
        self._devices = sysfs / family.folder
        self._family = family
        self._device = device
        self._channel = channel
        self._scaling = scaling

    @property
    def name(self) -> str:
        return self._name

    def describe(self) -> str:
        return f"{self._family.title} channel {self._channel} of {self._device}"

    def read(self, now: float) -> Reading:
        try:
            kind, factor, offset = kind_of(self._family, self._channel)
            value = _channel_value(self._folder(), self._channel) * factor + offset
        except ChannelError as error:
            return no_value(self._name, now, str(error))
        scaled = self._scaling.gain * value + self._scaling.zero
        if not math.isfinite(scaled):
            return no_value(self._name, now, kinds.UNCALIBRATED.found(probe=self.describe())[1])
        return Reading(self._name, now, scaled, *self._loop_verdict(kind, value))

    def _loop_verdict(self, kind: str, value: float) -> Verdict:
        if self._scaling.shunt is not None:
            return loop_verdict(value / self._scaling.shunt)
        is_loop = kind == self._family.current and MEASURED[self._name].unit != "A"
        return loop_verdict(value) if is_loop else (Quality.GOOD, "")

    def _folder(self) -> Path:
        family, device = self._family, self._device
        if re.fullmatch(r"[A-Za-z0-9:_-]+", device) and (self._devices / device).is_dir():
            return self._devices / device
        folders = sorted(self._devices.glob(family.pattern))
        names = {folder: _text(folder / "name") for folder in folders}
        matches = [folder for folder, name in names.items() if name == device]
        if len(matches) > 1:
            choice = " or ".join(folder.name for folder in matches)
            raise ChannelError.of(
                kinds.TWO_DEVICES, count=len(matches), family=family.title, device=device, choice=choice
            )
        if not matches:
            present = ", ".join(name for name in names.values() if name) or "none"
            raise ChannelError.of(kinds.NO_DEVICE, family=family.title, device=device, present=present)
        return matches[0]


def kind_of(family: Family, channel: str) -> tuple[str, float, float]:
    """What a channel measures, and the factor and offset that bring it to SI. Raises ChannelError."""
    found = re.fullmatch(rf"{family.prefix}([a-z]+)[a-z0-9-]*", channel)
    if found is None or found[1] not in family.units:
        kinds_read = ", ".join(f"{family.prefix}{kind}" for kind in family.units)
        raise ChannelError.of(kinds.NO_KIND, family=family.title, channel=repr(channel), kinds=kinds_read)
    return (found[1], *family.units[found[1]])


def loop_verdict(current: float) -> Verdict:
    """What a current (A) in a 4–20 mA loop says about its transmitter (NAMUR NE 43)."""
    if kinds.LOOP_LEAST <= current <= kinds.LOOP_MOST:
        return Quality.GOOD, ""
    fault = (
        kinds.LOOP_DEAD
        if current <= kinds.LOOP_LOW
        else kinds.LOOP_SHORTED
        if current >= kinds.LOOP_HIGH
        else kinds.LOOP_BEYOND
    )
    return fault.found(milliamperes=current * 1000)


def _channel_value(folder: Path, channel: str) -> float:
    """In the unit of the kernel's ABI: as the driver worked it out, or (raw + offset) × scale."""
    if _optional(folder / f"{channel}_fault"):
        raise ChannelError.of(kinds.CHANNEL_FAULT, channel=channel, device=folder.name)
    worked_out = _optional(folder / f"{channel}_input")
    if worked_out is not None:
        return worked_out
    raw = _optional(folder / f"{channel}_raw")
    if raw is None:
        raise ChannelError.of(
            kinds.NO_CHANNEL, device=folder.name, channel=channel, present=_channels(folder)
        )
    offset = _shared(folder, channel, "offset")
    scale = _shared(folder, channel, "scale")
    return (raw + (offset or 0.0)) * (1.0 if scale is None else scale)


def _shared(folder: Path, channel: str, attribute: str) -> float | None:
    """A channel's own attribute (in_voltage0_scale), or what all of its kind share (in_voltage_scale)."""
    own = _optional(folder / f"{channel}_{attribute}")
    return own if own is not None else _optional(folder / f"{re.sub('[0-9]', '', channel)}_{attribute}")


def _channels(folder: Path) -> str:
    present = {path.name.rpartition("_")[0] for end in ("input", "raw") for path in folder.glob(f"*_{end}")}
    return ", ".join(sorted(present)) or "none"


def _optional(path: Path) -> float | None:
    """The number in a sysfs file; None where there is no such file."""
    try:
        text = path.read_text("ascii")
        return float(text)
    except FileNotFoundError:
        return None
    except OSError as error:
        if error.errno == errno.EBUSY:
            raise ChannelError.of(kinds.BUSY, file=path.name, device=path.parent.name) from error
        why = error.strerror or type(error).__name__
        raise ChannelError.of(kinds.UNREADABLE, file=path.name, error=why) from error
    except ValueError as error:
        raise ChannelError.of(kinds.NO_NUMBER, file=path.name) from error


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8").strip()
    except (OSError, UnicodeDecodeError):
        return ""
