"""Weekly runs of the boathouse's heron through a year: seasons, other fuel, a blower that fades."""

import fcntl
import math
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest

from drydown.bus import intake, wire
from drydown.bus.spool import SERIES, Message
from drydown.commands import CorrectStage
from drydown.config.load import load
from drydown.core import Core
from drydown.effects import Effect, Estimated, Taught
from drydown.estimate.lesson import Lesson
from drydown.probes.simulated import scenario_of
from drydown.reading import Reading
from drydown.run.stages import Stage
from drydown.simulate.scene import Scenario, Weather, open_scene, step
from drydown.simulate.tank import begin
from drydown.store.write import StoreWriter
from support.boathouse import heron
from support.site_file import write_site
from support.written import record

WEEK = 7 * 86_400
FIRST = 1_780_041_600  # Unix s: Friday 29 May 2026, 08:00 UTC
SETTLES, RESTS = 600.0, 1800.0  # s before and after bubbling
SAMPLING, AT_REST = 30.0, 120.0  # s
TANK = heron(room={"volume": 60.0, "fresh_air": 0.9, "mixing_factor": 2})


@dataclass(frozen=True)
class Batch:
    """What is true of one week's run: mass fraction of methanol, s of bubbling, K, and m³/s of air."""

    methanol: float
    bubbles: float
    fuel: float
    air: float
    humidity: float
    flow: float
    volume: float


def batches(weeks: int, fading: float = 0.3) -> Iterator[Batch]:
    """One a week; over a year the blower loses a share `fading` of its air."""
    dice = Random("weekly runs")
    for week in range(weeks):
        season = math.cos(2 * math.pi * week / 52)  # 1 in June
        yield Batch(
            methanol=dice.uniform(0.006, 0.014),
            bubbles=600.0 if week % 13 == 7 else 5400.0,  # now and then somebody breaks off
            fuel=311.0 + dice.gauss(0.0, 1.5),
            air=288.0 + 6.0 * season + dice.gauss(0.0, 1.0),
            humidity=min(0.9, max(0.3, dice.gauss(0.5, 0.08))),
            flow=0.0145 * (1.0 - fading * week / 52) * math.exp(dice.gauss(0.0, 0.02)),
            volume=dice.uniform(0.150, 0.190),
        )


def write(path: Path, chosen: list[Batch], every: float = WEEK) -> None:
    """Each batch through a core of its own, which begins with what the one before taught, into a store.

    There each stands in two weeks running, as twice as many runs would take twice as long.
    """
    store = StoreWriter(path)
    lesson: Lesson | None = None
    for number, batch in enumerate(chosen):
        begun = FIRST + 2 * number * every
        effects = run_of(batch, number, lesson)
        for again in (0.0, every):
            _record(store, effects, begun + again)
        for taught in (effect for effect in effects if isinstance(effect, Taught)):
            lesson = replace(taught.lesson, since=taught.lesson.since - 2 * every)
    store.close()


@contextmanager
def year(factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The configuration of a site with 52 of these runs; made once for all workers of a session."""
    folder = factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent
    kept = folder / "weekly.sqlite3"
    with (folder / "weekly.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not kept.exists():
            write(folder / "weekly.begun", list(batches(52))[1::2])
            (folder / "weekly.begun").rename(kept)
    with TemporaryDirectory(dir=folder) as place:
        yield site(Path(place), kept)


def site(folder: Path, store: Path) -> Path:
    """The configuration of a site that this is the record of."""
    path = write_site(folder, "boathouse", ["heron"], 1)
    path.write_text(path.read_text().replace("fresh_air = 0.5", "fresh_air = 0.9, mixing_factor = 2"))
    wanted = load(path).store_path
    wanted.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(store, wanted)
    return path


def copied(path: Path, source: list[list[Effect]], runs: int, every: float) -> None:
    """So many runs, each as one of those before, in turn: where only their number matters."""
    store = StoreWriter(path)
    for i in range(runs):
        _record(store, source[i % len(source)], FIRST + i * every)
    store.close()


def run_of(batch: Batch, seed: int, lesson: Lesson | None = None) -> list[Effect]:
    """What a core decides from filling until the fuel is drawn; its clock begins at 0."""
    planned, core, dice = scenario(batch), Core(TANK, lesson), Random(f"week {seed}")
    effects: list[Effect] = []
    scene, moment = step(open_scene(planned), 0.0, dice)
    while moment.elapsed < planned.duration:
        while core.due < moment.elapsed:
            effects += core.step(core.due, (), ())
        read = [Reading(name, moment.elapsed, value) for name, value in moment.readings.items()]
        effects += core.step(moment.elapsed, read, ())
        near = moment.elapsed < SETTLES + batch.bubbles + 900.0
        scene, moment = step(scene, SAMPLING if near else AT_REST, dice)
    return effects + list(core.step(moment.elapsed, (), [CorrectStage(Stage.DRAWN, "somebody")]))


def _record(store: StoreWriter, effects: list[Effect], begun: float) -> None:
    def to_unix(now: float) -> float:
        return begun + now

    record(store, effects, to_unix)
    told = [wire.estimate(one.estimate, to_unix) for one in effects if isinstance(one, Estimated)]
    for body in told:
        pack = intake.pack(wire.payload(Message("", (body,), SERIES, False, 1, 1), "b/"), "b/")
        store.add_rows("heron", pack.rows)
    store.commit({})


def scenario(batch: Batch) -> Scenario:
    """A batch as the simulation knows it."""
    plain = scenario_of(TANK)
    truth = replace(plain.tank, blower=replace(plain.tank.blower, flow=batch.flow))
    start = begin(truth, batch.volume, batch.methanol, 0.0009, batch.fuel, batch.air, plain.start.layer)
    return replace(
        plain,
        tank=truth,
        start=start,
        weather=Weather(3600.0, (batch.air, batch.air), (batch.humidity, batch.humidity)),
        duration=SETTLES + batch.bubbles + RESTS,
        switches=(SETTLES, SETTLES + batch.bubbles),
        vent_openings=(),
    )
