"""How readings, estimates and events look on MQTT: from the core's objects to the bytes of numbered messages.

Readings and estimates are SenML packs (`records`); events are JSON objects. Every message carries the numbers
it covers (`spool`): a pack as its first two records, `batch` and `batch/first`, an event as the keys `batch`
and `first`.
"""

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from drydown.bus.records import records_of_estimate, records_of_reading
from drydown.bus.senml_json import encode
from drydown.bus.spool import EVENT, Message
from drydown.estimate.result import Estimate
from drydown.reading import Reading

BATCH, FIRST = "batch", "batch/first"

Clock = Callable[[float], float]
"""From the core's clock to Unix time, both in s."""

_encode = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode


def readings(batch: Iterable[Reading], to_unix: Clock) -> bytes:
    """The SenML records of some readings, without the brackets around them."""
    return encode(record for reading in batch for record in records_of_reading(reading, to_unix))[1:-1]


def estimate(belief: Estimate, to_unix: Clock) -> bytes:
    """The SenML records of an estimate, without the brackets around them."""
    return encode(records_of_estimate(belief, to_unix))[1:-1]


def event(body: Mapping[str, Any]) -> bytes:
    """An event as JSON, without the braces around it."""
    return _encode(body)[1:-1].encode()


def payload(message: Message, base_name: str) -> bytes:
    """The bytes of a message, with the numbers that it covers.

    Parts of a pack can stand behind one another because each begins with a base time.
    """
    if message.kind == EVENT:
        return b'{"batch":%d,"first":%d,%b}' % (message.last, message.first, message.bodies[0])
    numbers = [{"bn": base_name, "n": BATCH, "v": message.last}, {"n": FIRST, "v": message.first}]
    return b"[%b]" % b",".join([_encode(numbers)[1:-1].encode(), *filter(None, message.bodies)])
