"""The store: written once however often it is told, read back as it was, refused when it is not ours."""

import json
import os
import sqlite3
import statistics
from dataclasses import asdict
from pathlib import Path

import pytest

from drydown.bus.intake import Happening, Judgement, Row
from drydown.store.read import Run, StoreReader, runs_from_stages
from drydown.store.schema import StoreError
from drydown.store.series import Series
from drydown.store.write import StoreWriter

START = 1_789_200_000
FUEL = "fuel/temperature"


def celsius(second: float, value: float, name: str = FUEL) -> Row:
    return (name, "Cel", "number", round((START + second) * 1000), value, None)


def happened(kind: str, second: float, body: str = "{}") -> Happening:
    return Happening(0, 0, kind, round((START + second) * 1000), f"{kind}/{second}", body)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "folder" / "drydown.sqlite3"


@pytest.fixture
def writer(path: Path) -> StoreWriter:
    return StoreWriter(path)


def test_the_same_reading_and_event_twice_are_one_row(writer: StoreWriter, path: Path) -> None:
    for _ in range(2):
        writer.add_rows("heron", [celsius(0, 33.5), celsius(1, 33.6)])
        writer.add_event("heron", happened("stage", 0))
        writer.commit({"heron": 3})
    with StoreReader(path) as reader:
        assert [sample.value for sample in reader.samples("heron", 0, 2 * START)] == [33.5, 33.6]
        assert len(reader.events("heron", 0, 2 * START)) == 1
    assert writer.cursors() == {"heron": 3}


def test_nothing_is_in_the_file_before_the_commit(writer: StoreWriter, path: Path) -> None:
    writer.add_rows("heron", [celsius(0, 33.5)])
    with StoreReader(path) as reader:
        assert reader.latest("heron") == {}
    writer.close()
    assert StoreWriter(path).cursors() == {}
    with StoreReader(path) as reader:
        assert reader.tanks() == []


def test_every_kind_of_value_comes_back_as_it_went_in(writer: StoreWriter, path: Path) -> None:
    time = START * 1000
    rows: list[Row] = [
        celsius(0, 33.5),
        ("blower/running", None, "boolean", time, True, None),
        ("estimate/verdict", None, "text", time, None, "drying"),
    ]
    assert writer.add_rows("heron", rows) == []
    jump = Judgement(FUEL, time, "doubtful", "jumps")
    silence = Judgement("air/humidity", time, "bad", "no answer")
    writer.add_judgements("heron", [silence, jump])
    writer.commit({})
    with StoreReader(path) as reader:
        latest = {name: (s.value, s.unit, s.quality, s.reason) for name, s in reader.latest("heron").items()}
    assert latest == {
        FUEL: (33.5, "Cel", "doubtful", "jumps"),
        "blower/running": (True, None, "good", ""),
        "estimate/verdict": ("drying", None, "good", ""),
        "air/humidity": (None, "%RH", "bad", "no answer"),
    }


def test_a_reading_in_another_unit_is_refused_by_name(writer: StoreWriter) -> None:
    assert writer.add_rows("heron", [celsius(0, 33.5)]) == []
    (misfit,) = writer.add_rows("heron", [(FUEL, "K", "number", START * 1000, 306.6, None)])
    assert misfit == "heron: fuel/temperature came as number in K, but it is kept as number in Cel"


@pytest.mark.parametrize("name", ["", "x" * 200, "a\nb", "\ud800"])
def test_a_name_that_is_no_name_is_refused(writer: StoreWriter, name: str) -> None:
    assert len(writer.add_rows("heron", [celsius(0, 1.0, name)])) == 1
    writer.commit({})


def test_a_flood_of_names_does_not_grow_without_end(writer: StoreWriter) -> None:
    refused = writer.add_rows("heron", [celsius(0, 1.0, f"name-{index}") for index in range(1500)])
    assert len(refused) == 500


def test_thinning_keeps_the_extremes_and_says_its_step(writer: StoreWriter, path: Path) -> None:
    values = [20 + (second % 100) / 10 for second in range(4000)]
    values[1234], values[2345] = 90.0, -40.0
    writer.add_rows("heron", [celsius(second, value) for second, value in enumerate(values)])
    writer.add_judgements("heron", [Judgement(FUEL, (START + 50) * 1000, "bad", "jump")])
    writer.commit({})
    with StoreReader(path) as reader:
        whole = reader.series("heron", FUEL, START, START + 3999, points=5000)
        thin = reader.series("heron", FUEL, START, START + 3999, points=100)
        assert reader.series("heron", "no/such", 0, 1) is None
    assert whole and thin
    assert (whole.step, len(whole.time)) == (0, 3999)  # the bad one is left out
    assert START + 50 not in whole.time
    assert thin.step == 40
    assert list(thin.time) == [START + 40 * i for i in range(100)]
    assert list(thin.count) == [40, 39] + [40] * 98
    assert (max(thin.high), min(thin.low)) == (90, -40)
    good = [value for second, value in enumerate(values) if second != 50]
    assert thin.value[1] == pytest.approx(statistics.fmean(good[40:79]), rel=1e-6)
    columns = zip(thin.low, thin.value, thin.high, strict=True)
    assert all(low - 1e-6 <= value <= high + 1e-6 for low, value, high in columns)


@pytest.mark.parametrize(("readings", "points", "step"), [(101, 100, 2), (4000, 3999, 2), (1000, 300, 4)])
def test_a_step_is_of_whole_seconds(
    writer: StoreWriter, path: Path, readings: int, points: int, step: float
) -> None:
    writer.add_rows("heron", [celsius(second, 20.0) for second in range(readings)])
    writer.commit({})
    with StoreReader(path) as reader:
        thin = reader.series("heron", FUEL, 0, 1e11, points)
    assert thin
    assert thin.step == step
    assert len(thin.time) == -(-readings // step) <= points
    assert sum(thin.count) == readings
    assert set(thin.value) == {20.0}


def test_as_json_it_is_the_same_and_ends_where_the_span_does(writer: StoreWriter, path: Path) -> None:
    writer.add_rows("heron", [celsius(second, 20.0 + second % 7 / 16) for second in range(1000)])
    writer.commit({})
    with StoreReader(path) as reader:
        for end, points, count in ((START + 804, 100, 805), (START + 49, 100, 50)):
            found, told = (
                read("heron", FUEL, START, end, points) for read in (reader.series, reader.series_json)
            )
            assert isinstance(found, Series)
            assert isinstance(told, str)
            assert json.loads(told) == asdict(found)
            assert sum(found.count) == count
        assert reader.series_json("heron", "no/such", 0, 1, 100) is None


def test_events_of_a_kind_the_newest_kept_in_order(writer: StoreWriter, path: Path) -> None:
    for second in range(10):
        writer.add_event("heron", happened("alarm" if second % 2 else "stage", second, f'{{"n": {second}}}'))
    writer.commit({})
    with StoreReader(path) as reader:
        chosen = reader.events("heron", START, START + 8, kinds=["alarm"], limit=3)
        assert [event.body["n"] for event in chosen] == [3, 5, 7]
        assert chosen[0].time == START + 3


def test_runs_are_cut_out_of_the_stages() -> None:
    stages = [
        (0.0, "idle"), (1.0, "settling"), (2.0, "bubbling"), (3.0, "paused"), (4.0, "bubbling"),
        (5.0, "resting"), (6.0, "ready"), (7.0, "drawn"), (8.0, "idle"), (9.0, "bubbling"),
    ]  # fmt: skip
    first, second = runs_from_stages("heron", stages)
    assert (first.start, first.end, len(first.stages)) == (1.0, 7.0, 7)
    assert second == Run("heron", 9.0, None, ((9.0, "bubbling"),))


def test_fuel_that_comes_after_bubbling_is_another_run() -> None:
    stages = [(1.0, "bubbling"), (2.0, "resting"), (3.0, "settling"), (4.0, "settling"), (5.0, "bubbling")]
    first, second = runs_from_stages("heron", stages)
    assert (first.start, first.end) == (1.0, 3.0)
    assert (second.start, second.end, len(second.stages)) == (3.0, None, 3)


def test_runs_come_from_the_stored_stages(writer: StoreWriter, path: Path) -> None:
    for second, stage in enumerate(["bubbling", "drawn", "settling"]):
        writer.add_event("heron", happened("stage", second, f'{{"stage": "{stage}"}}'))
    writer.commit({})
    with StoreReader(path) as reader:
        spans = [(run.start, run.end) for run in reader.runs("heron")]
    assert spans == [(START + 2, None), (START, START + 1)]


def test_the_hour_meter_adds_up_every_run(writer: StoreWriter, path: Path) -> None:
    stages = {0: "bubbling", 60: "paused", 90: "bubbling", 150: "resting", 200: "bubbling", 240: "drawn"}
    for second, stage in stages.items():
        writer.add_event("heron", happened("stage", second, f'{{"stage":"{stage}","by":"drydown"}}'))
    writer.add_event("heron", happened("stage", 300, '{"stage":"bubbling","by":"Wren"}'))
    counts = {0: 0.0, 30: 30.0, 60: 60.0, 90: 60.0, 150: 120.0, 200: 120.0, 201: 1.0, 240: 40.0}
    writer.add_rows(
        "heron",
        [
            ("blower/run_time", "s", "number", (START + at) * 1000, count, None)
            for at, count in counts.items()
        ],
    )
    writer.commit({})
    with StoreReader(path) as reader:
        assert reader.hour_meter("heron") == (160.0, 3)
        assert reader.hour_meter("plover") == (0, 0)


def test_a_store_that_is_not_there_says_how_it_comes_to_be(path: Path) -> None:
    with pytest.raises(StoreError, match="there is no store yet"):
        StoreReader(path)


def test_somebody_elses_database_is_left_alone(tmp_path: Path) -> None:
    theirs = tmp_path / "theirs.db"
    with sqlite3.connect(theirs) as other:
        other.execute("CREATE TABLE precious (thing)")
    other.close()
    before = theirs.read_bytes()
    for opening in (StoreWriter, StoreReader):
        with pytest.raises(StoreError, match="not a drydown store"):
            opening(theirs)
    assert theirs.read_bytes() == before


def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path) -> None:
    theirs = tmp_path / "letter.txt"
    theirs.write_text("Dear Tern, the ferry leaves at nine. " * 50)
    for opening in (StoreWriter, StoreReader):
        with pytest.raises(StoreError, match="not a drydown store"):
            opening(theirs)


def test_a_newer_store_is_left_alone(writer: StoreWriter, path: Path) -> None:
    writer.close()
    with sqlite3.connect(path) as newer:
        newer.execute("PRAGMA user_version = 99")
    newer.close()
    with pytest.raises(StoreError, match="newer drydown"):
        StoreWriter(path)


def test_a_folder_in_the_place_of_the_store_is_told_of(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"can't be opened|does not work"):
        StoreWriter(tmp_path)


def test_a_folder_that_can_t_be_made_is_told_of(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError, match="can't be opened"):
        StoreWriter(tmp_path / "file" / "drydown.sqlite3")


def test_a_full_disk_is_told_of_and_what_was_committed_stays(writer: StoreWriter, path: Path) -> None:
    writer.add_rows("heron", [celsius(0, 33.5)])
    writer.commit({"heron": 1})
    pages = writer._connection.execute("PRAGMA page_count").fetchone()[0]
    writer._connection.execute(f"PRAGMA max_page_count = {pages}")  # SQLite's own way to a full disk
    writer.add_rows("heron", [celsius(second, 1.0) for second in range(1, 2000)])
    with pytest.raises(StoreError, match="the disk is full"):
        writer.commit({"heron": 2})
    writer.close()
    assert StoreWriter(path).cursors() == {"heron": 1}
    with StoreReader(path) as reader:
        assert len(list(reader.samples("heron", 0, 2 * START))) == 1


def test_a_store_that_was_removed_under_the_recorder_is_told_of(writer: StoreWriter, path: Path) -> None:
    writer.add_rows("heron", [celsius(0, 33.5)])
    path.rename(path.with_suffix(".old"))
    with pytest.raises(StoreError, match="moved or removed"):
        writer.commit({"heron": 1})


@pytest.mark.skipif(os.geteuid() != 0, reason="needs to become another user")
def test_a_store_that_may_not_be_written_is_told_of(writer: StoreWriter, path: Path) -> None:
    writer.close()
    path.chmod(0o444)
    child = os.fork()
    if child == 0:
        os.setuid(65534)
        try:
            StoreWriter(path)
        except StoreError as error:
            os._exit(0 if "can't be" in str(error) else 1)
        os._exit(2)
    assert os.waitpid(child, 0)[1] == 0


def test_a_power_cut_can_t_take_back_a_commit(writer: StoreWriter) -> None:
    # SQLite's documentation of PRAGMA synchronous: in WAL mode only FULL (2) syncs the log at each commit.
    assert writer._connection.execute("PRAGMA synchronous").fetchone() == (2,)
    assert writer._connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_turns_of_what_is_on_or_off_with_silences(writer: StoreWriter, path: Path) -> None:
    said = [(0, True), (1, True), (2, False), (3, False), (400, False), (401, True)]
    rows: list[Row] = [
        ("blower/running", None, "boolean", (START + second) * 1000, on, None) for second, on in said
    ]
    rows += [("estimate/verdict", None, "text", START * 1000, None, "drying")]
    assert writer.add_rows("heron", rows) == []
    bad = [Judgement("blower/running", (START + 405) * 1000, "bad", "no answer")]
    writer.add_judgements("heron", bad)
    writer.commit({})
    with StoreReader(path) as reader:
        found = reader.turns("heron", "blower/running", START, START + 500)
        words = reader.turns("heron", "estimate/verdict", START, START + 500)
        assert reader.turns("heron", "vent/open", START, START + 500) == []
    told = [(time - START, told) for time, told in found]
    assert told == [(0, 1), (2, 0), (3, None), (400, 0), (401, 1), (405, None)]
    assert words == [(START, "drying")]


def test_a_fingerprint_is_another_with_a_reading_or_a_judgement_and_else_the_same(
    writer: StoreWriter, path: Path
) -> None:
    writer.add_rows("heron", [celsius(second, 20.0) for second in range(10)])
    writer.commit({})
    span = (START, START + 9)
    with StoreReader(path) as reader:
        prints = [reader.fingerprint("heron", [FUEL], *span)]
        writer.add_rows("heron", [celsius(20, 20.0), celsius(5, 20.0, "air/temperature")])
        writer.commit({})
        assert reader.fingerprint("heron", [FUEL], *span) == prints[0]  # what came is elsewhere
        writer.add_rows("heron", [celsius(4.5, 20.0)])
        writer.commit({})
        prints.append(reader.fingerprint("heron", [FUEL], *span))
        for quality in ("doubtful", "bad"):
            writer.add_judgements("heron", [Judgement(FUEL, (START + 5) * 1000, quality, "jump")])
            writer.commit({})
            prints.append(reader.fingerprint("heron", [FUEL], *span))
        prints.append(reader.fingerprint("heron", [FUEL, "air/temperature"], *span))
    assert len(set(prints)) == len(prints)
