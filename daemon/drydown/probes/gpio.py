"""Switches on a board's pins, through `gpiozero`: a relay contact, a door contact, an airflow switch."""

import time
import warnings
from typing import Any

from drydown.probes.probe import no_value
from drydown.reading import Reading


class PinProbe:
    """A switch between a pin and ground (`active` "low") or between a pin and 3.3 V ("high").

    The pin's own pull resistor holds it at the other level. `bounce` is the time (s) for which a new state
    must last to be believed; the older state is given until then. `pins` is a gpiozero pin factory; None lets
    gpiozero choose that of the board. The pin is opened at the first reading.
    """

    def __init__(self, name: str, pin: int, active: str, bounce: float, pins: object | None = None) -> None:
        self._name = name
        self._pin = pin
        self._active = active
        self._bounce = bounce
        self._pins = pins
        self._device: Any = None
        self._state: bool | None = None

    @property
    def name(self) -> str:
        return self._name

    def describe(self) -> str:
        return f"GPIO {self._pin} (active {self._active})"

    def read(self, now: float) -> Reading:
        try:
            if self._device is None:
                self._device = self._open()
            state = bool(self._device.is_active)
            if state != self._state and self._bounce > 0:
                time.sleep(self._bounce)
                if bool(self._device.is_active) != state:
                    state = not state if self._state is None else self._state
        except ModuleNotFoundError:
            reason = "gpiozero is not installed: install drydown with its board group, drydown[board]"
            return no_value(self._name, now, reason)
        except Exception as error:  # gpiozero passes on whatever the pin library beneath it throws
            self._device = None
            reason = (
                f"GPIO {self._pin} cannot be read ({error or type(error).__name__}): "
                "check that this board has the pin, that nothing else uses it, and that drydown may use GPIO"
            )
            return no_value(self._name, now, reason)
        self._state = state
        return Reading(self._name, now, state)

    def _open(self) -> Any:
        from gpiozero import DigitalInputDevice  # type: ignore[import-untyped]  # only boards have it

        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it tells of each pin library that it tries in vain
            return DigitalInputDevice(self._pin, pull_up=self._active == "low", pin_factory=self._pins)
