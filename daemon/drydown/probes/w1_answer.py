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


class BadAnswerError(AnswerError):
    """The probe answered, or should have, and it was no temperature."""

    why = "{serial} gave an answer that is no temperature: check its plug and cable"

    def __init__(self, serial: str) -> None:
        super().__init__(self.why.format(serial=serial))


class SilentError(BadAnswerError):
    """An empty file: five attempts gave no right checksum, or a conversion for all is under way."""

    why = "{serial} gave no answer: check its plug, its cable and the pull-up resistor"


class ChecksumError(BadAnswerError):
    """`NO` behind the checksum, which kernels before 5.8 show: the bytes below it are older."""

    why = (
        "{serial} failed its checksum (CRC), so that its temperature cannot be believed: "
        "check its plug, or use a shorter or shielded cable"
    )


class ShortedError(BadAnswerError):
    """Nothing but zeros, whose checksum is right: the data line lies on ground."""

    why = "{serial} reads nothing but zeros: the 1-Wire data line is shorted to ground"


class PowerOnError(BadAnswerError):
    """What it holds before its first conversion."""

    why = (
        "{serial} gives 85.0 °C, the value it holds when it has just been powered: "
        "check its supply and its plug"
    )


class StarvedError(BadAnswerError):
    """It began to convert and had not the power to end."""

    why = (
        "{serial} gives 127.9 °C, the value of a probe whose power breaks down while it converts: "
        "give it a supply of its own by its third wire"
    )


class GoneError(BadAnswerError):
    """The kernel took it off the list while it was being read."""


def ask(devices: Path, serial: str) -> Answer:
    """Read the probe once, which takes as long as the kernel takes. Raises AnswerError.

    `devices` is the folder of all 1-Wire devices, /sys/bus/w1/devices.
    """
    try:
        sensor = _Sensor(devices, serial)
        return Answer(sensor.celsius(), int(sensor.get_resolution()))
    except (OSError, W1ThermSensorError) as error:
        raise GoneError(serial) from error
    except (ValueError, IndexError) as error:
        raise BadAnswerError(serial) from error


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
            raise StarvedError(self._serial)
        try:
            return float(self.get_temperature())
        except ResetValueError as error:
            if unconverted:
                raise PowerOnError(self._serial) from error
            return float(self.SENSOR_RESET_VALUE)

    def _read(self) -> list[str]:
        lines: list[str] = self.sensorpath.read_text("ascii").splitlines()
        if len(lines) < 2:
            raise SilentError(self._serial)
        if not lines[0].rstrip().endswith("YES"):
            raise ChecksumError(self._serial)
        if lines[0].startswith("00 00 00 00 00 00 00 00 00"):
            raise ShortedError(self._serial)
        return lines
