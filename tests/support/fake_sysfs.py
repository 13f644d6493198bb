"""Lays out a tree like the kernel's /sys, with 1-Wire, IIO and hwmon devices whose files can be changed.

What stands in each file follows the kernel: drivers/w1/slaves/w1_therm.c, Documentation/w1/slaves/w1_therm,
Documentation/ABI/testing/sysfs-bus-iio, Documentation/hwmon/sysfs-interface. Devices live under `devices/`
and are linked from `bus/` and `class/`, as they are there.
"""

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

POWER_ON = bytes.fromhex("50054b467fff0c10")  # DS18B20 data sheet, table of the scratchpad at power-up


def crc8(data: bytes) -> int:
    """The 1-Wire CRC: x⁸ + x⁵ + x⁴ + 1, low bit first (Maxim application note 27)."""
    crc = 0
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = (crc >> 1) ^ 0x8C if crc & 1 else crc >> 1
    return crc


def scratchpad(celsius: float, bits: int = 12) -> bytes:
    """The eight bytes that a DS18B20 holds after a conversion (data sheet, memory map)."""
    count = round(celsius * 16) & 0xFFFF & ~((1 << (12 - bits)) - 1)
    return bytes(
        [count & 0xFF, count >> 8, 0x4B, 0x46, ((bits - 9) << 5) | 0x1F, 0xFF, 0x10 - (count & 0xF), 0x10]
    )


def shown(memory: bytes, *, crc: int | None = None, kept: bytes | None = None) -> str:
    """The text of `w1_slave`: the bytes just read, their checksum, and the bytes of the last good read."""
    read = memory + bytes([crc8(memory) if crc is None else crc])
    good = read[8] == crc8(memory)
    kept = read if good or kept is None else kept + bytes([crc8(kept)])
    return (
        f"{read.hex(' ')} : crc={crc8(memory):02x} {'YES' if good else 'NO'}\n"
        f"{kept.hex(' ')} t={_millidegrees(kept)}\n"
    )


def _millidegrees(memory: bytes) -> int:
    return int(int.from_bytes(memory[:2], "little", signed=True) * 1000 / 16)  # C truncates towards zero


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

    def unplug(self) -> None:
        """The bus search has missed it: folder and link are gone."""
        self.link.unlink()
        shutil.rmtree(self.folder)

    def hang(self) -> None:
        """Whoever reads it from now on waits for ever."""
        (self.folder / "w1_slave").unlink()
        os.mkfifo(self.folder / "w1_slave")

    def _hold(self, memory: bytes) -> None:
        self.kept = memory
        replace(self.folder / "w1_slave", shown(memory))
        replace(self.folder / "temperature", f"{_millidegrees(memory)}\n")


class FakeSysfs:
    """A tree below `root` that a probe can be pointed at instead of /sys."""

    def __init__(self, root: Path) -> None:
        self.root = root

    @property
    def w1_devices(self) -> Path:
        """/sys/bus/w1/devices"""
        return self.root / "bus/w1/devices"

    def add_thermometer(self, serial: str, celsius: float = 20.0, master: int = 1) -> FakeThermometer:
        """A DS18B20 at 12 bits with a supply of its own."""
        folder = self._master(master) / serial
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
        thermometer = FakeThermometer(folder, self._link(self.w1_devices, folder))
        thermometer.show(celsius)
        return thermometer

    def bulk_file(self, master: int = 1) -> Path:
        """The bus's `therm_bulk_read`."""
        return self._master(master) / "therm_bulk_read"

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

    def _master(self, number: int) -> Path:
        folder = self.root / f"devices/w1_bus_master{number}"
        if not folder.exists():
            self._fill(folder, {"w1_master_name": f"w1_bus_master{number}", "therm_bulk_read": "0"})
            self._link(self.w1_devices, folder)
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


def replace(path: Path, text: str) -> None:
    """New content at once, as the kernel gives it: no reader ever sees half of it."""
    if path.exists() and not path.is_file():
        path.unlink()
    fresh = path.with_name(path.name + ".new")
    fresh.write_text(text)
    fresh.replace(path)


class BulkConversions:
    """Plays the kernel behind `therm_bulk_read`: counts the triggers that are written to it."""

    def __init__(self, path: Path) -> None:
        path.unlink()
        os.mkfifo(path)
        self.count = 0
        self._reader = os.open(path, os.O_RDONLY | os.O_NONBLOCK)

    def seen(self) -> int:
        """How many conversions were asked for since the last look."""
        try:
            text = os.read(self._reader, 65536).decode()
        except BlockingIOError:
            return 0
        assert text == "trigger\n" * text.count("\n"), text
        return text.count("\n")

    def close(self) -> None:
        """Give the file handle back."""
        os.close(self._reader)
