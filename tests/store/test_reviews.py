"""What came of a run, by the record, against what the core said and what was true of the simulated tank."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from drydown.effects import Effect, NoticeDue, Priority, Taught
from drydown.run.report import gather
from drydown.store.read import Event, Run, StoreReader
from drydown.store.reports import stored_report
from drydown.store.reviews import Outcome, outcome, review
from drydown.store.write import StoreWriter
from support import weekly
from support.weekly import Batch
from support.written import record_event

BATCH = Batch(methanol=0.010, bubbles=4800.0, fuel=313.0, air=292.0, humidity=0.4, flow=0.0142, volume=0.170)
CUT_SHORT = replace(BATCH, bubbles=600.0)


@pytest.fixture(scope="module")
def effects() -> list[list[Effect]]:
    """Of a run that gets dry, and of one that is broken off."""
    return [weekly.run_of(BATCH, 1), weekly.run_of(CUT_SHORT, 2)]


@pytest.fixture(scope="module")
def reader(effects: list[list[Effect]], tmp_path_factory: pytest.TempPathFactory) -> Iterator[StoreReader]:
    path = tmp_path_factory.mktemp("reviews") / "store.sqlite3"
    weekly.copied(path, effects, 2, weekly.WEEK)
    store = StoreWriter(path)
    note = {"kind": "command", "time": weekly.FIRST + 60.0, "command": "note", "text": "dark", "who": "Ash"}
    record_event(store, note)
    store.commit({})
    store.close()
    with StoreReader(path) as found:
        yield found


def runs(reader: StoreReader) -> list[Run]:
    return reader.runs("heron")[::-1]


def test_a_dry_run(reader: StoreReader, effects: list[list[Effect]]) -> None:
    found = review(reader, runs(reader)[0])
    notices = {one.kind: one for one in effects[0] if isinstance(one, NoticeDue)}
    assert found.outcome is Outcome.DRY
    assert found.dry_at == weekly.FIRST + notices["dry"].time
    assert found.dry_after == notices["dry"].values["run_time"]
    assert found.gone_after == notices["methanol-gone"].values["run_time"]
    assert found.bubbled_at == weekly.FIRST + weekly.SETTLES
    assert found.notes == ("dark",)
    assert found.worst is Priority.LOW
    assert found.water is not None
    assert found.water.high < 0.0005


@pytest.mark.parametrize(("which", "batch"), [(0, BATCH), (1, CUT_SHORT)])
def test_methanol_at_the_start_is_about_what_it_was(reader: StoreReader, which: int, batch: Batch) -> None:
    found = review(reader, runs(reader)[which]).methanol_start
    assert found is not None
    assert found.low < batch.methanol < found.high
    assert found.median == pytest.approx(batch.methanol, rel=0.25)


def test_one_that_was_broken_off(reader: StoreReader) -> None:
    found = review(reader, runs(reader)[1])
    assert found.outcome is Outcome.BROKEN_OFF
    assert (found.gone_after, found.dry_after, found.dry_at, found.notes) == (None, None, None, ())
    assert found.methanol is not None
    assert found.methanol.median > 0.002


BLOWN = ("settling", "bubbling", "paused", "resting", "drawn")


@pytest.mark.parametrize(
    ("stages", "ended", "passed", "wanted"),
    [
        (BLOWN, True, ("methanol-gone", "dry", "stop"), Outcome.DRY),
        (BLOWN, True, ("methanol-gone", "air-limited"), Outcome.AIR_LIMITED),
        (BLOWN, True, ("methanol-gone", "wetting"), Outcome.AIR_LIMITED),
        (BLOWN, True, ("wetting",), Outcome.BROKEN_OFF),
        (BLOWN, True, ("methanol-gone",), Outcome.METHANOL_GONE),
        (BLOWN, True, (), Outcome.BROKEN_OFF),
        (BLOWN[:3], False, ("methanol-gone",), Outcome.GOING_ON),
        (BLOWN[:3], False, ("methanol-gone", "dry"), Outcome.DRY),
        (BLOWN[:4], False, (), Outcome.BROKEN_OFF),
        (("settling", "idle"), True, (), Outcome.NOT_BLOWN),
        (("settling",), False, (), Outcome.NOT_BLOWN),
    ],
)
def test_how_it_ended(stages: tuple[str, ...], ended: bool, passed: tuple[str, ...], wanted: Outcome) -> None:
    entered = tuple((float(i), stage) for i, stage in enumerate(stages))
    run = Run("heron", 0.0, 100.0 if ended else None, entered)
    assert outcome(run, {kind: Event(1, "heron", "notice", 5.0, {}) for kind in passed}) is wanted


def test_the_stored_report_is_what_a_replay_gathers(reader: StoreReader, effects: list[list[Effect]]) -> None:
    run = runs(reader)[0]
    assert run.end is not None
    stored = stored_report(reader, run, run.end)
    said = gather(effect for effect in effects[0] if not isinstance(effect, Taught))
    assert [one.stage for one in stored.stages] == [one.stage for one in said.stages]
    assert [one.alarm for one in stored.alarms] == [one.alarm for one in said.alarms]
    assert [one.kind for one in stored.milestones] == [one.kind for one in said.milestones]
    assert stored.not_watched == said.not_watched
    assert len(stored.estimates) == len(said.estimates)
    assert stored.run_time == pytest.approx(said.run_time, abs=1)
    assert stored.volume == pytest.approx(said.volume)
    assert stored.room.peaks.keys() == said.room.peaks.keys()
    for name, peak in said.room.peaks.items():
        assert stored.room.peaks[name].spread.median == pytest.approx(peak.spread.median, rel=1e-6), name
        assert stored.room.peaks[name].time == pytest.approx(weekly.FIRST + peak.time, abs=0.001)
    assert [(one.probe, one.quality, one.reason, one.count) for one in stored.doubts] == [
        (one.probe, one.quality, one.reason, one.count) for one in said.doubts
    ]


def test_readings_that_were_not_believed_are_counted(tmp_path: Path) -> None:
    from drydown.bus.intake import Judgement

    store = StoreWriter(tmp_path / "store.sqlite3")
    name = "fuel/temperature"
    store.add_judgements(
        "heron",
        [Judgement(name, 1000 * second, "bad", why) for second, why in ((5, "late"), (3, "CRC"), (9, "CRC"))]
        + [Judgement(name, 4000, "doubtful", "stuck")],
    )
    store.commit({})
    store.close()
    with StoreReader(tmp_path / "store.sqlite3") as reader:
        assert reader.doubted("heron", 0, 8) == [
            (name, "bad", "CRC", 2, 3.0, 5.0),
            (name, "doubtful", "stuck", 1, 4.0, 4.0),
        ]


def test_a_notice_that_says_no_time_is_no_milestone_in_time(tmp_path: Path) -> None:
    store = StoreWriter(tmp_path / "store")
    record_event(store, {"kind": "stage", "time": 0.0, "stage": "bubbling", "by": "drydown"})
    for time, key, said in ((60.0, "dry", "dry"), (61.0, "methanol-gone", None)):
        notice = {"kind": "notice", "time": time, "key": key, "notice": key, "priority": "low"}
        record_event(store, notice | {"values": {"run_time": said}})
    store.commit({})
    with StoreReader(tmp_path / "store") as reader:
        found = review(reader, reader.runs("heron")[0])
    assert (found.outcome, found.dry_after, found.gone_after) == (Outcome.DRY, None, None)
