"""The stages of a batch in the finishing tank."""

from enum import StrEnum


class Stage(StrEnum):
    """Where a batch stands, told from blower and level alone."""

    IDLE = "idle"
    SETTLING = "settling"
    BUBBLING = "bubbling"
    PAUSED = "paused"
    RESTING = "resting"
    READY = "ready"
    DRAWN = "drawn"
