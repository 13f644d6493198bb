"""One DS18B20, wherever on the board's 1-Wire buses it hangs, and however long the bus keeps it waiting.

The kernel is asked on a thread of its own, since no read of its files can be given up: a bus master that
hangs then keeps that thread and nobody else, and whoever asks is told of it in time.
"""

import logging
import threading
import time
from pathlib import Path

from drydown.probes import w1_kinds
from drydown.probes.w1_answer import Answer, AnswerError, GoneError, ask
from drydown.probes.w1_bus import Bus, Buses
from drydown.probes.w1_kinds import PATIENCE

BITS = 12  # steps of 0.0625 °C, which the estimate lives on; half a second saved would gain nothing
NEXT_PATIENCE = 1.0  # s, once its bus counts as hung
MORE_TRIES = 3  # two programs that convert at their own pace leave few gaps
FRESH = 0.5  # s during which a second probe of the same number gets the same answer

log = logging.getLogger(__name__)


class Thermometer:
    """A DS18B20 by its serial number, shared by all probes that are configured with it."""

    def __init__(self, serial: str, buses: Buses) -> None:
        self.serial = serial
        self.has_supply: bool | None = None  # None: not known; False: parasite power
        self._buses = buses
        self._bus: Bus | None = None
        self._told_bits = False
        self._changed = threading.Condition()
        self._asking = False
        self._began = self._ended = float("-inf")
        self._count = 0
        self._latest: Answer | AnswerError = AnswerError(w1_kinds.SILENT, serial=serial)

    @property
    def place(self) -> str:
        """The bus on which it was seen last, and a word on its power."""
        on = f" on {self._bus.name}" if self._bus else ""
        return on + (" with parasite power" if self.has_supply is False else "")

    @property
    def resolution_file(self) -> Path:
        """Where its bits are set; root's alone, unless a udev rule says otherwise."""
        return self._buses.devices / self.serial / "resolution"

    def answer(self, seen: int) -> tuple[int, Answer | AnswerError]:
        """An answer other than number `seen`, with its number; or why there is none."""
        with self._changed:
            if not self._asking and (self._count == seen or time.monotonic() - self._ended > FRESH):
                self._asking, self._began = True, time.monotonic()
                threading.Thread(target=self._run, name=f"1-Wire {self.serial}", daemon=True).start()
            patience = max(NEXT_PATIENCE, self._began + PATIENCE - time.monotonic())
            if not self._changed.wait_for(lambda: not self._asking, patience):
                return seen, self._hung(time.monotonic() - self._began)
            return self._count, self._latest

    def _run(self) -> None:
        latest: Answer | AnswerError = AnswerError(w1_kinds.SILENT, serial=self.serial)
        try:
            latest = self._ask()
        except AnswerError as error:
            latest = error
        finally:
            with self._changed:
                self._latest, self._asking, self._ended = latest, False, time.monotonic()
                self._count += 1
                self._changed.notify_all()

    def _ask(self) -> Answer:
        bus = self._find()
        bus.convert(self.serial)
        try:
            answer = self._fetch(bus)
        except GoneError as error:
            if self._buses.of(self.serial):
                raise AnswerError(w1_kinds.SILENT, serial=self.serial) from error
            raise self._away() from error
        self._keep_resolution(answer.bits)
        return answer

    def _fetch(self, bus: Bus) -> Answer:
        """Ask; again, if a conversion for all was under way, during which the kernel has nothing to give."""
        for may_have_been in (True, *(False,) * MORE_TRIES):
            try:
                return ask(self._buses.devices, self.serial)
            except AnswerError as error:
                if error.fault is not w1_kinds.SILENT or not (bus.wait_for_others() or may_have_been):
                    raise
        return ask(self._buses.devices, self.serial)

    def _find(self) -> Bus:
        bus = self._buses.of(self.serial)
        if bus is not self._bus:
            if self._bus:
                self._bus.leave(self.serial)
            self._bus, self._told_bits = bus, False
            if bus:
                bus.join(self.serial)
                self.has_supply = self._read_supply()
        if bus is None:
            raise self._away()
        return bus

    def _read_supply(self) -> bool | None:
        try:
            text = (self._buses.devices / self.serial / "ext_power").read_text("ascii").strip()
        except (OSError, ValueError):
            return None
        return {"0": False, "1": True}.get(text)  # else the number of an error

    def _keep_resolution(self, bits: int) -> None:
        """Tell it its resolution when it has another: once, and again only after it had lost it.

        `resolution` writes its volatile memory; its EEPROM, which bears 50 000 writes, is left as it is.
        """
        if bits == BITS:
            self._told_bits = False
        elif not self._told_bits:
            self._told_bits = True
            try:
                self.resolution_file.write_text(f"{BITS}\n", "ascii")
            except OSError as error:
                log.warning("%s stays at %d bits: %s", self.serial, bits, error.strerror)

    def _away(self) -> AnswerError:
        devices = self._buses.devices
        if not devices.is_dir():
            return AnswerError(w1_kinds.NO_BUS, serial=self.serial)
        others = sorted(folder.name for folder in devices.glob("28-*"))
        present = f"there: {', '.join(others)}" if others else "where no DS18B20 answers"
        return AnswerError(w1_kinds.AWAY, serial=self.serial, present=present)

    def _hung(self, waited: float) -> AnswerError:
        bus = f"the 1-Wire bus {self._bus.name}" if self._bus else "the 1-Wire bus"
        return AnswerError(w1_kinds.HUNG, bus=bus, serial=self.serial, seconds=waited)
