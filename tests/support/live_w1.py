"""Plays the kernel behind a 1-Wire bus master of the fake tree, in the time that it takes.

After drivers/w1/slaves/w1_therm.c: `w1_slave` and `temperature` are named pipes, so that a read waits for
its conversion and for the bus as it does there. One lock stands for the bus mutex. A conversion takes the
probe's `conv_time`, and with parasite power keeps the bus for that long; a result of `therm_bulk_read` that
waits is fetched without converting; reads during a conversion for all give nothing. A DS18B20 converts to
what its surroundings are (`celsius`) and holds that until the next conversion.

It does not reproduce: that the write of `trigger` returns only when all have converted (here it returns at
once, and the number says -1 meanwhile); reads of `ext_power`, `resolution` and `conv_time` taking time on
the bus, or an error of a write; two readers of one file at the same moment (here only one of them gets the
answer, the other nothing); two triggers within LOOK (here they are one); searches: a probe
comes and goes at once; that `therm_bulk_read` exists on one master alone (see `bulk`).
"""

import os
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Self

from support.fake_sysfs import FakeSysfs, FakeThermometer
from support.fake_w1 import POWER_ON, millidegrees, scratchpad, shown

SLOT = 70e-6  # s a bit (Linux drivers/w1/w1_io.c)
RESET = 570e-6 + 8e-3  # s; its msleep(1) takes up to two jiffies, of 4 ms where HZ is 250 (from memory)
SELECT = RESET + 72 * SLOT + 8 * SLOT  # s to address one and give it a command
FETCH = SELECT + 72 * SLOT  # s to read the nine bytes
LOOK = 0.002  # s between two looks at what was written
CONVERSION = {9: 95, 10: 190, 11: 375, 12: 750}  # ms by bits (Linux w1_therm, DS18B20 data sheet)


@dataclass
class LiveThermometer:
    """A DS18B20 on a live bus."""

    fake: FakeThermometer
    celsius: float
    saved_bits: int
    obeys: bool
    memory: bytes = POWER_ON
    pending: int = 0  # what therm_bulk_read says of it
    kept_bits: int = 0
    gone: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        self.lose_power()

    @property
    def folder(self) -> Path:
        return self.fake.folder

    @property
    def bits(self) -> int:
        return _number(self.folder / "resolution")

    @property
    def conversion(self) -> float:
        return _number(self.folder / "conv_time") / 1000

    @property
    def has_supply(self) -> bool:
        return (self.folder / "ext_power").read_text() == "1\n"

    def lose_power(self) -> None:
        """It comes back with what its EEPROM holds, and has not converted yet."""
        self.kept_bits = self.saved_bits
        self.memory = bytes([*POWER_ON[:4], ((self.saved_bits - 9) << 5) | 0x1F, *POWER_ON[5:]])
        (self.folder / "resolution").write_text(f"{self.saved_bits}\n")

    def convert(self) -> None:
        """The end of a conversion."""
        self.heed()  # the kernel has by then, however late this one's look is
        self.memory = scratchpad(self.celsius, self.bits)

    def heed(self) -> None:
        """What the kernel does when somebody has written to `resolution`."""
        told = self.bits  # once: somebody may write it at any moment
        if told == self.kept_bits:
            return
        if self.obeys:
            self.kept_bits = told
            (self.folder / "conv_time").write_text(f"{CONVERSION[told]}\n")
        else:
            (self.folder / "resolution").write_text(f"{self.kept_bits}\n")


class LiveBus:
    """A bus master that lives while the block lasts. `history` tells who converted: a serial, or "all"."""

    def __init__(self, sysfs: FakeSysfs, number: int = 1, *, bulk: bool = True) -> None:
        self.history: list[str] = []
        self._sysfs = sysfs
        self._number = number
        self._numbers = sysfs.master(number) / "therm_bulk_read"
        if bulk:
            self._numbers.write_text("0\n")
        self._mutex = threading.Lock()
        self._telling = threading.Lock()
        self._slaves: dict[str, LiveThermometer] = {}
        self._closing = threading.Event()

    def __enter__(self) -> Self:
        threading.Thread(target=self._look, daemon=True).start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._closing.set()
        if self._mutex.locked():
            self._mutex.release()
        for slave in self._slaves.values():
            self._wake(slave)

    def add(
        self,
        serial: str,
        celsius: float = 20.0,
        *,
        supply: bool = True,
        bits: int = 12,
        obeys: bool = True,
        conversion: float | None = None,
    ) -> LiveThermometer:
        """Plug in a DS18B20 whose EEPROM says `bits`; `conversion` (s) is what its `conv_time` says."""
        fake = self._sysfs.add_thermometer(serial, celsius, self._number)
        (fake.folder / "ext_power").write_text(f"{int(supply)}\n")
        milliseconds = CONVERSION[bits] if conversion is None else round(conversion * 1000)
        (fake.folder / "conv_time").write_text(f"{milliseconds}\n")
        slave = self._slaves[serial] = LiveThermometer(fake, celsius, bits, obeys)
        for name, text in (("w1_slave", shown), ("temperature", lambda memory: f"{millidegrees(memory)}\n")):
            path = fake.folder / name
            path.unlink()
            os.mkfifo(path)
            threading.Thread(target=self._serve, args=(slave, path, text), daemon=True).start()
        return slave

    def unplug(self, serial: str) -> None:
        """The bus search has missed it."""
        slave = self._slaves.pop(serial)
        slave.gone.set()
        self._wake(slave)
        slave.fake.unplug()

    def hang(self) -> None:
        """Something keeps the bus: whoever wants it waits."""
        self._mutex.acquire()

    def let_go(self) -> None:
        """The bus is free again."""
        self._mutex.release()

    def _serve(self, slave: LiveThermometer, path: Path, text: Callable[[bytes], str]) -> None:
        while not self._closing.is_set():
            pipe = os.open(path, os.O_WRONLY)  # as soon as somebody reads
            try:
                if slave.gone.is_set() or self._closing.is_set():
                    return
                os.mkfifo(path.with_suffix(".next"))
                path.with_suffix(".next").rename(path)  # the next reader shall not get this one's answer
                memory = self._read(slave)
                os.write(pipe, text(memory).encode() if memory else b"")
            except BrokenPipeError:
                pass
            except FileNotFoundError:
                return  # unplugged meanwhile
            finally:
                os.close(pipe)

    def _read(self, slave: LiveThermometer) -> bytes:
        if slave.pending < 0:
            return b""
        if slave.pending == 0:
            self._convert(slave)
            self._fetch()
            return slave.memory
        self._fetch()
        slave.pending = 0
        self._tell()
        return slave.memory

    def _fetch(self) -> None:
        with self._mutex:
            time.sleep(FETCH)

    def _convert(self, slave: LiveThermometer) -> None:
        self._occupy([slave])
        slave.convert()
        self.history.append(slave.folder.name)

    def _convert_all(self, slaves: list[LiveThermometer]) -> None:
        self._occupy(slaves)
        for slave in slaves:
            slave.convert()
            slave.pending = 1
        self.history.append("all")
        self._tell()

    def _occupy(self, slaves: list[LiveThermometer]) -> None:
        conversion = max((slave.conversion for slave in slaves), default=0.0)
        alone = not all(slave.has_supply for slave in slaves)
        with self._mutex:
            time.sleep(SELECT + (conversion if alone else 0.0))
        if not alone:
            time.sleep(conversion)

    def _look(self) -> None:
        while not self._closing.wait(LOOK):
            try:
                for slave in list(self._slaves.values()):
                    slave.heed()
                if self._numbers.is_file() and self._numbers.read_text() == "trigger\n":
                    slaves = list(self._slaves.values())
                    for slave in slaves:
                        slave.pending = -1
                    self._tell()
                    threading.Thread(target=self._convert_all, args=(slaves,), daemon=True).start()
            except (FileNotFoundError, ValueError):
                continue  # unplugged, or in the middle of a write

    def _tell(self) -> None:
        with self._telling:
            if not self._numbers.is_file():
                return
            pending = [slave.pending for slave in self._slaves.values()]
            with self._numbers.open("r+") as file:
                file.write(f"{-1 if -1 in pending else max(pending, default=0)}\n")
                file.truncate()

    @staticmethod
    def _wake(slave: LiveThermometer) -> None:
        for name in ("w1_slave", "temperature"):
            os.close(os.open(slave.folder / name, os.O_RDONLY | os.O_NONBLOCK))


def _number(file: Path) -> int:
    """What stands in a file that somebody may be in the middle of writing."""
    while True:
        text = file.read_text().strip()
        if text:
            return int(text)
        time.sleep(LOOK)
