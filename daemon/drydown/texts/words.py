"""What things are called when drydown speaks to a person, and how values are put into words."""

from collections.abc import Callable, Mapping, Sequence

from drydown.effects import Priority
from drydown.estimate.result import Verdict
from drydown.run.movement import LevelKind
from drydown.texts import amounts
from drydown.texts.language import later, say

PROBES = {
    "fuel/temperature": later("the fuel's temperature probe"),
    "fuel/level": later("the level gauge"),
    "blower/running": later("the contact that shows whether the blower runs"),
    "blower/discharge_temperature": later("the temperature probe on the blower's outlet"),
    "blower/motor_temperature": later("the temperature probe on the blower's motor"),
    "blower/current": later("the meter of the blower's current"),
    "air/temperature": later("the room's temperature probe"),
    "air/humidity": later("the room's humidity probe"),
    "vent/open": later("the contact that shows whether the vent is open"),
    "vent/flow": later("the measurement of fresh air"),
    "vapour/methanol": later("the methanol vapour sensor"),
}

WATCHED = {
    "fuel/temperature": later("how hot the fuel is, and how dry"),
    "fuel/level": later("how much fuel there is"),
    "blower/running": later("whether the blower runs"),
    "blower/discharge_temperature": later("how hot the air from the blower is"),
    "blower/motor_temperature": later("how hot the blower's motor is"),
    "blower/current": later("what current the blower's motor takes"),
    "air/temperature": later("how warm the air is that dries the fuel"),
    "air/humidity": later("how damp the air is that dries the fuel"),
    "vent/open": later("whether the vent is open"),
    "vent/flow": later("how much fresh air there is"),
    "vapour/methanol": later("how much methanol vapour is in the room"),
}

LEVELS = {
    LevelKind.FILLING: later("fuel came in"),
    LevelKind.DRAW: later("drawn"),
    LevelKind.DRAIN: later("drained from the bottom"),
    LevelKind.LEAK: later("leaked, or ran out of an open drain"),
    LevelKind.FOAM: later("foam rose"),
}

HOT_PARTS = {
    "blower/discharge_temperature": later("air from the blower"),
    "blower/motor_temperature": later("blower's motor"),
}

WARM_THINGS = {
    "fuel/temperature": later("fuel"),
    "air/temperature": later("room air"),
    "blower/discharge_temperature": later("from blower"),
    "blower/motor_temperature": later("motor"),
}

PRIORITIES = {
    Priority.EMERGENCY: later("emergency"),
    Priority.HIGH: later("act soon"),
    Priority.LOW: later("take note"),
}
"""How urgent an alarm is, the most urgent first."""

VERDICTS = {
    Verdict.UNKNOWN: later("cannot tell"),
    Verdict.DRYING: later("drying"),
    Verdict.DRY: later("dry"),
    Verdict.AIR_LIMITED: later("no drier in this air"),
    Verdict.WETTING: later("the air wets it"),
}

PARTS = {
    "broker": later("the message broker"),
    "store": later("the record"),
    "disk": later("the disk"),
    "notices": later("the way to your phone"),
    "clock": later("the clock"),
    "board": later("the board"),
    "estimate": later("the estimate"),
    "watch": later("the watching itself"),
    "probes": later("another board's readings"),
    "doubt": later("probes that disagree"),
    "forward": later("the sending on of the record"),
}

ALARMS = {
    "vent-closed": later("the vent"),
    "vapour-high": later("vapour in the room"),
    "level-falling": later("leaks"),
    "level-high": later("foam or overfilling"),
    "keep-out": later("when to stay out of the room"),
    "fuel-hot": later("the fuel's heat"),
    "blower-hot": later("the blower's heat"),
    "blower-overrun": later("how long the blower runs"),
    "blower-weak": later("how much air the blower gives"),
    "probe-fault": later("failing probes"),
    "air-damp": later("air that wets the fuel"),
    "watch-degraded": later("drydown itself"),
}
"""What each alarm is about."""


def probe(name: str) -> str:
    """A probe by what it does: "the level gauge"."""
    return say(PROBES[name]) if name in PROBES else name


def listed(names: str, words: Mapping[str, str]) -> str:
    """Names with commas between them, as words: "the disk, the clock and the record"."""
    return together([say(words[name]) if name in words else name for name in names.split(", ")])


def together(said: Sequence[str]) -> str:
    """Several things: "the disk, the clock and the record"."""
    if len(said) == 1:
        return said[0]
    return say("{several} and {last}", several=", ".join(said[:-1]), last=said[-1])


def capital(text: str) -> str:
    """The same at the beginning of a sentence."""
    return f"{text[0].upper()}{text[1:]}"


NUMBERS: Mapping[str, Callable[[float], str]] = {
    "temperature": amounts.celsius,
    "limit": amounts.celsius,
    "rate": amounts.degrees_a_minute,
    "possible": amounts.degrees_a_minute,
    "share": amounts.share,
    "vapour": amounts.in_a_million,
    "breathable": amounts.in_a_million,
    "enter_after": lambda after: say(
        "once the blower stops it takes {time} until one may go in.", time=amounts.roughly(after)
    ),
    "leaving": amounts.litres_a_minute,
    "gone": amounts.litres,
    "headroom": amounts.centimetres,
    "flow": amounts.share,
    "flow_most": amounts.share,
    "stretch": amounts.duration,
    "longest": amounts.duration,
    "run_time": amounts.duration,
    "rested": amounts.duration,
    "settled": amounts.micrometres,
    "wrong_by": lambda by: say(
        later("{time} slow") if by > 0 else later("{time} fast"), time=amounts.long_duration(abs(by))
    ),
    "drawable": amounts.litres,
    "methanol_high": amounts.methanol_content,
    "water": amounts.water_content,
    "water_high": amounts.water_content,
    "water_floor": amounts.water_content,
}


def _besides(names: str) -> str:
    return say(" There is trouble with {parts} too.", parts=listed(names, PARTS)) if names else ""


NAMES: Mapping[str, Callable[[str], str]] = {
    "probe": probe,
    "probes": lambda names: listed(names, PROBES),
    "watched": lambda names: listed(names, WATCHED),
    "blind": lambda names: say(" drydown can tell nothing about {alarms}.", alarms=listed(names, ALARMS)),
    "parts": lambda names: _besides(names.partition(", ")[2]),
}


def put(values: Mapping[str, float | str]) -> dict[str, str]:
    """Every value of an effect in words; `part` is what is hot where `probe` measures it."""
    said = {name: _said(name, value) for name, value in values.items()}
    hot = HOT_PARTS.get(str(values.get("probe", "")))
    return said | ({"part": say(hot)} if hot else {})


def _said(name: str, value: float | str) -> str:
    if isinstance(value, str):
        return NAMES[name](value) if name in NAMES else value
    return NUMBERS[name](value) if name in NUMBERS else f"{value:g}"
