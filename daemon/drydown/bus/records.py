"""Readings and estimates as SenML records, and back: names, units, and SI inside against the wire outside.

A reading is a record below the tank's base name, SITE/TANK/, in the unit of its quantity. One that is not
good has a companion, NAME/quality, whose text is the quality and the reason: "bad: no answer from the
probe"; without a value only the companion is there. An estimate is a group of records of one time; what
cannot be told is left out. Emission in kg/s has no unit on the wire: the SenML registry has none for it.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from drydown.bus.senml import Record, SenmlError, shown
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.quantities import DERIVED, MEASURED, Quantity
from drydown.reading import Quality, Reading

Clock = Callable[[float], float]
"""From the core's clock to Unix time or the other way, both in s."""

QUALITY = "/quality"
QUANTITIES: Mapping[str, Quantity] = MEASURED | DERIVED

SPREADS: Mapping[str, str | None] = {
    "estimate/methanol": "/",
    "estimate/water": "/",
    "estimate/water_floor": "/",
    "estimate/emission": None,
    "estimate/methanol_done_at": "s",
    "estimate/dry_at": "s",
}
"""What an estimate gives as a value with a range, and the units on the wire."""
_TIMES = ("estimate/methanol_done_at", "estimate/dry_at")
_RUN_TIME = "estimate/run_time"
_DONE = "estimate/methanol_done"
_VERDICT = "estimate/verdict"


def records_of_reading(reading: Reading, to_unix: Clock) -> Iterator[Record]:
    """A reading of a known quantity, without the base name; times to the millisecond."""
    time = round(to_unix(reading.time), 3)
    quantity = QUANTITIES[reading.name]
    if reading.value is not None and math.isfinite(reading.value):
        if quantity.is_boolean:
            yield Record(reading.name, time, bool(reading.value))
        else:
            yield Record(reading.name, time, _plain(quantity.from_si(reading.value)), quantity.unit)
    if reading.quality is not Quality.GOOD:
        yield Record(reading.name + QUALITY, time, f"{reading.quality}: {reading.reason}")


def readings_of(records: Iterable[Record], base_name: str, to_core: Clock) -> list[Reading]:
    """The readings among the records of a tank; other names are passed over.

    Raises SenmlError for a unit or a kind of value that the quantity does not have.
    """
    readings: list[Reading] = []
    judged: dict[tuple[str, float], tuple[Quality, str]] = {}
    names: dict[str, Quantity | None] = {}
    for record in records:
        name = record.name
        if name not in names:
            names[name] = _quantity(name, base_name)
        quantity = names[name]
        if quantity is not None:
            readings.append(Reading(quantity.name, to_core(record.time), _si_value(record, quantity)))
        elif name.endswith(QUALITY) and _quantity(name.removesuffix(QUALITY), base_name):
            own_name = name.removesuffix(QUALITY).removeprefix(base_name)
            judged[own_name, to_core(record.time)] = _judgement(record)
    return _with_judgements(readings, judged) if judged else readings


def records_of_estimate(belief: Estimate, to_unix: Clock) -> Iterator[Record]:
    """An estimate without the base name; times to the millisecond."""
    time = round(to_unix(belief.time), 3)
    yield Record(_VERDICT, time, str(belief.verdict))
    yield Record(_DONE, time, belief.methanol_done)
    yield Record(_RUN_TIME, time, _plain(belief.run_time), "s")
    for name, unit in SPREADS.items():
        spread: Spread | None = getattr(belief, name.removeprefix("estimate/"))
        if spread is not None:
            sent = (lambda value: round(to_unix(value), 3)) if name in _TIMES else _plain
            yield Record(name, time, sent(spread.median), unit)
            yield Record(f"{name}/low", time, sent(spread.low), unit)
            yield Record(f"{name}/high", time, sent(spread.high), unit)


def estimate_of(records: Iterable[Record], base_name: str, to_core: Clock) -> Estimate:
    """The estimate among records of one time, without its advice; other names are passed over.

    Raises SenmlError.
    """
    found = {record.name.removeprefix(base_name): record for record in records}
    verdict = found.get(_VERDICT)
    if verdict is None or verdict.value not in list(Verdict):
        allowed = ", ".join(Verdict)
        raise SenmlError(f"{_VERDICT} is {shown(verdict and verdict.value)}; allowed are {allowed}")
    done = found.get(_DONE)
    spreads: dict[str, Any] = {
        name.removeprefix("estimate/"): _spread(found, name, unit, to_core if name in _TIMES else float)
        for name, unit in SPREADS.items()
    }
    return Estimate(
        time=to_core(verdict.time),
        run_time=_number(found, _RUN_TIME, "s"),
        methanol_done=done is not None and done.value is True,
        verdict=Verdict(str(verdict.value)),
        **spreads,
    )


def _quantity(name: str, base_name: str) -> Quantity | None:
    return QUANTITIES.get(name[len(base_name) :]) if name.startswith(base_name) else None


def _si_value(record: Record, quantity: Quantity) -> float | bool:
    value = record.value
    if quantity.is_boolean:
        if value.__class__ is bool:
            return bool(value)
        raise SenmlError(f"{_which(record)}: its value is {shown(value)}; allowed is vb, true or false")
    if not isinstance(value, float) or isinstance(value, bool):
        raise SenmlError(f"{_which(record)}: its value is {shown(value)}; allowed is v, a number")
    if record.unit != quantity.unit:
        raise SenmlError(f"{_which(record)}: u is {shown(record.unit)}; allowed is {shown(quantity.unit)}")
    return quantity.to_si(value)


def _judgement(record: Record) -> tuple[Quality, str]:
    quality, _, reason = str(record.value).partition(": ")
    if quality not in list(Quality):
        raise SenmlError(
            f"{_which(record)}: vs begins with {shown(quality)}; allowed are {', '.join(Quality)}"
        )
    return Quality(quality), reason


def _with_judgements(
    readings: list[Reading], judged: dict[tuple[str, float], tuple[Quality, str]]
) -> list[Reading]:
    whole = [
        Reading(r.name, r.time, r.value, *judged.pop((r.name, r.time), (r.quality, r.reason)))
        for r in readings
    ]
    whole += [Reading(name, time, None, *judgement) for (name, time), judgement in judged.items()]
    return sorted(whole, key=lambda reading: reading.time)


def _spread(found: Mapping[str, Record], name: str, unit: str | None, to_core: Clock) -> Spread | None:
    if name not in found:
        return None
    return Spread(*(to_core(_number(found, name + tail, unit)) for tail in ("", "/low", "/high")))


def _number(found: Mapping[str, Record], name: str, unit: str | None) -> float:
    record = found.get(name)
    if record is None:
        raise SenmlError(f"{name} is missing from the estimate")
    if not isinstance(record.value, float) or record.unit != unit:
        raise SenmlError(f"{_which(record)}: allowed is a number (v) with the unit {shown(unit)}")
    return record.value


def _which(record: Record) -> str:
    return f"{record.name} at {record.time:.3f}"


def _plain(value: float) -> float:
    """Without the noise that the way to SI and back leaves in the last digits."""
    return float(f"{value:.9g}")
