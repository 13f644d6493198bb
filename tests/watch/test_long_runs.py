"""A run longer than what is gone through after a restart: its start and its rest stay what they were."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import pytest

from drydown.core import Core
from drydown.effects import Conditioned, NoticeDue, StageChanged
from drydown.physics.plain import FEEDSTOCKS
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.reading import Reading
from drydown.run.stages import PAUSE, Stage
from drydown.settling.fall import pace_of, pull_for
from drydown.store.write import StoreWriter
from drydown.watch import rebuild
from drydown.watch.teller import SAME_RUN
from support.probed_tank import tank_with
from support.written import record

WALL = 1_789_200_000.0
TANK = tank_with({name: {"simulated": True} for name in ("fuel/temperature", "fuel/level", "blower/running")})
EVERY = 30.0  # s between two readings
HOUR = 3600.0
SWITCHES = (600.0, 1.5 * HOUR, 2 * HOUR, 4 * HOUR, 4.5 * HOUR)  # of the blower: on, off, on, ...
KINDS = (Conditioned, StageChanged)
OFF = 1200.0  # s: the end of the only stretch of the tank that cools
WARMTH, COLDER, LEVEL = 298.15, 283.15, 0.5  # K, K, m
AS_WARM = pull_for(TANK.fuel.settled_drop, LEVEL - TANK.standpipe) / pace_of(
    WARMTH, FEEDSTOCKS["used-cooking-oil"]
)


def to_unix(time: float) -> float:
    return time + WALL


class Evening:
    """A core that watches a tank, whose readings at a time `look` gives; all is recorded."""

    def __init__(self, path: Path, look: Callable[[float], Mapping[str, float | bool]]) -> None:
        self.core, self._store, self._look = Core(TANK), StoreWriter(path), look
        self.told: list[NoticeDue] = []
        self._now = 0.0

    def until(self, time: float) -> None:
        while self._now <= time:
            seen = self._look(self._now)
            readings = [Reading(name, self._now, seen[name]) for name in TANK.probes]
            effects = self.core.step(self._now, readings, ())
            self.told += [one for one in effects if isinstance(one, NoticeDue) and one.kind != "alarm"]
            record(self._store, [one for one in effects if isinstance(one, KINDS)], to_unix)
            self._now += EVERY
        self._store.commit({})


def cooling(time: float) -> dict[str, float | bool]:
    """It bubbles once, stands still for ever, and cools for three hours."""
    flicker = 0.0625 * (int(time / EVERY) % 2)
    running = SWITCHES[0] <= time < OFF
    return {
        "fuel/temperature": max(COLDER, WARMTH - 5.0 * time / HOUR) + flicker,
        "fuel/level": LEVEL + 0.01 * flicker,
        "blower/running": running,
    }


def relived(path: Path, now: float) -> Core:
    core = Core(TANK)
    for _ in rebuild.rebuild(core, path, now, lambda unix: unix - WALL, to_unix(now)):
        pass
    return core


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    monkeypatch.setattr(rebuild, "MOST", HOUR)
    yield tmp_path / "drydown.sqlite3"


def test_what_is_told_of_a_long_run_after_a_restart_is_the_same_happening(path: Path) -> None:
    tank = LiveTank(replace(scenario_of(TANK), switches=SWITCHES, drawings=(), surges=()))
    evening = Evening(path, lambda time: tank.look(time).readings)
    again: dict[str, float] = {}
    for restart in (4.25 * HOUR, 6.5 * HOUR):  # in a pause, and after it
        evening.until(restart)
        after = relived(path, restart)
        began = evening.core.batch.run_started
        assert began is not None
        assert after.batch.run_started == pytest.approx(began, abs=5)
        assert {mark(notice) for notice in evening.told} == {round(began, 3)}
        again |= {notice.kind: mark(notice) - began for notice in after.told_of_run}
    assert again.keys() & {notice.kind for notice in evening.told}, "something would be told again"
    assert all(abs(off) < SAME_RUN for off in again.values())


def mark(notice: NoticeDue) -> float:
    """When the run began that a notice is about."""
    return float(notice.key.rpartition("/")[2])


def test_rest_is_over_when_it_would_have_been_without_a_restart(path: Path) -> None:
    evening = Evening(path, cooling)
    evening.until(OFF + PAUSE + 1.2 * HOUR)
    after = relived(path, OFF + PAUSE + 1.2 * HOUR)
    assert after.batch.stage is Stage.RESTING
    end = rest_end(evening.core)
    assert end > OFF + 1.05 * AS_WARM
    assert rest_end(after) == pytest.approx(end, abs=60.0)
    effects = [*after.step(end - 120.0, (), ()), *after.step(end + 120.0, (), ())]
    rested = [one for one in effects if isinstance(one, NoticeDue) and one.kind == "rested"]
    assert [one.time for one in rested] == [end + 120.0]
    assert rested[0].values["rested"] == pytest.approx(end + 120.0 - OFF, abs=EVERY)
    assert rested[0].values["settled"] == TANK.fuel.settled_drop


def rest_end(core: Core) -> float:
    """When the rest is over if the fuel stays as warm as it is, to the minute."""
    return next(time for i in range(7 * 1440) if core.batch.rest.is_over(time := OFF + i * 60.0))
