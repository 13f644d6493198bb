"""Lays out a tree like the kernel's /sys, with 1-Wire, IIO and hwmon devices whose files can be changed.

What stands in each file follows the kernel: drivers/w1/slaves/w1_therm.c, Documentation/w1/slaves/w1_therm,
Documentation/ABI/testing/sysfs-bus-iio, Documentation/hwmon/sysfs-interface. Devices live under `devices/`
and are linked from `bus/` and `class/`, as they are there.
"""

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

from support.fake_w1 import POWER_ON, STARVED, crc8, millidegrees, scratchpad, shown


@dataclass
class FakeThermometer:
    """A DS18B20 on the fake bus."""

    folder: Path
    link: Path
    kept: bytes = POWER_ON

    def show(self, celsius: float) -> None:
        """A conversion went well."""
        self._hold(scratchpad(celsius))

    def lose_power(self) -> None:
        """It has just come back, and has not converted yet: 85.0 °C with a right checksum."""
        self._hold(POWER_ON)

    def fail_checksum(self, celsius: float) -> None:
        """Bits were lost on the wire: NO, and below it the bytes of the read before."""
        memory = scratchpad(celsius)
        text = shown(memory, crc=crc8(memory) ^ 0x5A, kept=self.kept)
        replace(self.folder / "w1_slave", text)

    def give_up(self) -> None:
        """What newer kernels show after five failed attempts: an empty file."""
        replace(self.folder / "w1_slave", "")
        replace(self.folder / "temperature", "")

    def short(self) -> None:
        """The data line lies on ground: all bytes are zero, and the checksum of zeros is zero."""
        replace(self.folder / "w1_slave", shown(bytes(8)))

    def starve(self) -> None:
        """Its power broke down while it converted."""
        self._hold(STARVED)

    def unplug(self) -> None:
        """The bus search has missed it: folder and link are gone."""
        self.link.unlink()
        shutil.rmtree(self.folder)
        list_slaves(self.folder.parent)

    def hang(self) -> None:
        """Whoever reads it from now on waits for ever."""
        (self.folder / "w1_slave").unlink()
        os.mkfifo(self.folder / "w1_slave")

    def _hold(self, memory: bytes) -> None:
        self.kept = memory
        replace(self.folder / "w1_slave", shown(memory))
        replace(self.folder / "temperature", f"{millidegrees(memory)}\n")


class FakeSysfs:
    """A tree below `root` that a probe can be pointed at instead of /sys."""

    def __init__(self, root: Path) -> None:
        self.root = root

    @property
    def w1_devices(self) -> Path:
        """/sys/bus/w1/devices"""
        return self.root / "bus/w1/devices"

    def add_thermometer(self, serial: str, celsius: float = 20.0, master: int = 1) -> FakeThermometer:
        """A DS18B20 at 12 bits with a supply of its own; what it shows takes no time (`LiveBus` takes it)."""
        folder = self.master(master) / serial
        folder.mkdir()
        files = {
            "name": serial,
            "resolution": "12",
            "conv_time": "750",
            "ext_power": "1",
            "features": "0",
            "alarms": "70 75",
        }
        for name, text in files.items():
            (folder / name).write_text(f"{text}\n")
        (folder / "eeprom_cmd").touch(0o200)
        list_slaves(folder.parent)
        thermometer = FakeThermometer(folder, self._link(self.w1_devices, folder))
        thermometer.show(celsius)
        return thermometer

    def master(self, number: int = 1) -> Path:
        """The folder of a bus master."""
        folder = self.root / f"devices/w1_bus_master{number}"
        if not folder.exists():
            self._fill(folder, {"w1_master_name": f"w1_bus_master{number}"})
            self._link(self.w1_devices, folder)
            list_slaves(folder)
        return folder

    def add_iio(self, number: int, name: str, **channels: str) -> Path:
        """An IIO device with files such as in_temp_input="21530"; returns its folder."""
        folder = self.root / f"devices/platform/soc/i2c-1/1-00{76 + number}/iio:device{number}"
        self._fill(folder, {"name": name, **channels})
        self._link(self.root / "bus/iio/devices", folder)
        return folder

    def add_hwmon(self, number: int, name: str, **channels: str) -> Path:
        """A hwmon device with files such as temp1_input="21530"; returns its folder."""
        folder = self.root / f"devices/platform/soc/i2c-1/1-00{44 + number}/hwmon/hwmon{number}"
        self._fill(folder, {"name": name, **channels})
        self._link(self.root / "class/hwmon", folder)
        return folder

    @staticmethod
    def _fill(folder: Path, files: dict[str, str]) -> None:
        folder.mkdir(parents=True)
        for name, text in files.items():
            (folder / name).write_text(f"{text}\n")

    @staticmethod
    def _link(place: Path, folder: Path) -> Path:
        place.mkdir(parents=True, exist_ok=True)
        link = place / folder.name
        link.symlink_to(os.path.relpath(folder, place))
        return link


def list_slaves(master: Path) -> None:
    """Bring the master's own list in step with its folder (Linux drivers/w1/w1.c)."""
    serials = sorted(folder.name for folder in master.glob("[0-9a-f][0-9a-f]-*"))
    (master / "w1_master_slaves").write_text("".join(f"{one}\n" for one in serials) or "not found.\n")
    (master / "w1_master_slave_count").write_text(f"{len(serials)}\n")


def replace(path: Path, text: str) -> None:
    """New content at once, as the kernel gives it: no reader ever sees half of it."""
    if path.exists() and not path.is_file():
        path.unlink()
    fresh = path.with_name(path.name + ".new")
    fresh.write_text(text)
    fresh.replace(path)
