"""The rows above the charts: what held when."""

from collections.abc import Sequence
from dataclasses import dataclass

from drydown.texts.language import later, say
from drydown.texts.words import VERDICTS
from drydown_pages.run.beliefs import verdicts
from drydown_pages.run.record import RunRecord, Stretch, stretches

BLOWER = {"on": later("runs"), "off": "", "unknown": later("cannot tell")}
STAGES = {
    "idle": later("idle"),
    "settling": later("settling"),
    "bubbling": later("bubbling"),
    "paused": later("paused"),
    "resting": later("resting"),
    "ready": later("ready"),
    "drawn": later("drawn"),
}
VENT = {"on": later("open"), "off": later("closed"), "unknown": later("cannot tell")}


@dataclass(frozen=True, slots=True)
class Held:
    """A stretch of a row with what stands in it; `what` is how it is drawn, Unix times in s."""

    start: float
    end: float
    what: str
    said: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row; what is not told in it stands empty."""

    name: str
    stretches: tuple[Held, ...]


def rows(run: RunRecord) -> tuple[Row, ...]:
    """Stage, blower, vent where one is watched, verdict."""
    stages = stretches(run.stages, run.until)
    found = [
        Row(say("Stage"), tuple(Held(one.start, one.end, one.what, say(STAGES[one.what])) for one in stages)),
        _row(say("Blower"), "blower", run.blower, BLOWER),
        _row(say("Vent"), "vent", run.vent, VENT),
        _row(
            say("Verdict"),
            "verdict",
            verdicts(run),
            {str(verdict): said for verdict, said in VERDICTS.items()},
        ),
    ]
    return tuple(row for row in found if row.stretches)


def _row(name: str, kind: str, held: Sequence[Stretch], said: dict[str, str]) -> Row:
    return Row(
        name,
        tuple(
            Held(one.start, one.end, f"{kind}-{one.what}", say(said[one.what]))
            for one in held
            if said[one.what]
        ),
    )
