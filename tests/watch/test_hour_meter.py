"""The blower's hour meter after real kills at random moments, against the time for which it really ran."""

import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import pytest

from support.broker import Mosquitto
from support.processes import Running
from support.watched_place import Place, place

RIGHT_TO = 10.0  # s
ALONE_RIGHT_TO = 60.0  # s, where nobody records
PATIENCE = 120.0  # s: however busy the machine is

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


def wait_until(condition: Callable[[], object], blower: Blower, what: str) -> None:
    """The same, until a condition holds; fails with what the watcher said."""
    end = time.monotonic() + PATIENCE
    while not condition():
        if time.monotonic() > end:
            made = blower.made
            said = (made.folder / "watch.log").read_text()[-2000:]
            raise AssertionError(
                f"not within {PATIENCE:.0f} s: {what}; it shows {meter(made)} and says {said}"
            )
        blower.say()
        time.sleep(0.25)


def is_told(made: Place) -> bool:
    return set(made.state().get("readings", {})) >= {"fuel/temperature", "fuel/level"}


def kill(one: Running) -> None:
    one._process.kill()
    one._process.wait()


@pytest.fixture
def made(broker: Mosquitto, tmp_path: Path) -> Iterator[Place]:
    with place(tmp_path, broker.port) as found:
        yield found


def check(made: Place, blower: Blower) -> None:
    wait_until(lambda: meter(made).get("starts") == blower.starts, blower, f"{blower.starts} starts")
    told = meter(made)
    for name, truth in (("total", blower.ran()), ("run", blower.ran()), ("stretch", blower.lasts())):
        assert told[name] == pytest.approx(truth, abs=RIGHT_TO), name


def is_back(made: Place) -> bool:
    """Whether a new watcher reads its probes and has gone through what went before."""
    state = made.state()
    return bool(state.get("estimate")) and state["blower"]["running"] is not None


@pytest.mark.parametrize("cut", ["the watcher", "the power"])
def test_the_hours_are_right_whenever_it_is_killed(broker: Mosquitto, made: Place, cut: str) -> None:
    dice, blower = Random(f"kills {cut}"), Blower(made)
    with ExitStack() as whole:
        recorder = whole.enter_context(made.command("record"))
        watcher = whole.enter_context(made.command("watch"))
        wait_until(lambda: is_told(made), blower, "fuel and level are read")
        wait(blower, 3)
        blower.on()
        for round_ in range(2):
            # as long as a recorder needs to begin and to commit: what is right to 10 s rests on what it has
            wait(blower, dice.uniform(10.0, 14.0))
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
            wait_until(lambda: is_back(made), blower, "the new watcher knows what went before")
            check(made, blower)


def test_the_hours_are_right_to_a_minute_where_nobody_records(made: Place) -> None:
    blower = Blower(made)
    with ExitStack() as whole:
        watcher = whole.enter_context(made.command("watch"))
        wait_until(lambda: is_told(made), blower, "fuel and level are read")
        blower.on()
        wait(blower, 12.0)
        blower.off()
        wait_until(lambda: meter(made).get("running") is False, blower, "it is seen to have stopped")
        wait(blower, 1.0)
        kill(watcher)
        watcher = whole.enter_context(made.command("watch"))
        wait_until(lambda: is_back(made), blower, "the new watcher knows what went before")
        told = meter(made)
        assert (told["starts"], told["running"]) == (1, False)
        assert told["total"] == pytest.approx(blower.ran(), abs=5.0), "at a stop nothing is lost"
        blower.on()
        wait(blower, 1.2 * ALONE_RIGHT_TO)
        kill(watcher)
        whole.enter_context(made.command("watch"))
        wait_until(lambda: is_back(made), blower, "the new watcher knows what went before")
        told = meter(made)
        assert (told["starts"], told["running"]) == (2, True)
        for name, truth in (("total", blower.ran()), ("stretch", blower.lasts())):
            assert told[name] == pytest.approx(truth, abs=ALONE_RIGHT_TO), name
            assert told[name] > ALONE_RIGHT_TO, name
