"""What the model finds wrong with a draft, in words: the key, what is allowed there, what was meant."""

import json
from collections.abc import Iterator
from typing import Any

from pydantic_core import ErrorDetails

from drydown.config.allowed import PROBE_KINDS, choices_at, home_of, keys_at, meant, needed_at, values_at
from drydown.config.draft import Complaint, Draft
from drydown.config.positions import KeyPath


def complaints_of(errors: list[ErrorDetails], draft: Draft) -> Iterator[Complaint]:
    """What is wrong, without what only follows from something else that was complained of."""
    told = {complaint.path for complaint in draft.complaints}
    outer = {error["loc"][:length] for error in errors for length in range(len(error["loc"]))}
    for error in errors:
        place = error["loc"]
        if place in outer or not _is_of_its_kind(place, draft):
            continue
        path = draft.file_path(place[:4] + place[5:] if _is_in_probe(place) else place)
        if not any(path[:length] in told for length in range(1, len(path) + 1)):
            yield Complaint(path, _text(error, draft))


def _is_in_probe(place: KeyPath) -> bool:
    """Such a place is: "tank", which, "probes", the reading, the kind of table, and what is in it."""
    return len(place) > 4 and place[2] == "probes"


def _is_of_its_kind(place: KeyPath, draft: Draft) -> bool:
    """The model tries every kind of probe; only what it says of the kind that is meant is of use."""
    if not _is_in_probe(place):
        return True
    probe = draft.data["tank"][place[1]]["probes"][place[3]]
    return any(PROBE_KINDS.get(key) == place[4] for key in probe)


def _text(error: ErrorDetails, draft: Draft) -> str:
    place, table = error["loc"], error["loc"][:-1]
    match error["type"]:
        case "extra_forbidden":
            allowed = keys_at(table) + sorted(draft.outside if table == () else ())
            return _of_unknown_key(str(place[-1]), allowed)
        case "missing":
            needed = needed_at(place)
            return f"is missing; it needs {' and '.join(needed)}" if needed else _allowed("is missing", place)
        case "value_error":
            return "is not whole: " + error["msg"].removeprefix("Value error, ")
        case _:
            guess = meant(error["input"], choices_at(place)) if isinstance(error["input"], str) else ""
            return _allowed(f"is {_shown(error['input'])}", place, guess)


def _of_unknown_key(key: str, allowed: list[str]) -> str:
    home = home_of(key)
    guess = f" it belongs in {home};" if home else meant(key, allowed)
    return f"is not a key here;{guess} allowed: {', '.join(allowed)}"


def _allowed(fault: str, place: KeyPath, guess: str = "") -> str:
    return f"{fault};{guess} allowed: {values_at(place)}"


def _shown(value: Any) -> str:
    """A value as the file has it: short, and on one line."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, tuple):
        return f"an array of {len(value)}"
    text = json.dumps(value, ensure_ascii=isinstance(value, str) and not value.isprintable())
    return text if len(text) <= 40 else text[:37] + "…"
