"""Thinning keeps one reading a minute, every extreme and every change, and all events and estimates."""

import sqlite3
from collections import defaultdict
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.bus.intake import Happening, Judgement, Row
from drydown.store.read import Sample, StoreReader
from drydown.store.thin import HOUR
from drydown.store.write import StoreWriter
from drydown.timeline import Mark

START = 1_789_200_000  # Unix s, a whole hour
LONG_AFTER = (START + 10 * 3600) * 1000

assert START % 3600 == 0


def rows(name: str, values: list[float], kind: str = "number", first: int = START) -> list[Row]:
    return [(name, "m", kind, (first + second) * 1000, value, None) for second, value in enumerate(values)]


def thin(writer: StoreWriter, before: int = LONG_AFTER) -> int:
    deleted = 0
    while True:
        step = writer.thin(before, within=0.0)
        deleted += step.deleted
        if step.is_done:
            return deleted


def samples(path: Path) -> list[Sample]:
    with StoreReader(path) as reader:
        return list(reader.samples("heron", 0, 1e11))


def by_minute(found: list[Sample]) -> dict[int, list[float]]:
    minutes: dict[int, list[float]] = defaultdict(list)
    for sample in found:
        minutes[int(sample.time // 60)].append(float(sample.value or 0))
    return minutes


@settings(max_examples=25)
@given(st.lists(st.sampled_from([0.1, 0.2, 0.3, 0.4, 0.5]), min_size=1, max_size=400))
def test_each_minute_keeps_its_first_reading_and_its_extremes(
    tmp_path_factory: pytest.TempPathFactory, values: list[float]
) -> None:
    path = tmp_path_factory.mktemp("thin") / "store"
    writer = StoreWriter(path)
    writer.add_rows("heron", rows("fuel/level", values))
    writer.commit({})
    before = samples(path)
    deleted = thin(writer)
    after = samples(path)
    assert set(after) <= set(before)  # real readings, none made up
    assert len(before) - len(after) == deleted
    whole, kept = by_minute(before), by_minute(after)
    assert whole.keys() == kept.keys()
    for minute, readings in kept.items():
        assert len(readings) <= 3
        assert readings[0] == whole[minute][0]
        assert (min(readings), max(readings)) == (min(whole[minute]), max(whole[minute]))


@settings(max_examples=25)
@given(st.lists(st.booleans(), min_size=1, max_size=300))
def test_what_is_on_or_off_keeps_every_turn(
    tmp_path_factory: pytest.TempPathFactory, values: list[bool]
) -> None:
    path = tmp_path_factory.mktemp("thin") / "store"
    writer = StoreWriter(path)
    writer.add_rows("heron", rows("blower/running", list(map(float, values)), "boolean"))
    writer.commit({})
    with StoreReader(path) as reader:
        before = reader.turns("heron", "blower/running", 0, 1e11)
        thin(writer)
        assert reader.turns("heron", "blower/running", 0, 1e11) == before


def test_thinned_again_nothing_more_goes(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    writer.add_rows("heron", rows("fuel/level", [0.5 + (second * 7 % 11) / 100 for second in range(4000)]))
    writer.add_rows("heron", rows("vent/open", [float(second % 97 < 3) for second in range(4000)], "boolean"))
    writer.commit({})
    assert thin(writer) > 6000
    after = samples(path)
    assert thin(writer) == 0
    connection = sqlite3.connect(path)
    connection.execute("DELETE FROM thinned")  # as if it had never been told
    connection.commit()
    connection.close()
    assert thin(writer) == 0
    assert samples(path) == after


def test_events_estimates_and_what_is_younger_stay(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    writer.add_rows("heron", rows("estimate/water", [0.001] * 300))
    writer.add_rows("heron", rows("fuel/level", [0.5] * 300))
    writer.add_rows("heron", rows("fuel/level", [0.5] * 300, first=START + 3600))
    for second in range(50):
        body = '{"kind": "note"}'
        writer.add_event("heron", Happening(0, 0, "note", (START + second) * 1000, f"note/{second}", body))
    writer.commit({"heron": 7})
    assert thin(writer, before=START * 1000 + HOUR + 299_000) == 295  # not the hour that is not over
    with StoreReader(path) as reader:
        assert len(list(reader.samples("heron", 0, 1e11, ["estimate/water"]))) == 300
        assert len(list(reader.samples("heron", START + 3600, 1e11, ["fuel/level"]))) == 300
        assert len(list(reader.samples("heron", 0, START + 3599, ["fuel/level"]))) == 5
        assert len(reader.events("heron", 0, 1e11)) == 50
        assert reader.thinned_until("heron", "fuel/level") == START + 3600
        assert reader.thinned_until("heron", "estimate/water") is None
    assert writer.cursors() == {"heron": 7}


def test_bad_readings_are_thinned_apart_so_that_each_minute_still_says_so(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    writer.add_rows("heron", rows("fuel/level", [0.5] * 120))
    judged = [Judgement("fuel/level", (START + second) * 1000, "bad", "jumps") for second in range(10, 20)]
    writer.add_judgements("heron", judged)
    writer.commit({})
    thin(writer)
    kept = [(sample.time - START, sample.quality) for sample in samples(path)]
    assert kept == [(0, "good"), (10, "bad"), (60, "good")]


def test_what_a_clock_labelled_that_nobody_had_set_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    mark = Mark(boot="b", offset=0, at=0, since=0, sure=False)
    writer.add_rows("heron", rows("fuel/level", [0.5] * 120, first=3600), mark)
    writer.commit({})
    assert thin(writer) == 0
    assert len(samples(path)) == 120


def test_nothing_is_thinned_while_anything_waits_to_be_committed(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    writer.add_rows("heron", rows("fuel/level", [0.5] * 120))
    assert writer.thin(LONG_AFTER, within=1.0).deleted == 0
    writer.commit({})
    assert writer.thin(LONG_AFTER, within=1.0).deleted == 118


def test_cut_short_in_the_middle_it_is_as_before_and_then_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    writer.add_rows("heron", rows("fuel/level", [0.5] * 4000))
    writer.commit({})
    connection = writer._connection
    connection.execute(
        "CREATE TEMP TRIGGER cut BEFORE INSERT ON thinned BEGIN SELECT raise(ABORT, 'cut'); END"
    )
    with pytest.raises(Exception, match="cut"):
        writer.thin(LONG_AFTER, within=1.0)
    writer.close()
    assert len(samples(path)) == 4000
    assert thin(StoreWriter(path)) == 4000 - 67
