"""DS18B20 temperature probes on the kernel's 1-Wire buses.

Three parts stand behind a probe: `w1_bus` lets all probes of a bus convert at once, `w1_answer` has
`w1thermsensor` decode what the kernel shows and tells the ways to fail apart, and `w1_thermometer` keeps a
probe's place, power and resolution, and bears with a bus that hangs.
"""

from pathlib import Path

from drydown.probes.probe import no_value
from drydown.probes.w1_answer import AnswerError
from drydown.probes.w1_bus import Buses
from drydown.probes.w1_thermometer import Thermometer
from drydown.quantities import ZERO_CELSIUS
from drydown.reading import Reading


class OneWire:
    """The thermometers of a board by their serial numbers, however many probes name them."""

    def __init__(self, devices: Path) -> None:
        """`devices` is the folder of all 1-Wire devices, /sys/bus/w1/devices."""
        self.buses = Buses(devices)
        self._thermometers: dict[str, Thermometer] = {}

    def thermometer(self, serial: str) -> Thermometer:
        """The one of that number, which need not be there."""
        if serial not in self._thermometers:
            self._thermometers[serial] = Thermometer(serial, self.buses)
        return self._thermometers[serial]


class OneWireProbe:
    """A DS18B20 by its serial number, such as 28-0000071c2a3b. Its read always returns within PATIENCE."""

    def __init__(self, name: str, serial: str, wire: OneWire) -> None:
        self._name = name
        self._thermometer = wire.thermometer(serial)
        self._seen = 0

    @property
    def name(self) -> str:
        return self._name

    def describe(self) -> str:
        return f"DS18B20 {self._thermometer.serial}{self._thermometer.place}"

    def read(self, now: float) -> Reading:
        self._seen, answer = self._thermometer.answer(self._seen)
        if isinstance(answer, AnswerError):
            return no_value(self._name, now, str(answer))
        return Reading(self._name, now, answer.celsius + ZERO_CELSIUS)
