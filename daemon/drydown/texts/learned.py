"""What runs taught of a tank and its blower, in words: each with its range, beside what was configured."""

from collections.abc import Callable, Mapping
from datetime import tzinfo
from typing import Any

from drydown.config.model import Tank
from drydown.estimate.lesson import Lesson, changed
from drydown.estimate.result import Spread
from drydown.estimate.schooled import Quantity, quantities
from drydown.texts.amounts import date, ranged, roughly, significant
from drydown.texts.language import counted, later, say
from drydown.texts.words import capital

WORTH_TELLING = 0.3  # of an unknown's variance that must have gone before it counts as learned
NOTHING = later("No run has taught anything of this tank and its blower yet.")

OF_ANOTHER = later(
    "What {runs} taught is no longer used, because it was learned of another tank or blower ({differences}): "
    "it begins anew."
)
BY_ANOTHER = later(
    "What {runs} taught is no longer used, because it was learned by a drydown that reckons otherwise: it "
    "begins anew."
)

KEYS = {
    "shape": later("the tank's shape"),
    "diameter": later("the tank's diameter"),
    "height": later("the tank's height"),
    "cone_height": later("the tank's cone_height"),
    "length": later("the tank's length"),
    "table": later("the tank's table"),
    "material": later("the tank's material"),
    "rated_flow": later("the blower's rated_flow"),
}


def outgrown(lesson: Lesson, tank: Tank) -> str:
    """Why what was learned is not used for this tank."""
    differences = [_difference(key, *pair) for key, pair in changed(lesson, tank).items()]
    said = OF_ANOTHER if differences else BY_ANOTHER
    return say(said, runs=_runs(lesson.runs), differences=", ".join(differences))


def source(lesson: Lesson, zone: tzinfo) -> str:
    """Where it comes from; the lesson's times in Unix s."""
    return say("Learned from {runs} since {day}.", runs=_runs(lesson.runs), day=date(lesson.since, zone))


def forgotten(runs: int, time: float, who: str, zone: tzinfo) -> str:
    """That nothing is used, and why."""
    return say(
        "What {runs} taught was forgotten on {day} by {who}: the next run begins anew.",
        runs=_runs(runs),
        day=date(time, zone),
        who=who,
    )


def told(lesson: Lesson, tank: Tank) -> tuple[str, ...]:
    """Everything that was learned, a sentence each, and what has not been learned yet."""
    found = quantities(lesson)
    learned = [one for one in found if one.narrowed >= WORTH_TELLING]
    sentences = [sentence(one, tank) for one in learned]
    unknown = [say(NAMES[one.name]) for one in found if one not in learned]
    if unknown:
        sentences.append(say("Not learned yet: {unknown}.", unknown=", ".join(unknown)))
    return tuple(sentences)


def sentence(quantity: Quantity, tank: Tank) -> str:
    """One thing that was learned."""
    value = quantity.value
    if quantity.name == "flow":
        flow = ranged(_times(value, tank.blower.rated_flow), _air_flow)
        return say("Air flow {flow}, {against_rated}.", flow=flow, against_rated=_against_rated(value.median))
    return f"{capital(say(NAMES[quantity.name]))}: {ranged(value, WORDS[quantity.name])}."


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
    return say("{number} times what the models say", number=significant(value, 2))


def _times(value: Spread, factor: float) -> Spread:
    return Spread(value.median * factor, value.low * factor, value.high * factor)


def _against_rated(ratio: float) -> str:
    percent = round(abs(ratio - 1) * 100)
    if not percent:
        return say("as rated")
    share = f"{percent} %"
    return say("{share} below rated", share=share) if ratio < 1 else say("{share} above rated", share=share)


def _runs(count: int) -> str:
    return counted("1 run", "{count} runs", count)


def _difference(key: str, before: Any, now: Any) -> str:
    return say("{what} was {before}, is {now}", what=say(KEYS[key]), before=_said(before), now=_said(now))


def _said(value: Any) -> str:
    if value is None:
        return say("not given")
    return (
        f"{value:g}"
        if isinstance(value, float)
        else say("another")
        if isinstance(value, list)
        else str(value)
    )


NAMES: Mapping[str, str] = {
    "flow": later("the blower's air flow"),
    "partition": later("how readily methanol leaves the fuel"),
    "blend": later("which model of methanol in fuel holds (0 to 1)"),
    "desorption": later("heat that leaving methanol takes"),
    "water_approach": later("how near to balance with the air water comes"),
    "rise": later("how much warmer the blower makes the air once it is warm"),
    "warm_up": later("how long the blower takes to warm up"),
    "loss": later("heat lost to the room"),
    "wall": later("heat that the tank's wall holds"),
    "wall_time": later("how long the wall takes to follow the fuel"),
    "air_offset": later("what must be added to the air's temperature as read"),
    "humidity_offset": later("what must be added to the air's humidity as read"),
    "lag": later("by how much the fuel's probe is late"),
    "mixing": later("how long bubbles take to undo layers"),
    "layering": later("the probe's layer after long rest, as a share of fuel over air"),
    "discharge_offset": later("what must be added to the blower's outlet temperature as read"),
    "fuel_offset": later("by how much the fuel's probe reads too high"),
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
