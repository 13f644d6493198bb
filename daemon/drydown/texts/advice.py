"""What would help, in words: how warm, how dry, until when, and what to look at."""

import math
from collections.abc import Iterable, Mapping
from datetime import tzinfo

from drydown.estimate.result import Advice
from drydown.texts.amounts import celsius, clock, degree, degrees, roughly, significant, steps

NOTHING = "No warmth that is safe for the fuel would do it in this air: wait for much drier air."

SHARES = {0.25: "a quarter", 1 / 3: "a third", 0.5: "half", 2 / 3: "two thirds", 0.75: "three quarters"}


def told(advice: Iterable[Advice], now: float, zone: tzinfo) -> str:
    """All of it, as sentences; empty where there is none. `now` in Unix s, `zone` where the tank stands."""
    return " ".join(sentence(piece, now, zone) for piece in advice)


def against_damp(advice: Iterable[Advice], now: float, zone: tzinfo) -> str:
    """The same where the air is too damp, and something must be said."""
    return told(advice, now, zone) or NOTHING


def sentence(advice: Advice, now: float, zone: tzinfo) -> str:
    """One piece of advice. What is told is on the safe side: rounded so that it helps."""
    values = advice.values
    match advice.kind:
        case "warm-fuel":
            least, likely = (math.ceil(degrees(values[name])) for name in ("temperature", "likely"))
            perhaps = f" ({likely} {degree()} may do)" if likely < least else ""
            return f"Warm the fuel to {least} {degree()}{perhaps} and keep it so.".replace("-", "−")
        case "drier-air":
            return _drier_air(values, now, zone)
        case "open-inlet":
            given = _nearest(values["share"])
            return f"The blower gives about {given} of what it gave: look at its inlet, filter and hose."
        case "open-vent":
            return "Open the vent: the damp air stays in the room."
        case "warm-sooner":
            warmer, times = round(steps(values["warmer_by"])), significant(values["vapour"], 2)
            sooner, surely = roughly(values["sooner"]), roughly(values["sooner_least"])
            return (
                f"With fuel {warmer} {degree()} warmer the methanol would be gone about {sooner} sooner (at "
                f"least {surely}), with {times} times the vapour and as much more need of fresh air."
            )
        case kind:
            raise ValueError(f"no advice is of kind {kind!r}")


def _drier_air(values: Mapping[str, float], now: float, zone: tzinfo) -> str:
    least, likely = (math.floor(values[name] * 100) for name in ("humidity", "likely"))
    warmth = celsius(values["air_temperature"])
    perhaps = f" ({likely} % may do)" if likely > least else ""
    needed = f"Air below {least} % humidity at {warmth} would do{perhaps}"
    if "wait" in values:
        return f"{needed}: likely {_after(values['wait'], now, zone)} by the day so far."
    if perhaps and "likely_wait" in values:
        return f"{needed}: {likely} % is likely {_after(values['likely_wait'], now, zone)} by the day so far."
    return f"{needed}."


def _after(wait: float, now: float, zone: tzinfo) -> str:
    return f"after {clock(now + wait, zone)}" if wait else "there already"


def _nearest(share: float) -> str:
    return SHARES[min(SHARES, key=lambda known: abs(known - share))]
