"""`drydown check --touch` as its user meets it: lines that come, without a key pressed, and an end."""

import os
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from drydown.check import touch
from drydown.config.load import load
from support.broker import free_port, until
from support.fake_sysfs import FakeSysfs
from support.live_w1 import LiveBus
from support.processes import DRYDOWN
from support.watched_place import FILE

FUEL, NEW, LATE = "28-0000071c2a3b", "28-0000071c2a4c", "28-0000071c2a5d"
QUICK = 0.05  # s


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "site.toml"
    path.write_text(FILE.format(folder=tmp_path, broker=free_port(), pages=free_port(), longest_run=14400))
    return path


@pytest.fixture
def bus(tmp_path: Path) -> Iterator[LiveBus]:
    with LiveBus(FakeSysfs(tmp_path / "sys")) as bus:
        yield bus


@contextmanager
def touching(config: Path) -> Iterator[subprocess.Popen[str]]:
    process = subprocess.Popen(
        [DRYDOWN, "check", "--config", config, "--touch"],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env=os.environ | {"DRYDOWN_SYSFS": str(config.parent / "sys")},
    )
    try:
        yield process
    finally:
        process.kill()
        process.wait(10)


def line_with(process: subprocess.Popen[str], *words: str) -> str:
    """The next line that has all of the words."""
    assert process.stdout
    seen = []
    for line in process.stdout:
        seen.append(line)
        if all(word in line for word in words):
            return line
    raise AssertionError(f"{words} never came, but {seen}")


def test_each_that_is_warmed_is_named_and_then_it_ends(config: Path, bus: LiveBus) -> None:
    fuel, new = bus.add(FUEL, 18.0, conversion=QUICK), bus.add(NEW, 18.0, conversion=QUICK)
    with touching(config) as process:
        assert f"2 DS18B20: {FUEL}, {NEW}" in line_with(process, "hold one probe in a warm hand")
        until(lambda: bus.history.count("all") >= 2, 20)
        fuel.celsius = 24.0
        assert 'It is heron "fuel/temperature".' in line_with(
            process, f"This is {FUEL}: 24.0 °C, 6.0 °C warmer"
        )
        fuel.celsius, new.celsius = 20.0, 25.0
        assert f'= {{ w1 = "{NEW}" }}' in line_with(process, f"This is {NEW}")
        line_with(process, f"The end. Named: {FUEL}, {NEW}. That is each that is there.")
        assert process.wait(10) == 0


def test_one_that_is_plugged_in_is_named_and_ctrl_c_ends_it(config: Path, bus: LiveBus) -> None:
    bus.add(FUEL, conversion=QUICK)
    with touching(config) as process:
        line_with(process, "1 DS18B20")
        bus.add(LATE, conversion=QUICK)
        line_with(process, f"Just plugged in: {LATE}", f'w1 = "{LATE}"')
        bus.unplug(LATE)
        line_with(process, f"{LATE} has just gone")
        process.send_signal(signal.SIGINT)
        line_with(process, f"The end. Named: {LATE}. Not touched: {FUEL}.")
        assert process.wait(10) == 0


def test_it_ends_by_itself_when_nothing_happens(
    config: Path, bus: LiveBus, monkeypatch: pytest.MonkeyPatch
) -> None:
    bus.add(FUEL, conversion=QUICK)
    monkeypatch.setenv("DRYDOWN_SYSFS", str(config.parent / "sys"))
    monkeypatch.setattr(touch, "LONGEST_REST", 2.0)
    monkeypatch.setattr(touch, "SIGN_OF_LIFE", 0.0)
    _, *signs, end = touch.touch_findings(load(config))
    assert f"None is warming fast. The most: {FUEL}, by 0.0 °C." in {sign.message for sign in signs}
    assert not end.works
    assert end.message.startswith("The end: no probe was named.")


def test_without_a_probe_it_says_so(config: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DRYDOWN_SYSFS", str(config.parent / "nothing"))
    monkeypatch.setattr(touch, "LONGEST_REST", 0.3)
    greeting, *_, end = touch.touch_findings(load(config))
    assert "no DS18B20 yet; plug one in" in greeting.message
    assert not end.works
