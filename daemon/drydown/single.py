"""One process of a kind for each site: a lock that the kernel lets go, however the process ends."""

import fcntl
import io
from pathlib import Path

from drydown.errors import UserError


def hold(folder: Path, command: str) -> io.TextIOWrapper:
    """Be the only `drydown COMMAND` of the folder for as long as the returned file is open.

    Makes the folder. Raises UserError if another one holds it, or the folder can't be used.
    """
    path = folder / f"{command}.lock"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lock = path.open("w")
    except OSError as error:
        raise UserError(
            f"{path} can't be written ({error.strerror}): `folder` in the configuration must be a folder"
            " where this user may write."
        ) from error
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        lock.close()
        raise UserError(
            f"Another `drydown {command}` works in {folder} already: stop that one first, or give each site a"
            " folder of its own."
        ) from error
    return lock
