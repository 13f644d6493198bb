"""Whether advice or plan have changed so much that a person would act otherwise: only that is recorded.

Every estimate tells both anew, with numbers that move a little each time.
"""

from itertools import zip_longest

from drydown.estimate.result import Advice, Estimate, Prospect, Spread

NOTABLE = 0.15  # of a number; of a range's middle or its width, whichever is more
LATER = 900.0  # s by which the moment moves that air is likely to be dry
WAITS = ("wait", "likely_wait")

NOTABLE_BY_ITSELF = {
    ("warm-fuel", "temperature"): 1.0,  # K
    ("warm-fuel", "likely"): 1.0,
    ("drier-air", "humidity"): 0.02,
    ("drier-air", "likely"): 0.02,
    ("drier-air", "air_temperature"): 2.0,
}


def differs(before: Estimate, now: Estimate) -> bool:
    """Whether what is advised now is other than it was."""
    passed = now.time - before.time
    if any(_advice_differs(a, b, passed) for a, b in zip_longest(before.advice, now.advice)):
        return True
    return any(_prospect_differs(a, b) for a, b in zip_longest(before.plan, now.plan))


def _advice_differs(before: Advice | None, now: Advice | None, passed: float) -> bool:
    if before is None or now is None:
        return True
    if before.kind != now.kind or before.values.keys() != now.values.keys():
        return True
    return any(
        _value_differs(now.kind, name, x, now.values[name], passed) for name, x in before.values.items()
    )


def _value_differs(kind: str, name: str, before: float, now: float, passed: float) -> bool:
    if name in WAITS:
        return (before == 0.0) != (now == 0.0) or (now > 0.0 and abs(now + passed - before) > LATER)
    return abs(now - before) > NOTABLE_BY_ITSELF.get((kind, name), NOTABLE * abs(before))


def _prospect_differs(before: Prospect | None, now: Prospect | None) -> bool:
    if before is None or now is None:
        return True
    if (before.warmer_by, before.wait) != (now.warmer_by, now.wait):
        return True
    pairs = (
        (before.methanol_gone_in, now.methanol_gone_in),
        (before.dry_in, now.dry_in),
        (before.water_least, now.water_least),
        (before.emission_peak, now.emission_peak),
        (before.fresh_air, now.fresh_air),
        (before.fresh_air_against_fire, now.fresh_air_against_fire),
    )
    return any(_spread_differs(a, b) for a, b in pairs)


def _spread_differs(before: Spread | None, now: Spread | None) -> bool:
    if before is None or now is None:
        return before is not now
    allowed = NOTABLE * max(abs(before.median), before.high - before.low)
    ends = ((before.median, now.median), (before.low, now.low), (before.high, now.high))
    return any(abs(b - a) > allowed for a, b in ends)
