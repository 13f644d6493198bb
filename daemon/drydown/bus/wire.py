"""How readings, estimates and events look on MQTT: from the core's objects to the bytes of numbered messages.

Readings and estimates are SenML packs (`records`); events are JSON objects. Every message carries the numbers
it covers (`spool`): a pack as its first two records, `batch` and `batch/first`, an event as the keys `batch`
and `first`; where something older can't be had any more, `batch/gone` or `gone` says up to which number. What
was labelled by a board's own clock says so (`timeline`): a record `batch/clock`, good until the next one, or
the key `clock` of an event.
"""

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from drydown.bus.records import records_of_estimate, records_of_reading
from drydown.bus.senml_json import encode
from drydown.bus.spool import EVENT, Message
from drydown.estimate.result import Estimate
from drydown.reading import Reading
from drydown.timeline import Mark

BATCH, FIRST, GONE, CLOCK = "batch", "batch/first", "batch/gone", "batch/clock"

Clock = Callable[[float], float]
"""From the core's clock to Unix time, both in s."""

_encode = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode


def readings(batch: Iterable[Reading], to_unix: Clock, mark: Mark | None = None) -> bytes:
    """The SenML records of some readings, without the brackets around them; `mark` is that of the clock."""
    records = (record for reading in batch for record in records_of_reading(reading, to_unix))
    return _marked(encode(records)[1:-1], mark)


def estimate(belief: Estimate, to_unix: Clock, mark: Mark | None = None) -> bytes:
    """The SenML records of an estimate, without the brackets around them; `mark` is that of the clock."""
    return _marked(encode(records_of_estimate(belief, to_unix))[1:-1], mark)


def event(body: Mapping[str, Any], mark: Mark | None = None) -> bytes:
    """An event as JSON, without the braces around it; `mark` is that of the clock."""
    return _encode({**body, "clock": str(mark)} if mark else body)[1:-1].encode()


def _marked(records: bytes, mark: Mark | None) -> bytes:
    if mark is None or not records:
        return records
    return b'{"n":"%b","vs":"%b"},%b' % (CLOCK.encode(), str(mark).encode(), records)


def payload(message: Message, base_name: str) -> bytes:
    """The bytes of a message, with the numbers that it covers.

    Parts of a pack can stand behind one another because each begins with a base time.
    """
    if message.kind == EVENT:
        gone = b'"gone":%d,' % message.gone if message.gone else b""
        return b'{"batch":%d,"first":%d,%b%b}' % (message.last, message.first, gone, message.bodies[0])
    numbers = [{"bn": base_name, "n": BATCH, "v": message.last}, {"n": FIRST, "v": message.first}]
    numbers += [{"n": GONE, "v": message.gone}] if message.gone else []
    return b"[%b]" % b",".join([_encode(numbers)[1:-1].encode(), *filter(None, message.bodies)])
