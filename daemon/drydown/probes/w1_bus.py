"""The kernel's 1-Wire buses: which probe hangs where, and one conversion for all probes of a bus.

Reading a probe converts first, for 0.75 s at 12 bits. `trigger`, written to the master's `therm_bulk_read`
(Linux w1_therm, from 5.8 on), converts on all probes at once and returns when they are done; the read that
follows only fetches. Its number then says -1 while a conversion runs, 1 while a result waits to be fetched
and 0 when there is none. The write never fails on account of the bus, so the number is what is believed.
A signal cuts the kernel's wait short, which it does not tell: hence `conv_time` is waited for here, too.

Without that file each probe converts when it is read. The kernel lets the bus go while a probe with a supply
of its own converts, so these still overlap; it holds the bus for one on parasite power, so those convert one
after another. The kernel offers the file on the bus of the first probe that it found alone.
"""

import re
import threading
import time
from pathlib import Path

CONVERSION = 0.75  # s at 12 bits (DS18B20 data sheet); the kernel's `conv_time` may say otherwise
FRESH = 0.2  # s after a conversion has ended during which its result is still shared: less than to the next
LONGEST_CONVERSION = 5.0  # s to wait for a conversion that somebody else began
AT_REST = ("0", "1", "")  # what therm_bulk_read says, or would, while none converts
GLANCE = 0.01  # s between two looks at whether a conversion has ended
MASTER, SLAVE = "w1_bus_master*", re.compile(r"[0-9a-f]{2}-[0-9a-f]{12}")


class Bus:
    """One bus master. Probes that are read at about the same time share one conversion."""

    def __init__(self, folder: Path) -> None:
        """`folder` is the master's, such as /sys/bus/w1/devices/w1_bus_master1."""
        self._folder = folder
        self._trigger = folder / "therm_bulk_read"
        self._changed = threading.Condition()
        self._probes: set[str] = set()
        self._unread: set[str] = set()
        self._converting = False
        self._converted = float("-inf")

    @property
    def name(self) -> str:
        """As the kernel calls it."""
        return self._folder.name

    @property
    def trigger(self) -> Path:
        """The file that converts on all probes at once; it may be missing, or not ours to write."""
        return self._trigger

    def slave(self, serial: str) -> Path:
        """The folder of what hangs on this bus."""
        return self._folder / serial

    def slaves(self) -> list[str]:
        """What answered the kernel's last searches, by serial number."""
        try:
            return sorted(one.name for one in self._folder.iterdir() if SLAVE.fullmatch(one.name))
        except OSError:
            return []

    def join(self, serial: str) -> None:
        """A probe wants to share the conversions of this bus."""
        with self._changed:
            self._probes.add(serial)

    def leave(self, serial: str) -> None:
        """It is gone, or hangs elsewhere now."""
        with self._changed:
            self._probes.discard(serial)

    def convert(self, serial: str) -> None:
        """Return when the probe has a conversion of its own to fetch, or will do one when it is read."""
        if len(self._probes) < 2 and self._number() != "1":
            return  # alone, it converts when it is read, unless a result waits, which may be hours old
        with self._changed:
            if not self._changed.wait_for(lambda: not self._converting, LONGEST_CONVERSION):
                return
            if serial in self._unread and time.monotonic() - self._converted < FRESH:
                self._unread.discard(serial)
                return
            self._converting = True
            sharing = self._probes | {serial}
        done = False
        try:
            done = self._convert_all(sharing)
        finally:
            with self._changed:
                self._converting = False
                if done:
                    self._converted = time.monotonic()
                    self._unread = sharing - {serial}
                self._changed.notify_all()

    def wait_for_others(self) -> bool:
        """Return when no conversion runs that another program began, and whether one did."""
        end = time.monotonic() + LONGEST_CONVERSION
        waited = False
        while self._number() not in AT_REST and time.monotonic() < end:
            waited = True
            time.sleep(GLANCE)
        return waited

    def _convert_all(self, sharing: set[str]) -> bool:
        end = time.monotonic() + max(conversion_time(self._folder / serial) for serial in sharing)
        try:
            with self._trigger.open("r+b", buffering=0) as trigger:
                trigger.write(b"trigger\n")
        except OSError:
            return False
        time.sleep(max(0.0, end - time.monotonic()))
        self.wait_for_others()
        return self._number() == "1"

    def _number(self) -> str:
        try:
            return self._trigger.read_text("ascii").strip()
        except (OSError, ValueError):
            return ""


class Buses:
    """All 1-Wire buses of a board, whatever comes and goes."""

    def __init__(self, devices: Path) -> None:
        """`devices` is the folder of all 1-Wire devices, /sys/bus/w1/devices."""
        self.devices = devices
        self._lock = threading.Lock()
        self._known: dict[Path, Bus] = {}

    def all(self) -> list[Bus]:
        """Every master that there is."""
        return [self._bus(folder.resolve()) for folder in sorted(self.devices.glob(MASTER))]

    def of(self, serial: str) -> Bus | None:
        """The bus that a probe hangs on now; None while it is away."""
        try:
            return self._bus((self.devices / serial).resolve(strict=True).parent)
        except OSError:
            return None

    def _bus(self, folder: Path) -> Bus:
        with self._lock:
            return self._known.setdefault(folder, Bus(folder))


def conversion_time(slave: Path) -> float:
    """How long (s) the kernel lets a probe convert."""
    try:
        return int((slave / "conv_time").read_text("ascii")) / 1000
    except (OSError, ValueError):
        return CONVERSION
