"""Waits for what has to come, however slow the machine is."""

import time
from collections.abc import Callable
from typing import TypeVar

Found = TypeVar("Found")

PATIENCE = 30.0  # s
PAUSE = 0.05  # s


def wait_for(look: Callable[[], Found | None]) -> Found:
    """What `look` finds, as soon as it finds something true. Fails when it never does."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        found = look()
        if found:
            return found
        time.sleep(PAUSE)
    raise AssertionError(f"nothing came within {PATIENCE:g} s")
