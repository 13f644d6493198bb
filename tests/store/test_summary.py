"""What is summed up is what the readings come to, whatever comes late, is judged, moved or thinned."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from drydown.bus.intake import Judgement, Row
from drydown.store.read import StoreReader
from drydown.store.summary import AT_ONCE, GOOD, PIECE, STRETCH
from drydown.store.thin import HOUR
from drydown.store.write import StoreWriter
from drydown.timeline import Mark

START = 1_789_200_000_000  # Unix ms, a whole hour
LEVEL, RUNNING = "fuel/level", "blower/running"
UNSURE = Mark("b", 0, 0, 0, False)

SUMMED_UP = "SELECT s.series, time, count, total, low, high FROM summary s ORDER BY 1, 2"
OF_READINGS = f"""
SELECT series, (time - (time % {PIECE} + {PIECE}) % {PIECE}) AS piece, count(value), sum(value), min(value),
    max(value)
FROM reading JOIN summarised USING (series) WHERE time < until AND {GOOD} GROUP BY 1, 2 ORDER BY 1, 2
"""

moments = st.integers(0, 2 * HOUR)
counts = st.integers(1, 200)
steps = st.one_of(
    st.tuples(st.just("rows"), moments, counts),
    st.tuples(st.just("unsure"), moments, counts),
    st.tuples(st.just("judge"), moments, counts),
    st.tuples(st.just("set"), st.sampled_from([START, START - 5000, START + 12_345, 3 * START]), counts),
    st.tuples(st.just("thin"), moments, counts),
)


def rows(first: int, count: int, name: str = LEVEL, kind: str = "number") -> list[Row]:
    times = range(first, first + 1000 * count, 1000)
    return [
        (name, None, kind, time, float(time // 1000 % 2 if kind == "boolean" else time % 97), None)
        for time in times
    ]


def take(writer: StoreWriter, what: str, at: int, count: int) -> None:
    if what == "rows":
        writer.add_rows("heron", rows(START + at, count))
        writer.add_rows("heron", rows(START + at, count, RUNNING, "boolean"))
    elif what == "unsure":
        writer.add_rows("heron", rows(at, count), UNSURE)
    elif what == "judge":
        judged = [
            Judgement(LEVEL, START + at + 1000 * nth, ("doubtful", "bad")[nth % 2], "")
            for nth in range(count)
        ]
        writer.add_judgements("heron", judged)
    elif what == "set":
        writer.add_rows("heron", [], Mark("b", at, 3 * HOUR, count * 10_000, True))
    writer.commit({})
    if what == "thin":
        writer.thin(START + at, within=60.0)


def agree(path: Path) -> int:
    """How many there are, once they have been found right."""
    with closing(sqlite3.connect(path)) as store:
        found = store.execute(SUMMED_UP).fetchall()
        assert found == store.execute(OF_READINGS).fetchall()
    return len(found)


@settings(max_examples=40)
@example([("thin", HOUR, 1)])
@given(st.lists(steps, min_size=1, max_size=6))
def test_they_always_agree_with_the_readings(
    tmp_path_factory: pytest.TempPathFactory, told: list[tuple[str, int, int]]
) -> None:
    path = tmp_path_factory.mktemp("summary") / "store"
    writer = StoreWriter(path)
    for step in [("rows", 0, 4000), ("unsure", 0, 2000), *told]:
        take(writer, *step)
        assert agree(path)
    writer.close()


@settings(max_examples=40)
@given(
    st.lists(steps, max_size=5),
    st.integers(-9000, HOUR),
    st.integers(0, 2 * HOUR),
    st.sampled_from([2, 7, 40, 450, 900]),
)
def test_a_long_span_is_thinned_to_what_its_readings_come_to(
    tmp_path_factory: pytest.TempPathFactory,
    told: list[tuple[str, int, int]],
    first: int,
    length: int,
    points: int,
) -> None:
    path = tmp_path_factory.mktemp("summary") / "store"
    writer = StoreWriter(path)
    for step in [("rows", 777, 4000), *told]:
        take(writer, *step)
    writer.close()
    start, end = (START + first) / 1000, (START + first + length) / 1000
    with StoreReader(path) as reader:
        whole = reader.series("heron", LEVEL, start, end, 10**6)
        thin = reader.series("heron", LEVEL, start, end, points)
    assert whole and thin
    assert len(thin.time) <= points
    assert sum(thin.count) == len(whole.time)
    if not thin.step:
        return
    for nth, time in enumerate(thin.time):
        held = [
            value
            for at, value in zip(whole.time, whole.value, strict=True)
            if time - 1e-6 < at < time + thin.step - 1e-6
        ]
        assert (thin.count[nth], thin.low[nth], thin.high[nth]) == (len(held), min(held), max(held))
        assert thin.value[nth] == pytest.approx(sum(held) / len(held), rel=1e-6, abs=1e-6)


def test_whole_stretches_are_summed_up_and_no_estimate_or_word(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    writer.add_rows("heron", rows(START, 1000))
    writer.add_rows("heron", rows(START, 1000, "estimate/water"))
    writer.add_rows(
        "heron", [("estimate/verdict", None, "text", START + at, None, "dry") for at in range(0, 10**6, 1000)]
    )
    writer.commit({})
    assert agree(path) == (START + 999_000) // STRETCH * 8 - START // STRETCH * 8


def test_a_store_that_had_none_is_summed_up_bit_by_bit(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    for day in range(3):
        writer.add_rows("heron", rows(START + 24 * HOUR * day, 60 * 60))
    writer.commit({})
    with closing(sqlite3.connect(path)) as store:
        store.executescript("DELETE FROM summary; DELETE FROM summarised;")
    reached = []
    for second in range(4):
        writer.add_rows("heron", rows(START + 49 * HOUR + 1000 * second, 1))
        writer.commit({})
        agree(path)
        with closing(sqlite3.connect(path)) as store:
            reached += store.execute("SELECT (until - ?) / ? FROM summarised", (START, AT_ONCE)).fetchone()
    assert reached == [1, 5, 8, 8]


def test_a_clock_that_ran_ahead_leaves_nothing_behind(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    ahead = Mark("b", 3 * START, 0, 0, False)
    writer.add_rows("heron", rows(3 * START, 1000), ahead)
    writer.commit({})
    writer.add_rows("heron", rows(START + 1_000_000, 1000), Mark("b", START, 1_000_000, 0, True))
    writer.commit({})
    assert agree(path) == (START + 1_999_000) // STRETCH * 8 - START // STRETCH * 8
