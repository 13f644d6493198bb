"""Effects as plain dictionaries, one a line of JSON, and back.

{"kind": "reading" | "estimate" | "stage" | "level" | "taught" | "alarm" | "notice", "time": Unix s, …}.
Readings are in the units they are sent in (`quantities`), all else in SI; estimates carry None where nothing
can be told.
"""

from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import Any

from drydown.effects import (
    AlarmChanged,
    Change,
    Conditioned,
    Derived,
    Effect,
    Estimated,
    LevelEvent,
    NoticeDue,
    Priority,
    StageChanged,
    SupplyChanged,
    Taught,
)
from drydown.estimate.lesson import lesson_line, lesson_of
from drydown.estimate.result import Advice, Estimate, Prospect, Spread, Verdict
from drydown.quantities import DERIVED, MEASURED
from drydown.reading import Quality, Reading
from drydown.run.movement import LevelKind
from drydown.run.stages import Stage
from drydown.texts.alarms import message

QUANTITIES = MEASURED | DERIVED
PROSPECT = tuple(field.name for field in fields(Prospect))

Line = dict[str, Any]

Clock = Callable[[float], float]
"""Between the core's clock and Unix time, both in s."""


def line_of(effect: Effect, to_unix: Clock) -> Line:
    """What a line says of an effect."""
    match effect:
        case Conditioned(reading=reading) | Derived(reading=reading):
            return reading_line(reading, to_unix)
        case Estimated(estimate=estimate):
            return estimate_line(estimate, to_unix)
        case StageChanged():
            return {
                "kind": "stage",
                "time": _time(effect.time, to_unix),
                "stage": effect.stage,
                "by": effect.by,
            }
        case LevelEvent():
            return {
                "kind": "level",
                "time": _time(effect.time, to_unix),
                "level": effect.kind,
                "start": _time(effect.start, to_unix),
                "volume": _spread_line(effect.volume),
                "by": effect.by,
            }
        case Taught(time=time, lesson=lesson):
            return {"kind": "taught"} | lesson_line(lesson, time, to_unix)
        case SupplyChanged():
            return {
                "kind": "supply",
                "time": _time(effect.time, to_unix),
                "cut": effect.cut,
                "alarm": effect.alarm,
                "by": effect.by,
            }
        case AlarmChanged():
            return {
                "kind": "alarm",
                "time": _time(effect.time, to_unix),
                "alarm": effect.alarm,
                "priority": effect.priority,
                "change": effect.change,
                "cause": effect.cause,
                "message": message(effect),
                "who": effect.who,
                "values": dict(effect.values),
            }
        case NoticeDue():
            return {
                "kind": "notice",
                "time": _time(effect.time, to_unix),
                "key": effect.key,
                "notice": effect.kind,
                "priority": effect.priority,
                "values": dict(effect.values),
            }


def reading_line(reading: Reading, to_unix: Clock) -> Line:
    """A line of kind "reading"; quality and reason only where it is not good."""
    quantity = QUANTITIES[reading.name]
    value = reading.value
    if value is not None and not quantity.is_boolean:
        value = float(f"{quantity.from_si(value):.9g}")  # without what the way to SI and back left behind
    line: Line = {
        "kind": "reading",
        "time": _time(reading.time, to_unix),
        "name": reading.name,
        "value": value,
        "unit": quantity.unit,
    }
    if reading.quality is not Quality.GOOD:
        line |= {"quality": reading.quality, "reason": reading.reason}
    return line


def estimate_line(estimate: Estimate, to_unix: Clock) -> Line:
    """A line of kind "estimate"."""

    def times(spread: Spread | None) -> Line | None:
        if spread is None:
            return None
        ends = (_time(end, to_unix) for end in (spread.median, spread.low, spread.high))
        return dict(zip(("median", "low", "high"), ends, strict=True))

    return {
        "kind": "estimate",
        "time": _time(estimate.time, to_unix),
        "run_time": round(estimate.run_time, 3),
        "methanol": _spread_line(estimate.methanol),
        "water": _spread_line(estimate.water),
        "water_floor": _spread_line(estimate.water_floor),
        "emission": _spread_line(estimate.emission),
        "methanol_done_at": times(estimate.methanol_done_at),
        "dry_at": times(estimate.dry_at),
        "methanol_done": estimate.methanol_done,
        "verdict": estimate.verdict,
        "advice": [{"kind": advice.kind} | _shortened(advice.values) for advice in estimate.advice],
        "plan": [prospect_line(prospect) for prospect in estimate.plan],
    }


def effect_of(line: Mapping[str, Any], from_unix: Clock) -> Effect:
    """The effect that a line was made of. Raises KeyError or ValueError for a line that is none of ours."""
    time = from_unix(line["time"])
    match line["kind"]:
        case "reading":
            return _reading_effect(line, time)
        case "estimate":
            return Estimated(_estimate(line, time, from_unix))
        case "stage":
            return StageChanged(time, Stage(line["stage"]), line["by"])
        case "level":
            start, volume = from_unix(line["start"]), Spread(**line["volume"])
            return LevelEvent(time, LevelKind(line["level"]), start, volume, line["by"])
        case "taught":
            return Taught(time, lesson_of(line, from_unix))
        case "supply":
            return SupplyChanged(time, line["cut"], line["alarm"], line["by"])
        case "alarm":
            priority, change = Priority(line["priority"]), Change(line["change"])
            return AlarmChanged(
                time, line["alarm"], priority, change, line["cause"], line["values"], line["who"]
            )
        case "notice":
            return NoticeDue(time, line["key"], line["notice"], Priority(line["priority"]), line["values"])
        case kind:
            raise ValueError(f"no line is of kind {kind!r}")


def _reading_effect(line: Mapping[str, Any], time: float) -> Conditioned | Derived:
    name, value = line["name"], line["value"]
    quantity = QUANTITIES[name]
    if value is not None and not quantity.is_boolean:
        value = quantity.to_si(value)
    quality = Quality(line.get("quality", Quality.GOOD))
    reading = Reading(name, time, value, quality, line.get("reason", ""))
    return Conditioned(reading) if name in MEASURED else Derived(reading)


def _estimate(line: Mapping[str, Any], time: float, from_unix: Clock) -> Estimate:
    def spread(name: str, convert: Clock = float) -> Spread | None:
        found = line[name]
        if found is None:
            return None
        return Spread(convert(found["median"]), convert(found["low"]), convert(found["high"]))

    return Estimate(
        time,
        line["run_time"],
        methanol=spread("methanol"),
        water=spread("water"),
        water_floor=spread("water_floor"),
        emission=spread("emission"),
        methanol_done_at=spread("methanol_done_at", from_unix),
        dry_at=spread("dry_at", from_unix),
        methanol_done=line["methanol_done"],
        verdict=Verdict(line["verdict"]),
        advice=tuple(map(advice_of, line.get("advice", ()))),
        plan=tuple(map(prospect_of, line.get("plan", ()))),
    )


def advice_of(line: Mapping[str, Any]) -> Advice:
    """A piece of advice out of an estimate's line."""
    return Advice(line["kind"], {name: value for name, value in line.items() if name != "kind"})


def prospect_of(line: Mapping[str, Any]) -> Prospect:
    """A start of the blower out of an estimate's line."""
    told: Line = {name: Spread(**v) if isinstance(v, Mapping) else v for name, v in line.items()}
    return Prospect(**told)


def prospect_line(prospect: Prospect) -> Line:
    """The inverse of `prospect_of`."""
    told = {name: getattr(prospect, name) for name in PROSPECT}
    return {name: v if isinstance(v, float) else _spread_line(v) for name, v in told.items()}


def _shortened(values: Mapping[str, float]) -> Line:
    return {name: _short(value) for name, value in values.items()}


def _spread_line(spread: Spread | None) -> Line | None:
    if spread is None:
        return None
    return {"median": _short(spread.median), "low": _short(spread.low), "high": _short(spread.high)}


def _short(value: float) -> float:
    return float(f"{value:.5g}")


def _time(time: float, to_unix: Clock) -> float:
    return round(to_unix(time), 3)
