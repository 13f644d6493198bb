"""SenML (RFC 8428): from the records of a pack to resolved records, and back to a compact pack.

This is the data model; `senml_json` is its JSON form. Section numbers are those of RFC 8428.

- Base fields hold from their record on until the next record with the same field (4). A record that has
  nothing but base fields measures nothing and only sets them, as in the first example of section 5.1.7.
- A time is base time + time. Below 2**28 it is relative to now, from there on it is Unix time (4.5.3).
- A base value is added to a number and stands in for a missing one; it means nothing to text, booleans and
  data. A base sum is added to every sum and stands in for a missing one (4.5.4).
- Fields that are not known are ignored, unless the name ends in "_": then the record is refused (4.4).
- A version above 10 is refused; all records have the same (4.4). What is written has version 10.

Stricter than the RFC where it is silent: lengths are limited, numbers are finite, text is whole Unicode.
"""

import json
import re
import reprlib
import sys
from base64 import b64decode, urlsafe_b64encode
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from typing import Any

VERSION = 10
ABSOLUTE_FROM = 2.0**28  # s; smaller times are relative to now (4.5.3)
LONGEST_NAME = 255  # characters of base name and name together
LONGEST_UNIT = 64
LONGEST_TEXT = 10_000  # characters of a text value, or of encoded data

_GREATEST = sys.float_info.max
_REGULAR = frozenset(("n", "u", "v", "vs", "vb", "vd", "s", "t", "ut"))
_BASE = frozenset(("bn", "bt", "bu", "bv", "bs", "bver"))
_NAME = re.compile(r"[A-Za-z0-9][-A-Za-z0-9:./_]*")  # 4.5.1
_BASE64URL = re.compile(r"[-_A-Za-z0-9]*")
_NAME_RULE = 'letters A–Z and a–z, digits and "-", ":", ".", "/", "_", beginning with a letter or a digit'


class SenmlError(ValueError):
    """What was sent is not SenML that can be used. The text names record, field, and what is allowed."""


@dataclass(frozen=True, slots=True)
class Record:
    """A resolved record (4.6): full name, Unix time in s, and a value, a sum, or both.

    `sum` is the integral of the value over time, in the unit times s. `update_time` is the longest time in s
    until the next reading.
    """

    name: str
    time: float
    value: float | bool | str | bytes | None
    unit: str | None = None
    sum: float | None = None
    update_time: float | None = None


def resolve(pack: Iterable[object], now: float) -> Iterator[Record]:
    """The measurements of a pack or stream, in the order in which they stand.

    `pack` gives each record as the mapping that its JSON object is. `now`, Unix s, is what relative times
    count from; with 0 they stay below `ABSOLUTE_FROM` and can be told by that.

    Raises SenmlError at the first record that is wrong.
    """
    base = _Base()
    number = 0
    for number, fields in enumerate(pack, 1):
        try:
            if not isinstance(fields, dict):
                raise SenmlError(f"it is {shown(fields)}; allowed is an object")
            measures = fields.keys() <= _REGULAR or base.update(fields)
            if base.version is None:
                base.version = VERSION  # the first record settles it
            if measures:
                yield _resolved(fields, base, now)
        except SenmlError as error:
            raise SenmlError(f"record {number}: {error}") from None
    if not number:
        raise SenmlError("there is no record; a pack has one or more")


def pack(records: Iterable[Record], base_name: str = "") -> Iterator[dict[str, Any]]:
    """Resolved records as a compact pack: base name once, a base time for each group of the same time.

    `resolve` gives exactly the same records again: every record is read back before it is handed out. Raises
    SenmlError for one that SenML cannot hold, or whose name does not begin with `base_name`.
    """
    base = _Base()
    number = 0
    for time, group in groupby(records, key=attrgetter("time")):
        together = list(group)
        lead = _time_fields(time, base.time, len(together))
        if base_name and not number:
            lead = {"bn": base_name, **lead}
        for record in together:
            number += 1
            try:
                fields = {**lead, **_own_fields(record, base_name)}
                base.update(fields)
                if _resolved(fields, base, 0.0) != record:
                    raise SenmlError(f"its value {shown(record.value)} has no exact form in SenML")
            except SenmlError as error:
                raise SenmlError(f"record {number}: {error}") from None
            yield fields
            lead = {}


def shown(value: object) -> str:
    """A value as a message can show it: short, and on one line."""
    if value is None or isinstance(value, bool):
        text = json.dumps(value)
    else:  # an array may be too deep, and too long, to be written whole
        text = reprlib.repr(value) if isinstance(value, list | dict) else repr(value)
    return text if len(text) <= 40 else text[:37] + "…"


class _Base:
    """The base values that are in force."""

    __slots__ = ("full_names", "name", "sum", "time", "unit", "value", "version")

    def __init__(self) -> None:
        self.name = ""
        self.time = 0.0
        self.unit: str | None = None
        self.value: float | None = None
        self.sum: float | None = None
        self.version: int | None = None
        self.full_names: dict[str, str] = {}  # of the names seen since the base name was set

    def update(self, fields: Mapping[str, Any]) -> bool:
        """Take the base values of a record over; returns whether the record measures anything."""
        for field in fields:
            if field.endswith("_"):
                raise SenmlError(
                    f"{shown(field)} is not known, and its last _ says that it must be understood"
                )
        if "bver" in fields:
            self._set_version(fields["bver"])
        if "bn" in fields:
            self.name = _text(fields, "bn", LONGEST_NAME)
            self.full_names = {}
        if "bt" in fields:
            self.time = _number(fields, "bt")
        if "bu" in fields:
            self.unit = _text(fields, "bu", LONGEST_UNIT)
        if "bv" in fields:
            self.value = _number(fields, "bv")
        if "bs" in fields:
            self.sum = _number(fields, "bs")
        return not _REGULAR.isdisjoint(fields) or _BASE.isdisjoint(fields)

    def _set_version(self, version: object) -> None:
        if isinstance(version, bool) or not isinstance(version, int) or not 1 <= version <= VERSION:
            raise SenmlError(f"bver is {shown(version)}; allowed is a whole number from 1 to {VERSION}")
        if self.version not in (None, version):
            raise SenmlError(f"bver is {version} after {self.version}; all records have the same version")
        self.version = version


def _resolved(fields: Mapping[str, Any], base: _Base, now: float) -> Record:
    name = fields.get("n", "")
    try:
        full_name = base.full_names[name]
    except (KeyError, TypeError):
        full_name = base.full_names[name] = _full_name(fields, base.name)
    time = base.time + _number(fields, "t") if "t" in fields else base.time
    if time < ABSOLUTE_FROM:
        time += now
    if not -_GREATEST <= time <= _GREATEST:
        raise SenmlError("bt + t is not finite")
    unit = _text(fields, "u", LONGEST_UNIT) if "u" in fields else base.unit
    total = base.sum
    if "s" in fields:
        total = _finite("bs + s", (total or 0.0) + _number(fields, "s"))
    value = _value(fields, base.value, total)
    update_time = _period(fields) if "ut" in fields else None
    return Record(full_name, time, value, unit, total, update_time)


def _value(
    fields: Mapping[str, Any], base_value: float | None, total: float | None
) -> float | bool | str | bytes | None:
    if "v" in fields:
        value: float | bool | str | bytes | None = _number(fields, "v")
        if base_value is not None:
            value = _finite("bv + v", base_value + _number(fields, "v"))
        count = 1
    else:
        value, count = None, 0
    if "vb" in fields:
        value = fields["vb"]
        if value is not True and value is not False:
            raise SenmlError(f"vb is {shown(value)}; allowed are true and false")
        count += 1
    if "vs" in fields:
        value = _text(fields, "vs", LONGEST_TEXT)
        count += 1
    if "vd" in fields:
        value = _data(fields)
        count += 1
    if count > 1:
        raise SenmlError("it has more than one value; allowed is one of v, vb, vs, vd")
    if count == 0:
        if base_value is not None:
            return base_value
        if total is None:
            raise SenmlError("it has no value; needed is one of v, vb, vs, vd, or a sum s")
    return value


def _full_name(fields: Mapping[str, Any], base_name: str) -> str:
    name = base_name + (_text(fields, "n", LONGEST_NAME) if "n" in fields else "")
    if len(name) > LONGEST_NAME:
        raise SenmlError(f"bn + n has {len(name)} characters; allowed are {LONGEST_NAME}")
    if not name:
        raise SenmlError("it has no name; needed is n or bn")
    if not _NAME.fullmatch(name):
        raise SenmlError(f"the name bn + n is {shown(name)}; allowed are {_NAME_RULE}")
    return name


def _number(fields: Mapping[str, Any], field: str) -> float:
    value = fields[field]
    if (value.__class__ is float or value.__class__ is int) and -_GREATEST <= value <= _GREATEST:
        return float(value)
    raise SenmlError(f"{field} is {shown(value)}; allowed is a finite number")


def _finite(field: str, value: float) -> float:
    if -_GREATEST <= value <= _GREATEST:
        return value
    raise SenmlError(f"{field} is not finite")


def _period(fields: Mapping[str, Any]) -> float:
    period = _number(fields, "ut")
    if period < 0:
        raise SenmlError(f"ut is {shown(period)}; allowed is 0 or more seconds")
    return period


def _text(fields: Mapping[str, Any], field: str, longest: int) -> str:
    value = fields[field]
    if value.__class__ is not str:
        raise SenmlError(f"{field} is {shown(value)}; allowed is text")
    if len(value) > longest:
        raise SenmlError(f"{field} has {len(value)} characters; allowed are {longest}")
    if not value.isascii():
        try:
            value.encode()
        except UnicodeEncodeError:
            raise SenmlError(f"{field} has half of a surrogate pair; allowed is whole Unicode text") from None
    return str(value)


def _data(fields: Mapping[str, Any]) -> bytes:
    text = _text(fields, "vd", LONGEST_TEXT)
    if not _BASE64URL.fullmatch(text) or len(text) % 4 == 1:
        raise SenmlError(f"vd is {shown(text)}; allowed is base64 of the URL-safe alphabet without padding")
    return b64decode(text + "=" * (-len(text) % 4), altchars=b"-_")


def _own_fields(record: Record, base_name: str) -> dict[str, Any]:
    if not record.name.startswith(base_name):
        raise SenmlError(f"the name {shown(record.name)} does not begin with {shown(base_name)}")
    if not record.time >= ABSOLUTE_FROM:
        raise SenmlError(f"its time is {record.time}; allowed is Unix time from {ABSOLUTE_FROM:.0f} on")
    fields: dict[str, Any] = {}
    if len(record.name) > len(base_name):
        fields["n"] = record.name[len(base_name) :]
    if record.unit is not None:
        fields["u"] = record.unit
    match record.value:
        case bool():
            fields["vb"] = record.value
        case str():
            fields["vs"] = record.value
        case bytes():
            fields["vd"] = urlsafe_b64encode(record.value).decode().rstrip("=")
        case float() | int():
            fields["v"] = _short(record.value)
    if record.sum is not None:
        fields["s"] = _short(record.sum)
    if record.update_time is not None:
        fields["ut"] = _short(record.update_time)
    return fields


def _time_fields(time: float, base_time: float, count: int) -> dict[str, Any]:
    """What brings `count` records to their time: a difference for a single one, else a base time."""
    if time == base_time:
        return {}
    if count == 1 and base_time >= ABSOLUTE_FROM:
        for digits in (0, 3, 6):
            difference = round(time - base_time, digits)
            if base_time + difference == time:
                return {"t": _short(difference)}
    return {"bt": _short(time)}


def _short(value: float) -> float:
    """Without the ".0" that a whole number does not need."""
    return int(value) if -(2.0**53) < value < 2.0**53 and value == int(value) else value
