"""DS18B20 temperature probes on the kernel's 1-Wire bus, through `w1thermsensor`.

The library decodes what the kernel's `w1_slave` file says. Around it stand three things it does not do: it
tells a failed checksum, an empty answer and a vanished probe apart, lets all probes of a bus convert at once,
and knows a true 85.0 °C from the value that a probe holds when it has just been powered.
"""

import os
import threading
import time
from pathlib import Path

from drydown.probes.probe import no_value
from drydown.quantities import ZERO_CELSIUS
from drydown.reading import Reading

os.environ["W1THERMSENSOR_NO_KERNEL_MODULE"] = "1"  # importing must not run modprobe
from w1thermsensor import (  # type: ignore[import-untyped]
    ResetValueError,
    Sensor,
    W1ThermSensor,
    W1ThermSensorError,
)

POWER_ON_BYTE = "0c"  # byte 6 of the scratchpad before the first conversion (Linux w1_therm, `features`)
FRESH = 0.5  # s after a conversion has ended during which its result is still worth fetching
LONGEST_CONVERSION = 5.0  # s; 0.75 s at 12 bits (DS18B20 data sheet), and the kernel tries five times


class Bus:
    """One 1-Wire bus master. Probes that are read at about the same time share one conversion.

    `folder` is the master's folder, such as /sys/bus/w1/devices/w1_bus_master1. Writing `trigger` into its
    `therm_bulk_read` starts all conversions and returns when they have ended (Linux w1_therm); a probe read
    after that gives the result without converting again. Where the file is missing or may not be written,
    each probe converts when it is read.
    """

    def __init__(self, folder: Path) -> None:
        self._trigger = folder / "therm_bulk_read"
        self._changed = threading.Condition()
        self._probes: set[str] = set()
        self._unread: set[str] = set()
        self._converting = False
        self._converted = float("-inf")

    def join(self, probe: str) -> None:
        """Tell the bus of a probe that wants to share its conversions."""
        self._probes.add(probe)

    def convert(self, probe: str) -> None:
        """Return when the probe has a conversion of its own to fetch, or will do one when it is read."""
        if len(self._probes) < 2:
            return
        with self._changed:
            if not self._changed.wait_for(lambda: not self._converting, LONGEST_CONVERSION):
                return
            if probe in self._unread and time.monotonic() - self._converted < FRESH:
                self._unread.discard(probe)
                return
            self._converting = True
        done = self._start()
        with self._changed:
            self._converting = False
            if done:
                self._converted = time.monotonic()
                self._unread = self._probes - {probe}
            self._changed.notify_all()

    def _start(self) -> bool:
        try:
            with self._trigger.open("r+b", buffering=0) as trigger:
                trigger.write(b"trigger\n")
        except OSError:
            return False
        return True


class _KernelSensor(W1ThermSensor):  # type: ignore[misc]  # the library has no type hints
    """The library's sensor on any sysfs tree, with an error of its own for each way to fail."""

    def __init__(self, devices: Path, serial: str) -> None:
        self.BASE_DIRECTORY = devices
        self.lines: list[str] = []
        super().__init__(Sensor.DS18B20, serial)

    def get_raw_sensor_strings(self) -> list[str]:
        try:
            self.lines = self.sensorpath.read_text("ascii").splitlines()
        except UnicodeDecodeError as error:
            raise _NoAnswerError from error
        if len(self.lines) < 2:
            raise _NoAnswerError
        if not self.lines[0].rstrip().endswith("YES"):
            raise _ChecksumError
        if self.lines[0].startswith("00 00 00 00 00 00 00 00 00"):
            raise _ShortedError
        return self.lines

    def has_just_been_powered(self) -> bool:
        return self.lines[1].split()[6:7] == [POWER_ON_BYTE]


class _NoAnswerError(W1ThermSensorError):  # type: ignore[misc]
    """An empty file: the kernel got no answer with a right checksum in five attempts."""


class _ChecksumError(W1ThermSensorError):  # type: ignore[misc]
    """`NO` behind the checksum: the line below holds an older temperature."""


class _ShortedError(W1ThermSensorError):  # type: ignore[misc]
    """Nothing but zeros, whose checksum is right: the data line lies on ground."""


class OneWireProbe:
    """A DS18B20 by its serial number, such as 28-0000071c2a3b."""

    def __init__(self, name: str, serial: str, devices: Path, bus: Bus) -> None:
        """`devices` is the folder of all 1-Wire devices, /sys/bus/w1/devices."""
        self._name = name
        self._serial = serial
        self._devices = devices
        self._bus = bus
        self._bus.join(serial)

    @property
    def name(self) -> str:
        return self._name

    def describe(self) -> str:
        return f"DS18B20 {self._serial}"

    def read(self, now: float) -> Reading:
        if not (self._devices / self._serial).exists():
            return no_value(self._name, now, self._why_gone())
        self._bus.convert(self._serial)
        try:
            sensor = _KernelSensor(self._devices, self._serial.removeprefix("28-"))
            celsius = self._temperature(sensor)
        except _NoAnswerError:
            reason = f"{self._serial} gave no answer: check its plug, its cable and the pull-up resistor"
            return no_value(self._name, now, reason)
        except _ChecksumError:
            reason = (
                f"{self._serial} failed its checksum (CRC), so that its temperature cannot be believed: "
                "check its plug, or use a shorter or shielded cable"
            )
            return no_value(self._name, now, reason)
        except _ShortedError:
            reason = f"{self._serial} reads nothing but zeros: the 1-Wire data line is shorted to ground"
            return no_value(self._name, now, reason)
        except ResetValueError:
            reason = (
                f"{self._serial} gives 85.0 °C, the value it holds when it has just been powered: "
                "check its supply and its plug"
            )
            return no_value(self._name, now, reason)
        except (W1ThermSensorError, OSError):
            return no_value(self._name, now, self._why_gone())
        except (ValueError, IndexError):
            reason = f"{self._serial} gave an answer that is no temperature: check its plug and cable"
            return no_value(self._name, now, reason)
        return Reading(self._name, now, celsius + ZERO_CELSIUS)

    @staticmethod
    def _temperature(sensor: _KernelSensor) -> float:
        try:
            return float(sensor.get_temperature())
        except ResetValueError:
            if sensor.has_just_been_powered():
                raise
            return float(W1ThermSensor.SENSOR_RESET_VALUE)

    def _why_gone(self) -> str:
        if not self._devices.is_dir():
            return (
                f"there is no 1-Wire bus here, so {self._serial} cannot be read: "
                "switch it on (dtoverlay=w1-gpio in the board's config.txt) and restart the board"
            )
        others = sorted(folder.name for folder in self._devices.glob("28-*"))
        present = f"there: {', '.join(others)}" if others else "where no DS18B20 answers"
        return f"{self._serial} is not on the 1-Wire bus ({present}): check its plug and cable"


def bus_folder(devices: Path, serial: str) -> Path:
    """The folder of the bus master that a probe hangs on; of the first master while the probe is away."""
    return (devices / serial).resolve().parent if (devices / serial).exists() else devices / "w1_bus_master1"
