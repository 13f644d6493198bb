"""faults.md: what can be wrong with a reading, how it is noticed, how soon, and what the user is told."""

import re
from collections.abc import Iterable, Iterator

from drydown.alarms import rates
from drydown.condition import kinds, table
from drydown.condition.kinds import Fault
from drydown.condition.words import said, said_difference
from drydown.guide import markdown
from drydown.probes import kinds as probe_kinds
from drydown.probes import w1_kinds
from drydown.quantities import MEASURED

A_QUANTITY = {quantity.unit: name for name, quantity in reversed(MEASURED.items())}

QUALITIES = """
Every reading is judged before anything uses it. A **bad** one is recorded with its reason and never used: not
for the estimate, not for an alarm's value. Its probe then counts as lost, which `probe-fault` tells. A
**doubtful** one may be wrong: alarms heed it, so that no fire is taken for a fault, and the estimate does
not. A **good** one is used as it came: judging smooths nothing and delays nothing.
"""
LIMITS = """
What no judgement can see: a probe that is wrong by little and always so, where no other measures something
that must agree with it. Two temperatures at rest are all that drydown can compare. A probe that was moved, or
believed after a jump that stays, is believed from then on. Thresholds are those of the data sheet that is
named, else judgement about tanks (common practice, no source).
"""


def page() -> str:
    """The whole page."""
    return markdown.page(
        "When a reading can't be trusted",
        QUALITIES,
        "## Faults in what a probe says",
        _faults(kinds.FAULTS),
        "## Faults of DS18B20s on the 1-Wire bus",
        _faults(w1_kinds.FAULTS),
        "## Faults of channels, current loops and other boards",
        _faults(probe_kinds.FAULTS),
        "## What each sensor can read",
        markdown.table(
            ("sensor", "range", "temperature may err by", "source"),
            map(_sensor, (table.DS18B20, *table.SENSORS.values())),
        ),
        "## How fast a quantity can change, and how long it may stand still",
        markdown.table(
            (
                "quantity",
                "usual: doubtful beyond",
                "possible: bad beyond",
                f"bad within {table.MINUTE:g} s",
                "may stand still",
            ),
            (_habit(name, habit) for name, habit in table.HABITS.items()),
        ),
        "## What must agree at rest",
        markdown.table(
            ("temperatures", "after rest of", "mean over", "told after", "they may differ by"),
            map(_pair, table.PAIRS),
        ),
        f"""
Both sensors may err as the data sheets say (squares added), and the air may differ by
{said_difference(table.PLACE)} between their places. The one that follows slowly may trail behind by as much
as it changed meanwhile, times its slowness over the time of the mean.
""",
        "## What lags behind",
        markdown.table(("what", "made of", "lag"), _lags()),
        LIMITS,
    )


def _faults(faults: Iterable[Fault]) -> str:
    rows = ((fault.title, fault.quality, fault.noticed, fault.within, _told(fault)) for fault in faults)
    return markdown.table(("fault", "the reading is", "noticed by", "within", "what is told"), rows)


def _told(fault: Fault) -> str:
    """What a person reads, with dots for what differs from one to the next."""
    return "“" + re.sub(r"\{[^}]*\}", "…", fault.told) + "”"


def _sensor(sensor: table.Sensor) -> tuple[str, str, str, str]:
    ranges = (
        f"{said(A_QUANTITY[unit], bounds.low)} to {said(A_QUANTITY[unit], bounds.high)}"
        for unit, bounds in sensor.ranges.items()
    )
    return sensor.title, ", ".join(ranges), f"±{said_difference(sensor.error)}", sensor.source


def _habit(name: str, habit: table.Habit) -> tuple[str, str, str, str, str]:
    still = "for ever" if habit.still is None else _time(habit.still)
    if habit.moves_only_while_blowing:
        still += " while the blower runs"
    if habit.stop is not None:
        still += f"; for ever at {said(name, habit.stop)}"
    most = "–" if habit.in_a_minute is None else _difference(name, habit.in_a_minute)
    return name, _change(name, habit.usual), _change(name, habit.possible), most, still


def _change(name: str, change: table.Change | None) -> str:
    if change is None:
        return "–"
    return f"{_difference(name, change.step)} and {_difference(name, change.rate)} a second"


def _difference(name: str, value: float) -> str:
    """A difference of two values of a quantity (SI)."""
    quantity = MEASURED[name]
    return f"{value:g} K" if quantity.unit == "Cel" else said(name, value)


def _pair(pair: table.Pair) -> tuple[str, str, str, str, str]:
    told = _time(pair.settles + pair.window)
    slow = f"the errors, and {_time(pair.slowness)} of trailing"
    if pair.kept_warm < float("inf"):
        slow += f"; more than {said_difference(pair.kept_warm)} warmer means that it is heated"
    return f"{pair.slow}, {pair.other}", _time(pair.settles), _time(pair.window), told, slow


def _lags() -> Iterator[tuple[str, str, str]]:
    yield "the judgement of a reading", "that reading, and those before it", "none"
    yield (
        "the rate that alarms look at",
        f"medians of the first and the last third of {_time(rates.WINDOW)}",
        f"a steady rise shows in full after {_time(rates.WINDOW)}",
    )
    longest = max(pair.window for pair in table.PAIRS)
    shortest = min(pair.window for pair in table.PAIRS)
    yield (
        "whether two agree at rest",
        f"a mean over {_time(shortest)} to {_time(longest)}, looked at every {_time(table.SAMPLED)}",
        "as long as it is taken over",
    )


def _time(seconds: float) -> str:
    if seconds >= 3600.0:
        return f"{seconds / 3600:g} h"
    return f"{seconds / 60:g} min" if seconds > 60.0 else f"{seconds:g} s"
