"""Switches through gpiozero's own mock pins: the probe and the device code are the real ones."""

import sys
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from gpiozero.pins.mock import MockFactory  # type: ignore[import-untyped]

from drydown.probes.gpio import PinProbe
from drydown.reading import Quality


@pytest.fixture
def pins() -> Iterator[Any]:
    factory = MockFactory()
    yield factory
    factory.reset()


def test_a_contact_to_ground(pins: Any) -> None:
    probe = PinProbe("blower/running", 17, "low", 0.0, pins)
    assert probe.read(1.0).value is False  # the pull-up holds it high
    pins.pin(17).drive_low()
    reading = probe.read(2.0)
    assert (reading.name, reading.time, reading.value) == ("blower/running", 2.0, True)
    assert reading.quality is Quality.GOOD
    pins.pin(17).drive_high()
    assert probe.read(3.0).value is False


def test_a_contact_to_the_supply(pins: Any) -> None:
    probe = PinProbe("vent/open", 22, "high", 0.0, pins)
    assert probe.read(1.0).value is False  # the pull-down holds it low
    pins.pin(22).drive_high()
    assert probe.read(2.0).value is True


def test_the_right_pull_resistor_is_switched_on(pins: Any) -> None:
    probes = PinProbe("blower/running", 17, "low", 0.0, pins), PinProbe("vent/open", 22, "high", 0.0, pins)
    assert [probe.read(0.0).value for probe in probes] == [False, False]
    assert (pins.pin(17).pull, pins.pin(22).pull) == ("up", "down")


def test_a_bounce_is_not_believed(pins: Any) -> None:
    probe = PinProbe("blower/running", 17, "low", 0.1, pins)
    assert probe.read(0.0).value is False
    pins.pin(17).drive_low()
    threading.Timer(0.03, pins.pin(17).drive_high).start()
    assert probe.read(1.0).value is False


def test_a_state_that_lasts_is_believed(pins: Any) -> None:
    probe = PinProbe("blower/running", 17, "low", 0.02, pins)
    assert probe.read(0.0).value is False
    pins.pin(17).drive_low()
    assert probe.read(1.0).value is True


def test_a_pin_in_use_says_so(pins: Any) -> None:
    holder = PinProbe("blower/running", 17, "low", 0.0, pins)
    assert holder.read(0.0).value is False
    reading = PinProbe("vent/open", 17, "low", 0.0, pins).read(0.0)
    assert reading.value is None
    assert reading.quality is Quality.BAD
    assert "GPIO 17 cannot be read" in reading.reason
    assert "in use" in reading.reason


def test_a_pin_that_the_board_has_not(pins: Any) -> None:
    assert "GPIO 999 cannot be read" in PinProbe("vent/open", 999, "low", 0.0, pins).read(0.0).reason


def test_a_machine_without_gpiozero_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "gpiozero", None)  # how Python marks a module that cannot be imported
    reading = PinProbe("blower/running", 17, "low", 0.0).read(0.0)
    assert reading.value is None
    assert "gpiozero is not installed" in reading.reason
    assert "drydown[board]" in reading.reason
