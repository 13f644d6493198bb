"""Relay and buzzer on mock pins: pulses while the blower may run, noise while nobody has looked."""

import time
from collections.abc import Iterator
from pathlib import Path

import gpiozero  # type: ignore[import-untyped]
import pytest
from gpiozero.pins.mock import MockFactory  # type: ignore[import-untyped]

from drydown.bus.local_client import WatcherError, ask
from drydown.core import Core
from drydown.watch.output import OutputPin
from drydown.watch.relay import HALF_PERIOD, Relay
from support.broker import free_port, until
from support.watched_place import Place, place, watching

RELAY, BUZZER = 24, 22
MORE = f"""
[buzzer]
gpio = {BUZZER}
"""


@pytest.fixture
def pins(monkeypatch: pytest.MonkeyPatch) -> Iterator[MockFactory]:
    factory = MockFactory()
    monkeypatch.setattr(gpiozero.Device, "pin_factory", factory)
    yield factory
    factory.reset()


def edges(pins: MockFactory, seconds: float) -> int:
    """How often the relay's pin changes in a while."""
    pin = pins.pin(RELAY)
    before = len(pin.states)
    time.sleep(seconds)
    return len(pin.states) - before


def is_low(pins: MockFactory) -> bool:
    return not pins.pin(RELAY).state


def test_pulses_are_given_while_the_blower_may_run_and_end_low(pins: MockFactory) -> None:
    may_run = [True]
    relay = Relay("heron", OutputPin("the relay", RELAY, True, None), lambda: may_run[0])
    relay.start()
    until(lambda: edges(pins, 4 * HALF_PERIOD) >= 2)
    may_run[0] = False
    time.sleep(4 * HALF_PERIOD)
    assert edges(pins, 4 * HALF_PERIOD) == 0
    assert is_low(pins)
    may_run[0] = True
    until(lambda: edges(pins, 4 * HALF_PERIOD) >= 2)
    relay.close()
    assert edges(pins, 4 * HALF_PERIOD) == 0
    assert is_low(pins)


def test_a_relay_whose_question_fails_gives_no_pulses(pins: MockFactory) -> None:
    def fails() -> bool:
        raise RuntimeError("a mistake")

    relay = Relay("heron", OutputPin("the relay", RELAY, True, None), fails)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("threading.excepthook", lambda _: None)
        relay.start()
        time.sleep(4 * HALF_PERIOD)
        assert is_low(pins)
        relay.close()


def test_a_pin_that_is_none_is_told(pins: MockFactory) -> None:
    pin = OutputPin("the buzzer", 999, True, pins)
    pin.set(True)
    assert pin.trouble.startswith("the buzzer on GPIO 999 can't be switched")
    pin.close()


@pytest.fixture
def alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pins: MockFactory) -> Iterator[Place]:
    assert pins
    relay = f'[tank.relay]\ngpio = {RELAY}\ncuts_on = ["fuel-hot"]\n'
    with place(tmp_path, free_port(), relay + MORE) as made:
        monkeypatch.setenv("DRYDOWN_SYSFS", str(made.folder / "sys"))
        yield made


def restore(alone: Place) -> None:
    order = {"command": "restore-supply", "who": "Wren"}
    ask(alone.site.socket_path, "command", tank="heron", command=order)


def pulses(pins: MockFactory) -> bool:
    return edges(pins, 4 * HALF_PERIOD) >= 2


def test_a_hot_fuel_stops_the_blower_and_makes_noise_until_a_person_has_been_there(
    alone: Place, pins: MockFactory
) -> None:
    with watching(alone):
        alone.wait_for_readings()
        until(lambda: pulses(pins))
        with pytest.raises(WatcherError, match="does not hold the blower off"):
            restore(alone)
        alone.thermometer.show(66.0)
        until(lambda: alone.state().get("supply_cut"), 20)
        assert alone.state()["supply_cut"]["alarm"] == "fuel-hot"
        until(lambda: not pulses(pins))
        assert is_low(pins)
        until(lambda: pins.pin(BUZZER).state)
        with pytest.raises(WatcherError, match="still stands"):
            restore(alone)
        order = {"command": "acknowledge", "alarm": "fuel-hot", "who": "Wren"}
        ask(alone.site.socket_path, "command", tank="heron", command=order)
        until(lambda: not pins.pin(BUZZER).state)
        assert not pulses(pins)
    with watching(alone):  # a restart gives nothing back
        until(lambda: alone.state().get("supply_cut"), 20)
        time.sleep(2 * HALF_PERIOD)
        assert not pulses(pins)
    assert not pins.pin(BUZZER).state


def test_a_watcher_that_hangs_lets_the_blower_go(
    alone: Place, pins: MockFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    hanging = [False]
    step = Core.step

    def maybe_hangs(core: Core, *rest: object) -> object:
        while hanging[0]:
            time.sleep(0.05)
        return step(core, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(Core, "step", maybe_hangs)
    with watching(alone):
        until(lambda: pulses(pins), 20)
        hanging[0] = True
        until(lambda: not pulses(pins), 20)
        assert is_low(pins)
        hanging[0] = False
        until(lambda: pulses(pins), 20)
