"""Hands lines over; of a batch that is rejected it finds the bad ones and sets them aside, each alone."""

import logging
import os
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from drydown.forward.server import RejectedError

LARGEST = 10_000_000  # bytes of the file; what is refused after that is only counted
REMEMBERED = 10_000  # lines that are known to be bad, and not sent again while the process lives

log = logging.getLogger(__name__)


class Aside:
    """The file of what a server refused, for a person to look at."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._known: set[str] = set()

    @property
    def trouble(self) -> str:
        """What a person should hear of, for as long as the file is there."""
        if not self._path.exists():
            return ""
        return f"the server refused points, which stand in {self._path} with its words: delete it when seen"

    def left_of(self, lines: Sequence[str]) -> Sequence[str]:
        """Those that were not refused lately."""
        return [line for line in lines if line not in self._known] if self._known else lines

    def put(self, line: str, words: str) -> None:
        """Keep a line and why it was refused; on the disk when this returns, if that can be."""
        log.warning("a point was refused and set aside in %s: %s", self._path, words)
        if len(self._known) < REMEMBERED:
            self._known.add(line)
        try:
            if self._path.exists() and self._path.stat().st_size > LARGEST:
                return
            with self._path.open("a", encoding="utf-8") as file:
                now = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime())
                file.write(f"# {now} {words}\n{line}\n")
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            log.error("%s can't be written (%s); the point was: %s", self._path, error.strerror, line)


def deliver(write: Callable[[Sequence[str]], None], lines: Sequence[str], aside: Aside) -> None:
    """Return when every line was taken or set aside. Raises what `write` does but RejectedError."""
    fresh = aside.left_of(lines)
    if not fresh:
        return
    try:
        write(fresh)
    except RejectedError as error:
        if len(fresh) == 1:
            aside.put(fresh[0], str(error))
            return
        half = len(fresh) // 2
        deliver(write, fresh[:half], aside)
        deliver(write, fresh[half:], aside)
