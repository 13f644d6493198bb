"""What would help, in words: how warm, how dry, until when, and what to look at."""

import math
from collections.abc import Iterable, Mapping
from datetime import tzinfo

from drydown.estimate.result import Advice
from drydown.texts.amounts import celsius, clock, degree, degrees, roughly, significant, steps
from drydown.texts.language import later, say

NOTHING = later("No warmth that is safe for the fuel would do it in this air: wait for much drier air.")

SHARES = {
    0.25: later("a quarter"),
    1 / 3: later("a third"),
    0.5: later("half"),
    2 / 3: later("two thirds"),
    0.75: later("three quarters"),
}


def told(advice: Iterable[Advice], now: float, zone: tzinfo) -> str:
    """All of it, as sentences; empty where there is none. `now` in Unix s, `zone` where the tank stands."""
    return " ".join(sentence(piece, now, zone) for piece in advice)


def against_damp(advice: Iterable[Advice], now: float, zone: tzinfo) -> str:
    """The same where the air is too damp, and something must be said."""
    return told(advice, now, zone) or say(NOTHING)


def sentence(advice: Advice, now: float, zone: tzinfo) -> str:
    """One piece of advice. What is told is on the safe side: rounded so that it helps."""
    values = advice.values
    match advice.kind:
        case "warm-fuel":
            least, likely = (math.ceil(degrees(values[name])) for name in ("temperature", "likely"))
            warm, may_do = (f"{value} {degree()}".replace("-", "−") for value in (least, likely))
            if likely < least:
                return say(
                    "Warm the fuel to {warm} ({may_do} may do) and keep it so.", warm=warm, may_do=may_do
                )
            return say("Warm the fuel to {warm} and keep it so.", warm=warm)
        case "drier-air":
            return _drier_air(values, now, zone)
        case "open-inlet":
            given = _nearest(values["share"])
            return say(
                "The blower gives about {share} of what it gave: look at its inlet, filter and hose.",
                share=given,
            )
        case "open-vent":
            return say("Open the vent: the damp air stays in the room.")
        case "warm-sooner":
            warmer, times = round(steps(values["warmer_by"])), significant(values["vapour"], 2)
            sooner, surely = roughly(values["sooner"]), roughly(values["sooner_least"])
            return say(
                "With fuel {warmer} warmer the methanol would be gone about {sooner} sooner (at least "
                "{surely}), with {times} times the vapour and as much more need of fresh air.",
                warmer=f"{warmer} {degree()}",
                sooner=sooner,
                surely=surely,
                times=times,
            )
        case kind:
            raise ValueError(f"no advice is of kind {kind!r}")


def _drier_air(values: Mapping[str, float], now: float, zone: tzinfo) -> str:
    least, likely = (math.floor(values[name] * 100) for name in ("humidity", "likely"))
    needed = {"least": f"{least} %", "warmth": celsius(values["air_temperature"])}
    if likely > least:
        do = say(
            "Air below {least} humidity at {warmth} would do ({likely} may do)",
            likely=f"{likely} %",
            **needed,
        )
    else:
        do = say("Air below {least} humidity at {warmth} would do", **needed)
    if "wait" in values:
        return _foreseen(do, values["wait"], now, zone)
    if likely > least and "likely_wait" in values:
        return _perhaps(do, f"{likely} %", values["likely_wait"], now, zone)
    return f"{do}."


def _foreseen(needed: str, wait: float, now: float, zone: tzinfo) -> str:
    if not wait:
        return say("{needed}: likely there already by the day so far.", needed=needed)
    return say(
        "{needed}: likely after {time} by the day so far.", needed=needed, time=clock(now + wait, zone)
    )


def _perhaps(needed: str, humidity: str, wait: float, now: float, zone: tzinfo) -> str:
    if not wait:
        return say(
            "{needed}: {humidity} is likely there already by the day so far.",
            needed=needed,
            humidity=humidity,
        )
    return say(
        "{needed}: {humidity} is likely after {time} by the day so far.",
        needed=needed,
        humidity=humidity,
        time=clock(now + wait, zone),
    )


def _nearest(share: float) -> str:
    return say(SHARES[min(SHARES, key=lambda known: abs(known - share))])
