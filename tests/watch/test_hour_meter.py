"""The blower's hour meter after real kills at random moments, against the time for which it really ran."""

import time
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import pytest

from support.broker import Mosquitto, until
from support.processes import Running
from support.watched_place import Place, place

RIGHT_TO = 10.0  # s

pytestmark = pytest.mark.broker


@dataclass
class Blower:
    """A blower that a test switches, with the time for which it has really run."""

    made: Place
    run: float = 0.0
    stretch: float = 0.0
    starts: int = 0
    _since: float | None = None

    def on(self) -> None:
        self._since, self.starts = time.monotonic(), self.starts + 1
        self.made.switch(True)

    def off(self) -> None:
        self.run, self._since = self.ran(), None
        self.made.switch(False)

    def say(self) -> None:
        self.made.switch(self._since is not None)

    def ran(self) -> float:
        return self.run + self.lasts()

    def lasts(self) -> float:
        return 0.0 if self._since is None else time.monotonic() - self._since


def meter(made: Place) -> dict[str, Any]:
    return dict(made.state().get("blower", {}))


def wait(blower: Blower, seconds: float) -> None:
    """Let time go by, with the board at the blower saying every second what it does."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        blower.say()
        time.sleep(min(1.0, max(0.0, end - time.monotonic())))


def kill(one: Running) -> None:
    one._process.kill()
    one._process.wait()


@pytest.fixture
def made(broker: Mosquitto, tmp_path: Path) -> Iterator[Place]:
    with place(tmp_path, broker.port) as found:
        yield found


def check(made: Place, blower: Blower) -> None:
    until(lambda: meter(made).get("starts") == blower.starts, 20, f"{blower.starts} starts: {meter(made)}")
    told = meter(made)
    for name, truth in (("total", blower.ran()), ("run", blower.ran()), ("stretch", blower.lasts())):
        assert told[name] == pytest.approx(truth, abs=RIGHT_TO), name


def is_back(made: Place) -> bool:
    """Whether a new watcher reads its probes and knows what went before."""
    return meter(made).get("running") is not None and bool(meter(made).get("starts"))


@pytest.mark.parametrize("cut", ["the watcher", "the power"])
def test_the_hours_are_right_whenever_it_is_killed(broker: Mosquitto, made: Place, cut: str) -> None:
    dice, blower = Random(f"kills {cut}"), Blower(made)
    with ExitStack() as whole:
        recorder = whole.enter_context(made.command("record"))
        watcher = whole.enter_context(made.command("watch"))
        made.wait_for_readings()
        wait(blower, 3)
        blower.on()
        for round_ in range(3):
            wait(blower, dice.uniform(3.0, 8.0))
            if round_ == 1:
                blower.off()
                wait(blower, dice.uniform(1.0, 3.0))
                blower.on()
                wait(blower, 2.0)
            kill(watcher)
            if cut == "the power":
                kill(recorder)
                broker.stop()
                broker.start()
                recorder = whole.enter_context(made.command("record"))
            time.sleep(dice.uniform(0.5, 2.0))
            watcher = whole.enter_context(made.command("watch"))
            while not is_back(made):
                blower.say()
                time.sleep(0.5)
            check(made, blower)
