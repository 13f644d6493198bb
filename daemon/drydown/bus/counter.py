"""A counter that never gives a number twice, though it is written to disk once in ten thousand numbers.

Beside it stands what must outlive the watcher to know whether a recorder misses anything: up to which number
all was let go, and for whom everything is kept.
"""

import json
import logging
import os
from collections.abc import Iterable
from pathlib import Path
from secrets import randbelow

from drydown.disk import commit_names

BLOCK = 10_000
ANEW = 2**40  # a counter that begins anew does so anywhere below: it meets no number of an earlier one

log = logging.getLogger(__name__)


class Counter:
    """Remembers in a file a number that was not reached yet. A start after a crash goes on from there.

    `gone`: no recorder needed anything up to this number. `kept`: up to this number everything was let go or
    stands on the shelf. `recorders` are those for whom the rest is kept.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self.gone = self.kept = 0
        self.recorders: frozenset[str] = frozenset()
        self._reserved = self.start = self._read()
        self.reached(self.start, self.gone)

    def reached(self, number: int, gone: int) -> None:
        """`number` is in use; reserve the next ones if it is the last of its block."""
        if number >= self._reserved:
            self._reserved = number + BLOCK
            self._note(gone)

    def keep_for(self, recorders: Iterable[str], gone: int) -> None:
        """These recorders are known."""
        if self.recorders != (known := frozenset(recorders)):
            self.recorders = known
            self._note(gone)

    def stop(self, number: int, gone: int) -> None:
        """Leave in good order: the next start begins with `number`, and all before it is on the shelf."""
        self._reserved, self.kept = number, number - 1
        self._note(gone)

    def _note(self, gone: int) -> None:
        self.gone, self.kept = gone, max(gone, self.kept)
        told = {"next": self._reserved, "gone": self.gone, "kept": self.kept}
        self._write(json.dumps(told | {"recorders": sorted(self.recorders)}))

    def _read(self) -> int:
        try:
            told = json.loads(self._path.read_text())
            if isinstance(told, int):  # an earlier drydown wrote the number alone
                return max(1, told)
            self.gone, self.kept = int(told["gone"]), int(told["kept"])
            self.recorders = frozenset(map(str, told["recorders"]))
            return max(1, int(told["next"]))
        except FileNotFoundError:
            return 1 + randbelow(ANEW)
        except (OSError, ValueError, TypeError, KeyError) as error:
            log.warning("%s can't be read (%s): batches are numbered anew", self._path, error)
            self.gone = self.kept = 0
            return 1 + randbelow(ANEW)

    def _write(self, text: str) -> None:
        fresh = self._path.with_suffix(".new")
        try:
            with fresh.open("w") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            fresh.replace(self._path)
            commit_names(self._path.parent)
        except OSError as error:
            log.warning("%s can't be written (%s): after a crash numbers may come twice", self._path, error)
