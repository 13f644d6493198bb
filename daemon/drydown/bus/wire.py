"""How readings, estimates and events look on MQTT: from the core's objects to bytes.

Readings and estimates are SenML packs (RFC 8428); events are JSON objects. Every message carries the numbers
it covers (see `spool`): in a pack as the records `batch` and `batch/first`, in an event as the keys `batch`
and `first`. A reading that is not good has a companion record, NAME/quality, whose text is the quality and
the reason: "bad: no answer from the probe". A reading without a value has only the companion.
"""

import json
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from drydown.bus.spool import EVENT, Message
from drydown.estimate.result import Estimate, Spread
from drydown.quantities import DERIVED, MEASURED, Quantity
from drydown.reading import Quality, Reading

BATCH, FIRST = "batch", "batch/first"
QUALITY = "/quality"

QUANTITIES: Mapping[str, Quantity] = MEASURED | DERIVED

_encode = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode

Clock = Callable[[float], float]
"""From the core's clock to Unix time, both in s."""


def readings(batch: Iterable[Reading], to_unix: Clock) -> bytes:
    """The SenML records of some readings, without the brackets around them."""
    return _records(record for reading in batch for record in _reading_records(reading, to_unix))


def estimate(belief: Estimate, to_unix: Clock) -> bytes:
    """The SenML records of an estimate, without the brackets. What cannot be told is left out."""
    return _records(_estimate_records(belief, to_unix))


def event(body: Mapping[str, Any]) -> bytes:
    """An event as JSON, without the braces around it."""
    return _encode(body)[1:-1].encode()


def payload(message: Message, base_name: str) -> bytes:
    """The bytes of a message, with the numbers that it covers."""
    if message.kind == EVENT:
        return b'{"batch":%d,"first":%d,%b}' % (message.last, message.first, message.bodies[0])
    numbers = [{"bn": base_name, "n": BATCH, "v": message.last}, {"n": FIRST, "v": message.first}]
    return b"[%b,%b]" % (_encode(numbers)[1:-1].encode(), b",".join(message.bodies))


def _records(records: Iterable[tuple[float, dict[str, Any]]]) -> bytes:
    base: float | None = None
    out: list[dict[str, Any]] = []
    for time, record in records:
        if base is None:
            base = round(time, 3)
            out.append({"bt": base} | record)
        else:
            out.append(record | {"t": round(time - base, 3)})
    return _encode(out)[1:-1].encode()


def _reading_records(reading: Reading, to_unix: Clock) -> Iterator[tuple[float, dict[str, Any]]]:
    time = to_unix(reading.time)
    quantity = QUANTITIES[reading.name]
    if reading.value is not None and math.isfinite(reading.value):
        yield time, _value_record(quantity, reading.value)
    if reading.quality is not Quality.GOOD:
        yield time, {"n": reading.name + QUALITY, "vs": f"{reading.quality}: {reading.reason}"}


def _value_record(quantity: Quantity, value: float | bool) -> dict[str, Any]:
    if quantity.is_boolean:
        return {"n": quantity.name, "vb": bool(value)}
    sent = _plain(quantity.from_si(value))
    return {"n": quantity.name, "v": sent} | ({"u": quantity.unit} if quantity.unit else {})


def _estimate_records(belief: Estimate, to_unix: Clock) -> Iterator[tuple[float, dict[str, Any]]]:
    time = to_unix(belief.time)
    yield time, {"n": "estimate/verdict", "vs": str(belief.verdict)}
    yield time, {"n": "estimate/methanol_done", "vb": belief.methanol_done}
    yield time, {"n": "estimate/run_time", "u": "s", "v": _plain(belief.run_time)}
    for name in ("methanol", "water", "water_floor"):
        yield from _spread(time, name, getattr(belief, name), "/", _plain)
    yield from _spread(time, "emission", belief.emission, None, _plain)
    for name in ("methanol_done_at", "dry_at"):
        yield from _spread(time, name, getattr(belief, name), "s", lambda value: round(to_unix(value), 3))


def _spread(
    time: float, name: str, spread: Spread | None, unit: str | None, sent: Clock
) -> Iterator[tuple[float, dict[str, Any]]]:
    if spread is None:
        return
    tail = {"u": unit} if unit else {}
    yield time, {"n": f"estimate/{name}", "v": sent(spread.median)} | tail
    yield time, {"n": f"estimate/{name}/low", "v": sent(spread.low)} | tail
    yield time, {"n": f"estimate/{name}/high", "v": sent(spread.high)} | tail


def _plain(value: float) -> float:
    """Without the noise that the way to SI and back leaves in the last digits."""
    return float(f"{value:.9g}")
