"""A small file that outlives its process: replaced as a whole, on the disk before it counts as written.

A thread of its own writes, so that a slow disk holds up nothing.
"""

import json
import logging
import os
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from drydown.disk import commit_names

YIELD = 0.1  # s in which alarms of other tanks go first, and further changes join this one
RETRY = 10.0  # s after which what could not be written is tried again

T = TypeVar("T")

log = logging.getLogger(__name__)


class KeptFile:
    """`loss` says in words what is lost where it can't be read or written. `keep` never blocks."""

    def __init__(self, path: Path, loss: str) -> None:
        self._path, self._loss = path, loss
        self._latest: Any = None
        self._changed = threading.Event()
        self._closing = False
        self._is_failing = False
        self._thread = threading.Thread(target=self._run, name=f"write {path.name}", daemon=True)
        self._thread.start()

    def read(self, understand: Callable[[Any], T]) -> T | None:
        """What was kept last; None where there is nothing, or nothing that can be understood."""
        try:
            return understand(json.loads(self._path.read_bytes()))
        except FileNotFoundError:
            return None
        except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
            log.warning("%s can't be read: %s: %s", self._path, self._loss, error)
            return None

    def keep(self, line: Any) -> None:
        """Have this written in the place of what was there."""
        self._latest = line
        self._changed.set()

    def close(self) -> None:
        """Write what is not written yet."""
        self._closing = True
        self._changed.set()
        self._thread.join(5)

    def _run(self) -> None:
        written, is_last = None, False
        while not is_last:
            self._changed.wait(RETRY if self._is_failing else None)
            if not self._closing:
                time.sleep(YIELD)
            self._changed.clear()
            is_last, line = self._closing, self._latest
            if line is not written and self._write(line):
                written = line

    def _write(self, line: Any) -> bool:
        fresh = self._path.with_suffix(".new")
        try:
            with fresh.open("w", encoding="utf-8") as file:
                file.write(json.dumps(line))  # dump would write it in small pieces, which takes far longer
                file.flush()
                os.fsync(file.fileno())
            fresh.replace(self._path)
            commit_names(self._path.parent)
        except (OSError, ValueError, TypeError) as error:
            if not self._is_failing:
                log.error("%s can't be written: after a restart %s: %s", fresh, self._loss, error)
            self._is_failing = True
            return False
        self._is_failing = False
        return True
