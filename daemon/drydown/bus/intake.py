"""What the recorder takes off the broker: a message's bytes to rows and events, or a sentence why not.

Packs are written by `wire` and are plain: every record has a full name below the base name, the base name
stands in the first record, and only base times follow. That is read directly, because a recorder that catches
up reads hundreds of thousands of rows a second; any other valid SenML goes through `senml`.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import blake2b
from typing import Any, NoReturn

from drydown.bus.records import QUALITY
from drydown.bus.shapes import misfit
from drydown.bus.wire import BATCH, CLOCK, FIRST, GONE
from drydown.timeline import Mark, mark_of

LARGEST = 1_000_000  # bytes of one message
LONGEST_NAME = 100
LONGEST_TEXT = 500
DEEPEST = 8  # objects and arrays within each other
GREATEST = 1e15  # of a value, either side of 0; nothing of ours comes near it
LATEST = 3.25e10  # Unix s, either side of 0: about the year 3000

NUMBER, BOOLEAN, TEXT = "number", "boolean", "text"

Row = tuple[str, str | None, str, int, float | bool | None, str | None]
"""name, unit, kind, Unix time in milliseconds, value, text"""


class UnreadableError(Exception):
    """A message that is not what its topic promises."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """A reading is doubtful or bad: name, Unix time in milliseconds, quality, reason."""

    name: str
    time: int
    quality: str
    reason: str


@dataclass(frozen=True, slots=True)
class Part:
    """What one clock labelled; `mark` is None where the sender does not say which."""

    mark: Mark | None
    rows: list[Row]
    judgements: list[Judgement]


@dataclass(frozen=True, slots=True)
class Pack:
    """Rows of one message, and the batch numbers that it covers (0, 0 where it has none).

    `gone`: what is up to this number can't be had any more. `parts` hold the rows and judgements in order,
    cut where another clock labelled them.
    """

    first: int
    last: int
    gone: int
    parts: list[Part]
    refused: list[str]

    @property
    def rows(self) -> list[Row]:
        """All of them."""
        return [row for part in self.parts for row in part.rows]

    @property
    def judgements(self) -> list[Judgement]:
        """All of them."""
        return [judged for part in self.parts for judged in part.judgements]


@dataclass(frozen=True, slots=True)
class Happening:
    """One event of one message: its body without the numbers, and the numbers.

    `misfit` says why it can't be kept, though its numbers count; empty where it can. `gone` as in `Pack`.
    """

    first: int
    last: int
    kind: str
    time: int
    key: str
    body: str
    mark: Mark | None = None
    misfit: str = ""
    gone: int = 0


def pack(payload: bytes, base_name: str) -> Pack:
    """Read a SenML pack whose names stand below `base_name`. A record that is wrong is left out and told of.

    Raises UnreadableError where no record can be read.
    """
    records = _load(payload)
    if not isinstance(records, list) or not records or not isinstance(records[0], dict):
        raise UnreadableError("a SenML pack is an array of records")
    if records[0].pop("bn", None) != base_name:
        raise UnreadableError(f'the base name ("bn") is not {base_name!r}')
    last, first, gone = (_number(records, name) for name in (BATCH, FIRST, GONE))
    rows, refused = _rows(records)
    return Pack(first, last, gone, list(_parts(rows, refused)), refused)


def happening(payload: bytes, tank: str) -> Happening:
    """Read an event. Raises UnreadableError."""
    body = _load(payload)
    if not isinstance(body, dict):
        raise UnreadableError("an event is a JSON object")
    first, last, gone = (_whole(body.pop(name, 0)) for name in ("first", "batch", "gone"))
    mark = _mark(body.pop("clock", None))
    kind, time = body.get("kind"), body.get("time")
    if not isinstance(kind, str) or isinstance(time, bool) or not isinstance(time, int | float):
        raise UnreadableError('an event has a "kind" (text) and a "time" (Unix seconds)')
    if not abs(time) <= LATEST:
        raise UnreadableError("the time of the event is out of bounds")
    milliseconds = round(time * 1000)
    told = _written(body)  # first: nothing else has to bear what can't be kept
    key = _key(tank, kind, milliseconds, body)
    return Happening(first, last, _storable(kind), milliseconds, key, told, mark, misfit(body), gone)


def _written(body: Mapping[str, Any]) -> str:
    """The body as SQLite and every reader of it take it: a number too large for one is none in JSON."""
    if _is_deeper(body, DEEPEST):
        raise UnreadableError(f"the event is nested deeper than {DEEPEST}")
    try:
        text = json.dumps(body, allow_nan=False)
        if "\\ud" in text:
            json.dumps(body, ensure_ascii=False).encode()
    except ValueError as error:
        raise UnreadableError(f"the event can't be kept ({error})") from error
    return text


def _is_deeper(value: Any, levels: int) -> bool:
    if not isinstance(value, dict | list):
        return False
    inner = value.values() if isinstance(value, dict) else value
    return levels == 0 or any(_is_deeper(one, levels - 1) for one in inner)


def _key(tank: str, kind: str, milliseconds: int, body: Mapping[str, Any]) -> str:
    """The same for the same happening: what it is about, and when it was.

    People may tell several things at once: what is said in commands belongs to it.
    """
    told = [body.get(field) for field in ("key", "alarm", "change", "stage", "command")]
    about = [one for one in told if isinstance(one, str)]
    if "command" in body:
        said = json.dumps({name: body[name] for name in sorted(body) if name != "time"})
        about.append(blake2b(said.encode(), digest_size=6).hexdigest())
    return _storable("/".join([tank, kind, str(milliseconds), *about]))


def _mark(text: Any) -> Mark | None:
    if text is None:
        return None
    try:
        return mark_of(_storable(text))
    except (AttributeError, TypeError, ValueError) as error:
        raise UnreadableError(f"the clock of the event: {error}") from None


def _parts(rows: list[Row], refused: list[str]) -> Iterator[Part]:
    part = Part(None, [], [])
    for row in rows:
        if row[2] is not TEXT:
            part.rows.append(row)
        elif row[0] == CLOCK:
            if part.rows or part.judgements:
                yield part
            try:
                part = Part(mark_of(row[5] or ""), [], [])
            except ValueError as error:
                part = Part(None, [], [])
                refused.append(f"{CLOCK}: {error}")
        elif row[0].endswith(QUALITY):
            part.judgements.extend(filter(None, [_judgement(row)]))
        else:
            part.rows.append(row)
    if part.rows or part.judgements:
        yield part


def _storable(text: str) -> str:
    return text[:LONGEST_TEXT].encode(errors="replace").decode()


def _number(records: list[dict[str, Any]], name: str) -> int:
    """Takes it off the records, where it stands first; 0 where another record does."""
    if records and isinstance(records[0], dict) and records[0].get("n") == name:
        return _whole(records.pop(0).get("v"))
    return 0


def _rows(records: list[dict[str, Any]]) -> tuple[list[Row], list[str]]:
    rows: list[Row] = []
    refused: list[str] = []
    base = 0.0
    for record in records:
        try:
            name = record["n"]
            if name.__class__ is not str:
                raise TypeError
            if "bt" in record:
                base = record["bt"]
            seconds = base + record["t"] if "t" in record else base
            if not -LATEST <= seconds <= LATEST:
                raise ValueError
            time = round(seconds * 1000)
            if "v" in record:
                value = record["v"]
                if not -GREATEST < value < GREATEST or value is True or value is False:
                    raise ValueError
                rows.append((name, record.get("u"), NUMBER, time, value, None))
            elif "vb" in record:
                rows.append((name, None, BOOLEAN, time, record["vb"] is True, None))
            else:
                rows.append((name, None, TEXT, time, None, _storable(record["vs"])))
        except (KeyError, TypeError, ValueError, OverflowError, AttributeError):
            refused.append(str(record)[:LONGEST_NAME])
    return rows, refused


def _judgement(row: Row) -> Judgement | None:
    quality, _, reason = (row[5] or "").partition(": ")
    if quality not in ("doubtful", "bad"):
        return None
    return Judgement(row[0].removesuffix(QUALITY), row[3], quality, reason)


def _load(payload: bytes) -> Any:
    if len(payload) > LARGEST:
        raise UnreadableError(f"{len(payload)} bytes are more than the {LARGEST} that a message may have")
    try:
        return _decode(payload.decode())
    except (ValueError, RecursionError) as error:
        raise UnreadableError(f"it is not JSON ({error})") from error


def _whole(number: Any) -> int:
    if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number < 2**53:
        raise UnreadableError("a batch number is a whole number, 0 or more")
    return number


def _refuse(constant: str) -> NoReturn:
    raise ValueError(f"{constant} is not a number")


_decode = json.JSONDecoder(parse_constant=_refuse).decode
