"""Commands as plain dictionaries, one a line of JSON, and back: what a person may tell a tank."""

from collections.abc import Callable, Mapping
from typing import Any, NoReturn

from drydown.commands import (
    Acknowledge,
    BenchTest,
    Command,
    CorrectStage,
    Drain,
    Draw,
    Forget,
    Note,
    Reset,
    RestoreSupply,
    Shelve,
    Unshelve,
)
from drydown.errors import UserError
from drydown.logbook.entry import Entry, EntryError, entry_of
from drydown.run.stages import Stage

Order = dict[str, Any]

LONGEST_NAME = 64
LONGEST_NOTE = 500
ABOUT_ALARMS: Mapping[str, Callable[[str, str], Command]] = {
    "acknowledge": Acknowledge,
    "unshelve": Unshelve,
    "reset": Reset,
}
BY_NAME_ALONE: Mapping[str, Callable[[str], Command]] = {
    "draw": Draw,
    "drain": Drain,
    "forget": Forget,
    "restore-supply": RestoreSupply,
}
NAMES = (*ABOUT_ALARMS, *BY_NAME_ALONE, "shelve", "correct-stage", "bench-test", "note", "entry")
LONGEST_SHELVING = 86_400.0  # s
LONGEST_AGO = 604_800.0  # s
GREATEST_CONTENT = 0.5  # mass fraction that a bench test of fuel may find


class OrderError(UserError):
    """A command that can't be understood; the text names the field and what is allowed."""


def order_of(command: Command) -> Order | None:
    """The command as a line; None for what the watcher tells itself."""
    match command:
        case Acknowledge(alarm=alarm, who=who):
            return {"command": "acknowledge", "alarm": alarm, "who": who}
        case Unshelve(alarm=alarm, who=who):
            return {"command": "unshelve", "alarm": alarm, "who": who}
        case Reset(alarm=alarm, who=who):
            return {"command": "reset", "alarm": alarm, "who": who}
        case Shelve(alarm=alarm, who=who, duration=duration):
            return {"command": "shelve", "alarm": alarm, "who": who, "duration": duration}
        case CorrectStage(stage=stage, who=who):
            return {"command": "correct-stage", "stage": str(stage), "who": who}
        case BenchTest(quantity=quantity, value=value, sigma=sigma, who=who, method=method, ago=ago):
            told = {"command": "bench-test", "quantity": quantity, "value": value, "sigma": sigma, "who": who}
            return told | ({"method": method} if method else {}) | ({"ago": ago} if ago else {})
        case Draw(who=who):
            return {"command": "draw", "who": who}
        case Drain(who=who):
            return {"command": "drain", "who": who}
        case Forget(who=who):
            return {"command": "forget", "who": who}
        case RestoreSupply(who=who):
            return {"command": "restore-supply", "who": who}
        case Note(text=text, who=who):
            return {"command": "note", "text": text, "who": who}
        case Entry(kind=kind, values=values, who=who):
            return {"command": "entry", "entry": kind, "values": dict(values), "who": who}
    return None


def command_of(order: Mapping[str, Any]) -> Command:
    """The command that a line means. Raises OrderError."""
    name, who = _one_of(order, "command", NAMES), _name(order, "who")
    if name in ABOUT_ALARMS:
        return ABOUT_ALARMS[name](_name(order, "alarm"), who)
    if name in BY_NAME_ALONE:
        return BY_NAME_ALONE[name](who)
    if name == "shelve":
        return Shelve(_name(order, "alarm"), who, _number(order, "duration", 1.0, LONGEST_SHELVING))
    if name == "note":
        return Note(_text(order, "text", LONGEST_NOTE), who)
    if name == "entry":
        return _entry(order, who)
    if name == "correct-stage":
        return CorrectStage(Stage(_one_of(order, "stage", tuple(Stage))), who)
    quantity = _one_of(order, "quantity", ("methanol", "water"))
    value = _number(order, "value", 0.0, GREATEST_CONTENT)
    sigma = _number(order, "sigma", 1e-9, GREATEST_CONTENT)
    method = _name(order, "method") if "method" in order else ""
    ago = _number(order, "ago", 0.0, LONGEST_AGO) if "ago" in order else 0.0
    return BenchTest(quantity, value, sigma, who, method, ago)


def _entry(order: Mapping[str, Any], who: str) -> Entry:
    values = order.get("values", {})
    if not isinstance(values, Mapping):
        _refuse("values", "an object of the entry's fields")
    try:
        return entry_of(str(order.get("entry")), values, who)
    except EntryError as error:
        raise OrderError(str(error)) from error


def _name(order: Mapping[str, Any], field: str) -> str:
    return _text(order, field, LONGEST_NAME)


def _text(order: Mapping[str, Any], field: str, longest: int) -> str:
    value = order.get(field)
    if not isinstance(value, str) or not value.isprintable() or not 0 < len(value) <= longest:
        _refuse(field, f"a text of 1 to {longest} characters")
    return value


def _one_of(order: Mapping[str, Any], field: str, allowed: tuple[str, ...]) -> str:
    value = order.get(field)
    if value not in allowed:
        _refuse(field, ", ".join(allowed))
    return str(value)


def _number(order: Mapping[str, Any], field: str, least: float, most: float) -> float:
    value = order.get(field)
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
        _refuse(field, f"a number from {least:g} to {most:g}")
    return float(value)


def _refuse(field: str, allowed: str) -> NoReturn:
    raise OrderError(f"{field}: allowed is {allowed}")
