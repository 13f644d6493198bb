"""What an event of each kind has to hold, so that whoever reads the record can rely on it.

Kinds that are not known here are kept as they come: a newer watcher may have them. So are further fields.
"""

import math
from collections.abc import Callable, Mapping
from typing import Any

from drydown.effects import Change, Priority
from drydown.lines import prospect_of
from drydown.orders import NAMES, OrderError, command_of
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage

Check = Callable[[Any], bool]

LONGEST = 2000  # characters of a text


def misfit(body: Mapping[str, Any]) -> str:
    """What is wrong with an event's body, in words; empty where nothing is."""
    for field, is_right in SHAPES.get(body["kind"], {}).items():
        if not is_right(body.get(field)):
            return f"its {field} is missing, or not what it is for an event of the kind {body['kind']}"
    if body["kind"] == "command" and body.get("command") in NAMES:
        try:
            command_of(body)
        except OrderError as error:
            return str(error)
    return ""


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST


def _is_number(value: Any) -> bool:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return is_number and abs(value) < 1e15 and math.isfinite(value)


def _is_spread(value: Any) -> bool:
    return isinstance(value, dict) and value.keys() == ENDS and all(map(_is_number, value.values()))


def _are_values(value: Any) -> bool:
    """Plain values by name, as texts are made of them."""
    return isinstance(value, dict) and all(
        one is None or isinstance(one, bool) or _is_number(one) or _is_text(one) for one in value.values()
    )


def _is_advice(value: Any) -> bool:
    pieces: list[Any] = value if isinstance(value, list) else [None]
    return all(_are_values(piece) and _is_text(piece.get("kind")) for piece in pieces)


def _is_plan(value: Any) -> bool:
    try:
        for prospect in value:
            prospect_of(prospect)
            if not all(one is None or _is_number(one) or _is_spread(one) for one in prospect.values()):
                return False
    except (AttributeError, TypeError):
        return False
    return isinstance(value, list)


def _one_of(*allowed: str) -> Check:
    return lambda value: isinstance(value, str) and value in allowed


ENDS = {"median", "low", "high"}

SHAPES: Mapping[str, Mapping[str, Check]] = {
    "stage": {"stage": _one_of(*Stage), "by": _is_text},
    "level": {"level": _one_of(*LevelKind), "start": _is_number, "volume": _is_spread, "by": _is_text},
    "supply": {"cut": lambda value: isinstance(value, bool), "alarm": _is_text, "by": _is_text},
    "alarm": {
        "alarm": _is_text,
        "priority": _one_of(*Priority),
        "change": _one_of(*Change),
        "cause": _is_text,
        "message": _is_text,
        "who": _is_text,
        "values": _are_values,
    },
    "notice": {"key": _is_text, "notice": _is_text, "priority": _one_of(*Priority), "values": _are_values},
    "advised": {"advice": _is_advice, "plan": _is_plan},
    "command": {"command": _is_text, "who": _is_text},
    "store": {"message": _is_text},
}
"""By the kind of event: what each field has to be."""
