"""What a run came to, by the record."""

import json
from collections.abc import Mapping
from pathlib import Path

import pytest

from drydown.bus.intake import Happening, Row
from drydown.effects import Priority
from drydown.run.movement import LevelKind
from drydown.store.read import StoreReader
from drydown.store.totals import totals
from drydown.store.write import StoreWriter

START = 1_780_000_000


def happened(second: float, body: Mapping[str, object]) -> Happening:
    kind, time = str(body["kind"]), round((START + second) * 1000)
    return Happening(0, 0, kind, time, f"{kind}/{time}", json.dumps(body))


def row(second: float, name: str, unit: str | None, value: float) -> Row:
    return name, unit, "number", round((START + second) * 1000), value, None


@pytest.fixture
def reader(tmp_path: Path) -> StoreReader:
    """A batch: filled, dried for an hour with a pause, dried again after a rest, drawn in part."""
    path = tmp_path / "store.sqlite3"
    writer = StoreWriter(path)
    stages = {0: "settling", 600: "bubbling", 2400: "paused", 3000: "bubbling", 4800: "paused"}
    stages |= {8400: "resting", 9000: "bubbling", 9600: "paused", 13200: "resting"}
    for second, stage in stages.items():
        writer.add_event("heron", happened(second, {"kind": "stage", "stage": stage, "by": "drydown"}))
    for second, kind, litres in ((90, "filling", 150), (13300, "draw", 20), (13400, "draw", 10)):
        volume = {"median": litres / 1e3, "low": litres / 1e3 - 0.001, "high": litres / 1e3 + 0.002}
        level = {"kind": "level", "level": kind, "start": 0, "volume": volume, "by": ""}
        writer.add_event("heron", happened(second, level))
    for second, change in ((700, "raised"), (710, "acknowledged"), (720, "returned"), (3100, "raised")):
        alarm = {"kind": "alarm", "alarm": "blower-hot", "priority": "high", "change": change}
        writer.add_event("heron", happened(second, alarm))
    counts = {601: 1, 2400: 1800, 3001: 1801, 4800: 3600, 8900: 3600, 9001: 1, 9600: 600}
    rows = [row(second, "blower/run_time", "s", count) for second, count in counts.items()]
    rows += [row(second, "fuel/volume", "m3", volume) for second, volume in ((599, 0.150), (4000, 0.149))]
    for tail, rate in (("", 2e-4), ("/low", 1e-4), ("/high", 4e-4)):
        rates = {60 * minute: rate for minute in range(10, 38)} | {2400: 0.0}
        rates |= {2700: rate, 9000: rate, 9060: 0.0, 9600: 0.0}
        rows += [row(second, f"estimate/emission{tail}", None, value) for second, value in rates.items()]
    writer.add_rows("heron", rows)
    writer.commit({})
    writer.close()
    return StoreReader(path)


def test_a_run_is_added_up(reader: StoreReader) -> None:
    (run,) = reader.runs("heron")
    found = totals(reader, run)
    assert found.run_time == 3600 + 600
    assert found.volume == 0.150
    assert found.alarms == {Priority.HIGH: 2}
    assert found.moved[LevelKind.FILLING].median == 0.150
    draw = found.moved[LevelKind.DRAW]
    assert (draw.median, draw.low, draw.high) == pytest.approx((0.030, 0.028, 0.034))


def test_what_was_driven_off_is_the_emission_over_time_and_a_gap_is_not_filled(reader: StoreReader) -> None:
    (run,) = reader.runs("heron")
    found = totals(reader, run).methanol
    assert found is not None
    whole = 27 * 60 + 120 + 60  # 27 min, two of an estimate after which none came for three, and a minute
    assert (found.median, found.low, found.high) == pytest.approx((2e-4 * whole, 1e-4 * whole, 4e-4 * whole))


def test_a_run_of_which_nothing_is_known_is_no_mistake(tmp_path: Path) -> None:
    writer = StoreWriter(tmp_path / "store.sqlite3")
    writer.add_event("heron", happened(0, {"kind": "stage", "stage": "bubbling", "by": "drydown"}))
    writer.commit({})
    writer.close()
    with StoreReader(tmp_path / "store.sqlite3") as reader:
        (run,) = reader.runs("heron")
        found = totals(reader, run)
    assert (found.run_time, found.volume, found.methanol, found.moved, found.alarms) == (
        0,
        None,
        None,
        {},
        {},
    )


@pytest.mark.parametrize(
    ("second", "blown"), [(-100, 4200), (2400, 2400), (5000, 600), (9000.5, 600), (20000, 0)]
)
def test_how_long_the_blower_ran_since(reader: StoreReader, second: float, blown: float) -> None:
    assert reader.blown_since("heron", START + second) == blown


def test_a_watcher_that_counts_from_0_again_between_runs_takes_nothing_away(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite3"
    writer = StoreWriter(path)
    for second, stage in {0: "bubbling", 600: "paused", 4200: "resting", 9000: "idle"}.items():
        writer.add_event("heron", happened(second, {"kind": "stage", "stage": stage, "by": "drydown"}))
    counts = {1: 1, 300: 300, 600: 600, 4200: 600, 9000: 600, 10000: 0}
    writer.add_rows("heron", [row(second, "blower/run_time", "s", count) for second, count in counts.items()])
    writer.commit({})
    writer.close()
    with StoreReader(path) as reader:
        assert reader.hour_meter("heron") == (600, 1)
        since = [reader.blown_since("heron", START + second) for second in (300, 5000, 11000)]
        assert since == [300, 0, 0]
