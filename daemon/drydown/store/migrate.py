"""From the shape of a store that an earlier drydown made to the present one, in one transaction a version."""

import sqlite3

FROM_1 = """
ALTER TABLE event ADD COLUMN clock INTEGER NOT NULL DEFAULT 0;
CREATE TABLE clock (
    id INTEGER PRIMARY KEY,
    tank TEXT NOT NULL,
    boot TEXT NOT NULL,
    "offset" INTEGER NOT NULL,
    at INTEGER NOT NULL,
    since INTEGER NOT NULL,
    sure INTEGER NOT NULL
);
CREATE TABLE reading_2 (
    series INTEGER NOT NULL REFERENCES series (id),
    time INTEGER NOT NULL,
    value REAL,
    text TEXT,
    quality INTEGER,
    reason TEXT,
    clock INTEGER NOT NULL DEFAULT 0,
    PRIMARY KEY (series, time, clock)
) WITHOUT ROWID;
INSERT INTO reading_2 (series, time, value, text, quality, reason)
    SELECT series, time, value, text, quality, reason FROM reading ORDER BY series, time;
DROP TABLE reading;
ALTER TABLE reading_2 RENAME TO reading;
"""

FROM_2 = """
CREATE TABLE thinned (
    series INTEGER PRIMARY KEY REFERENCES series (id),
    until INTEGER NOT NULL
);
"""

FROM_3 = """
CREATE TABLE arrived (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    tank TEXT NOT NULL,
    first INTEGER NOT NULL,
    last INTEGER NOT NULL
);
"""

FROM_4 = """
CREATE TABLE summary (
    series INTEGER NOT NULL REFERENCES series (id),
    time INTEGER NOT NULL,
    count INTEGER NOT NULL,
    total REAL NOT NULL,
    low REAL NOT NULL,
    high REAL NOT NULL,
    PRIMARY KEY (series, time)
) WITHOUT ROWID;
CREATE TABLE summarised (
    series INTEGER PRIMARY KEY REFERENCES series (id),
    until INTEGER NOT NULL,
    renewed INTEGER NOT NULL
);
"""

STEPS = {1: FROM_1, 2: FROM_2, 3: FROM_3, 4: FROM_4}
"""What leads from a version to the next."""


def migrate(connection: sqlite3.Connection, version: int) -> None:
    """Bring a store of a version to the present one. Raises sqlite3.Error, and then nothing has changed.

    A step that was committed stays; a power cut in the middle of one leaves the store as it was before it.
    """
    for step in sorted(STEPS):
        if step >= version:
            try:
                connection.executescript(
                    f"BEGIN IMMEDIATE; {STEPS[step]} PRAGMA user_version = {step + 1}; COMMIT;"
                )
            except sqlite3.Error:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise
