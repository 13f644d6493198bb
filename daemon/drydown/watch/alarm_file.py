"""The alarms of a tank in a small file: what was acknowledged, shelved or latched outlives the watcher.

Needs neither broker nor recorder. What was not yet written when the watcher died is told again, never left
out.
"""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from drydown.alarms.kept import First, Kept, Memory
from drydown.alarms.lifecycle import State
from drydown.alarms.scene import Finding
from drydown.effects import AlarmChanged, NoticeDue, Priority, SupplyChanged
from drydown.kept_file import KeptFile
from drydown.lines import Clock, Line, effect_of, line_of


@dataclass(frozen=True, slots=True)
class Page:
    """What stands in the file: the alarms, and the notices that the outbox may not have had yet.

    Each notice with the Unix time with which it was handed over: a clock set meanwhile makes it no other.
    """

    memory: Memory
    notices: tuple[tuple[NoticeDue, float], ...] = ()


class AlarmFile:
    """One tank's. `keep` never blocks."""

    def __init__(self, path: Path) -> None:
        self._file = KeptFile(path, "who has seen what is forgotten")

    def read(self, from_unix: Clock) -> Page | None:
        """What was kept last; None where there is nothing, or nothing that can be understood."""
        return self._file.read(lambda line: page_of(line, from_unix))

    def keep(self, page: Page, to_unix: Clock) -> None:
        """Have this written in the place of what was there."""
        self._file.keep(line_of_page(page, to_unix))

    def close(self) -> None:
        """Write what is not written yet."""
        self._file.close()


def line_of_page(page: Page, to_unix: Clock) -> Line:
    """The page as plain JSON; times in Unix s."""
    return {
        "alarms": {name: _line_of_kept(kept, to_unix) for name, kept in page.memory.alarms.items()},
        "told": dict(page.memory.told),
        "cut": page.memory.cut and _changed_line(page.memory.cut, to_unix),
        "first": page.memory.first and asdict(page.memory.first),
        "notices": [line_of(notice, to_unix) | {"told_at": unix} for notice, unix in page.notices],
    }


def page_of(line: Mapping[str, Any], from_unix: Clock) -> Page:
    """The page that a line was made of. Raises KeyError, ValueError or TypeError for one of another make."""
    memory = Memory(
        {name: _kept_of(kept, from_unix) for name, kept in line["alarms"].items()},
        {name: Priority(priority) for name, priority in line["told"].items()},
        _cut_of(line.get("cut"), from_unix),
        First(**line["first"]) if line.get("first") else None,
    )
    told = [(effect_of(notice, from_unix), float(notice["told_at"])) for notice in line["notices"]]
    return Page(memory, tuple((one, unix) for one, unix in told if isinstance(one, NoticeDue)))


def _line_of_kept(kept: Kept, to_unix: Clock) -> Line:
    finding = kept.finding
    return {
        "state": kept.state,
        "standing": kept.standing,
        "emergency": kept.emergency,
        "latching": kept.latching,
        "finding": finding
        and {
            "priority": finding.priority,
            "cause": finding.cause,
            "values": dict(finding.values),
            "subjects": sorted(finding.subjects),
            "explained_by": finding.explained_by,
        },
        "told": sorted(kept.told),
        "rises": _each(kept.rises, to_unix),
        "shelved_until": _at(kept.shelved_until, to_unix),
        "acknowledged_by": kept.acknowledged_by,
        "acknowledged_at": _at(kept.acknowledged_at, to_unix),
        "raised": kept.raised and _changed_line(kept.raised, to_unix),
        "last": kept.last and _changed_line(kept.last, to_unix),
    }


def _kept_of(line: Mapping[str, Any], from_unix: Clock) -> Kept:
    found = line["finding"]
    return Kept(
        State(line["state"]),
        bool(line["standing"]),
        bool(line["emergency"]),
        bool(line["latching"]),
        found
        and Finding(
            Priority(found["priority"]),
            found["cause"],
            found["values"],
            frozenset(found["subjects"]),
            found["explained_by"],
        ),
        frozenset(line["told"]),
        tuple(_each(line["rises"], from_unix)),
        _at(line["shelved_until"], from_unix),
        line["acknowledged_by"],
        _at(line["acknowledged_at"], from_unix),
        line["raised"] and _changed(line["raised"], from_unix),
        line["last"] and _changed(line["last"], from_unix),
    )


def _cut_of(line: Mapping[str, Any] | None, from_unix: Clock) -> SupplyChanged | None:
    effect = effect_of(line, from_unix) if line else None
    return effect if isinstance(effect, SupplyChanged) else None


def _changed_line(changed: AlarmChanged | SupplyChanged, to_unix: Clock) -> Line:
    return line_of(changed, to_unix) | {"time": to_unix(changed.time)}  # in full: the key of what was said


def _changed(line: Mapping[str, Any], from_unix: Clock) -> AlarmChanged:
    effect = effect_of(line, from_unix)
    if not isinstance(effect, AlarmChanged):
        raise TypeError("a change of an alarm is wanted")
    return replace(effect, values=dict(effect.values))


def _each(times: Iterable[float], convert: Clock) -> list[float]:
    return [convert(time) for time in times]


def _at(time: float | None, convert: Clock) -> float | None:
    return None if time is None else convert(time)
