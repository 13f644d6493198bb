"""Looks whether a store is sound before it is used; one that is damaged is set aside, never deleted."""

import os
import sqlite3
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path

from drydown.store.schema import StoreError, explain

LONGEST_LOOK = 10.0  # s at a start: a record of years is not read to its end, so that recording begins
OFTEN = 10_000  # steps of SQLite's machine between two looks at the clock
DAMAGED, ASIDE = "damaged", "aside"  # what stands in the name of a store that was set aside, and why
FILES = ("", "-wal", "-shm")  # a store in use is these


class Health(Enum):
    """What a look at a store found."""

    SOUND = "sound"
    NOT_SEEN_WHOLE = "no damage in what there was time to look at"
    DAMAGED = "damaged"


def look(path: Path, was_ours: bool, within: float = LONGEST_LOOK) -> Health:
    """Whether SQLite finds a store's structure sound. What is absent is sound.

    It sees torn and missing pages and broken order; a digit that flipped within a value it can't see.
    A disk that once fails to read a page makes a sound store look damaged: what is damaged is so at a second
    look. `was_ours`: the file is known to have been a store, so one that is no database any more is damaged.
    Raises StoreError where the file can't be read at all, or may be something else.
    """
    if not path.exists():
        return Health.SOUND
    found = _look(path, was_ours, within)
    return _look(path, was_ours, within) if found is Health.DAMAGED else found


def _look(path: Path, was_ours: bool, within: float) -> Health:
    end = time.monotonic() + within
    try:
        connection = sqlite3.connect(path, isolation_level=None, timeout=10)
    except sqlite3.Error as error:
        raise StoreError(explain(error, path)) from error
    connection.set_progress_handler(lambda: time.monotonic() > end, OFTEN)
    try:
        found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorname", "")
        if code == "SQLITE_INTERRUPT":
            return Health.NOT_SEEN_WHOLE
        if code.startswith("SQLITE_CORRUPT") or (code == "SQLITE_NOTADB" and was_ours):
            return Health.DAMAGED
        raise StoreError(explain(error, path)) from error
    finally:
        connection.close()
    return Health.SOUND if found == "ok" else Health.DAMAGED


def set_aside(path: Path, why: str) -> Path:
    """Give a store and what belongs to it another name beside it, with the date; returns that name.

    Nothing that is there is written over. Raises StoreError.
    """
    stamp = datetime.now(UTC).strftime("%Y-%m-%d")
    name = path.with_name(f"{path.name}.{why}-{stamp}")
    count = 1
    while any(Path(f"{name}{end}").exists() for end in FILES):
        count += 1
        name = path.with_name(f"{path.name}.{why}-{stamp}-{count}")
    try:
        for end in reversed(FILES):  # the store itself last: cut short in between, it is found damaged again
            if Path(f"{path}{end}").exists():
                Path(f"{path}{end}").rename(f"{name}{end}")
        sync_folder(path.parent)
    except OSError as error:
        raise StoreError(f"{path}: can't be set aside as {name.name} ({error.strerror}).") from error
    return name


def damaged_stores(path: Path) -> Iterator[Path]:
    """The stores that were set aside because of damage and still lie beside this one, the oldest first."""
    for found in sorted(path.parent.glob(f"{path.name}.{DAMAGED}-*")):
        if not found.name.endswith(FILES[1:]):
            yield found


def advice(damaged: Path, path: Path) -> str:
    """What happened, what it means and what to do, for who finds a store set aside."""
    return (
        f"The record was damaged and is kept as {damaged.name} in {path.parent}; recording goes on in a new"
        " one, and what was recorded before is not shown. To bring back a backup: stop `drydown record`, then"
        " `drydown restore FILE`. Move the damaged file to another place, and this is told no more."
    )


def sync_folder(folder: Path) -> None:
    """Have the names in a folder on the disk before anything relies on them. Raises OSError."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
