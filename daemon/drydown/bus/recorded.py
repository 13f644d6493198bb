"""A recorded run: a file of SenML records to readings in order of their times."""

from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from pathlib import Path

from drydown.bus.records import readings_of
from drydown.bus.senml import ABSOLUTE_FROM, Record, SenmlError
from drydown.bus.senml_json import FILE, decode, decode_stream
from drydown.errors import UserError
from drydown.quantities import MEASURED
from drydown.reading import Reading

LONGEST_RUN = 31 * 86400.0  # s from the first reading to the last
LATEST = 253402300800.0  # Unix s: the end of the year 9999


class RecordedError(UserError):
    """A recorded run that cannot be read. The text names the file, the record, and what is allowed."""


@dataclass(frozen=True, slots=True)
class Batch:
    """The readings of one moment, Unix time in s."""

    time: float
    readings: tuple[Reading, ...]


def read_run(path: Path, base_name: str) -> list[Batch]:
    """The readings of the tank with a base name, SITE/TANK/, in a .senml or .sensml file.

    Records of other tanks, and of things that are not read but worked out, are passed over. Raises
    RecordedError.
    """
    return batches_of(_content(path), path.suffix, base_name, str(path))


def batches_of(content: bytes, suffix: str, base_name: str, source: str) -> list[Batch]:
    """The same for what a file with that suffix holds; `source` is what messages call it."""
    try:
        records = _KINDS[suffix](content)
        _check_times(records)
        readings = [r for r in readings_of(records, base_name, float) if r.name in MEASURED]
    except SenmlError as error:
        raise RecordedError(f"{source}: {error}") from None
    if not readings:
        raise RecordedError(f"{source} holds no readings of {base_name}, only of {_base_names(records)}")
    return [Batch(time, tuple(group)) for time, group in groupby(readings, key=attrgetter("time"))]


def _content(path: Path) -> bytes:
    if path.suffix not in _KINDS:
        ends = f"ends in {path.suffix}" if path.suffix else "has no ending"
        raise RecordedError(
            f"{path} {ends}; allowed is a recorded run: .senml (one array), .sensml (a stream) or .zip"
            " (from the pages)"
        )
    try:
        if not path.is_file():
            raise RecordedError(f"{path} is not there, or is not a file")
        size = path.stat().st_size
        if size > FILE.size:
            raise RecordedError(f"{path} has {size} bytes; allowed are {FILE.size}")
        return path.read_bytes()
    except OSError as error:
        raise RecordedError(f"{path} cannot be read: {error.strerror}") from None


def _stream(content: bytes) -> list[Record]:
    return sorted(decode_stream(content.splitlines(), NOWHEN), key=attrgetter("time"))


def _pack(content: bytes) -> list[Record]:
    return decode(content, NOWHEN, FILE)


def _check_times(records: list[Record]) -> None:
    if not records:
        raise SenmlError("it has base values only and measures nothing")
    first, last = records[0], records[-1]
    if first.time < ABSOLUTE_FROM:
        raise SenmlError(f"{first.name}: its time is relative to now; allowed is Unix time")
    if last.time > LATEST:
        raise SenmlError(f"{last.name} at {last.time:g}: allowed are times before the year 10000")
    if last.time - first.time > LONGEST_RUN:
        days = (last.time - first.time) / 86400
        raise SenmlError(f"{last.name} comes {days:.0f} days after the first record; allowed are 31")


def _base_names(records: list[Record]) -> str:
    names = sorted({"/".join(record.name.split("/")[:2]) + "/" for record in records})
    return ", ".join(names[:5]) + (" and others" if len(names) > 5 else "")


NOWHEN = 0.0  # relative times stay below ABSOLUTE_FROM
_KINDS = {".senml": _pack, ".sensml": _stream}
