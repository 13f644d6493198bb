"""SenML as JSON (RFC 8428 section 5): bytes to resolved records and back, as a pack or as a stream.

A pack is one JSON array. A stream (SensML, section 4.8) is here one record a line; the brackets and commas of
an array that never ends may stand around the records, or not.

Stricter than JSON: numbers are finite, a name stands once in an object, and sizes are limited.
"""

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from operator import attrgetter
from typing import Any, NoReturn

from drydown.bus.senml import Record, SenmlError, pack, resolve, shown


@dataclass(frozen=True, slots=True)
class Limits:
    """How much is read: bytes of a pack, bytes of one line of a stream, and records of either."""

    size: int
    records: int
    line: int = 100_000


MESSAGE = Limits(size=1_000_000, records=50_000)
FILE = Limits(size=64_000_000, records=1_000_000)


def decode(payload: bytes, now: float, limits: Limits = MESSAGE) -> list[Record]:
    """The records of a pack, resolved and in order of their times (section 4.6).

    Times relative to now count from `now`, Unix s. Raises SenmlError.
    """
    if len(payload) > limits.size:
        raise SenmlError(f"it has {len(payload)} bytes; allowed are {limits.size}")
    text = _utf8(payload, "it")
    try:
        fields = _decoder.decode(text)
    except (ValueError, RecursionError):
        raise _fault(text) from None
    if not isinstance(fields, list):
        raise SenmlError(f"it is {shown(fields)}; allowed is an array of records")
    if len(fields) > limits.records:
        raise SenmlError(f"it has {len(fields)} records; allowed are {limits.records}")
    return sorted(resolve(fields, now), key=attrgetter("time"))


def encode(records: Iterable[Record], base_name: str = "") -> bytes:
    """Resolved records as a pack. Raises SenmlError for a record that SenML cannot hold."""
    return _encode(list(pack(records, base_name))).encode()


def decode_stream(lines: Iterable[bytes], now: float, limits: Limits = FILE) -> Iterator[Record]:
    """The records of a stream as they stand, one a line. Raises SenmlError when it comes to a wrong one."""
    return resolve(_objects(lines, limits), now)


def encode_stream(records: Iterable[Record], base_name: str = "") -> Iterator[bytes]:
    """Resolved records as the lines of a stream. Raises SenmlError for a record that SenML cannot hold."""
    for fields in pack(records, base_name):
        yield _encode(fields).encode() + b"\n"


def _objects(lines: Iterable[bytes], limits: Limits) -> Iterator[object]:
    number = 0
    opened = closed = False
    for line in lines:
        if len(line) > limits.line:
            raise SenmlError(
                f"record {number + 1}: its line has {len(line)} bytes; allowed are {limits.line}"
            )
        text = _utf8(line, f"record {number + 1}").strip(_SPACE)
        if not opened and text.startswith("["):
            text = text[1:].lstrip(_SPACE)
            opened = True
        if not text:
            continue
        if closed:
            raise SenmlError(f"after record {number} and the closing bracket stands {shown(text)}")
        if text == "]":
            closed = True
            continue
        opened = True
        number += 1
        if number > limits.records:
            raise SenmlError(f"it has more than the {limits.records} records that are allowed")
        try:
            yield _decoder.decode(text.removesuffix(","))
        except (ValueError, RecursionError) as error:
            raise _record_fault(number, error) from None


def _fault(text: str) -> SenmlError:
    """What is wrong with the JSON of a pack, found by reading it again record by record."""
    place = _skip_space(text, 0)
    if text[place : place + 1] != "[":
        return SenmlError(f"it begins with {shown(text[:20])}; allowed is an array of records")
    number, place = 0, place + 1
    while True:
        number += 1
        try:
            _, place = _decoder.raw_decode(text, _skip_space(text, place))
        except (ValueError, RecursionError) as error:
            return _record_fault(number, error)
        place = _skip_space(text, place)
        if text[place : place + 1] == "]":
            rest = text[_skip_space(text, place + 1) :]
            return SenmlError(f"after record {number} and the closing bracket stands {shown(rest[:40])}")
        if place == len(text):
            return SenmlError(
                f"it ends after record {number} without the closing bracket; is the rest cut off?"
            )
        if text[place] != ",":
            return SenmlError(
                f"after record {number} stands {shown(text[place])}; allowed are a comma and a ]"
            )
        place += 1


def _record_fault(number: int, error: Exception) -> SenmlError:
    """Where the text ends within a word, a number or an escape, the record was cut off."""
    if isinstance(error, SenmlError):
        return SenmlError(f"record {number}: {error}")
    if isinstance(error, RecursionError):
        return SenmlError(f"record {number}: it is nested too deeply; allowed is a flat object")
    if isinstance(error, json.JSONDecodeError):
        left = error.doc[error.pos :].strip(_SPACE)
        ends = error.msg != "Extra data" and _UNFINISHED.fullmatch(left)
        if ends or error.msg.startswith("Unterminated string"):
            return SenmlError(f"record {number}: it ends in the middle; is the rest cut off?")
        what = error.msg.removesuffix(" at")  # some of json's messages end so
        return SenmlError(f"record {number}: it is not JSON ({what} at character {error.pos + 1})")
    return SenmlError(f"record {number}: it has a number of too many digits; allowed is a finite number")


def _skip_space(text: str, place: int) -> int:
    found = _SPACES.match(text, place)
    return found.end() if found else place


def _utf8(octets: bytes, what: str) -> str:
    try:
        return octets.decode()
    except UnicodeDecodeError as error:
        raise SenmlError(f"{what} is not UTF-8 (byte {error.start + 1}); allowed is JSON in UTF-8") from None


def _fields(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) < len(pairs):
        labels = [label for label, _ in pairs]
        twice = next(label for label in labels if labels.count(label) > 1)
        raise SenmlError(f"{shown(twice)} stands in it more than once; allowed is once")
    return fields


def _refuse(constant: str) -> NoReturn:
    raise SenmlError(f"{constant} stands in it; allowed are finite numbers")


_SPACE = " \t\r\n"  # of JSON (RFC 8259)
_SPACES = re.compile(r"[ \t\r\n]*")
_UNFINISHED = re.compile(r"|-|\.|[eE][-+]?|t(ru?)?|f(a|als?)?|n(ul?)?|\\?u?[0-9A-Fa-f]{0,4}")
_decoder = json.JSONDecoder(object_pairs_hook=_fields, parse_constant=_refuse)
_encode = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode
