"""What made one run take longer than another, in words."""

from collections.abc import Iterator
from dataclasses import dataclass

from drydown.estimate.result import Spread
from drydown.explained import Explained
from drydown.texts.amounts import duration, span
from drydown.texts.language import later, say

CAUSES = {
    "methanol": later("Methanol at the start"),
    "fuel_temperature": later("Warmth of the fuel"),
    "volume": later("Amount of fuel"),
    "flow": later("Air of the blower"),
}
LONGER = {
    "methanol": later("Most of what can be told for sure: methanol at the start made it {time} longer."),
    "fuel_temperature": later("Most of what can be told for sure: warmth of the fuel made it {time} longer."),
    "volume": later("Most of what can be told for sure: amount of fuel made it {time} longer."),
    "flow": later("Most of what can be told for sure: air of the blower made it {time} longer."),
}
SHORTER = {
    "methanol": later("Most of what can be told for sure: methanol at the start made it {time} shorter."),
    "fuel_temperature": later(
        "Most of what can be told for sure: warmth of the fuel made it {time} shorter."
    ),
    "volume": later("Most of what can be told for sure: amount of fuel made it {time} shorter."),
    "flow": later("Most of what can be told for sure: air of the blower made it {time} shorter."),
}
REST = later("Not explained by these")
SMALL = 60.0  # s that are not worth a word
ABOUT = later(
    "Reckoned from how methanol leaves fuel: how much there was, how warm the fuel was, how much fuel there "
    "was and how much air. The room’s air bears on the water and on how fast the fuel cools, not on this by "
    "itself. The ranges hold nine times in ten."
)


@dataclass(frozen=True, slots=True)
class Share:
    """What one cause did to the time, and whether that is beyond doubt."""

    cause: str
    did: str
    range: str
    is_sure: bool


def difference(seconds: float, name: str, other: str) -> str:
    """How two runs compare; `seconds` is by how much the first took longer."""
    if abs(seconds) < SMALL:
        return say("{run} took as long as {other} until the methanol was gone.", run=name, other=other)
    if seconds > 0:
        said = later("{run} took {time} longer than {other} until the methanol was gone.")
    else:
        said = later("{run} took {time} less than {other} until the methanol was gone.")
    return say(said, run=name, time=duration(abs(seconds)), other=other)


def not_gone(name: str, other: str) -> str:
    """That two runs can't be compared."""
    return say(
        "{run} against {other}: in one of the two the methanol was not gone, so there is no time to compare.",
        run=name,
        other=other,
    )


def shares(found: Explained) -> Iterator[Share]:
    """A line for each cause, and for what is left over."""
    for name, cause in CAUSES.items():
        part = getattr(found, name)
        if part is None:
            yield Share(say(cause), say("cannot be told"), "", False)
        else:
            yield _share(say(cause), part)
    yield _share(say(REST), found.rest)


def most(found: Explained) -> str:
    """The cause that is surest to have done most; what to make of it where none is."""
    sure = [
        (abs(part.median), name, part.median)
        for name in CAUSES
        if (part := getattr(found, name)) is not None and _is_sure(part)
    ]
    if not sure:
        return say("No single change is sure to have made the difference.")
    _, name, seconds = max(sure)
    return say((LONGER if seconds > 0 else SHORTER)[name], time=_minutes(abs(seconds)))


def _share(cause: str, part: Spread) -> Share:
    return Share(cause, _said(part.median), span(_signed(part.low), _signed(part.high)), _is_sure(part))


def _is_sure(part: Spread) -> bool:
    return (part.low > 0 or part.high < 0) and abs(part.median) >= SMALL


def _said(seconds: float) -> str:
    if abs(seconds) < SMALL / 2:
        return say("no different")
    if seconds > 0:
        return say("{time} longer", time=_minutes(seconds))
    return say("{time} shorter", time=_minutes(-seconds))


def _minutes(seconds: float) -> str:
    return duration(max(round(seconds / 60), 1) * 60) if seconds >= 90 else "1 min"


def _signed(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes:+d} min".replace("-", "−") if minutes else "0 min"
