"""A core that relives what was recorded stands where the one before it stood."""

import json
from pathlib import Path

import pytest

from drydown.commands import BenchTest
from drydown.core import Core
from drydown.effects import AlarmChanged, Conditioned, Effect, NoticeDue
from drydown.orders import order_of
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.reading import Quality, Reading
from drydown.run.stages import Stage
from drydown.store.write import StoreWriter
from drydown.watch.rebuild import rebuild
from support.probed_tank import tank_with
from support.written import record, record_event

WALL = 1_789_200_000.0
TANK = tank_with({name: {"simulated": True} for name in ("fuel/temperature", "fuel/level", "blower/running")})


def to_unix(time: float) -> float:
    return time + WALL


def from_unix(time: float) -> float:
    return time - WALL


def live(path: Path, until: float, test_at: float | None = None) -> Core:
    """A core that watches the simulated tank from its beginning, with everything recorded."""
    core, simulated, store = Core(TANK), LiveTank(scenario_of(TANK)), StoreWriter(path)
    now = 0.0
    while now <= until:
        seen = simulated.look(now).readings
        readings = [Reading(name, now, seen[name]) for name in TANK.probes]
        record(store, list(core.step(now, readings, ())), to_unix)
        if now == test_at:
            test = BenchTest("methanol", 0.012, 0.001, "Wren")
            record(store, list(core.step(now, (), [test])), to_unix)
            record_event(store, {"kind": "command", "time": to_unix(now)} | (order_of(test) or {}))
        now += 5.0
    store.commit({})
    store.close()
    return core


def relived(path: Path, now: float) -> Core:
    core = Core(TANK)
    for _ in rebuild(core, path, now, from_unix, to_unix(now)):
        pass
    return core


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "drydown.sqlite3"


def bubbling_for(seconds: float) -> float:
    """When the simulated tank has bubbled for so long."""
    simulated, now = LiveTank(scenario_of(TANK)), 0.0
    while not simulated.look(now).readings["blower/running"]:
        now += 5.0
    return now + seconds


def test_run_time_stage_and_estimate_go_on(path: Path) -> None:
    end = bubbling_for(2400.0)
    before, after = live(path, end), relived(path, end)
    assert (before.batch.stage, after.batch.stage) == (Stage.BUBBLING, Stage.BUBBLING)
    assert after.timer.run == pytest.approx(before.timer.run, abs=1)
    assert after.batch.run_started == pytest.approx(before.batch.run_started, abs=5)
    old, new = before.estimate, after.estimate
    assert old and new and old.methanol and new.methanol
    assert new.methanol.median == pytest.approx(old.methanol.median, rel=0.02)
    assert new.methanol.high == pytest.approx(old.methanol.high, rel=0.05)


def test_the_hour_meter_goes_on_however_long_ago_the_blower_ran(path: Path) -> None:
    end = bubbling_for(600.0)
    before = live(path, end)
    for later in (10.0, 1e6):
        after = relived(path, end + later)
        assert after.timer.total == pytest.approx(before.timer.total, abs=10)
        assert after.timer.starts == before.timer.starts == 1


def test_what_is_relived_is_told_as_it_goes_and_not_kept(path: Path) -> None:
    live(path, 900.0)
    core = Core(TANK)
    told = rebuild(core, path, 900.0, from_unix, to_unix(900.0))
    next(iter(told))
    assert core.scene.now < 60.0
    assert sum(1 for _ in told) > 500
    assert core.scene.now == 900.0


def test_what_was_commanded_after_the_last_recorded_reading_is_relived(path: Path) -> None:
    end = bubbling_for(900.0)
    live(path, end)
    before = methanol_high(relived(path, end + 5.0))
    store = StoreWriter(path)
    order = order_of(BenchTest("methanol", 0.012, 0.001, "Wren")) or {}
    record_event(store, {"kind": "command", "time": to_unix(end + 2.0)} | order)
    store.commit({})
    assert methanol_high(relived(path, end + 5.0)) != pytest.approx(before, rel=0.1)


def test_an_alarm_that_falls_due_after_the_record_ends_is_left_to_be_raised_live(path: Path) -> None:
    live(path, 900.0)
    store = StoreWriter(path)
    hot = [Reading("fuel/temperature", 901.0, 345.15)]
    record(store, [Conditioned(reading) for reading in hot], to_unix)
    record_event(store, {"kind": "stage", "time": to_unix(901.0), "stage": "ready", "by": "Wren"})
    store.commit({})
    core = relived(path, 1500.0)
    assert core.batch.stage is Stage.READY
    raised = [effect.alarm for effect in core.step(1500.0, (), ()) if isinstance(effect, AlarmChanged)]
    assert "fuel-hot" in raised


def test_what_was_recorded_as_bad_stays_bad(path: Path) -> None:
    live(path, 900.0)
    store = StoreWriter(path)
    fault = "the current loop carries 22.00 mA, above 21 mA: its wires are shorted"
    record(store, [Conditioned(Reading("fuel/level", 901.0, 0.95, Quality.BAD, fault))], to_unix)
    store.commit({})
    core = relived(path, 902.0)
    assert core.scene.lost["fuel/level"].reason == fault


def test_a_bench_test_is_relived_too(path: Path, tmp_path: Path) -> None:
    end = bubbling_for(1800.0)
    untested = live(tmp_path / "untested.sqlite3", end)
    before = live(path, end, test_at=end - 300)
    after = relived(path, end)
    assert methanol_high(after) == pytest.approx(methanol_high(before), rel=0.05)
    assert methanol_high(after) != pytest.approx(methanol_high(untested), rel=0.1)


def methanol_high(core: Core) -> float:
    assert core.estimate and core.estimate.methanol
    return core.estimate.methanol.high


def test_a_stage_of_long_ago_is_still_known(path: Path) -> None:
    store = StoreWriter(path)
    resting = {"kind": "stage", "time": to_unix(0.0), "stage": "resting", "by": "drydown"}
    record_event(store, {**resting, "time": to_unix(-5000.0), "stage": "bubbling"})
    record_event(store, resting)
    store.commit({})
    core = relived(path, 100_000.0)
    assert core.batch.stage is Stage.RESTING


def test_a_store_that_is_not_there_or_not_ours_begins_afresh(path: Path) -> None:
    assert relived(path, 100.0).batch.stage is Stage.IDLE
    path.write_text(json.dumps({"not": "a store"}) * 100)
    assert relived(path, 100.0).batch.stage is Stage.IDLE


def test_nothing_recorded_is_nothing_relived(path: Path) -> None:
    StoreWriter(path).close()
    assert list(rebuild(Core(TANK), path, 100.0, from_unix, to_unix(100.0))) == []


def test_alarms_are_not_told_again(path: Path) -> None:
    core, store = Core(TANK), StoreWriter(path)
    said: list[Effect] = []
    for second in range(0, 900, 2):
        now = float(second)
        hot = 66.0 if 300 < now < 600 else 30.0
        readings = [Reading("fuel/temperature", now, 273.15 + hot + now % 3 / 16)]
        readings += [Reading("fuel/level", now, 0.5), Reading("blower/running", now, False)]
        effects = core.step(now, readings, ())
        record(store, list(effects), to_unix)
        said += effects
    store.commit({})
    assert any(isinstance(effect, AlarmChanged) for effect in said)
    again = list(rebuild(Core(TANK), path, 900.0, from_unix, to_unix(900.0)))
    assert again
    assert not any(isinstance(effect, AlarmChanged | NoticeDue) for effect in again)
