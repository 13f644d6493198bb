"""The state of a tank in one dictionary: what the pages and other programs on the board show."""

from typing import Any

from drydown.alarms.lifecycle import State
from drydown.core import Core
from drydown.estimate.lesson import Lesson
from drydown.lines import Clock, Line

QUIET = (State.NORMAL, State.OUT_OF_SERVICE)


class Snapshot:
    """The last line of each kind, gathered as they are told."""

    def __init__(self) -> None:
        self.readings: dict[str, Line] = {}
        self.estimate: Line | None = None
        self.alarms: dict[str, Line] = {}  # as last raised
        self._changes: dict[str, Line] = {}  # whatever last happened to each

    def take(self, line: Line) -> None:
        """Keep a line until a newer one of its kind and name comes."""
        match line["kind"]:
            case "reading":
                self.readings[line["name"]] = line
            case "estimate":
                self.estimate = line
            case "alarm":
                self._changes[line["alarm"]] = line
                if line["change"] == "raised" or line["alarm"] not in self.alarms:
                    self.alarms[line["alarm"]] = line

    def last_change(self, core: Core, alarm: str) -> Line | None:
        """The last that happened to an alarm; None while there is nothing to tell of it."""
        return None if core.panel.alarms[alarm].state in QUIET else self._changes.get(alarm)

    def state(self, core: Core, now: float, to_unix: Clock) -> dict[str, Any]:
        """Everything known of the tank. `alarms` are lines as last raised, each with its `state`."""
        since, timer = core.batch.since, core.timer
        return {
            "time": round(to_unix(now), 3),
            "stage": str(core.batch.stage),
            "stage_since": None if since is None else round(to_unix(since), 3),
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
            "alarms": list(self._standing(core)),
            "not_watched": list(core.panel.not_watched),
            "degraded": {str(part): reason for part, reason in core.scene.degraded.copy().items()},
        }

    def _standing(self, core: Core) -> list[Line]:
        found = []
        for name, alarm in core.panel.alarms.items():
            if alarm.state not in QUIET and name in self.alarms:
                state = str(alarm.state).replace(", ", "-").replace(" ", "-")
                found.append(self.alarms[name] | {"state": state, "who": alarm.acknowledged_by})
        return found


def _learned_line(lesson: Lesson | None, to_unix: Clock) -> Line | None:
    return None if lesson is None else {"runs": lesson.runs, "since": round(to_unix(lesson.since), 3)}
