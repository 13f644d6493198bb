"""What runs taught of a tank and its blower, in words: each with its range, beside what was configured."""

from collections.abc import Callable, Mapping
from datetime import datetime, tzinfo
from typing import Any

from drydown.config.model import Tank
from drydown.estimate.lesson import Lesson, changed
from drydown.estimate.result import Spread
from drydown.estimate.schooled import Quantity, quantities
from drydown.texts.amounts import ranged, roughly, significant

WORTH_TELLING = 0.3  # of an unknown's variance that must have gone before it counts as learned
NOTHING = "No run has taught anything of this tank and its blower yet."

KEYS = {
    "shape": "the tank's shape",
    "diameter": "the tank's diameter",
    "height": "the tank's height",
    "cone_height": "the tank's cone_height",
    "length": "the tank's length",
    "table": "the tank's table",
    "material": "the tank's material",
    "rated_flow": "the blower's rated_flow",
}


def outgrown(lesson: Lesson, tank: Tank) -> str:
    """Why what was learned is not used for this tank."""
    differences = [_difference(key, *pair) for key, pair in changed(lesson, tank).items()]
    why = (
        f"of another tank or blower ({', '.join(differences)})"
        if differences
        else "by a drydown that reckons otherwise"
    )
    return (
        f"What {_runs(lesson.runs)} taught is no longer used, because it was learned {why}: it begins anew."
    )


def source(lesson: Lesson, zone: tzinfo) -> str:
    """Where it comes from; the lesson's times in Unix s."""
    return f"Learned from {_runs(lesson.runs)} since {_day(lesson.since, zone)}."


def forgotten(runs: int, time: float, who: str, zone: tzinfo) -> str:
    """That nothing is used, and why."""
    return (
        f"What {_runs(runs)} taught was forgotten on {_day(time, zone)} by {who}: the next run begins anew."
    )


def told(lesson: Lesson, tank: Tank) -> tuple[str, ...]:
    """Everything that was learned, a sentence each, and what has not been learned yet."""
    found = quantities(lesson)
    learned = [one for one in found if one.narrowed >= WORTH_TELLING]
    sentences = [sentence(one, tank) for one in learned]
    unknown = [NAMES[one.name] for one in found if one not in learned]
    if unknown:
        sentences.append(f"Not learned yet: {', '.join(unknown)}.")
    return tuple(sentences)


def sentence(quantity: Quantity, tank: Tank) -> str:
    """One thing that was learned."""
    value = quantity.value
    if quantity.name == "flow":
        flow = ranged(_times(value, tank.blower.rated_flow), _air_flow)
        return f"Air flow {flow}, {_against_rated(value.median)}."
    name = NAMES[quantity.name]
    return f"{name[0].upper()}{name[1:]}: {ranged(value, WORDS[quantity.name])}."


def _air_flow(flow: float) -> str:
    return f"{significant(flow, 3)} m³/s"


def _kelvin(value: float) -> str:
    return f"{significant(value, 2)} °C".replace("-", "−")


def _share(value: float) -> str:
    return f"{significant(value * 100, 2)} %".replace("-", "−")


def _heat(value: float) -> str:
    return f"{significant(value / 1000, 2)} kJ/°C"


def _watts(value: float) -> str:
    return f"{significant(value, 2)} W/°C"


def _factor(value: float) -> str:
    return significant(value, 2)


def _of_models(value: float) -> str:
    return f"{significant(value, 2)} times what the models say"


def _times(value: Spread, factor: float) -> Spread:
    return Spread(value.median * factor, value.low * factor, value.high * factor)


def _against_rated(ratio: float) -> str:
    percent = round(abs(ratio - 1) * 100)
    if not percent:
        return "as rated"
    return f"{percent} % {'below' if ratio < 1 else 'above'} rated"


def _runs(count: int) -> str:
    return "1 run" if count == 1 else f"{count} runs"


def _day(unix_time: float, zone: tzinfo) -> str:
    at = datetime.fromtimestamp(unix_time, zone)
    return f"{at.day} {at:%B %Y}"


def _difference(key: str, before: Any, now: Any) -> str:
    return f"{KEYS[key]} was {_said(before)}, is {_said(now)}"


def _said(value: Any) -> str:
    if value is None:
        return "not given"
    return f"{value:g}" if isinstance(value, float) else "another" if isinstance(value, list) else str(value)


NAMES: Mapping[str, str] = {
    "flow": "the blower's air flow",
    "partition": "how readily methanol leaves the fuel",
    "blend": "which model of methanol in fuel holds (0 to 1)",
    "desorption": "heat that leaving methanol takes",
    "water_approach": "how near to balance with the air water comes",
    "rise": "how much warmer the blower makes the air once it is warm",
    "warm_up": "how long the blower takes to warm up",
    "loss": "heat lost to the room",
    "wall": "heat that the tank's wall holds",
    "wall_time": "how long the wall takes to follow the fuel",
    "air_offset": "what must be added to the air's temperature as read",
    "humidity_offset": "what must be added to the air's humidity as read",
    "lag": "by how much the fuel's probe is late",
    "mixing": "how long bubbles take to undo layers",
    "layering": "the probe's layer after long rest, as a share of fuel over air",
    "discharge_offset": "what must be added to the blower's outlet temperature as read",
    "fuel_offset": "by how much the fuel's probe reads too high",
}

WORDS: Mapping[str, Callable[[float], str]] = {
    "partition": _of_models,
    "blend": _factor,
    "desorption": _of_models,
    "water_approach": _share,
    "rise": _kelvin,
    "warm_up": roughly,
    "loss": _watts,
    "wall": _heat,
    "wall_time": roughly,
    "air_offset": _kelvin,
    "humidity_offset": _share,
    "lag": roughly,
    "mixing": roughly,
    "layering": _share,
    "discharge_offset": _kelvin,
    "fuel_offset": _kelvin,
}
