"""A TOML document in the shape of the model, before the model checks it.

The file may name one tank, `[tank]`, with its tables beside it at the top, or several, `[[tank]]`, each with
its tables inside. The model always has several, each with its tables inside.
"""

import math
from dataclasses import dataclass, field
from typing import Any

from drydown.config.allowed import PROBE_KINDS, meant, tables_of_tank
from drydown.config.positions import KeyPath
from drydown.quantities import MEASURED

DEEPEST = 8  # tables and arrays inside each other; the deepest that is allowed has 5
TANK = "tank"


@dataclass(frozen=True, slots=True)
class Complaint:
    """What is wrong at a path of the file, in words that follow the path's name."""

    path: KeyPath
    text: str


@dataclass(slots=True)
class Draft:
    """What the model will check, and how a path of the model is found in the file again."""

    data: dict[str, Any]
    is_single: bool = False
    outside: frozenset[str] = frozenset()  # tables of the only tank that stand at the top of the file
    complaints: list[Complaint] = field(default_factory=list)

    def file_path(self, path: KeyPath) -> KeyPath:
        """Where in the file a path of the model stands, or would stand."""
        if not self.is_single or path[:2] != (TANK, 0):
            return path
        own = path[2:]
        return own if own and own[0] in self.outside else (TANK, *own)


def draft_of(document: dict[str, Any]) -> Draft:
    """The document as the model has it, with complaints about what only the file's own form can show."""
    complaints: list[Complaint] = []
    data = _plain(document, (), complaints)
    assert isinstance(data, dict)
    draft = _single(data) if isinstance(data.get(TANK, {}), dict) else _several(data)
    draft.complaints += complaints
    _check_names(draft)
    _check_probes(draft)
    return draft


def _plain(value: Any, path: KeyPath, complaints: list[Complaint]) -> Any:
    """Without what no key takes; None stands in its place."""
    wrong = None
    if isinstance(value, dict | list) and len(path) >= DEEPEST:
        wrong = f"is nested too deeply; allowed: {DEEPEST} tables or arrays inside each other"
    elif isinstance(value, dict):
        return {key: _plain(inner, (*path, key), complaints) for key, inner in value.items()}
    elif isinstance(value, list):
        return tuple(_plain(inner, (*path, place), complaints) for place, inner in enumerate(value))
    elif isinstance(value, float) and not math.isfinite(value):
        wrong = f"is {value}; allowed: a finite number"
    elif isinstance(value, str) and "\0" in value:
        wrong = "has a null character in it; allowed: text without"
    elif not isinstance(value, str | int | float):
        wrong = f"is {value}; allowed: no date or time, here or anywhere"
    if wrong is None:
        return value
    complaints.append(Complaint(path, wrong))
    return None


def _single(data: dict[str, Any]) -> Draft:
    complaints: list[Complaint] = []
    inside = data.get(TANK, {})
    tank = dict(inside)
    outside = tables_of_tank() - inside.keys()
    for name in tables_of_tank() & data.keys():
        if name in inside:
            complaints.append(Complaint((TANK, name), f"stands twice, here and as [{name}]; allowed: once"))
        else:
            tank[name] = data[name]
    if TANK not in data:
        complaints.append(Complaint((TANK,), "is missing; allowed: one [tank], or several [[tank]]"))
    whole = {key: value for key, value in data.items() if key not in tables_of_tank()}
    return Draft({**whole, TANK: (tank,)}, True, frozenset(outside), complaints)


def _several(data: dict[str, Any]) -> Draft:
    loose = tables_of_tank() & data.keys()
    complaints = [
        Complaint((name,), f"stands outside; allowed: inside each [[tank]], as [tank.{name}]")
        for name in loose
    ]
    return Draft({key: value for key, value in data.items() if key not in loose}, complaints=complaints)


def _check_names(draft: Draft) -> None:
    """Each tank has a name of its own."""
    names: set[str] = set()
    for place, tank in _tanks(draft):
        name = tank.get("name")
        if isinstance(name, str):
            if name in names:
                text = f"is {name!r}, as another tank's is; allowed: a name of its own for each tank"
                draft.complaints.append(Complaint((TANK, place, "name"), text))
            names.add(name)


def _check_probes(draft: Draft) -> None:
    """Each probe gives a known reading and is of one kind. What is not is taken out of the draft."""
    for place, tank in _tanks(draft):
        probes = tank.get("probes")
        if not isinstance(probes, dict):
            continue
        for reading, probe in list(probes.items()):
            wrong = _fault_of_probe(reading, probe)
            if wrong:
                del probes[reading]
                path = draft.file_path((TANK, place, "probes", reading))
                draft.complaints.append(Complaint(path, wrong))


def _fault_of_probe(reading: str, probe: Any) -> str | None:
    if reading not in MEASURED:
        return f"is not a reading;{meant(reading, list(MEASURED))} allowed: {', '.join(MEASURED)}"
    kinds = ", ".join(PROBE_KINDS)
    if not isinstance(probe, dict):
        return f"is not a table; allowed: a table with one of the keys {kinds}"
    found = [kind for kind in PROBE_KINDS if kind in probe]
    if len(found) > 1:
        return f"has the keys {' and '.join(found)}; allowed: one of {kinds}"
    if not found:
        guess = "".join(meant(key, list(PROBE_KINDS)) for key in list(probe)[:1])
        return f"does not say how it is read;{guess} allowed: one of the keys {kinds}"
    return None


def _tanks(draft: Draft) -> list[tuple[int, dict[str, Any]]]:
    tanks = draft.data[TANK]
    return [(i, t) for i, t in enumerate(tanks) if isinstance(t, dict)] if isinstance(tanks, tuple) else []
