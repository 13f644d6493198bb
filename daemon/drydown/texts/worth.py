"""What another probe or test would bring, in words with one digit."""

from collections.abc import Container, Iterator, Mapping

from drydown.texts.language import later, say
from drydown.worth.gain import AIR, DISCHARGE, LEAST, METHANOL_TEST, WATER_TEST, Gain, Worth

READ_BY = {AIR: ("air/temperature", "air/humidity"), DISCHARGE: ("blower/discharge_temperature",)}

NOT_YET = later(
    "Nothing can be said of it yet: that takes a run that is over and bubbled for three quarters of an hour."
)
WORKING = later("It is being worked out from the last run; that takes some seconds.")
FAILED = later("It could not be worked out: drydown’s log says why. It is tried again after some minutes.")
NOTHING_MORE = later(
    "Neither another probe nor a test would have made the ranges of this run narrower by a tenth."
)

WOULD: Mapping[str, str] = {
    AIR: later("Probes of the air’s temperature and humidity would make the range of {what} {narrower}."),
    DISCHARGE: later(
        "A probe of the temperature at the blower’s outlet would make the range of {what} {narrower}."
    ),
    METHANOL_TEST: later(
        "A methanol test by weighing, of a sample taken after 20 min of bubbling, would make the range of"
        " {what} {narrower}."
    ),
    WATER_TEST: later(
        "A water test with a pressure kit, of a sample taken after 20 min of bubbling, would make the range"
        " of {what} {narrower}."
    ),
}
WITHOUT: Mapping[str, str] = {
    AIR: later(
        "Without the probes of the air’s temperature and humidity the range of {what} would be {wider}."
    ),
    DISCHARGE: later(
        "Without the probe of the temperature at the blower’s outlet the range of {what} would be {wider}."
    ),
}
EARLY, LATER = later("methanol after 20 min of bubbling"), later("methanol after 40 min of bubbling")
AT_THE_END = later("water at the end of bubbling")


def told(worth: Worth, fitted: Container[str]) -> tuple[str, ...]:
    """What would help, the most useful first, then what helps already.

    `fitted`: names of quantities that have a probe by now, whose worth is not told as if it had none.
    """
    missing = [gain for gain in worth.gains if not gain.fitted and not _is_there(gain, fitted)]
    there = [gain for gain in worth.gains if gain.fitted]
    would = [text for gain in sorted(missing, key=lambda one: one.best) for text in _would(gain)]
    return (*(would or [say(NOTHING_MORE)]), *(text for gain in there for text in _without(gain)))


def _is_there(gain: Gain, fitted: Container[str]) -> bool:
    return all(name in fitted for name in READ_BY.get(gain.kind, ("",)))


def _would(gain: Gain) -> Iterator[str]:
    for what, ratio in _ratios(gain):
        yield say(WOULD[gain.kind], what=what, narrower=narrower(ratio))


def _without(gain: Gain) -> Iterator[str]:
    for what, ratio in _ratios(gain):
        yield say(WITHOUT[gain.kind], what=what, wider=wider(ratio))


def _ratios(gain: Gain) -> Iterator[tuple[str, float]]:
    """What changes enough for a word, the most first."""
    methanol = LATER if gain.kind == METHANOL_TEST else EARLY
    found = [
        (ratio, say(what)) for ratio, what in ((gain.water, AT_THE_END), (gain.methanol, methanol)) if ratio
    ]
    for ratio, what in sorted(found):
        if ratio <= 1.0 - LEAST:
            yield what, ratio


def narrower(ratio: float) -> str:
    """Of a range that becomes `ratio` times as wide, at most 0.9."""
    if 0.45 <= ratio < 0.55:
        return say("about half as wide")
    return say("about {share} narrower", share=f"{min(max(round((1.0 - ratio) * 10), 1), 9) * 10} %")


def wider(ratio: float) -> str:
    """Of a range that is `ratio` times what it would be."""
    times = 1.0 / ratio
    if times >= 1.95:
        return say("about {number} times as wide", number=f"{round(times)}")
    return say("about {share} wider", share=f"{max(round((times - 1.0) * 10), 1) * 10} %")
