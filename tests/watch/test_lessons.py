"""What a run taught outlives the watcher: the next begins with it, one that is relived begins as it did."""

import json
import time
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from drydown.bus.local_client import ask
from drydown.clock import Clock
from drydown.commands import Command, CorrectStage, Forget
from drydown.config.model import Tank
from drydown.core import Core
from drydown.effects import Conditioned, Derived, Effect, NoticeDue, StageChanged, Taught
from drydown.estimate.lesson import Lesson
from drydown.lines import Line, line_of
from drydown.orders import order_of
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.reading import Reading
from drydown.run.stages import Stage
from drydown.store.lessons import kept_lesson, lesson_at
from drydown.store.read import StoreReader
from drydown.store.write import StoreWriter
from drydown.watch.rebuild import rebuild
from drydown.watch.voice import Voice
from support.broker import Mosquitto, until
from support.probed_tank import tank_with
from support.processes import wait_until_said
from support.watched_place import Place, place
from support.written import record, record_event

PROBES = ("fuel/temperature", "fuel/level", "blower/running")
TANK = tank_with({name: {"simulated": True} for name in PROBES})
WALL = 1_789_200_000.0  # Unix s of the core's time 0
RUN, BETWEEN = 2400.0, 7200.0  # s: of bubbling, and from one run's end to the next filling
RESTING, SETTLING = (CorrectStage(stage, "Wren") for stage in (Stage.RESTING, Stage.SETTLING))


def to_unix(at: float) -> float:
    return at + WALL


def from_unix(at: float) -> float:
    return at - WALL


def ran(core: Core, since: float, bubbled: float) -> Iterator[tuple[Effect, ...]]:
    """A batch of the simulated tank from a time of the core on, until it has bubbled for so long."""
    live, at, started = LiveTank(scenario_of(TANK)), 0.0, None
    while started is None or at - started <= bubbled:
        seen = live.look(at).readings
        if started is None and seen["blower/running"]:
            started = at
        now = since + at
        yield core.step(now, [Reading(name, now, seen[name]) for name in PROBES], ())
        at += 10.0


@cache
def _first_run() -> tuple[Core, tuple[tuple[Effect, ...], ...]]:
    core = Core(TANK)
    return core, tuple(ran(core, 0.0, RUN))


def first_run() -> tuple[Core, tuple[tuple[Effect, ...], ...]]:
    """A core that has just watched its first run, and what it said; reckoned once for all tests."""
    core, said = _first_run()
    return deepcopy(core), said


def live(path: Path, second_run: float) -> tuple[Core, float]:
    """A core that watches a run, another fuel, and so much of a second run; all recorded. And the time."""
    (core, said), store = first_run(), StoreWriter(path)
    for effects in said:
        record(store, effects, to_unix)
    obey(core, store, RESTING, core.scene.now)
    obey(core, store, SETTLING, core.scene.now + BETWEEN)
    for effects in ran(core, core.scene.now + 10.0, second_run):
        record(store, effects, to_unix)
    store.commit({})
    store.close()
    return core, core.scene.now


def obey(core: Core, store: StoreWriter, command: Command, now: float) -> None:
    record(store, core.step(now, (), [command]), to_unix)
    record_event(store, {"kind": "command", "time": to_unix(now)} | (order_of(command) or {}))


def relived(path: Path, now: float, tank: Tank = TANK) -> Core:
    core = Core(tank)
    for _ in rebuild(core, path, now, from_unix, to_unix(now)):
        pass
    return core


def test_a_relived_run_begins_with_what_the_live_one_began_with(tmp_path: Path) -> None:
    path = tmp_path / "drydown.sqlite3"
    before, now = live(path, 1500.0)
    after = relived(path, now)
    assert before.lesson is not None
    assert after.lesson == before.lesson
    assert after._estimator._mean.tolist() == before._estimator._mean.tolist()
    assert after._estimator._covariance.tolist() == before._estimator._covariance.tolist()
    assert before._estimator._mean.any()
    old, new = before.estimate, after.estimate
    assert old and new and old.methanol and new.methanol
    assert new.methanol.median == pytest.approx(old.methanol.median, rel=0.02)
    assert new.methanol.high == pytest.approx(old.methanol.high, rel=0.05)


def test_reliving_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    path = tmp_path / "drydown.sqlite3"
    _, now = live(path, 600.0)
    one, other = (
        [
            json.dumps(line_of(effect, to_unix))
            for effect in rebuild(Core(TANK), path, now, from_unix, to_unix(now))
        ]
        for _ in range(2)
    )
    assert one == other


def test_what_is_taught_while_it_is_relived_is_what_was_recorded(tmp_path: Path) -> None:
    path = tmp_path / "drydown.sqlite3"
    (core, said), store = first_run(), StoreWriter(path)
    for effects in said:
        record(store, effects, to_unix)
    now = core.scene.now
    obey(core, store, RESTING, now)
    store.commit({})
    again = Core(TANK)
    told = [
        effect
        for effect in rebuild(again, path, now + 60, from_unix, to_unix(now + 60))
        if isinstance(effect, Taught)
    ]
    assert [effect.lesson for effect in told] == [core.lesson]
    assert again.lesson == core.lesson


def test_one_that_is_of_another_blower_is_neither_begun_with_nor_kept(tmp_path: Path) -> None:
    path = tmp_path / "drydown.sqlite3"
    _, now = live(path, 0.0)
    other = TANK.model_copy(update={"blower": TANK.blower.model_copy(update={"rated_flow": 0.02})})
    core = relived(path, now, other)
    assert core.lesson is None
    assert not core._estimator._mean.any()


def test_what_was_known_at_a_time_is_what_was_taught_and_not_forgotten_by_then(tmp_path: Path) -> None:
    path = tmp_path / "drydown.sqlite3"
    core, now = live(path, 0.0)
    store = StoreWriter(path)
    record_event(store, {"kind": "command", "time": to_unix(now + 60)} | (order_of(Forget("Wren")) or {}))
    store.commit({})
    with StoreReader(path) as reader:
        kept = kept_lesson(reader, "heron", to_unix(now))
        assert kept is not None
        assert lesson_at(reader, TANK, to_unix(now), from_unix) == core.lesson
        assert lesson_at(reader, TANK, kept.time - 1, from_unix) is None
        assert lesson_at(reader, TANK, to_unix(now + 61), from_unix) is None
        forgotten = kept_lesson(reader, "heron", to_unix(now + 61))
        assert forgotten is not None
        assert (forgotten.forgotten_by, forgotten.forgotten_at) == ("Wren", to_unix(now + 60))
    assert relived(path, now + 120).lesson is None


def test_what_is_in_memory_goes_on_without_a_store_and_goes_before_what_is_in_it(tmp_path: Path) -> None:
    """A watcher that failed while broker or store were away knows more than the store does."""
    path = tmp_path / "drydown.sqlite3"
    stored, now = live(path, 0.0)
    assert stored.lesson is not None
    newer = replace(stored.lesson, runs=7)
    for store in (tmp_path / "none.sqlite3", path):
        core = Core(TANK, newer)
        for _ in rebuild(core, store, now, from_unix, to_unix(now)):
            pass
        assert core.lesson == newer
        assert core._estimator._mean.any()


def test_an_event_that_is_no_lesson_is_none(tmp_path: Path) -> None:
    path = tmp_path / "drydown.sqlite3"
    store = StoreWriter(path)
    record_event(store, {"kind": "taught", "time": to_unix(0.0), "runs": "many"})
    store.commit({})
    assert relived(path, 60.0).lesson is None


class Nobody:
    """Outlets that nobody listens to."""

    def line(self, tank: str, line: Line) -> None:
        pass

    def notice(self, tank: str, notice: NoticeDue, unix_time: float) -> None:
        pass


def teach(made: Place) -> Lesson:
    """A run of an hour ago, said to the real broker by the voice of a watcher that then is gone."""
    (core, said), began = first_run(), time.time() - 7200.0
    clock = Clock(boot=lambda: 0.0, wall=lambda: began)
    voice = Voice(made.site, core, clock, Nobody(), lambda: None, None)
    voice.start()

    def is_heard() -> bool:
        voice.pump()
        return not voice.troubles() and voice.unconfirmed == 0

    until(is_heard, 20, "broker and recorder")
    for effects in said:
        voice.say([one for one in effects if isinstance(one, Conditioned | Derived | StageChanged)])
    for stage in (Stage.RESTING, Stage.DRAWN):
        voice.say(core.step(core.scene.now, (), [CorrectStage(stage, "Wren")]))
    voice.say_readings()
    until(is_heard, 20, "the recorder to confirm")
    voice.close()
    assert core.lesson is not None
    return core.lesson


def learned(made: Place) -> Any:
    """What the watcher says it begins the next run with; False while it is not there, or not yet sure."""
    state = made.state()
    return state["learned"] if state.get("stage") == "drawn" else False


def taught_in_store(made: Place) -> list[dict[str, Any]]:
    with StoreReader(made.site.store_path) as reader:
        return [event.body for event in reader.events("heron", 0, 1e11, ["taught", "command"])]


@pytest.mark.broker
def test_a_watcher_that_is_killed_between_runs_knows_it_again(tmp_path: Path, broker: Mosquitto) -> None:
    with place(tmp_path, broker.port) as made, made.command("record"):
        until(made.site.store_path.exists, 20)
        lesson = teach(made)
        assert [body["runs"] for body in taught_in_store(made)] == [1]
        for _ in range(2):
            with made.command("watch") as watch:
                until(lambda: learned(made), 20)
                assert learned(made)["runs"] == lesson.runs == 1
                watch._process.kill()
                watch._process.wait()
        assert [body["runs"] for body in taught_in_store(made)] == [1], "nothing was said twice"
        config = made.config.read_text()
        made.config.write_text(config.replace("rated_flow = 0.015", "rated_flow = 0.02"))
        with made.command("watch") as watch:
            told = wait_until_said(watch, "no longer used")
            assert "rated_flow was 0.015, is 0.02" in told
            until(lambda: learned(made) is None, 20)
            until(lambda: [body.get("command") for body in taught_in_store(made)] == [None, "forget"], 10)
        with made.command("watch") as watch:
            until(lambda: learned(made) is None, 20)
        assert made.folder.joinpath("watch.log").read_text().count("no longer used") == 1, "told once"


@pytest.mark.broker
def test_somebody_can_have_it_forgotten(tmp_path: Path, broker: Mosquitto) -> None:
    with place(tmp_path, broker.port) as made, made.command("record"):
        until(made.site.store_path.exists, 20)
        teach(made)
        with made.command("watch"):
            until(lambda: learned(made), 20)
            ask(made.site.socket_path, "command", tank="heron", command={"command": "forget", "who": "Wren"})
            assert learned(made) is None
            until(lambda: [body.get("command") for body in taught_in_store(made)] == [None, "forget"], 10)
        with made.command("watch"):
            until(lambda: learned(made) is None, 20)
