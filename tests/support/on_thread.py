"""A long-lived service in a thread of the test, so that faults can be put into it."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypeVar

from drydown.unit import Service

PATIENCE = 60.0  # s for it to end

S = TypeVar("S", bound=Service)


@contextmanager
def on_thread(service: S) -> Iterator[S]:
    """It runs while the block lasts."""
    thread = threading.Thread(target=service.run, daemon=True)
    thread.start()
    try:
        yield service
    finally:
        service.stop()
        thread.join(PATIENCE)
        assert not thread.is_alive(), "it does not stop"
