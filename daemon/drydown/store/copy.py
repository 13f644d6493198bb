"""A store copied while it is written, and a copy put in its place; nothing that is there is written over."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from drydown.store.care import ASIDE, set_aside, sync_folder
from drydown.store.schema import StoreError, explain, open_to_check


def back_up(store: Path, target: Path) -> int:
    """Copy a store, as it is at one moment, into one new file; returns its size in bytes.

    The recorder goes on meanwhile. The copy gets its name when it is whole, checked and on the disk.
    Raises StoreError.
    """
    if target.exists():
        raise StoreError(f"{target} is there already, and a backup writes over nothing: name another file.")
    part = target.with_name(f"{target.name}.part")
    with _copied(store, part):
        try:
            os.link(part, target)  # unlike a rename it fails where another file came in between
        except FileExistsError:
            raise StoreError(f"{target} is there already, and a backup writes over nothing.") from None
        except OSError:  # a file system for memory sticks knows no links
            part.rename(target)
        part.unlink(missing_ok=True)
        sync_folder(target.parent)
    return target.stat().st_size


def restore(copy: Path, store: Path) -> Path | None:
    """Put a copy in a store's place; returns what the present store is called now, None if there was none.

    The caller holds the store (`single.hold_store`). Raises StoreError, and then the present store is there.
    """
    part = store.with_name(f"{store.name}.part")
    with _copied(copy, part):
        before = None
        if store.exists():
            _gather(store)
            before = set_aside(store, ASIDE)
        part.rename(store)
        sync_folder(store.parent)
    return before


@contextmanager
def _copied(source: Path, part: Path) -> Iterator[None]:
    """A checked copy of a store under the name of `part`, which is gone afterwards. Raises StoreError."""
    with closing(open_to_check(source)) as origin:
        try:
            part.unlink(missing_ok=True)
            part.touch()  # a folder that can't be written is found here, not by SQLite
            with closing(sqlite3.connect(part, isolation_level=None)) as copy:
                origin.backup(copy)  # in one go: in pieces it would begin anew whenever the recorder commits
                copy.execute("PRAGMA journal_mode = DELETE")  # so that it is one file
                found = copy.execute("PRAGMA integrity_check(1)").fetchone()[0]
            if found != "ok":
                raise StoreError(f"{source}: the store is damaged ({found}), so no copy was made of it.")
            with part.open("rb") as written:
                os.fsync(written.fileno())
            yield
        except sqlite3.Error as error:
            about = part if getattr(error, "sqlite_errorname", "") == "SQLITE_FULL" else source
            raise StoreError(explain(error, about)) from error
        except OSError as error:
            raise StoreError(f"{part.parent}: nothing can be written there ({error.strerror}).") from error
        finally:
            with suppress(OSError):
                part.unlink(missing_ok=True)


def _gather(store: Path) -> None:
    """Bring what stands in the log of a store into the store, as far as it can be read."""
    with (
        suppress(sqlite3.Error),  # a damaged one goes aside as it is, with its log
        closing(sqlite3.connect(store, isolation_level=None)) as connection,
    ):
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
