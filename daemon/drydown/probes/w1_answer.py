"""What one read of a DS18B20 gave: the kernel's `w1_slave` text, decoded by `w1thermsensor`.

The library turns the text into temperature and resolution. Read and judge are ours: the library's read says
"not ready" of a failed checksum, of an empty answer and of a shorted line alike, takes every 85.0 °C for the
value at power-up, and reads (which converts) once more for the resolution. Its way to set the resolution runs
a shell. `w1_slave` is read rather than `temperature`, because only its nine bytes tell a true 85.0 °C from a
probe that has lost its power, and show the resolution without another word on the bus.
"""

import os
from dataclasses import dataclass
from pathlib import Path

from drydown.condition.kinds import Fault
from drydown.probes import w1_kinds

os.environ["W1THERMSENSOR_NO_KERNEL_MODULE"] = "1"  # importing must not run modprobe
from w1thermsensor import (  # type: ignore[import-untyped]
    ResetValueError,
    Sensor,
    W1ThermSensor,
    W1ThermSensorError,
)

UNCONVERTED_BYTE = "0c"  # byte 6 of the scratchpad before the first conversion (Linux w1_therm, `features`)
STARVED_BYTES = ["ff", "07"]  # 127.94 °C, when its power broke down while it converted (the same place)


@dataclass(frozen=True, slots=True)
class Answer:
    """A temperature in °C, and the resolution in bits with which it was converted."""

    celsius: float
    bits: int


class AnswerError(Exception):
    """No temperature; the text says why and what to do."""

    def __init__(self, fault: Fault, **values: object) -> None:
        super().__init__(fault.found(**values)[1])
        self.fault = fault


class GoneError(Exception):
    """The kernel took the probe off its list, or would not have it read."""


def ask(devices: Path, serial: str) -> Answer:
    """Read the probe once, which takes as long as the kernel takes. Raises AnswerError, GoneError.

    `devices` is the folder of all 1-Wire devices, /sys/bus/w1/devices.
    """
    try:
        sensor = _Sensor(devices, serial)
        return Answer(sensor.celsius(), int(sensor.get_resolution()))
    except (OSError, W1ThermSensorError) as error:
        raise GoneError from error
    except (ValueError, IndexError) as error:
        raise AnswerError(w1_kinds.NO_TEMPERATURE, serial=serial) from error


class _Sensor(W1ThermSensor):  # type: ignore[misc]  # the library has no type hints
    """The library's sensor, on any sysfs tree and for a single read."""

    def __init__(self, devices: Path, serial: str) -> None:
        self.BASE_DIRECTORY = devices
        self._serial = serial
        super().__init__(Sensor.DS18B20, serial.removeprefix("28-"))
        self._lines = self._read()
        self._bytes = self._lines[1].split()[:9]

    def get_raw_sensor_strings(self) -> list[str]:
        return self._lines

    def celsius(self) -> float:
        unconverted = self._bytes[6:7] == [UNCONVERTED_BYTE]
        if unconverted and self._bytes[:2] == STARVED_BYTES:
            raise AnswerError(w1_kinds.STARVED, serial=self._serial)
        try:
            return float(self.get_temperature())
        except ResetValueError as error:
            if unconverted:
                raise AnswerError(w1_kinds.POWER_ON, serial=self._serial) from error
            return float(self.SENSOR_RESET_VALUE)

    def _read(self) -> list[str]:
        lines: list[str] = self.sensorpath.read_text("ascii").splitlines()
        if len(lines) < 2:
            raise AnswerError(w1_kinds.SILENT, serial=self._serial)
        if not lines[0].rstrip().endswith("YES"):
            raise AnswerError(w1_kinds.CHECKSUM, serial=self._serial)
        if lines[0].startswith("00 00 00 00 00 00 00 00 00"):
            raise AnswerError(w1_kinds.SHORTED, serial=self._serial)
        return lines
