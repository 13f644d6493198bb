"""A counter that never gives a number twice, though it is written to disk once in ten thousand numbers."""

import logging
import os
from pathlib import Path

from drydown.disk import commit_names

BLOCK = 10_000

log = logging.getLogger(__name__)


class Counter:
    """Remembers in a file a number that was not reached yet. A start after a crash goes on from there."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._reserved = self.start = self._read()
        self.reached(self.start)

    def reached(self, number: int) -> None:
        """`number` is in use; reserve the next ones if it is the last of its block."""
        if number >= self._reserved:
            self._reserved = number + BLOCK
            self._write(self._reserved)

    def stop(self, number: int) -> None:
        """Leave in good order: the next start begins with `number`."""
        self._write(number)

    def _read(self) -> int:
        try:
            return max(1, int(self._path.read_text()))
        except FileNotFoundError:
            return 1
        except (OSError, ValueError) as error:
            log.warning("%s can't be read (%s): batches are numbered from 1 again", self._path, error)
            return 1

    def _write(self, number: int) -> None:
        fresh = self._path.with_suffix(".new")
        try:
            with fresh.open("w") as file:
                file.write(str(number))
                file.flush()
                os.fsync(file.fileno())
            fresh.replace(self._path)
            commit_names(self._path.parent)
        except OSError as error:
            log.warning("%s can't be written (%s): after a crash numbers may come twice", self._path, error)
