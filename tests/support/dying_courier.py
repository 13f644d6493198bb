"""A watcher's part that tells one notice and is killed at a step of it, as a process of its own.

python dying_courier.py OUTBOX ADDRESS STEP, where STEP is "" (it lives) or "before add", "after begin", …
"""

import os
import signal
import sqlite3
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

from drydown.config.services import Route
from drydown.effects import Priority
from drydown.notices.courier import Courier
from drydown.notices.outbox import Notice, Outbox
from support.broker import until

KEY, TITLE = "heron/alarm/fuel-hot/raised/1.000", "heron: hot"


def die() -> None:
    """As the power would."""
    os.kill(os.getpid(), signal.SIGKILL)


def deadly(method: Callable[..., Any], when: str) -> Callable[..., Any]:
    """The method, and death before or after it."""

    def called(*args: Any) -> Any:
        if when == "before":
            die()
        answer = method(*args)
        die()
        return answer

    return called


def main(outbox: Path, address: str, step: str) -> None:
    """Tell it; then wait until nothing is left to be sent."""
    when, _, name = step.partition(" ")
    if name:
        setattr(Outbox, name, deadly(getattr(Outbox, name), when))
    now = time.time()
    route = Route.model_validate({"name": "phone", "address": address})
    courier = Courier(outbox, (route,), first_delay=0.05)
    courier.start()
    courier.post(Notice(KEY, now, Priority.HIGH, TITLE, "It is hot.", "heron/fuel-hot"))
    courier.post(Notice("heron/dry/1.000", now, Priority.LOW, "heron: dry", "It is dry."))
    until(lambda: is_done(outbox), 30)
    courier.close()


def is_done(path: Path) -> bool:
    """Whether both are known and sent."""
    try:
        with closing(sqlite3.connect(path)) as reader:
            (known,) = reader.execute("SELECT count(*) FROM notice").fetchone()
            (sent,) = reader.execute("SELECT count(*) FROM delivery WHERE state = 'sent'").fetchone()
    except sqlite3.Error:
        return False
    return bool(known == sent == 2)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], sys.argv[3])
