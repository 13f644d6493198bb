"""An entry of the logbook: recorded as it was made, held against the table of kinds."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from drydown.errors import UserError
from drydown.logbook.kinds import KINDS, LONGEST_NAME, Choice, Field, Number

Value = float | str


class EntryError(UserError):
    """An entry that can't be taken; the text names the field and what is allowed."""


@dataclass(frozen=True, slots=True)
class Entry:
    """`kind` and `values` as the table of kinds has them, numbers in SI units; who made it."""

    kind: str
    values: Mapping[str, Value]
    who: str


def entry_of(kind: str, values: Mapping[str, Any], who: str) -> Entry:
    """What is missing is left out, where it may be. Raises EntryError."""
    fields = KINDS.get(kind)
    if fields is None:
        raise EntryError(f"entry: allowed is {', '.join(KINDS)}")
    unknown = sorted(set(values) - set(fields))
    if unknown:
        raise EntryError(f"{unknown[0]}: an entry “{kind}” holds {', '.join(fields) or 'nothing else'}")
    found = {name: _checked(name, field, values[name]) for name, field in fields.items() if name in values}
    missing = [name for name, field in fields.items() if field.needed and name not in found]
    if missing:
        raise EntryError(f"{missing[0]}: is missing; allowed is {allowed(fields[missing[0]])}")
    return Entry(kind, found, who)


def allowed(field: Field) -> str:
    """What a field may hold, in words."""
    match field:
        case Number(unit=unit, least=least, most=most):
            return f"a number from {least:g} to {most:g}" + ("" if unit == "1" else f", in {unit}")
        case Choice(allowed=words):
            return ", ".join(words)
    return f"a text of 1 to {LONGEST_NAME} characters"


def _checked(name: str, field: Field, value: Any) -> Value:
    match field:
        case Number(least=least, most=most):
            if not isinstance(value, bool) and isinstance(value, int | float) and least <= value <= most:
                return float(value)
        case Choice(allowed=words):
            if value in words:
                return str(value)
        case _:
            if isinstance(value, str) and value.isprintable() and 0 < len(value) <= LONGEST_NAME:
                return value
    raise EntryError(f"{name}: allowed is {allowed(field)}")
