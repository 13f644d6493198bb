"""The stages of a batch in the finishing tank: a table of what follows what, and why.

    idle → settling → bubbling ⇄ paused → resting → ready → drawn

Blower and level alone move a batch along; a person may correct it. `diagram` draws the table for the docs.
"""

from enum import StrEnum

PAUSE = 3600.0  # s; with the blower off for less than this the run goes on


class Stage(StrEnum):
    """Where a batch stands, told from blower and level alone."""

    IDLE = "idle"
    SETTLING = "settling"
    BUBBLING = "bubbling"
    PAUSED = "paused"
    RESTING = "resting"
    READY = "ready"
    DRAWN = "drawn"


class Sign(StrEnum):
    """What blower and level say."""

    FILLED = "fuel came in"
    STARTED = "blower on"
    STOPPED = "blower off"
    PAUSED_LONG = "blower off for an hour"
    RESTED = "left to rest until the drops have sunk"
    LOWERED = "fuel went out"
    EMPTIED = "level down at the standpipe"


TRANSITIONS: dict[tuple[Stage, Sign], Stage] = {
    (Stage.IDLE, Sign.FILLED): Stage.SETTLING,
    (Stage.IDLE, Sign.STARTED): Stage.BUBBLING,
    (Stage.SETTLING, Sign.STARTED): Stage.BUBBLING,
    (Stage.SETTLING, Sign.EMPTIED): Stage.IDLE,
    (Stage.BUBBLING, Sign.STOPPED): Stage.PAUSED,
    (Stage.PAUSED, Sign.STARTED): Stage.BUBBLING,
    (Stage.PAUSED, Sign.PAUSED_LONG): Stage.RESTING,
    (Stage.RESTING, Sign.STARTED): Stage.BUBBLING,
    (Stage.RESTING, Sign.FILLED): Stage.SETTLING,
    (Stage.RESTING, Sign.RESTED): Stage.READY,
    (Stage.RESTING, Sign.EMPTIED): Stage.DRAWN,
    (Stage.READY, Sign.STARTED): Stage.BUBBLING,
    (Stage.READY, Sign.FILLED): Stage.SETTLING,
    (Stage.READY, Sign.LOWERED): Stage.DRAWN,
    (Stage.READY, Sign.EMPTIED): Stage.DRAWN,
    (Stage.DRAWN, Sign.FILLED): Stage.SETTLING,
    (Stage.DRAWN, Sign.STARTED): Stage.BUBBLING,
}
"""What is not here changes nothing."""


def following(stage: Stage, sign: Sign) -> Stage:
    """The stage after a sign was seen in a stage: the same where the table has no entry."""
    return TRANSITIONS.get((stage, sign), stage)


def diagram() -> str:
    """The table as a Mermaid state diagram."""
    arrows = [f"    {stage} --> {after}: {sign}" for (stage, sign), after in TRANSITIONS.items()]
    return "\n".join(["stateDiagram-v2", f"    [*] --> {Stage.IDLE}", *arrows])
