"""The state of a tank in one dictionary: what the pages and other programs on the board show."""

from dataclasses import asdict
from typing import Any

from drydown.alarms.alarm import Alarm
from drydown.alarms.lifecycle import State
from drydown.core import Core
from drydown.estimate.lesson import Lesson
from drydown.lines import Clock, Line, line_of
from drydown.run.movement import Movement

QUIET = (State.NORMAL, State.OUT_OF_SERVICE)


class Snapshot:
    """The last line of each kind, gathered as they are told."""

    def __init__(self) -> None:
        self.readings: dict[str, Line] = {}
        self.estimate: Line | None = None

    def take(self, line: Line) -> None:
        """Keep a line until a newer one of its kind and name comes."""
        match line["kind"]:
            case "reading":
                self.readings[line["name"]] = line
            case "estimate":
                self.estimate = line

    def state(self, core: Core, now: float, to_unix: Clock) -> dict[str, Any]:
        """Everything known of the tank. `alarms` are lines as last raised, each with its `state`."""
        since, timer = core.batch.since, core.timer
        return {
            "time": round(to_unix(now), 3),
            "stage": str(core.batch.stage),
            "stage_since": None if since is None else round(to_unix(since), 3),
            "movement": _movement_line(core.scene.movement, to_unix),
            "learned": _learned_line(core.lesson, to_unix),
            "readings": dict(self.readings),
            "estimate": self.estimate,
            "blower": {
                "running": core.scene.running,
                "stretch": round(timer.stretch, 1),
                "run": round(timer.run, 1),
                "total": round(timer.total, 1),
                "starts": timer.starts,
            },
            "alarms": [
                line for alarm in core.panel.alarms.values() if (line := standing(alarm, to_unix)) is not None
            ],
            "supply_cut": line_of(core.supply.cut, to_unix) if core.supply.cut else None,
            "not_watched": list(core.panel.not_watched),
            "degraded": {str(part): reason for part, reason in core.scene.degraded.copy().items()},
        }


def last_change(alarm: Alarm, to_unix: Clock) -> Line | None:
    """The last that happened to an alarm; None while there is nothing to tell of it."""
    return None if alarm.state in QUIET or alarm.last is None else line_of(alarm.last, to_unix)


def standing(alarm: Alarm, to_unix: Clock) -> Line | None:
    """An alarm as last raised, with its `state` and who has seen it when; None where all is quiet."""
    told = alarm.raised or alarm.last
    if alarm.state in QUIET or told is None:
        return None
    seen = alarm.acknowledged_at
    return line_of(told, to_unix) | {
        "state": str(alarm.state).replace(", ", "-").replace(" ", "-"),
        "who": alarm.acknowledged_by,
        "seen_at": None if seen is None else round(to_unix(seen), 3),
    }


def _movement_line(movement: Movement, to_unix: Clock) -> Line:
    since = movement.since
    return asdict(movement) | {"since": None if since is None else round(to_unix(since), 3)}


def _learned_line(lesson: Lesson | None, to_unix: Clock) -> Line | None:
    return None if lesson is None else {"runs": lesson.runs, "since": round(to_unix(lesson.since), 3)}
