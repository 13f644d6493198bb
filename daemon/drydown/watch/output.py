"""A pin that drydown drives, through `gpiozero`: opened when it is first needed, off when anything fails."""

import logging
import warnings
from typing import Any

log = logging.getLogger(__name__)


class OutputPin:
    """`active_high` tells which level means on. `pins` is a gpiozero pin factory; None: the board's own."""

    def __init__(self, what: str, pin: int, active_high: bool, pins: object | None) -> None:
        self.trouble = ""
        self._what, self._pin, self._active_high, self._pins = what, pin, active_high, pins
        self._device: Any = None

    def set(self, on: bool) -> None:
        """Switch it; `trouble` says what is wrong if that can't be done, empty where nothing is."""
        try:
            if self._device is None:
                self._device = self._open()
            self._device.value = on
            self.trouble = ""
        except Exception as error:  # gpiozero passes on whatever the pin library beneath it throws
            self._device = None
            why = error or type(error).__name__
            trouble = (
                f"{self._what} on GPIO {self._pin} can't be switched ({why}): check that this board has the "
                "pin, that nothing else uses it, and that drydown may use GPIO"
            )
            if trouble != self.trouble:
                log.error("%s", trouble)
            self.trouble = trouble

    def close(self) -> None:
        """Off, and let go."""
        if self._device is not None:
            self.set(False)
        if self._device is not None:
            self._device.close()

    def _open(self) -> Any:
        from gpiozero import DigitalOutputDevice  # type: ignore[import-untyped]  # only boards have it

        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it tells of each pin library that it tries in vain
            return DigitalOutputDevice(
                self._pin, active_high=self._active_high, initial_value=False, pin_factory=self._pins
            )
