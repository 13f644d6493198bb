"""stages.md: the stages of a batch, what leads from one to the next, and what the level is taken to tell."""

from collections.abc import Mapping

from drydown.guide import markdown
from drydown.run import level_kinds, level_watch
from drydown.run.movement import NOTABLE, LevelKind
from drydown.run.stages import TRANSITIONS, Stage, diagram
from drydown.settling.rest import DAY, LEAST, MOST
from drydown.texts.amounts import duration, litres

MEANINGS: Mapping[Stage, str] = {
    Stage.IDLE: "The tank is empty, or nothing is known of it yet.",
    Stage.SETTLING: "Fuel has come in and stands. Water and glycerin sink.",
    Stage.BUBBLING: "The blower runs.",
    Stage.PAUSED: "The blower is off for a while; the run goes on.",
    Stage.RESTING: "The run is over. With the methanol gone, soap and glycerin sink.",
    Stage.READY: "It has rested for long enough to be drained, tested and drawn.",
    Stage.DRAWN: "Fuel was drawn.",
}


def page() -> str:
    """The whole page."""
    return markdown.page(
        "The stages of a batch",
        "Blower and level alone move a batch along. Where that is wrong, correct it: the stage you say holds "
        "until blower or level say something new, and it is kept when drydown or the board starts again.",
        markdown.table(("stage", "what it means"), MEANINGS.items()),
        f"```mermaid\n{diagram()}\n```",
        markdown.table(
            ("in stage", "when", "comes stage"), ((*key, after) for key, after in TRANSITIONS.items())
        ),
        f"Less than {1000 * NOTABLE:g} L that comes or goes moves no batch along.",
        "Fuel has rested once drops of the size `settled_drop` (in `[tank.fuel]`, in micrometres) have "
        "fallen from the surface to the standpipe, by Stokes and the fuel’s temperature since the blower "
        f"stopped: after {duration(LEAST)} at the least and {MOST / DAY:g} days at the most, and after "
        f"{duration(DAY)} where temperature or level is not known. More that comes in begins the rest anew.",
        "## What the level tells",
        "A change of the level is recorded with its litres at 15 °C and their 90 % range, as one of these:",
        markdown.table(("change", "how it is told"), _told().items()),
        "Say that you draw or drain before you do it slowly, or from the bottom: else it looks like a leak, "
        f"and a leak is an alarm. What you said holds until the level has rested for "
        f"{duration(level_watch.DECLARED_FOR)}.",
        "While the blower runs, bubbles lift the level; their share is measured when the blower starts, and "
        "taken out. Changes that a surge of the blower could make are left untold until the tank is at rest "
        "again. What came or went while nobody watched is told when the level is next seen at rest.",
    )


def _told() -> dict[LevelKind, str]:
    fast = f"{level_kinds.FAST * 60_000:g} L/min"
    small = litres(level_kinds.SMALL)
    still, bubbling = (f"{level_kinds.RIPE[is_on]:g} s" for is_on in (False, True))
    stages = ", ".join(level_kinds.DRAWN_IN)
    return {
        LevelKind.FILLING: "The level rises while the blower rests. If it rises while the blower runs and "
        f"then stands for {duration(level_watch.FOAM_STOOD)}, fuel was poured in.",
        LevelKind.DRAW: f"It falls faster than {fast} in one of the stages {stages}, and not below the "
        "standpipe; or somebody said so.",
        LevelKind.DRAIN: f"No more than {small} go faster than {fast} in another stage, from below the "
        f"standpipe, or while the fuel is {Stage.RESTING}; or somebody said so.",
        LevelKind.LEAK: f"Whatever else falls: slowly for {still}, or for {bubbling} while the blower runs, "
        f"or more than {small} where nobody draws.",
        LevelKind.FOAM: f"It rises while the blower runs; at once if by {level_watch.FOAM_RISE * 100:g} cm.",
    }
