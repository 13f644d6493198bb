"""kills and what they cost: every process is killed at random moments, hundreds of times, and started again.

In the end the store is held, row by row, against what came down the watcher's socket, which needs neither
broker nor recorder. Every few minutes the fuel becomes too hot: somebody has to be told of each time.
"""

import random
import sys
import tempfile
import threading
import time
from contextlib import suppress
from dataclasses import dataclass
from operator import itemgetter
from pathlib import Path

from support.broker import mosquitto
from support.ordeal import COOL, HOT, Ordeal, ordeal

NAMES = ("watch", "record", "mosquitto", "serve")
BETWEEN, AWAY = (0.5, 6.0), (0.0, 4.0)  # s: at random in between
LONG_AWAY, SELDOM = 20.0, 20  # s that one time in so many takes
EVERY = 240.0  # s between two times of hot fuel; more often would count as chattering
TOLD_WITHIN = 90.0  # s, with the watcher killed again and again meanwhile
AROUND = 60.0  # s before and after a lost row that are told
HOT_FUEL = "The fuel is too hot"


@dataclass(frozen=True, slots=True)
class Toll:
    """What came of it."""

    kills: int
    rows: int
    rows_lost: int
    rows_doubled: int
    alarms: int
    alarms_missed: int
    notices: int
    notices_lost: int


class Heat:
    """Hot fuel every few minutes, and whether the phone was told."""

    def __init__(self, made: Ordeal) -> None:
        self._made, self._done = made, threading.Event()
        self.times = self.untold = 0
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def close(self) -> None:
        self._done.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._done.wait(5.0 if not self.times else EVERY):
            told = self._told()
            self.times += 1
            self._made.place.thermometer.show(HOT)
            end = time.monotonic() + TOLD_WITHIN
            while self._told() == told and time.monotonic() < end:
                time.sleep(0.2)
            self.untold += self._told() == told
            self._made.place.thermometer.show(COOL)

    def _told(self) -> int:
        return sum(f"EMERGENCY: {HOT_FUEL}" in title for title in self._made.phone.titles)


def suffer(kills: int, seed: int = 1) -> Toll:
    """So many kills; the same moments for the same seed, as far as a machine can."""
    dice = random.Random(seed)
    with (
        tempfile.TemporaryDirectory(prefix="drydown-soak-") as name,
        mosquitto(Path(name)) as broker,
        ordeal(Path(name), broker) as made,
    ):
        made.start("serve")
        heat = Heat(made)
        for number in range(kills):
            time.sleep(dice.uniform(*BETWEEN))
            victim = dice.choice(NAMES)
            made.kill(victim)
            time.sleep(LONG_AWAY if number % SELDOM == SELDOM - 1 else dice.uniform(*AWAY))
            made.start(victim)
        heat.close()
        now, alarms = time.time(), set(made.witness.alarms)
        with suppress(AssertionError):  # what is still missing then is counted
            made.settle()
        lost = made.lost(now)
        for row in sorted(lost, key=itemgetter(1)):
            near = made.nearest(row)
            print(f"lost: {row}, nearest {near} ms, {_around(made.log, row[1] / 1000)}", file=sys.stderr)
        doubled = made.doubled()
        for row, other in doubled:
            after = f"{other[1] - row[1]} ms after, {_around(made.log, row[1] / 1000)}"
            print(f"doubled: {row}, {after}", file=sys.stderr)
        return Toll(
            made.kills,
            len(made.witness.rows),
            len(lost),
            len(doubled),
            len(alarms),
            len(alarms & made.alarms_missed()),
            heat.times,
            heat.untold,
        )


def _around(log: list[tuple[float, str]], at: float) -> str:
    """What was done around a time."""
    return ", ".join(f"{then - at:+.1f} s {what}" for then, what in log if abs(then - at) < AROUND)
