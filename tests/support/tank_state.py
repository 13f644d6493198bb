"""What the watcher would say of a tank after some readings: through the real core, in virtual time."""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from drydown.commands import Command
from drydown.config.model import Tank
from drydown.core import Core
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.lines import estimate_line, line_of
from drydown.reading import Quality, Reading
from drydown.watch.snapshot import Snapshot

NOON = 1_767_268_800.0  # Unix s, 1 January 2026, 12:00 UTC

Values = Mapping[str, float | bool | None]
"""SI values of probes; None from one that says that it has none."""


def state_after(
    tank: Tank, *happenings: tuple[float, Values], commands: Iterable[Command] = ()
) -> dict[str, Any]:
    """The state after the probes have said these values for so many seconds each, as it comes off the socket.

    At the end the commands are obeyed.
    """
    core, snapshot, now = Core(tank), Snapshot(), NOON
    for seconds, values in happenings:
        for _ in range(round(seconds)):
            now += 1.0
            for effect in core.step(now, [_reading(name, now, value) for name, value in values.items()], ()):
                snapshot.take(line_of(effect, float))
    for command in commands:
        for effect in core.step(now, (), [command]):
            snapshot.take(line_of(effect, float))
    state: dict[str, Any] = json.loads(json.dumps(snapshot.state(core, now, float)))
    return state


def _reading(name: str, time: float, value: float | bool | None) -> Reading:
    if value is None:
        return Reading(name, time, None, Quality.BAD, "no answer from the probe")
    return Reading(name, time, value)


def spread(median: float, low: float | None = None, high: float | None = None) -> Spread:
    """A spread; where no ends are given it is a narrow one."""
    return Spread(median, median if low is None else low, median if high is None else high)


def estimate(verdict: Verdict, **fields: Any) -> dict[str, Any]:
    """An estimate as it comes off the socket, at NOON; nothing is known but what is given."""
    whole: dict[str, Any] = {
        "time": NOON,
        "run_time": 1800.0,
        **dict.fromkeys(("methanol", "water", "water_floor", "emission", "methanol_done_at", "dry_at")),
        "methanol_done": False,
        "verdict": verdict,
    }
    line: dict[str, Any] = json.loads(json.dumps(estimate_line(Estimate(**whole | fields), float)))
    return line
