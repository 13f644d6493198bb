"""What things are called when drydown speaks to a person, and how values are put into words."""

from collections.abc import Callable, Mapping

from drydown.estimate.result import Verdict
from drydown.run.movement import LevelKind
from drydown.texts import amounts

PROBES = {
    "fuel/temperature": "the fuel's temperature probe",
    "fuel/level": "the level gauge",
    "blower/running": "the contact that shows whether the blower runs",
    "blower/discharge_temperature": "the temperature probe on the blower's outlet",
    "blower/motor_temperature": "the temperature probe on the blower's motor",
    "blower/current": "the meter of the blower's current",
    "air/temperature": "the room's temperature probe",
    "air/humidity": "the room's humidity probe",
    "vent/open": "the contact that shows whether the vent is open",
    "vent/flow": "the measurement of fresh air",
    "vapour/methanol": "the methanol vapour sensor",
}

WATCHED = {
    "fuel/temperature": "how hot the fuel is, and how dry",
    "fuel/level": "how much fuel there is",
    "blower/running": "whether the blower runs",
    "blower/discharge_temperature": "how hot the air from the blower is",
    "blower/motor_temperature": "how hot the blower's motor is",
    "blower/current": "what current the blower's motor takes",
    "air/temperature": "how warm the air is that dries the fuel",
    "air/humidity": "how damp the air is that dries the fuel",
    "vent/open": "whether the vent is open",
    "vent/flow": "how much fresh air there is",
    "vapour/methanol": "how much methanol vapour is in the room",
}

LEVELS = {
    LevelKind.FILLING: "fuel came in",
    LevelKind.DRAW: "drawn",
    LevelKind.DRAIN: "drained from the bottom",
    LevelKind.LEAK: "leaked, or ran out of an open drain",
    LevelKind.FOAM: "foam rose",
}

HOT_PARTS = {
    "blower/discharge_temperature": "air from the blower",
    "blower/motor_temperature": "blower's motor",
}

WARM_THINGS = {
    "fuel/temperature": "fuel",
    "air/temperature": "room air",
    "blower/discharge_temperature": "from blower",
    "blower/motor_temperature": "motor",
}

VERDICTS = {
    Verdict.UNKNOWN: "cannot tell",
    Verdict.DRYING: "drying",
    Verdict.DRY: "dry",
    Verdict.AIR_LIMITED: "no drier in this air",
    Verdict.WETTING: "the air wets it",
}

PARTS = {
    "broker": "the message broker",
    "store": "the record",
    "disk": "the disk",
    "notices": "the way to your phone",
    "clock": "the clock",
    "board": "the board",
    "estimate": "the estimate",
    "watch": "the watching itself",
    "probes": "another board's readings",
    "doubt": "probes that disagree",
}


def probe(name: str) -> str:
    """A probe by what it does: "the level gauge"."""
    return PROBES.get(name, name)


def listed(names: str, words: Mapping[str, str]) -> str:
    """Names with commas between them, as words: "the disk, the clock and the record"."""
    said = [words.get(name, name) for name in names.split(", ")]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"


NUMBERS: Mapping[str, Callable[[float], str]] = {
    "temperature": amounts.celsius,
    "limit": amounts.celsius,
    "rate": amounts.degrees_a_minute,
    "possible": amounts.degrees_a_minute,
    "share": amounts.share,
    "vapour": amounts.in_a_million,
    "breathable": amounts.in_a_million,
    "enter_after": lambda after: (
        f"once the blower stops it takes {amounts.roughly(after)} until one may go in."
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
    "wrong_by": lambda by: f"{amounts.long_duration(abs(by))} {'slow' if by > 0 else 'fast'}",
    "drawable": amounts.litres,
    "methanol_high": amounts.methanol_content,
    "water": amounts.water_content,
    "water_high": amounts.water_content,
    "water_floor": amounts.water_content,
}

NAMES: Mapping[str, Callable[[str], str]] = {
    "probe": probe,
    "probes": lambda names: listed(names, PROBES),
    "watched": lambda names: listed(names, WATCHED),
    "blind": lambda names: f" {listed(names, {})} cannot tell.",
    "parts": lambda names: listed(names, PARTS),
}


def put(values: Mapping[str, float | str]) -> dict[str, str]:
    """Every value of an effect in words; `part` is what is hot where `probe` measures it."""
    said = {name: _said(name, value) for name, value in values.items()}
    hot = HOT_PARTS.get(str(values.get("probe", "")))
    return said | ({"part": hot} if hot else {})


def _said(name: str, value: float | str) -> str:
    if isinstance(value, str):
        return NAMES[name](value) if name in NAMES else value
    return NUMBERS[name](value) if name in NUMBERS else f"{value:g}"
