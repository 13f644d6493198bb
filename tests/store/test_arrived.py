"""What came into the store is listed, with every commit and every correction of a clock."""

import sqlite3
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.bus.intake import Happening, Judgement
from drydown.store import arrived
from drydown.store.arrived import NEAR, merged
from drydown.store.write import StoreWriter
from drydown.timeline import Mark

SPANS = st.lists(
    st.tuples(st.sampled_from(["heron", "plover"]), st.integers(0, 10**6), st.integers(0, 10**6))
)
START = 1_789_200_000_000


@pytest.fixture
def store(tmp_path: Path) -> StoreWriter:
    writer = StoreWriter(tmp_path / "store")
    writer.list_arrivals()
    return writer


def listed(path: Path) -> list[arrived.Row]:
    connection = sqlite3.connect(path)
    rows = connection.execute("SELECT id, tank, first, last FROM arrived ORDER BY id").fetchall()
    connection.close()
    return rows


def level(*times: int) -> list[tuple[str, str | None, str, int, float | bool | None, str | None]]:
    return [("fuel/level", "m", "number", START + time, 0.5, None) for time in times]


@given(SPANS)
def test_merged_spans_hold_the_same_moments_and_lie_apart(spans: list[arrived.Span]) -> None:
    found = merged(spans)
    for tank, first, last in spans:
        if first <= last:
            assert any(one == tank and begin <= first and last <= end for one, begin, end in found)
    for (tank, _, end), (after, begin, _) in pairwise(found):
        assert tank < after or begin - end > NEAR
    edges = {(tank, time) for tank, *times in spans for time in times}
    assert all({(tank, first), (tank, last)} <= edges for tank, first, last in found)


def test_a_commit_adds_a_row_for_each_tank_and_for_what_lies_far_away(
    store: StoreWriter, tmp_path: Path
) -> None:
    store.add_rows("heron", level(0, 1000, 5000))
    store.add_rows("plover", level(2000))
    store.add_judgements("heron", [Judgement("fuel/level", START - 10_000_000, "bad", "no answer")])
    store.add_event("heron", Happening(1, 1, "stage", START + 7000, "k", "{}"))
    store.commit({"heron": 1})
    store.commit({"heron": 2})  # nothing came
    assert [row[1:] for row in listed(tmp_path / "store")] == [
        ("", 0, -1),
        ("heron", START - 10_000_000, START - 10_000_000),
        ("heron", START, START + 7000),
        ("plover", START + 2000, START + 2000),
    ]


def test_what_a_clock_moves_is_listed_where_it_stands_then(store: StoreWriter, tmp_path: Path) -> None:
    wrong = Mark("boot", START - 1000, 1000, 0, False)
    store.add_rows("heron", level(0, 1000), wrong)
    store.commit({})
    right = Mark("boot", START + 3_600_000 - 1000, 3000, 0, True)
    store.add_rows("heron", level(3_602_000), right)
    store.commit({})
    _, was, *now = listed(tmp_path / "store")
    assert was[1:] == ("heron", START, START + 1000)
    inside = [any(first <= START + at <= last for _, _, first, last in now) for at in (3_600_000, 3_601_000)]
    assert inside == [True, True]


def test_what_turns_out_to_be_right_is_listed_again(store: StoreWriter, tmp_path: Path) -> None:
    store.add_rows("heron", level(0, 1000), Mark("boot", START - 1000, 1000, 0, False))
    store.commit({})
    before = len(listed(tmp_path / "store"))
    store.add_rows("heron", level(5000), Mark("boot", START - 1000, 4000, 0, True))
    store.commit({})
    again = listed(tmp_path / "store")[before:]
    assert any(first <= START and last >= START + 5000 for _, _, first, last in again)


def test_what_was_sent_is_let_go_but_for_the_last_row(store: StoreWriter, tmp_path: Path) -> None:
    for time in (0, 100_000, 200_000):
        store.add_rows("heron", level(time))
        store.commit({})
    rows = listed(tmp_path / "store")
    number, tank, first, last = rows[2]
    store.forget_arrivals((number, tank, first, last + 1))  # of another store
    store.commit({})
    assert listed(tmp_path / "store") == rows
    store.forget_arrivals(rows[2])
    store.commit({})
    assert listed(tmp_path / "store") == rows[2:]


def test_one_that_grows_too_long_begins_anew(
    store: StoreWriter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(arrived, "MOST", 5)
    for time in range(5):
        store.add_rows("heron", level(time * 100_000))
        store.commit({})
    (row,) = listed(tmp_path / "store")
    assert row[1:] == ("", 0, -1)
    assert row[0] > 5  # no number comes again


def test_it_is_kept_only_where_somebody_sends_on(store: StoreWriter, tmp_path: Path) -> None:
    store.add_rows("heron", level(0))
    store.commit({})
    store.close()
    plain = StoreWriter(tmp_path / "store")
    plain.list_no_arrivals()
    plain.add_rows("heron", level(1000))
    plain.commit({})
    assert listed(tmp_path / "store") == []
