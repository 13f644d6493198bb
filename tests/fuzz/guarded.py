"""Watches over a process that is fuzzed: what it writes where, and what it calls a mistake of its own."""

import logging
import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
CHANGES = (
    "os.rename",
    "os.remove",
    "os.mkdir",
    "os.rmdir",
    "os.link",
    "os.symlink",
    "os.truncate",
    "os.chmod",
)
STARTS = ("subprocess.Popen", "os.system", "os.exec", "os.posix_spawn")
ELSEWHERE = ("/dev/", "/proc/self/")


class _Watch:
    """One for the process: hooks of the interpreter can't be taken away again."""

    folder: Path | None = None
    found: list[str] = []  # noqa: RUF012  emptied by whoever reads it

    @classmethod
    def see(cls, event: str, args: tuple[Any, ...]) -> None:
        if cls.folder is None:
            return
        if event == "open":
            path, _, flags = args
            if isinstance(path, str | bytes) and isinstance(flags, int) and flags & WRITES:
                cls._hold(event, path)
        elif event in CHANGES or event == "sqlite3.connect":
            for path in args[:2]:
                if isinstance(path, str | bytes):
                    cls._hold(event, path)
        elif event in STARTS:
            cls.found.append(f"{event} {args!r:.200}")

    @classmethod
    def _hold(cls, event: str, path: str | bytes) -> None:
        whole = os.path.realpath(os.fsdecode(path).removeprefix("file:").partition("?")[0])
        is_code = whole.endswith(".pyc") or "/__pycache__" in whole
        if whole != str(cls.folder) and not whole.startswith((f"{cls.folder}/", *ELSEWHERE)) and not is_code:
            cls.found.append(f"{event} {whole}")


class _Mistakes(logging.Handler):
    """Log records that carry a traceback: whoever wrote one met what they did not expect."""

    def emit(self, record: logging.LogRecord) -> None:
        if record.exc_info and record.exc_info[1]:
            text = logging.Formatter().format(record)
            _Watch.found.append(text)


def _plain(record: logging.LogRecord) -> logging.LogRecord:
    """What is logged of strange input, in letters that every reader of a test's report can take."""
    record.msg, record.args = record.getMessage().encode("ascii", "backslashreplace").decode(), None
    return record


@contextmanager
def guarded(folder: Path) -> Iterator[list[str]]:
    """A list of what went wrong meanwhile: empty it after reading."""
    if not getattr(_Watch, "is_set", False):
        sys.addaudithook(_Watch.see)
        _Watch.is_set = True  # type: ignore[attr-defined]
    _Watch.found = []
    _Watch.folder = folder.resolve()
    logger, handler = logging.getLogger(), _Mistakes()
    hook_before, level_before = threading.excepthook, logger.level
    logger.addHandler(handler)
    make = logging.getLogRecordFactory()
    logging.setLogRecordFactory(lambda *args, **more: _plain(make(*args, **more)))
    threading.excepthook = lambda args: _Watch.found.append(f"a thread died: {args.exc_value!r}")
    try:
        yield _Watch.found
    finally:
        _Watch.folder = None
        threading.excepthook = hook_before
        logger.removeHandler(handler)
        logging.setLogRecordFactory(make)
        logger.setLevel(level_before)
