"""A store of an earlier version is brought to the present one with everything in it, or left as it was."""

import sqlite3
from pathlib import Path

import pytest

from drydown.store.migrate import STEPS
from drydown.store.read import StoreReader
from drydown.store.schema import APPLICATION, VERSION, StoreError
from drydown.store.write import StoreWriter

VERSION_1 = """
CREATE TABLE series (
    id INTEGER PRIMARY KEY, tank TEXT NOT NULL, name TEXT NOT NULL, unit TEXT,
    kind TEXT NOT NULL CHECK (kind IN ('number', 'boolean', 'text')), UNIQUE (tank, name)
);
CREATE TABLE reading (
    series INTEGER NOT NULL REFERENCES series (id), time INTEGER NOT NULL, value REAL, text TEXT,
    quality INTEGER, reason TEXT, PRIMARY KEY (series, time)
) WITHOUT ROWID;
CREATE TABLE event (
    id INTEGER PRIMARY KEY, tank TEXT NOT NULL, kind TEXT NOT NULL, time INTEGER NOT NULL,
    key TEXT NOT NULL UNIQUE, body TEXT NOT NULL
);
CREATE INDEX event_when ON event (tank, time);
CREATE TABLE recorded (tank TEXT PRIMARY KEY, batch INTEGER NOT NULL) WITHOUT ROWID;
"""
"""As version 1 was made."""
ROWS = """
INSERT INTO series VALUES (1, 'heron', 'fuel/level', 'm', 'number'), (2, 'heron', 'note', NULL, 'text');
INSERT INTO reading VALUES
    (1, 1789200000000, 0.5, NULL, NULL, NULL),
    (1, 1789200001000, NULL, NULL, 2, 'no answer'),
    (2, 1789200000000, NULL, 'cloudy', NULL, NULL);
INSERT INTO event VALUES (7, 'heron', 'stage', 1789200000000, 'heron/stage/1789200000000/bubbling',
    '{"kind": "stage", "time": 1789200000.0, "stage": "bubbling", "by": "drydown"}');
INSERT INTO recorded VALUES ('heron', 42);
"""
VERSION_2 = """
CREATE TABLE series (
    id INTEGER PRIMARY KEY, tank TEXT NOT NULL, name TEXT NOT NULL, unit TEXT,
    kind TEXT NOT NULL CHECK (kind IN ('number', 'boolean', 'text')), UNIQUE (tank, name)
);
CREATE TABLE reading (
    series INTEGER NOT NULL REFERENCES series (id), time INTEGER NOT NULL, value REAL, text TEXT,
    quality INTEGER, reason TEXT, clock INTEGER NOT NULL DEFAULT 0, PRIMARY KEY (series, time, clock)
) WITHOUT ROWID;
CREATE TABLE event (
    id INTEGER PRIMARY KEY, tank TEXT NOT NULL, kind TEXT NOT NULL, time INTEGER NOT NULL,
    key TEXT NOT NULL UNIQUE, body TEXT NOT NULL, clock INTEGER NOT NULL DEFAULT 0
);
CREATE INDEX event_when ON event (tank, time);
CREATE TABLE clock (
    id INTEGER PRIMARY KEY, tank TEXT NOT NULL, boot TEXT NOT NULL, "offset" INTEGER NOT NULL,
    at INTEGER NOT NULL, since INTEGER NOT NULL, sure INTEGER NOT NULL
);
CREATE TABLE recorded (tank TEXT PRIMARY KEY, batch INTEGER NOT NULL) WITHOUT ROWID;
"""
"""As version 2 was made."""
VERSION_3 = f"""{VERSION_2}
CREATE TABLE thinned (series INTEGER PRIMARY KEY REFERENCES series (id), until INTEGER NOT NULL);
"""
"""As version 3 was made."""
VERSION_4 = f"""{VERSION_3}
CREATE TABLE arrived (
    id INTEGER PRIMARY KEY AUTOINCREMENT, tank TEXT NOT NULL, first INTEGER NOT NULL, last INTEGER NOT NULL
);
"""
"""As version 4 was made."""
SHAPES = {1: VERSION_1, 2: VERSION_2, 3: VERSION_3, 4: VERSION_4}


@pytest.fixture(params=SHAPES)
def old(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    path = tmp_path / "store"
    connection = sqlite3.connect(path)
    rows = ROWS
    if request.param > 1:  # what later versions added has defaults
        rows = rows.replace("reading VALUES", "reading (series, time, value, text, quality, reason) VALUES")
        rows = rows.replace("event VALUES", "event (id, tank, kind, time, key, body) VALUES")
    connection.executescript(
        f"{SHAPES[request.param]} {rows}"
        f" PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {request.param};"
    )
    connection.close()
    return path


def shape(path: Path) -> list[tuple[str, str, str]]:
    connection = sqlite3.connect(path)
    tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
    found = [
        (table, column[1], column[2])
        for table in sorted(tables)
        for column in connection.execute(f"PRAGMA table_info({table})")
    ]
    connection.close()
    return found


def test_everything_is_there_afterwards_and_writing_goes_on(old: Path) -> None:
    writer = StoreWriter(old)
    assert writer.cursors() == {"heron": 42}
    level, again = ("fuel/level", "m", "number", 1_789_200_002_000, 0.6, None), 1_789_200_000_000
    writer.add_rows("heron", [level, ("fuel/level", "m", "number", again, 0.5, None)])
    writer.commit({"heron": 43})
    with StoreReader(old) as reader:
        told = [(s.name, s.value, s.quality, s.reason) for s in reader.samples("heron", 0, 1e10)]
        assert told == [
            ("fuel/level", 0.5, "good", ""),
            ("note", "cloudy", "good", ""),
            ("fuel/level", None, "bad", "no answer"),
            ("fuel/level", 0.6, "good", ""),
        ]
        (event,) = reader.events("heron", 0, 1e10)
        assert (event.id, event.body["stage"]) == (7, "bubbling")
        assert reader.unsure("heron", 0, 1e10) == []


def test_a_migrated_store_has_the_shape_of_a_new_one(old: Path, tmp_path: Path) -> None:
    StoreWriter(old).close()
    StoreWriter(tmp_path / "new").close()
    assert shape(old) == shape(tmp_path / "new")
    assert set(STEPS) == set(SHAPES) == set(range(1, VERSION))


def test_where_it_fails_in_the_middle_the_store_is_as_it_was(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = shape(old)
    for step, how in STEPS.items():
        monkeypatch.setitem(STEPS, step, how + "INSERT INTO nowhere VALUES (1);")
    with pytest.raises(StoreError):
        StoreWriter(old)
    assert shape(old) == before
    monkeypatch.undo()
    StoreWriter(old).close()
    assert shape(old) != before


def test_a_reader_says_what_to_do_with_an_older_store(old: Path) -> None:
    with pytest.raises(StoreError, match="start `drydown record` once"):
        StoreReader(old)
