"""Whole simulated evenings through the core, held against the truth beside them."""

import csv
import math
from itertools import pairwise
from pathlib import Path

import pytest

from drydown.bus.recorded import read_run
from drydown.config.load import load
from drydown.effects import AlarmChanged, Change, Effect, Priority, StageChanged
from drydown.physics.methanol import MOLAR_MASS
from drydown.physics.vapour_limits import LOWER_FLAMMABLE_LIMIT
from drydown.replay import replay
from drydown.simulate.draw import KITS
from drydown.simulate.write import write_run

SEEDS = range(501, 509)
NEAR = 0.9  # of the threshold: where the truth came so near an alarm by reckoning is no false one


Evening = tuple[Path, list[Effect]]


@pytest.fixture(scope="module", params=SEEDS)
def evening(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Evening:
    """The files of a run, without their endings, and all that the core decided."""
    folder = tmp_path_factory.mktemp("evening")
    write_run(folder, "evening", request.param, list(KITS)[request.param % len(KITS)])
    base = folder / "evening"
    site = load(base.with_suffix(".toml"))
    run = read_run(base.with_suffix(".senml"), "boathouse/heron/")
    return base, list(replay(site.tank[0], run))


def true_vapour(base: Path) -> float:
    """The highest share of the lower flammable limit in the room, by Euler steps of a second from the truth.

    60 m³, 0.5 m³/s of fresh air, mixing factor 3, as in the run's configuration; 20 °C.
    """
    with base.with_suffix(".truth.csv").open() as file:
        rows = [(float(row["time"]), float(row["emission_kg_s"])) for row in csv.DictReader(file)]
    concentration = highest = 0.0
    for (time, emission), (after, _) in pairwise(rows):
        for _ in range(round(after - time)):
            concentration += (emission - concentration * 0.5 / 3) / 60
        highest = max(highest, concentration)
    return highest / MOLAR_MASS * 8.314 * 293.15 / 101325 / LOWER_FLAMMABLE_LIMIT


def test_no_false_alarm_of_high_or_emergency_priority(evening: Evening) -> None:
    base, effects = evening
    raised = [e for e in effects if isinstance(e, AlarmChanged) and e.change is Change.RAISED]
    for alarm in (one for one in raised if one.priority is not Priority.LOW):
        if alarm.alarm == "blower-overrun":
            assert float(alarm.values["stretch"]) > 14400
        else:
            assert alarm.alarm == "vapour-high", alarm
            threshold = 0.25 if alarm.priority is Priority.EMERGENCY else 0.10
            assert true_vapour(base) > NEAR * threshold, alarm


def test_stages_follow_the_blower(evening: Evening) -> None:
    stages = [effect.stage for effect in evening[1] if isinstance(effect, StageChanged)]
    assert stages[:2] == ["settling", "bubbling"]
    assert set(stages[2:]) <= {"paused", "bubbling"}
    assert all(a != b for a, b in pairwise(stages))


def test_times_are_finite_and_never_go_back_for_events(evening: Evening) -> None:
    times = [effect.time for effect in evening[1] if isinstance(effect, AlarmChanged | StageChanged)]
    assert all(map(math.isfinite, times))
    assert times == sorted(times)
