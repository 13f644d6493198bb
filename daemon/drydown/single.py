"""One process of a kind for each site: a lock that the kernel lets go, however the process ends."""

import fcntl
import io
from pathlib import Path

from drydown.errors import UserError


def hold(folder: Path, command: str) -> io.TextIOWrapper:
    """Be the only `drydown COMMAND` of the folder for as long as the returned file is open.

    Makes the folder. Raises UserError if another one holds it, or the folder can't be used.
    """
    try:
        return _locked(folder / f"{command}.lock")
    except BlockingIOError as error:
        raise UserError(
            f"Another `drydown {command}` works in {folder} already: stop that one first, or give each site a"
            " folder of its own."
        ) from error
    except OSError as error:
        raise UserError(
            f"{folder / command}.lock can't be written ({error.strerror}): `folder` in the configuration must"
            " be a folder where this user may write."
        ) from error


def hold_store(path: Path) -> io.TextIOWrapper:
    """Be the only one who writes or replaces a store for as long as the returned file is open.

    Its lock lies beside it, so that two sites that name one store find each other. Raises UserError.
    """
    lock = path.with_name(f"{path.name}.lock")
    try:
        return _locked(lock)
    except BlockingIOError as error:
        raise UserError(
            f"{path}: another `drydown record` or `drydown restore` uses this store: stop that one first, or"
            " name another file under [store] path."
        ) from error
    except OSError as error:
        raise UserError(
            f"{lock} can't be written ({error.strerror}): [store] path must lie in a folder where this user"
            " may write."
        ) from error


def _locked(path: Path) -> io.TextIOWrapper:
    path.parent.mkdir(parents=True, exist_ok=True)
    lock = path.open("a")
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        lock.close()
        raise
    return lock
